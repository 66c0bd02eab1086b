"""Guard, structure and handrail beyond the lake deck: words, defaults, and every key at once."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.errors import InputError
from generator.spec import read_job, starter
from generator.spec.job import Guard, Handrail, Job, Joists, Structure
from generator.spec.models import MAPPINGS

HERE = Path(__file__).parent
HEAD = "job: {title: Plover Way porch, rules: irc-2021}\nruns: [{legs: [{level: 12 ft}]}]\n"
POST = "system: {}\n"


def mm(inches: float) -> float:
    """Inches in mm, exact and rounded once, as the spec is read."""
    return float(Fraction(inches) * Fraction(254, 10))


def read(folder: Path, text: str, system: str = POST) -> Job:
    path = folder / "job.yaml"
    path.write_text(HEAD + system + text, encoding="utf-8")
    return read_job(path)


def test_defaults_are_those_of_the_tables(tmp_path: Path) -> None:
    guard = read(tmp_path, "").guard
    fields = {
        field.name: field.default
        for field in dataclasses.fields(Guard)
        if field.default is not dataclasses.MISSING
    }
    assert fields.pop("temperature_k") == pytest.approx(guard.temperature_k, abs=0.05)
    assert fields == {name: getattr(guard, name) for name in fields}
    assert len(fields) == 10


def test_words_of_the_guard(tmp_path: Path) -> None:
    guard = read(
        tmp_path,
        "guard: {stair_spacing: square, transition: common, easing: 300 mm, end_cut: plumb, "
        "post_top: square, mount: fascia, pull: start, swage: {pulled: shop}, "
        "temperature_range: 180 degF}",
    ).guard
    assert (guard.stair_spacing, guard.transition, guard.easing_mm) == ("square", "common", 300)
    assert (guard.end_cut, guard.post_top, guard.mount) == ("plumb", "square", "fascia")
    assert (guard.pull, guard.swage) == ("start", ("shop", "shop"))
    # Between ice and steam lie 180 degF or 100 K (definition of the scales).
    assert guard.temperature_k == pytest.approx(100, rel=1e-15)


@pytest.mark.parametrize("words", ["55.6 K", "55.6 degC", "100.08 degF", "100.08 \u00b0F"])
def test_temperature_ranges(tmp_path: Path, words: str) -> None:
    guard = read(tmp_path, f"guard: {{temperature_range: {words}}}").guard
    assert guard.temperature_k == pytest.approx(55.6, rel=1e-12)


def test_structure_in_full_and_by_itself(tmp_path: Path) -> None:
    joists = "spacing: 16 in, width: 1-1/2 in, depth: 9-1/4 in, bearing: 0, species: southern-pine"
    full = read(
        tmp_path,
        f"structure: {{joists: {{{joists}, offset: -8 in}}, overhang: 1 in, fascia: 3/4 in, "
        "rim: 0 in, stringer: 2 in, concrete: false}\nguard: {snap_to_joists: 2 in}",
    )
    assert full.structure == Structure(
        joists=Joists(mm(16), mm(1.5), mm(9.25), 0.0, "southern-pine", mm(-8)),
        decking_mm=mm(1),
        overhang_mm=mm(1),
        fascia_mm=mm(0.75),
        rim_mm=0.0,
        stringer_mm=mm(2),
        concrete=False,
    )
    assert full.guard.snap_to_joists_mm == mm(2)
    bare = read(tmp_path, "structure: {}").structure
    assert bare == Structure(None, mm(1))
    assert read(tmp_path, "").guard.snap_to_joists_mm is None
    assert read(tmp_path, "guard: {snap_to_joists: none}").guard.snap_to_joists_mm is None


def test_a_core_is_cored_in_concrete(tmp_path: Path) -> None:
    job = read(tmp_path, "guard: {mount: core}\nstructure: {concrete: true, decking: 6 in}")
    assert (job.guard.mount, job.structure and job.structure.concrete) == ("core", True)
    for slab, told in (("", "nothing"), (", decking: 4 in", "4 in")):
        with pytest.raises(InputError, match=rf"structure\.decking: read {told}.*of the slab"):
            read(tmp_path, f"guard: {{mount: core}}\nstructure: {{concrete: true{slab}}}")
    with pytest.raises(InputError, match=r"guard\.mount: read core.*structure\.concrete: true"):
        read(tmp_path, "guard: {mount: core}")


def test_a_wider_post_that_is_not_cored_needs_no_wider_core(tmp_path: Path) -> None:
    wide = "system: {post: {name: al-square-2.5, width: 3 in}}\n"
    assert read(tmp_path, "", wide).system.post.width_mm == pytest.approx(mm(3))
    with pytest.raises(InputError, match="core_hole 4 in"):
        read(tmp_path, "guard: {mount: core}\nstructure: {concrete: true, decking: 6 in}", wide)


HANDRAIL = Handrail(False, mm(36), mm(1.5), mm(1.5), mm(48))


@pytest.mark.parametrize(
    "words,expected",
    [
        ("", None),
        ("handrail: {}", HANDRAIL),
        ("handrail: elsewhere", dataclasses.replace(HANDRAIL, elsewhere=True)),
        ("handrail: {elsewhere: true}", dataclasses.replace(HANDRAIL, elsewhere=True)),
        ("handrail: {height: 34 in}", dataclasses.replace(HANDRAIL, height_mm=mm(34))),
        (
            "handrail: {diameter: 40 mm, clearance: 50 mm, bracket_spacing: 1 m}",
            Handrail(False, mm(36), 40, 50, 1000),
        ),
    ],
)
def test_handrail(tmp_path: Path, words: str, expected: Handrail | None) -> None:
    assert read(tmp_path, words).handrail == expected


def test_a_fitting_of_the_shop_at_both_ends(tmp_path: Path) -> None:
    shop_only = "system: {fitting: {name: swage-stud-1_4, field: false}}\n"
    guard = read(tmp_path, "guard: {swage: {pulled: shop}}", shop_only).guard
    assert guard.swage == ("shop", "shop")
    with pytest.raises(InputError, match=r"swage\.pulled: read field; accepted shop"):
        read(tmp_path, "", shop_only)


def keys_used(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], str]]:
    """Every key of a spec with the model's place of the mapping that it stands in."""
    for item in value if isinstance(value, list) else [value]:
        if not isinstance(item, dict):
            continue
        kinds = [kind for kind in ("level", "ramp", "turn", "stair", "opening") if kind in item]
        here = (*path, kinds[0]) if path == ("runs", "legs") else path
        for key, child in item.items():
            yield here, key
            yield from keys_used(child, (*here, key))


def test_everything_is_read_and_uses_every_key(tmp_path: Path) -> None:
    path = HERE / "everything.yaml"
    job = read_job(path)
    assert len(job.runs) == 4
    used = set(keys_used(yaml.safe_load(path.read_text(encoding="utf-8"))))
    known = {(place, key) for place, model in MAPPINGS.items() for key in model.model_fields}
    assert known - used == set()


def test_the_starter_names_every_section_and_the_mountings() -> None:
    for word in ("handrail:", "mount:", "treads:", "ramp:", "opening:", "closed:", "transition:"):
        assert word in starter()


def test_choices_of_outputs(tmp_path: Path) -> None:
    job = read(tmp_path, "")
    assert (job.outputs.step_schema, job.outputs.paper) == ("ap214", None)
    assert job.paper == ("a4" if job.metric else "letter")
    asked = read(tmp_path, "outputs: {step_schema: ap242, paper: a4}\n")
    assert (asked.outputs.step_schema, asked.paper) == ("ap242", "a4")
