// Every lap and whether it is proved; what was measured, and what it may be, once that is asked for.
const jointsArea = document.getElementById("joints-scroll");

function figure(value, digits = 3) {
  if (value === null || value === undefined) return "not measured";
  const text = Number(value).toFixed(digits);
  return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
}

// a limit in two figures, as 0.000001 or 27
function limit(value) {
  if (value === null || value === undefined) return "?";
  const size = Math.abs(value);
  return size >= 10 || size === 0 ? String(Math.round(value)) : Number(value.toPrecision(2)).toString();
}

function markButton(mark) {
  const made = button(mark, () => pick(mark), { class: "mark", "data-mark": mark, "aria-label": `Pick ${mark}` });
  return element("td", {}, made);
}

function figureCell(words, small) {
  return element("td", { class: "figure" }, words, element("small", {}, small));
}

function jointRow(joint) {
  const limits = joint.limits;
  const bad = joint.failed.length ? `: ${joint.failed.join(", ")}` : "";
  return element(
    "tr",
    { "data-joint": joint.id },
    element("th", { scope: "row" }, joint.id),
    element("td", { class: joint.passed ? "good" : "bad" }, joint.passed ? "proved" : `NOT PROVED${bad}`),
    element("td", {}, joint.kind),
    markButton(joint.under),
    markButton(joint.over),
    element("td", { class: "figure" }, `${figure(joint.angle, 1)}°`),
    figureCell(figure(joint.clash), `at most ${limit(limits.volume)}`),
    figureCell(figure(joint.fill, 6), `1 ± ${limit(limits.fill)}`),
    figureCell(figure(joint.gap), `${figure(joint.gap_expected)} ± ${limit(limits.volume)}`),
    figureCell(figure(joint.seat), `${figure(joint.seat_expected)} ± ${limit(limits.seat)}`),
  );
}

const columns = ["lap", "proof", "kind", "under", "over", "angle", "clash mm³", "fill", "gap mm³", "seat mm²"];
// as many columns are words
const PLAIN = 5;

function showJoints() {
  if (!data.joints.length) {
    jointsArea.append(element("p", {}, "This frame has no lap."));
    return;
  }
  const head = element(
    "tr",
    {},
    ...columns.map((words, at) => element("th", { scope: "col", class: at < PLAIN ? "" : "figure" }, words)),
  );
  const body = element("tbody", {}, ...data.joints.map(jointRow));
  jointsArea.append(element("table", {}, element("thead", {}, head), body));
  oneTabStop(jointsArea, "button");
  showFigures(false);
  showPickedJoints();
}

const figuresButton = document.getElementById("figures");
const lookAtJoints = watchPan(jointsArea);

function showFigures(on) {
  figuresButton.setAttribute("aria-pressed", String(on));
  figuresButton.textContent = on ? "Hide figures" : "Show figures";
  document.getElementById("joints").classList.toggle("plain", !on);
  lookAtJoints();
}

figuresButton.addEventListener("click", () => showFigures(figuresButton.getAttribute("aria-pressed") !== "true"));

function showPickedJoints() {
  const mark = state.picked?.mark;
  for (const line of jointsArea.querySelectorAll("tbody tr")) {
    const buttons = [...line.querySelectorAll("button")];
    line.classList.toggle("picked", buttons.some((one) => one.dataset.mark === mark));
    for (const one of buttons) one.setAttribute("aria-pressed", String(one.dataset.mark === mark));
  }
}

listen((what) => {
  if (what === "picked" || what === "step") showPickedJoints();
});
// a long table, far down: the frame is seen before it
document.addEventListener("DOMContentLoaded", showJoints);
