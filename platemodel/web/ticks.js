// What has been cut and laid, kept in this browser. A tick holds the hash of what was ticked, so
// a piece that has changed since is not taken for done.
const TICKS = `platemodel/ticks/${data.job}`;
let storing = true;
let ticks = readTicks();

function readTicks() {
  try {
    const probe = "platemodel/probe";
    window.localStorage.setItem(probe, "1");
    window.localStorage.removeItem(probe);
    const kept = JSON.parse(window.localStorage.getItem(TICKS) || "{}");
    return kept && typeof kept === "object" && !Array.isArray(kept) ? kept : {};
  } catch (fault) {
    // what cannot be read as ticks is not a fault of the store
    storing = fault instanceof SyntaxError;
    return {};
  }
}

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
  if (storing) {
    try {
      window.localStorage.setItem(TICKS, JSON.stringify(ticks));
    } catch {
      storing = false;
    }
  }
  tell("ticks");
}

function tickBox(piece, what) {
  const box = element("input", { type: "checkbox", "aria-label": `${piece.mark} ${what}`, "data-tick": what });
  box.checked = isTicked(piece, what);
  box.addEventListener("change", () => setTick(piece, what, box.checked));
  return element("label", { class: "tick" }, box, element("span", {}, what));
}

function nextToLay() {
  return pieces.find((piece) => !isTicked(piece, "laid")) || null;
}

function keptWords() {
  return storing
    ? "Ticks are kept in this browser only."
    : "This browser keeps nothing for this page: ticks are lost when it is closed.";
}
