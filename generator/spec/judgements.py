"""What a job says of findings: those that it accepts, and severities in place of a code's own."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from generator.catalog.profiles import JOB_SPEC
from generator.catalog.reader import nearest
from generator.catalog.tables import RuleSet, SeverityChange
from generator.errors import Problem
from generator.spec.job import Acceptance
from generator.spec.models import AcceptanceSpec, SeveritySpec
from generator.spec.plain import Plain, plain_values
from generator.textfile import Document, Place

_LISTER = "`stringline explain` lists the codes"


def judgement_problems(
    document: Document, rules: RuleSet | None, codes: Collection[str]
) -> list[Problem]:
    """Codes that there are not, in the spec and in its rule set; severities that stand twice."""
    source = plain_values(document)
    for path, code in _codes(source):
        if code not in codes:
            source.refuse(path, _known(code, codes))
    seen: dict[str, int] = {}
    for (_, index, _key), code in _codes(source, "severities"):
        first = seen.setdefault(code, int(index))
        if first != index:
            source.refuse(("severities", index, "code"), f"each once; severities[{first}] has it")
    for change in rules.severities if rules else ():
        if change.code not in codes:
            read = f"{rules.name if rules else ''}, whose severities name {change.code}"
            source.refuse(("job", "rules"), _known(change.code, codes), read)
    return source.problems


def _codes(source: Plain, *keys: str) -> Iterator[tuple[Place, str]]:
    """The code of every item that has a readable one, with its place."""
    for key in keys or ("severities", "accepted"):
        for index, item in enumerate(source.items((key,))):
            code = item.get("code") if isinstance(item, dict) else None
            if isinstance(code, str):
                yield (key, index, "code"), code


def _known(code: str, codes: Collection[str]) -> str:
    near = nearest(code, codes)
    return f"{near}, the nearest code; {_LISTER}" if near else f"a code: {_LISTER}"


def frozen_acceptances(specs: list[AcceptanceSpec] | None) -> tuple[Acceptance, ...]:
    """Acceptances in the order of the file."""
    return tuple(
        Acceptance(f"accepted[{index}]", spec.code, spec.where, spec.reason, spec.role)
        for index, spec in enumerate(specs or [])
    )


def frozen_severities(specs: list[SeveritySpec] | None) -> tuple[SeverityChange, ...]:
    """Severities that the job gives, in the order of the file."""
    return tuple(
        SeverityChange(spec.code, spec.severity, spec.reason, spec.clause, JOB_SPEC)
        for spec in specs or []
    )
