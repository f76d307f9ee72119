// What has been cut and laid, kept in this browser. A tick holds the hash of what was ticked, so
// a piece that has changed since is not taken for done.
const TICKS = `platemodel/ticks/${data.job}`;
const ticks = kept(TICKS);

function isTicked(piece, what) {
  return ticks[piece.mark]?.[what] === piece[`${what}Hash`];
}

function isOutdated(piece, what) {
  const kept = ticks[piece.mark]?.[what];
  return typeof kept === "string" && kept !== piece[`${what}Hash`];
}

function setTick(piece, what, on) {
  const mine = { ...(ticks[piece.mark] || {}) };
  if (on) mine[what] = piece[`${what}Hash`];
  else delete mine[what];
  ticks[piece.mark] = mine;
  keep(TICKS, ticks);
  tell("ticks");
}

function tickBox(piece, what) {
  const box = element("input", { type: "checkbox", "aria-label": `${piece.mark} ${what}`, "data-tick": what });
  box.checked = isTicked(piece, what);
  box.addEventListener("change", () => (what === "laid" ? markLaid(piece, box.checked) : setTick(piece, what, box.checked)));
  return element("label", { class: "tick" }, box, element("span", {}, what));
}

// what a tick says that cannot be: a piece laid on others that are not laid
function untrue(piece) {
  const laid = isTicked(piece, "laid");
  const half = laid ? "over" : "under";
  const others = piece.laps.filter((lap) => lap.half === half && isTicked(byMark.get(lap.mate), "laid") !== laid);
  const marks = others.map((lap) => lap.mate);
  if (!marks.length) return "";
  const are = marks.length > 1 ? "are" : "is";
  return laid
    ? `${piece.mark} is marked laid, but ${listed(marks)} under it ${are} not.`
    : `${piece.mark} is not marked laid, but ${listed(marks)} over it ${are}.`;
}

// the tick made last, as long as it cannot be true
const noticeArea = document.getElementById("notice");
let doubted = null;

function markLaid(piece, on) {
  doubted = piece;
  setTick(piece, "laid", on);
  laidAt = performance.now();
}

// a double tap marks one piece, not the next one too, whose button takes the place of the first
const BETWEEN = 800;
let laidAt = -Infinity;

function afterPause(done) {
  return (event) => {
    if (event.timeStamp - laidAt >= BETWEEN) done();
  };
}

function showNotice() {
  const words = doubted ? untrue(doubted) : "";
  if (!words) doubted = null;
  document.getElementById("notice-words").textContent = words;
  noticeArea.classList.toggle("empty", !words);
  // once the row has its own words too
  if (words) queueMicrotask(() => doubted && clearOfNotice(rows.get(doubted.mark)));
}

// the row that was just ticked stays in sight above the words about it
function clearOfNotice(item) {
  const low = item.getBoundingClientRect().bottom - noticeArea.getBoundingClientRect().top;
  const inList = item.getBoundingClientRect().top < list.getBoundingClientRect().bottom;
  if (low > 0 && inList && item.getBoundingClientRect().top < window.innerHeight) {
    window.scrollBy({ top: low + 8, behavior: "instant" });
  }
}

document.getElementById("undo").addEventListener("click", () => {
  if (!doubted) return;
  const piece = doubted;
  markLaid(piece, !isTicked(piece, "laid"));
  rows.get(piece.mark).querySelector('[data-tick="laid"]').focus({ preventScroll: true });
});
document.getElementById("keep").addEventListener("click", () => {
  doubted = null;
  showNotice();
});
listen((what) => {
  if (what === "ticks") showNotice();
});

function nextToLay() {
  return pieces.find((piece) => !isTicked(piece, "laid")) || null;
}

function keptWords() {
  return storing
    ? "Ticks are kept in this browser only."
    : "This browser keeps nothing for this page: ticks are lost when it is closed.";
}
