// All pieces as one mesh and one set of edge lines; each corner knows its piece.
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

function normalOf(a, b, c) {
  const u = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const v = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
  const size = Math.hypot(...n) || 1;
  return n.map((value) => value / size);
}

class Buffers {
  constructor(count) {
    this.position = new Float32Array(count * 3);
    this.normal = new Float32Array(count * 3);
    this.about = new Float32Array(count * 2); // laying number from 0, role
    this.look = new Float32Array(count);
    this.at = 0;
    this.ranges = [];
  }

  add(corner, normal, piece) {
    this.position.set(corner, this.at * 3);
    this.normal.set(normal, this.at * 3);
    this.about.set([piece.order - 1, ROLES.indexOf(piece.role)], this.at * 2);
    this.at += 1;
  }

  geometry() {
    const made = new THREE.BufferGeometry();
    made.setAttribute("position", new THREE.BufferAttribute(this.position, 3));
    made.setAttribute("normal", new THREE.BufferAttribute(this.normal, 3));
    made.setAttribute("about", new THREE.BufferAttribute(this.about, 2));
    made.setAttribute("look", new THREE.BufferAttribute(this.look, 1));
    return made;
  }

  // one look for all corners of each piece
  setLooks(looks) {
    this.ranges.forEach(([from, to], index) => this.look.fill(looks[index], from, to));
  }
}

function corners(piece, middle) {
  const found = [];
  const flat = piece.solid.corners;
  for (let at = 0; at < flat.length; at += 3) {
    found.push([flat[at] - middle[0], flat[at + 1] - middle[1], flat[at + 2] - middle[2]]);
  }
  return found;
}

function buildSolids(pieces, middle) {
  const total = (name) => pieces.reduce((sum, piece) => sum + piece.solid[name].length, 0);
  const faces = new Buffers(total("triangles"));
  const edges = new Buffers(total("edges"));
  for (const piece of pieces) {
    const points = corners(piece, middle);
    const from = [faces.at, edges.at];
    const order = piece.solid.triangles;
    for (let at = 0; at < order.length; at += 3) {
      const [a, b, c] = [points[order[at]], points[order[at + 1]], points[order[at + 2]]];
      const normal = normalOf(a, b, c);
      for (const corner of [a, b, c]) faces.add(corner, normal, piece);
    }
    for (const index of piece.solid.edges) edges.add(points[index], [0, 0, 1], piece);
    faces.ranges.push([from[0], faces.at]);
    edges.ranges.push([from[1], edges.at]);
  }
  return { faces, edges };
}

// distance along a ray to a triangle of the buffers, lifted by `lift`; Infinity where it misses
function hitTriangle(origin, way, position, at, lift) {
  const ax = position[at], ay = position[at + 1], az = position[at + 2] + lift;
  const ux = position[at + 3] - ax, uy = position[at + 4] - ay, uz = position[at + 5] + lift - az;
  const vx = position[at + 6] - ax, vy = position[at + 7] - ay, vz = position[at + 8] + lift - az;
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
