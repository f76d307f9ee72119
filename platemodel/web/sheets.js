// The sheets: chosen by hand, or by picking a piece.
const sheetPaper = document.getElementById("sheet-paper");
const sheetLeaf = sheetPaper.querySelector(".leaf");
const chooser = document.getElementById("sheet");
const SIZES = [1, 1.6, 2.5, 3.2, 4, 5, 6.3];
// on a phone a whole sheet would be too small to read: so many px to a millimetre of paper it takes
const READABLE = 2.8;
let sheetAt = -1;
let sizeAt = window.innerWidth < 700 ? readableSize() : 0;

function readableSize() {
  const leaf = parseFloat(getComputedStyle(document.documentElement).getPropertyValue("--leaf-width"));
  const found = SIZES.findIndex((size) => size * (window.innerWidth - 40) >= READABLE * leaf);
  return found < 0 ? SIZES.length - 1 : found;
}

function showSheet(at) {
  if (at < 0 || at >= data.sheets.length || at === sheetAt) return;
  sheetAt = at;
  chooser.selectedIndex = at;
  disableEnds();
  showOtherType();
  // the sheets come last in the page, so that the frame is seen before they are read
  if (document.readyState !== "loading") drawSheet();
}

async function drawSheet() {
  const at = sheetAt;
  const [drawing] = await drawingsOf([data.sheets[at]]);
  // another one may have been chosen meanwhile
  if (at !== sheetAt) return;
  sheetLeaf.replaceChildren(drawing);
  // larger than its box it begins at its frame, past the margin
  sheetPaper.scrollTo({ left: SIZES[sizeAt] > 1 ? sheetLeaf.clientWidth * 0.035 : 0, top: 0, behavior: "instant" });
  lookAtSheet();
}

// drawings of sheets; a word in the place of each that cannot be unpacked
function drawingsOf(sheets) {
  return Promise.all(sheets.map(async (sheet) => {
    const holder = document.querySelector(`template[data-sheet="${CSS.escape(sheet.name)}"]`);
    try {
      const found = document.createElement("template");
      found.innerHTML = await unpacked(holder);
      return found.content;
    } catch (fault) {
      return element("p", { class: "no-sheet", role: "status" }, `No sheets here. ${fault.message}. They are also in pack.pdf and in the folder sheets, beside this page.`);
    }
  }));
}

// a sheet chosen by hand may be of another type than the picked piece
const otherType = document.getElementById("other-type");

function showOtherType() {
  const [type] = data.sheets[sheetAt]?.types || [];
  const { picked } = state;
  otherType.hidden = !type || !picked || picked.type === type;
  if (otherType.hidden) {
    otherType.replaceChildren();
    return;
  }
  const marks = pieces.filter((piece) => piece.type === type).map((piece) => piece.mark);
  const pickers = marks.slice(0, MOST_MARKS).map((mark) => {
    return button(`Pick ${mark}`, () => {
      pick(mark);
      chooser.focus({ preventScroll: true });
    });
  });
  const words = `${type} is ${someOf(marks)}; picked is ${picked.mark}.`;
  otherType.replaceChildren(element("p", { role: "status" }, words), ...pickers);
}

// some sheets, each on paper of its own, and nothing else; taken away again once printed
const allSheets = document.getElementById("all-sheets");
let printing = false;

async function print(sheets) {
  if (printing) return;
  printing = true;
  const drawings = await drawingsOf(sheets);
  printing = false;
  // where there are words in their place, these stand on the screen already
  if (drawings.some((drawing) => drawing instanceof HTMLElement)) return;
  allSheets.replaceChildren(...drawings.map((drawing) => element("div", { class: "leaf" }, drawing)));
  document.documentElement.classList.add("all-sheets");
  window.print();
}

window.addEventListener("afterprint", () => {
  document.documentElement.classList.remove("all-sheets");
  allSheets.replaceChildren();
});

function setSize(at) {
  sizeAt = Math.min(Math.max(at, 0), SIZES.length - 1);
  sheetLeaf.style.width = `${SIZES[sizeAt] * 100}%`;
  lookAtSheet();
  disableEnds();
}

function disableEnds() {
  const off = (id, is) => document.getElementById(id).setAttribute("aria-disabled", String(is));
  off("sheet-back", sheetAt <= 0);
  off("sheet-on", sheetAt >= data.sheets.length - 1);
  off("smaller", sizeAt === 0);
  off("fit", sizeAt === 0);
  off("larger", sizeAt === SIZES.length - 1);
}

for (const sheet of data.sheets) chooser.append(element("option", { value: sheet.name }, sheet.title));
chooser.addEventListener("change", () => showSheet(chooser.selectedIndex));
document.getElementById("sheet-back").addEventListener("click", () => showSheet(sheetAt - 1));
document.getElementById("sheet-on").addEventListener("click", () => showSheet(sheetAt + 1));
document.getElementById("larger").addEventListener("click", () => setSize(sizeAt + 1));
document.getElementById("smaller").addEventListener("click", () => setSize(sizeAt - 1));
document.getElementById("fit").addEventListener("click", () => setSize(0));
document.getElementById("print-all").addEventListener("click", () => print(data.sheets));
document.getElementById("print-this").addEventListener("click", () => print([data.sheets[sheetAt]]));

function showPicked() {
  if (!state.picked) return;
  // a further sheet of the same type stays
  if (data.sheets[sheetAt]?.types.includes(state.picked.type)) showOtherType();
  else showSheet(data.sheets.findIndex((sheet) => sheet.types.includes(state.picked.type)));
}

listen((what) => {
  if (what === "picked" || what === "step") showPicked();
});
document.getElementById("bar-sheet").addEventListener("click", showPicked);
for (const jump of document.querySelectorAll("a[data-sheet]")) {
  jump.addEventListener("click", () => showSheet(data.sheets.findIndex((sheet) => sheet.name === jump.dataset.sheet)));
}
const lookAtSheet = watchPan(sheetPaper);
setSize(sizeAt);
showSheet(0);
document.addEventListener("DOMContentLoaded", drawSheet);
