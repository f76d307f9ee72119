// On the wall: a place is picked in the long section, it tells what must be read, and a reading typed there
// tells the new bed.
const wallArea = document.getElementById("wall-body");
const onWall = { name: wallNames[0] || null, at: 0 };
let wallParts = null;

function pickedStation() {
  return stationsBy.get(onWall.name)?.[onWall.at] || null;
}

// what the instrument must read on the plates, as it stands now, mm
function mustRead() {
  return bedding.top_of_plate_reads + movedBy;
}

function pickStation(name, at) {
  const stations = stationsBy.get(name);
  if (!stations) return;
  onWall.name = name;
  onWall.at = Math.min(Math.max(at, 0), stations.length - 1);
  showWall();
  const { marks } = pickedStation();
  if (!marks.includes(state.picked?.mark)) pick(marks[0]);
}

function chooseOf(words, options, changed) {
  const select = element("select", { "aria-label": words }, ...options);
  select.addEventListener("change", () => changed(select.selectedIndex));
  return select;
}

// "A2 end, A1 lap, on A2, read as 6"
function whatWords(station) {
  const told = station.what.map(({ mark, words }) => (/^(end|lap)/.test(words) ? `${mark} ${words}` : words));
  return [...new Set(told)];
}

function stationWords(station) {
  const what = whatWords(station);
  return `${figure(station.at, 0)} mm${what.length ? `: ${what.join("; ")}` : ""}`;
}

function makeWall() {
  const walls = chooseOf("Wall", wallNames.map((name) => element("option", {}, name)), (at) => pickStation(wallNames[at], 0));
  const places = chooseOf("Place on the wall", [], (at) => pickStation(onWall.name, at));
  const paper = element("div", { class: "paper", id: "wall-paper", tabindex: "0", role: "group", "aria-label": "Long section; arrow keys go from place to place" });
  const input = element("input", { id: "wall-reading", type: "text", inputmode: "decimal", autocomplete: "off", maxlength: "14", "aria-describedby": "wall-said" });
  const unit = byLaser ? "mm down from the laser’s line" : "metres on the staff, foot down; upside down with a minus";
  const label = element("label", { for: "wall-reading" }, element("b", {}, "Reading here, on the wall"), element("span", {}, unit));
  const result = element("p", { id: "wall-said", role: "status" });
  const anew = button("Instrument moved: set up by this reading", setUpAnew, { id: "wall-anew" });
  const back = button("Back to the first set-up", () => moveInstrument(0), { id: "wall-first" });
  const moved = element("p", { id: "wall-moved", role: "status" });
  const body = element("div", { class: "place", role: "group", "aria-live": "polite", "aria-label": "The picked place" });
  // the words stand there before the drawing does, so that nothing moves down as it comes
  const times = element("p", { class: "hint", id: "wall-times" }, timesWords("several"));
  const step = (by) => () => pickStation(onWall.name, onWall.at + by);
  const on = [button("‹", step(-1), { "aria-label": "Place before" }), button("›", step(1), { "aria-label": "Place after" })];
  const count = element("p", { id: "wall-kept", class: "hint" });
  const forget = button("Forget all readings typed", forgetAll, { id: "wall-forget" });
  wallParts = { walls, places, paper, input, result, anew, back, moved, body, times, on, count, forget };
  input.addEventListener("input", () => {
    const read = parseReading(input.value);
    keepTyped(onWall.name, pickedStation().at, read.mm === undefined ? "" : input.value.trim());
    showReading();
  });
  paper.addEventListener("click", (event) => {
    const { X } = wallParts.drawing;
    const box = paper.firstElementChild.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * wallParts.wide;
    const off = stationsBy.get(onWall.name).map((one) => Math.abs(X(one.at) - x));
    pickStation(onWall.name, off.indexOf(Math.min(...off)));
  });
  paper.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, Home: -Infinity, End: Infinity }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    pickStation(onWall.name, Number.isFinite(by) ? onWall.at + by : by < 0 ? 0 : Infinity);
  });
  const legend = element(
    "div",
    { class: "legend" },
    ...[["masonry", "wall"], ["bed", "bed; figures in mm"], ["plate", "plate"], ["read", "place read"], ["sight", byLaser ? "laser’s line" : "line of sight"]].map(([look, words]) =>
      element("span", {}, element("i", { class: `swatch wall-${look}` }), words),
    ),
    ...(bedding.too_thick?.length ? [element("span", {}, element("i", { class: "swatch wall-over" }), "▲ bed over the most")] : []),
    ...(bedding.too_high?.length ? [element("span", {}, element("i", { class: "swatch wall-high" }), "✗ stands too high")] : []),
  );
  const field = element("div", { class: "wall-reading" }, label, input, result, element("div", { class: "row" }, anew, back), moved, count, element("div", { class: "row" }, forget));
  wallArea.append(
    ...summaryOf(),
    element("div", { class: "row controls" }, walls, on[0], places, on[1]),
    paper,
    times,
    legend,
    element("div", { class: "pair" }, body, field),
    element("div", { id: "wall-all" }),
  );
  new ResizeObserver(drawWall).observe(paper);
}

function misfits(head, sign, spans) {
  if (!spans?.length) return [];
  const lines = spans.map((one) => element("li", {}, `${one.wall}, ${figure(one.begin, 0)} to ${figure(one.end, 0)}${one.lintel ? `, lintel ${one.lintel}` : ""}: by ${figure(one.by, 1)} mm at most. ${one.remedy}.`));
  return [element("div", { class: "warn" }, element("p", {}, `${sign} ${head}`), element("ul", {}, ...lines))];
}

function summaryOf() {
  const { bed, highest, lowest } = bedding;
  const place = (one) => `${one.wall} at ${figure(one.at, 0)} mm${one.lintel ? `, on lintel ${one.lintel}` : ""}`;
  const lines = [
    ["Top of every plate reads", element("b", { class: "must" }, readingWords(bedding.top_of_plate_reads)), byLaser ? "down from the laser’s line" : "on the staff, as the instrument stood last"],
    ["Bed", `${bedFigure(bed.least)} to ${bedFigure(bed.most)} mm`, `asked for: ${bedFigure(bed.least_wished)} to ${bedFigure(bed.most_wished)} mm`],
    ...(highest ? [["Highest place", place(highest), "begin here"]] : []),
    ...(lowest ? [["Lowest place", place(lowest), ""]] : []),
  ];
  const again = bedding.look_again?.length
    ? [element("div", { class: "warn" }, element("p", {}, "⚠\ufe0e Look again:"), element("ul", {}, ...bedding.look_again.map((one) => element("li", {}, one))))]
    : [];
  return [
    ...again,
    ...misfits("Stands too high:", "✗", bedding.too_high),
    ...misfits("Bed over the most:", "▲", bedding.too_thick),
    element("dl", {}, ...lines.flatMap(([name, words, more]) => [element("dt", {}, name), element("dd", {}, words, more ? element("small", {}, ` ${more}`) : "")])),
  ];
}

function timesWords(times) {
  return `Heights are drawn ${times} times as large as lengths, but for the plates’ depth. Touch a place, or go along with the arrow keys.`;
}

function drawWall() {
  const { paper } = wallParts;
  const wide = Math.round(paper.clientWidth);
  if (!wide) return;
  wallParts.wide = wide;
  wallParts.drawing = sectionOf(onWall.name, wide, pickedStation());
  paper.replaceChildren(wallParts.drawing.svg);
  wallParts.times.textContent = timesWords(figure(wallParts.drawing.times, 0));
  showPlates();
}

// the plates of the picked piece and its mates stand out
function showPlates() {
  for (const one of document.querySelectorAll("#wall .paper [data-of]")) {
    const piece = byMark.get(one.dataset.of);
    one.classList.toggle("picked", piece === state.picked);
    one.classList.toggle("mate", Boolean(piece) && isMate(piece));
  }
  for (const line of document.querySelectorAll("#wall tr[data-of]")) {
    const on = line.dataset.of === state.picked?.mark;
    line.classList.toggle("picked", on);
  }
  for (const one of document.querySelectorAll("#wall button[data-mark]")) {
    one.setAttribute("aria-pressed", String(one.dataset.mark === state.picked?.mark));
  }
}

function verdictOf(bed, short = false) {
  const { kind, sign, head, words, figure: told } = judged(bed);
  return element("span", { class: `bed-${kind}` }, element("b", {}, `${told} mm ${sign}`), ` ${short ? head : words}`);
}

function showPlace() {
  const station = pickedStation();
  const what = whatWords(station);
  const read = isRead(station);
  const pickers = station.marks.map((mark) => button(mark, () => pick(mark), { class: "mark", "aria-label": `Pick ${mark}` }));
  const lines = [
    // by a laser it is what is read, with a minus
    ...(byLaser ? [] : [["Wall top", levelWords(station.top), "level"]]),
    // no mortar goes where plates lie on others: there is no bed to strike out
    ["Bed", station.lies_on ? `${NO_BED} no mortar: ${station.marks.join(", ")} on ${station.lies_on}` : element("span", { class: "first-bed" }, verdictOf(station.bed)), ""],
    [byLaser ? "Laser, down to the wall" : "Staff on the wall", readingWords(station.reading + movedBy), read ? "as read" : "between the readings"],
    [byLaser ? "Laser, down to the plate’s top" : "Staff on top of the plate must read", element("b", { class: "must" }, readingWords(mustRead())), ""],
    ...(what.length ? [["Here", what.join("; "), ""]] : []),
    ...(station.lintel ? [["Lintel", station.lintel, ""]] : []),
    ...(station.dpc ? [["Damp course", "less suction here: mortar stays soft longer", ""]] : []),
  ];
  wallParts.body.replaceChildren(
    element("h3", {}, `${onWall.name}, ${figure(station.at, 0)} mm from its first corner`),
    element("dl", {}, ...lines.flatMap(([name, words, more]) => [element("dt", {}, name), element("dd", {}, words, more ? element("small", {}, ` ${more}`) : "")])),
    element("div", { class: "row" }, ...pickers),
  );
}

function showReading() {
  const { input, result, anew } = wallParts;
  const read = parseReading(input.value);
  const station = pickedStation();
  input.setAttribute("aria-invalid", String(Boolean(read.fault)));
  anew.setAttribute("aria-disabled", String(read.mm === undefined));
  if (read.empty) {
    const before = typedAt(onWall.name, station.at);
    if (before) result.replaceChildren(`At another set-up ${before.text} was read here. Bed here: `, verdictOf(otherBed(before)));
    else result.replaceChildren("The new bed comes here as you type.");
  } else if (read.fault) {
    result.replaceChildren(element("span", { class: "bad" }, `✗ ${read.fault}`));
  } else {
    const off = read.mm - station.reading - movedBy;
    const far = Math.abs(off) > FAR_OFF;
    const ask = ` ⚠\ufe0e ${figure(Math.abs(off), 0)} mm from what was read here before: read again, or was the instrument moved?`;
    result.replaceChildren(station.lies_on ? `Bed under ${station.lies_on} here: ` : "Bed here: ", verdictOf(bedOf(read.mm, mustRead(), bedding.depth), far));
    if (far) result.append(element("span", { class: "bad" }, ask));
  }
  // the bed of the first readings is struck out where what is typed makes another
  const other = !read.empty && !read.fault && Math.abs(read.mm - station.reading - movedBy) >= 0.5;
  wallParts.body.classList.toggle("outdated", other);
  wallParts.count.textContent = readingsWords();
  wallParts.forget.setAttribute("aria-disabled", String(!Object.keys(readings.typed).length));
}

// the bed by a reading typed as the instrument stood otherwise
function otherBed({ text, moved }) {
  return bedOf(parseReading(text).mm, bedding.top_of_plate_reads + moved, bedding.depth);
}

// the field has what was typed at this place, if the instrument still stands as it did then
function showTyped() {
  const before = typedAt(onWall.name, pickedStation().at);
  wallParts.input.value = before?.moved === movedBy ? before.text : "";
  showReading();
}

function forgetAll() {
  forgetReadings();
  showTyped();
}

// the wall has not moved, so the instrument has: by the difference of both readings
function setUpAnew() {
  const read = parseReading(wallParts.input.value);
  if (read.mm === undefined) return;
  const text = wallParts.input.value.trim();
  keepMoved(read.mm - pickedStation().reading);
  // it was read as the instrument stands now
  keepTyped(onWall.name, pickedStation().at, text);
  showMoved();
}

function moveInstrument(by) {
  keepMoved(by);
  showMoved();
}

function showMoved() {
  showPlace();
  showTyped();
  const by = movedBy;
  wallParts.back.setAttribute("aria-disabled", String(!by));
  const size = `${bedFigure(Math.abs(by))} mm ${by > 0 ? "higher" : "lower"}`;
  wallParts.moved.textContent = by
    ? `The instrument stands ${size} than at first. Top of every plate now reads ${readingWords(mustRead())}; check it on a second place.`
    : "All readings are for the instrument as it stood last. Moved since? Type what it reads at a place you trust, and press.";
}

function showWall() {
  const { walls, places, on } = wallParts;
  const stations = stationsBy.get(onWall.name);
  walls.selectedIndex = wallNames.indexOf(onWall.name);
  places.replaceChildren(...stations.map((one) => element("option", {}, stationWords(one))));
  places.selectedIndex = onWall.at;
  on[0].setAttribute("aria-disabled", String(onWall.at === 0));
  on[1].setAttribute("aria-disabled", String(onWall.at === stations.length - 1));
  drawWall();
  showPlace();
  showTyped();
}

// a piece that was picked elsewhere is looked for on its walls; a place that is its own stays
function followPick() {
  const mark = state.picked?.mark;
  if (!mark || pickedStation()?.marks.includes(mark)) return;
  const name = [onWall.name, ...wallNames].find((one) => stationsBy.get(one).some((station) => station.marks.includes(mark)));
  if (!name) return;
  onWall.name = name;
  onWall.at = stationsBy.get(name).findIndex((station) => station.marks.includes(mark));
  showWall();
}

// paper has the sections of all walls
const PAPER_WIDE = 700;
window.addEventListener("beforeprint", () => {
  const all = document.getElementById("wall-all");
  all?.replaceChildren(
    ...wallNames.map((name) => {
      const { svg, times } = sectionOf(name, PAPER_WIDE);
      const head = element("h3", {}, `${name}: heights ${figure(times, 0)} times as large as lengths, but for the plates’ depth; beds in mm`);
      return element("div", { class: "wall-one" }, head, element("div", { class: "paper" }, svg));
    }),
  );
});
window.addEventListener("afterprint", () => document.getElementById("wall-all")?.replaceChildren());

function showSite() {
  for (const piece of pieces) {
    piece.markedHash = site.hashes[piece.mark].marked;
    piece.beddedHash = site.hashes[piece.mark].bedded;
  }
  if (bedding) makeWall();
  wallArea.append(
    platesPart(),
    ...(site.setting_out ? [placesPart(site.setting_out)] : []),
    ...(site.survey ? [surveyPart(site.survey)] : []),
    ...(site.fixing ? fixingParts(site.fixing) : []),
    ...(bedding?.mortar ? [mortarPart(bedding.mortar)] : []),
  );
  if (bedding) {
    showWall();
    showMoved();
  }
  listen((what) => {
    if (what !== "picked" && what !== "step") return;
    if (bedding) followPick();
    showPlates();
  });
}

if (wallArea && site) showSite();
