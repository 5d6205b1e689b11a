"""What a room may import beside the rooms below it (the floors themselves: lint-imports)."""

import re
import subprocess
import sys
import tomllib

import pytest

from tests.house.tree import ROOT, package_sources

TERMINAL_AND_PLOTS = ("typer", "rich", "plotly")
# module prefix -> the outside packages it may know
OUTSIDE = {"explorer.cli": {"typer", "rich"}, "explorer.report": {"plotly"}}
# module -> the declared package that always brings it
COMES_WITH = {"pydantic_core": "pydantic"}

IMPORT_WITHOUT = """
import importlib, sys

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {refused!r}:
            raise ModuleNotFoundError("refused: " + name, name=name)

sys.meta_path.insert(0, Refuse())
for name in sys.argv[1:]:
    importlib.import_module(name)
"""


def knows(module: str, room: str) -> bool:
    return module == room or module.startswith(f"{room}.")


def core_modules() -> list[str]:
    """Every module but the command line, the report, and what starts the program."""
    outer = (*OUTSIDE, "explorer.__main__")
    return [s.module for s in package_sources() if not any(knows(s.module, r) for r in outer)]


def import_without(refused: set[str], modules: list[str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", IMPORT_WITHOUT.format(refused=refused), *modules],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_core_imports_where_terminal_and_plots_are_not_installed() -> None:
    modules = core_modules()
    assert "explorer.mechanics" in modules
    done = import_without(set(TERMINAL_AND_PLOTS), modules)
    assert done.returncode == 0, done.stderr


def test_the_refusal_works() -> None:
    done = import_without({"numpy"}, ["numpy"])
    assert done.returncode != 0
    assert "refused: numpy" in done.stderr


def test_mechanics_knows_numpy_and_scipy_only() -> None:
    allowed = {"numpy", "scipy", *sys.stdlib_module_names}
    strangers = [
        f"{source.name}:{line} {name}"
        for source in package_sources()
        if knows(source.module, "explorer.mechanics")
        for line, name in source.imports
        if not (name.startswith(".") or knows(name, "explorer.mechanics"))
        and name.split(".")[0] not in allowed
    ]
    assert strangers == []


@pytest.mark.parametrize("package", TERMINAL_AND_PLOTS)
def test_terminal_and_plots_stay_in_their_rooms(package: str) -> None:
    rooms = [room for room, packages in OUTSIDE.items() if package in packages]
    elsewhere = [
        f"{source.name}:{line} {name}"
        for source in package_sources()
        if not any(knows(source.module, room) for room in rooms)
        for line, name in source.imports
        if name.split(".")[0] == package
    ]
    assert elsewhere == []


def test_the_dependencies_are_what_the_package_imports() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = {re.split(r"[<>=!~\[; ]", line, maxsplit=1)[0] for line in project["dependencies"]}
    tops = {
        name.split(".")[0]
        for source in package_sources()
        for _, name in source.imports
        if not name.startswith(".")
    }
    used = {COMES_WITH.get(top, top) for top in tops}
    assert used - sys.stdlib_module_names - {"explorer"} == declared
