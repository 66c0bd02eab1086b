"""The GLB file, read by trimesh: every part at its place, meshes shared, metres and y up."""

from __future__ import annotations

import json
import shutil
import struct
import subprocess
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.geometry import Frame, lengthwise
from generator.viewer.glb import glb_bytes, quaternion, write_glb
from generator.viewer.mesh import mesh_of

WEB = Path(__file__).parents[2] / "generator" / "viewer" / "web"
NAMES = ("lake-deck", "metric-terrace", "switchback-stair")


@pytest.fixture(scope="module", params=NAMES)
def example(request: pytest.FixtureRequest, planned):
    return planned(request.param).assembly


def document(data: bytes) -> dict:
    """The JSON chunk, read by the layout of glTF 2.0, section 4.4."""
    magic, version, total = struct.unpack_from("<4sII", data)
    length, kind = struct.unpack_from("<I4s", data, 12)
    assert (magic, version, total, kind) == (b"glTF", 2, len(data), b"JSON")
    return json.loads(data[20 : 20 + length])


@pytest.fixture(scope="module")
def scene(example, tmp_path_factory):
    path: Path = tmp_path_factory.mktemp("glb") / "model.glb"
    write_glb(example, path)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import trimesh

        return trimesh.load_scene(path)


def test_every_part_that_stands_alone_is_where_the_table_says(example, scene) -> None:
    """trimesh (a general-purpose mesh library) places the nodes; y up is turned back to z up."""
    seen = 0
    back = np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]], dtype=float)
    for part in example.parts:
        if part.mark not in scene.graph.nodes:
            continue
        matrix, _ = scene.graph.get(part.mark)
        origin = back @ matrix[:3, 3] * 1000.0
        along = back @ matrix[:3, 2]
        # A shape that begins above 0 of its own axis has been moved there.
        moved = origin - np.array(part.place.origin)
        assert np.allclose(along, part.place.z, atol=1e-7), part.mark
        assert np.linalg.norm(np.cross(moved, part.place.z)) < 1e-4, part.mark
        seen += 1
    posts = [p for p in example.parts if p.kind in ("post", "rail", "cable", "tread")]
    assert seen >= len(posts)
    assert all(p.mark in scene.graph.nodes for p in posts)


def test_the_whole_has_the_parts_volume_and_extent(example, scene) -> None:
    """Sum over instances, with each part's own mesh for the volume; float32 coordinates."""
    volume = sum(mesh_of(part.shape).volume_mm3 for part in example.parts)
    assert scene.volume * 1e9 == pytest.approx(volume, rel=2e-5)
    corners = []
    for part in example.parts:
        corners += [part.place.point(p) for p in mesh_of(part.shape).points]
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    turned_low, turned_high = (low[0], low[2], -high[1]), (high[0], high[2], -low[1])
    assert np.allclose(scene.bounds * 1000.0, [turned_low, turned_high], atol=0.01)


def test_meshes_are_shared_and_no_larger_than_what_is_distinct(example) -> None:
    file = document(glb_bytes(example))
    placed = [node["mesh"] for node in file["nodes"] if "mesh" in node]
    assert len(placed) == len(example.parts)
    assert set(placed) == set(range(len(file["meshes"])))
    assert len(file["meshes"]) < len(example.parts) / 4


def test_nodes_are_named_by_marks_and_tell_their_kind(example) -> None:
    file = document(glb_bytes(example))
    kinds = {n["name"]: n["extras"]["kind"] for n in file["nodes"] if "extras" in n}
    for part in example.parts:
        if part.mark in kinds:
            assert kinds[part.mark] == part.kind
    assert {"post", "rail", "cable", "tread", "fitting"} <= set(kinds.values())


def test_same_job_same_bytes(example) -> None:
    assert glb_bytes(example) == glb_bytes(example)


@given(st.floats(-360.0, 360.0), st.floats(-90.0, 90.0), st.integers(0, 3))
def test_a_nodes_turn_is_that_of_its_frame(bearing: float, pitch: float, quarter: int) -> None:
    """Against the matrix of a unit quaternion as glTF readers build it (numpy)."""
    frame = lengthwise((0.0, 0.0, 0.0), bearing, pitch)
    for _ in range(quarter):
        frame = Frame(frame.origin, frame.y, frame.z, frame.x)
    x, y, z, w = quaternion(frame)
    matrix = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )
    assert w >= 0.0
    assert np.allclose(matrix, np.array([frame.x, frame.y, frame.z]).T, atol=1e-12)


@pytest.mark.slow
def test_the_format_owners_validator_finds_nothing(example, tmp_path) -> None:
    """gltf-validator of the Khronos Group, which keeps the standard: no error, no warning."""
    file = tmp_path / "model.glb"
    write_glb(example, file)
    code = (
        "const fs = require('fs'), v = require('gltf-validator');"
        f"v.validateBytes(new Uint8Array(fs.readFileSync({json.dumps(str(file))})))"
        ".then(r => console.log(JSON.stringify(r.issues)));"
    )
    node = shutil.which("node")
    assert node, "Node.js is part of the machine that tests this"
    done = subprocess.run([node, "-e", code], cwd=WEB, capture_output=True, text=True, check=True)
    issues = json.loads(done.stdout)
    assert (issues["numErrors"], issues["numWarnings"]) == (0, 0), issues["messages"][:5]
