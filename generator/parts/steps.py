"""The order of work on site, each step with the parts that it needs."""

from __future__ import annotations

from generator.frozen import dataclass
from generator.parts.assembly import Assembly, Kind
from generator.parts.tensioning import pull_order


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do: `marks` are the parts to have at hand, in order."""

    title: str
    text: str
    marks: tuple[str, ...]


def order_of_work(assembly: Assembly) -> tuple[Step, ...]:
    """The steps of a job, those left out that it has no parts for (common practice, no source)."""
    steps = (
        Step(
            "Set out the posts",
            "Mark every post centre from one end with a running tape; check the deck edge against "
            "the drawing before anything is drilled.",
            _marks(assembly, "post"),
        ),
        Step(
            "Fit the blocking",
            "Solid blocking under every base before the posts are set; screw it to both joists.",
            _marks(assembly, "blocking"),
        ),
        Step(
            "Set the posts",
            "End and corner posts first, plumb both ways, then a string between them for the rest.",
            _marks(assembly, "post"),
        ),
        Step(
            "Fit the rail",
            "Dry-fit mitered pieces at corners and slope changes before any hole is drilled.",
            _marks(assembly, "rail"),
        ),
        Step(
            "Fit the handrail",
            "Brackets first, then the bar from the top down; close its ends.",
            _marks(assembly, "handrail", "handrail-bracket"),
        ),
        Step(
            "Hang the spacers",
            "Plumb, holes in line with those of the posts.",
            _marks(assembly, "spacer"),
        ),
        Step(
            "Run the cables",
            "Bottom row last; pass each through its holes, fittings on, hand tight.",
            _marks(assembly, "cable"),
        ),
        Step(
            "Tension the cables",
            "Leg by leg in the order of the tension list, which tells what each cable is set to; "
            "go round again until a gauge reads the tension of the job on every cable.",
            tuple(mark for _, mark in pull_order(assembly)),
        ),
        Step(
            "Check",
            "Heights, the gap under the lowest cable, every opening with a sphere of the size that "
            "the code names; then show it to the inspector.",
            (),
        ),
    )
    return tuple(step for step in steps if step.marks or step.title == "Check")


def _marks(assembly: Assembly, *kinds: Kind) -> tuple[str, ...]:
    return tuple(part.mark for part in assembly.of_kind(*kinds))
