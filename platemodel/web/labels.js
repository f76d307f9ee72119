// Marks beside the pieces in the 3D view, each on a line to its piece, the picked one first; those that find
// no room are left out.
const MOST_LABELS = 60;
// a narrower view shows the marks of the picked piece and its mates only (px)
const NARROW = 480;
const labelArea = document.querySelector(".labels");
const SVG = "http://www.w3.org/2000/svg";
const leaders = document.createElementNS(SVG, "path");
const leaderArea = document.createElementNS(SVG, "svg");
leaderArea.append(leaders);
labelArea.append(leaderArea);
const labels = new Map();

function labelOf(piece) {
  if (!labels.has(piece)) {
    const made = document.createElement("span");
    made.textContent = `${piece.mark} ${piece.letter}`;
    made.hidden = true;
    labelArea.append(made);
    labels.set(piece, { made, side: 0 });
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

// whether a line from a to b runs through a box: cut at each of its edges in turn
function crosses([a, b], [left, top, right, bottom]) {
  if ((a.x < left && b.x < left) || (a.x > right && b.x > right)) return false;
  if ((a.y < top && b.y < top) || (a.y > bottom && b.y > bottom)) return false;
  let [begin, end] = [0, 1];
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  for (const [by, room] of [[-dx, a.x - left], [dx, right - a.x], [-dy, a.y - top], [dy, bottom - a.y]]) {
    if (by === 0) {
      if (room < 0) return false;
    } else if (by < 0) begin = Math.max(begin, room / by);
    else end = Math.min(end, room / by);
  }
  return begin <= end;
}

// places of a label's middle beside its piece: square off the middle line on either side, near and further
function besides(at, width, high) {
  const [from, to] = at.ends;
  const long = Math.hypot(to.x - from.x, to.y - from.y);
  const [x, y] = long < 1 ? [0, -1] : [(to.y - from.y) / long, (from.x - to.x) / long];
  const off = (Math.abs(x) * width + Math.abs(y) * high) / 2 + 9 + at.half;
  return [off, -off, off + 16, -off - 16, off + 34, -off - 34].map((by) => [at.x + x * by, at.y + y * by]);
}

function boxAbout([x, y], width, high) {
  return [x - width / 2, y - high / 2, x + width / 2, y + high / 2];
}

// `place` gives where a piece lies in the view, or null; `lines` are all that are shown; `[wide, tall]` is the view
function showLabels(place, lines, [wide, tall]) {
  const taken = [];
  const want = wanted(wide);
  want.forEach(labelOf);
  for (const [piece, label] of labels) {
    label.made.className = piece === page.state.picked ? "picked" : "";
    if (!want.includes(piece)) label.made.hidden = true;
  }
  let path = "";
  for (const piece of want) {
    const at = place(piece);
    const label = labelOf(piece);
    const picked = piece === page.state.picked;
    const width = (picked ? 8.2 : 7) * label.made.textContent.length + 10;
    const high = picked ? 20 : 17;
    let [best, found] = [Infinity, null];
    const inside = at && at.x > 0 && at.y > 0 && at.x < wide && at.y < tall;
    (inside ? besides(at, width, high) : []).forEach((middle, side) => {
      const box = boxAbout(middle, width, high);
      if (box[0] < 1 || box[1] < 1 || box[2] > wide - 1 || box[3] > tall - 1) return;
      if (!taken.every((one) => box[2] < one[0] || box[0] > one[2] || box[3] < one[1] || box[1] > one[3])) return;
      // it stays on its side while the view turns, unless the other one is clearly better
      const worse = side * 0.4 - (side === label.side ? 0.9 : 0);
      const cost = lines.filter((line) => crosses(line, box)).length * 2 + worse;
      if (cost < best) [best, found] = [cost, { middle, box, side }];
    });
    label.made.hidden = !found;
    if (!found) continue;
    label.side = found.side;
    taken.push(found.box);
    const [x, y] = found.middle.map((value) => value.toFixed(1));
    label.made.style.transform = `translate(${x}px, ${y}px) translate(-50%, -50%)`;
    path += `M${at.x.toFixed(1)} ${at.y.toFixed(1)}L${x} ${y}`;
  }
  leaders.setAttribute("d", path);
}
