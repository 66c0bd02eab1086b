"""Finding profiles: by name only, the first folder wins, only the file asked for is read."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from generator.catalog import KINDS, Catalog, UnknownProfile, shipped
from generator.catalog import load as loading
from generator.catalog.tables import Post
from generator.errors import InputError

PLAIN = """\
description: My post
invented: true
material: al-6061-t6
width: 3 in
wall: 1/4 in
plate: 6 in
plate_thickness: 1/2 in
bolt_spacing: 5 in
bolt_hole: 9/16 in
nosing_margin: 1/4 in
hole_clearance: 1/32 in
"""


def mine(folder: Path, name: str = "al-square-2.5", text: str = PLAIN) -> Path:
    """A user's folder with one post."""
    (folder / "posts").mkdir(parents=True, exist_ok=True)
    (folder / "posts" / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder


def test_users_folder_wins_and_the_rest_stays(tmp_path: Path) -> None:
    catalog = Catalog.standard((mine(tmp_path),))
    post = catalog.get("posts", "al-square-2.5")
    assert post.width_mm == pytest.approx(76.2)
    assert post.file == f"{tmp_path.as_posix()}/posts/al-square-2.5.yaml"
    assert catalog.get("posts", "al-square-2").file == "profiles/posts/al-square-2.yaml"


def test_the_first_of_two_folders_wins(tmp_path: Path) -> None:
    first = mine(tmp_path / "a", text=PLAIN.replace("My post", "First"))
    second = mine(tmp_path / "b", text=PLAIN.replace("My post", "Second"))
    assert Catalog((first, second)).get("posts", "al-square-2.5").description == "First"
    assert Catalog((second, first)).get("posts", "al-square-2.5").description == "Second"


def test_names_are_those_of_all_folders_each_once(tmp_path: Path) -> None:
    folder = mine(mine(tmp_path), name="own-3")
    (folder / "posts" / "Not A Name.yaml").write_text("", encoding="utf-8")
    (folder / "posts" / "readme.txt").write_text("", encoding="utf-8")
    names = Catalog.standard((folder,)).names("posts")
    shipped = (
        "al-square-2", "al-square-2.5", "al-square-60",
        "steel-square-2", "steel-square-2.5", "steel-square-60",
    )  # fmt: skip
    assert names == tuple(sorted((*shipped, "own-3")))


def test_only_the_file_that_is_named_is_read(tmp_path: Path) -> None:
    folder = mine(mine(tmp_path), name="broken", text="wall: [1, 2\n\tplate: {")
    catalog = Catalog((folder,))
    assert isinstance(catalog.get("posts", "al-square-2.5"), Post)
    assert "broken" in catalog.names("posts")
    with pytest.raises(InputError):
        catalog.get("posts", "broken")


def test_a_file_is_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[Path] = []

    def counted(path: Path, *, shown_as: str) -> object:
        read.append(path)
        return reader(path, shown_as=shown_as)

    reader = loading.read_yaml_leniently
    monkeypatch.setattr(loading, "read_yaml_leniently", counted)
    catalog = Catalog((mine(tmp_path),))
    first = catalog.get("posts", "al-square-2.5")
    assert catalog.get("posts", "al-square-2.5") is first
    assert read == [tmp_path / "posts" / "al-square-2.5.yaml"]
    assert Catalog((tmp_path,)).get("posts", "al-square-2.5") is not first


@pytest.mark.parametrize(
    "name",
    [
        "../posts/al-square-2.5",
        "..",
        ".",
        "",
        "/etc/passwd",
        "al-square-2.5/",
        "al-square-2.5.yaml/..",
        "sub/al-square-2.5",
        "sub\\al-square-2.5",
        "AL-SQUARE-2.5",
        "al-square-2.5\n",
        "al-square-2.5\0",
        "~root",
        "-al",
        "*",
        "a" * 300,
    ],
)
def test_a_name_is_never_a_path(tmp_path: Path, name: str) -> None:
    folder = mine(tmp_path)
    mine(tmp_path / "posts", name="al-square-2.5")
    shutil.copytree(folder / "posts", folder / "posts" / "sub", dirs_exist_ok=True)
    with pytest.raises(UnknownProfile) as caught:
        Catalog((folder,)).get("posts", name)
    assert caught.value.known == ("al-square-2.5",)


def test_unknown_name_tells_the_nearest_and_the_known() -> None:
    with pytest.raises(UnknownProfile) as caught:
        Catalog.standard().get("rails", "al-flat-2.5x15")
    error = caught.value
    assert (error.kind, error.name, error.nearest) == ("rails", "al-flat-2.5x15", "al-flat-2.5x1.5")
    assert str(error) == (
        "no rail named al-flat-2.5x15; did you mean al-flat-2.5x1.5? "
        "known: al-flat-2.5x1.5, al-flat-60x40"
    )


def test_nothing_known(tmp_path: Path) -> None:
    with pytest.raises(UnknownProfile, match="no rule set named irc-2021; none is known"):
        Catalog((tmp_path,)).rules("irc-2021")


def test_unknown_kind_is_a_fault_of_the_caller() -> None:
    catalog = Catalog.standard()
    with pytest.raises(ValueError, match="no kind of profile named widgets"):
        catalog.get("widgets", "al-saddle")
    with pytest.raises(ValueError, match="no kind of profile named"):
        catalog.names("..")


@pytest.mark.parametrize("name", ["absent", "a" * 300, "nul\0"])
def test_missing_folder_is_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="read no such folder; accepted a folder of profiles"):
        Catalog.standard((tmp_path / name,))


def test_find_gives_every_kind_of_that_name(tmp_path: Path) -> None:
    folder = mine(tmp_path, name="ss-316")
    found = Catalog.standard((folder,)).find("ss-316")
    assert [type(profile).__name__ for profile in found] == ["Post", "Material"]
    assert Catalog.standard().find("nothing-such") == ()
    assert Catalog.standard().find("../rules/irc-2021") == ()


def test_materials_are_those_named_each_once() -> None:
    catalog = Catalog.standard()
    post, rail = catalog.get("posts", "al-square-2.5"), catalog.get("rails", "al-flat-2.5x1.5")
    cable = catalog.get("cables", "ss316-1x19-1_8")
    names = [material.name for material in catalog.materials(post, rail, cable)]
    assert names == ["al-6061-t6", "ss-316"]


def test_unknown_material_is_told(tmp_path: Path) -> None:
    folder = mine(tmp_path, text=PLAIN.replace("al-6061-t6", "al-6061-t7"))
    catalog = Catalog.standard((folder,))
    with pytest.raises(UnknownProfile, match="no material named al-6061-t7; did you mean al-6061-"):
        catalog.materials(catalog.get("posts", "al-square-2.5"))


def test_shipped_profiles_are_found_beside_the_package_and_inside_an_installed_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert shipped() == Path(loading.__file__).parents[2] / "profiles"
    package = tmp_path / "generator"
    (package / "profiles_data").mkdir(parents=True)
    monkeypatch.setattr(loading, "__file__", str(package / "catalog" / "load.py"))
    assert shipped() == package / "profiles_data"


def test_the_package_loads_nothing_until_it_is_used() -> None:
    code = (
        "import sys, generator.catalog\n"
        "print(sorted({'yaml', 'difflib', 'generator.textfile', 'generator.catalog.load'}"
        " & set(sys.modules)))\n"
        "from generator.catalog import Catalog\n"
        "Catalog.standard().rules('irc-2021')\n"
        "print(sorted({'difflib', 'pydantic', 'numpy', 'cadquery', 'OCP'} & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split("\n") == ["[]", "[]", ""]


def test_kinds_are_the_folders() -> None:
    expected = "posts rails brackets cables fittings anchors spacers materials rules tables "
    expected += "woods safety factors"
    assert set(KINDS) == set(expected.split())


def test_the_package_has_no_other_names() -> None:
    import generator.catalog as package

    assert all(getattr(package, name) for name in package.__all__)
    with pytest.raises(AttributeError, match="has no attribute 'widgets'"):
        package.widgets  # noqa: B018


def test_a_folder_of_the_user_without_profiles_is_refused(tmp_path):
    # Such as post/ in place of posts/: nothing of it would be used, and nobody told.
    (tmp_path / "post").mkdir()
    with pytest.raises(InputError, match="without a folder of profiles"):
        Catalog.standard((tmp_path,))
    (tmp_path / "posts").mkdir()
    assert Catalog.standard((tmp_path,)).folders[0] == tmp_path
