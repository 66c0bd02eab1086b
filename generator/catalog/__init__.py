"""The catalogue: profiles/ read into frozen tables, each value with its source."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from generator.catalog.load import KINDS, Catalog, UnknownProfile, override, shipped
    from generator.catalog.show import listing, page

__all__ = [
    "KINDS",
    "Catalog",
    "UnknownProfile",
    "listing",
    "override",
    "page",
    "shipped",
]

_HOMES = {"listing": "show", "page": "show"}


def __getattr__(name: str) -> object:
    """A public name, loaded when first asked for: the tables alone need no file reading."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    value = getattr(import_module(f"{__name__}.{_HOMES.get(name, 'load')}"), name)
    globals()[name] = value
    return value
