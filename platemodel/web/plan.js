// The plan: what is pressed there is picked, and what is picked stands out.
const planPaper = document.getElementById("plan-paper");
const drawn = [...planPaper.querySelectorAll("g[data-of]")].filter((group) => byMark.has(group.dataset.of));

function markAt(x, y) {
  const group = document.elementFromPoint(x, y)?.closest("#plan-paper g[data-of]");
  return group && byMark.has(group.dataset.of) ? group.dataset.of : null;
}

planPaper.addEventListener("click", (event) => {
  const mark = near(event.clientX, event.clientY, markAt);
  if (mark) pick(mark);
});
planPaper.addEventListener("keydown", moveAlong);
listen(() => {
  for (const group of drawn) {
    const piece = byMark.get(group.dataset.of);
    group.classList.toggle("picked", piece === state.picked);
    group.classList.toggle("mate", isMate(piece));
    group.classList.toggle("later", piece.order > state.step);
  }
});
