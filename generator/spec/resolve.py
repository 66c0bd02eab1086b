"""Names of profiles in a spec into the profiles themselves, from the job's own folders and ours."""

from __future__ import annotations

from pathlib import Path

from pydantic_core import PydanticCustomError

from generator.catalog.load import Catalog, UnknownProfile
from generator.catalog.profiles import override
from generator.catalog.tables import Profile, RuleSet
from generator.errors import InputError, Problem
from generator.frozen import dataclass
from generator.spec.amendments import amended_rules
from generator.spec.fields import Ref, read_name, read_ref
from generator.spec.job import System
from generator.spec.models import SystemSpec
from generator.spec.plain import plain_values
from generator.textfile import Document, Place, shown

KINDS = {
    "post": "posts",
    "rail": "rails",
    "bracket": "brackets",
    "cable": "cables",
    "fitting": "fittings",
    "anchor": "anchors",
    "spacer": "spacers",
}
"""Keys of `system`, and the folder of profiles that each names one of."""


@dataclass(frozen=True, slots=True)
class Resolved:
    """What the names of a job stand for; `folders` hold profiles that win over those shipped."""

    system: System
    rules: RuleSet
    folders: tuple[Path, ...]


class _Names:
    """The names of one document, looked up; problems are gathered, none stops the next."""

    def __init__(self, document: Document, folders: tuple[Path, ...]) -> None:
        self.document = document
        self.folders = folders
        self.problems: list[Problem] = []

    def section(self, key: str) -> dict[str, object] | None:
        """A mapping at the top of the spec, None where there is none."""
        data = self.document.data
        found = data.get(key) if isinstance(data, dict) else None
        return found if isinstance(found, dict) else None

    def catalog(self) -> Catalog | None:
        """The folders given with the call, then the spec's own, then those shipped."""
        own = self._own_folder()
        if own is not None and not _is_folder(own):
            read = f"{shown(str(own))}, which is no folder"
            self._fault(("profiles",), read, "an existing folder, seen from this file")
            return None
        try:
            return Catalog.standard((*self.folders, *([own] if own else [])))
        except InputError as error:
            self.problems += error.problems
            return None

    def _own_folder(self) -> Path | None:
        data = self.document.data
        read = data.get("profiles") if isinstance(data, dict) else None
        if not isinstance(read, str) or not read.strip() or not read.isprintable():
            return None
        return Path(self.document.file).parent / read

    def _fault(self, path: Place, read: str, accepted: str) -> None:
        self.problems.append(self.document.problem(path, read, accepted))

    def rules(self, catalog: Catalog) -> RuleSet | None:
        """The rule set of the job, with the limits that the job amends in place."""
        try:
            name = read_name((self.section("job") or {}).get("rules"))
        except PydanticCustomError:
            return None  # the models report it
        found = self._get(catalog, "rules", name, ("job", "rules"))
        if not isinstance(found, RuleSet):
            return None
        source = plain_values(self.document)
        new = amended_rules(source, found)
        self.problems += source.problems
        return new

    def wood(self, catalog: Catalog) -> None:
        """Reports the wood of the joists where the catalogue has none of that name.

        A name that is only misspelt would leave out all checks of what holds the anchors.
        """
        joists = (self.section("structure") or {}).get("joists")
        try:
            name = read_name(joists.get("species")) if isinstance(joists, dict) else None
        except PydanticCustomError:
            return  # the models report it
        if name is not None and name not in catalog.names("woods"):
            known = ", ".join(catalog.names("woods"))
            accepted = f"one of {known}; or a profile of your own in a folder woods"
            self._fault(("structure", "joists", "species"), name, accepted)

    def profile(self, catalog: Catalog, key: str) -> Profile | None:
        """The profile that a key of `system` names, with the job's own values in place."""
        system = self.section("system") or {}
        path: Place = ("system", key)
        try:
            ref = read_ref(system.get(key, SystemSpec.model_fields[key].default))
        except PydanticCustomError:
            return None  # the models report it
        inline = isinstance(system.get(key), dict)
        found = self._get(catalog, KINDS[key], ref.name, (*path, "name") if inline else path)
        if found is not None and ref.values:
            found = self._overridden(found, ref, path)
        return found if self._has_material(catalog, found, path) else None

    def _overridden(self, profile: Profile, ref: Ref, path: Place) -> Profile | None:
        try:
            return override(profile, ref.values, self.document, path)
        except InputError as error:
            self.problems += error.problems
            return None

    def _has_material(self, catalog: Catalog, profile: Profile | None, path: Place) -> bool:
        """Whether the material of a profile can be had; reported where it cannot."""
        name = getattr(profile, "material", None)
        if name is None:
            return False
        given = self.document.marks.get((*path, "material"))
        return (
            self._get(catalog, "materials", name, (*path, "material") if given else path)
            is not None
        )

    def _get(self, catalog: Catalog, kind: str, name: str, path: Place) -> Profile | None:
        try:
            return catalog.get(kind, name)
        except UnknownProfile as unknown:
            self._fault(path, name, _known_names(unknown))
        except InputError as error:
            self.problems += error.problems
        except OSError as error:
            self._fault(path, f"{name}: {error.strerror}", "a profile that can be read")
        return None


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:  # too long a name, or no right to look
        return False


def _known_names(unknown: UnknownProfile) -> str:
    if unknown.nearest:
        return f"{unknown.nearest}, the nearest name, or another that `stringline catalog` lists"
    return "one of " + ", ".join(unknown.known) if unknown.known else "a profile: there is none"


def resolve(document: Document, folders: tuple[Path, ...]) -> tuple[Resolved | None, list[Problem]]:
    """Profiles and rule set of a spec; None where any cannot be had, and why.

    Names that are no names are left to the models to report.
    """
    names = _Names(document, folders)
    catalog = names.catalog()
    if catalog is None:
        return None, names.problems
    rules = names.rules(catalog)
    names.wood(catalog)
    if names.section("system") is None:
        return None, names.problems
    found = {key: names.profile(catalog, key) for key in KINDS}
    parts = {key: part for key, part in found.items() if part is not None}
    if rules is None or len(parts) < len(KINDS):
        return None, names.problems
    system = System(**parts, materials=catalog.materials(*parts.values()))  # pyright: ignore[reportArgumentType]
    return Resolved(system, rules, catalog.folders[:-1]), names.problems
