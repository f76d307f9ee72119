// The long section of a wall: its top, the bed, the plates, the line of sight. Heights are drawn larger than
// lengths, the plates' depth less so, for it is the bed that matters.
const SECTION_HIGH = 264;
const SECTION_EDGE = { left: 10, right: 10, top: 40, bottom: 34 };
const SVG_SPACE = "http://www.w3.org/2000/svg";
// a line of sight this near to the plates is drawn where it is, mm
const NEAR_LINE = 20;
// the plates' depth as drawn, px
const PLATE_HIGH = 48;
const LETTER = 11;
// for a bed, where plates lie on others and no mortar goes
const NO_BED = "–";
// so much wall is drawn below its lowest place, px
const FOOT = 40;

// places of several pieces are one: where two pieces are lapped both have it
function stationsOf(wallName) {
  const found = [];
  const here = bedding.places.filter((place) => place.wall === wallName).sort((one, other) => one.at - other.at);
  for (const place of here) {
    const last = found[found.length - 1];
    if (last && place.at - last.at <= 0.5 && Math.abs(place.top - last.top) < 0.5) {
      if (!last.marks.includes(place.mark)) last.marks.push(place.mark);
      // mortar goes where any of them needs it
      if (!place.lies_on) last.lies_on = "";
      last.what.push(...(place.what || []).map((words) => ({ mark: place.mark, words })));
      continue;
    }
    const what = (place.what || []).map((words) => ({ mark: place.mark, words }));
    found.push({ ...place, marks: [place.mark], what });
  }
  return found;
}

const isRead = (station) => station.what.some(({ words }) => words.startsWith("read"));

const wallNames = bedding ? [...new Set(bedding.places.map((place) => place.wall))] : [];
const stationsBy = new Map(wallNames.map((name) => [name, stationsOf(name)]));

function reachOf(wallName) {
  const tops = (bedding.tops || []).find((one) => one.wall === wallName)?.at_level || [];
  const all = [...stationsBy.get(wallName).map((one) => one.at), ...tops.map(([at]) => at), 0];
  return [Math.min(...all), Math.max(...all)];
}

// the plates on a wall: from and to along it; one that goes on round the corner of two walls in line reaches its end
function platesOf(wallName) {
  const [low, high] = reachOf(wallName);
  const spans = new Map();
  for (const place of bedding.places.filter((one) => one.wall === wallName)) {
    const span = spans.get(place.mark) || [Infinity, -Infinity];
    spans.set(place.mark, [Math.min(span[0], place.at), Math.max(span[1], place.at)]);
  }
  const least = Math.min(...[...spans.values()].map((span) => span[0]));
  const most = Math.max(...[...spans.values()].map((span) => span[1]));
  return [...spans].map(([mark, [from, to]]) => {
    const through = (byMark.get(mark)?.walls.length || 1) > 1;
    return { mark, from: through && from === least ? low : from, to: through && to === most ? high : to };
  });
}

function between(knots, at) {
  if (at <= knots[0][0]) return knots[0][1];
  for (let k = 1; k < knots.length; k += 1) {
    const [[a, la], [b, lb]] = [knots[k - 1], knots[k]];
    if (at <= b) return b === a ? lb : la + ((lb - la) * (at - a)) / (b - a);
  }
  return knots[knots.length - 1][1];
}

// the wall's top as read, with the lintels that stand up from it or lie deeper
function profileOf(wallName) {
  const stations = stationsBy.get(wallName);
  const tops = (bedding.tops || []).find((one) => one.wall === wallName)?.at_level;
  const knots = tops?.length ? tops : stations.filter((one) => !one.lintel).map((one) => [one.at, one.top]);
  const base = knots.length ? knots : stations.map((one) => [one.at, one.top]);
  const lintels = [...new Set(stations.map((one) => one.lintel).filter(Boolean))].map((name) => {
    const of = stations.filter((one) => one.lintel === name).map((one) => [one.at, one.top]);
    return { name, points: of, from: of[0][0], to: of[of.length - 1][0] };
  });
  const [low, high] = reachOf(wallName);
  const level = (at) => between(base, at);
  const points = [low, ...base.map(([at]) => at).filter((at) => at > low && at < high), high]
    .filter((at) => !lintels.some((one) => at > one.from && at < one.to))
    .map((at) => [at, level(at)]);
  for (const one of lintels) points.push([one.from, level(one.from)], ...one.points, [one.to, level(one.to)]);
  // sorting keeps the order of equals: where a lintel begins the wall comes first, where it ends the lintel
  return { points: points.sort((one, other) => one[0] - other[0]), lintels };
}

function drawnAs(name, attributes, ...children) {
  const made = document.createElementNS(SVG_SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}

function letters(words, x, y, more = {}) {
  return drawnAs("text", { x: x.toFixed(1), y: y.toFixed(1), "font-size": LETTER, "text-anchor": "middle", ...more }, words);
}

const pixel = (value) => value.toFixed(1);

// the drawing of a wall so many px wide; `station` is the picked one
function sectionOf(wallName, wide, station = null) {
  const stations = stationsBy.get(wallName);
  const [low, high] = reachOf(wallName);
  const { points, lintels } = profileOf(wallName);
  const levels = [...points.map(([, level]) => level), ...stations.map((one) => one.top)];
  const top = bedding.underside + bedding.depth;
  const lineNear = bedding.line - top < NEAR_LINE && bedding.line > Math.min(...levels);
  const lower = Math.min(bedding.underside - 1, ...levels);
  const { left, right, top: above, bottom } = SECTION_EDGE;
  const across = (wide - left - right) / Math.max(high - low, 1);
  const under = above + PLATE_HIGH;
  const up = (SECTION_HIGH - under - bottom - FOOT) / (bedding.underside - lower);
  const upPlate = Math.min(PLATE_HIGH / bedding.depth, up);
  const X = (at) => left + (at - low) * across;
  const Y = (level) => under - (level - bedding.underside) * (level > bedding.underside ? upPlate : up);
  const times = up / across;
  const said = `Long section of ${wallName}: heights ${figure(times, 0)} times as large as lengths`;
  const svg = drawnAs("svg", { viewBox: `0 0 ${wide} ${SECTION_HIGH}`, role: "img", "aria-label": said });
  const path = (list) => list.map(([at, level]) => `${pixel(X(at))},${pixel(Y(level))}`).join(" ");
  const foot = lower - FOOT / up;
  // bed beneath each plate, then the wall before it
  const plates = platesOf(wallName);
  for (const one of plates) {
    const beds = drawnAs("rect", {
      class: "bed",
      x: pixel(X(one.from)),
      y: pixel(Y(bedding.underside)),
      width: pixel(Math.max(X(one.to) - X(one.from), 0.5)),
      height: pixel(Y(foot) - Y(bedding.underside)),
    });
    svg.append(beds);
  }
  svg.append(drawnAs("polygon", { class: "masonry", points: `${path(points)} ${path([[high, foot], [low, foot]])}` }));
  for (const one of lintels) {
    svg.append(drawnAs("polygon", { class: "lintel", points: `${path(one.points)} ${path([[one.to, foot], [one.from, foot]])}` }));
    svg.append(letters(one.name, (X(one.from) + X(one.to)) / 2, Y(foot) - 4));
  }
  svg.append(drawnAs("polyline", { class: "ground", points: path(points) }));
  for (const [kind, spans] of [["over", bedding.too_thick], ["high", bedding.too_high]]) {
    for (const one of (spans || []).filter((span) => span.wall === wallName)) {
      const [from, to] = [X(Math.max(one.begin, low)), X(Math.min(one.end, high))];
      svg.append(drawnAs("rect", { class: `misfit ${kind}`, x: pixel(from), y: pixel(Y(foot) - 7), width: pixel(Math.max(to - from, 4)), height: "7" }));
    }
  }
  // plates, lapped where two are in one place: the under half is the lower
  const part = (mark, from, to, begin, end) =>
    drawnAs("rect", { class: "plate", "data-of": mark, x: pixel(X(from)), y: pixel(Y(end)), width: pixel(Math.max(X(to) - X(from), 0.5)), height: pixel(Math.max(Y(begin) - Y(end), 0.5)) });
  for (const one of plates) svg.append(part(one.mark, one.from, one.to, bedding.underside, top));
  const middle = bedding.underside + bedding.depth / 2;
  plates.forEach((one, k) => {
    for (const other of plates.slice(k + 1)) {
      const [from, to] = [Math.max(one.from, other.from), Math.min(one.to, other.to)];
      const half = byMark.get(one.mark)?.laps.find((lap) => lap.mate === other.mark)?.half;
      if (to <= from || !half) continue;
      const [under, over] = half === "under" ? [one, other] : [other, one];
      svg.append(part(under.mark, from, to, bedding.underside, middle), part(over.mark, from, to, middle, top));
    }
  });
  for (const one of plates) {
    const room = X(one.to) - X(one.from);
    if (room > 8 * one.mark.length + 6) svg.append(letters(one.mark, (X(one.from) + X(one.to)) / 2, Y(middle) + 4.5, { class: "mark-of", "data-of": one.mark, "font-size": 13 }));
  }
  // the line of sight, cut off from its true height where it is far
  const lineAt = lineNear ? Y(bedding.line) : 20;
  svg.append(drawnAs("line", { class: "sight", x1: left, x2: pixel(wide - right), y1: pixel(lineAt), y2: pixel(lineAt) }));
  const name = byLaser ? "laser’s line" : "line of sight";
  const off = bedding.line - top;
  const how = lineNear ? "" : ", not to scale";
  svg.append(letters(`${name}: ${readingWords(Math.abs(off))} ${off < 0 ? "below" : "above"} the plates${how}`, left, 13, { "text-anchor": "start" }));
  if (!lineNear) {
    for (const x of [left + 18, wide - right - 18]) {
      svg.append(drawnAs("path", { class: "broken", d: `M${x} ${pixel(lineAt)}V${above - 14}l-5 3l10 4l-5 3V${pixel(Y(top))}` }));
    }
  }
  // metres along the wall
  const every = across * 1000 >= 20 ? 1 : across * 1000 >= 9 ? 2 : 5;
  for (let metre = Math.ceil(low / 1000); metre * 1000 <= high + 1; metre += 1) {
    const x = X(metre * 1000);
    svg.append(drawnAs("line", { class: "scale", x1: pixel(x), x2: pixel(x), y1: SECTION_HIGH - bottom, y2: SECTION_HIGH - bottom + 5 }));
    if (metre % every === 0) svg.append(letters(`${metre}`, Math.min(Math.max(x, 6), wide - 6), SECTION_HIGH - bottom + 17));
  }
  svg.append(letters("metres from the wall’s first corner", wide / 2, SECTION_HIGH - 4));
  // places, and their beds where the figures find room: the picked one, then those read, then the rest
  for (const one of stations) {
    const [x, y] = [X(one.at), Y(one.top)];
    const read = isRead(one);
    svg.append(drawnAs("circle", { class: read ? "station read" : "station", cx: pixel(x), cy: pixel(y), r: read ? 4 : 2.5 }));
  }
  if (station) {
    const x = X(station.at);
    svg.append(drawnAs("line", { class: "at-station", x1: pixel(x), x2: pixel(x), y1: pixel(lineAt), y2: pixel(Y(foot)) }));
    svg.append(drawnAs("circle", { class: "station picked", cx: pixel(x), cy: pixel(Y(station.top)), r: 7 }));
  }
  const taken = [];
  const rank = (one) => (one === station ? 0 : isRead(one) ? 1 : 2);
  for (const one of [...stations].sort((a, b) => rank(a) - rank(b) || a.at - b.at)) {
    const words = one.lies_on ? NO_BED : bedFigure(one.bed, []);
    const half = words.length * 3.2 + 3;
    const x = Math.min(Math.max(X(one.at), half), wide - half);
    if (taken.some(([from, to]) => x + half > from && x - half < to)) continue;
    taken.push([x - half, x + half]);
    svg.append(letters(words, x, Math.min(Y(one.top) + 17, Y(foot) - 4), { class: one === station ? "figure-of picked" : "figure-of" }));
  }
  return { svg, times, X };
}
