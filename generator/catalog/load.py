"""Finds profiles by kind and name in folders, reads only the files that are asked for."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, overload

from generator.catalog.fields import NAME
from generator.catalog.kinds import PARTS, WORDS
from generator.catalog.profiles import override, read_profile
from generator.catalog.reader import Reader, nearest
from generator.catalog.rules import NoBase, read_rules
from generator.catalog.tables import (
    Anchor,
    Bracket,
    Cable,
    Factors,
    Fitting,
    Material,
    Post,
    Profile,
    Rail,
    RuleSet,
    Safety,
    Spacer,
    WireTables,
    Wood,
)
from generator.catalog.wire_rows import read_tables
from generator.errors import InputError, Problem, StringlineError
from generator.textfile import read_yaml_leniently

__all__ = ["KINDS", "Catalog", "UnknownProfile", "override", "shipped"]

KINDS: tuple[str, ...] = tuple(WORDS)
_FOLDERS = "accepted a folder of profiles, with posts/, rails/ and so on in it"
"""Kinds of profile, which are the folder names under profiles/."""

_SUFFIX = ".yaml"
_MOST_BASES = 8


class UnknownProfile(StringlineError):
    """No folder of the catalogue holds a profile of that kind and name.

    `known` are the names there are; `nearest` is the one most like the name asked for, or empty.
    """

    def __init__(self, kind: str, name: str, known: tuple[str, ...]) -> None:
        self.kind, self.name, self.known = kind, name, known
        self.nearest = nearest(name, known)
        super().__init__(f"no {WORDS.get(kind, kind)} named {name}; {self.accepted}")

    @property
    def accepted(self) -> str:
        """What would be accepted in its place, for a message."""
        hint = f"did you mean {self.nearest}? " if self.nearest else ""
        return hint + ("known: " + ", ".join(self.known) if self.known else "none is known")


def shipped() -> Path:
    """Folder of the profiles that come with the program.

    In an installed wheel they lie inside the package, in a source checkout beside it.
    """
    package = Path(__file__).resolve().parent.parent
    inside = package / "profiles_data"
    return inside if inside.is_dir() else package.parent / "profiles"


class Catalog:
    """Profiles of several folders; where two hold one name, the folder named first wins.

    Files are read when asked for, each once in the life of the catalogue.
    """

    def __init__(self, folders: tuple[Path, ...]) -> None:
        """
        Raises:
            InputError: a folder is not there.
        """
        missing = [folder for folder in folders if not _is_folder(folder)]
        if missing:
            raise InputError(
                [
                    Problem(str(folder), 0, 0, "", "read no such folder", _FOLDERS)
                    for folder in missing
                ]
            )
        self.folders = folders
        self._read: dict[tuple[str, str], Profile] = {}
        self._extending: list[str] = []

    @classmethod
    def standard(cls, user_folders: tuple[Path, ...] = ()) -> Catalog:
        """The user's folders, which win, and after them the profiles that come with the program.

        Raises:
            InputError: a folder is not there, or no folder of profiles is in it.
        """
        found = cls((*user_folders, shipped()))
        bare = [f for f in user_folders if not any(_is_folder(f / kind) for kind in KINDS)]
        if bare:
            told = "read a folder without a folder of profiles"
            raise InputError([Problem(str(f), 0, 0, "", told, _FOLDERS) for f in bare])
        return found

    @overload
    def get(self, kind: Literal["posts"], name: str) -> Post: ...
    @overload
    def get(self, kind: Literal["rails"], name: str) -> Rail: ...
    @overload
    def get(self, kind: Literal["brackets"], name: str) -> Bracket: ...
    @overload
    def get(self, kind: Literal["cables"], name: str) -> Cable: ...
    @overload
    def get(self, kind: Literal["fittings"], name: str) -> Fitting: ...
    @overload
    def get(self, kind: Literal["anchors"], name: str) -> Anchor: ...
    @overload
    def get(self, kind: Literal["spacers"], name: str) -> Spacer: ...
    @overload
    def get(self, kind: Literal["materials"], name: str) -> Material: ...
    @overload
    def get(self, kind: Literal["rules"], name: str) -> RuleSet: ...
    @overload
    def get(self, kind: Literal["tables"], name: str) -> WireTables: ...
    @overload
    def get(self, kind: Literal["woods"], name: str) -> Wood: ...
    @overload
    def get(self, kind: Literal["safety"], name: str) -> Safety: ...
    @overload
    def get(self, kind: Literal["factors"], name: str) -> Factors: ...
    @overload
    def get(self, kind: str, name: str) -> Profile: ...

    def get(self, kind: str, name: str) -> Profile:
        """The profile of that kind and name.

        Raises:
            UnknownProfile: there is none, or `name` is no name (a path, for one).
            InputError: its file is faulty; every fault with its place.
            ValueError: no such kind.
        """
        if (kind, name) not in self._read:
            self._read[kind, name] = self._load(kind, name)
        return self._read[kind, name]

    def names(self, kind: str) -> tuple[str, ...]:
        """Names of that kind in all folders, sorted; no file is read.

        Raises:
            ValueError: no such kind.
        """
        _known(kind)
        found = {
            path.stem
            for folder in self.folders
            for path in (folder / kind).glob(f"*{_SUFFIX}")
            if NAME.fullmatch(path.stem)
        }
        return tuple(sorted(found))

    def rules(self, name: str) -> RuleSet:
        """The rule set of that name; raises like `get`."""
        return self.get("rules", name)

    def find(self, name: str) -> tuple[Profile, ...]:
        """Every profile of that name, of whatever kind; empty where there is none.

        Raises:
            InputError: one of their files is faulty.
        """
        return tuple(self.get(kind, name) for kind in KINDS if self._path(kind, name) is not None)

    def materials(self, *profiles: Profile) -> tuple[Material, ...]:
        """The materials that these profiles name, each once, sorted by name; raises like `get`."""
        names = {getattr(profile, "material", None) for profile in profiles} - {None}
        return tuple(self.get("materials", str(name)) for name in sorted(map(str, names)))

    def _load(self, kind: str, name: str) -> Profile:
        _known(kind)
        found = self._path(kind, name)
        if found is None:
            raise UnknownProfile(kind, name, self.names(kind))
        path, shown = found
        reader = Reader(*read_yaml_leniently(path, shown_as=shown))
        if kind == "rules":
            return self._load_rules(name, reader)
        if kind == "tables":
            return read_tables(name, reader)
        return read_profile(PARTS[kind], name, reader)

    def _load_rules(self, name: str, reader: Reader) -> RuleSet:
        """A rule set with what it takes over; each that is being read is remembered meanwhile."""
        self._extending.append(name)
        try:
            return read_rules(name, reader, self._base)
        finally:
            self._extending.pop()

    def _base(self, name: str) -> RuleSet:
        """The rule set that the one being read extends.

        Raises:
            NoBase: there is none of that name, or it extends the one being read.
            InputError: its file is faulty.
        """
        if name in self._extending:
            chain = " extends ".join((*self._extending[self._extending.index(name) :], name))
            raise NoBase(chain, "a rule set that does not come back to this one")
        if len(self._extending) > _MOST_BASES:
            raise NoBase(name, f"at most {_MOST_BASES} rule sets that extend one another")
        try:
            return self.rules(name)
        except UnknownProfile as unknown:
            near = f"{unknown.nearest}, the nearest name, or another " if unknown.nearest else ""
            raise NoBase(name, f"{near}one of {', '.join(unknown.known)}") from None

    def _path(self, kind: str, name: str) -> tuple[Path, str] | None:
        """File of a profile, and how people are told where it lies, the same on every machine."""
        if not NAME.fullmatch(name):
            return None
        for folder in self.folders:
            path = folder / kind / f"{name}{_SUFFIX}"
            if path.is_file():
                shown = "profiles" if folder == shipped() else folder.as_posix()
                return path, f"{shown}/{kind}/{name}{_SUFFIX}"
        return None


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):  # no right to look, or no name of a folder at all
        return False


def _known(kind: str) -> None:
    if kind not in WORDS:
        raise ValueError(f"no kind of profile named {kind}; one of {', '.join(KINDS)}")
