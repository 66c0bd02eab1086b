"""Validated models of a spec into the frozen tables of a `Job`."""

from __future__ import annotations

import math

from generator.spec.drawing_models import frozen_drawings
from generator.spec.grades import frozen_grades
from generator.spec.job import (
    FixedPost,
    Guard,
    Handrail,
    Job,
    Joists,
    LegItem,
    Level,
    Opening,
    OutputChoices,
    Ramp,
    Run,
    Stair,
    Start,
    Stock,
    StockLength,
    StrengthInputs,
    Structure,
    TreadStep,
    Turn,
)
from generator.spec.judgements import frozen_acceptances, frozen_severities
from generator.spec.leg_models import (
    ClosingSpec,
    FixedSpec,
    FlightSpec,
    LegSpec,
    LevelSpec,
    OpeningSpec,
    RampSpec,
    RunSpec,
    StairSpec,
    StepSpec,
    TurnSpec,
)
from generator.spec.models import (
    GuardSpec,
    HandrailSpec,
    JobSpec,
    OutputsSpec,
    StockSpec,
    StrengthSpec,
    StructureSpec,
)
from generator.spec.obstacles import frozen_obstacles
from generator.spec.order_models import frozen_order
from generator.spec.resolve import Resolved
from generator.spec.sequence import closing_turn, run_id
from generator.textfile import field_name

_SAME_STEP_MM = 1e-9
"""Steps that differ by no more are one."""


def freeze(source: str, spec: JobSpec, resolved: Resolved) -> Job:
    """The job of a spec in which nothing was found wrong."""
    return Job(
        source=source,
        title=spec.job.title,
        number=spec.job.number,
        units=spec.job.units,
        rules=resolved.rules,
        system=resolved.system,
        guard=_guard(spec.guard),
        structure=_structure(spec.structure),
        stock=_stock(spec.stock),
        runs=tuple(_run(run, index) for index, run in enumerate(spec.runs)),
        handrail=_handrail(spec.handrail),
        obstacles=frozen_obstacles(spec.obstacles),
        accepted=frozen_acceptances(spec.accepted),
        severities=frozen_severities(spec.severities),
        grades=frozen_grades(spec.runs),
        outputs=_outputs(spec.outputs),
        order=frozen_order(spec.order),
        drawings=frozen_drawings(spec.drawings),
        strength=_strength(spec.strength),
        profiles=resolved.folders,
    )


def _guard(spec: GuardSpec) -> Guard:
    return Guard(
        height_mm=spec.height,
        stair_height_mm=spec.stair_height,
        bottom_gap_mm=spec.bottom_gap,
        cable_spacing_mm=spec.cable_spacing,
        rows=spec.rows,
        max_post_spacing_mm=spec.max_post_spacing,
        max_cable_span_mm=spec.max_cable_span,
        edge_inset_mm=spec.edge_inset,
        stair_setback_mm=spec.stair_setback,
        wall_gap_mm=spec.wall_gap,
        run_on_mm=spec.run_on,
        pair_offset_mm=spec.pair_offset,
        tension_n=spec.tension,
        stair_spacing=spec.stair_spacing,
        transition=spec.transition,
        easing_mm=spec.easing,
        end_cut=spec.end_cut,
        post_top=spec.post_top,
        mount=spec.mount,
        pull=spec.pull,
        swage=(spec.swage.dead, spec.swage.pulled),
        temperature_k=spec.temperature_range,
        snap_to_joists_mm=spec.snap_to_joists,
        sphere_force_n=spec.sphere_force,
    )


def _structure(spec: StructureSpec | None) -> Structure | None:
    if spec is None:
        return None
    under = spec.joists or None
    joists = under and Joists(
        spacing_mm=under.spacing,
        width_mm=under.width,
        depth_mm=under.depth,
        bearing_deg=under.bearing,
        species=under.species,
        offset_mm=under.offset,
    )
    return Structure(
        joists=joists,
        decking_mm=spec.decking,
        overhang_mm=spec.overhang,
        fascia_mm=spec.fascia,
        rim_mm=spec.rim,
        stringer_mm=spec.stringer,
        concrete=spec.concrete,
    )


def _stock(spec: StockSpec | None) -> Stock | None:
    if spec is None:
        return None
    rail, post, handrail, cable = (
        tuple(StockLength(bar.length, bar.cost, bar.count) for bar in bars or ())
        for bars in (spec.rail, spec.post, spec.handrail, spec.cable)
    )
    return Stock(
        rail=rail,
        kerf_mm=spec.kerf,
        post=post,
        handrail=handrail,
        cable=cable,
        end_trim_mm=spec.end_trim,
        keep_over_mm=spec.keep_offcuts_over,
        finish=spec.finish,
    )


def _outputs(spec: OutputsSpec | None) -> OutputChoices:
    return OutputChoices(spec.step_schema, spec.paper) if spec else OutputChoices()


def _strength(spec: StrengthSpec) -> StrengthInputs:
    return StrengthInputs(
        propping=spec.propping,
        base=spec.base,
        base_give_deg=spec.base_give,
        rail=spec.rail,
        duration=spec.load_duration,
        moisture=spec.moisture,
        weld_mm=spec.weld,
        filler=spec.filler,
        relaxation=spec.relaxation,
        elsewhere=spec.elsewhere,
    )


def _handrail(spec: HandrailSpec | None) -> Handrail | None:
    return spec and Handrail(
        elsewhere=spec.elsewhere,
        height_mm=spec.height,
        diameter_mm=spec.diameter,
        clearance_mm=spec.clearance,
        max_bracket_spacing_mm=spec.bracket_spacing,
        guard=spec.guard,
        other_side=spec.other_side,
    )


def _run(spec: RunSpec, index: int) -> Run:
    start = spec.start
    path = ("runs", index)
    return Run(
        path=field_name(path),
        id=run_id(spec.id, index),
        start=Start(start.x, start.y, start.z, start.bearing, start.end),
        deck=spec.deck,
        legs=tuple(
            _leg(leg, field_name((*path, "legs", number))) for number, leg in enumerate(spec.legs)
        ),
        end=spec.end,
        closed=_closing(spec, field_name((*path, "closed"))),
    )


def _closing(spec: RunSpec, path: str) -> Turn | None:
    if not spec.closed:
        return None
    angle = closing_turn([leg.turn for leg in spec.legs if isinstance(leg, TurnSpec)])
    return _turn(spec.closed, angle, path)


def _leg(spec: LegSpec, path: str) -> LegItem:
    match spec:
        case LevelSpec():
            fixed = _fixed(spec.fixed, path)
            return Level(path, spec.level, spec.fall, spec.inset, spec.mount, fixed)
        case RampSpec():
            ramp, fixed = spec.ramp, _fixed(spec.fixed, path)
            return Ramp(path, ramp.length, ramp.rise, spec.inset, spec.mount, fixed)
        case OpeningSpec():
            return Opening(path, spec.opening)
        case TurnSpec():
            return _turn(spec, spec.turn, path)
        case StairSpec():
            return _stair(spec, path)


def _turn(spec: TurnSpec | ClosingSpec, angle_deg: float, path: str) -> Turn:
    rail = spec.rail or ("miter" if spec.corner == "pair-through" else "run-on")
    cables = (spec.cables if isinstance(spec, TurnSpec) else None) or "end"
    return Turn(path, angle_deg, spec.corner, rail, cables)


def _fixed(specs: list[FixedSpec] | None, path: str) -> tuple[FixedPost, ...]:
    """Fixed posts of a leg, in the order in which one passes them."""
    posts = [
        FixedPost(
            path=f"{path}.fixed[{index}]",
            at_mm=spec.at,
            width_mm=spec.width,
            depth_mm=spec.depth or spec.width,
            material=spec.material,
            cables=spec.cables,
        )
        for index, spec in enumerate(specs or [])
    ]
    return tuple(sorted(posts, key=lambda post: post.at_mm))


def _stair(spec: StairSpec, path: str) -> Stair:
    flight = spec.stair
    risers, rise, tread, steps = _measures(flight)
    return Stair(
        path=path,
        risers=risers,
        rise_mm=rise,
        tread_mm=tread,
        nosing_mm=flight.nosing,
        tread_thickness_mm=flight.tread_thickness,
        direction=flight.direction,
        steps=steps,
        open_risers=flight.open_risers,
        foot=flight.foot,
        posts=flight.posts,
        name=flight.name or "",
        width_mm=flight.width,
        inset_mm=spec.inset,
        given_by="treads" if flight.treads else "going" if flight.tread is None else "tread",
    )


def _measures(flight: FlightSpec) -> tuple[int, float, float, tuple[TreadStep, ...]]:
    """Risers, rise, tread, and the steps where they differ from one another."""
    if flight.treads:
        return _as_measured(flight.treads)
    assert flight.risers is not None
    assert flight.rise is not None
    if flight.tread is not None:
        return flight.risers, flight.rise, flight.tread, ()
    assert flight.going is not None
    return flight.risers, flight.rise, _worked_out(flight.going / (flight.risers - 1)), ()


def _as_measured(treads: list[StepSpec]) -> tuple[int, float, float, tuple[TreadStep, ...]]:
    """The last riser leads to the lower floor; where it is the only one, its going is the tread."""
    rises = [step.rise for step in treads]
    goings = [step.going or 0.0 for step in treads[:-1] or treads]
    rise, tread = _worked_out(math.fsum(rises)), _worked_out(math.fsum(goings) / len(goings))
    alike = max(rises) - min(rises) <= _SAME_STEP_MM >= max(goings) - min(goings)
    if alike:
        return len(treads), rise, tread, ()
    steps = [TreadStep(*step) for step in zip(rises, [*goings, 0.0], strict=True)]
    return len(treads), rise, tread, tuple(steps)


def _worked_out(mm: float) -> float:
    """A sum or quotient of what was read, without its noise: one stair is the same in every way."""
    return round(mm, 9)
