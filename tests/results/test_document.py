"""The results document: its shape against its schema, its values against hand-worked ones."""

from __future__ import annotations

import dataclasses
import json
import math

import jsonschema
import pytest

from generator.parts.report import Edit, Finding, Report
from generator.results import results, results_schema, to_json

INCH = 25.4


@pytest.fixture(scope="module")
def document(lake_deck):
    return json.loads(to_json(results(lake_deck.assembly, lake_deck.report)))


def test_document_meets_its_schema_by_another_library(document):
    # jsonschema, the reference validator, draft 2020-12
    schema = results_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert list(jsonschema.Draft202012Validator(schema).iter_errors(document)) == []
    assert document["posts"]


@pytest.mark.parametrize("spoil", [{"unheard": 1}, {"status": "compliant"}, {"legs": {}}])
def test_schema_refuses_another_document(document, spoil):
    validator = jsonschema.Draft202012Validator(results_schema())
    with pytest.raises(jsonschema.ValidationError):
        validator.validate({**document, **spoil})


def test_schema_describes_every_field_of_a_post(document):
    post = results_schema()["$defs"]["PostResult"]["properties"]
    assert list(post) == list(document["posts"][0])


def test_every_example_meets_the_schema(planned):
    validator = jsonschema.Draft202012Validator(results_schema())
    for name in ("lake-deck", "metric-terrace", "straight-leg", "faulty/setback.stair"):
        job = planned(name)
        validator.validate(json.loads(to_json(results(job.assembly, job.report))))
        assert job.assembly.legs


def test_top_level_fields_are_those_of_the_contract(document):
    assert list(document) == [
        "format",
        "version",
        "job",
        "status",
        "legs",
        "posts",
        "rails",
        "cables",
        "findings",
        "checks",
        "quantities",
        "stock",
        "selected",
        "suggestions",
    ]
    assert document["format"] == 1
    assert document["job"] == {
        "title": "Tern Cottage lake deck",
        "number": "0412",
        "rules": "irc-2021",
        "units": "in",
        "amendments": [],
        "severities": [],
    }


def test_hole_says_what_it_is_for_under_the_name_of_the_contract(document):
    hole = document["posts"][0]["holes"][0]
    assert hole["for"] == "stud"
    assert [wall["face"] for wall in hole["walls"]] == ["back", "front"]


def test_legs_worked_by_hand(document):
    # worked by hand: spec lengths, and geometry.md I for the bays and the pitch
    lengths = [leg["length_mm"] for leg in document["legs"]]
    assert lengths == pytest.approx([282 * INCH, 150 * INCH, 66 * INCH], abs=1e-7)
    bays = [leg["bays_mm"] for leg in document["legs"]]
    assert bays[0] == pytest.approx([68.6875 * INCH] * 4, abs=1e-7)
    assert bays[1] == pytest.approx([48.25 * INCH] * 3, abs=1e-7)
    pitch = math.atan((48 / 7) / 11)
    assert bays[2] == pytest.approx(
        [34 / math.cos(pitch) * INCH, 33 / math.cos(pitch) * INCH], abs=1e-7
    )
    assert document["legs"][2]["pitch_deg"] == pytest.approx(-math.degrees(pitch), abs=1e-8)
    assert [leg["rows"] for leg in document["legs"]] == [11, 11, 11]


def test_bays_of_a_leg_add_up_to_its_guard_length(document):
    for leg in document["legs"]:
        assert sum(leg["bays_mm"]) == pytest.approx(leg["guard_length_mm"], abs=1e-7)


def test_holes_on_the_rake_stand_apart_by_the_slope(document):
    # worked by hand (geometry.md D): (W - t) tan, W 2-1/2 in, t 3/16 in, tan = (48/7)/11
    post = next(post for post in document["posts"] if post["mark"] == "P10")
    back, front = post["holes"][0]["walls"]
    apart = (2.5 - 0.1875) * (48 / 7) / 11 * INCH
    assert back["z_mm"] - front["z_mm"] == pytest.approx(apart, abs=1e-7)
    middle = (back["z_mm"] + front["z_mm"]) / 2
    assert middle == pytest.approx(post["holes"][0]["axis_z_mm"], abs=1e-7)


def test_same_job_gives_the_same_text(lake_deck):
    first = to_json(results(lake_deck.assembly, lake_deck.report))
    assert first == to_json(results(lake_deck.assembly, lake_deck.report))
    assert first.endswith("}\n")


def test_text_has_no_negative_nought_and_one_line_an_entry(lake_deck):
    text = to_json(results(lake_deck.assembly, lake_deck.report))
    assert "-0.0," not in text
    assert "-0.0}" not in text
    cables = [line for line in text.splitlines() if line.startswith('    {"mark": "C')]
    assert len(cables) == 33


def test_numbers_keep_more_than_seven_decimals(document):
    axis = document["cables"][-1]["support_length_mm"]
    # worked by hand: 67 in of level travel between the axes less 2-1/2 in of post, over the cosine
    exact = (67 - 2.5) / math.cos(math.atan((48 / 7) / 11)) * INCH
    assert abs(axis - exact) < 1e-8
    assert axis != round(axis, 6)


def test_a_number_that_is_none_is_refused(lake_deck):
    bad = Finding("x.y", "note", (), math.nan, None, "mm", "", "", "a message")
    with pytest.raises(ValueError, match="finite number"):
        results(lake_deck.assembly, Report((bad,), ()))


def test_findings_keep_every_field(lake_deck):
    finding = Finding(
        "setback.stair",
        "fail",
        ("P9", "T3"),
        127.0,
        109.8,
        "mm",
        "a clause",
        "an edition",
        "a message",
        remedy="move P9",
        edits=(Edit("guard.stair_setback", "3 in"),),
        cause="",
        point=(1.0, 2.0, -0.0),
    )
    document = results(lake_deck.assembly, Report((finding,), ()))
    (shown,) = json.loads(to_json(document))["findings"]
    assert shown.pop("point_mm") == [1.0, 2.0, 0.0]
    expected = dataclasses.asdict(finding)
    expected.pop("point")
    assert shown == json.loads(json.dumps(expected))
    assert document.status == "fail"


def test_a_cable_names_the_posts_on_its_way_and_both_its_ends(document):
    first = document["cables"][0]
    assert first["posts"] == ["P1", "P2", "P3", "P4", "P5"]
    assert first["ends"] == ["dead", "pulling"]
    assert len(first["fittings"]) == 2
