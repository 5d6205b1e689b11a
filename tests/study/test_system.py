"""What differs between systems: a study also runs where locks or signals are missing."""

import signal
from pathlib import Path
from types import ModuleType

import pytest

from explorer.brief.errors import BadInput
from explorer.drives.assemble import Space
from explorer.mechanics.types import Floats
from explorer.scoring.score import Sieved
from explorer.study import journal, system
from explorer.study.plan import plan_of
from explorer.study.problem import UNSCORED, DriveProblem
from explorer.study.read import read_result
from tests.study.conftest import digests
from tests.study.small import SCHEME, searched, study_in


def test_without_locks_a_study_still_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> ModuleType | None:
        assert name in {"fcntl", "msvcrt"}
        return None

    monkeypatch.setattr(system, "_optional", missing)
    searched(tmp_path, 300)
    assert read_result(tmp_path).state == "done"


def test_without_sigterm_a_study_still_runs(
    quiet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delattr(signal, "SIGTERM")
    searched(tmp_path, 300)
    found = digests(tmp_path)
    assert found == digests(quiet)[: len(found)]


def test_a_stale_lock_holds_nobody_up(tmp_path: Path) -> None:
    (tmp_path / system.LOCK).write_text("left by a power cut")
    assert not system.is_locked(tmp_path)
    searched(tmp_path, 300)
    assert read_result(tmp_path).state == "done"


def test_a_linked_lock_is_not_followed(tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    (tmp_path / system.LOCK).symlink_to(elsewhere)
    with pytest.raises(BadInput, match="link"):
        searched(tmp_path, 300)
    assert not elsewhere.exists()
    assert not (tmp_path / journal.JOURNAL).exists()


def test_stopping_twice_breaks_in() -> None:
    before = signal.getsignal(signal.SIGINT)
    with system.stoppable() as stop:
        signal.raise_signal(signal.SIGINT)
        assert stop.asked
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before


def test_problems_can_be_sent_to_a_worker(tmp_path: Path) -> None:
    """By the protocol that processes use, without naming it: every part reduces to plain ones."""
    from multiprocessing.reduction import ForkingPickler

    problem = plan_of(study_in(tmp_path), (1,), SCHEME).problems[0]
    sent = system.portable(problem)
    assert isinstance(sent, DriveProblem)
    assert len(ForkingPickler.dumps(sent)) > 1000
    assert sent.aims.names == problem.aims.names


def test_a_drive_that_cannot_be_scored_is_counted_and_the_others_are_not_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import numpy as np

    from explorer.drives.values import random_vectors
    from explorer.study import problem as pr

    problem = plan_of(study_in(tmp_path), (1,), SCHEME).problems[0]
    X = random_vectors(problem.design, 9, np.random.default_rng(1))
    upto = np.full(9, np.inf)
    sound = problem.judge(X, upto)
    real = pr.sieved

    def one_fails(design: Space, Y: Floats, upto: Floats) -> Sieved:
        if (X[4] == Y).all(axis=1).any():
            raise FloatingPointError("not a number")
        return real(design, Y, upto)

    monkeypatch.setattr(pr, "sieved", one_fails)
    judged = problem.judge(X, upto)
    assert judged.counts.faults == 1
    assert judged.counts.looked_at == 9
    others = [i for i in range(9) if i != 4]
    assert (judged.scored.F[others] == sound.scored.F[others]).all()
    assert judged.scored.violation[4] == UNSCORED
