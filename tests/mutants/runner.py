"""Mutants run in memory: a warm process, a fork for each mutant, the module's own tests in the fork.

Nothing is written to the package.  The warm process has imported the test tools and every module of the
package that cannot see the mutated one; the fork imports the rest, the mutated module from a changed
syntax tree, and runs pytest up to the first failure.
"""

from __future__ import annotations

import ast
import importlib
import json
import os
import resource
import signal
import sys
import tempfile
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from pathlib import Path
from types import CodeType
from typing import Any

from tests.mutants.population import ROOT, Mutant, compiled, path_of, source_of

KILLED, HUNG, LIVED = "killed", "hung", "lived"
OWN = Path(__file__).with_name("own.toml")
WARM = ("numpy", "scipy.optimize", "pydantic", "tomlkit", "hypothesis.extra.numpy", "pytest")
MEMORY = 6 * 2**30  # bytes; a mutant that fills the machine is stopped and counts as noticed


@dataclass(frozen=True)
class Fate:
    """What became of a mutant; `by` the test that noticed, or why no test could run."""

    id: str
    fate: str
    by: str = ""
    seconds: float = 0.0


@cache
def own() -> dict[str, Any]:
    """The table of own tests."""
    return tomllib.loads(OWN.read_text(encoding="utf-8"))


def tests_of(module: str) -> list[str]:
    """A module's own tests, each once, as paths from the root."""
    table = own()
    room, name = module.split(".")
    files: list[str] = []
    if name not in table[room]:
        raise LookupError(f"tests/mutants/own.toml does not say which tests are those of {module}")
    for entry in table[room][name]:
        files += table["sets"][entry[1:]] if entry.startswith("@") else [entry]
    return [f"tests/{f}" for f in dict.fromkeys(files)]


class Changed(MetaPathFinder):
    """Finds one module, and gives it other code than its file's."""

    def __init__(self, name: str, path: Path, code: CodeType) -> None:
        self.name, self.path, self.code = name, path, code

    def find_spec(self, fullname: str, *_: object) -> ModuleSpec | None:
        """The changed module, for its own name only."""
        if fullname != self.name:
            return None
        return spec_from_file_location(fullname, self.path, loader=Given(self))


class Given(SourceFileLoader):
    """Loads what it is given, under the file's name."""

    def __init__(self, changed: Changed) -> None:
        super().__init__(changed.name, str(changed.path))
        self.code = changed.code

    def get_code(self, fullname: str) -> CodeType:  # noqa: ARG002 - the name is the loader's own
        """The changed code."""
        return self.code


class Witness:
    """Remembers the first test that failed; puts first what is likely to."""

    def __init__(self, likely: tuple[str, ...] = ()) -> None:
        self.by, self.likely = "", likely

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Tests whose names hold one of the likely words go first; the fate is the same in any order."""
        items.sort(key=lambda item: not any(word in item.nodeid for word in self.likely))

    def pytest_runtest_logreport(self, report: Any) -> None:  # noqa: ANN401 - pytest's own
        """One phase of one test."""
        if report.failed and not self.by:
            self.by = report.nodeid

    def pytest_collectreport(self, report: Any) -> None:  # noqa: ANN401 - pytest's own
        """A file that could not be read."""
        if report.failed and not self.by:
            self.by = f"{report.nodeid} (import)"


def unaware(module: str) -> list[str]:
    """Modules of the package from which the given one cannot be reached by imports."""
    uses = {name: _imports(path) for name, path in _package().items()}
    aware, grew = {f"explorer.{module}"}, True
    while grew:
        more = {n for n, used in uses.items() if used & aware} - aware
        grew, aware = bool(more), aware | more
    rooms = ("explorer.mechanics.", "explorer.brief.", "explorer.drives.", "explorer.scoring.")
    return sorted(n for n in uses.keys() - aware if n.startswith(rooms))


@cache
def _package() -> dict[str, Path]:
    found = sorted((ROOT / "explorer").rglob("*.py"))
    return {".".join(p.relative_to(ROOT).with_suffix("").parts): p for p in found}


def _imports(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {a.name for a in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{a.name}" for a in node.names)}
    return names


def warm_up(module: str) -> None:
    """Import what no mutant of this module can change, and fix how hypothesis draws."""
    for name in (*WARM, *unaware(module)):
        importlib.import_module(name)
    from hypothesis import HealthCheck, Phase, settings

    settings.register_profile(
        "mutants", deadline=None, max_examples=30, derandomize=True, database=None,
        phases=[Phase.explicit, Phase.generate], suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    os.environ["HYPOTHESIS_PROFILE"] = "mutants"


def pytest_on(files: Sequence[str], witness: Witness) -> int:
    """Exit code of the tests in this process."""
    import pytest

    # warm imports come before pytest could rewrite their asserts
    late = "ignore::pytest.PytestAssertRewriteWarning"
    words = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", "-W", late]
    return int(pytest.main([*words, f"--rootdir={ROOT}", *files], plugins=[witness]))


def in_fork(
    files: Sequence[str],
    name: str,
    path: Path,
    code: CodeType | None,
    likely: tuple[str, ...] = (),
) -> tuple[str, str]:
    """Fate and witness of one mutant; code None runs the module as it is; `likely` tests go first."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(read)
        _run(files, Changed(name, path, code) if code else None, Witness(likely), write)
    os.close(write)
    with os.fdopen(read, encoding="utf-8") as pipe:
        said = pipe.read()
    status = os.waitpid(child, 0)[1]
    if said:
        result = json.loads(said)
        return (LIVED if result["code"] == 0 else KILLED), result["by"]
    signalled = os.WIFSIGNALED(status) and os.WTERMSIG(status) in {signal.SIGXCPU, signal.SIGKILL}
    return (HUNG, "over its time") if signalled else (KILLED, "the interpreter stopped")


def _run(files: Sequence[str], finder: Changed | None, witness: Witness, write: int) -> None:
    """The fork: run, say how it went, and leave without any clearing up."""
    limit = int(own()["seconds"])
    used = int(sum(resource.getrusage(resource.RUSAGE_SELF)[:2]))
    resource.setrlimit(resource.RLIMIT_CPU, (used + limit, used + limit + 5))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    silent = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(silent, stream)
    if finder is not None:
        sys.meta_path.insert(0, finder)
    try:
        code = pytest_on(files, witness)
    except BaseException as error:  # noqa: BLE001 - whatever the mutant threw
        code, witness.by = 1, witness.by or type(error).__name__
    os.write(write, json.dumps({"code": code, "by": witness.by}).encode())
    os._exit(0)


FAMILIES = ("linked_lever", "chain_winder", "chain_differential")


def likely(module: str) -> tuple[str, ...]:
    """Words in the names of tests of the module's own family of drives."""
    name = module.split(".")[1]
    if name in {"bar", "bar_parts"}:
        return ("+bar", "[bar")
    if name in {"chain", "chain_parts"}:
        return ("+chain", "[chain")
    return tuple(
        f for f in FAMILIES if name.startswith(f) or (f, name[:6]) == (FAMILIES[1], "winder")
    )


def fates(module: str, mutants: Sequence[Mutant]) -> Iterator[Fate]:
    """Run mutants of one module, one after another, in this process's forks."""
    text, path, files = source_of(module), path_of(module), tests_of(module)
    for mutant in mutants:
        before = sum(os.times()[2:4])
        words = likely(module)
        code = compiled(text, mutant, str(path))
        fate, by = in_fork(files, f"explorer.{module}", path, code, words)
        yield Fate(mutant.id, fate, by, round(sum(os.times()[2:4]) - before, 2))


def sound(module: str) -> tuple[str, str]:
    """The module unchanged: its own tests have to pass, or no fate means anything."""
    return in_fork(tests_of(module), f"explorer.{module}", path_of(module), None)


def in_parts(mutants: Sequence[Mutant], size: int = 12) -> list[tuple[str, list[Mutant]]]:
    """Mutants by module, in parts of a few."""
    by: dict[str, list[Mutant]] = {}
    for m in mutants:
        by.setdefault(m.module, []).append(m)
    return [(k, v[i : i + size]) for k, v in by.items() for i in range(0, len(v), size)]


def run(mutants: Sequence[Mutant], jobs: int = 1) -> Iterator[Fate]:
    """Fates of any mutants: one fresh process for each part, `jobs` of them at a time."""
    waiting = in_parts(mutants)
    busy: dict[int, Path] = {}
    with tempfile.TemporaryDirectory() as folder:
        number = 0
        while waiting or busy:
            while waiting and len(busy) < jobs:
                number += 1
                out = Path(folder) / f"{number}.jsonl"
                busy[_start(*waiting.pop(0), out)] = out
            pid, status = os.wait()
            out = busy.pop(pid)
            if status != 0:
                raise ChildProcessError(f"a part of the run stopped with status {status}")
            yield from (Fate(**json.loads(s)) for s in out.read_text("utf-8").splitlines())


def _start(module: str, part: Sequence[Mutant], out: Path) -> int:
    pid = os.fork()
    if pid:
        return pid
    code = 1
    try:
        warm_up(module)
        with out.open("w", encoding="utf-8") as file:
            for fate in fates(module, part):
                file.write(json.dumps(vars(fate)) + "\n")
        code = 0
    finally:
        os._exit(code)
