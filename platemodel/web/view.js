// The 3D view: drawn anew only when something has changed.
const canvas = document.getElementById("canvas");
const stage = canvas.parentElement;
const nothing = document.getElementById("nothing");
const TURN = 0.14;
// so long it takes to come to a piece (ms)
const GLIDE = 350;
const COARSE = 0.5;
// so far a finger moves before it is known whether it turns or scrolls (px)
const SET_OFF = 6;
// frames of more pieces are drawn without smoothed edges, so that they turn smoothly
const SMOOTH = 100;

function start(context) {
  const box = extent(page.pieces);
  const solids = buildSolids(page.pieces, box.middle);
  const materials = buildMaterials();
  const scene = new THREE.Scene();
  const [faces, edges] = solids.geometries();
  const shapes = [new THREE.Mesh(faces, materials.face), new THREE.LineSegments(edges, materials.edge)];
  for (const shape of shapes) shape.frustumCulled = false;
  const ribbons = buildRibbons(page.pieces, box.middle, materials);
  scene.add(...shapes, ...ribbons.meshes);

  const renderer = new THREE.WebGLRenderer({ canvas, context });
  const camera = new THREE.PerspectiveCamera(32, 1, 1, 1000);
  camera.up.set(0, 0, 1);
  const controls = new THREE.OrbitControls(camera, canvas);
  controls.enableDamping = false;
  controls.maxPolarAngle = Math.PI * 0.98;
  const size = Math.max(box.high[0] - box.low[0], box.high[1] - box.low[1]);
  let waiting = false;
  // asked of the page once a size, for each asking lays the page out anew
  let [wide, high] = [stage.clientWidth, stage.clientHeight];

  // how far a piece is lifted for each one laid before it
  const lift = () => (page.state.apart * size * 0.5) / Math.max(page.pieces.length - 1, 1);
  const rise = () => lift() * (page.pieces.length - 1);

  function draw() {
    waiting = false;
    renderer.render(scene, camera);
    const lines = page.pieces.filter(page.isShown).map(endsOf).filter((line) => line !== null);
    showLabels(project, lines, [wide, high]);
    nothing.hidden = lines.some((line) => crosses(line, [0, 0, wide, high]));
    if (!performance.getEntriesByName("first picture").length) performance.mark("first picture");
  }

  function soon() {
    if (!waiting) requestAnimationFrame(draw);
    waiting = true;
  }

  // while it turns and the pictures come late, they are drawn coarser, and if that does not do, without
  // edges; sharp again as soon as it stands
  const [SHARP, COARSER, EDGELESS] = [0, 1, 2];
  let [last, late, rough, resting] = [0, 0, SHARP, 0];

  function turned() {
    const now = performance.now();
    const spent = now - last;
    last = now;
    if (spent < 250) late = 0.8 * late + 0.2 * spent;
    clearTimeout(resting);
    resting = setTimeout(() => roughen(SHARP), 180);
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

  // a box of corners, seen along a direction: where the eye turns about and how far away it is
  function framed(way, low, top, margin) {
    const back = way.clone().normalize();
    const right = new THREE.Vector3().crossVectors(camera.up, back).normalize();
    const over = new THREE.Vector3().crossVectors(back, right);
    const half = Math.tan((camera.fov * Math.PI) / 360);
    if (stage.clientHeight) camera.aspect = stage.clientWidth / stage.clientHeight;
    const target = new THREE.Vector3(...low.map((value, axis) => (value + top[axis]) / 2));
    const reach = low.map((value, axis) => (top[axis] - value) / 2);
    let distance = 0;
    for (const x of [-reach[0], reach[0]]) {
      for (const y of [-reach[1], reach[1]]) {
        for (const z of [-reach[2], reach[2]]) {
          const corner = new THREE.Vector3(x, y, z);
          const across = Math.max(Math.abs(corner.dot(right)) / camera.aspect, Math.abs(corner.dot(over)));
          distance = Math.max(distance, corner.dot(back) + across / half);
        }
      }
    }
    return { target, back, distance: distance * margin };
  }

  function goTo({ target, back, distance }) {
    controls.target.copy(target);
    camera.position.copy(target).addScaledVector(back, distance);
    controls.update();
    soon();
  }

  // the whole frame, lifted apart as it is, seen along a direction
  function fit(way) {
    cancelAnimationFrame(gliding);
    const low = box.low.map((value, axis) => value - box.middle[axis]);
    const top = box.high.map((value, axis) => value - box.middle[axis]);
    const found = framed(way, low, [top[0], top[1], top[2] + rise()], 1.06);
    camera.near = size / 400 + 1;
    camera.far = (found.distance + size) * 12;
    controls.minDistance = size / 50 + 50;
    controls.maxDistance = (found.distance + size) * 5;
    camera.updateProjectionMatrix();
    goTo(found);
  }

  // some pieces fill the view, seen from where one looks: smoothly, or at once for those who want no motion
  const still = window.matchMedia("(prefers-reduced-motion: reduce)");
  let gliding = 0;
  function look(pieces) {
    if (!pieces.length) return;
    const [low, top] = [[Infinity, Infinity, Infinity], [-Infinity, -Infinity, -Infinity]];
    for (const piece of pieces) {
      piece.solid.corners.forEach((value, at) => {
        const along = value - box.middle[at % 3] + (at % 3 === 2 ? (piece.order - 1) * lift() : 0);
        low[at % 3] = Math.min(low[at % 3], along);
        top[at % 3] = Math.max(top[at % 3], along);
      });
    }
    glide(framed(away(), low, top, 1.25));
  }

  function glide(to) {
    cancelAnimationFrame(gliding);
    if (still.matches) {
      goTo(to);
      return;
    }
    const from = { target: controls.target.clone(), distance: away().length() };
    const begun = performance.now();
    function onward(now) {
      const part = Math.min(Math.max((now - begun) / GLIDE, 0), 1);
      const eased = part * part * (3 - 2 * part);
      goTo({
        target: from.target.clone().lerp(to.target, eased),
        back: to.back,
        distance: from.distance * (to.distance / from.distance) ** eased,
      });
      if (part < 1) gliding = requestAnimationFrame(onward);
    }
    gliding = requestAnimationFrame(onward);
  }

  const away = () => camera.position.clone().sub(controls.target);

  function orbit(round, up) {
    cancelAnimationFrame(gliding);
    const from = away();
    const distance = from.length();
    const polar = Math.min(Math.max(Math.acos(from.z / distance) - up, 0.02), controls.maxPolarAngle);
    const turn = Math.atan2(from.y, from.x) + round;
    from.set(Math.sin(polar) * Math.cos(turn), Math.sin(polar) * Math.sin(turn), Math.cos(polar));
    camera.position.copy(controls.target).addScaledVector(from, distance);
    controls.update();
    soon();
  }

  // coming nearer leads to the picked piece, so that the frame is not lost
  function closer(by) {
    cancelAnimationFrame(gliding);
    const from = away();
    const { picked } = page.state;
    if (by < 1 && picked && page.isShown(picked)) controls.target.lerp(placeOf(picked.solid.label, picked), 0.4);
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
    ribbons.set("view", (view) => view.value.set(clientWidth, clientHeight));
    camera.aspect = clientWidth / clientHeight;
    camera.updateProjectionMatrix();
    draw();
  }

  function placeOf([x, y, z], piece) {
    return new THREE.Vector3(x - box.middle[0], y - box.middle[1], z - box.middle[2] + (piece.order - 1) * lift());
  }

  function onView(at) {
    return { x: ((at.x + 1) / 2) * wide, y: ((1 - at.y) / 2) * high };
  }

  // both ends of a piece's middle line in the view, as far as it lies before the eye
  const [one, other] = [new THREE.Vector3(), new THREE.Vector3()];
  function endsOf(piece) {
    const { ends } = piece.solid;
    const [x, y, z] = box.middle;
    const up = (piece.order - 1) * lift() - z;
    one.set(ends[0] - x, ends[1] - y, ends[2] + up).applyMatrix4(camera.matrixWorldInverse);
    other.set(ends[3] - x, ends[4] - y, ends[5] + up).applyMatrix4(camera.matrixWorldInverse);
    const front = -camera.near;
    if (one.z > front && other.z > front) return null;
    if (one.z > front) one.lerp(other, (one.z - front) / (one.z - other.z));
    else if (other.z > front) other.lerp(one, (other.z - front) / (other.z - one.z));
    return [onView(one.applyMatrix4(camera.projectionMatrix)), onView(other.applyMatrix4(camera.projectionMatrix))];
  }

  function inView(piece) {
    const at = piece && project(piece);
    return !piece || (at !== null && at.x > 0 && at.y > 0 && at.x < wide && at.y < high);
  }

  function project(piece) {
    const at = placeOf(piece.solid.label, piece);
    const far = at.distanceTo(camera.position);
    at.project(camera);
    if (at.z < -1 || at.z > 1) return null;
    // how wide the plate is in the view, so that its mark stands clear of it
    const half = (high * parseFloat(piece.section)) / (4 * far * Math.tan((camera.fov * Math.PI) / 360));
    return { ...onView(at), ends: endsOf(piece), half };
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
    ribbons.show();
    soon();
  }

  function colours() {
    const dark = document.documentElement.dataset.theme === "dark";
    materials.edge.uniforms.dark.value = dark ? 0.1 : 0.65;
    ribbons.set("drop", (drop) => { drop.value = plainColour(property("--ink")); });
    renderer.setClearColor(new THREE.Color(property("--ground")), 1);
    soon();
  }

  // the picked piece; with its mates where it is shown how it comes down on them
  function lookAt(withMates) {
    const { picked } = page.state;
    if (!picked) return;
    look([picked, ...(withMates ? page.pieces.filter((piece) => page.isMate(piece) && page.isShown(piece)) : [])]);
  }

  function bringBack() {
    if (!page.pieces.some(page.isShown)) page.showAll();
    deeds.reset();
    canvas.focus({ preventScroll: true });
  }

  document.getElementById("look").addEventListener("click", () => lookAt(false));
  document.getElementById("find").addEventListener("click", bringBack);
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
    l: () => lookAt(false),
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
  canvas.addEventListener("webglcontextlost", () => page.noSpace("The 3D view was lost. Load the page anew to have it back."));

  controls.zoomToCursor = true;
  controls.addEventListener("start", () => cancelAnimationFrame(gliding));
  controls.addEventListener("change", turned);
  page.listen((what) => {
    if (what === "apart") {
      materials.apart.value = lift();
      ribbons.set("dash", (dash) => { dash.value = size / 28; });
      ribbons.show();
      fit(away());
    } else if (what !== "ticks") showLooks();
    if (what === "picked" && !inView(page.state.picked)) lookAt(true);
    if (what === "step" && page.state.stepping) lookAt(true);
    else if (what === "step") fit(away());
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
else page.noSpace("This browser cannot draw in 3D. The plan, the list, the sheets and the laps work without it.");
