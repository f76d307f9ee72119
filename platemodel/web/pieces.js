// The piece to lay next, and the list of pieces in laying order with their ticks.
const list = document.getElementById("list");
const rows = new Map();

function row(piece) {
  const about = `${meets(piece)} · ${piece.walls.join(", ")} · ${piece.length} mm`;
  const head = element(
    "button",
    { type: "button", class: "pick", "data-mark": piece.mark, "aria-pressed": "false" },
    element("span", { class: "number" }, String(piece.order)),
    element("span", { class: "mark" }, piece.mark),
    element("span", { class: "type" }, piece.type),
    roleChip(piece),
    element("span", { class: "about" }, about),
    element("span", { class: "outdated" }),
  );
  head.addEventListener("click", () => pick(piece.mark));
  const made = element("li", {}, head, tickBox(piece, "cut"), tickBox(piece, "laid"));
  rows.set(piece.mark, made);
  return made;
}

// one row at a time is in the tab order
function stopAt(piece) {
  for (const [mark, item] of rows) {
    const on = piece ? mark === piece.mark : mark === pieces[0].mark;
    for (const control of item.querySelectorAll("button, input")) control.tabIndex = on ? 0 : -1;
  }
}

function showTicks() {
  for (const piece of pieces) {
    const item = rows.get(piece.mark);
    for (const box of item.querySelectorAll("input")) box.checked = isTicked(piece, box.dataset.tick);
    const old = ["cut", "laid"].filter((what) => isOutdated(piece, what));
    const words = old.length ? [`changed since ticked ${old.join(" and ")}`] : [];
    if (isTicked(piece, "laid") && untrue(piece)) words.push(untrue(piece));
    item.querySelector(".outdated").textContent = words.join("; ");
  }
  const count = (what) => pieces.filter((piece) => isTicked(piece, what)).length;
  const progress = `Cut ${count("cut")} of ${pieces.length}, laid ${count("laid")} of ${pieces.length}.`;
  document.getElementById("progress").textContent = progress;
  document.getElementById("kept").textContent = keptWords();
}

// the piece marked laid last, so that it can be taken back at once
let lastLaid = null;

function laidButton(piece) {
  const laid = isTicked(piece, "laid");
  return button(`Mark ${piece.mark} ${laid ? "not laid" : "laid"}`, afterPause(() => markLaid(piece, !laid)));
}

function showNext() {
  const body = document.querySelector("#next .next-body");
  const piece = nextToLay();
  if (!data.passed) {
    body.replaceChildren(element("p", { class: "done" }, "Nothing: the frame is not proved. Do not cut, do not lay."));
    return;
  }
  const back = lastLaid && isTicked(lastLaid, "laid") ? [laidButton(lastLaid)] : [];
  if (!piece) {
    body.replaceChildren(element("p", { class: "done" }, `All laid: ${pieces.length} of ${pieces.length}.`), ...back);
    return;
  }
  const over = matesOf(piece, "over");
  const words = [
    element("strong", {}, over ? `over ${over}` : "straight on the wall, over no other piece"),
    element("span", {}, `${sentence(piece)} On ${piece.walls.join(", ")}. ${piece.letter}: ${ROLE_WORDS[piece.role]}.`),
  ];
  const mark = afterPause(() => {
    lastLaid = piece;
    markLaid(piece, true);
    const following = nextToLay();
    if (following) pick(following.mark);
    document.querySelector("#next button")?.focus();
  });
  const laid = button(`Mark ${piece.mark} laid`, mark, { class: "main" });
  const show = button(`Pick ${piece.mark} on the plan`, () => {
    pick(piece.mark);
    bring(document.getElementById("plan"));
  });
  body.replaceChildren(
    element("p", { class: "mark" }, piece.mark, " ", roleChip(piece)),
    element("p", { class: "words" }, ...words),
    element("div", { class: "row" }, laid, show, ...back),
  );
}

function scrolledTo(item) {
  const box = list.getBoundingClientRect();
  const at = item.getBoundingClientRect();
  // only the list scrolls, never the page
  if (at.top < box.top) list.scrollTop -= box.top - at.top;
  else if (at.bottom > box.bottom) list.scrollTop += at.bottom - box.bottom;
}

list.append(...pieces.map(row));
list.addEventListener("keydown", (event) => {
  const column = event.target.closest("label, button");
  if (!["ArrowUp", "ArrowDown", "Home", "End"].includes(event.key) || !column) return;
  const place = [...column.parentElement.children].indexOf(column);
  moveAlong(event);
  const there = rows.get(state.picked.mark).children[place];
  const to = there.querySelector("input") || there;
  to.focus({ preventScroll: true });
  // clear of the bar at the foot of the page
  to.closest("li").scrollIntoView({ block: "nearest" });
});
listen((what) => {
  if (what === "ticks") {
    showTicks();
    showNext();
  }
  if (what !== "picked" && what !== "step") return;
  for (const [mark, item] of rows) {
    const on = mark === state.picked?.mark;
    item.classList.toggle("picked", on);
    item.querySelector(".pick").setAttribute("aria-pressed", String(on));
  }
  stopAt(state.picked);
  if (state.picked) scrolledTo(rows.get(state.picked.mark));
});
stopAt(null);
showTicks();
showNext();
