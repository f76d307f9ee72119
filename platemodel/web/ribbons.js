// Bands of so many pixels, however far away: behind each plate, so that a thin one is seen from afar and a
// picked one stands out; and dashed from lap to lap while pieces are lifted apart.
const THICK = { plain: 3, mate: 7, picked: 10, drop: 2, dropPicked: 3 };
const BAND_CORNER = `
attribute vec3 other;
attribute vec2 about; // laying numbers from 0: this end's, the other's
attribute vec4 band; // side, role (4: a drop line), thickness in px or 0, 1 at one end and -1 at the other
uniform float apart;
uniform vec2 view;
varying float vSide;
varying float vRole;
varying float vThick;
varying float vUp;
const float NEAR = 20.0;
void main() {
  vSide = band.x;
  vRole = band.y;
  vThick = band.z;
  vec3 mine = position + vec3(0.0, 0.0, about.x * apart);
  vec3 far = other + vec3(0.0, 0.0, about.y * apart);
  vUp = mine.z;
  vec4 from = projectionMatrix * modelViewMatrix * vec4(mine, 1.0);
  vec4 to = projectionMatrix * modelViewMatrix * vec4(far, 1.0);
  if (band.z < 0.1 || (from.w < NEAR && to.w < NEAR)) {
    gl_Position = vec4(2.0, 2.0, 2.0, 1.0);
    return;
  }
  // an end behind the eye is brought before it
  if (from.w < NEAR) from = mix(from, to, (NEAR - from.w) / (to.w - from.w));
  else if (to.w < NEAR) to = mix(to, from, (NEAR - to.w) / (from.w - to.w));
  vec2 way = (to.xy / to.w - from.xy / from.w) * view;
  way = length(way) < 1e-6 ? vec2(1.0, 0.0) : normalize(way);
  vec2 aside = vec2(-way.y, way.x) * band.x * band.z * band.w;
  vec2 beyond = vRole < 3.5 ? -way * (band.z - 3.0) * 0.5 : vec2(0.0);
  gl_Position = vec4(from.xy + (aside + beyond) / view * from.w, from.z, from.w);
}`;

const BAND = `
uniform vec3 roles[4];
uniform vec3 picked;
uniform vec3 ink;
uniform vec3 drop;
uniform float dash;
varying float vSide;
varying float vRole;
varying float vThick;
varying float vUp;
void main() {
  if (vRole > 3.5) {
    if (fract(vUp / dash) > 0.6) discard;
    gl_FragColor = vec4(drop, 1.0);
    return;
  }
  vec3 role = roles[int(vRole + 0.5)];
  vec3 colour = vThick > 9.0 ? picked : vThick > 6.0 ? mix(role, picked, 0.45) : role;
  float edge = vThick > 9.0 ? 2.0 : vThick > 6.0 ? 1.2 : 0.0;
  gl_FragColor = vec4(abs(vSide) * vThick * 0.5 > vThick * 0.5 - edge ? ink : colour, 1.0);
}`;

// `ends` are the two ends of each band, their laying numbers and its role
class Bands {
  constructor(bands) {
    const count = bands.length * 4;
    const position = new Float32Array(count * 3);
    const other = new Float32Array(count * 3);
    const about = new Float32Array(count * 2);
    this.band = new Float32Array(count * 4);
    const index = new Uint32Array(bands.length * 6);
    bands.forEach(({ from, to, orders, role }, number) => {
      for (let corner = 0; corner < 4; corner += 1) {
        const at = number * 4 + corner;
        const back = corner > 1;
        position.set(back ? to : from, at * 3);
        other.set(back ? from : to, at * 3);
        about.set(back ? [orders[1], orders[0]] : orders, at * 2);
        this.band.set([corner % 2 ? -1 : 1, role, 0, back ? -1 : 1], at * 4);
      }
      const first = number * 4;
      index.set([first, first + 1, first + 2, first + 1, first + 3, first + 2], number * 6);
    });
    this.geometry = new THREE.BufferGeometry();
    const set = (name, values, size) => this.geometry.setAttribute(name, new THREE.BufferAttribute(values, size));
    set("position", position, 3);
    set("other", other, 3);
    set("about", about, 2);
    set("band", this.band, 4);
    this.geometry.setIndex(new THREE.BufferAttribute(index, 1));
  }

  setThick(number, thick) {
    for (let corner = 0; corner < 4; corner += 1) this.band[(number * 4 + corner) * 4 + 2] = thick;
    this.geometry.attributes.band.needsUpdate = true;
  }
}

function bandMaterial(materials, behind) {
  const { apart, roles, picked } = materials.face.uniforms;
  return new THREE.ShaderMaterial({
    vertexShader: BAND_CORNER,
    fragmentShader: BAND,
    uniforms: {
      apart,
      roles,
      picked,
      ink: { value: plainColour("#111111") },
      drop: { value: plainColour("#111111") },
      dash: { value: 60 },
      view: { value: new THREE.Vector2(300, 300) },
    },
    side: THREE.DoubleSide,
    depthTest: !behind,
    depthWrite: !behind,
  });
}

// the plates' bands and the drop lines, and what changes them
function buildRibbons(pieces, middle, materials) {
  const moved = (x, y, z) => [x - middle[0], y - middle[1], z - middle[2]];
  const numbers = new Map(pieces.map((piece) => [piece.mark, piece]));
  const plates = new Bands(pieces.map((piece) => ({
    from: moved(...piece.solid.ends.slice(0, 3)),
    to: moved(...piece.solid.ends.slice(3)),
    orders: [piece.order - 1, piece.order - 1],
    role: ROLES.indexOf(piece.role),
  })));
  const joints = page.joints.filter((joint) => joint.at && numbers.has(joint.under) && numbers.has(joint.over));
  const high = pieces[0].solid.ends[2];
  const drops = new Bands(joints.map((joint) => ({
    from: moved(...joint.at, high),
    to: moved(...joint.at, high),
    orders: [numbers.get(joint.under).order - 1, numbers.get(joint.over).order - 1],
    role: 4,
  })));
  const made = [plates, drops].map((bands, at) => new THREE.Mesh(bands.geometry, bandMaterial(materials, at === 0)));
  made.forEach((mesh, at) => {
    mesh.frustumCulled = false;
    mesh.renderOrder = at === 0 ? -1 : 1;
  });

  function show() {
    const { picked, apart } = page.state;
    pieces.forEach((piece, number) => {
      const thick = piece === picked ? THICK.picked : page.isMate(piece) ? THICK.mate : THICK.plain;
      plates.setThick(number, page.isShown(piece) ? thick : 0);
    });
    made[1].visible = apart > 0;
    joints.forEach((joint, number) => {
      const both = [joint.under, joint.over].map((mark) => numbers.get(mark));
      const there = apart > 0 && both.every(page.isShown);
      drops.setThick(number, !there ? 0 : both.includes(picked) ? THICK.dropPicked : THICK.drop);
    });
  }

  function set(name, change) {
    for (const mesh of made) change(mesh.material.uniforms[name]);
  }

  return { meshes: made, show, set };
}
