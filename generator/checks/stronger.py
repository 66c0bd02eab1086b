"""What would carry a load that is too great: changes of the job, tried one by one.

A change is offered only where the whole job, laid out and checked anew with it, fails nowhere that
it did not fail before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from generator.catalog.fit import misfits
from generator.catalog.load import Catalog
from generator.catalog.tables import Anchor, Bracket, Post, Profile, Rail
from generator.errors import StringlineError
from generator.frozen import dataclass
from generator.layout.lay_out import layout
from generator.parts.assembly import Assembly
from generator.parts.build import assemble
from generator.parts.report import SEVERITIES, Edit
from generator.parts.shapes import tube
from generator.spec.job import Job, System
from generator.strength.result import Strength
from generator.strength.sections import section_values
from generator.strength.summary import assess
from generator.units import format_length_with_unit

_LBF = 4.4482216152605
# Shares of the spacing and of the tension that are tried, in this order.
_SHARES = (0.75, 0.5, 0.35)
# The last of them where all else has been made stronger.
_LEAST_SHARE = 0.2
# Posts, rails and anchors that are tried at most, the weakest first.
_MOST = 6
_KEYS = {"post": "posts", "rail": "rails", "anchor": "anchors", "bracket": "brackets"}
_PROP = "let the top rail prop the end posts, screwed to both as a strut (strength.propping: rail)"
_PROPPING = Edit("strength.propping", "rail")


@dataclass(frozen=True, slots=True)
class Remedy:
    """Words, and the same as changes of the spec where it was found to pass."""

    words: str
    edits: tuple[Edit, ...]


@dataclass(frozen=True, slots=True)
class _Trial:
    words: str
    edits: tuple[Edit, ...]
    job: Job


@dataclass(frozen=True, slots=True)
class _Tried:
    """A job laid out anew: codes of strength that fail, and its parts for the other checks."""

    failing: frozenset[str]
    assembly: Assembly


class Remedies:
    """Remedies of one job. What one code has tried is not laid out again for another."""

    def __init__(self, assembly: Assembly, found: Strength) -> None:
        self.job, self.assembly = assembly.job, assembly
        # What but follows from another is a note; by itself it would be a new failure.
        self.before = _failing(found) - found.causes.keys()
        self._tried: dict[tuple[Edit, ...], _Tried | None] = {}
        self._troubles: frozenset[tuple[str, str]] | None = None

    def of(self, code: str) -> Remedy:
        """The first change after which a code passes and nothing fails or warns that did not.

        Where none does, words on what has to change, without an edit.
        """
        for trial in _trials(self.job, code):
            tried = self._laid_out(trial)
            if tried is None or code in tried.failing or not tried.failing <= self.before:
                continue
            if _troubles(tried.assembly) <= self._had():
                return Remedy(trial.words, trial.edits)
        return Remedy(_UNTRIED[code.split(".")[0]], ())

    def _laid_out(self, trial: _Trial) -> _Tried | None:
        """None where the job cannot be laid out so."""
        if trial.edits not in self._tried:
            try:
                assembly = assemble(layout(trial.job))
                self._tried[trial.edits] = _Tried(_failing(assess(assembly)), assembly)
            except StringlineError:
                self._tried[trial.edits] = None
        return self._tried[trial.edits]

    def _had(self) -> frozenset[tuple[str, str]]:
        if self._troubles is None:
            self._troubles = _troubles(self.assembly)
        return self._troubles


_UNTRIED = {
    "post": "no post of the catalogue passes: let the top rail prop the end posts and say so "
    "(strength.propping), lower guard.tension, split long panels, make bases that give less, or "
    "have the posts designed",
    "rail": "no rail or bracket of the catalogue passes: put posts closer, or have the joints "
    "designed",
    "anchor": "no anchor of the catalogue passes: larger washers or plates under the blocking, a "
    "larger base plate, a lower guard.tension, or anchors as designed for this job",
    "cable": "lower guard.tension, make panels shorter or end posts stiffer, or take a fitting "
    "with more thread",
}


def _failing(found: Strength) -> frozenset[str]:
    return frozenset(code for code, (_, c) in found.worst.items() if c.fails)


def _troubles(assembly: Assembly) -> frozenset[tuple[str, str]]:
    """(severity, code) of what the other checks find, from a warning up."""
    from generator.checks.all_checks import run_checks  # it is what calls this module

    least = SEVERITIES.index("warn")
    found = run_checks(assembly).findings
    return frozenset((f.severity, f.code) for f in found if SEVERITIES.index(f.severity) >= least)


def _trials(job: Job, code: str) -> Iterator[_Trial]:
    """Changes in the order in which they are tried."""
    kind = code.split(".")[0]
    free = job.strength.propping == "none" and kind in ("post", "cable")
    propped = replace(job, strength=replace(job.strength, propping="rail"))
    if code == "rail.splice":
        yield from _other_parts(job, "bracket")
    elif kind in ("post", "rail", "anchor"):
        yield from _other_parts(job, kind)
    if free:
        yield _Trial(_PROP, (_PROPPING,), propped)
    if kind in ("post", "rail"):
        yield from (_closer(job, share) for share in _SHARES)
    if kind in ("post", "anchor", "cable"):
        yield from (_slacker(job, share) for share in _SHARES)
    if free and kind == "post":
        for trial in _other_parts(propped, "post"):
            yield replace(
                trial, words=f"{trial.words}, and {_PROP}", edits=(*trial.edits, _PROPPING)
            )
    if kind in ("post", "anchor", "cable"):
        yield from _together(job)


def _together(job: Job) -> Iterator[_Trial]:
    """The strongest parts that fit one another, propped, with less and less tension.

    For a job that no single change mends.
    """
    stronger = _strongest(job)
    if stronger is None:
        return
    changed = {key: one for key, one in stronger.items() if one != getattr(job.system, key)}
    system = _with_materials(replace(job.system, **changed), Catalog.standard(job.profiles))
    best = replace(job, system=system, strength=replace(job.strength, propping="rail"))
    edits = tuple(Edit(f"system.{key}", one.name) for key, one in changed.items())
    names = ", ".join(f"{key} {one.name}" for key, one in changed.items())
    words = f"take {names}" if changed else "leave the parts"
    if job.strength.propping == "none":
        edits, words = (*edits, _PROPPING), f"{words}; {_PROP}"
    for share in (1.0, *_SHARES, _LEAST_SHARE):
        slack = _slacker(best, share)
        if share == 1.0 and edits:
            yield _Trial(words, edits, best)
        elif share < 1.0 and edits:
            yield _Trial(f"{words}; {slack.words}", (*edits, *slack.edits), slack.job)


def _strongest(job: Job) -> dict[str, Profile] | None:
    """Post, fitting, anchor and bracket: the strongest post for which the others are to be had."""
    catalog, own = Catalog.standard(job.profiles), job.system
    parts: dict[str, list[Profile]] = {}
    for key in ("post", "anchor", "bracket"):
        found = [catalog.get(_KEYS[key], name) for name in catalog.names(_KEYS[key])]
        found = [one for one in found if _own_units(one, job.metric)]
        mine = getattr(own, key)
        parts[key] = sorted([mine, *(one for one in found if one != mine)], key=_size, reverse=True)
    fittings = [catalog.get("fittings", name) for name in catalog.names("fittings")]
    fittings = sorted([own.fitting, *fittings], key=lambda one: one.overall_mm, reverse=True)
    bolts = [one for one in parts["anchor"] if getattr(one, "style", "") == "through-bolt"]
    for post in parts["post"]:
        for fitting, anchor, bracket in product(fittings, bolts, parts["bracket"]):
            found = {"post": post, "fitting": fitting, "anchor": anchor, "bracket": bracket}
            if not _misfits(replace(own, **found)):
                return found
    return None


def _with_materials(system: System, catalog: Catalog) -> System:
    """A system with the materials that its parts are of."""
    needed = [getattr(system, name) for name in type(system).__slots__ if name != "materials"]
    return replace(system, materials=catalog.materials(*needed))


def _other_parts(job: Job, key: str) -> Iterator[_Trial]:
    """Profiles of the same kind that fit the others and are stronger, the weakest first."""
    catalog = Catalog.standard(job.profiles)
    own = getattr(job.system, key)
    found = [catalog.get(_KEYS[key], name) for name in catalog.names(_KEYS[key])]
    found = [one for one in found if one != own and _own_units(one, job.metric)]
    if key != "anchor":
        found = [one for one in found if _size(one) > _size(own)]
    fitting = []
    for profile in sorted(found, key=_size):
        system = replace(job.system, **{key: profile})
        if not _misfits(system):
            fitting.append((profile, system))
    for profile, system in fitting[:_MOST]:
        system = _with_materials(system, catalog)
        yield _Trial(
            f"take {key} {profile.name}, the next of the catalogue that passes",
            (Edit(f"system.{key}", profile.name),),
            replace(job, system=system),
        )


def _own_units(profile: Profile, metric: bool) -> bool:
    """Whether a profile is sold in whole mm, or in sixteenths of an inch, as the job is told."""
    if isinstance(profile, Anchor):
        size = profile.diameter_mm
    else:
        assert isinstance(profile, Post | Rail | Bracket)
        size = profile.width_mm
    step = 1.0 if metric else 25.4 / 16
    return abs(size / step - round(size / step)) < 1e-6


def _misfits(system: System) -> bool:
    """Whether the parts cannot be put together, as the reader of the job file would say."""
    return bool(
        misfits(
            system.post, system.rail, system.bracket, system.cable, system.fitting, system.anchor,
            system.spacer,
        )
    )  # fmt: skip


def _size(profile: Profile) -> float:
    """What profiles of a kind are ordered by: bending strength, screws, or diameter."""
    if isinstance(profile, Post | Rail):
        section = tube(profile.width_mm, profile.depth_mm, profile.wall_mm, profile.corner_mm)
        values = section_values(section)
        # Steel bears three times what aluminium does beside its weld, whatever its temper.
        metal = 1.0 if profile.material.startswith("al-") else 3.0
        return metal * min(values.about_x.elastic, values.about_y.elastic)
    if isinstance(profile, Bracket):
        return float(profile.screws)
    return profile.diameter_mm if isinstance(profile, Anchor) else 0.0


def _closer(job: Job, share: float) -> _Trial:
    spacing = job.guard.max_post_spacing_mm * share
    text = format_length_with_unit(spacing, job.metric)
    guard = replace(job.guard, max_post_spacing_mm=spacing)
    return _Trial(
        f"put posts no more than {text} apart",
        (Edit("guard.max_post_spacing", text),),
        replace(job, guard=guard),
    )


def _slacker(job: Job, share: float) -> _Trial:
    if job.metric:
        tension, step, unit = job.guard.tension_n, 10.0, "N"
    else:
        tension, step, unit = job.guard.tension_n / _LBF, 5.0, "lbf"
    value = max(tension * share // step * step, step)
    newtons = value * (1.0 if job.metric else _LBF)
    text = f"{value:g} {unit}"
    return _Trial(
        f"set the cables to {text}, if the openings still hold",
        (Edit("guard.tension", text),),
        replace(job, guard=replace(job.guard, tension_n=newtons)),
    )
