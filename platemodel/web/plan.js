// The plan: what is pressed there is picked, and what is picked stands out. Made larger it is dragged.
const planPaper = document.getElementById("plan-paper");
const planDrawing = planPaper.querySelector("svg");
const drawn = [...planPaper.querySelectorAll("g[data-of]")].filter((group) => byMark.has(group.dataset.of));
const PLAN_SIZES = [1, 1.6, 2.5, 4];
let planAt = 0;

function markAt(x, y) {
  const group = document.elementFromPoint(x, y)?.closest("#plan-paper g[data-of]");
  return group && byMark.has(group.dataset.of) ? group.dataset.of : null;
}

planPaper.addEventListener("click", (event) => {
  const mark = near(event.clientX, event.clientY, markAt);
  if (mark) pick(mark);
});
planPaper.addEventListener("keydown", moveAlong);
listen((what) => {
  for (const group of drawn) {
    const piece = byMark.get(group.dataset.of);
    group.classList.toggle("picked", piece === state.picked);
    group.classList.toggle("mate", isMate(piece));
    group.classList.toggle("later", piece.order > state.step);
  }
  if (what === "picked" || what === "step") panToPicked();
});

// the boxed mark of a piece that lies aslant is turned along it
const labelled = drawn.filter((group) => group.querySelector("text"));
for (const group of labelled) {
  const [east, north, , farEast, farNorth] = byMark.get(group.dataset.of).solid.ends;
  let turn = (-Math.atan2(farNorth - north, farEast - east) * 180) / Math.PI;
  if (turn > 90) turn -= 180;
  else if (turn <= -90) turn += 180;
  const drawnAt = Number(/rotate\(([-\d.]+)/.exec(group.querySelector("text").getAttribute("transform") || "")?.[1] || 0);
  const by = turn - drawnAt;
  // a label beside its piece hangs on a line
  if (Math.abs(Math.sin((2 * turn * Math.PI) / 180)) < 0.02 || group.querySelector("polyline")) continue;
  const [x, y] = middleOf(cornersOf(group.querySelector("polygon")));
  group.setAttribute("transform", `rotate(${by.toFixed(2)} ${x} ${y})`);
}

function cornersOf(polygon) {
  return polygon.getAttribute("points").split(" ").map((pair) => pair.split(",").map(Number));
}

function middleOf(corners) {
  return [0, 1].map((axis) => corners.reduce((sum, corner) => sum + corner[axis], 0) / corners.length);
}

function turned(corners, [x, y], degrees) {
  const [cos, sin] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  return corners.map(([a, b]) => [x + (a - x) * cos - (b - y) * sin, y + (a - x) * sin + (b - y) * cos]);
}

function turnOf(one) {
  const found = /rotate\(([-\d.]+) ([-\d.]+) ([-\d.]+)\)/.exec(one.getAttribute("transform") || "");
  return found ? [Number(found[1]), [Number(found[2]), Number(found[3])]] : [0, [0, 0]];
}

// whether two convex areas are clear of one another: some edge of one has all of the other beyond it
function clear(one, other) {
  return [one, other].some((area) =>
    area.some(([x, y], at) => {
      const [fx, fy] = area[(at + 1) % area.length];
      const side = (corner) => (fx - x) * (corner[1] - y) - (fy - y) * (corner[0] - x);
      const own = Math.max(...one.concat(other).map((corner) => Math.abs(side(corner)))) * 1e-6;
      const mine = Math.sign(area.map(side).find((value) => Math.abs(value) > own) || 0);
      return (area === one ? other : one).every((corner) => side(corner) * mine < -own);
    }),
  );
}

// names of walls are read on a phone too: larger, without the length, where they find room
const LEAST_NAME = 9.5;
const NAME_SIZES = [12, 11, 10];
const MOST_NAMES = 60;
const names = [...planDrawing.children].filter((one) => one.tagName === "text").map((one) => ({
  one,
  words: one.textContent,
  size: Number(one.getAttribute("font-size")),
  at: [Number(one.getAttribute("x")), Number(one.getAttribute("y"))],
  long: one.getAttribute("textLength"),
}));
// plates, their marks and the lines these hang on, which names keep clear of
function obstacles() {
  return drawn.flatMap((group) => {
    const [turn, about] = turnOf(group);
    const areas = [...group.querySelectorAll("polygon")].map(cornersOf);
    for (const line of group.querySelectorAll("polyline")) {
      cornersOf(line).slice(1).forEach((to, at) => areas.push(thin(cornersOf(line)[at], to)));
    }
    return areas.map((corners) => turned(corners, about, turn));
  });
}

// a line as an area a little wide
function thin([x, y], [fx, fy]) {
  const long = Math.hypot(fx - x, fy - y) || 1;
  const [dx, dy] = [(-0.3 * (fy - y)) / long, (0.3 * (fx - x)) / long];
  return [[x - dx, y - dy], [fx - dx, fy - dy], [fx + dx, fy + dy], [x + dx, y + dy]];
}
const within = [0, 0, planDrawing.viewBox.baseVal.width, planDrawing.viewBox.baseVal.height];

function nameArea(name, [x, y], size, long) {
  const [turn, about] = turnOf(name.one);
  const [up, down] = [y - 0.95 * size, y + 0.25 * size];
  return turned([[x - long / 2, up], [x + long / 2, up], [x + long / 2, down], [x - long / 2, down]], about, turn);
}

function setName(name, words, at, size, long) {
  name.one.textContent = words;
  name.one.setAttribute("font-size", String(size));
  name.one.setAttribute("x", String(at[0]));
  name.one.setAttribute("y", String(at[1]));
  if (long) name.one.setAttribute("textLength", String(long));
  else name.one.removeAttribute("textLength");
  name.one.removeAttribute("display");
}

function nameLarger(name, scale, taken) {
  const words = name.words.replace(/\s{2}\d+$/, "");
  for (const px of NAME_SIZES) {
    const size = px / scale;
    const long = Math.min(Number(name.long), 1e9) * (words.length / name.words.length) * (size / name.size) * 1.04;
    for (const aside of [0, 0.25, -0.25, 0.5, -0.5]) {
      for (const off of [0, 0.35, -0.35, 0.7, -0.7]) {
        const at = [name.at[0] + aside * long, name.at[1] + 0.36 * (size - name.size) + off * size];
        const area = nameArea(name, at, size, long);
        if (area.some(([x, y]) => x < within[0] || y < within[1] || x > within[2] || y > within[3])) continue;
        if (!taken.every((other) => clear(area, other))) continue;
        setName(name, words, at, size, null);
        return area;
      }
    }
  }
  name.one.setAttribute("display", "none");
  return null;
}

let namedAt = NaN;
function nameWalls() {
  const scale = planDrawing.getBoundingClientRect().width / planDrawing.viewBox.baseVal.width;
  if (!scale || Math.abs(scale - namedAt) < 0.01) return;
  namedAt = scale;
  const small = names.filter((name) => name.size * scale < LEAST_NAME);
  for (const name of names) {
    if (!small.includes(name)) setName(name, name.words, name.at, name.size, name.long);
  }
  if (names.length > MOST_NAMES) {
    for (const name of small) name.one.setAttribute("display", "none");
    return;
  }
  const taken = small.length ? obstacles() : [];
  for (const name of small) {
    const area = nameLarger(name, scale, taken);
    if (area) taken.push(area);
  }
}

const lookAtPlan = watchPan(planPaper);

function setPlanSize(at) {
  planAt = Math.min(Math.max(at, 0), PLAN_SIZES.length - 1);
  planDrawing.style.width = `${PLAN_SIZES[planAt] * 100}%`;
  planDrawing.style.height = `${PLAN_SIZES[planAt] * 100}%`;
  document.getElementById("plan-smaller").setAttribute("aria-disabled", String(planAt === 0));
  document.getElementById("plan-larger").setAttribute("aria-disabled", String(planAt === PLAN_SIZES.length - 1));
  nameWalls();
  lookAtPlan();
  panToPicked();
}

// what is picked lies in the middle of a plan that is larger than its box
function panToPicked() {
  if (!planAt || !state.picked) return;
  const group = labelled.find((one) => one.dataset.of === state.picked.mark);
  if (!group) return;
  const [box, at] = [planPaper.getBoundingClientRect(), group.getBoundingClientRect()];
  planPaper.scrollBy({
    left: (at.left + at.right - box.left - box.right) / 2,
    top: (at.top + at.bottom - box.top - box.bottom) / 2,
    behavior: "instant",
  });
}

document.getElementById("plan-larger").addEventListener("click", () => setPlanSize(planAt + 1));
document.getElementById("plan-smaller").addEventListener("click", () => setPlanSize(planAt - 1));
new ResizeObserver(nameWalls).observe(planPaper);
// paper shows the names as they were drawn
window.addEventListener("beforeprint", () => {
  for (const name of names) setName(name, name.words, name.at, name.size, name.long);
  namedAt = NaN;
});
window.addEventListener("afterprint", nameWalls);
