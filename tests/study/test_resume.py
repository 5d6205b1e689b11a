"""A run that is killed, stopped, moved to other workers or doubled ends as if nothing had happened."""

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from explorer.brief.errors import BadInput, CannotWrite, StudyBusy
from explorer.study import journal
from explorer.study.ask import Ask
from explorer.study.plan import plan_of
from explorer.study.read import read_result
from explorer.study.run import run_study
from tests.house.tree import ROOT
from tests.study.conftest import EVALUATIONS, digests, start, told_rounds
from tests.study.small import SCHEME, searched, study_in


def killed_once(folder: Path, rng: random.Random, workers: int) -> None:
    """Kill a run without warning, at a random moment after a random line; what it told must be saved."""
    process = start(folder, EVALUATIONS, workers)
    told = told_rounds(process, rng.randint(0, 6))
    time.sleep(rng.uniform(0.0, 0.3))
    process.send_signal(signal.SIGKILL)
    process.communicate()
    if told:
        assert len(digests(folder)) >= told


@pytest.mark.parametrize("chance", [1, 2])
def test_killed_runs_end_as_the_quiet_one(quiet: Path, tmp_path: Path, chance: int) -> None:
    rng = random.Random(chance)
    for _ in range(2):
        killed_once(tmp_path, rng, workers=1 + chance % 2)
    searched(tmp_path, EVALUATIONS)
    assert digests(tmp_path) == digests(quiet)


@pytest.mark.long
def test_many_kills(quiet: Path, tmp_path: Path) -> None:
    rng = random.Random(3)
    for study in range(8):
        folder = tmp_path / str(study)
        for _ in range(6):
            killed_once(folder, rng, workers=1 + study % 2)
        searched(folder, EVALUATIONS)
        assert digests(folder) == digests(quiet)


def test_resume_in_small_steps(quiet: Path, tmp_path: Path) -> None:
    for evaluations in range(300, EVALUATIONS, 900):
        searched(tmp_path, evaluations)
    searched(tmp_path, EVALUATIONS)
    assert digests(tmp_path) == digests(quiet)


def test_two_workers_find_the_same(quiet: Path, tmp_path: Path) -> None:
    searched(tmp_path, EVALUATIONS, workers=2)
    assert digests(tmp_path) == digests(quiet)


def test_order_of_hashes_does_not_matter(quiet: Path, tmp_path: Path) -> None:
    """The quiet run is of this process, whose order of hashes is another."""
    other = "1" if os.environ.get("PYTHONHASHSEED") == "0" else "0"
    process = start(tmp_path, EVALUATIONS // 2, PYTHONHASHSEED=other)
    process.communicate()
    assert process.returncode == 0
    found = digests(tmp_path)
    assert found
    assert found == digests(quiet)[: len(found)]


def test_a_second_run_is_refused_and_ctrl_c_saves(quiet: Path, tmp_path: Path) -> None:
    process = start(tmp_path, 100 * EVALUATIONS, 2)
    told = told_rounds(process, 3)
    with pytest.raises(StudyBusy, match="another process") as refused:
        searched(tmp_path, EVALUATIONS)
    assert refused.value.exit_code == 4
    looked_on = read_result(tmp_path)
    assert looked_on.state == "running"
    assert looked_on.rounds >= told
    process.send_signal(signal.SIGINT)
    process.communicate(timeout=20)
    assert process.returncode == 130
    after = read_result(tmp_path)
    assert after.state == "interrupted"
    assert after.rounds >= looked_on.rounds
    n = min(after.rounds, len(digests(quiet)))
    assert digests(tmp_path)[:n] == digests(quiet)[:n]


def test_a_polite_kill_saves_too(tmp_path: Path) -> None:
    process = start(tmp_path, 100 * EVALUATIONS)
    told_rounds(process, 2)
    process.send_signal(signal.SIGTERM)
    process.communicate(timeout=20)
    assert process.returncode == 130
    assert read_result(tmp_path).state == "interrupted"


def test_workers_end_with_their_parent(tmp_path: Path) -> None:
    process = start(tmp_path, 100 * EVALUATIONS, 2)
    told_rounds(process, 3)
    children = children_of(process.pid)
    assert len(children) >= 2
    process.kill()
    process.communicate()
    deadline = time.monotonic() + 20.0
    while any(alive(pid) for pid in children) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not [pid for pid in children if alive(pid)]


def children_of(pid: int) -> list[int]:
    """Those that any of its threads started."""
    listed = sorted(Path(f"/proc/{pid}/task").glob("*/children"))
    if not listed:
        pytest.skip("this system does not list the children of a process")
    return [int(word) for each in listed for word in each.read_text().split()]


def alive(pid: int) -> bool:
    """Whether a process runs; one that nobody buried does not."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return False
    return state not in {"Z", "X"}


def test_a_dead_worker_is_replaced(quiet: Path, tmp_path: Path) -> None:
    process = start(tmp_path, EVALUATIONS, 2)
    told_rounds(process, 2)
    workers = [
        p
        for p in children_of(process.pid)
        if b"spawn_main" in Path(f"/proc/{p}/cmdline").read_bytes()
    ]
    os.kill(workers[0], signal.SIGKILL)
    _, said = process.communicate(timeout=60)
    assert process.returncode == 0, said
    assert digests(tmp_path) == digests(quiet)


def test_another_brief_is_refused_with_what_changed(tmp_path: Path) -> None:
    searched(tmp_path, 300)
    before = digests(tmp_path)
    with pytest.raises(BadInput) as refused:
        run_study(
            study_in(tmp_path, said=2.0),
            Ask(evaluations=600, workers=1),
            lambda _: None,
            scheme=SCHEME,
        )
    words = str(refused.value)
    assert "wrist.arm_mm" in words
    assert "1.0" in words
    assert "2.0" in words
    assert words.count("evener run") == 2
    assert digests(tmp_path) == before


def test_another_seed_is_refused(tmp_path: Path) -> None:
    searched(tmp_path, 300)
    with pytest.raises(BadInput, match="seed 1"):
        run_study(study_in(tmp_path), Ask(seed=7, workers=1), lambda _: None, scheme=SCHEME)


def test_what_was_asked_is_kept(tmp_path: Path) -> None:
    searched(tmp_path, 300)
    longer = Ask(evaluations=1500, workers=1)
    run_study(study_in(tmp_path), longer, lambda _: None, scheme=SCHEME)
    rounds = read_result(tmp_path).rounds
    again = run_study(study_in(tmp_path), Ask(workers=1), lambda _: None, scheme=SCHEME)
    assert again.state == "done"
    assert again.rounds == rounds
    assert again.asked == "1,500 drives"


ROOMS = [0, 9_000, 60_000, 250_000]
LITTLE_ROOM = """
import resource, signal, sys
from tests.study.small import main

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
folder, evaluations, *rooms = sys.argv[1:]
most = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
for room in rooms:
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(room), most))
    print(room, main(f"{folder}/{room}", evaluations, "1"), file=sys.stderr)
"""


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """Runs on a disk with less and less room, one process for all; and what they said."""
    folder = tmp_path_factory.mktemp("full")
    done = subprocess.run(
        [sys.executable, "-c", LITTLE_ROOM, str(folder), str(EVALUATIONS), *map(str, ROOMS)],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return folder, done.stderr


@pytest.mark.parametrize("room", ROOMS)
def test_a_full_disk_is_told_and_what_was_saved_stays(
    quiet: Path, filled: tuple[Path, str], room: int
) -> None:
    """No file may grow beyond `room`: the same failure as a disk that is full, at one write or another."""
    folder, said = filled
    assert f"{room} {CannotWrite.exit_code}\n" in said
    told = next(line for line in said.splitlines() if f"{folder}/{room}/" in line)
    assert "cannot be written" in told
    searched(folder / str(room), EVALUATIONS)
    assert digests(folder / str(room)) == digests(quiet)


def test_a_clock_set_back_changes_nothing(
    quiet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = iter(range(10**9, 0, -86400))
    monkeypatch.setattr(time, "time", lambda: float(next(day)))
    searched(tmp_path, 1500)
    found = digests(tmp_path)
    assert found == digests(quiet)[: len(found)]


def test_the_journal_says_on_what_it_was_made(quiet: Path) -> None:
    made_on = journal.read(quiet).identity["made_on"]
    assert {"processor", "numpy", "machine"} <= made_on.keys()
    assert json.dumps(made_on)


def test_a_study_has_every_architecture(tmp_path: Path) -> None:
    plan = plan_of(study_in(tmp_path), (1, 2), SCHEME)
    assert len({p.design.architecture for p in plan.problems}) == len(plan.problems) == 6
