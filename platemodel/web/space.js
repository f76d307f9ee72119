// The 3D view is begun once its script is unpacked; where that cannot be, the page says so and does without.
const spaceScript = document.getElementById("space-script");

function noSpace(words) {
  const said = document.querySelector(".no-space");
  said.textContent = words;
  said.hidden = false;
  document.getElementById("canvas").hidden = true;
  document.querySelector(".turning").hidden = true;
  for (const id of ["keys", "drag"]) document.getElementById(id).hidden = true;
}

async function beginSpace() {
  try {
    // it runs only if it is the very text that the page's policy knows
    document.head.append(element("script", {}, await unpacked(spaceScript)));
    if (!window.THREE) throw new Error(SPOILED);
  } catch (fault) {
    noSpace(`No 3D view. ${fault.message}. The plan, the list and the tables work without it.`);
  }
}
