// Light, colours of the halves, and stripes that tell them apart without colour.
// looks: -1 not shown, 0 as it is, 1 a mate of the picked piece, 2 picked
const PLACE = `
attribute vec2 about;
attribute float look;
uniform float apart;
vec4 placed() {
  if (look < 0.0) return vec4(2.0, 2.0, 2.0, 1.0);
  return projectionMatrix * modelViewMatrix * vec4(position + vec3(0.0, 0.0, about.x * apart), 1.0);
}`;

const FACE_CORNER = `${PLACE}
uniform vec3 roles[4];
varying vec3 vColour;
varying float vRole;
varying float vLook;
varying vec3 vPlace;
void main() {
  gl_Position = placed();
  vPlace = position + vec3(0.0, 0.0, about.x * apart);
  vRole = about.y;
  vLook = look;
  vColour = roles[int(about.y + 0.5)];
}`;

const FACE = `
uniform vec3 picked;
uniform float ratio;
varying vec3 vColour;
varying float vRole;
varying float vLook;
varying vec3 vPlace;
float stripe(float at) { return step(fract(at / 9.0), 0.3); }
void main() {
  vec3 normal = normalize(cross(dFdx(vPlace), dFdy(vPlace)));
  float light = 0.74 + 0.26 * normal.z + 0.1 * normal.x - 0.06 * normal.y;
  vec2 at = gl_FragCoord.xy / ratio;
  float up = stripe(at.x - at.y);
  float down = stripe(at.x + at.y);
  float dark = vRole < 0.5 ? 0.0 : vRole < 1.5 ? up : vRole < 2.5 ? max(up, down) : stripe(1.5 * at.y);
  vec3 colour = vLook > 1.5 ? picked : vLook > 0.5 ? mix(vColour, picked, 0.45) : vColour;
  gl_FragColor = vec4(colour * light * (1.0 - 0.42 * dark), 1.0);
}`;

// edges are the piece's colour with ink in it: thin plates seen from afar are nearly all edge
const EDGE_CORNER = `${PLACE}
uniform vec3 roles[4];
uniform vec3 picked;
uniform vec3 ink;
uniform float dark;
varying vec3 vColour;
void main() {
  gl_Position = placed();
  vec3 role = roles[int(about.y + 0.5)];
  vColour = mix(look > 1.5 ? picked : look > 0.5 ? mix(role, picked, 0.45) : role, ink, dark);
}`;

const EDGE = `
varying vec3 vColour;
void main() { gl_FragColor = vec4(vColour, 1.0); }`;

function property(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

// a colour as it is written (#rrggbb), not as light
function plainColour(text) {
  const part = (at) => parseInt(text.slice(at, at + 2), 16) / 255;
  return new THREE.Vector3(part(1), part(3), part(5));
}

function buildMaterials() {
  const apart = { value: 0 };
  const roles = { value: ROLES.map((role) => plainColour(property(`--role-${role}`))) };
  const picked = { value: plainColour(property("--picked")) };
  const face = new THREE.ShaderMaterial({
    vertexShader: FACE_CORNER,
    fragmentShader: FACE,
    uniforms: {
      apart,
      roles,
      picked,
      ratio: { value: 1 },
    },
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
  });
  const edge = new THREE.ShaderMaterial({
    vertexShader: EDGE_CORNER,
    fragmentShader: EDGE,
    uniforms: { apart, roles, picked, ink: { value: plainColour("#111111") }, dark: { value: 0.6 } },
  });
  return { face, edge, apart };
}
