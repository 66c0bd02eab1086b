"""What every mapping of a spec shares: its base, the three ways of a field, words for a mapping."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from generator.spec.fields import refuse


def need(what: str) -> Any:
    """A required field; `what` says what it is, in messages and in the schema."""
    return Field(description=what)


def given(default: object, what: str) -> Any:
    """A field with a default, written as in a spec."""
    return Field(default=default, description=what)


def absent(what: str, longest: int | None = None) -> Any:
    """A field that may be left out and is None then; it cannot be written as nothing.

    `longest` is given for a list: it has at least one item and at most so many.
    """
    return Field(
        default_factory=lambda: None,
        validate_default=False,
        description=what,
        min_length=longest and 1,
        max_length=longest,
    )


class Part(BaseModel):
    """Base of every mapping in a spec: no unknown keys, nothing converted by itself."""

    model_config = ConfigDict(
        strict=True, extra="forbid", frozen=True, validate_default=True, defer_build=True
    )


class OrWord:
    """Lets a word stand for a mapping, such as `closed: pair` for `closed: {corner: pair}`."""

    def __init__(self, words: Mapping[str, Mapping[str, object]]) -> None:
        self.words = words

    def _read(self, keys: str, read: Any, inner: Any) -> Any:
        if isinstance(read, str) and read in self.words:
            read = dict(self.words[read])
        if not isinstance(read, dict):
            *first, last = self.words
            words = f"{', '.join(first)} or {last}" if first else last
            raise refuse(f"{words}, or a mapping with the keys {keys}")
        return inner(read)

    def __get_pydantic_core_schema__(
        self, source: type[Part], handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        read = partial(self._read, ", ".join(source.model_fields))
        return core_schema.no_info_wrap_validator_function(read, handler(source))

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"anyOf": [{"enum": list(self.words)}, handler(schema)]}
