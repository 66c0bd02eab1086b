"""The job spec: text read into a validated `Job`."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from generator.spec.models import job_schema
    from generator.spec.read import job_of, placed, read_job
    from generator.spec.template import starter

__all__ = ["job_of", "job_schema", "placed", "read_job", "starter"]

_HOMES = {
    "job_of": "read",
    "job_schema": "models",
    "placed": "read",
    "read_job": "read",
    "starter": "template",
}


def __getattr__(name: str) -> object:
    """A public name, loaded when first asked for: the tables of a job need no Pydantic."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    globals()[name] = value
    return value
