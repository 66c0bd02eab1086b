"""`dataclass` for frozen classes, made in a third of the time that the standard
library takes.

A run of `check` makes two hundred such classes before it reads the first line of a spec; the
standard decorator compiles six methods anew for each of them, a sixth of the run. Here the
methods are shared functions over the class's fields and only `__init__` is compiled. The classes
are dataclasses all the same: `fields`, `replace`, matching and inheritance work as usual.
"""

from __future__ import annotations

from operator import attrgetter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import dataclass
else:
    import dataclasses

    def dataclass(*, frozen: bool, slots: bool = False, eq: bool = True, order: bool = False):
        """As the standard one of the same name; with `order`, objects can be sorted (`<`).

        Of `field(...)` only `default` and `compare` are known; others raise TypeError.
        """
        if not frozen:
            raise TypeError("made for frozen classes")

        def make(plain: type) -> type:
            plain.__doc__ = plain.__doc__ or plain.__name__  # else the signature is written out
            made = dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)(plain)
            fields = dataclasses.fields(made)
            made.__init__ = _initialiser(made, fields, slots)
            _freeze(made, tuple(f.name for f in fields))
            if eq:
                _compare(made, tuple(f.name for f in fields if f.compare), order)
            return made

        return make

    def _initialiser(made: type, fields: tuple[dataclasses.Field, ...], slots: bool):
        """`__init__` with one argument a field, which writes past the refusing `__setattr__`."""
        scope: dict[str, object] = {}
        heads, body = ["self"], []
        for f in fields:
            if f.default_factory is not dataclasses.MISSING or not f.init:
                raise TypeError(f"{made.__name__}.{f.name}: only plain fields and defaults")
            if slots:
                scope[f"set_{f.name}"] = getattr(made, f.name).__set__
            heads.append(f.name)
            if f.default is not dataclasses.MISSING:
                scope[f"default_{f.name}"] = f.default
                heads[-1] += f"=default_{f.name}"
            body.append(
                f" set_{f.name}(self, {f.name})"
                if slots
                else f" self.__dict__[{f.name!r}] = {f.name}"
            )
        if hasattr(made, "__post_init__"):
            body.append(" self.__post_init__()")
        exec(f"def __init__({', '.join(heads)}):\n" + "\n".join(body or [" pass"]), scope)  # noqa: S102 (names of fields)
        init = scope["__init__"]
        init.__qualname__ = f"{made.__qualname__}.__init__"
        return init

    def _freeze(made: type, names: tuple[str, ...]) -> None:
        """No field can be written or deleted; copies and pickles go through `__init__`."""

        def refuse(_self, name, *_value):
            raise dataclasses.FrozenInstanceError(f"cannot change field {name!r}")

        def reduced(self):
            return type(self), tuple(getattr(self, name) for name in names)

        def shown(self):
            values = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
            return f"{type(self).__qualname__}({values})"

        made.__setattr__ = made.__delattr__ = refuse
        made.__reduce__ = reduced
        if "__repr__" not in made.__dict__:
            made.__repr__ = shown

    def _compare(made: type, names: tuple[str, ...], order: bool) -> None:
        """Equality, order and hash of the fields, between objects of one class."""
        if len(names) > 1:
            values = attrgetter(*names)
        else:

            def values(self):
                return tuple(getattr(self, name) for name in names)

        def equal(self, other):
            if other.__class__ is not made:
                return NotImplemented
            return self is other or values(self) == values(other)

        def hashed(self):
            return hash(values(self))

        made.__eq__ = equal
        if "__hash__" not in made.__dict__:
            made.__hash__ = hashed
        if order:
            made.__lt__ = lambda self, other: values(self) < values(other)
