"""The JSON Schema of the spec agrees with what is read."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from generator.spec import job_schema, starter

EXAMPLES = Path(__file__).parents[2] / "examples"
JOBS = sorted([*EXAMPLES.glob("*.yaml"), *EXAMPLES.glob("faulty/*.yaml")])
BAD = Path(__file__).parent / "bad"


@pytest.fixture(scope="module")
def validator() -> Any:
    jsonschema = pytest.importorskip("jsonschema")
    schema = job_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_examples_keep_to_it(path: Path, validator: Any) -> None:
    data = yaml.safe_load(path.read_text(encoding="utf-8"))
    assert list(validator.iter_errors(data)) == []


def test_starter_keeps_to_it(validator: Any) -> None:
    assert validator.is_valid(yaml.safe_load(starter()))


@pytest.mark.parametrize(
    "name",
    [
        "nothing-required",
        "unknown-keys",
        "choices",
        "path-as-name",
        "not-a-leg",
        "leg-keys",
        "no-runs",
        "risers",
        "stair-ways",
        "stair-words",
        "treads-measured",
        "fixed-posts",
        "slopes",
        "closed",
        "handrail",
        "handrail-nothing",
        "guard-words",
        "structure-words",
        "order-list",
        "sections-as-text",
        "obstacles",
    ],
)
def test_it_refuses_what_has_the_wrong_form(name: str, validator: Any) -> None:
    data = yaml.safe_load((BAD / f"{name}.yaml").read_text(encoding="utf-8"))
    assert not validator.is_valid(data)


@pytest.mark.parametrize(
    "keys",
    [
        "risers: 7, rise: 4 ft",
        "risers: 7, tread: 11 in",
        "rise: 4 ft, going: 66 in",
        "risers: 7, rise: 4 ft, tread: 11 in, going: 66 in",
        "risers: 7, treads: [{rise: 7 in}]",
        "treads: [{rise: 7 in, going: 11 in}], going: 11 in",
        "nosing: 1 in",
    ],
)
def test_a_stair_is_measured_in_one_of_three_ways(keys: str, validator: Any) -> None:
    stair = "job: {title: a, rules: b}\nsystem: {}\nruns: [{legs: [{stair: {KEYS}}]}]"
    assert not validator.is_valid(yaml.safe_load(stair.replace("KEYS", keys)))
    for good in (
        "risers: 7, rise: 4 ft, tread: 11 in",
        "risers: 7, rise: 4 ft, going: 66 in",
        "treads: [{rise: 7 in, going: 11 in}, {rise: 7 in}]",
    ):
        assert validator.is_valid(yaml.safe_load(stair.replace("KEYS", good)))


def test_everything_keeps_to_it(validator: Any) -> None:
    text = Path(__file__).with_name("everything.yaml").read_text(encoding="utf-8")
    assert list(validator.iter_errors(yaml.safe_load(text))) == []


def test_defaults_are_shown_as_a_spec_has_them() -> None:
    schema = job_schema()
    guard = schema["$defs"]["GuardSpec"]["properties"]
    assert guard["height"]["default"] == "36 in"
    assert guard["max_cable_span"]["default"] is None
    assert schema["required"] == ["job", "system", "runs"]
    assert all("description" in value for value in guard.values())
    assert json.loads(json.dumps(schema)) == schema


def test_tables_of_a_job_load_without_pydantic() -> None:
    # Later floors import generator.spec.job; they pay for no models.
    code = "import sys, generator.spec.job; print('pydantic' in sys.modules, 'yaml' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.split() == ["False", "False"]


def test_reading_a_good_job_loads_no_difflib() -> None:
    # It is needed for errors only, and every check would wait for it.
    code = (
        "import sys, pathlib\n"
        "from generator.spec import read_job\n"
        f"read_job(pathlib.Path({str(EXAMPLES / 'lake-deck.yaml')!r}))\n"
        "print('difflib' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"
