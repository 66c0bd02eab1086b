"""Times the 3D page: writing it, its size, and how soon a browser shows it; prints ratios.

    python tests/bench/bench_page.py

Writing is a whole process, `build --only html` of the demo job, beside its floor
`python -c "import numpy; from pydantic import BaseModel"` in the same run. Opening and turning are
in headless Chromium with software rendering, which stands for a slow tablet. The exit status is 1
where a time or a size is over its limit.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 5
WRITE_LIMIT_S, OPEN_LIMIT_S = 1.2, 2.0
SIZE_LIMITS_MB = {"demo job": 1.5, "200 posts": 3.0}
FLOOR = ("-c", "import numpy; from pydantic import BaseModel")
SWITCHES = (
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-background-networking",
    "--no-first-run",
)
TURN = """async () => {
  const stage = stringlinePage.stage, begun = performance.now();
  for (let k = 0; k < 20; k++) {
    stage.key("ArrowLeft", false);
    await new Promise(requestAnimationFrame);
    stage.renderer.getContext().finish();
  }
  return [(performance.now() - begun) / 20, stage.renderer.info.render.calls,
          stringlinePage.model.sets.length, stringlinePage.model.instances.length];
}"""


def seconds(argv: tuple[str, ...]) -> float:
    """Wall time of one Python process."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, *argv], cwd=ROOT, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - begun


def large_job(folder: Path) -> Path:
    """The demo job's run nineteen times over, 209 posts, beside one another."""
    values = yaml.safe_load((ROOT / "examples" / "lake-deck.yaml").read_text(encoding="utf-8"))
    (run,) = values["runs"]
    values["runs"] = [
        {**run, "id": f"A{k}", "start": {**run["start"], "y": f"{-40 * k} ft"}} for k in range(19)
    ]
    path = folder / "large.yaml"
    path.write_text(json.dumps(values), encoding="utf-8")  # JSON is YAML
    return path


def main() -> int:
    """Print times, ratios and sizes."""
    from generator.build import plan_job
    from generator.viewer.page import write_page

    over = False
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        build = (
            "-m",
            "generator",
            "build",
            "examples/lake-deck.yaml",
            "--only",
            "html",
            "-o",
            name,
        )
        pairs = [(seconds(FLOOR), seconds(build)) for _ in range(ROUNDS)]
        floor, written = (min(column) for column in zip(*pairs, strict=True))
        print(
            f"build --only html of the demo job {written:.3f} s, {written / floor:.2f} of its floor"
        )
        over |= written > WRITE_LIMIT_S
        large = folder / "large.html"
        _, assembly, report = plan_job(large_job(folder))
        write_page(assembly, report, large)
        pages = {"demo job": folder / "page.html", "200 posts": large}
        for words, path in pages.items():
            size = path.stat().st_size / 1e6
            opened, frame, calls, distinct, count = shown(path)
            print(
                f"{words}: {size:.2f} MB (limit {SIZE_LIMITS_MB[words]}), open in {opened:.2f} s, "
                f"{frame:.0f} ms a frame, {calls} calls for {distinct} distinct of {count} parts"
            )
            over |= size > SIZE_LIMITS_MB[words] or (words == "demo job" and opened > OPEN_LIMIT_S)
    return int(over)


def shown(path: Path) -> tuple[float, float, int, int, int]:
    """Seconds until a page is ready, milliseconds a frame while it turns, and what it draws."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=[*SWITCHES])
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto("about:blank")
        begun = time.perf_counter()
        page.goto(path.as_uri())
        page.wait_for_selector("body[data-ready=yes]")
        opened = time.perf_counter() - begun
        frame, calls, distinct, count = page.evaluate(TURN)
        browser.close()
    return opened, frame, calls, distinct, count


if __name__ == "__main__":
    sys.exit(main())
