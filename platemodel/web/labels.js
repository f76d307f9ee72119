// Marks beside the pieces in the 3D view, the picked one first; those that would cover another are left out.
const MOST_LABELS = 60;
// a narrower view shows the marks of the picked piece and its mates only (px)
const NARROW = 480;
const labelArea = document.querySelector(".labels");
const labels = new Map();

function labelOf(piece) {
  if (!labels.has(piece)) {
    const made = document.createElement("span");
    made.textContent = `${piece.mark} ${piece.letter}`;
    made.hidden = true;
    labelArea.append(made);
    labels.set(piece, { made });
  }
  return labels.get(piece);
}

function wanted(wide) {
  const { picked } = page.state;
  const shown = page.pieces.filter(page.isShown);
  const mates = shown.filter(page.isMate);
  const rest = page.pieces.length > MOST_LABELS || wide < NARROW ? [] : shown;
  return [...new Set([...(picked && page.isShown(picked) ? [picked] : []), ...mates, ...rest])];
}

// `place` gives where a piece's label stands in the view, or null; `wide` is the view's width
function showLabels(place, wide) {
  const taken = [];
  const want = wanted(wide);
  want.forEach(labelOf);
  for (const [piece, label] of labels) {
    label.made.className = piece === page.state.picked ? "picked" : "";
    if (!want.includes(piece)) label.made.hidden = true;
  }
  for (const piece of want) {
    const at = place(piece);
    const label = labelOf(piece);
    const picked = piece === page.state.picked;
    const width = 8 * label.made.textContent.length * (picked ? 1.25 : 1) + 12;
    const high = picked ? 24 : 20;
    const box = at && [at.x - width / 2, at.y - high / 2, at.x + width / 2, at.y + high / 2];
    const free = box && taken.every((one) => box[2] < one[0] || box[0] > one[2] || box[3] < one[1] || box[1] > one[3]);
    label.made.hidden = !free;
    if (!free) continue;
    taken.push(box);
    label.made.style.transform = `translate(${at.x.toFixed(1)}px, ${at.y.toFixed(1)}px) translate(-50%, -50%)`;
  }
}
