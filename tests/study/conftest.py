"""One finished run that was never disturbed, and runs in processes of their own to disturb."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from explorer.study import journal
from explorer.study.records import StudyResult
from tests.house.tree import ROOT
from tests.study.small import searched

EVALUATIONS = 4000
Start = Callable[..., subprocess.Popen[str]]


def digests(folder: Path) -> list[str]:
    """One a round: equal for equal searches, whatever the clock said."""
    return [line.digest for line in journal.read(folder).lines]


@pytest.fixture(scope="session")
def quiet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a run that nothing disturbed; tests only read it."""
    folder = tmp_path_factory.mktemp("study") / "quiet"
    searched(folder, EVALUATIONS)
    return folder


@pytest.fixture(scope="session")
def result(quiet: Path) -> StudyResult:
    """Its result."""
    from explorer.study.read import read_result

    return read_result(quiet)


def start(
    folder: Path, evaluations: int, workers: int = 1, algorithm: str = "", **env: str
) -> subprocess.Popen[str]:
    """The small study in a process of its own."""
    return subprocess.Popen(
        [
            sys.executable,
            "-m",
            "tests.study.small",
            str(folder),
            str(evaluations),
            str(workers),
            algorithm,
        ],
        cwd=ROOT,
        env={**os.environ, **env},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def told_rounds(process: subprocess.Popen[str], lines: int) -> int:
    """Reads this many lines of what a run says; the last round that it told."""
    assert process.stdout is not None
    told = [process.stdout.readline().strip() for _ in range(lines)]
    rounds = [int(t.split()[1]) for t in told if t.startswith("round")]
    return max(rounds, default=0)
