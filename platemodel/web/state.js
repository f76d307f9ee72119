// What the page knows and what is picked; every part listens here and none to another.
const data = JSON.parse(document.getElementById("values").textContent);
const pieces = data.pieces;
const byMark = new Map(pieces.map((piece) => [piece.mark, piece]));
const state = { picked: null, step: pieces.length, stepping: false, apart: 0, hidden: new Set() };
const listeners = [];

function listen(heard) {
  listeners.push(heard);
}

function tell(what) {
  for (const heard of listeners) heard(what);
}

function pick(mark) {
  const piece = byMark.get(mark);
  if (!piece || state.picked === piece) return;
  state.picked = piece;
  state.stepping = false;
  // what is picked is seen: it is laid by now
  if (piece.order > state.step) state.step = piece.order;
  tell("picked");
}

// the piece `by` places on in the laying order, from the picked one
function pickAlong(by) {
  const at = state.picked ? state.picked.order - 1 + by : by > 0 ? 0 : pieces.length - 1;
  pick(pieces[Math.min(Math.max(at, 0), pieces.length - 1)].mark);
}

// pieces laid 1 to k are shown, the k-th is picked
function setStep(step) {
  state.step = Math.min(Math.max(step, 1), pieces.length);
  state.picked = pieces[state.step - 1];
  state.stepping = true;
  tell("step");
}

function showLaid() {
  state.stepping = false;
  state.step = pieces.length;
  tell("step");
}

function setApart(part) {
  state.apart = part;
  tell("apart");
}

function setHidden(mark, hidden) {
  if (hidden) state.hidden.add(mark);
  else state.hidden.delete(mark);
  tell("hidden");
}

function showAll() {
  state.hidden.clear();
  tell("hidden");
}

function isMate(piece) {
  return state.picked !== null && state.picked.laps.some((lap) => lap.mate === piece.mark);
}

function isShown(piece) {
  return piece.order <= state.step && !state.hidden.has(piece.mark);
}

function ordinal(number) {
  const tens = number % 100;
  const ending = tens > 10 && tens < 14 ? "th" : { 1: "st", 2: "nd", 3: "rd" }[number % 10] || "th";
  return `${number}${ending}`;
}

function listed(marks) {
  return marks.length > 1 ? `${marks.slice(0, -1).join(", ")} and ${marks[marks.length - 1]}` : marks.join("");
}

// no more than are read at a glance
const MOST_MARKS = 4;

function someOf(marks) {
  const rest = marks.length - MOST_MARKS;
  return listed(rest > 0 ? [...marks.slice(0, MOST_MARKS), `${rest} more`] : marks);
}

function matesOf(piece, half) {
  return listed(piece.laps.filter((lap) => lap.half === half).map((lap) => lap.mate));
}

// "over A1, under C1": what it comes down on first, then what comes down on it
function meets(piece) {
  const over = matesOf(piece, "over");
  const under = matesOf(piece, "under");
  const words = [];
  if (over) words.push(`over ${over}`);
  if (under) words.push(`under ${under}`);
  return words.join(", ") || "no lap";
}

// what the ticks say of a piece; what is not proved is not laid
function standing(piece) {
  if (!data.passed) return "DO NOT CUT";
  if (isTicked(piece, "laid")) return "laid";
  return piece === nextToLay() ? "next by your ticks" : "not laid";
}

// a piece is told in this form everywhere
function sentence(piece) {
  const place = `${ordinal(piece.order)} of ${pieces.length}`;
  return `${piece.mark}: ${place}, ${standing(piece)}, type ${piece.type}, ${meets(piece)}.`;
}

// an element with attributes and children; a text is always a text
function element(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined) made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
}

function button(words, done, attributes = {}) {
  const made = element("button", { type: "button", ...attributes }, words);
  made.addEventListener("click", done);
  return made;
}

// "under" and "over" are the halves of the depth that a piece keeps where it is lapped
const ROLE_WORDS = {
  under: "keeps the under half at every lap",
  over: "keeps the over half at every lap",
  both: "keeps the under half at some laps, the over half at others",
  none: "no lap",
};

function roleChip(piece) {
  return element("span", { class: `chip role-${piece.role}`, title: ROLE_WORDS[piece.role] }, piece.letter);
}
