"""Profiles that do not go together are told before anything is laid out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from generator.catalog import Catalog
from generator.catalog.fit import Misfit, misfits, unmountable

catalog = Catalog.standard()
SET: dict[str, Any] = {
    "post": catalog.get("posts", "al-square-2.5"),
    "rail": catalog.get("rails", "al-flat-2.5x1.5"),
    "bracket": catalog.get("brackets", "al-saddle"),
    "cable": catalog.get("cables", "ss316-1x19-1_8"),
    "fitting": catalog.get("fittings", "swage-stud-1_4"),
    "anchor": catalog.get("anchors", "through-bolt-3_8"),
    "spacer": catalog.get("spacers", "al-bar-1x3_8"),
}


def found(part: str, **values: float) -> tuple[Misfit, ...]:
    """Misfits of the set with values of one profile changed."""
    return misfits(**{**SET, part: replace(SET[part], **values)})


def test_the_set_fits() -> None:
    assert misfits(**SET) == ()


@pytest.mark.parametrize(
    "part,values,blamed,read",
    [
        ("cable", {"diameter_mm": 4.0}, "fitting", "for cable of 1/8 in"),
        ("fitting", {"cable_mm": 3.0}, "fitting", "for cable of"),
        ("fitting", {"stud_mm": 54.0}, "fitting", "stud 1/4 in"),
        # 140.49 stud and sleeve - 38.1 sleeve - 1.59 washer - 5.56 nut: 95.25 mm for the post
        ("post", {"width_mm": 96.25}, "fitting", "begin 1.0 mm inside the post"),
        ("anchor", {"diameter_mm": 12.0}, "anchor", "through-bolt-3_8, 3/8 in"),
        ("rail", {"width_mm": 50.0}, "bracket", "al-saddle, 2 in wide"),
        ("spacer", {"width_mm": 4.0}, "spacer", "al-bar-1x3_8"),
        ("spacer", {"end_distance_mm": 2.0}, "spacer", "from hole to end"),
    ],
)
def test_misfit(part: str, values: dict[str, float], blamed: str, read: str) -> None:
    (misfit,) = found(part, **values)
    assert misfit.part == blamed
    assert read in misfit.read
    assert misfit.accepted


def test_stud_may_be_longer_than_it_need_be() -> None:
    assert found("post", width_mm=95.2) == ()
    assert found("fitting", overall_mm=240.0) == ()


def test_measures_that_differ_by_rounding_fit() -> None:
    assert found("fitting", cable_mm=3.18) == ()
    # 5/32 in is 3.969 mm: another cable than 4 mm.
    metric = catalog.get("cables", "ss316-1x19-4")
    fitting = replace(SET["fitting"], cable_mm=3.96875)
    assert misfits(**{**SET, "cable": metric, "fitting": fitting})


@pytest.mark.parametrize(
    "mount,values,read,accepted",
    [
        ("fascia", {"side_plate_mm": 0.0}, "side_plate is 0", "a post with side_plate"),
        ("fascia", {"width_mm": 130.0}, "side_plate 5 in", "at least as wide as the tube"),
        ("fascia", {"bolt_spacing_mm": 120.0}, "side_plate 5 in", "wider than bolt_spacing"),
        ("core", {"core_hole_mm": 0.0}, "core_hole is 0", "a post with core_hole"),
        # 63.5 square: 89.8 mm from corner to corner; rounded by 10 mm: 81.5 mm
        ("core", {"core_hole_mm": 89.7}, "core_hole 4 in", "corner to corner, 89.8 mm"),
        ("core", {"core_hole_mm": 81.4, "corner_mm": 10.0}, "core_hole", "corner, 81.5 mm"),
    ],
)
def test_unmountable(mount: str, values: dict[str, float], read: str, accepted: str) -> None:
    (found,) = unmountable(replace(SET["post"], **values), mount)
    assert found[0].startswith("al-square-2.5, ")
    assert read in found[0]
    assert accepted in found[1]


def test_a_deck_takes_every_post() -> None:
    bare = replace(SET["post"], side_plate_mm=0.0, core_hole_mm=0.0)
    assert list(unmountable(bare, "deck")) == []
    rounded = replace(SET["post"], core_hole_mm=81.6, corner_mm=10.0)
    assert list(unmountable(rounded, "core")) == []
