"""The parts table as a binary glTF 2.0 file: each distinct part meshed once and placed by nodes.

glTF (ISO/IEC 12113:2022) wants metres and y up; the root node turns the job's z up to that. A
node's name is the part's mark, or its label within what holds it ("anchor 1" of P3), and its
`extras.kind` tells what it is.
"""

from __future__ import annotations

import json
import math
import struct
from array import array
from collections.abc import Iterable, Sequence
from itertools import chain
from pathlib import Path

from generator import __version__
from generator.geometry import Frame, Vec3
from generator.parts.assembly import Assembly, Kind
from generator.products.colours import COLOURS
from generator.products.product import Group, Product, Solid
from generator.products.tree import product_tree
from generator.viewer.mesh import Mesh, mesh_of

_M = 0.001  # metres in a millimetre
_Z_UP = [-math.sqrt(0.5), 0.0, 0.0, math.sqrt(0.5)]  # a quarter turn back about x, as x, y, z, w
_FLOAT, _UINT16, _UINT32 = 5126, 5123, 5125
_VERTICES, _INDICES = 34962, 34963
_METALS = frozenset[Kind](
    {"post", "rail", "cable", "fitting", "spacer", "base-plate", "bracket", "anchor", "handrail"}
)

Json = dict[str, object]


def write_glb(assembly: Assembly, path: Path) -> None:
    """Write the model as one GLB file; the same assembly gives the same bytes.

    Raises:
        OSError: `path` cannot be written.
    """
    path.write_bytes(glb_bytes(assembly))


def glb_bytes(assembly: Assembly) -> bytes:
    """The model as the bytes of a GLB file."""
    return _Writer().file(product_tree(assembly, most_marks=None))


class _Writer:
    """Gathers meshes, materials and nodes of one file."""

    def __init__(self) -> None:
        self._nodes: list[Json] = []
        self._meshes: list[Json] = []
        self._materials: list[Json] = []
        self._views: list[Json] = []
        self._accessors: list[Json] = []
        self._data = bytearray()
        self._mesh_numbers: dict[int, int] = {}
        self._material_numbers: dict[Kind, int] = {}

    def file(self, root: Group) -> bytes:
        top = self._node(root.name, root, None)
        self._nodes[top]["rotation"] = _Z_UP
        document = {
            "asset": {"version": "2.0", "generator": f"stringline {__version__}"},
            "scene": 0,
            "scenes": [{"name": root.name, "nodes": [top]}],
            "nodes": self._nodes,
            "meshes": self._meshes,
            "materials": self._materials,
            "accessors": self._accessors,
            "bufferViews": self._views,
            "buffers": [{"byteLength": len(self._data)}],
        }
        text = json.dumps(document, separators=(",", ":"), ensure_ascii=False).encode()
        return _container(text, bytes(self._data))

    def _node(self, name: str, product: Product, place: Frame | None) -> int:
        """The node of a product at its place, and those of all that it holds; gives its number."""
        number = len(self._nodes)
        node: Json = {"name": name}
        self._nodes.append(node)
        if place is not None:
            node |= _placed(place)
        if isinstance(product, Solid):
            node["mesh"] = self._mesh(product)
            node["extras"] = {"kind": product.kind}
        else:
            node["children"] = [self._node(i.name, i.product, i.place) for i in product.members]
        return number

    def _mesh(self, solid: Solid) -> int:
        if id(solid) not in self._mesh_numbers:
            self._mesh_numbers[id(solid)] = len(self._meshes)
            mesh = mesh_of(solid.shape)
            primitive = {
                "attributes": {
                    "POSITION": self._vectors([_metres(p) for p in mesh.points], bounds=True),
                    "NORMAL": self._vectors(mesh.normals, bounds=False),
                },
                "indices": self._indices(mesh),
                "material": self._material(solid.kind),
            }
            self._meshes.append({"name": solid.name, "primitives": [primitive]})
        return self._mesh_numbers[id(solid)]

    def _material(self, kind: Kind) -> int:
        if kind not in self._material_numbers:
            self._material_numbers[kind] = len(self._materials)
            self._materials.append(_material(kind))
        return self._material_numbers[kind]

    def _vectors(self, vectors: Sequence[Vec3], *, bounds: bool) -> int:
        values = array("f", chain.from_iterable(vectors))
        accessor: Json = {
            "bufferView": self._view(values, _VERTICES),
            "componentType": _FLOAT,
            "count": len(vectors),
            "type": "VEC3",
        }
        if bounds:
            accessor["min"] = [min(values[k::3]) for k in range(3)]
            accessor["max"] = [max(values[k::3]) for k in range(3)]
        return self._accessor(accessor)

    def _indices(self, mesh: Mesh) -> int:
        short = len(mesh.points) < 65535
        values = array("H" if short else "I", chain.from_iterable(mesh.triangles))
        return self._accessor(
            {
                "bufferView": self._view(values, _INDICES),
                "componentType": _UINT16 if short else _UINT32,
                "count": len(values),
                "type": "SCALAR",
            }
        )

    def _accessor(self, accessor: Json) -> int:
        self._accessors.append(accessor)
        return len(self._accessors) - 1

    def _view(self, values: array, target: int) -> int:
        self._data += b"\0" * (-len(self._data) % 4)
        data = values.tobytes()
        self._views.append(
            {"buffer": 0, "byteOffset": len(self._data), "byteLength": len(data), "target": target}
        )
        self._data += data
        return len(self._views) - 1


def _container(text: bytes, data: bytes) -> bytes:
    """Header and two chunks, each filled up to four bytes."""
    text += b" " * (-len(text) % 4)
    data += b"\0" * (-len(data) % 4)
    total = 12 + 8 + len(text) + 8 + len(data)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, total),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(data), b"BIN\0"),
            data,
        )
    )


def _metres(point: Vec3) -> Vec3:
    return (point[0] * _M, point[1] * _M, point[2] * _M)


def _placed(place: Frame) -> Json:
    """A node's translation and rotation, left out where there is none."""
    found: Json = {}
    moved, turned = _short(_metres(place.origin)), _short(quaternion(place))
    if any(moved):
        found["translation"] = moved
    if turned[3] != 1.0:
        found["rotation"] = turned
    return found


def _short(values: Iterable[float]) -> list[float]:
    """To a thousandth of a micrometre, and no minus before a nought."""
    return [round(value, 9) + 0.0 for value in values]


def quaternion(place: Frame) -> tuple[float, float, float, float]:
    """The turn from the axes of the world to those of a frame, as x, y, z, w with w from 0 up.

    Source: Shepperd 1978, the largest of the four parts first, so that no root is of a small
    difference (from memory).
    """
    (xx, yx, zx), (xy, yy, zy), (xz, yz, zz) = place.x, place.y, place.z
    squares = (1 + xx - yy - zz, 1 - xx + yy - zz, 1 - xx - yy + zz, 1 + xx + yy + zz)
    largest = max(range(4), key=lambda k: (squares[k], k))
    rows = (
        (squares[0], yx + xy, zx + xz, zy - yz),
        (yx + xy, squares[1], zy + yz, xz - zx),
        (zx + xz, zy + yz, squares[2], yx - xy),
        (zy - yz, xz - zx, yx - xy, squares[3]),
    )
    x, y, z, w = rows[largest]
    size = math.copysign(math.sqrt(x * x + y * y + z * z + w * w), w or 1.0)
    return (x / size, y / size, z / size, w / size)


def _material(kind: Kind) -> Json:
    """A plain material; see-through for what stands there already and would hide the guard."""
    metal = kind in _METALS
    return {
        "name": kind.replace("-", " "),
        "pbrMetallicRoughness": {
            "baseColorFactor": [*(round(_linear(c), 6) for c in COLOURS[kind]), 1.0],
            "metallicFactor": 0.3 if metal else 0.0,
            "roughnessFactor": 0.5 if metal else 0.9,
        },
    }


def _linear(part: float) -> float:
    """One part of an sRGB colour as linear light (IEC 61966-2-1)."""
    return part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
