"""The page in Debian's Chromium, driven by Playwright: no requests, right numbers, all ways in.

Software rendering stands for the graphics of a tablet.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from generator.results import results
from generator.units import format_length_with_unit
from generator.viewer.page import write_page

pytestmark = pytest.mark.slow

NAMES = ("lake-deck", "metric-terrace", "switchback-stair")
CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
AXE = Path(__file__).parents[2] / "generator/viewer/web/node_modules/axe-core/axe.min.js"
SWITCHES = [
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=SWITCHES)
        yield chromium
        chromium.close()


class Opened:
    """A page from disk, with what it complained of and asked for."""

    def __init__(self, browser: Browser, file: Path, width: int, height: int, **options) -> None:
        self.context = browser.new_context(viewport={"width": width, "height": height}, **options)
        self.page: Page = self.context.new_page()
        self.errors: list[str] = []
        self.requests: list[str] = []
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("console", self._heard)
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.goto(file.as_uri())
        self.page.wait_for_selector("body[data-ready=yes]")

    def _heard(self, message) -> None:
        # The driver of software rendering warns of its own slowness; that is no fault of the page.
        if message.type == "error":
            self.errors.append(message.text)

    def settle(self) -> None:
        """Until the picture that was asked for has been drawn."""
        self.page.evaluate(
            "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"
        )

    def pixel(self, point_mm) -> tuple[float, float]:
        """Where a point of the job shows, in the window."""
        x, y, z = point_mm
        found = self.page.evaluate(
            "([x, y, z]) => { const b = stringlinePage.stage.canvas.getBoundingClientRect();"
            " const [u, v] = stringlinePage.stage.pixel([x / 1000, z / 1000, -y / 1000]);"
            " return [b.left + u, b.top + v]; }",
            [x, y, z],
        )
        return tuple(found)


@pytest.fixture(scope="module", params=NAMES)
def job(request: pytest.FixtureRequest, planned):
    return planned(request.param)


@pytest.fixture(scope="module")
def file(job, tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("page") / "page.html"
    write_page(job.assembly, job.report, path)
    return path


@pytest.fixture
def opened(browser: Browser, file: Path) -> Iterator[Opened]:
    made = Opened(browser, file, 1280, 800)
    yield made
    made.context.close()


def test_it_opens_from_disk_without_a_request_or_an_error(opened: Opened, file: Path) -> None:
    opened.settle()
    assert opened.errors == []
    assert opened.requests == [file.as_uri()]
    assert opened.page.evaluate("document.body.classList.contains('with-model')")


def test_numbers_on_screen_are_those_of_the_results_document(opened: Opened, job) -> None:
    for post in results(job.assembly, job.report).posts:
        opened.page.evaluate("mark => stringlinePage.choose(mark)", post.mark)
        shown = dict(
            opened.page.evaluate(
                "[...document.querySelectorAll('#part .facts tr')].map(({ cells: [a, b] }) =>"
                " [a.textContent, [b.textContent, Number(b.dataset.mm)]])"
            )
        )
        assert opened.page.inner_text("#part h2").startswith(f"{post.mark}:")
        text, mm = shown["height, base to top of rail"]
        assert text == format_length_with_unit(post.height_mm, job.job.metric)
        assert mm == pytest.approx(post.height_mm, abs=1e-5)
        if post.setback_mm is not None:
            text, mm = shown["setback, nosing to post centre"]
            assert text == format_length_with_unit(post.setback_mm, job.job.metric)
            assert mm == pytest.approx(post.setback_mm, abs=1e-5)


def test_a_tap_on_a_post_shows_that_post(opened: Opened, job) -> None:
    """Each post of the first leg, looked at from outside, tapped in its middle."""
    opened.page.select_option("#view", label=f"{job.assembly.legs[0].label}, from outside")
    opened.settle()
    hit = 0
    for mark in job.assembly.legs[0].posts:
        post = job.assembly.by_mark[mark]
        middle = post.place.point((0.0, 0.0, post.detail.length_mm * 0.52))
        opened.page.mouse.click(*opened.pixel(middle))
        hit += opened.page.inner_text("#part h2").startswith(f"{mark}:")
    assert hit >= len(job.assembly.legs[0].posts) - 1  # one may stand behind another leg's


def test_findings_light_the_parts_they_name(opened: Opened, job) -> None:
    opened.page.click("#tab-findings")
    known = opened.page.evaluate("Object.keys(stringlinePage.facts.parts)")
    owners = opened.page.evaluate("stringlinePage.facts.owners")
    for number, finding in enumerate(job.report.findings[:12]):
        opened.page.locator("#findings > ol > li > button.finding").nth(number).click()
        opened.settle()
        lit = opened.page.evaluate("[...stringlinePage.model.lit.keys()]")
        wanted = {mark if mark in known else owners[mark] for mark in finding.where}
        assert set(lit) == wanted
        assert finding.message in opened.page.inner_text("#said")
        notes = opened.page.eval_on_selector_all("#notes .flag", "all => all.length")
        assert notes >= 1


def test_measuring_between_two_posts_gives_the_true_distance(opened: Opened, job) -> None:
    """Axis to axis by touch of the axes, and by the buttons of a person with a keyboard."""
    first, second = (job.assembly.by_mark[mark] for mark in job.assembly.legs[0].posts[:2])
    (ax, ay, _), (bx, by, _) = first.place.origin, second.place.origin
    apart = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    for post in (first, second):
        opened.page.evaluate("mark => stringlinePage.choose(mark)", post.mark)
        opened.page.get_by_role("button", name="Measure from it").click()
    measured = float(opened.page.get_attribute("#said", "data-mm") or "nan")
    assert measured == pytest.approx(apart, abs=0.1)


def test_measuring_corner_to_corner_by_pointer(opened: Opened, job) -> None:
    """Two upper corners of one deck or tread: the pointer, near them, catches the true points."""
    leg = job.assembly.legs[0]
    rail = job.assembly.by_mark[leg.rails[0]]
    shape = rail.shape
    x, y = max(shape.section.outer.corners, key=lambda c: (c[1], c[0]))
    corners = [rail.place.point((x, y, plane.at(x, y))) for plane in (shape.start, shape.end)]
    true = sum((a - b) ** 2 for a, b in zip(*corners, strict=True)) ** 0.5
    opened.page.evaluate("marks => stringlinePage.only(marks)", [rail.mark])
    opened.page.evaluate(
        "stringlinePage.stage.look(stringlinePage.stage.box(stringlinePage.model.of("
        f"{json.dumps(rail.mark)})), [0.2, 1, 0.3])"
    )
    opened.settle()
    opened.page.click("#measure")
    for corner in corners:
        px, py = opened.pixel(corner)
        opened.page.mouse.click(px + 1.0, py + 1.0)
    measured = float(opened.page.get_attribute("#said", "data-mm") or "nan")
    assert measured == pytest.approx(true, abs=0.1)


def test_keys_turn_and_bring_back(opened: Opened) -> None:
    place = "stringlinePage.stage.camera.position.toArray()"
    opened.page.focus("#model")
    before = opened.page.evaluate(place)
    for key in ("ArrowLeft", "ArrowUp", "Shift+ArrowRight", "+"):
        at = opened.page.evaluate(place)
        opened.page.keyboard.press(key)
        assert opened.page.evaluate(place) != at, key
    opened.page.keyboard.press("f")
    assert opened.page.evaluate(place) == pytest.approx(before, abs=1e-6)


def test_hiding_and_cutting_change_what_is_drawn(opened: Opened) -> None:
    drawn = "stringlinePage.model.sets.reduce((n, s) => n + s.shown.length, 0)"
    before = opened.page.evaluate(drawn)
    opened.page.click("summary")
    opened.page.locator("#show input[data-value='cables']").uncheck()
    assert 0 < opened.page.evaluate(drawn) < before
    opened.page.locator("#show input[data-value='cables']").check()
    assert opened.page.evaluate(drawn) == before
    opened.page.click("summary")
    opened.page.select_option("#cut", label="Cut from above")
    opened.settle()
    assert opened.page.evaluate("stringlinePage.stage.section !== null")
    opened.page.select_option("#cut", label="No cut")
    assert opened.page.evaluate("stringlinePage.stage.section === null")


def test_drawing_calls_grow_with_what_is_distinct(opened: Opened) -> None:
    opened.settle()
    calls, sets, instances = opened.page.evaluate(
        "[stringlinePage.stage.renderer.info.render.calls, stringlinePage.model.sets.length,"
        " stringlinePage.model.instances.length]"
    )
    assert calls <= 2 * sets + 2
    assert instances > 2 * sets


def test_ticks_stay_on_the_device(opened: Opened) -> None:
    opened.page.click("#tab-work")
    opened.page.check("#step-1")
    opened.page.reload()
    opened.page.wait_for_selector("body[data-ready=yes]")
    opened.page.click("#tab-work")
    assert opened.page.is_checked("#step-1")
    assert not opened.page.is_checked("#step-0")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_phone_shows_all_without_scrolling_sideways(browser: Browser, file: Path, scheme) -> None:
    phone = Opened(browser, file, 360, 740, has_touch=True, is_mobile=True, color_scheme=scheme)
    for tab in ("findings", "work", "lists", "part"):
        phone.page.tap(f"#tab-{tab}")
        assert phone.page.evaluate("document.documentElement.scrollWidth") <= 360
        assert phone.page.is_visible(f"#{tab}")
    assert phone.errors == []
    phone.context.close()


def test_a_finger_turns_and_taps(browser: Browser, file: Path, job) -> None:
    phone = Opened(browser, file, 412, 860, has_touch=True, is_mobile=True)
    phone.page.select_option("#view", label=f"{job.assembly.legs[0].label}, from outside")
    phone.settle()
    mark = job.assembly.legs[0].posts[1]
    post = job.assembly.by_mark[mark]
    phone.page.touchscreen.tap(*phone.pixel(post.place.point((0.0, 0.0, 450.0))))
    assert re.match(r"\w+:", phone.page.inner_text("#part h2"))
    phone.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_serious_for_those_who_hear_or_tab(browser: Browser, file: Path, scheme) -> None:
    """axe-core (the open rules of WCAG 2.2 checks): no serious or critical issue on any page."""
    desk = Opened(browser, file, 1280, 800, color_scheme=scheme, bypass_csp=True)
    desk.page.evaluate(AXE.read_text(encoding="utf-8"))
    for tab in ("part", "findings", "work", "lists"):
        desk.page.click(f"#tab-{tab}")
        found = desk.page.evaluate("axe.run()")
        bad = [v["id"] for v in found["violations"] if v["impact"] in ("serious", "critical")]
        assert bad == [], tab
    desk.context.close()


def test_without_graphics_the_plan_and_the_words_are_there(browser: Browser, file: Path) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script("HTMLCanvasElement.prototype.getContext = () => null")
    page.goto(file.as_uri())
    page.wait_for_selector("body[data-ready=yes]")
    assert page.is_visible("#plan svg")
    page.locator("#plan polygon.post").first.dispatch_event("click")
    assert re.match(r"\w+: post", page.inner_text("#part h2"))
    context.close()
