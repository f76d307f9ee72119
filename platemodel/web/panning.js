// What is wider than its box: a cue as long as something lies beyond the right edge. And what is gone to.
function watchPan(area) {
  const box = area.closest(".pan");
  const cue = box.previousElementSibling?.matches(".cue") ? box.previousElementSibling : box.nextElementSibling;
  function look() {
    const over = area.scrollWidth - area.clientWidth;
    const there = cue?.matches(".cue");
    if (there) cue.hidden = over <= 2;
    box.classList.toggle("more", over > 2 && area.scrollLeft < over - 4);
    box.classList.toggle("before", over > 2 && area.scrollLeft > 4);
  }
  // asked of the page once it has been laid out anyway, for asking before lays it out anew
  let waiting = 0;
  function soon() {
    cancelAnimationFrame(waiting);
    waiting = requestAnimationFrame(look);
  }
  area.addEventListener("scroll", soon, { passive: true });
  new ResizeObserver(look).observe(area);
  return () => (document.readyState === "complete" ? look() : soon());
}

// a part of the page at the top of the screen: what is laid out only now may move it, so it is brought
// there until it stands
const MOST_TRIES = 30;

function bring(target) {
  let [still, last, tries] = [0, NaN, 0];
  function again() {
    target.scrollIntoView({ behavior: "instant", block: "start" });
    const top = Math.round(target.getBoundingClientRect().top);
    still = top === last ? still + 1 : 0;
    last = top;
    tries += 1;
    if (still < 4 && tries < MOST_TRIES) requestAnimationFrame(again);
  }
  target.focus({ preventScroll: true });
  again();
}

document.addEventListener("click", (event) => {
  const link = event.target.closest('a[href^="#"]');
  const target = link && document.querySelector(link.getAttribute("href"));
  if (!target) return;
  event.preventDefault();
  bring(target);
});
