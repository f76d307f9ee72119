// The legend of halves, the first pick, and what the 3D view takes from here.
const LETTERS = { under: "U", over: "O", both: "UO", none: "–" };
const PLAN_WORDS = { under: "under halves", over: "over halves", both: "under and over halves", none: "no lap" };
const swatch = (look, words, about = "") => element("span", { class: about }, element("i", { class: `swatch ${look}` }), ...words);
const present = new Set(pieces.map((piece) => piece.role));
document.querySelector("#space .legend").append(
  ...Object.keys(LETTERS)
    .filter((role) => present.has(role))
    .map((role) => swatch(`role-${role}`, [element("b", {}, LETTERS[role]), ` ${ROLE_WORDS[role]}`])),
  swatch("is-picked thick", ["picked: yellow, thick edge"]),
  swatch("is-mate", ["its mates: yellowish"]),
);
document.querySelector("#plan .legend").append(
  swatch("is-picked thick", ["picked"], "for-screen"),
  swatch("is-pale", ["its mates"], "for-screen"),
  swatch("is-later", ["faint: not put on yet"], "for-screen"),
  ...Object.keys(LETTERS)
    .filter((role) => present.has(role))
    .map((role) => swatch(`plain role-${role}`, [PLAN_WORDS[role]])),
  ...(data.joints.some((joint) => joint.kind !== "splice") ? [swatch("is-lap", ["lap"])] : []),
  ...(data.joints.some((joint) => joint.kind === "splice") ? [swatch("is-splice", ["splice"])] : []),
  swatch("is-datum", ["datum end"]),
  ...(data.bearings ? [swatch("is-bearing", ["bearing"])] : []),
  ...(data.openings ? [swatch("is-opening", ["grey bar: opening below"])] : []),
  element("span", {}, "↑ north up"),
);

window.platemodel = { wall: { bedOf, parseReading, judgeBed, bedFigure, pickStation, pickedStation, moveInstrument, forgetAll }, pieces, state, listen, pick, joints: data.joints, setStep, setApart, showLaid, showAll, hidePicked, pickAlong, near, isMate, isShown, noSpace };
// what is scrolled to or has the focus stays clear of the bar at the foot of the page, however high it is
const bar = document.getElementById("bar");
new ResizeObserver(() => {
  document.documentElement.style.setProperty("--bar", `${Math.ceil(bar.getBoundingClientRect().height)}px`);
}).observe(bar);

pick((nextToLay() || pieces[0]).mark);
document.documentElement.classList.add("ready");
window.platemodel.begun = beginSpace();
