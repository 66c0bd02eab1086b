"""Times the whole permit set, DXF and PDF, against the libraries it loads, in one run.

    python tests/bench/bench_drawings.py [ROUNDS]

Whole processes, taken turn by turn so that all meet the same machine. The floor is the import of
ezdxf and of ReportLab's canvas; the calls are `build --only dxf,pdf` of the demo job and of a guard
of 200 posts. Judged is the processor's time of the one thread that each has, which is its wall time
on a machine with nothing else to do; the exit status is 1 where it is over its limit.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 3
FLOOR = "import of ezdxf and ReportLab"
LIMITS_S = {"demo job": 2.5, "200 posts": 10.0}

# Ten sides of twenty posts, 6 ft apart, turning right and left.
_LEG = "      - level: 113 ft\n"
_SPEC = """\
job: {{title: Long wharf, number: "200", rules: irc-2021, units: in}}
system: {{post: al-square-2.5, rail: al-flat-2.5x1.5, bracket: al-saddle,
         cable: ss316-1x19-1_8, fitting: swage-stud-1_4, anchor: through-bolt-3_8,
         spacer: al-bar-1x3_8}}
guard: {{max_post_spacing: 6 ft, max_cable_span: 36 in}}
stock: {{rail: [{{length: 20 ft}}]}}
runs:
  - id: A
    start: {{x: 0, y: 0, z: 4 ft, bearing: 0, end: free}}
    deck: left
    legs:
{legs}    end: free
"""


def long_job(sides: int) -> str:
    """A spec with about twenty posts a side."""
    legs = _LEG
    for k in range(1, sides):
        turn = 90 if k % 2 else -90
        legs += f"      - {{turn: {turn}, corner: single}}\n{_LEG}"
    return _SPEC.format(legs=legs)


def calls(folder: Path) -> dict[str, tuple[str, ...]]:
    """What is timed, as arguments of Python."""
    spec = folder / "long.yaml"
    spec.write_text(long_job(10), encoding="utf-8")
    build = ("-m", "generator", "build")
    rest = ("--only", "dxf,pdf", "-o")
    return {
        FLOOR: ("-c", "import ezdxf, reportlab.pdfgen.canvas"),
        "demo job": (*build, "examples/lake-deck.yaml", *rest, str(folder / "demo")),
        "200 posts": (*build, str(spec), *rest, str(folder / "long")),
    }


def seconds(argv: tuple[str, ...]) -> tuple[float, float]:
    """Processor and wall time of one Python process.

    Raises:
        RuntimeError: it failed; status 1 only says that a limit of the guard is broken.
    """
    begun, before = time.perf_counter(), _spent()
    done = subprocess.run([sys.executable, *argv], cwd=ROOT, check=False, capture_output=True)
    if done.returncode > 1:
        raise RuntimeError(done.stderr.decode())
    return _spent() - before, time.perf_counter() - begun


def _spent() -> float:
    """Processor time of all processes run so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main() -> int:
    """Print the best time of each call and its ratio to the floor."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    with tempfile.TemporaryDirectory() as name:
        timed = calls(Path(name))
        taken: dict[str, list[tuple[float, float]]] = {call: [] for call in timed}
        for _ in range(rounds):
            for call, argv in timed.items():
                taken[call].append(seconds(argv))
    floor, slow = min(taken[FLOOR])[0], 0
    for call, times in taken.items():
        limit = LIMITS_S.get(call)
        best, wall = min(times)
        told = f", limit {limit:g} s" if limit else ""
        print(f"{call:32} {best:6.2f} s ({wall:.2f} s wall) {best / floor:6.1f} x{told}")
        slow += limit is not None and best > limit
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
