// One tab stop for many controls: arrow keys go between them.
function oneTabStop(area, selector) {
  const all = () => [...area.querySelectorAll(selector)];

  function stop(at) {
    for (const one of all()) one.tabIndex = one === at ? 0 : -1;
  }

  area.addEventListener("focusin", (event) => {
    const at = event.target.closest(selector);
    if (at) stop(at);
  });
  area.addEventListener("keydown", (event) => {
    const by = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    const found = all();
    const at = found.indexOf(event.target.closest(selector));
    if (at < 0) return;
    const to = event.key === "Home" ? 0 : event.key === "End" ? found.length - 1 : by ? at + by : -1;
    if (to < 0 || to >= found.length) return;
    event.preventDefault();
    found[to].focus();
  });
  stop(all()[0]);
}

// arrow keys along the laying order; gives whether the key was one
function moveAlong(event) {
  if (event.altKey || event.ctrlKey || event.metaKey) return false;
  const by = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1, End: Infinity, Home: -Infinity }[event.key];
  if (by === undefined) return false;
  event.preventDefault();
  if (Number.isFinite(by)) pickAlong(by);
  else pick(pieces[by > 0 ? pieces.length - 1 : 0].mark);
  return true;
}

// the first thing found at a point of the screen or, a finger being wide, near it
function near(x, y, found) {
  for (const reach of [0, 6, 12, 18, 22]) {
    for (let part = 0; part < (reach ? 8 : 1); part += 1) {
      const turn = (part * Math.PI) / 4;
      const hit = found(x + reach * Math.cos(turn), y + reach * Math.sin(turn));
      if (hit) return hit;
    }
  }
  return null;
}
