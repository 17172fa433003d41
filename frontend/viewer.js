// A small 3-D view: the load space and the box in it. Turn, zoom, look from a side; all by
// pointer, touch or keyboard.
import {
  AmbientLight, Box3, Color, DirectionalLight, EdgesGeometry, LineBasicMaterial, LineSegments,
  PerspectiveCamera, Scene, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";
import { GLTFLoader } from "three/examples/jsm/loaders/GLTFLoader.js";

const SIDES = {
  corner: [-0.95, 0.75, -1.25],
  rear: [0, 0.12, -1],
  side: [-1, 0.1, 0],
  top: [0, 1, -0.001],
};

export class Viewer {
  constructor(element) {
    this.element = element;
    this.canvas = element.querySelector("canvas");
    this.renderer = new WebGLRenderer({ canvas: this.canvas, antialias: true, alpha: true });
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(38, 1, 0.02, 60);
    this.scene.add(new AmbientLight(0xffffff, 1.5));
    const sun = new DirectionalLight(0xffffff, 1.8);
    sun.position.set(-2, 4, -3);
    this.scene.add(sun);
    this.controls = new OrbitControls(this.camera, this.canvas);
    this.controls.enableDamping = false;
    this.controls.addEventListener("change", () => this.render());
    this.loader = new GLTFLoader();
    new ResizeObserver(() => this.fit()).observe(element);
    document.addEventListener("theme", () => this.render());
    this.canvas.addEventListener("keydown", (event) => this.keys(event));
    this.fit();
  }

  fit() {
    const { clientWidth: width, clientHeight: height } = this.element;
    if (!width || !height) return;
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    this.render();
  }

  async load(address) {
    const ticket = (this.ticket = (this.ticket || 0) + 1);
    const { scene } = await this.loader.loadAsync(address);
    if (ticket !== this.ticket) return;
    if (this.content) this.scene.remove(this.content);
    const first = !this.content;
    this.content = scene;
    scene.traverse((node) => this.outline(node));
    this.scene.add(scene);
    if (first) this.turn("corner");
    this.render();
    this.element.dataset.ready = "yes";
  }

  outline(node) {
    if (!node.isMesh || node.userData.outlined) return;
    node.userData.outlined = true;
    const solid = node.material.opacity > 0.8;
    if (!solid) node.material.depthWrite = false;
    const line = new LineSegments(
      new EdgesGeometry(node.geometry, 25),
      new LineBasicMaterial({ color: new Color(solid ? 0x14201f : 0x5d6b68) }),
    );
    line.raycast = () => {};
    line.userData.outlined = true;
    node.add(line);
  }

  turn(side) {
    if (!this.content) return;
    const box = new Box3().setFromObject(this.content);
    const middle = box.getCenter(new Vector3());
    const radius = box.getSize(new Vector3()).length() / 2;
    const way = new Vector3(...(SIDES[side] || SIDES.corner)).normalize();
    const wide = Math.min(1, this.camera.aspect);
    const distance = (radius / Math.sin((this.camera.fov * Math.PI) / 360) / wide) * 0.95;
    this.controls.target.copy(middle);
    this.camera.position.copy(middle).addScaledVector(way, distance);
    this.controls.update();
    this.render();
  }

  keys(event) {
    const zoom = { "+": 0.88, "=": 0.88, "-": 1.14 }[event.key];
    const turn = { ArrowLeft: -0.15, ArrowRight: 0.15 }[event.key];
    const lift = { ArrowUp: -0.12, ArrowDown: 0.12 }[event.key];
    if (!zoom && !turn && !lift) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    const offset = this.camera.position.clone().sub(this.controls.target);
    if (zoom) offset.multiplyScalar(zoom);
    if (turn) offset.applyAxisAngle(new Vector3(0, 1, 0), turn);
    if (lift) {
      const across = new Vector3().crossVectors(new Vector3(0, 1, 0), offset).normalize();
      const lifted = offset.clone().applyAxisAngle(across, lift);
      const angle = lifted.angleTo(new Vector3(0, 1, 0));
      if (angle > 0.05 && angle < 3.0) offset.copy(lifted);
    }
    this.camera.position.copy(this.controls.target).add(offset);
    this.controls.update();
    this.render();
  }

  render() {
    this.renderer.render(this.scene, this.camera);
  }
}
