// All pieces as one mesh and one set of edge lines over the same corners; each corner knows its piece.
const page = window.platemodel;
const ROLES = ["under", "over", "both", "none"];

function extent(pieces) {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const piece of pieces) {
    piece.solid.corners.forEach((value, index) => {
      low[index % 3] = Math.min(low[index % 3], value);
      high[index % 3] = Math.max(high[index % 3], value);
    });
  }
  return { low, high, middle: low.map((value, axis) => (value + high[axis]) / 2) };
}

// corners are shared by the faces and edges that meet there; the shading finds each face's slope itself
class Buffers {
  constructor(count, faces, edges) {
    this.position = new Float32Array(count * 3);
    this.faces = new Uint32Array(faces);
    this.edges = new Uint32Array(edges);
    this.about = new Float32Array(count * 2); // laying number from 0, role
    this.look = new Float32Array(count);
    this.at = 0;
    this.ranges = [];
  }

  add(corner, piece) {
    this.position.set(corner, this.at * 3);
    this.about.set([piece.order - 1, ROLES.indexOf(piece.role)], this.at * 2);
    this.at += 1;
  }

  geometries() {
    const attributes = {
      position: new THREE.BufferAttribute(this.position, 3),
      about: new THREE.BufferAttribute(this.about, 2),
      look: new THREE.BufferAttribute(this.look, 1),
    };
    return [this.faces, this.edges].map((index) => {
      const made = new THREE.BufferGeometry();
      for (const [name, attribute] of Object.entries(attributes)) made.setAttribute(name, attribute);
      made.setIndex(new THREE.BufferAttribute(index, 1));
      return made;
    });
  }

  // one look for all corners of each piece
  setLooks(looks) {
    this.ranges.forEach(({ corners: [from, to] }, index) => this.look.fill(looks[index], from, to));
  }
}

function buildSolids(pieces, middle) {
  const total = (name) => pieces.reduce((sum, piece) => sum + piece.solid[name].length, 0);
  const solids = new Buffers(total("corners") / 3, total("triangles"), total("edges"));
  let [face, edge] = [0, 0];
  for (const piece of pieces) {
    const { corners, triangles, edges } = piece.solid;
    const from = solids.at;
    const begin = face;
    for (let at = 0; at < corners.length; at += 3) {
      solids.add([corners[at] - middle[0], corners[at + 1] - middle[1], corners[at + 2] - middle[2]], piece);
    }
    for (const corner of triangles) solids.faces[face++] = from + corner;
    for (const corner of edges) solids.edges[edge++] = from + corner;
    solids.ranges.push({ corners: [from, solids.at], faces: [begin, face] });
  }
  return solids;
}

// distance along a ray to a triangle of three corners, lifted by `lift`; Infinity where it misses
function hitTriangle(origin, way, position, [a, b, c], lift) {
  const ax = position[a], ay = position[a + 1], az = position[a + 2] + lift;
  const ux = position[b] - ax, uy = position[b + 1] - ay, uz = position[b + 2] + lift - az;
  const vx = position[c] - ax, vy = position[c + 1] - ay, vz = position[c + 2] + lift - az;
  const px = way.y * vz - way.z * vy, py = way.z * vx - way.x * vz, pz = way.x * vy - way.y * vx;
  const scale = ux * px + uy * py + uz * pz;
  if (Math.abs(scale) < 1e-12) return Infinity;
  const tx = origin.x - ax, ty = origin.y - ay, tz = origin.z - az;
  const u = (tx * px + ty * py + tz * pz) / scale;
  if (u < 0 || u > 1) return Infinity;
  const qx = ty * uz - tz * uy, qy = tz * ux - tx * uz, qz = tx * uy - ty * ux;
  const v = (way.x * qx + way.y * qy + way.z * qz) / scale;
  if (v < 0 || u + v > 1) return Infinity;
  const along = (vx * qx + vy * qy + vz * qz) / scale;
  return along > 0 ? along : Infinity;
}
