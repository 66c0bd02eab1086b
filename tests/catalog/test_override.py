"""Values of a profile replaced by a job spec: checked like a file's, and told as the job's."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from generator.catalog import Catalog, override
from generator.catalog.tables import Entry, Post, Profile
from generator.errors import InputError
from generator.textfile import read_yaml

SPEC_PATH = ("system", "post")


def changed(folder: Path, profile: Profile, values: str) -> Any:
    """The profile overridden by lines of a spec that stand under system, post."""
    lines = "".join(f"    {line}\n" for line in values.splitlines())
    spec = folder / "job.yaml"
    spec.write_text(f"system:\n  post:\n{lines}", encoding="utf-8")
    document = read_yaml(spec, shown_as="job.yaml")
    data: Any = document.data
    return override(profile, data["system"]["post"], document, SPEC_PATH)


def told(folder: Path, profile: Profile, values: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        changed(folder, profile, values)
    return str(caught.value).splitlines()


def entry(profile: Profile, field: str) -> Entry:
    return next(row for row in profile.entries if row.field == field)


@pytest.fixture
def post() -> Post:
    return Catalog.standard().get("posts", "al-square-2.5")


def test_one_value_is_replaced_and_told_as_the_jobs(tmp_path: Path, post: Post) -> None:
    new = changed(tmp_path, post, "wall: 1/4 in")
    assert isinstance(new, Post)
    assert new.wall_mm == pytest.approx(6.35)
    assert new.plate_mm == post.plate_mm
    assert (new.name, new.file) == (post.name, post.file)
    assert entry(new, "wall") == Entry("wall", "1/4 in", 6.35, "mm", "job spec", False, False)
    assert entry(new, "plate") == entry(post, "plate")
    assert [row.field for row in new.entries] == [row.field for row in post.entries]
    assert post.wall_mm == pytest.approx(4.7625)


def test_value_left_to_its_default_follows(tmp_path: Path, post: Post) -> None:
    new = changed(tmp_path, post, "width: 3 in")
    assert (new.width_mm, new.depth_mm) == pytest.approx((76.2, 76.2))
    both = changed(tmp_path, post, "width: 3 in\ndepth: 2 in")
    assert (both.width_mm, both.depth_mm) == pytest.approx((76.2, 50.8))
    again = changed(tmp_path, both, "width: 4 in")
    assert (again.width_mm, again.depth_mm) == pytest.approx((101.6, 50.8))


def test_a_source_of_the_jobs_own_is_kept(tmp_path: Path, post: Post) -> None:
    new = changed(tmp_path, post, "wall: {value: 1/4 in, source: mill sheet 12, verified: true}")
    assert entry(new, "wall").source == "job spec: mill sheet 12"
    assert entry(new, "wall").verified
    invented = changed(tmp_path, post, "wall: {value: 1/4 in, invented: true}")
    assert entry(invented, "wall").source == "job spec: invented"


def test_nothing_changed_is_the_same_profile(tmp_path: Path, post: Post) -> None:
    spec = tmp_path / "job.yaml"
    spec.write_text("system: {}\n", encoding="utf-8")
    assert override(post, {}, read_yaml(spec), SPEC_PATH) == post


def test_a_post_may_lose_its_other_mountings(tmp_path: Path, post: Post) -> None:
    keys = ("height", "thickness")
    none = "\n".join(f"side_plate_{key}: 0 in" for key in keys)
    none += "\nside_plate: 0 in\nstandoff: 0 in\nside_bolt_spacing: 0 in\nside_bolts: 0"
    new = changed(tmp_path, post, none)
    assert (new.side_plate_mm, new.standoff_mm, new.side_bolts) == (0, 0, 0)
    (line,) = told(tmp_path, post, "side_bolts: 0")
    read = "read 0, with side_plate 5 in; accepted above zero where side_plate is, and 0 where it"
    assert read in line


def test_faults_stand_in_the_spec_and_all_at_once(tmp_path: Path, post: Post) -> None:
    length = "a length such as 24' 3-1/2\", 47 3/8 in, 4 ft 7-1/8 in, 1440 mm or 1.44 m"
    above = "a length above zero with its unit, such as 2-1/2 in or 60 mm"
    assert told(tmp_path, post, "wal: 1/4 in\nplate: 5\nwidth: -1 in") == [
        "job.yaml:3:5: system.post.wal: read an unknown key; accepted wall, the nearest key",
        f"job.yaml:4:12: system.post.plate: read 5; accepted {length}",
        f"job.yaml:5:12: system.post.width: read -1 in; accepted {above}",
    ]


def test_impossible_with_what_the_profile_has(tmp_path: Path, post: Post) -> None:
    half = "less than half the width and half the depth"
    (line,) = told(tmp_path, post, "width: 1/4 in")
    read = "wall 3/16 in, with width 1/4 in and depth 1/4 in"
    assert line == f"job.yaml:3:12: system.post.width: read {read}; accepted wall {half}"
    (line,) = told(tmp_path, post, "wall: 1-1/2 in")
    read = "1-1/2 in, with width 2-1/2 in and depth 2-1/2 in"
    assert line == f"job.yaml:3:11: system.post.wall: read {read}; accepted {half}"


def test_what_names_the_profile_is_not_overridden(tmp_path: Path, post: Post) -> None:
    problems = told(tmp_path, post, "description: mine\nsource: me")
    assert [line.split(": read")[0] for line in problems] == [
        "job.yaml:3:5: system.post.description",
        "job.yaml:4:5: system.post.source",
    ]


@pytest.mark.parametrize(
    "kind,name,value,attribute,expected",
    [
        ("rails", "al-flat-2.5x1.5", "wall: 3/16 in", "wall_mm", 4.7625),
        ("brackets", "al-saddle", "screws: 6", "screws", 6),
        ("cables", "ss316-1x19-1_8", "breaking: 9 kN", "breaking_n", 9000),
        ("fittings", "swage-stud-1_4", "efficiency: 95 %", "efficiency", 0.95),
        ("fittings", "swage-stud-1_4", "field: false", "field", False),
        ("rails", "al-flat-2.5x1.5", "sleeve: 8 in", "sleeve_mm", 203.2),
        ("anchors", "lag-3_8", "lengths: [100 mm, 120 mm]", "lengths_mm", (100, 120)),
        ("spacers", "al-bar-1x3_8", "thickness: 12 mm", "thickness_mm", 12),
        ("materials", "al-6061-t6", "yield: 240 MPa", "yield_mpa", 240),
    ],
)
def test_every_kind_can_be_overridden(
    tmp_path: Path, kind: str, name: str, value: str, attribute: str, expected: object
) -> None:
    new = changed(tmp_path, Catalog.standard().get(kind, name), value)
    assert getattr(new, attribute) == pytest.approx(expected)
