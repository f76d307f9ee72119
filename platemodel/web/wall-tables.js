// The tables of the work on the wall: made from whatever values are there, those that call for care flagged.
const WALL_WORDS = {
  at: "at, mm",
  by: "by, mm",
  s0: "standard error of unit weight",
  sx: "sd x",
  sy: "sd y",
  what: "what is there",
  piece: "plate",
  words: "what to do",
  flags: "what is wrong",
  takes: "fixed with",
  setback: "from outer face, mm",
  inner: "to inner face, mm",
  taped: "tape shows, mm",
  along: "along the plate, mm",
  turn_deg: "turned by, degrees",
  three_four_five: "3-4-5",
  angle_deg: "angle, degrees",
  greatest_spacing: "greatest spacing, mm",
  reach: "over the trusses to, mm",
};
// words that ask for something to be done
const CARE = ["flags", "faults", "shortfalls", "look_again", "words", "remedy", "misfits", "problems", "warnings"];
const CARE_WORDS = ["take again", "one of these", "not checked"];

function wallWord(key) {
  return WALL_WORDS[key] || key.replaceAll("_", " ");
}

// a tenth of a millimetre does, of a degree it does not
const digitsOf = (key) => (/deg(rees)?$/.test(key) ? 3 : 1);

// never a nought with a minus
function numberWords(value, digits) {
  return String(Number(figure(value, digits)) + 0).replace("-", "−");
}

// words as long take more room on a phone than their longest one
const LONG = 12;

const isRow = (value) => value !== null && typeof value === "object" && !Array.isArray(value);
const isRows = (value) => Array.isArray(value) && value.length > 0 && value.every(isRow);

function plainWords(value, digits = 1) {
  if (value === null || value === undefined || value === "") return "";
  if (typeof value === "number") return numberWords(value, digits);
  if (typeof value === "boolean") return value ? "yes" : "no";
  if (Array.isArray(value)) return value.map((one) => plainWords(one, digits)).filter(Boolean).join(value.every((one) => typeof one === "number") ? ", " : "; ");
  if (isRow(value)) return Object.entries(value).map(([key, one]) => `${wallWord(key)} ${plainWords(one, digitsOf(key))}`).join(", ");
  return String(value);
}

// rows within rows become rows of their own, with what they are of before them
function flatRows(rows) {
  return rows.flatMap((one) => {
    const inner = Object.keys(one).filter((key) => isRows(one[key]));
    if (inner.length !== 1) return [one];
    const { [inner[0]]: list, ...head } = one;
    return flatRows(list.map((item) => ({ ...head, ...item })));
  });
}

function careCell(words) {
  const cell = element("td", {});
  if (words) cell.append(element("span", { class: "care" }, `⚠\ufe0e ${words}`));
  return cell;
}

// of rows that follow one another on one plate the first has the button
function wallCell(key, one, before, first) {
  const value = one[key];
  const words = plainWords(value, digitsOf(key));
  if ((key === "piece" || key === "mark") && byMark.has(value)) {
    if (before?.[key] === value) return element(first ? "th" : "td", first ? { scope: "row" } : {}, value);
    const made = button(value, () => pick(value), { class: "mark", "data-mark": value, "aria-label": `Pick ${value}` });
    return element(first ? "th" : "td", first ? { scope: "row" } : {}, made);
  }
  if (CARE.includes(key) || CARE_WORDS.includes(words)) return careCell(words);
  if (first) return element("th", { scope: "row" }, words);
  return element("td", typeof value === "number" ? { class: "number" } : words.length > LONG ? { class: "said" } : {}, words);
}

// a table that a phone can read: what a row is of stays in sight, the rest is dragged sideways
function wallTable(label, columns, rows) {
  const right = (key) => rows.some((one) => typeof one[key] === "number");
  const head = columns.map(([key, words]) => element("th", { scope: "col", class: right(key) ? "number" : "" }, words));
  const lines = rows.map((one, number) => {
    const line = element("tr", {}, ...columns.map(([key], at) => wallCell(key, one, rows[number - 1], at === 0)));
    const of = [one.mark, one.piece].find((mark) => byMark.has(mark));
    if (of) line.dataset.of = of;
    return line;
  });
  const table = element("table", {}, element("thead", {}, element("tr", {}, ...head)), element("tbody", {}, ...lines));
  const area = element("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": label }, table);
  if (table.querySelector("button")) oneTabStop(area, "button");
  const cue = element("p", { class: "hint cue", hidden: "" }, "↔ The table goes on: drag it sideways.");
  const made = element("div", { class: "wall-table" }, cue, element("div", { class: "pan" }, area));
  watchPan(area);
  return made;
}

// columns in the order in which they first come, those left empty everywhere and paths into the plan left out
function columnsOf(rows) {
  const keys = [...new Set(rows.flatMap((one) => Object.keys(one)))];
  return keys
    .filter((key) => key !== "path" && rows.some((one) => plainWords(one[key]) !== ""))
    .map((key) => [key, wallWord(key)]);
}

// a part that opens: closed on the screen, whole on paper
function folding(words, id, ...children) {
  const head = element("button", { type: "button", class: "fold", "aria-expanded": "false", "aria-controls": id }, words);
  const body = element("div", { id, class: "folded" }, ...children);
  head.addEventListener("click", () => {
    const folded = body.classList.toggle("folded");
    head.setAttribute("aria-expanded", String(!folded));
  });
  return element("div", { class: "fold-part" }, element("h3", {}, head), body);
}

// any part of the values: figures in a list, words as they are, rows as tables
function anyPart(label, value, skip = []) {
  const made = [];
  const facts = [];
  for (const [key, one] of Object.entries(value)) {
    if (skip.includes(key) || one === null || one === "" || (Array.isArray(one) && !one.length)) continue;
    if (isRows(one)) {
      const rows = flatRows(one);
      made.push(element("h4", {}, wallWord(key)), wallTable(`${label}: ${wallWord(key)}`, columnsOf(rows), rows));
    } else if (Array.isArray(one) && one.every((item) => typeof item === "string")) {
      const care = CARE.includes(key);
      const list = element("ul", {}, ...one.map((item) => element("li", {}, item)));
      if (care) made.unshift(element("div", { class: "warn" }, element("p", {}, `⚠\ufe0e ${wallWord(key)}`), list));
      else made.push(element("h4", {}, wallWord(key)), list);
    } else if (isRow(one)) {
      made.push(element("h4", {}, wallWord(key)), ...anyPart(label, one));
    } else {
      const words = plainWords(one, digitsOf(key));
      if (words) facts.push(element("dt", {}, wallWord(key)), element("dd", {}, words));
    }
  }
  return facts.length ? [element("dl", {}, ...facts), ...made] : made;
}

// readings in the order of the plan, numbered as the words about them number them
function readingRows(readings) {
  return readings.map((one, number) => ({
    reading: `${number + 1}: ${Array.isArray(one.points) ? one.points.join(" – ") : ""}`,
    residual: one.residual,
    flags: [one.mark, one.left_out ? "left out until then" : ""].filter(Boolean).join(", "),
    observed: one.observed,
    adjusted: one.adjusted,
    standardised: one.standardised,
    sd: one.sd,
    kind: one.kind === "distance" ? "" : one.kind,
  }));
}

function surveyPart(survey) {
  const readings = isRows(survey.readings) ? survey.readings : [];
  const again = readings.filter((one) => one.mark === "take again").length;
  const rows = readingRows(readings);
  return folding(
    `Survey: what was taped, and what is left over${again ? ` – ⚠\ufe0e ${again} to take again` : ""}`,
    "wall-survey",
    ...anyPart("Survey", { words: survey.words }),
    ...(rows.length ? [element("h4", {}, "readings, mm; angles in degrees"), wallTable("Readings of the survey", columnsOf(rows), rows)] : []),
    ...anyPart("Survey", survey, ["words", "readings"]),
  );
}

// a shell's wall is taped along the face that its marks are set off from, a cross wall along its line
const faceWords = (face) => (!face ? "" : face === "outer face" ? ` along the ${face}` : `; set off from its ${face}, as designed`);

// what is marked on the blockwork for a plate, its figures in the order of the tape
function markedPlate(plate) {
  const oneWall = new Set(plate.marks.map((one) => one.wall)).size < 2;
  const asTaped = plate.marks.every((one) => one.along === one.taped);
  // walls in line may run against each other: on each the tape runs from its own first corner
  const walls = (plate.walls || []).map(String);
  const inOrder = [...plate.marks].sort((one, other) => walls.indexOf(String(one.wall)) - walls.indexOf(String(other.wall)) || one.taped - other.taped);
  const rows = inOrder.map((one) => ({
    mark: one.mark,
    taped: one.taped,
    setback: one.setback,
    inner: one.inner,
    what: one.what,
    // told once above, or by the tape
    wall: oneWall ? "" : one.wall,
    along: asTaped ? "" : one.along,
  }));
  const { plate: letter, pieces: marks } = plate;
  const pickers = (Array.isArray(marks) ? marks : []).filter((mark) => byMark.has(mark)).map((mark) =>
    button(mark, () => pick(mark), { class: "mark", "data-mark": mark, "aria-label": `Pick ${mark}` }),
  );
  const starts = isRows(plate.starts) ? plate.starts : [];
  const words = starts.map((one) => `${one.wall}: tape from ${one.from}${faceWords(one.face)}`).join("; ");
  return element(
    "div",
    { class: "marked-plate" },
    element("h4", {}, `plate ${letter}: ${(plate.walls || []).join(", ")}`),
    element("p", { class: "told" }, words),
    element("div", { class: "row" }, ...pickers),
    wallTable(`Setting out of plate ${letter}`, columnsOf(rows), rows),
  );
}

function placesPart(places) {
  const value = isRow(places) ? places : { places };
  const plates = isRows(value.plates) && value.plates.every((one) => isRows(one.marks)) ? value.plates : [];
  const { words, ...placing } = isRow(value.placing) ? value.placing : {};
  const order = Array.isArray(value.order) && value.order.every((one) => typeof one === "string") ? value.order : [];
  return folding(
    "Setting out: figures for each plate",
    "wall-setting-out",
    ...anyPart("Setting out", { words }),
    ...(order.length ? [element("h4", {}, "in this order"), element("ol", {}, ...order.map((one) => element("li", {}, one)))] : []),
    ...plates.map(markedPlate),
    ...anyPart("Setting out", { ...value, placing }, [...(plates.length ? ["plates"] : []), ...(order.length ? ["order"] : [])]),
  );
}

function strapRows(straps) {
  const rows = (straps.plates || []).flatMap((plate) => plate.straps || []);
  return rows.map((one) => ({
    wall: one.wall,
    at: one.at,
    piece: one.piece,
    kind: one.built ? "built in already" : "new",
    flags: one.faults,
  }));
}

function trussRows(landings) {
  return landings.flatMap((wall) =>
    (wall.landed || []).map((one) => ({
      name: one.number ? `${one.name} no. ${one.number}` : one.name,
      at: one.at,
      flags: one.flags,
      piece: one.piece || "none",
      wall: wall.wall,
      takes: wall.clips_each ? `${wall.clips_each} clips` : wall.nails_each ? `${wall.nails_each} nails` : "",
    })),
  );
}

function flaggedWords(rows) {
  const count = rows.filter((one) => one.flags?.length).length;
  return count ? ` – ⚠\ufe0e ${count} flagged` : "";
}

function fixingParts(fixing) {
  const parts = [];
  if (fixing.straps) {
    const rows = strapRows(fixing.straps);
    const lacks = (fixing.straps.plates || []).flatMap((plate) => plate.shortfalls || []);
    const short = lacks.map((one) => ({ wall: one.wall, from: one.from, to: one.to, asked: one.asked, flags: one.why }));
    const lacking = lacks.length ? ` – ⚠\ufe0e ${lacks.length} stretch${lacks.length > 1 ? "es" : ""} short` : "";
    parts.push(
      folding(
        `Straps: ${fixing.straps.new ?? rows.length} to fix${flaggedWords(rows)}${lacking}`,
        "wall-straps",
        ...anyPart("Straps", { "what was asked, mm": fixing.straps.asked || {} }),
        ...(short.length ? [element("h4", {}, "where they cannot be as asked"), wallTable("Straps that are short", columnsOf(short), short)] : []),
        ...(rows.length ? [element("h4", {}, "holding-down straps"), wallTable("Holding-down straps", columnsOf(rows), rows)] : []),
        ...(fixing.straps.gables?.length ? [element("h4", {}, "lateral straps at gables"), wallTable("Lateral straps at gables", columnsOf(fixing.straps.gables), fixing.straps.gables)] : []),
      ),
    );
  }
  if (fixing.landings?.length) {
    const rows = trussRows(fixing.landings);
    parts.push(folding(`Trusses, beams and joists: ${rows.length}${flaggedWords(rows)}`, "wall-trusses", wallTable("Trusses, beams and joists", columnsOf(rows), rows)));
  }
  const rest = anyPart("Fixing", fixing, ["straps", "landings", "words"]);
  if (rest.length) parts.push(folding("Screws, weights, when to load", "wall-fixing", ...rest));
  return parts;
}

function mortarPart(mortar) {
  const { litres, bags, cement_kg: cement, sand_litres: sand, batches, advice } = mortar;
  const words = `Mortar: ${figure(litres, 0)} litres, ${bags} bag${bags === 1 ? "" : "s"} of cement`;
  const rows = (batches || []).map((one) => ({
    batch: one.number,
    litres: one.litres,
    metres: one.metres,
    beds: (one.spans || []).map((span) => `${span.mark} ${span.wall} ${figure(span.begin, 0)} to ${figure(span.end, 0)}`),
    care: one.dpc ? "damp course: less suction, more working time" : "",
  }));
  return folding(
    words,
    "wall-mortar",
    ...anyPart("Mortar", { cement_kg: cement, sand_litres: sand, class: mortar.class }),
    ...(advice?.length ? [element("ul", {}, ...advice.map((one) => element("li", {}, one)))] : []),
    ...(rows.length ? [wallTable("Mortar, batch by batch", columnsOf(rows), rows)] : []),
  );
}

// a plate a row, ticked when its figures are marked on the blockwork and when it is bedded
function platesPart() {
  const rows = pieces.map((piece) => {
    const beds = (bedding?.places || []).filter((place) => place.mark === piece.mark && !place.lies_on).map((place) => place.bed);
    const words = beds.length ? `${bedFigure(Math.min(...beds))} to ${bedFigure(Math.max(...beds))}` : "";
    const pickIt = button(piece.mark, () => pick(piece.mark), { class: "mark", "data-mark": piece.mark, "aria-label": `Pick ${piece.mark}` });
    const line = element(
      "tr",
      { "data-of": piece.mark },
      element("th", { scope: "row" }, pickIt, element("span", { class: "outdated" })),
      ...(bedding ? [element("td", { class: "number" }, words)] : []),
      element("td", {}, tickBox(piece, "marked")),
      element("td", {}, tickBox(piece, "bedded")),
      element("td", {}, piece.walls.join(", ")),
    );
    return { piece, line };
  });
  const head = ["plate", ...(bedding ? ["bed, mm"] : []), "marked", "bedded", "on"].map((words) =>
    element("th", { scope: "col", class: words.startsWith("bed,") ? "number" : "" }, words),
  );
  const count = element("p", { class: "hint", id: "wall-progress" });

  function show() {
    for (const { piece, line } of rows) {
      for (const box of line.querySelectorAll("input")) box.checked = isTicked(piece, box.dataset.tick);
      const old = ["marked", "bedded"].filter((what) => isOutdated(piece, what));
      line.querySelector(".outdated").textContent = old.length ? `changed since ticked ${old.join(" and ")}` : "";
    }
    const ticked = (what) => pieces.filter((piece) => isTicked(piece, what)).length;
    count.textContent = `Marked ${ticked("marked")} of ${pieces.length}, bedded ${ticked("bedded")} of ${pieces.length}. ${keptWords()}`;
  }

  listen((what) => {
    if (what === "ticks") show();
  });
  show();
  const table = element("table", {}, element("thead", {}, element("tr", {}, ...head)), element("tbody", {}, ...rows.map(({ line }) => line)));
  const area = element("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Plates in laying order" }, table);
  oneTabStop(area, "button, input");
  return element("div", { class: "wall-table", id: "wall-plates" }, element("h3", {}, "Plates in laying order"), count, element("div", { class: "pan" }, area));
}
