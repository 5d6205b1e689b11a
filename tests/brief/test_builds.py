"""The build book and drive files."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from explorer.brief.errors import BadInput
from explorer.brief.read import read_drive_file

if TYPE_CHECKING:
    from pathlib import Path

    from tests.brief.conftest import Bench

GOOD = """schema = 1
[[build]]
name = "mine"
architecture = "chain_winder+bar"
study = "left-3"
brief_hash = "4f1c9a"
kept_years = 2
broke = { part = "pin", how = "bent" }
guessed = ["x_mm"]
[build.values]
x_mm = 2.5
teeth = 9
metal = "stainless"
doubled = true
"""


def test_values_keep_their_kind_and_line(tmp_path: Path) -> None:
    (tmp_path / "drive.toml").write_text(GOOD)
    build = read_drive_file(tmp_path / "drive.toml")
    assert dict(build.values) == {"x_mm": 2.5, "teeth": 9, "metal": "stainless", "doubled": True}
    assert [type(v) for v in build.values.values()] == [float, int, str, bool]
    assert dict(build.lines) == {"x_mm": 11, "teeth": 12, "metal": 13, "doubled": 14}
    assert (build.study, build.brief_hash, build.file) == ("left-3", "4f1c9a", "drive.toml")
    assert build.guessed == ("x_mm",)


def test_the_same_block_is_an_entry_of_the_build_book(bench: Bench, tmp_path: Path) -> None:
    (tmp_path / "drive.toml").write_text(GOOD)
    bench.write(GOOD, "builds.toml")
    (build,) = bench.read().builds
    drive = read_drive_file(tmp_path / "drive.toml")
    assert build.values == drive.values
    assert build.architecture == drive.architecture


def test_the_example_in_a_new_build_book_reads(bench: Bench) -> None:
    text = bench.text("builds.toml")
    head, example = text.split("# [[build]]")
    bare = "\n".join(row.removeprefix("# ") for row in ("# [[build]]" + example).split("\n"))
    bench.write(head + bare, "builds.toml")
    (build,) = bench.read().builds
    assert build.name == "my first lever"
    assert "broke" not in build.values


@pytest.mark.parametrize(
    ("old", "new", "path", "says"),
    [
        ("chain_winder+bar", "chain_winder+bars", "build.mine.architecture", "chain_winder+bar"),
        ('guessed = ["x_mm"]', 'guessed = ["y_mm"]', "build.mine.guessed[1]", "no value"),
        ("x_mm = 2.5", "x_mm = nan", "build.mine.values.x_mm", "finite"),
        ("x_mm = 2.5", "x_mm = [2.5]", "build.mine.values.x_mm", "kind"),
        ('"4f1c9a"', '"4f1c9"', "build.mine.brief_hash", ""),
        ("kept_years", "kept_year", "build.mine.kept_year", "kept_years"),
    ],
)
def test_slips(bench: Bench, old: str, new: str, path: str, says: str) -> None:
    bench.write(GOOD.replace(old, new), "builds.toml")
    problem = bench.one_error()
    assert problem.path == path
    assert problem.file == "builds.toml"
    assert says in str(bench.refused())


def test_two_builds_of_one_name(bench: Bench) -> None:
    bench.write(GOOD + GOOD.replace("schema = 1\n", ""), "builds.toml")
    assert bench.one_error().path == "build[2].name"


def test_two_drives_in_a_drive_file(tmp_path: Path) -> None:
    (tmp_path / "d.toml").write_text(GOOD + GOOD.replace("schema = 1\n", "").replace("mine", "b"))
    with pytest.raises(BadInput, match="one drive"):
        read_drive_file(tmp_path / "d.toml")


def test_no_build_book_is_an_empty_one(bench: Bench) -> None:
    (bench.folder / "builds.toml").unlink()
    assert bench.read().builds == ()


def test_what_broke_may_say_its_metal(tmp_path: Path) -> None:
    path = tmp_path / "drive.toml"
    path.write_text(GOOD)
    plain = read_drive_file(path).broke
    path.write_text(GOOD.replace('how = "bent"', 'how = "bent", metal = "unknown"'))
    said = read_drive_file(path).broke
    assert plain is not None
    assert said is not None
    assert (plain.metal, said.metal) == ("", "unknown")
