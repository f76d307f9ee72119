// Stepping through the laying order, lifting apart, hiding.
const stepSlider = document.getElementById("step");
const apartSlider = document.getElementById("apart");
const hideButton = document.getElementById("hide");
stepSlider.max = String(pieces.length);

function showSteps() {
  const piece = state.picked;
  const upTo = state.step === pieces.length ? `all ${pieces.length}` : `1 to ${state.step} of ${pieces.length}`;
  const away = pieces.filter((one) => one.order <= state.step && !isShown(one)).map((one) => one.mark);
  const laid = `Shown: ${upTo}${away.length ? ` without ${someOf(away)}` : ""}`;
  stepSlider.value = String(state.step);
  stepSlider.setAttribute("aria-valuetext", laid);
  apartSlider.value = String(Math.round(state.apart * 100));
  document.getElementById("sentence").textContent = `${laid}. ${piece ? sentence(piece) : ""}`;
  // building up says what comes on or off next; picking is the bar's
  const [last, following] = [pieces[state.step - 1], pieces[state.step]];
  const back = document.getElementById("back");
  back.textContent = state.step > 1 ? `− Take off ${last.mark}` : "− Take off";
  back.setAttribute("aria-disabled", String(state.step <= 1));
  document.getElementById("on").textContent = following ? `+ Put on ${following.mark}` : `Start with ${pieces[0].mark}`;
  document.getElementById("all").setAttribute("aria-disabled", String(!following));
  document.getElementById("look").textContent = `Look at ${piece ? piece.mark : ""}`;
  hideButton.textContent = piece && state.hidden.has(piece.mark) ? `Show ${piece.mark}` : `Hide ${piece ? piece.mark : ""}`;
  const hidden = pieces.filter((one) => state.hidden.has(one.mark)).map((one) => one.mark);
  document.getElementById("show").setAttribute("aria-disabled", String(!hidden.length));
  document.getElementById("hidden-words").textContent = hidden.length ? `Hidden: ${hidden.join(", ")}` : "Nothing is hidden.";
}

function hidePicked() {
  if (state.picked) setHidden(state.picked.mark, !state.hidden.has(state.picked.mark));
}

stepSlider.addEventListener("input", () => setStep(Number(stepSlider.value)));
apartSlider.addEventListener("input", () => setApart(Number(apartSlider.value) / 100));
document.getElementById("back").addEventListener("click", () => {
  if (state.step > 1) setStep(state.step - 1);
});
document.getElementById("on").addEventListener("click", () => setStep(state.step < pieces.length ? state.step + 1 : 1));
document.getElementById("all").addEventListener("click", showLaid);
document.getElementById("show").addEventListener("click", showAll);
hideButton.addEventListener("click", hidePicked);
listen(showSteps);
