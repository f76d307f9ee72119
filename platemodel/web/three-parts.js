// The parts of three.js that the 3D view uses; three.txt says how three.min.js is made from this.
export {
  BufferAttribute, BufferGeometry, Color, DoubleSide, FrontSide, LineSegments, Mesh, PerspectiveCamera,
  Scene, ShaderMaterial, Vector2, Vector3, WebGLRenderer,
} from "three";
export { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
