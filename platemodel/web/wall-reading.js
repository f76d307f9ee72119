// A reading typed on site, and the bed it makes: the same formula as the program's.
const site = data.site || null;
const bedding = site?.bed?.places?.length ? site.bed : null;
const byLaser = bedding?.by === "laser";
// a staff's most, m, and a laser's least and most, mm: as a plan may have them
const STAFF_MOST = 5;
const LASER_BOUNDS = [-2000, 5000];
// readings farther from the booked one are asked about (mm)
const FAR_OFF = 100;
const BED_DUST = 1e-6;

// the bed at a place, mm: reading on the wall's top, reading on the plates as they shall lie, depth, all in mm
function bedOf(reading, must, depth) {
  return reading - must - depth;
}

// {mm} or {fault} or {empty}; metres by a staff, mm by a laser, unless the unit is typed too
function parseReading(text, laser = byLaser) {
  const typed = text.trim().replace(/[\u2212\u2013]/g, "-");
  if (!typed) return { empty: true };
  const example = laser ? "millimetres down from the laser’s line, as 84 or 84.5" : "metres, as 1.412 or 1,412";
  const found = /^([+-]?)(\d*)(?:[.,](\d*))?\s*(m|mm)?$/i.exec(typed);
  if (!found || !(found[2] || found[3])) return { fault: `Not a reading. Type ${example}.` };
  const metres = found[4] ? found[4].toLowerCase() === "m" : !laser;
  // the decimal point is moved in the text, so that nothing is lost by multiplying
  const mm = Number(`${found[1]}${found[2] || 0}.${found[3] || 0}e${metres ? 3 : 0}`);
  if (!laser && Math.abs(mm) > STAFF_MOST * 1000) {
    return { fault: `Off a staff of ${STAFF_MOST} m. Type ${example}; millimetres with mm after them.` };
  }
  if (laser && (mm < LASER_BOUNDS[0] || mm > LASER_BOUNDS[1])) {
    return { fault: `Out of reach: ${LASER_BOUNDS[0]} to ${LASER_BOUNDS[1]} mm. Type ${example}.` };
  }
  return { mm };
}

// one decimal, more where that would hide on which side of a limit it is
function bedFigure(value, limits = []) {
  for (let digits = 1; digits < 6; digits += 1) {
    const told = Number(value.toFixed(digits));
    if (limits.every((limit) => Math.sign(told - limit) === (Math.abs(value - limit) <= BED_DUST ? 0 : Math.sign(value - limit)))) {
      return String(told + 0).replace("-", "−");
    }
  }
  return String(Number(value.toFixed(6)) + 0).replace("-", "−");
}

// which side of its limits a bed is on, by a sign and in words
function judgeBed(value, least, most) {
  const by = (size) => `${bedFigure(size, [0])} mm`;
  if (value < -BED_DUST) {
    return {
      kind: "high",
      sign: "✗",
      head: "TOO HIGH.",
      words: `TOO HIGH: the wall stands ${by(-value)} up into the plate. Take it down so far and a bed more, or raise the level.`,
    };
  }
  if (value < least - BED_DUST) {
    return { kind: "under", sign: "▼", head: "UNDER THE LEAST.", words: `UNDER THE LEAST, ${bedFigure(least)} mm, by ${by(least - value)}.` };
  }
  if (value > most + BED_DUST) {
    const way = value - most <= most ? "pack with slate in the mortar" : "lay a course cut to fit first, then bed on it";
    return { kind: "over", sign: "▲", head: "OVER THE MOST.", words: `OVER THE MOST, ${bedFigure(most)} mm, by ${by(value - most)}: ${way}.` };
  }
  return { kind: "good", sign: "✓", words: `within ${bedFigure(least)} to ${bedFigure(most)} mm.` };
}

function judged(value) {
  const { least_wished: least, most_wished: most } = bedding.bed;
  return { ...judgeBed(value, least, most), figure: bedFigure(value, [0, least, most]) };
}

// a reading as the instrument gives it
function readingWords(mm) {
  if (byLaser) return `${figure(mm, 1).replace("-", "−")} mm`;
  const text = (mm / 1000).toFixed(4).replace(/0$/, "");
  return `${text.replace("-", "−")} m`;
}

function levelWords(mm) {
  return `${(mm / 1000).toFixed(4).replace(/0$/, "").replace("-", "−")} m`;
}
