"""Checks of strength: asked for only, worst place, and remedies that hold when they are taken."""

from __future__ import annotations

from dataclasses import replace

import pytest
import yaml

from generator.checks import run
from generator.checks.codes import CODES
from generator.checks.strength import check_strength
from generator.checks.strength_codes import STRENGTH_CODES
from generator.checks.stronger import Remedies
from generator.cli import main
from generator.layout import layout
from generator.parts.build import assemble
from generator.results.edits import edited as edits_of
from generator.schedules.summary import strength_line
from generator.spec import job_of as job_from
from generator.strength.summary import assess
from generator.textfile import read_yaml

EXAMPLE = "examples/lake-deck.yaml"


def held(job, **inputs):
    """The job with what its calculation takes for granted."""
    return replace(job, strength=replace(job.strength, **inputs))


def outcomes(job):
    return {one.code: one for one in check_strength(assemble(layout(job)))}


def test_they_are_made_where_they_are_asked_for(lake_deck) -> None:
    codes = {row.code for row in STRENGTH_CODES}
    assert codes <= set(CODES)
    plain, strong = run(lake_deck.assembly), run(lake_deck.assembly, strength=True)
    assert not codes & {measure.code for measure in plain.measures}
    found = {measure.code for measure in strong.measures}
    assert codes - {"strength.elsewhere"} <= found
    assert set(plain.measures) <= set(strong.measures)


def test_each_is_the_worst_of_the_calculation(lake_deck) -> None:
    found = assess(lake_deck.assembly)
    for code, one in outcomes(lake_deck.job).items():
        member, check = found.worst[code]
        assert one.where == member.marks
        assert one.measured == check.demand / check.capacity  # type: ignore[operator]
        assert one.bound.value == 1.0
        assert check.name in one.message


def test_the_lake_deck_passes(lake_deck) -> None:
    assert lake_deck.report.status == "pass"
    codes = {row.code for row in STRENGTH_CODES} - {"strength.elsewhere"}
    assert codes <= {measure.code for measure in lake_deck.report.measures}


def test_where_others_calculate_it_a_note_names_the_key(lake_deck) -> None:
    job = replace(lake_deck.job, strength=replace(lake_deck.job.strength, elsewhere=True))
    report = run(assemble(layout(job)), strength=True)
    [note] = [finding for finding in report.findings if finding.code == "strength.elsewhere"]
    assert note.severity == "note"
    assert "strength: elsewhere" in note.message
    assert not {measure.code for measure in report.measures if measure.unit == "ratio"}
    told = [f.code for f in run(assemble(layout(job))).findings]
    assert "strength.elsewhere" not in told


def test_a_light_post_at_42_in_fails_and_a_short_one_passes(job_of) -> None:
    # 200 lb at 42 in on a 2 in tube with 3/16 in wall: 8,325 lb in over 0.745 in3 is 11.2 ksi,
    # against 15 / 1.65 = 9.09 ksi beside the weld (6061-T6, from memory).
    light = {"post": "al-square-2"}
    legs = [{"level": "23 ft 6 in"}]
    high = outcomes(job_of(legs, units="in", system=light, height=42))
    assert not high["post.bending"].passed
    assert high["post.bending"].finding().severity == "fail"


@pytest.mark.parametrize("code", ["cable.tension", "cable.takeup", "rail.bending"])
def test_a_stiff_propped_leg_passes(job_of, code) -> None:
    job = job_of([{"level": "23 ft 6 in"}], units="in", max_post_spacing=60)
    assert outcomes(held(job, propping="rail"))[code].passed


def test_a_remedy_is_taken_and_holds(job_of) -> None:
    # A tension that pulls the cables beyond their working force is let down.
    job = held(job_of([{"level": "23 ft 6 in"}], units="in", tension="300 lbf"), propping="rail")
    before = outcomes(job)["cable.tension"]
    assert not before.passed
    [edit] = before.edits
    assert edit.path == "guard.tension"
    again = held(job_of([{"level": "23 ft 6 in"}], units="in", tension=edit.value), propping="rail")
    assert outcomes(again)["cable.tension"].passed


def test_where_nothing_tried_passes_words_say_what_to_change(job_of) -> None:
    # No post of the catalogue makes up for a fillet of half a millimetre.
    job = held(job_of([{"level": "23 ft 6 in"}], units="in"), weld_mm=0.5)
    assembly = assemble(layout(job))
    remedy = Remedies(assembly, assess(assembly)).of("post.bending")
    assert remedy.edits == ()
    assert "strength.propping" in remedy.words


def test_a_stiffer_post_is_named(job_of) -> None:
    # Posts under the load at the top alone: almost no tension.
    job = job_of([{"level": "23 ft 6 in"}], units="in", system={"post": "al-square-2"},
                 tension="1 lbf", temperature_range="0 K")  # fmt: skip
    job = held(job, propping="rail", filler="5356", weld_mm=8.0)
    found = outcomes(job)["post.bending"]
    assert not found.passed
    assert found.edits[0].path == "system.post"


def test_one_line_of_summary(lake_deck) -> None:
    line = strength_line(run(lake_deck.assembly, strength=True).measures)
    assert line.startswith("Strength: ")
    assert line.count("\n") == 1
    assert "post.bending" in line
    assert strength_line(run(lake_deck.assembly).measures) == ""


def test_the_command_line(root, capsys, monkeypatch) -> None:
    monkeypatch.chdir(root)
    assert main(["check", EXAMPLE, "--no-strength"]) == 0
    out = capsys.readouterr().out
    assert "post.bending" not in out
    assert "--no-strength" in out
    assert main(["check", EXAMPLE]) == 0
    assert "Strength: post.bending" in capsys.readouterr().out
    assert main(["check", "examples/faulty/cable.bend.yaml", "--fail-on", "fail"]) == 0
    assert "Strength: calculated by others" in capsys.readouterr().out


@pytest.mark.parametrize("row", STRENGTH_CODES, ids=lambda row: row.code)
def test_each_is_explained(row, capsys) -> None:
    assert main(["explain", row.code]) == 0
    assert row.title in capsys.readouterr().out


def test_a_rail_that_bends_by_itself_is_not_hidden_by_its_buckling(root, read_values) -> None:
    def report(values):
        return run(assemble(layout(read_values(values))), strength=True).findings

    text = (root / "examples/faulty/rail.strut.yaml").read_text(encoding="utf-8")
    # At 11 ft the rail only buckles: that thrust and bending together are too much is a note.
    follows = report(yaml.safe_load(text))
    assert [f.code for f in follows if f.severity == "fail"] == ["rail.strut"]
    (note,) = [f for f in follows if f.code == "rail.bending"]
    assert (note.severity, note.cause) == ("note", "rail.strut")
    # At 14 ft it sags by more than h/24 + L/96 without any thrust: a failure of its own.
    values = yaml.safe_load(text)
    values["guard"]["max_post_spacing"] = "14 ft"
    values["runs"][0]["legs"][0]["level"] = "28 ft"
    found = report(values)
    assert {f.code for f in found if f.severity == "fail"} == {"rail.bending", "rail.strut"}
    (own,) = [f for f in found if f.code == "rail.bending"]
    assert own.message.startswith("deflection of R1")
    assert own.cause == ""
    assert own.measured == pytest.approx(1.68, abs=0.01)


# The lake deck with light posts at 42 in, end posts not propped, cables at 200 lbf.
LIGHT_42 = {
    "system.post": "al-square-2", "system.fitting": "swage-stud-1_4-short",
    "system.bracket": "al-saddle", "system.anchor": "through-bolt-3_8", "guard.height": "42 in",
    "guard.transition": "plumb", "guard.tension": "200 lbf", "strength.propping": "none",
}  # fmt: skip


def test_what_no_single_change_mends_is_mended_by_several_at_once(root) -> None:
    values = edits_of(read_yaml(root / EXAMPLE), LIGHT_42)
    found = {f.code: f for f in run(assemble(layout(job_from(values))), strength=True).findings}
    failing = {code for code, f in found.items() if f.severity == "fail"}
    assert {"post.bending", "post.deflection", "cable.tension", "cable.takeup"} <= failing
    for code in ("post.bending", "post.deflection", "cable.tension"):
        finding = found[code]
        assert len(finding.edits) > 2
        assert all(edit.path.split(".")[0] in ("system", "strength", "guard")
                   for edit in finding.edits)  # fmt: skip
        changed = edits_of(values, {edit.path: edit.value for edit in finding.edits})
        after = run(assemble(layout(job_from(changed))), strength=True).findings
        left = {f.code for f in after if f.severity == "fail"}
        assert code not in left
        assert left < failing
