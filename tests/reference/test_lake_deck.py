"""Every worked number of the lake deck against the results document, inches and degrees.

Source of the numbers: worked by hand from the job's own measures, twice and apart from this
program; each is met to half a unit of its last digit.
"""

from __future__ import annotations

import json
import math
from itertools import pairwise

import pytest

from generator.checks import run
from generator.checks.setback import largest_setback
from generator.layout import layout
from generator.parts.build import assemble
from generator.results import results, to_json
from generator.strength.sphere import push_through_force

INCH = 25.4
LBF = 4.4482216152605  # N, exact by the definitions of pound and standard gravity
CABLE = 0.125
RAIL_DEPTH = 1.5
POST = 2.5
SPHERE = 4.0


def worked(text: str):
    """The number in a row of the table, met to half a unit of its last digit."""
    decimals = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0, abs=0.5 * 10**-decimals)


@pytest.fixture(scope="module")
def document(lake_deck):
    return json.loads(to_json(results(lake_deck.assembly, lake_deck.report)))


@pytest.fixture(scope="module")
def posts(document):
    return {post["mark"]: post for post in document["posts"]}


def inches(rows, field):
    return [row[field] / INCH for row in rows]


def of_leg(rows, leg):
    return [row for row in rows if row["leg"] == leg]


def hole(post, leg, row=1):
    return next(h for h in post["holes"] if (h["leg"], h["row"]) == (leg, row))


def measured(document, code, unit=INCH):
    found = [check["measured"] for check in document["checks"] if check["code"] == code]
    assert len(found) == 1
    return found[0] / unit


def pitch(document):
    return math.radians(-document["legs"][2]["pitch_deg"])


def test_leg_1_posts_and_bays(document, posts):
    own = [posts[mark] for mark in ("P1", "P2", "P3", "P4", "P5")]
    x = ["3.2500", "71.9375", "140.6250", "209.3125", "278.0000"]
    assert inches(own, "x_mm") == [worked(text) for text in x]
    assert inches(own, "y_mm") == [worked("4.0000")] * 5
    assert [bay / INCH for bay in document["legs"][0]["bays_mm"]] == [worked("68.6875")] * 4
    assert own == of_leg(document["posts"], 1)


def test_leg_2_posts_and_bays(document, posts):
    own = [posts[mark] for mark in ("P5", "P6", "P7", "P8")]
    y = ["4.0000", "52.2500", "100.5000", "148.7500"]
    assert inches(own, "y_mm") == [worked(text) for text in y]
    assert inches(own, "x_mm") == [worked("278.0000")] * 4
    assert [bay / INCH for bay in document["legs"][1]["bays_mm"]] == [worked("48.2500")] * 3
    assert own[1:] == of_leg(document["posts"], 2)


def test_stair_posts(document):
    own = of_leg(document["posts"], 3)
    assert inches(own, "x_mm") == [worked("278.0000"), worked("312.0000"), worked("345.0000")]
    assert inches(own, "y_mm") == [worked("154.0000")] * 3
    assert inches(own, "z_mm") == [worked("48.0000"), worked("27.4286"), worked("6.8571")]
    assert [post["tread"] for post in own] == [None, 3, 6]
    assert [post["place"] for post in own] == ["floor", "tread", "tread"]


def test_stair_bays_along_the_pitch(document):
    bays = [bay / INCH for bay in document["legs"][2]["bays_mm"]]
    assert bays == [worked("40.0652"), worked("38.8868")]


def test_riser_and_pitch(document, posts):
    three_risers = posts["P9"]["z_mm"] - posts["P10"]["z_mm"]
    assert three_risers / 3 / INCH == worked("6.8571")
    assert -document["legs"][2]["pitch_deg"] == worked("31.93845")


def test_rows_of_the_level_legs_and_gap_under_the_rail(document, posts):
    assert document["legs"][0]["rows"] == 11
    top = hole(posts["P1"], 1, 11)["axis_z_mm"] / INCH
    underside = posts["P1"]["height_mm"] / INCH - RAIL_DEPTH
    assert underside - top - CABLE / 2 == worked("1.3750")


def test_lowest_axis_of_leg_2_is_moved_down(posts):
    lowest = [hole(posts[mark], 2)["axis_z_mm"] / INCH for mark in ("P5", "P6", "P7", "P8")]
    assert lowest == [worked("2.7500")] * 4
    assert hole(posts["P5"], 1)["axis_z_mm"] / INCH - lowest[0] == worked("0.3125")


def test_rows_of_the_stair_and_gap_under_the_rail(document, posts):
    assert document["legs"][2]["rows"] == 11
    assert measured(document, "opening.stair") == worked("2.51734")
    # The same from a post's holes and the height of its rail, which lies at the pitch.
    top = hole(posts["P10"], 3, 11)["axis_z_mm"]
    upright = (posts["P10"]["height_mm"] - top) / INCH
    square = upright * math.cos(pitch(document)) - RAIL_DEPTH - CABLE / 2
    assert square == worked("2.51734")


@pytest.mark.parametrize("mark", ["P9", "P10", "P11"])
def test_lowest_axis_over_the_nosing_line(document, posts, mark):
    post = posts[mark]
    beyond_nosing = post["x_mm"] / INCH - 282.0  # the stair begins at the deck's edge
    nosing_line = 48.0 - beyond_nosing * math.tan(pitch(document))
    axis = (post["z_mm"] + hole(post, 3)["axis_z_mm"]) / INCH
    assert axis - nosing_line == worked("1.19237")


def test_lowest_axis_over_the_deck_at_the_upper_stair_post(document, posts):
    axis = hole(posts["P9"], 3)["axis_z_mm"] / INCH
    assert axis == worked("3.68588")
    (bottom,) = [
        check["measured"] / INCH
        for check in document["checks"]
        if check["code"] == "opening.bottom" and "P9" in check["where"]
    ]
    assert bottom == pytest.approx(axis - CABLE / 2, abs=1e-9)


def test_perpendicular_spacing_on_the_stair(document, posts):
    holes = [hole(posts["P10"], 3, row)["axis_z_mm"] / INCH for row in range(1, 12)]
    gaps = [b - a for a, b in pairwise(holes)]
    assert [gap * math.cos(pitch(document)) for gap in gaps] == [worked("2.54585")] * 10


def test_height_of_a_cable_slot_without_clearance(posts):
    heights = [h["nominal_height_mm"] / INCH for h in posts["P10"]["holes"]]
    assert heights == [worked("0.26418")] * 11


def test_difference_of_the_two_walls_holes(posts):
    for mark in ("P9", "P10", "P11"):
        for row in posts[mark]["holes"]:
            faces = {wall["face"]: wall["z_mm"] / INCH for wall in row["walls"]}
            assert faces["back"] - faces["front"] == worked("1.44156")


def test_sphere_through_tread_riser_and_lowest_cable(document):
    assert measured(document, "opening.triangle") == worked("5.69346")


@pytest.mark.parametrize("clear, setback", [(0.0, "4.79461"), (0.25, "4.32203")])
def test_setback_at_which_the_cable_comes_near_the_nosing(document, posts, clear, setback):
    axis = hole(posts["P10"], 3)["axis_z_mm"] / INCH
    assert largest_setback(axis, clear, CABLE, pitch(document)) == worked(setback)


def test_rail_top_over_each_stair_posts_base(document):
    heights = inches(of_leg(document["posts"], 3), "height_mm")
    assert heights == [worked("38.4935"), worked("37.8701"), worked("37.8701")]


@pytest.mark.parametrize("leg, length", [(1, "272.2500"), (2, "142.2500"), (3, "76.0060")])
def test_route_lengths(document, leg, length):
    own = [cable for cable in document["cables"] if cable["legs"] == [leg]]
    assert inches(own, "support_length_mm") == [worked(length)] * 11


@pytest.mark.parametrize("leg, length", [(1, "277.0000"), (2, "147.0000"), (3, "84.2547")])
def test_rail_centre_lengths(document, leg, length):
    assert sum(inches(of_leg(document["rails"], leg), "centre_mm")) == worked(length)


def test_force_centre_to_centre_without_spacers(spec_values, read_values):
    values = spec_values("lake-deck")
    del values["guard"]["max_cable_span"]
    values["guard"]["tension"] = "200 lbf"  # of the worked deck; the demo job's is lower
    assembly = assemble(layout(read_values(values)))
    document = json.loads(to_json(results(assembly, run(assembly))))
    force = next(c for c in document["checks"] if c["code"] == "opening.loaded")
    assert force["measured"] / LBF == worked("4.0192")


def test_force_over_the_clear_bay(document, posts):
    clear_bay = document["legs"][0]["bays_mm"][0] / INCH - POST
    rows = [hole(posts["P1"], 1, row)["axis_z_mm"] / INCH for row in (1, 2)]
    force = push_through_force(200.0, clear_bay, SPHERE, CABLE, rows[1] - rows[0])
    assert force == worked("4.1710")
