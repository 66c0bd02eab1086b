"""The DXF as files go: clean to an auditor, seen by a second reader, equal every time."""

from __future__ import annotations

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities.text import Text
from pyogrio.raw import read

from generator.checks import run
from generator.drawings.layers import DIMENSIONS, LAYERS
from generator.drawings.sheet import write_dxf
from generator.layout.lay_out import layout
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.parts.report import Finding, Report
from generator.spec.job import Acceptance

NOTHING = Report((), ())
TAKEN = Acceptance("accepted[0]", "miter.gap", ("R1",), "seen", "building official")


def test_the_auditor_finds_nothing_and_mends_nothing(document: Drawing):
    # Reference library: ezdxf's auditor; it mends an undefined linetype without a word.
    auditor = document.audit()
    assert auditor.errors == []
    assert auditor.fixes == []


def test_units_and_measurement_system_go_together(document: Drawing, assembly: Assembly):
    # DXF reference, header variables: $INSUNITS 1 inch, 4 millimetre; $MEASUREMENT 1 metric.
    read = (document.header["$INSUNITS"], document.header["$MEASUREMENT"])
    assert read == ((4, 1) if assembly.job.metric else (1, 0))
    assert document.dxfversion == "AC1032"  # DXF R2018


def test_every_entity_lies_on_a_described_layer(document: Drawing):
    described = {layer.name for layer in LAYERS}
    blocks = [block for block in document.blocks if block.name.startswith("*D")]
    used = {entity.dxf.layer for space in (document.modelspace(), *blocks) for entity in space}
    assert used <= described
    for layer in LAYERS:
        entry = document.layers.get(layer.name)
        assert entry.description == layer.about
        assert entry.dxf.linetype == layer.linetype
        assert entry.dxf.lineweight == layer.pen


def test_layer_names_are_made_as_the_cad_standard_makes_them():
    # National CAD Standard: discipline, major group, minor groups of four letters.
    for layer in LAYERS:
        discipline, major, *minor = layer.name.split("-")
        assert discipline in {"A", "S"}
        assert major in {"FLOR", "ANNO", "WALL", "DETL", "BEAM", "COLS"}
        assert all(len(group) == 4 and group.isupper() for group in minor)
        assert len(minor) <= 2


def test_linetypes_used_are_defined(document: Drawing):
    defined = {entry.dxf.name.upper() for entry in document.linetypes}
    assert {layer.linetype.upper() for layer in LAYERS} <= defined


def test_text_plots_at_a_readable_height(document: Drawing, assembly: Assembly):
    # drawing-notes: 3/32 in at the least, ISO 3098 2.5 mm.
    unit = 1.0 if assembly.job.metric else 25.4
    blocks = [block for block in document.blocks if block.name.startswith("*D")]
    spaces = [document.modelspace(), *blocks]
    heights = [text.dxf.height for space in spaces for text in space.query("TEXT")]
    plotted = min(heights) * unit / document.header["$LTSCALE"]
    assert plotted >= (2.5 if assembly.job.metric else 25.4 * 3 / 32) - 1e-9


def test_a_second_reader_sees_layers_texts_and_dimensions(
    document: Drawing, assembly: Assembly, tmp_path: Path
):
    # Reference: GDAL's DXF driver through pyogrio, which draws a dimension from its block.
    path = tmp_path / "job.dxf"
    write_dxf(assembly, NOTHING, path)
    meta, _, _, columns = read(path)
    fields = dict(zip(meta["fields"], columns, strict=True))
    seen = Counter(fields["Layer"])
    space = document.modelspace()
    assert set(seen) == {entity.dxf.layer for entity in space}
    plain = [entity for entity in space if entity.dxftype() != "DIMENSION"]
    for layer, count in Counter(entity.dxf.layer for entity in plain).items():
        assert seen[layer] == count or (layer == DIMENSIONS and seen[layer] > count)
    texts = Counter(text for text in fields["Text"] if text)
    written = Counter(text.dxf.text.replace("%%d", "\u00b0") for text in space.query("TEXT"))
    written.update(dim.dxf.text.replace("%%d", "\u00b0") for dim in space.query("DIMENSION"))
    assert texts == written


def test_two_fresh_processes_write_the_same_bytes(tmp_path: Path, root: Path):
    program = (
        "import sys; from pathlib import Path;"
        "from generator.build import plan_job;"
        "from generator.drawings.sheet import write_dxf;"
        "_, assembly, report = plan_job(Path('examples/lake-deck.yaml'));"
        "write_dxf(assembly, report, Path(sys.argv[1]))"
    )
    written = []
    for seed in ("1", "4"):  # the library goes through sets in another order
        path = tmp_path / f"{seed}.dxf"
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        command = [sys.executable, "-c", program, str(path)]
        subprocess.run(command, cwd=root, env=environment, check=True)
        written.append(path.read_bytes())
    assert written[0] == written[1]
    assert str(root).encode() not in written[0]


def test_the_library_keeps_its_settings(tmp_path: Path, lake_deck: Any):
    options = ezdxf.options
    before = options.write_fixed_meta_data_for_testing
    write_dxf(lake_deck.assembly, NOTHING, tmp_path / "job.dxf")
    assert options.write_fixed_meta_data_for_testing is before is False


def test_the_views_are_made_without_the_file_library(root: Path):
    program = (
        "import sys; from pathlib import Path;"
        "from generator.build import plan_job;"
        "from generator.drawings.arrange import arrange;"
        "import generator.drawings.sheet;"
        "_, assembly, report = plan_job(Path('examples/lake-deck.yaml'));"
        "arrange(assembly, report);"
        "assert not {'ezdxf', 'OCP', 'cadquery'} & set(sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", program], cwd=root, check=False)
    assert done.returncode == 0


def test_the_title_block_counts_findings_and_claims_nothing(tmp_path: Path, lake_deck: Any):
    one = Finding("setback.stair", "fail", ("P9",), 1.0, 2.0, "mm", "", "", "")
    accepted = Finding("miter.gap", "warn", ("R1",), 1.0, 2.0, "mm", "", "", "", accepted=TAKEN)
    path = tmp_path / "job.dxf"
    write_dxf(lake_deck.assembly, Report((one, accepted), ()), path)
    document = ezdxf.readfile(path)
    texts = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert "1 FAIL, 0 WARN, 0 NOTES, 1 ACCEPTED" in texts
    assert "NOT ENGINEERED UNLESS SEALED" in texts
    assert lake_deck.job.title.upper() in texts
    assert not [text for text in texts if "complian" in text.lower()]


def test_notes_tell_what_was_accepted_amended_and_not_read(
    tmp_path: Path, spec_values: Any, read_values: Any
):
    values = spec_values("faulty/setback.stair")
    entry = {"code": "setback.stair", "where": "P10", "reason": "seen", "role": "plan reviewer"}
    change = {"code": "setback.stair", "severity": "warn", "reason": "town rule"}
    limit = {"limit": "opening.fascia", "value": "2 in", "reason": "ordinance", "clause": "12-3"}
    values |= {"accepted": [entry], "severities": [change], "amendments": [limit]}
    assembly = assemble(layout(read_values(values)))
    path = tmp_path / "job.dxf"
    write_dxf(assembly, run(assembly), path)
    texts = [text.dxf.text for text in ezdxf.readfile(path).modelspace().query("TEXT")]
    whole = " ".join(" ".join(texts).split())
    assert "ACCEPTED: SETBACK.STAIR AT P10, T3, BY PLAN REVIEWER: SEEN." in whole
    assert "SEVERITY OF SETBACK.STAIR: WARN (JOB SPEC): TOWN RULE." in whole
    assert "AMENDED: OPENING.FASCIA 2 IN (12-3): ORDINANCE." in whole
    # NDS Table 12.5.1 is from memory (profiles/rules/practice.yaml).
    assert "TABLE 12.5.1, NDS" in whole[whole.index("VALUE NOT READ AT SOURCE: ") :]


@pytest.mark.parametrize("title", ["A %%u B ^I C", "x" * 200, "K\u00f6ppel 10\u00b0 \u65e5"])
def test_any_title_is_written_and_read_back(
    title: str, tmp_path: Path, spec_values: Any, read_values: Any
):
    values = spec_values("straight-leg")
    values["job"] |= {"title": title, "number": title[:40]}
    path = tmp_path / "job.dxf"
    write_dxf(assemble(layout(read_values(values))), NOTHING, path)
    document = ezdxf.readfile(path)
    auditor = document.audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
    texts = [text.plain_text() for text in document.modelspace() if isinstance(text, Text)]
    assert title.upper().replace("%%", "% %") in "".join(texts)
