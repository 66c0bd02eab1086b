"""Run by test_interrupted.py in a process of its own: a build that dies at a chosen moment.

    python killed.py TARGET WORDS [EVENT NUMBER]

It writes two small outputs whose content is WORDS. With an audit event of Python such as
`os.rename` and a number, it kills itself when that event is about to happen for that time.
With the event `pause` it prints a line in the middle of the second output and waits.
"""

from __future__ import annotations

import itertools
import os
import signal
import sys
import time
from pathlib import Path
from typing import Any, cast

from generator.build import write_outputs
from generator.outputs import Output, Product

target, words, event, number = [*sys.argv[1:], *("", "0")[len(sys.argv) - 3 :]]


def write_pair(product: Product) -> None:
    (product.folder / "one.txt").write_text(f"one {words}\n")
    (product.folder / "two.txt").write_text(f"two {words}\n")


def write_single(product: Product) -> None:
    path = product.folder / "three.txt"
    path.write_text(f"three {words[:2]}")
    if event == "pause":
        print("paused", flush=True)
        time.sleep(30)
    path.write_text(f"three {words}\n")


PAIR = Output("pair", "two files", (("one.txt", "first"), ("two.txt", "second")), write_pair)
SINGLE = Output("single", "one file", (("three.txt", "third"),), write_single)


def die_at(event: str, number: int) -> None:
    """Kill this process when the event is about to happen for that time, counted from 1."""
    counter = itertools.count(1)

    def watch(name: str, _args: tuple[Any, ...]) -> None:
        if name == event and next(counter) == number:
            os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(watch)


if int(number):
    die_at(event, int(number))
nothing = cast(Any, None)  # the two outputs ask neither for parts nor for findings
write_outputs(nothing, nothing, Path(target), (PAIR, SINGLE), lambda _text: None)
