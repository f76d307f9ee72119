// Readings typed on site, kept in this browser with the set-up of the instrument that each was read at. They
// are of the bed as it was worked out when they were typed: once its figures are others, they are not shown.
const READINGS = `platemodel/readings/${data.job}`;
const [readings, outdatedReadings] = keptReadings();
// how much higher the instrument stands now than when the places were booked, mm
let movedBy = typeof readings.moved === "number" ? readings.moved : 0;

function keptReadings() {
  const found = kept(READINGS);
  const typed = found.typed && typeof found.typed === "object" ? found.typed : {};
  const same = Boolean(site) && found.of === site.bedHash;
  return same ? [{ ...found, typed }, 0] : [{ of: site?.bedHash, typed: {} }, Object.keys(typed).length];
}

function placeKey(wall, at) {
  return JSON.stringify([wall, at]);
}

// what was typed at a place last: {text, moved}, or null
function typedAt(wall, at) {
  const key = placeKey(wall, at);
  const found = Object.hasOwn(readings.typed, key) ? readings.typed[key] : null;
  return typeof found?.text === "string" && typeof found.moved === "number" ? found : null;
}

// an empty text forgets the place's reading
function keepTyped(wall, at, text) {
  if (text) readings.typed[placeKey(wall, at)] = { text, moved: movedBy };
  else delete readings.typed[placeKey(wall, at)];
  keep(READINGS, readings);
}

function keepMoved(by) {
  movedBy = by;
  readings.moved = by;
  keep(READINGS, readings);
}

function forgetReadings() {
  readings.typed = {};
  keep(READINGS, readings);
}

function readingsWords() {
  const count = Object.keys(readings.typed).length;
  const how = storing
    ? "kept in this browser only, until the plan’s bed is another"
    : "this browser keeps nothing for this page: lost when it is closed";
  const old = outdatedReadings && !count ? ` ${outdatedReadings} typed before the plan’s bed was changed: not shown.` : "";
  return `Readings typed: ${count}; ${how}.${old}`;
}
