// The sheets: chosen by hand, or by picking a piece.
const sheetPaper = document.getElementById("sheet-paper");
const sheetLeaf = sheetPaper.querySelector(".leaf");
const chooser = document.getElementById("sheet");
const SIZES = [1, 1.6, 2.5, 4, 6];
let sheetAt = -1;
// on a phone a whole sheet would be too small to read
let sizeAt = window.innerWidth < 700 ? 2 : 0;

function showSheet(at) {
  if (at < 0 || at >= data.sheets.length || at === sheetAt) return;
  sheetAt = at;
  chooser.selectedIndex = at;
  disableEnds();
  // the sheets come last in the page, so that the frame is seen before they are read
  if (document.readyState !== "loading") drawSheet();
}

function drawSheet() {
  const found = document.querySelector(`template[data-sheet="${CSS.escape(data.sheets[sheetAt].name)}"]`);
  sheetLeaf.replaceChildren(found.content.cloneNode(true));
  sheetPaper.scrollTo(0, 0);
}

// all sheets, each on paper of its own, and nothing else; taken away again once printed
const allSheets = document.getElementById("all-sheets");

function printAll() {
  const leaves = [...document.querySelectorAll("template[data-sheet]")].map((found) => {
    return element("div", { class: "leaf" }, found.content.cloneNode(true));
  });
  allSheets.replaceChildren(...leaves);
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
document.getElementById("print-all").addEventListener("click", printAll);
listen((what) => {
  if ((what !== "picked" && what !== "step") || !state.picked) return;
  // a further sheet of the same type stays
  if (data.sheets[sheetAt]?.types.includes(state.picked.type)) return;
  showSheet(data.sheets.findIndex((sheet) => sheet.types.includes(state.picked.type)));
});
setSize(sizeAt);
showSheet(0);
document.addEventListener("DOMContentLoaded", drawSheet);
