// The picture: camera, light, turning, and taps; it draws only when something has changed.

import {
  AmbientLight, Box3, BufferGeometry, DirectionalLight, Float32BufferAttribute, HemisphereLight,
  LineBasicMaterial, LineSegments, Matrix4, PerspectiveCamera, Plane, Raycaster, Scene,
  Vector2, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";

const STILL_PX = 6;
// A finger, or a cable of three millimetres, is seldom met exactly.
const RINGS = [[0, 0], [5, 0], [-5, 0], [0, 5], [0, -5], [9, 9], [-9, 9], [9, -9], [-9, -9]];

export class Stage {
  constructor(canvas, labels) {
    this.canvas = canvas;
    this.labels = labels;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.localClippingEnabled = true;
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(38, 1, 0.01, 5000);
    this.scene.add(new HemisphereLight(0xffffff, 0x9a948a, 2.2), new AmbientLight(0xffffff, 0.5));
    const sun = new DirectionalLight(0xffffff, 1.6);
    sun.position.set(0.5, 1, 0.8);
    this.scene.add(sun);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.zoomToCursor = true;
    this.controls.addEventListener("change", () => this.draw());
    this.line = new LineSegments(
      new BufferGeometry(), new LineBasicMaterial({ color: 0xd03a00, depthTest: false }));
    this.line.renderOrder = 10;
    this.line.visible = false;
    this.scene.add(this.line);
    this.notes = [];
    this.waiting = false;
    this.frames = 0;
    new ResizeObserver(() => this.#resize()).observe(canvas.parentElement);
    this.#resize();
    this.#taps();
  }

  use(model) {
    this.model = model;
    this.scene.add(model.group);
    this.fit();
  }

  #resize() {
    const { clientWidth: width, clientHeight: height } = this.canvas.parentElement;
    if (!width || !height) return;
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    this.camera.updateProjectionMatrix();
    this.draw();
  }

  /** Asks for one new picture. */
  draw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.renderer.render(this.scene, this.camera);
      this.frames += 1;
      this.#placeNotes();
    });
  }

  #taps() {
    let down = null;
    this.canvas.addEventListener("pointerdown", (event) => {
      down = event.isPrimary ? [event.clientX, event.clientY] : null;
    });
    this.canvas.addEventListener("pointerup", (event) => {
      if (!down || Math.hypot(event.clientX - down[0], event.clientY - down[1]) > STILL_PX) return;
      const box = this.canvas.getBoundingClientRect();
      this.onTap?.([event.clientX - box.left, event.clientY - box.top]);
    });
  }

  /** The ray from the eye through a pixel, as origin and direction. */
  ray([x, y]) {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    const caster = new Raycaster();
    caster.setFromCamera(new Vector2((2 * x) / width - 1, 1 - (2 * y) / height), this.camera);
    return caster;
  }

  /** What a pixel shows: instance and point; real parts before ghosts where both are near. */
  pick(pixel) {
    let ghost = null;
    for (const [dx, dy] of RINGS) {
      const hit = this.#hit([pixel[0] + dx, pixel[1] + dy]);
      if (hit && !hit.ghost) return hit;
      ghost ??= dx || dy ? null : hit;
    }
    return ghost;
  }

  #hit(pixel) {
    const caster = this.ray(pixel);
    for (const { object, instanceId, point } of caster.intersectObject(this.model.group)) {
      if (this.section && this.section.distanceToPoint(point) < 0) continue;
      const set = this.model.sets.find((one) => one.drawn === object);
      return { instance: set.shown[instanceId], point: point.toArray(), ghost: set.ghost };
    }
    return null;
  }

  /** The pixel at which a point of the model shows. */
  pixel(point) {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    const seen = new Vector3(...point).project(this.camera);
    return [((seen.x + 1) / 2) * width, ((1 - seen.y) / 2) * height, seen.z];
  }

  /** A box about instances; all that are shown where none are given. */
  box(instances = this.model.instances.filter((one) => !this.model.hidden(one))) {
    const box = new Box3();
    const matrix = new Matrix4();
    for (const one of instances) {
      const { geometry } = this.model.sets[one.mesh].drawn;
      if (!geometry.boundingBox) geometry.computeBoundingBox();
      box.union(geometry.boundingBox.clone().applyMatrix4(matrix.fromArray(one.matrix)));
    }
    return box;
  }

  /** Looks at a box from a direction; from where the camera is where none is given. */
  look(box, from = null) {
    if (box.isEmpty()) return;
    const way = from ? new Vector3(...from).normalize()
      : this.camera.position.clone().sub(this.controls.target).normalize();
    const centre = box.getCenter(new Vector3());
    const away = this.#away(box, centre, way);
    this.controls.target.copy(centre);
    this.camera.position.copy(centre).addScaledVector(way, away);
    this.camera.near = Math.max(away / 500, 0.005);
    this.camera.far = away * 50 + 100;
    this.camera.updateProjectionMatrix();
    this.controls.update();
    this.draw();
  }

  /** How far off the eye has to be for all corners of a box to show, with some room about them. */
  #away(box, centre, way) {
    const side = new Vector3(0, 1, 0).cross(way);
    if (side.lengthSq() < 1e-9) side.set(1, 0, 0);
    side.normalize();
    const up = way.clone().cross(side);
    const tall = Math.tan((this.camera.fov * Math.PI) / 360) * 0.92;
    const wide = tall * this.camera.aspect;
    let away = 0.3;
    for (let k = 0; k < 8; k++) {
      const corner = new Vector3(
        k & 1 ? box.max.x : box.min.x, k & 2 ? box.max.y : box.min.y, k & 4 ? box.max.z : box.min.z).sub(centre);
      const needed = Math.max(Math.abs(corner.dot(side)) / wide, Math.abs(corner.dot(up)) / tall);
      away = Math.max(away, corner.dot(way) + needed);
    }
    return away;
  }

  /** The whole of what is shown, from the quarter that shows most. */
  fit(from = [0.7, 0.55, 1]) {
    this.look(this.box(), from);
  }

  /** Turns, moves and nears the camera by keys. */
  key(name, shift) {
    const turn = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[name];
    const offset = this.camera.position.clone().sub(this.controls.target);
    if (turn && shift) {
      const step = offset.length() * 0.08;
      const right = new Vector3().setFromMatrixColumn(this.camera.matrix, 0);
      const up = new Vector3().setFromMatrixColumn(this.camera.matrix, 1);
      const move = right.multiplyScalar(turn[0] * step).add(up.multiplyScalar(-turn[1] * step));
      this.camera.position.add(move);
      this.controls.target.add(move);
    } else if (turn) {
      offset.applyAxisAngle(new Vector3(0, 1, 0), turn[0] * 0.12);
      const side = new Vector3(0, 1, 0).cross(offset).normalize();
      const tilted = offset.clone().applyAxisAngle(side, turn[1] * 0.12);
      const steep = Math.abs(tilted.clone().normalize().y) > 0.995;
      this.camera.position.copy(this.controls.target).add(steep ? offset : tilted);
    } else if (name === "+" || name === "=" || name === "-") {
      const nearer = name === "-" ? 1.15 : 1 / 1.15;
      this.camera.position.copy(this.controls.target).add(offset.multiplyScalar(nearer));
    } else if (name === "f" || name === "F" || name === "Home") {
      this.fit();
    } else {
      return false;
    }
    this.controls.update();
    this.draw();
    return true;
  }

  /** Cuts away what lies before a plane (normal, point); nothing where no normal is given. */
  cut(normal, point) {
    this.section = normal
      ? new Plane().setFromNormalAndCoplanarPoint(new Vector3(...normal), new Vector3(...point)) : null;
    for (const { drawn } of this.model.sets) {
      drawn.material.clippingPlanes = this.section ? [this.section] : null;
      drawn.material.needsUpdate = true;
      drawn.material.side = this.section ? 2 : 0;
    }
    this.draw();
  }

  /** Draws stretches over everything, and words at points: [{at, text, kind}]. */
  annotate(stretches, notes) {
    const flat = stretches.flat(2);
    this.line.geometry.dispose();
    this.line.geometry = new BufferGeometry();
    this.line.geometry.setAttribute("position", new Float32BufferAttribute(flat, 3));
    this.line.visible = flat.length > 0;
    this.labels.replaceChildren();
    this.notes = notes.map(({ at, text, kind = "" }) => {
      const element = document.createElement("span");
      element.className = `flag ${kind}`;
      element.textContent = text;
      this.labels.append(element);
      return { at, element };
    });
    this.draw();
  }

  #placeNotes() {
    for (const { at, element } of this.notes) {
      const [x, y, depth] = this.pixel(at);
      element.style.transform = `translate(-50%, -140%) translate(${x}px, ${y}px)`;
      element.hidden = depth > 1;
    }
  }
}
