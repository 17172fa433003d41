// A small 3-D view: the load space and the box in it. Turn, zoom, look from a side; all by
// pointer, touch or keyboard.
import {
  AmbientLight, Box3, Color, CylinderGeometry, DirectionalLight, EdgesGeometry, Group,
  LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, PerspectiveCamera, Quaternion, Scene,
  Vector3, WebGLRenderer,
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
    this.labels = element.querySelector(".scene-lines");
    this.air = new Group();
    this.scene.add(this.air);
    this.marks = [];
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
    if (this.glass) this.seeThrough(true);
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

  // the box as if of glass: what stands behind it, and its cone, can be seen
  seeThrough(on) {
    this.glass = on;
    this.content?.traverse((node) => {
      const own = node.isMesh && /^box/.test(node.name || node.parent?.name || "");
      if (!own) return;
      node.material.transparent = on;
      node.material.opacity = on ? 0.22 : 1;
      node.material.depthWrite = !on;
      node.material.needsUpdate = true;
    });
    this.render();
  }

  // lines of the air around the box, in front of everything, with their figures beside them
  measure(lines) {
    this.air.clear();
    this.labels.replaceChildren();
    this.marks = lines.map((line) => {
      const [from, to] = [new Vector3(...line.start), new Vector3(...line.end)];
      this.air.add(rod(from, to, line.decides));
      const label = document.createElement("span");
      label.textContent = line.text;
      label.classList.toggle("is-deciding", line.decides);
      this.labels.append(label);
      return { label, middle: from.clone().lerp(to, 0.5) };
    });
    this.render();
  }

  showAir(on) {
    this.air.visible = on;
    this.labels.hidden = !on;
    this.render();
  }

  place() {
    if (!this.marks.length || this.labels.hidden) return;
    const { clientWidth: width, clientHeight: height } = this.element;
    const placed = [];
    for (const { label, middle } of this.marks) {
      const at = middle.clone().project(this.camera);
      const wide = label.offsetWidth, high = label.offsetHeight;
      let x = ((at.x + 1) / 2) * width - wide / 2;
      let y = ((1 - at.y) / 2) * height - high - 7;
      x = Math.min(Math.max(x, 2), width - wide - 2);
      for (let turn = 0; turn < 8; turn++) {
        const under = placed.find((each) =>
          Math.abs(each.x - x) < (each.wide + wide) / 2 + 2 && Math.abs(each.y - y) < high + 1);
        if (!under) break;
        y = under.y + (y < under.y ? -1 : 1) * (high + 2);
      }
      y = Math.min(Math.max(y, 2), height - high - 2);
      placed.push({ x, y, wide });
      label.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    }
  }

  turn(side) {
    if (!this.content) return;
    const box = new Box3().setFromObject(this.content);
    const middle = box.getCenter(new Vector3());
    const way = new Vector3(...(SIDES[side] || SIDES.corner)).normalize();
    const distance = this.distance(box, middle, way);
    this.controls.target.copy(middle);
    this.camera.position.copy(middle).addScaledVector(way, distance);
    this.controls.update();
    this.render();
  }

  // how far away the eye has to be so that every corner of a box is in the picture
  distance(box, middle, way) {
    const across = new Vector3(0, 1, 0).cross(way).normalize();
    const up = way.clone().cross(across);
    const high = Math.tan((this.camera.fov * Math.PI) / 360) * 0.84;
    const wide = high * this.camera.aspect;
    let far = 0;
    for (const x of [box.min.x, box.max.x])
      for (const y of [box.min.y, box.max.y])
        for (const z of [box.min.z, box.max.z]) {
          const corner = new Vector3(x, y, z).sub(middle);
          const needed = Math.max(Math.abs(corner.dot(across)) / wide, Math.abs(corner.dot(up)) / high);
          far = Math.max(far, corner.dot(way) + needed);
        }
    return far;
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
    this.place();
  }
}

// a thin rod with a disc at each end, seen through everything
function rod(from, to, decides) {
  const way = to.clone().sub(from);
  const length = Math.max(way.length(), 0.002);
  const turned = new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), way.clone().normalize());
  const look = { depthTest: false, transparent: true };
  const colour = new MeshBasicMaterial({ ...look, color: decides ? 0xf3c118 : 0xfffefa });
  const edge = new MeshBasicMaterial({ ...look, color: 0x14201f });
  const made = new Group();
  const thick = decides ? 0.007 : 0.004;
  const add = (radius, long, shift, paint, order) => {
    const mesh = new Mesh(new CylinderGeometry(radius, radius, long, 12), paint);
    mesh.quaternion.copy(turned);
    mesh.position.copy(from).addScaledVector(way.clone().normalize(), shift);
    mesh.renderOrder = order;
    made.add(mesh);
  };
  for (const [wider, paint, order] of [[0.003, edge, 8], [0, colour, 9]]) {
    add(thick + wider, length, length / 2, paint, order);
    for (const end of [0, length]) add(thick * 3.2 + wider, 0.004 + wider, end, paint, order);
  }
  return made;
}
