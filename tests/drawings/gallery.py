"""Pictures of the examples for their gallery: `gallery.py [NAME ...]`, all of them without a name.

Each shows the plan and the elevations of one job, rendered from its DXF, as a PNG 1400 pixels wide
with few colours, in examples/docs/pictures.
"""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from types import ModuleType

from PIL import Image

from generator.build import plan_job
from generator.drawings.arrange import arrange
from generator.drawings.sheet import write_dxf
from generator.drawings.view import Placed

HERE = Path(__file__).resolve().parent
EXAMPLES = HERE.parents[1] / "examples"
PICTURES = EXAMPLES / "docs" / "pictures"
WIDTH = 1400
_FINER = 2
# The pens of the drawings, and each in steps to white.
_PENS = ((0, 0, 0), (128, 128, 128), (0, 0, 255), (255, 0, 0), (255, 0, 255), (0, 255, 0))
_PENS += ((0, 255, 255), (255, 127, 0))
_STEPS = 6
_MARGIN_MM = 4.0  # on paper, inside the border

Window = tuple[float, float, float, float]


def picture(name: str) -> Path:
    """Draws the plan and the elevations of an example; its notes and title block are left out."""
    _, assembly, report = plan_job(EXAMPLES / f"{name}.yaml")
    sheet = arrange(assembly, report)
    _, *views = sheet.placed
    window = around(views, sheet.scale.plotted(_MARGIN_MM), 1.0 if assembly.job.metric else 25.4)
    across, high = window[2] - window[0], window[3] - window[1]
    longer = round(_FINER * WIDTH * max(1.0, high / across))
    target = PICTURES / f"{name}.png"
    with TemporaryDirectory() as folder:
        drawing, large = Path(folder) / "drawings.dxf", Path(folder) / "large.png"
        write_dxf(assembly, report, drawing)
        renderer().render(drawing, large, window, longer)
        with Image.open(large) as image:
            small = image.convert("RGB").resize(
                (WIDTH, round(WIDTH * image.height / image.width)), Image.Resampling.LANCZOS
            )
    small.quantize(palette=palette(), dither=Image.Dither.NONE).save(target, optimize=True)
    return target


def around(views: Iterable[Placed], margin: float, unit_mm: float) -> Window:
    """The window that holds all views, in drawing units of `unit_mm`; `margin` is in real mm."""
    boxes = []
    for placed in views:
        x0, y0, x1, y1 = placed.view.bounds
        x, y = placed.offset
        boxes.append((x + x0, y + y0, x + x1, y + y1))
    lefts, lows, rights, tops = zip(*boxes, strict=True)
    window = (min(lefts) - margin, min(lows) - margin, max(rights) + margin, max(tops) + margin)
    return (
        window[0] / unit_mm,
        window[1] / unit_mm,
        window[2] / unit_mm,
        window[3] / unit_mm,
    )


def palette() -> Image.Image:
    """White, and every pen in steps of its strength: few colours, the same in every picture."""
    colours = [255, 255, 255]
    for pen in _PENS:
        for step in range(1, _STEPS + 1):
            colours += [round(255 - (255 - part) * step / _STEPS) for part in pen]
    found = Image.new("P", (1, 1))
    found.putpalette(colours)
    return found


def renderer() -> ModuleType:
    """The renderer beside this file."""
    spec = importlib.util.spec_from_file_location("render", HERE / "render.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main(names: Sequence[str]) -> None:
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name in names or sorted(path.stem for path in EXAMPLES.glob("*.yaml")):
        path = picture(name)
        print(f"{path.name}: {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main(sys.argv[1:])
