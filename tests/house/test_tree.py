"""The tree as a newcomer finds it: one test command, no left-over marks, package data in place."""

import re
import tomllib
from fnmatch import fnmatch
from pathlib import Path

import pytest

import explorer
from tests.__main__ import steps
from tests.house.tree import ROOT, package_sources, tracked_files

# Written in halves so that this file does not hold them.
LEFT_OVER = [
    "TO" + "DO",
    "FIX" + "ME",
    "XX" + "X",
    "HA" + "CK",
    "lorem " + "ipsum",
    "coming " + "soon",
    "place" + "holder text",
    "<<<<" + "<<<",
    ">>>>" + ">>>",
]
WORDS = re.compile("|".join(rf"(?<!\w){re.escape(w)}(?!\w)" for w in LEFT_OVER))
TEXT = {".py", ".toml", ".md", ".html", ".css", ".js", ".json", ".svg", ".txt", ".cfg", ""}


def left_overs(text: str) -> list[str]:
    return WORDS.findall(text)


def test_no_left_over_marks() -> None:
    files = [p for p in tracked_files() if p.suffix in TEXT]
    assert ROOT / "pyproject.toml" in files
    found = [
        f"{path.relative_to(ROOT)}: {word}"
        for path in files
        for word in left_overs(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_left_over_marks_are_seen_and_like_words_are_not() -> None:
    assert left_overs("# " + LEFT_OVER[0] + ": later") == [LEFT_OVER[0]]
    assert left_overs(LEFT_OVER[0] + "S and hackneyed") == []


def commands(text: str) -> list[str]:
    """Lines that are run: not blank, not a comment, not the shell's own settings."""
    lines = [line.strip() for line in text.splitlines()]
    return [x for x in lines if x and not x.startswith(("#", "set ", "cd "))]


def readme_commands() -> list[list[str]]:
    """Lines of each code block under the README's heading about the tests."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    section = re.search(r"^## The tests\n(.*?)(?=^## |\Z)", readme, re.MULTILINE | re.DOTALL)
    assert section, "the README has no section 'The tests'"
    blocks = re.findall(r"^```\w*\n(.*?)^```", section[1], re.MULTILINE | re.DOTALL)
    return [commands(block) for block in blocks]


@pytest.mark.parametrize(("file", "block"), [("run", 0), ("long", -1)])
def test_ci_runs_exactly_the_readmes_commands(file: str, block: int) -> None:
    ci = commands((ROOT / ".ci" / file).read_text(encoding="utf-8"))
    assert len(ci) == 1
    assert ci == readme_commands()[block]


def test_the_longer_tests_take_the_environment_of_the_others() -> None:
    """And add the extra that only they need."""
    first, last = readme_commands()[0][0], readme_commands()[-1][0]
    _, install, tests = first.split(" && ")
    assert last == f"{install.replace('[test]', '[test,references]')} && {tests} -m long"


def test_a_choice_of_tests_runs_pytest_and_nothing_else() -> None:
    every = steps([])
    assert [name for name, _ in every] == ["lint", "format", "types", "imports", "tests"]
    assert steps(["-m", "long"]) == [("tests", [*every[-1][1], "-m", "long"])]


def test_the_two_test_folders_are_where_the_command_looks() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["tool"]["pytest"]["ini_options"]["testpaths"] == ["tests"]
    assert (ROOT / "tests" / "__main__.py").is_file()


def test_no_test_folder_is_passed_over(pytestconfig: pytest.Config) -> None:
    """The runner's default passes over folders named "build", and so would over a room's tests."""
    over = pytestconfig.getini("norecursedirs")
    rooms = {f.parent.relative_to(ROOT) for f in (ROOT / "tests").rglob("test_*.py")}
    assert Path("tests/build") in rooms
    passed = {part for room in rooms for part in room.parts for o in over if fnmatch(part, o)}
    assert not passed


def test_every_room_is_a_package() -> None:
    """A folder without __init__.py is left out of type checks and import rules."""
    folders = {s.path.parent for s in package_sources()}
    assert [f for f in sorted(folders) if not (f / "__init__.py").is_file()] == []


def test_the_package_is_typed_and_has_a_version() -> None:
    assert (ROOT / "explorer" / "py.typed").is_file()
    assert re.fullmatch(r"\d+\.\d+\.\d+", explorer.__version__)
