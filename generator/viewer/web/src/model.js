// The parts on the screen: one drawing call for each distinct part, however often it stands.

import {
  BufferAttribute, BufferGeometry, Color, DynamicDrawUsage, EdgesGeometry, Group, InstancedMesh,
  Matrix4, MeshLambertMaterial,
} from "three";

const GHOSTS = new Set([
  "deck", "floor", "tread", "riser", "stringer", "joist", "rim", "wall", "obstacle", "column",
]);
const PLAIN = new Color(1, 1, 1);
const FIRST = new Color(3.2, 1.35, 0.25);
const SECOND = new Color(0.35, 1.5, 3.4);
const FEATURE_DEG = 20;

export class Model {
  /**
   * @param glb meshes and instances, see glb.js
   * @param parts facts by mark
   */
  constructor(glb, parts) {
    this.group = new Group();
    this.instances = glb.instances.map((one, number) => ({ ...one, number, ...named(one, parts) }));
    this.sets = glb.meshes.map((mesh, number) =>
      this.#set(mesh, this.instances.filter((one) => one.mesh === number)));
    this.lit = new Map();
    this.hidden = () => false;
    this.refresh();
  }

  #set(mesh, instances) {
    const geometry = new BufferGeometry();
    geometry.setAttribute("position", new BufferAttribute(mesh.points, 3));
    geometry.setAttribute("normal", new BufferAttribute(mesh.normals, 3));
    geometry.setIndex(new BufferAttribute(mesh.indices, 1));
    const ghost = instances.length > 0 && GHOSTS.has(instances[0].kind);
    const material = new MeshLambertMaterial({
      color: new Color(mesh.colour[0], mesh.colour[1], mesh.colour[2]),
      transparent: ghost, opacity: ghost ? 0.35 : 1, depthWrite: !ghost,
    });
    const drawn = new InstancedMesh(geometry, material, Math.max(instances.length, 1));
    drawn.instanceMatrix.setUsage(DynamicDrawUsage);
    drawn.frustumCulled = false;
    drawn.renderOrder = ghost ? 1 : 0;
    this.group.add(drawn);
    return { mesh, drawn, instances, shown: [], ghost };
  }

  /** Draws what is not hidden, and in their colours what is lit. */
  refresh() {
    const matrix = new Matrix4();
    for (const set of this.sets) {
      set.shown = set.instances.filter((one) => !this.hidden(one));
      set.shown.forEach((one, k) => {
        set.drawn.setMatrixAt(k, matrix.fromArray(one.matrix));
        set.drawn.setColorAt(k, this.lit.get(one.mark) ?? PLAIN);
      });
      set.drawn.count = set.shown.length;
      set.drawn.visible = set.shown.length > 0;
      set.drawn.instanceMatrix.needsUpdate = true;
      if (set.drawn.instanceColor) set.drawn.instanceColor.needsUpdate = true;
      set.drawn.boundingSphere = null;
      set.drawn.boundingBox = null;
    }
  }

  /** Lights parts: those of the first list in one colour, of the second in another. */
  light(first, second = []) {
    this.lit = new Map([...second.map((m) => [m, SECOND]), ...first.map((m) => [m, FIRST])]);
    this.refresh();
  }

  /** Instances of a part, what is fixed on it included. */
  of(mark) {
    return this.instances.filter((one) => one.mark === mark);
  }

  /** Corner coordinates of an instance's mesh, each place once, in the mesh's own space. */
  corners(instance) {
    const set = this.sets[instance.mesh];
    if (!set.corners) {
      const seen = new Map();
      const { points } = set.mesh;
      for (let k = 0; k < points.length; k += 3) {
        const corner = [points[k], points[k + 1], points[k + 2]];
        seen.set(corner.map((c) => c.toFixed(6)).join(), corner);
      }
      set.corners = [...seen.values()];
    }
    return set.corners;
  }

  /** Sharp edges of an instance's mesh as pairs of corners in the mesh's own space. */
  edges(instance) {
    const set = this.sets[instance.mesh];
    if (!set.edges) {
      const flat = new EdgesGeometry(set.drawn.geometry, FEATURE_DEG).attributes.position.array;
      set.edges = [];
      for (let k = 0; k < flat.length; k += 6) {
        set.edges.push([[...flat.slice(k, k + 3)], [...flat.slice(k + 3, k + 6)]]);
      }
    }
    return set.edges;
  }
}

/** The mark that an instance answers to, and its own words where it is fixed on that part. */
function named({ names }, parts) {
  for (let k = names.length - 1; k >= 0; k--) {
    if (parts[names[k]]) {
      const label = k < names.length - 1 ? names[names.length - 1] : "";
      return { mark: names[k], label, run: parts[names[k]].run };
    }
  }
  return { mark: "", label: names[names.length - 1], run: "" };
}
