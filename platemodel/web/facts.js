// All about the picked piece, and the bar that says it wherever one has scrolled to.
const factsArea = document.querySelector("#piece .facts");

function facts(piece) {
  const face = piece.over
    ? "the UNDERSIDE as drawn on its sheet is up: it is laid upside down"
    : "the top as drawn on its sheet is up";
  return [
    ["Laying number", `${piece.order} of ${pieces.length}`],
    ["Type", piece.type],
    ["Length", `${piece.length} mm, section ${piece.section} mm, ${piece.mass} kg`],
    ["Halves", piece.letter === "–" ? "no lap" : meets(piece)],
    ["On", piece.walls.join(", ")],
    ["UP face", face],
    ["Datum end", `to the ${piece.datum} of the plan`],
    ["Board", piece.board || "none"],
  ];
}

function lapsTable(piece) {
  const head = ["mate", "proof", `lap, ${piece.mark} is`, "shoulders, mm"].map((words) => element("th", { scope: "col" }, words));
  // the faces are those of the cut sheet
  const drawn = piece.over ? ", as drawn: it is laid upside down" : "";
  const lines = piece.laps.map((lap) => {
    const mate = button(lap.mate, () => pick(lap.mate), { class: "mark", "aria-label": `Pick ${lap.mate}` });
    return element(
      "tr",
      {},
      element("td", {}, mate),
      element("td", { class: lap.proved ? "good" : "bad" }, lap.proved ? "proved" : "NOT PROVED"),
      element("td", {}, `${lap.kind}, ${lap.half} half: saw the ${lap.away} away${drawn}`),
      element("td", { class: "shoulders" }, ...lap.shoulders.map((words) => element("div", {}, words))),
    );
  });
  return element("table", {}, element("thead", {}, element("tr", {}, ...head)), element("tbody", {}, ...lines));
}

function showFacts() {
  const piece = state.picked;
  document.getElementById("piece-head").textContent = piece ? `Piece ${piece.mark}` : "Piece";
  document.getElementById("said").textContent = piece ? sentence(piece) : "No piece is picked.";
  if (!piece) return;
  const pairs = facts(piece).flatMap(([name, words]) => [element("dt", {}, name), element("dd", {}, words)]);
  const from = "Shoulders are taped from the datum end, as on the cut sheet; saw only by the sheet.";
  factsArea.replaceChildren(
    ...(piece.laps.length ? [lapsTable(piece), element("p", { class: "hint" }, from)] : []),
    ...(data.passed ? [element("p", { class: "row deed" }, laidButton(piece))] : []),
    ...rulesOf(piece),
    element("dl", {}, ...pairs),
  );
}

// the bar picks along the laying order; it says which, and hides nothing
function showBar() {
  const order = state.picked ? state.picked.order : 0;
  for (const [id, other] of [["bar-back", pieces[order - 2]], ["bar-on", pieces[order]]]) {
    const one = document.getElementById(id);
    const words = other ? `Pick ${other.mark}` : id === "bar-back" ? "first" : "last";
    one.textContent = id === "bar-back" ? `‹ ${words}` : `${words} ›`;
    one.setAttribute("aria-disabled", String(!other));
  }
}

document.getElementById("bar-back").addEventListener("click", () => pickAlong(-1));
document.getElementById("bar-on").addEventListener("click", () => pickAlong(1));
listen((what) => {
  if (what === "apart" || what === "hidden") return;
  const toggled = document.activeElement?.closest(".deed");
  showFacts();
  showBar();
  if (toggled) factsArea.querySelector(".deed button")?.focus();
});
showFacts();
showBar();
