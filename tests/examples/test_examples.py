"""Every example job is read, laid out, free of failures and built; together they use every key."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.build import write_outputs
from generator.outputs import OUTPUTS, chosen, left_out
from generator.spec import job_schema
from generator.spec.leg_models import LEG_KINDS
from generator.spec.models import MAPPINGS

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = sorted(path.stem for path in EXAMPLES.glob("*.yaml"))
# Warnings that a job is about; its file says so in a comment.
WARNED = {"switchback-stair": {"miter.twist"}}
# One word in place of a mapping, by its place: the key that it stands for, or names itself.
WORDS = {("handrail",): None, ("strength",): None, ("runs", "closed"): "corner"}

Place = tuple[str, ...]


@pytest.mark.parametrize("name", NAMES)
def test_it_is_laid_out_without_a_failure(planned, name: str) -> None:
    job = planned(name)
    assert job.assembly.legs
    found = {finding.code for finding in job.report.findings if finding.severity == "fail"}
    assert found == set()


@pytest.mark.parametrize("name", NAMES)
def test_it_warns_of_what_the_job_is_about_and_of_nothing_else(planned, name: str) -> None:
    report = planned(name).report
    found = {finding.code for finding in report.findings if finding.severity == "warn"}
    assert found == WARNED.get(name, set())
    text = (EXAMPLES / f"{name}.yaml").read_text(encoding="utf-8")
    assert [code for code in found if code not in text] == []


@pytest.mark.parametrize("name", NAMES)
def test_its_drawing_lists_and_results_are_written(planned, name: str, tmp_path: Path) -> None:
    outputs = chosen([kind for kind in OUTPUTS if kind != "step"])
    written = built(planned(name), tmp_path, outputs)
    told = {tmp_path / file for output in outputs for file, _ in output.files}
    told -= {tmp_path / file for file in left_out(planned(name).assembly)}
    assert told < set(written)
    assert len({path.name for path in written if path.name.startswith("flat-")}) > 1
    # A job without blocking has the heads of that list alone.
    assert [path.name for path in written if path.stat().st_size < 100] == []


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_its_solid_model_is_written(planned, name: str, tmp_path: Path) -> None:
    path, *parts = built(planned(name), tmp_path, chosen(["step"]))
    assert len(parts) > 10
    text = path.read_text(encoding="utf-8")
    assert text.startswith("ISO-10303-21;")
    for post in planned(name).assembly.of_kind("post"):
        assert f"'{post.mark}'" in text


def built(job: Any, folder: Path, outputs: Any) -> list[Path]:
    return [file.path for file in write_outputs(job.assembly, job.report, folder, outputs, print)]


def test_every_key_is_used_by_some_example() -> None:
    used = {
        (place, key)
        for path in EXAMPLES.glob("*.yaml")
        for place, key in keys(yaml.safe_load(path.read_text(encoding="utf-8")), ())
    }
    known = {(place, key) for place, model in MAPPINGS.items() for key in model.model_fields}
    assert used <= known
    # Every example shows its strength: only the faulty ones leave it to others.
    assert sorted(known - used) == [(("strength",), "elsewhere")]


def test_the_keys_are_those_of_the_json_schema() -> None:
    schema = job_schema()
    models = {model.__name__: set(model.model_fields) for model in MAPPINGS.values()}
    for name, part in schema["$defs"].items():
        assert models[name] == set(part["properties"])
    assert set(schema["properties"]) == models["JobSpec"]


def keys(value: object, place: Place) -> Iterator[tuple[Place, str]]:
    """Keys of a spec with the mapping that each stands in, as `MAPPINGS` names its place."""
    if place in WORDS and isinstance(value, str):
        yield place, WORDS[place] or value
    elif isinstance(value, list):
        for item in value:
            kind = kind_of(item) if place == ("runs", "legs") else ()
            yield from keys(item, (*place, *kind))
    elif isinstance(value, dict) and place[:1] != ("system",):
        for key, inner in value.items():
            yield place, key
            yield from keys(inner, (*place, key))
    elif isinstance(value, dict):  # values in place of a profile's are keys of its own
        yield from ((place, key) for key in value if len(place) == 1)


def kind_of(item: dict[str, object]) -> Place:
    [kind] = [kind for kind in LEG_KINDS if kind in item]
    return (kind,)


@pytest.mark.parametrize("name", NAMES)
def test_it_has_its_place_and_its_picture_in_the_gallery(name: str) -> None:
    docs = EXAMPLES / "docs"
    text = (docs / "gallery.md").read_text(encoding="utf-8")
    assert f"](pictures/{name}.png)" in text
    assert f"`stringline build examples/{name}.yaml`" in text
    picture = (docs / "pictures" / f"{name}.png").read_bytes()
    assert len(picture) < 120_000
    # Width in the header of a PNG file: ISO/IEC 15948, 11.2.1
    assert int.from_bytes(picture[16:20], "big") == 1400
