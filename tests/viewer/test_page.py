"""The page as a file: complete in itself, small, the same every time, its numbers the job's."""

from __future__ import annotations

import base64
import gzip
import json
import re
from html.parser import HTMLParser

import pytest

from generator.results import results
from generator.units import format_length_with_unit
from generator.viewer.contents import contents
from generator.viewer.glb import glb_bytes
from generator.viewer.page import page_text

NAMES = ("lake-deck", "metric-terrace", "switchback-stair")


@pytest.fixture(scope="module", params=NAMES)
def job(request: pytest.FixtureRequest, planned):
    return planned(request.param)


@pytest.fixture(scope="module")
def page(job) -> str:
    return page_text(job.assembly, job.report)


class Blocks(HTMLParser):
    """Texts of script elements by id, and every address that an element could ask for."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: dict[str, str] = {}
        self.addresses: list[str] = []
        self._id: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self._id = named.get("id") if tag == "script" else None
        self.addresses += [
            value or ""
            for name, value in attrs
            if name in ("src", "href", "srcset", "data", "action")
        ]

    def handle_endtag(self, tag: str) -> None:
        self._id = None

    def handle_data(self, data: str) -> None:
        if self._id:
            self.texts[self._id] = self.texts.get(self._id, "") + data


def blocks(page: str) -> Blocks:
    parser = Blocks()
    parser.feed(page)
    return parser


def unpacked(text: str) -> bytes:
    return gzip.decompress(base64.b64decode(text))


def test_it_carries_its_model_and_facts(job, page: str) -> None:
    texts = blocks(page).texts
    assert unpacked(texts["job-model"]) == glb_bytes(job.assembly)
    facts = json.loads(unpacked(texts["job-facts"]))
    assert facts == json.loads(json.dumps(contents(job.assembly, job.report)))


def test_it_asks_for_nothing_from_anywhere(page: str) -> None:
    assert blocks(page).addresses == []
    assert "default-src 'none'" in page
    assert re.findall(r"@import|url\(", page[: page.index("</style>")]) == []


def test_it_is_small_and_the_same_every_time(job, page: str) -> None:
    """Issue: at most 1.5 MB for the demo job."""
    assert len(page.encode()) < 1_500_000
    assert page == page_text(job.assembly, job.report)


def test_numbers_of_posts_are_those_of_the_results_document(job) -> None:
    facts = contents(job.assembly, job.report)
    metric = job.job.metric
    for post in results(job.assembly, job.report).posts:
        told = {label: (text, *mm) for label, text, *mm in facts["parts"][post.mark]["facts"]}
        assert told["height, base to top of rail"] == (
            format_length_with_unit(post.height_mm, metric),
            pytest.approx(post.height_mm, abs=1e-6),
        )
        setback = told.get("setback, nosing to post centre")
        assert (setback is None) == (post.setback_mm is None)
        if setback:
            assert setback[1] == pytest.approx(post.setback_mm, abs=1e-6)
        holes = [label for label in told if label.startswith("hole of row")]
        assert len(holes) == len({(hole.row, hole.leg) for hole in post.holes})


def test_nosings_lie_where_setbacks_are_measured_from(job) -> None:
    """Level distance from a tread's nosing to the axis of the post on it is its setback."""
    facts = contents(job.assembly, job.report)["parts"]
    treads = {(p.leg, p.detail.number, p.run): p.mark for p in job.assembly.of_kind("tread")}
    checked = 0
    for post in job.assembly.of_kind("post"):
        number = post.detail.tread
        mark = treads.get((post.leg, number, post.run))
        if not number or mark is None or post.detail.setback_mm is None:
            continue
        (ax, ay, _), (bx, by, _) = facts[mark]["nosing"]
        x, y, _ = post.place.origin
        length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        away = abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length
        assert away == pytest.approx(post.detail.setback_mm, abs=1e-3)
        checked += 1
    assert checked or not any(p.detail.setback_mm for p in job.assembly.of_kind("post"))


def test_every_finding_and_step_leads_to_parts_on_the_page(job) -> None:
    facts = contents(job.assembly, job.report)
    known = facts["parts"].keys() | facts["owners"].keys()
    for finding in facts["findings"]:
        assert [mark for mark in finding["where"] if mark not in known] == []
    for step in facts["steps"]:
        assert [mark for mark in step["marks"] if mark not in known] == []
    assert [f["code"] for f in facts["findings"]] == [f.code for f in job.report.findings]
