"""Names of part files, safe on every system, and pieces that are cut alike."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.parts.shapes import Step, Turned
from generator.products.distinct import filed, safe_name
from generator.products.pieces import cut_pieces
from generator.products.product import Solid

# Names of devices: Microsoft, "Naming Files, Paths, and Namespaces" (from memory, not read).
RESERVED = ("con", "PRN", "aux", "NUL", "com1", "LPT9")


@given(st.text(max_size=200))
def test_any_text_gives_a_name_that_every_system_takes(text: str) -> None:
    name = safe_name(text)
    assert re.fullmatch(r"[A-Za-z0-9._-]{1,65}", name)
    assert name[0] not in "-."
    assert name[-1] not in "-. "
    assert name.split(".")[0].lower() not in {word.lower() for word in RESERVED}


@pytest.mark.parametrize("word", [*RESERVED, "NUL.step", "con."])
def test_names_of_devices_are_not_used(word: str) -> None:
    assert safe_name(word).startswith("part-")


def test_names_that_differ_in_case_alone_are_told_apart() -> None:
    shape = Turned((Step(0.0, 5.0, 3.0),))
    solids = [Solid(name, "nut", shape) for name in ("Nut M6", "nut m6", "nut m6!", "NUT-M6-2")]
    parts = filed((solid, (str(k),)) for k, solid in enumerate(solids))
    names = [part.file.lower() for part in parts]
    assert len(set(names)) == 4
    assert names[:3] == ["nut-m6", "nut-m6-2", "nut-m6-3"]


def test_equal_pieces_are_one_and_every_piece_is_there(planned) -> None:
    for name in ("lake-deck", "switchback-stair", "metric-terrace"):
        assembly = planned(name).assembly
        pieces = cut_pieces(assembly)
        marks = [mark for piece in pieces for mark in piece.marks]
        cut = [p.mark for p in assembly.of_kind("rail", "post", "spacer", "handrail")]
        assert sorted(marks) == sorted(cut)
        for piece in pieces:
            volumes = [part.shape.volume_mm3 for part in piece.parts]
            assert volumes == pytest.approx([volumes[0]] * len(volumes), rel=1e-9)
