"""Times the STEP output against `import cadquery`, in one run, and prints ratios and peak memory.

    python tests/bench/bench_step.py [ROUNDS]

Whole processes, taken turn by turn so that all meet the same machine: the demo job's
`build --only step`, and synthetic guards of 20, 200 and 2,000 posts; as a guide also one of 200
posts in which no two runs are alike, and once the same 200 posts modelled part by part, which has
to take 25 times as long. The exit status is 1 where a call is over its limit of time,
of memory, or of the size of its file, or where modelling part by part is not that much slower.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SYNTHETIC = str(Path(__file__).with_name("synthetic.py"))
PLAIN = str(Path(__file__).with_name("part_by_part.py"))
RATIO_LIMIT = 1.3
TIMES_FASTER = 25.0
MEMORY_LIMIT_MB = 700.0
ROUNDS = 5

FLOOR = "import cadquery"
DEMO = "build of the demo job"
SHARED = "200 posts"
UNLIKE = "200 posts, none alike"
BY_PART = "200 posts, part by part"
TIMED = (DEMO, "20 posts", SHARED, UNLIKE)
SIZE_LIMITS_MB = {DEMO: 1.0, "200 posts": 1.0, "2,000 posts": 4.0}


@dataclass(frozen=True)
class Run:
    """One process: wall time and peak resident memory."""

    seconds: float
    memory_mb: float


def calls(folder: Path) -> dict[str, tuple[str, ...]]:
    """What is timed, as arguments of Python."""
    demo = ("-m", "generator", "build", "examples/lake-deck.yaml", "--only", "step")
    return {
        FLOOR: ("-c", "import cadquery"),
        DEMO: (*demo, "-o", str(folder / "lake-deck")),
        **{
            f"{posts:,} posts": (SYNTHETIC, str(posts), str(folder / f"{posts}.step"))
            for posts in (20, 200, 2000)
        },
        UNLIKE: (SYNTHETIC, "200", str(folder / "unlike.step"), "200"),
        BY_PART: (PLAIN, "200", str(folder / "part-by-part.step")),
    }


def run(argv: tuple[str, ...]) -> Run:
    """One Python process from start to end.

    Raises:
        CalledProcessError: it failed.
    """
    begun = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *argv],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise subprocess.CalledProcessError(process.returncode, argv)
    # Linux tells kilobytes, macOS bytes.
    unit = 2**20 if sys.platform == "darwin" else 2**10
    return Run(time.perf_counter() - begun, usage.ru_maxrss / unit)


def measure(folder: Path, rounds: int) -> dict[str, Run]:
    """Median time and greatest memory of each call; the slowest ones are run once."""
    runs: dict[str, list[Run]] = {name: [] for name in calls(folder)}
    for turn in range(rounds):
        for name, argv in calls(folder).items():
            if turn == 0 or name in (FLOOR, *TIMED):
                runs[name].append(run(argv))
    return {
        name: Run(
            statistics.median(one.seconds for one in taken), max(one.memory_mb for one in taken)
        )
        for name, taken in runs.items()
    }


def size_mb(folder: Path, name: str) -> float:
    """Size of the STEP file that a call has written."""
    posts = name.removesuffix(" posts").replace(",", "")
    files = {
        DEMO: "lake-deck/model.step",
        UNLIKE: "unlike.step",
        BY_PART: "part-by-part.step",
    }
    return (folder / files.get(name, f"{posts}.step")).stat().st_size / 1e6


def main(rounds: int = ROUNDS) -> int:
    """Print a line a call; 1 where a limit is passed."""
    over = False
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        measured = measure(folder, rounds)
        floor = measured[FLOOR].seconds
        print(f"{'':23} {'s':>7} {'ratio':>6} {'peak MB':>8} {'file MB':>8}")
        for call, taken in measured.items():
            ratio = taken.seconds / floor
            size = 0.0 if call == FLOOR else size_mb(folder, call)
            print(f"{call:23} {taken.seconds:7.3f} {ratio:6.2f} {taken.memory_mb:8.0f} {size:8.2f}")
            over |= call in TIMED and ratio > RATIO_LIMIT
            over |= call not in (FLOOR, BY_PART) and taken.memory_mb > MEMORY_LIMIT_MB
            over |= size > SIZE_LIMITS_MB.get(call, size)
    faster = measured[BY_PART].seconds / measured[SHARED].seconds
    over |= faster < TIMES_FASTER
    print(f"200 posts: {faster:.0f} times faster than part by part, at least {TIMES_FASTER:.0f}")
    sizes = ", ".join(f"{limit:g} MB for {call}" for call, limit in SIZE_LIMITS_MB.items())
    print(
        f"limits: ratio {RATIO_LIMIT} but for 2,000 posts; memory {MEMORY_LIMIT_MB:.0f} MB; {sizes}"
    )
    return int(over)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS))
