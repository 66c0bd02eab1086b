"""The packed text of a STEP file says what the kernel said, value by value, in fewer bytes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from generator.solids.packing import packed

HEAD = "ISO-10303-21;\nHEADER;\nFILE_NAME('a  b; #1','x');\nENDSEC;\nDATA;\n"
TAIL = "ENDSEC;\nEND-ISO-10303-21;\n"


def lines(*data: str) -> list[str]:
    """The packed instances of a file with these."""
    text = packed(HEAD + "".join(f"{line}\n" for line in data) + TAIL)
    assert text.startswith(HEAD)
    assert text.endswith(TAIL)
    return text[len(HEAD) : -len(TAIL)].splitlines()


def test_points_directions_and_what_is_made_of_them_are_told_once() -> None:
    assert lines(
        "#1 = LINE('',#2,#3);",
        "#2 = CARTESIAN_POINT('',(1.5E+03,-2.5,0.));",
        "#3 = VECTOR('',#4,1.);",
        "#4 = DIRECTION('',(0.,0.,1.));",
        "#5 = LINE('',#6,#7);",
        "#6 = CARTESIAN_POINT('',(1.5E+03,-2.5,-1.E-13));",
        "#7 = VECTOR('',#8,1.);",
        "#8 = DIRECTION('',(6.E-17,-0.,1.));",
        "#9 = EDGE_CURVE('',#20,#21,#1,.T.);",
        "#10 = EDGE_CURVE('',#20,#21,#5,.T.);",
    ) == [
        "#1=LINE('',#2,#3);",
        "#2=CARTESIAN_POINT('',(1500.,-2.5,0.));",
        "#3=VECTOR('',#4,1.);",
        "#4=DIRECTION('',(0.,0.,1.));",
        "#5=EDGE_CURVE('',#20,#21,#1,.T.);",
        "#6=EDGE_CURVE('',#20,#21,#1,.T.);",
    ]


def test_what_has_an_identity_of_its_own_is_never_merged() -> None:
    twice = ("#1 = VERTEX_POINT('',#9);", "#2 = VERTEX_POINT('',#9);")
    assert len(lines(*twice)) == 2
    # ISO 10303-43: a list of items is a set, so equal places of two occurrences stay two.
    placed = lines(
        "#1 = SHAPE_REPRESENTATION('',(#2,#3),#9);",
        "#2 = AXIS2_PLACEMENT_3D('',#5,$,$);",
        "#3 = AXIS2_PLACEMENT_3D('',#5,$,$);",
        "#4 = AXIS2_PLACEMENT_3D('',#5,$,$);",
        "#5 = CARTESIAN_POINT('',(0.,0.,0.));",
        "#6 = AXIS2_PLACEMENT_3D('',#5,$,$);",
        "#7 = PLANE('',#4);",
        "#8 = PLANE('',#6);",
        "#9 = CONTEXT();",
    )
    assert [line.split("=")[1][:9] for line in placed].count("AXIS2_PLA") == 3
    assert placed[0] == "#1=SHAPE_REPRESENTATION('',(#2,#3),#8);"
    assert placed[-3:-1] == ["#6=PLANE('',#4);", "#7=PLANE('',#4);"]


@pytest.mark.parametrize(
    "name",
    [
        "it''s #2 = DIRECTION('''',(0.,1.)); ENDSEC;",
        "''quoted''  twice  ''",
        "#2,#3",
        "a''''b",
        r"\X2\00E9\X0\ 5'' x 4'' (#3)",
    ],
)
def test_letters_of_names_are_left_alone(name: str) -> None:
    told = lines(
        "#7 = DIRECTION('',(1.,0.,0.));",
        f"#12 = PRODUCT('{name}','',\n  '{name}',(#3));",
        "#3 = PRODUCT_CONTEXT('',#7,'mechanical');",
    )
    assert told[1] == f"#2=PRODUCT('{name}','','{name}',(#3));"
    assert told[2] == "#3=PRODUCT_CONTEXT('',#1,'mechanical');"


def test_a_name_that_the_kernel_broke_over_lines_is_whole_again() -> None:
    assert lines("#1 = PRODUCT(\n'one two \nthree','',$);") == ["#1=PRODUCT('one two three','',$);"]


def test_occurrences_are_numbered_from_1() -> None:
    told = lines(
        "#1 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('873','P1','',#5,#6,$);",
        "#2 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('874','(''1'',','',#5,#6,$);",
    )
    assert told == [
        "#1=NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','P1','',#5,#6,$);",
        "#2=NEXT_ASSEMBLY_USAGE_OCCURRENCE('2','(''1'',','',#5,#6,$);",
    ]


@pytest.mark.parametrize(
    "told, short",
    [
        ("1.5E+03", "1500."),
        ("1.228725E+03", "1228.725"),
        ("0.176776695297", "0.176776695297"),
        ("1.E-03", "0.001"),
        ("2.5E-08", "2.5E-08"),
        ("-4.", "-4."),
        ("1.234567890123E+05", "123456.7890123"),
        ("-3.1E-11", "0."),
    ],
)
def test_numbers_are_short_and_the_same(told: str, short: str) -> None:
    (line,) = lines(f"#1 = CARTESIAN_POINT('',({told},0.,7.));")
    assert line == f"#1=CARTESIAN_POINT('',({short},0.,7.));"
    assert float(short) == float(told) or abs(float(told)) < 1e-10


def test_a_real_file_is_packed_once_and_for_all(guard_step: Path) -> None:
    text = guard_step.read_text(encoding="ascii")
    assert packed(text) == text
    instances = re.findall(r"^#(\d+)=", text, re.MULTILINE)
    assert [int(number) for number in instances] == list(range(1, len(instances) + 1))
    referred = {int(number) for number in re.findall(r"[(,]#(\d+)", text)}
    assert max(referred) <= len(instances)
    # Every value is referred to by something.
    values = re.findall(r"^#(\d+)=(?:CARTESIAN_POINT|DIRECTION|VECTOR|LINE)", text, re.MULTILINE)
    assert {int(number) for number in values} <= referred
