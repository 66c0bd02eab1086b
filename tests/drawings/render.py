"""A DXF, or a window of its model space, as a PNG: `render.py JOB.dxf OUT.png [x0 y0 x1 y1]`.

For pictures of the README and for looking at drawings; the window is in drawing units. The page is
drawn at the size at which it is plotted, so that pens come out true to it.
"""

from __future__ import annotations

import sys
from pathlib import Path

import ezdxf
import matplotlib as mpl

mpl.use("Agg")

import matplotlib.pyplot as plt
from ezdxf.addons.drawing import Frontend, RenderContext
from ezdxf.addons.drawing.config import BackgroundPolicy, ColorPolicy, Configuration
from ezdxf.addons.drawing.matplotlib import MatplotlibBackend

Window = tuple[float, float, float, float]


def render(source: Path, target: Path, window: Window | None = None, pixels: int = 3600) -> None:
    """Draws the model space on white; `pixels` is the length of the longer side."""
    doc = ezdxf.readfile(source)
    if window is None:
        low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
        window = (low[0], low[1], high[0], high[1])
    x0, y0, x1, y1 = window
    unit = 25.4 if doc.header["$MEASUREMENT"] else 1.0
    inches = [length / doc.header["$LTSCALE"] / unit for length in (x1 - x0, y1 - y0)]
    figure = plt.figure()
    axes = figure.add_axes((0, 0, 1, 1))
    settings = Configuration(
        background_policy=BackgroundPolicy.WHITE, color_policy=ColorPolicy.COLOR
    )
    Frontend(RenderContext(doc), MatplotlibBackend(axes), config=settings).draw_layout(
        doc.modelspace(), finalize=True
    )
    axes.set_aspect("auto")
    axes.set_xlim(x0, x1)
    axes.set_ylim(y0, y1)
    figure.set_size_inches(*inches)
    figure.savefig(target, dpi=pixels / max(inches))
    plt.close(figure)


if __name__ == "__main__":
    numbers = [float(value) for value in sys.argv[3:7]]
    area = (numbers[0], numbers[1], numbers[2], numbers[3]) if len(numbers) == 4 else None
    render(Path(sys.argv[1]), Path(sys.argv[2]), area)
