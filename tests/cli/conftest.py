"""A study with a build book, and `evener` as a shell starts it."""

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from explorer.cli import main
from tests.house.tree import ROOT
from tests.show.book import write_builds

Here = Callable[..., "Done"]
Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="session")
def study_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Its name has what names may have."""
    folder = tmp_path_factory.mktemp("cli") / "links ü 🌳"
    write_builds(folder)
    return folder


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    returncode: int
    stdout: str
    stderr: str


@pytest.fixture
def here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Here:
    """Runs `evener` in this process, in `tmp_path`: as `run`, without a new interpreter."""
    monkeypatch.chdir(tmp_path)

    def start(*words: str) -> Done:
        code = main(words)
        told = capsys.readouterr()
        return Done(code, told.out, told.err)

    return start


def surroundings() -> dict[str, str]:
    """What a process of its own needs to find the package, and to speak UTF-8 on any machine."""
    return {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"}


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Runs `evener` in its own process, in `tmp_path` unless `cwd` says else."""

    def start(*words: str, cwd: Path = tmp_path, **env: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "explorer.cli", *words],
            cwd=cwd,
            env={**surroundings(), **env},
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=60,
            check=False,
        )

    return start
