"""What would carry a load that is too great: other parts of the catalogue, tried one by one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from generator.catalog.load import Catalog
from generator.catalog.tables import Anchor, Post, Profile, Rail
from generator.errors import StringlineError
from generator.frozen import dataclass
from generator.layout.lay_out import layout
from generator.parts.build import assemble
from generator.parts.report import Edit
from generator.parts.shapes import tube
from generator.spec.job import Job
from generator.strength.result import Strength
from generator.strength.sections import section_values
from generator.strength.summary import assess
from generator.units import format_length_with_unit

_LBF = 4.4482216152605
_CLOSER = 0.75
_SLACKER = 0.75
_KEYS = {"post": "posts", "rail": "rails", "anchor": "anchors"}


@dataclass(frozen=True, slots=True)
class Remedy:
    """Words, and the same as changes of the spec where it was found to pass."""

    words: str
    edits: tuple[Edit, ...]


@dataclass(frozen=True, slots=True)
class _Trial:
    words: str
    edit: Edit
    job: Job


def remedy_for(job: Job, code: str) -> Remedy:
    """The first change after which a code passes and no other of strength fails that passed.

    Where none does, words on what has to change, without an edit.
    """
    before = _failing(_assessed(job))
    for trial in _trials(job, code):
        after = _failing(_assessed(trial.job))
        if code not in after and after <= before:
            return Remedy(trial.words, (trial.edit,))
    return Remedy(_UNTRIED[code.split(".")[0]], ())


_UNTRIED = {
    "post": "no post of the catalogue passes: let the top rail prop the end posts and say so "
    "(strength.propping), lower guard.tension, split long panels, or have the posts designed",
    "rail": "no rail of the catalogue passes: put posts closer, or have the joints designed",
    "anchor": "no anchor of the catalogue passes: larger washers or plates under the blocking, a "
    "larger base plate, a lower guard.tension, or anchors as designed for this job",
    "cable": "lower guard.tension, make panels shorter or end posts stiffer, or take a fitting "
    "with more thread",
}


def _assessed(job: Job) -> Strength | None:
    """The strength of a job laid out anew; None where it cannot be laid out."""
    try:
        return assess(assemble(layout(job)))
    except StringlineError:
        return None


def _failing(found: Strength | None) -> set[str]:
    """Codes that fail; all of them where there is nothing to look at."""
    if found is None:
        return set(_UNTRIED) | {"all"}
    return {code for code, (_, check) in found.worst.items() if check.utilisation > 1.0 + 1e-9}


def _trials(job: Job, code: str) -> Iterator[_Trial]:
    """Changes in the order in which they are tried."""
    kind = code.split(".")[0]
    if kind in ("post", "rail", "anchor"):
        yield from _other_parts(job, kind)
    if kind in ("post", "rail"):
        yield _closer(job)
    if kind in ("post", "anchor", "cable"):
        yield _slacker(job)


def _other_parts(job: Job, key: str) -> Iterator[_Trial]:
    """Profiles of the same kind that are stronger, the weakest first."""
    catalog = Catalog.standard()
    own = getattr(job.system, key)
    found = [catalog.get(_KEYS[key], name) for name in catalog.names(_KEYS[key])]
    found = [one for one in found if one.name != own.name]
    if key != "anchor":
        found = [one for one in found if _size(one) > _size(own)]
    for profile in sorted(found, key=_size):
        system = replace(job.system, **{key: profile})
        needed = [getattr(system, name) for name in type(system).__slots__ if name != "materials"]
        system = replace(system, materials=catalog.materials(*needed))
        yield _Trial(
            f"take {key} {profile.name}, the next of the catalogue that passes",
            Edit(f"system.{key}", profile.name),
            replace(job, system=system),
        )


def _size(profile: Profile) -> float:
    """What profiles of a kind are ordered by: section modulus, or diameter."""
    if isinstance(profile, Post | Rail):
        section = tube(profile.width_mm, profile.depth_mm, profile.wall_mm, profile.corner_mm)
        values = section_values(section)
        return min(values.about_x.elastic, values.about_y.elastic)
    return profile.diameter_mm if isinstance(profile, Anchor) else 0.0


def _closer(job: Job) -> _Trial:
    spacing = job.guard.max_post_spacing_mm * _CLOSER
    text = format_length_with_unit(spacing, job.metric)
    guard = replace(job.guard, max_post_spacing_mm=spacing)
    return _Trial(
        f"put posts no more than {text} apart",
        Edit("guard.max_post_spacing", text),
        replace(job, guard=guard),
    )


def _slacker(job: Job) -> _Trial:
    if job.metric:
        tension, step, unit = job.guard.tension_n, 10.0, "N"
    else:
        tension, step, unit = job.guard.tension_n / _LBF, 5.0, "lbf"
    value = tension * _SLACKER // step * step
    newtons = value * (1.0 if job.metric else _LBF)
    text = f"{value:g} {unit}"
    return _Trial(
        f"set the cables to {text}, if the openings still hold",
        Edit("guard.tension", text),
        replace(job, guard=replace(job.guard, tension_n=newtons)),
    )
