// Reads the one kind of GLB file that this page carries: meshes of one primitive, a tree of nodes.

const JSON_CHUNK = 0x4e4f534a;
const ARRAYS = { 5126: Float32Array, 5123: Uint16Array, 5125: Uint32Array };
const SIZES = { VEC3: 3, SCALAR: 1 };

/**
 * Meshes as arrays and their instances with 4 x 4 matrices (column by column, double precision).
 * @param {ArrayBuffer} buffer
 */
export function readGlb(buffer) {
  const view = new DataView(buffer);
  const length = view.getUint32(12, true);
  if (view.getUint32(16, true) !== JSON_CHUNK) throw new Error("the model is damaged");
  const tree = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 20, length)));
  const data = 20 + length + 8;
  const array = (number) => {
    const accessor = tree.accessors[number];
    const at = data + tree.bufferViews[accessor.bufferView].byteOffset;
    return new ARRAYS[accessor.componentType](buffer, at, accessor.count * SIZES[accessor.type]);
  };
  const meshes = tree.meshes.map(({ name, primitives: [primitive] }) => ({
    name,
    points: array(primitive.attributes.POSITION),
    normals: array(primitive.attributes.NORMAL),
    indices: array(primitive.indices),
    colour: tree.materials[primitive.material].pbrMetallicRoughness.baseColorFactor,
  }));
  const instances = [];
  const walk = (number, matrix, path) => {
    const node = tree.nodes[number];
    const here = times(matrix, local(node));
    const names = [...path, node.name];
    if (node.mesh !== undefined) {
      instances.push({ mesh: node.mesh, matrix: here, names, kind: node.extras.kind });
    }
    for (const child of node.children ?? []) walk(child, here, names);
  };
  for (const number of tree.scenes[tree.scene].nodes) walk(number, identity(), []);
  return { meshes, instances };
}

const identity = () => [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

function local({ translation: [a, b, c] = [0, 0, 0], rotation: [x, y, z, w] = [0, 0, 0, 1] }) {
  return [
    1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w), 0,
    2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w), 0,
    2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y), 0,
    a, b, c, 1,
  ];
}

function times(a, b) {
  const product = new Array(16).fill(0);
  for (let column = 0; column < 4; column++) {
    for (let row = 0; row < 4; row++) {
      for (let k = 0; k < 4; k++) product[4 * column + row] += a[4 * k + row] * b[4 * column + k];
    }
  }
  return product;
}
