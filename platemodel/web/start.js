// The legend of halves, the first pick, and what the 3D view takes from here.
const LEGEND = [
  ["under", "U", "under halves only"],
  ["over", "O", "over halves only"],
  ["both", "UO", "under and over halves"],
  ["none", "–", "no lap"],
];
const present = new Set(pieces.map((piece) => piece.role));
document.querySelector(".legend").append(
  ...LEGEND.filter(([role]) => present.has(role)).map(([role, letter, words]) =>
    element("span", {}, element("i", { class: `swatch role-${role}` }), element("b", {}, letter), ` ${words}`),
  ),
);

window.platemodel = { pieces, state, listen, pick, setStep, setApart, showLaid, showAll, hidePicked, pickAlong, near, isMate, isShown };
pick((nextToLay() || pieces[0]).mark);
document.documentElement.classList.add("ready");
