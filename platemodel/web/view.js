// The 3D view: drawn anew only when something has changed.
const canvas = document.getElementById("canvas");
const stage = canvas.parentElement;
const TURN = 0.14;
const COARSE = 0.5;
// so far a finger moves before it is known whether it turns or scrolls (px)
const SET_OFF = 6;
// frames of more pieces are drawn without smoothed edges, so that they turn smoothly
const SMOOTH = 100;

function noSpace(words) {
  const said = document.querySelector(".no-space");
  said.textContent = words;
  said.hidden = false;
  canvas.hidden = true;
  document.querySelector(".turning").hidden = true;
  document.getElementById("keys").hidden = true;
}

function start(context) {
  const box = extent(page.pieces);
  const solids = buildSolids(page.pieces, box.middle);
  const materials = buildMaterials();
  const scene = new THREE.Scene();
  const [faces, edges] = solids.geometries();
  const shapes = [new THREE.Mesh(faces, materials.face), new THREE.LineSegments(edges, materials.edge)];
  for (const shape of shapes) shape.frustumCulled = false;
  scene.add(...shapes);

  const renderer = new THREE.WebGLRenderer({ canvas, context });
  const camera = new THREE.PerspectiveCamera(32, 1, 1, 1000);
  camera.up.set(0, 0, 1);
  const controls = new THREE.OrbitControls(camera, canvas);
  controls.enableDamping = false;
  controls.maxPolarAngle = Math.PI * 0.98;
  const size = Math.max(box.high[0] - box.low[0], box.high[1] - box.low[1]);
  const depth = box.high[2] - box.low[2];
  let waiting = false;
  // asked of the page once a size, for each asking lays the page out anew
  let [wide, high] = [stage.clientWidth, stage.clientHeight];

  // how far a piece is lifted for each one laid before it
  const lift = () => (page.state.apart * size * 0.5) / Math.max(page.pieces.length - 1, 1);
  const rise = () => lift() * (page.pieces.length - 1);

  function draw() {
    waiting = false;
    renderer.render(scene, camera);
    showLabels(project, wide);
    if (!performance.getEntriesByName("first picture").length) performance.mark("first picture");
  }

  function soon() {
    if (!waiting) requestAnimationFrame(draw);
    waiting = true;
  }

  // while it turns and the pictures come late, they are drawn coarser, and if that does not do, without
  // edges; sharp again as soon as it stands
  const [SHARP, COARSER, EDGELESS] = [0, 1, 2];
  let [last, late, rough, still] = [0, 0, SHARP, 0];

  function turned() {
    const now = performance.now();
    const spent = now - last;
    last = now;
    if (spent < 250) late = 0.8 * late + 0.2 * spent;
    clearTimeout(still);
    still = setTimeout(() => roughen(SHARP), 180);
    if (rough < EDGELESS && late > 24) roughen(rough + 1);
    soon();
  }

  function roughen(level) {
    late = 0;
    if (rough === level) return;
    rough = level;
    shapes[1].visible = rough < EDGELESS;
    resize();
  }

  // the whole frame, lifted apart as it is, seen along a direction
  function fit(way) {
    const back = way.clone().normalize();
    const right = new THREE.Vector3().crossVectors(camera.up, back).normalize();
    const over = new THREE.Vector3().crossVectors(back, right);
    const half = Math.tan((camera.fov * Math.PI) / 360);
    const [wide, high] = [(box.high[0] - box.low[0]) / 2, (box.high[1] - box.low[1]) / 2];
    if (stage.clientHeight) camera.aspect = stage.clientWidth / stage.clientHeight;
    let distance = 0;
    for (const x of [-wide, wide]) {
      for (const y of [-high, high]) {
        for (const z of [-(depth + rise()) / 2, (depth + rise()) / 2]) {
          const corner = new THREE.Vector3(x, y, z);
          const across = Math.max(Math.abs(corner.dot(right)) / camera.aspect, Math.abs(corner.dot(over)));
          distance = Math.max(distance, corner.dot(back) + across / half);
        }
      }
    }
    controls.target.set(0, 0, rise() / 2);
    camera.position.copy(controls.target).addScaledVector(back, distance * 1.06);
    camera.near = size / 400 + 1;
    camera.far = (distance + size) * 12;
    controls.minDistance = size / 50 + 50;
    controls.maxDistance = (distance + size) * 5;
    camera.updateProjectionMatrix();
    controls.update();
    soon();
  }

  const away = () => camera.position.clone().sub(controls.target);

  function orbit(round, up) {
    const from = away();
    const distance = from.length();
    const polar = Math.min(Math.max(Math.acos(from.z / distance) - up, 0.02), controls.maxPolarAngle);
    const turn = Math.atan2(from.y, from.x) + round;
    from.set(Math.sin(polar) * Math.cos(turn), Math.sin(polar) * Math.sin(turn), Math.cos(polar));
    camera.position.copy(controls.target).addScaledVector(from, distance);
    controls.update();
    soon();
  }

  function closer(by) {
    const from = away();
    const distance = Math.min(Math.max(from.length() * by, controls.minDistance), controls.maxDistance);
    camera.position.copy(controls.target).addScaledVector(from.normalize(), distance);
    controls.update();
    soon();
  }

  function resize() {
    const { clientWidth, clientHeight } = stage;
    if (!clientWidth || !clientHeight) return;
    [wide, high] = [clientWidth, clientHeight];
    const ratio = Math.min(window.devicePixelRatio || 1, 2) * (rough >= COARSER ? COARSE : 1);
    renderer.setPixelRatio(ratio);
    renderer.setSize(clientWidth, clientHeight, false);
    materials.face.uniforms.ratio.value = ratio;
    camera.aspect = clientWidth / clientHeight;
    camera.updateProjectionMatrix();
    draw();
  }

  function project(piece) {
    const [x, y, z] = piece.solid.label;
    const at = new THREE.Vector3(x - box.middle[0], y - box.middle[1], z - box.middle[2] + (piece.order - 1) * lift());
    at.project(camera);
    if (at.z < -1 || at.z > 1) return null;
    return { x: ((at.x + 1) / 2) * wide, y: ((1 - at.y) / 2) * high };
  }

  // the mark of the nearest piece shown at a point of the screen
  function markAt(x, y) {
    const area = canvas.getBoundingClientRect();
    const origin = camera.position;
    const way = new THREE.Vector3(((x - area.left) / area.width) * 2 - 1, 1 - ((y - area.top) / area.height) * 2, 0.5);
    way.unproject(camera).sub(origin).normalize();
    let best = Infinity;
    let mark = null;
    page.pieces.forEach((piece, index) => {
      if (!page.isShown(piece)) return;
      const [from, to] = solids.ranges[index].faces;
      for (let at = from; at < to; at += 3) {
        const corners = [0, 1, 2].map((next) => solids.faces[at + next] * 3);
        const along = hitTriangle(origin, way, solids.position, corners, (piece.order - 1) * lift());
        if (along < best) {
          best = along;
          mark = piece.mark;
        }
      }
    });
    return mark;
  }

  function showLooks() {
    const looks = page.pieces.map((piece) =>
      !page.isShown(piece) ? -1 : piece === page.state.picked ? 2 : page.isMate(piece) ? 1 : 0,
    );
    solids.setLooks(looks);
    faces.attributes.look.needsUpdate = true;
    soon();
  }

  function colours() {
    const dark = document.documentElement.dataset.theme === "dark";
    materials.edge.uniforms.dark.value = dark ? 0.1 : 0.65;
    renderer.setClearColor(new THREE.Color(property("--ground")), 1);
    soon();
  }

  const deeds = {
    left: () => orbit(-TURN, 0),
    right: () => orbit(TURN, 0),
    up: () => orbit(0, TURN),
    down: () => orbit(0, -TURN),
    in: () => closer(0.8),
    out: () => closer(1.25),
    reset: () => fit(new THREE.Vector3(-0.14, -0.5, 0.9)),
  };
  const keys = {
    ArrowLeft: deeds.left,
    ArrowRight: deeds.right,
    ArrowUp: deeds.up,
    ArrowDown: deeds.down,
    "+": deeds.in,
    "=": deeds.in,
    "-": deeds.out,
    0: deeds.reset,
    n: () => page.setStep(page.state.step < page.pieces.length ? page.state.step + 1 : 1),
    p: () => page.setStep(page.state.step - 1),
    h: page.hidePicked,
    s: page.showAll,
  };
  canvas.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const deed = keys[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!deed) return;
    event.preventDefault();
    deed();
  });
  for (const one of document.querySelectorAll("[data-do]")) one.addEventListener("click", deeds[one.dataset.do]);

  // a drag that turns the view picks nothing
  let pressed = null;
  canvas.addEventListener("pointerdown", (event) => {
    pressed = [event.clientX, event.clientY];
  });
  canvas.addEventListener("click", (event) => {
    if (pressed && Math.hypot(event.clientX - pressed[0], event.clientY - pressed[1]) > 6) return;
    const mark = page.near(event.clientX, event.clientY, markAt);
    if (mark) page.pick(mark);
  });
  // one finger that sets off up or down scrolls the page and turns nothing; sideways it turns
  const fingers = new Map();
  let turns = false;
  canvas.addEventListener("pointerdown", (event) => {
    if (event.pointerType !== "touch") return;
    if (event.isPrimary) fingers.clear();
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    turns = fingers.size > 1;
  }, { capture: true });
  canvas.addEventListener("pointermove", (event) => {
    const from = fingers.get(event.pointerId);
    if (!from || turns) return;
    const [across, along] = [Math.abs(event.clientX - from[0]), Math.abs(event.clientY - from[1])];
    turns = across > SET_OFF && across > along;
    if (!turns) event.stopImmediatePropagation();
    // up or down once, it stays so until the finger is lifted
    if (along > SET_OFF && along >= across) fingers.set(event.pointerId, [NaN, NaN]);
  }, { capture: true });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, (event) => fingers.delete(event.pointerId), { capture: true });
  }
  // a finger that moves up or down scrolls the page; the wheel too, until the view has been pressed
  canvas.style.touchAction = "pan-y";
  canvas.addEventListener("wheel", (event) => {
    if (document.activeElement !== canvas) event.stopImmediatePropagation();
  }, { capture: true });
  canvas.addEventListener("webglcontextlost", () => noSpace("The 3D view was lost. Load the page anew to have it back."));

  controls.addEventListener("change", turned);
  page.listen((what) => {
    if (what === "apart") {
      materials.apart.value = lift();
      fit(away());
    } else if (what !== "ticks") showLooks();
  });
  document.addEventListener("themed", colours);
  new ResizeObserver(resize).observe(stage);
  resize();
  deeds.reset();
  showLooks();
  colours();
  Object.assign(page, { orbit, whole: deeds.reset, markAt, draw, onScreen: (mark) => {
    const at = project(page.pieces.find((piece) => piece.mark === mark));
    const area = canvas.getBoundingClientRect();
    return at && { x: at.x + area.left, y: at.y + area.top };
  } });
}

const context = canvas.getContext("webgl2", { alpha: false, antialias: page.pieces.length <= SMOOTH });
if (context) start(context);
else noSpace("This browser cannot draw in 3D. The plan, the list, the sheets and the laps work without it.");
