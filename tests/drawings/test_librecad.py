"""The plain DXF in a CAD program of another make: LibreCAD, which takes a file's own dimension
variables in place of its styles.
"""

from __future__ import annotations

import os
import shutil
import subprocess

import pytest
from PIL import Image

from generator.drawings.sheet import write_dxf

LIBRECAD = shutil.which("librecad")
pytestmark = pytest.mark.skipif(LIBRECAD is None, reason="LibreCAD is not installed")


@pytest.mark.parametrize("name", ["lake-deck", "metric-terrace", "garden-ramp"])
def test_it_draws_the_sheet_and_nothing_beyond_it(planned, name, tmp_path):
    job = planned(name)
    write_dxf(job.assembly, job.report, tmp_path / "plain.dxf")
    done = subprocess.run(
        [str(LIBRECAD), "dxf2pdf", "-a", "-c", "plain.dxf"],
        cwd=tmp_path,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    assert "ERR" not in done.stderr.upper().replace("STDERR", "")
    pdf = tmp_path / "plain.pdf"
    # A page may be as large as the sheet is real: it is drawn so many dots wide.
    wide = ("-scale-to-x", "1800", "-scale-to-y", "-1", "-gray", "-singlefile", "-png")
    page = str(tmp_path / "page")
    subprocess.run(["pdftoppm", *wide, str(pdf), page], check=True, timeout=120)
    with Image.open(f"{page}.png") as image:
        ink = image.convert("L").point([255 if grey < 200 else 0 for grey in range(256)])
        box = ink.getbbox()
        share = ink.histogram()[255] / (image.width * image.height)
    assert box is not None
    # Fitted to the page, the ink is the sheet's own frame: all papers are wider than high. What
    # stands out of the frame, such as dimensions of a wrong size, would make the box another one.
    paper = {"lake-deck": 36 / 24, "garden-ramp": 36 / 24}.get(name, 841 / 594)
    assert (box[2] - box[0]) / (box[3] - box[1]) == pytest.approx(paper, rel=0.03)
    assert 0.005 < share < 0.08
