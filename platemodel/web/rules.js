// Rules that do not hold: opened at the head of the page, and those that name a piece.
const rulesHead = document.getElementById("rules-head");
const rulesList = document.getElementById("rules-list");

rulesHead?.addEventListener("click", () => {
  const folded = rulesList.classList.toggle("folded");
  rulesHead.setAttribute("aria-expanded", String(!folded));
});
rulesList?.addEventListener("click", (event) => {
  const mark = event.target.closest("[data-pick]")?.dataset.pick;
  if (mark) pick(mark);
});

function brokenRules(piece) {
  return data.rules.flatMap((rule) => {
    const places = rule.places.filter((place) => place.marks.includes(piece.mark));
    return places.map((place) => ({ rule: rule.rule, source: rule.source, words: place.words }));
  });
}

function rulesOf(piece) {
  const found = brokenRules(piece);
  if (!found.length) return [];
  const lines = found.map((one) =>
    element("li", {}, element("strong", {}, one.rule), ` (${one.source}): ${one.words}`),
  );
  const head = `\u26a0\ufe0e ${found.length} ${found.length === 1 ? "rule does" : "rules do"} not hold for ${piece.mark}:`;
  return [element("div", { class: "warn" }, element("p", {}, head), element("ul", {}, ...lines))];
}
