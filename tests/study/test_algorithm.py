"""A study that a stock algorithm searches: journaled, taken up and told like any other, and never mixed."""

import signal
from dataclasses import replace
from pathlib import Path

import pytest

from explorer.brief.errors import BadInput
from explorer.brief.records import Brief
from explorer.search.references import MOST_AGE2, NAMES
from explorer.search.space import repaired
from explorer.study import journal, words
from explorer.study.ask import Ask
from explorer.study.plan import plan_of, scheme_for
from explorer.study.read import read_result
from explorer.study.records import StudyResult
from explorer.study.rounds import begin
from explorer.study.run import Begun, run_study
from explorer.study.stints import asked, done
from tests.study.conftest import digests, start, told_rounds
from tests.study.small import SCHEME, easy_brief, study_in

EVALUATIONS = 2000


def two_aims() -> Brief:
    """The easy hand with so few aims that every algorithm can take them."""
    return replace(easy_brief(), aims=easy_brief().aims[1:3])


def by(
    algorithm: str,
    folder: Path,
    evaluations: int,
    seed: int | None = None,
    workers: int = 1,
    brief: Brief | None = None,
) -> StudyResult:
    """The small study in `folder`, searched by an algorithm."""
    ask = Ask(evaluations, None, seed, workers, algorithm)
    return run_study(study_in(folder, brief), ask, lambda _: None, scheme=SCHEME)


@pytest.fixture(scope="module")
def stock(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A run by NSGA2 that nothing disturbed; tests only read it."""
    folder = tmp_path_factory.mktemp("algorithm") / "stock"
    by("NSGA2", folder, EVALUATIONS)
    return folder


def test_a_killed_and_stopped_run_ends_as_the_quiet_one(stock: Path, tmp_path: Path) -> None:
    """Once killed without warning, then stopped again and again, at last with two workers."""
    process = start(tmp_path, EVALUATIONS, 1, "NSGA2")
    told = told_rounds(process, 3)
    process.send_signal(signal.SIGKILL)
    process.communicate()
    saved = len(digests(tmp_path))
    assert told <= saved
    for evaluations in range(1000, EVALUATIONS, 400):
        by("", tmp_path, evaluations)
    by("NSGA2", tmp_path, EVALUATIONS, workers=2)
    assert digests(tmp_path) == digests(stock)


@pytest.mark.parametrize(
    "name",
    [
        n if n != "AGE2" else pytest.param(n, marks=pytest.mark.long) for n in NAMES
    ],  # compiles for seconds
)
def test_the_same_seed_finds_the_same_and_another_does_not(name: str, tmp_path: Path) -> None:
    for folder, seed in (("a", 1), ("b", 1), ("c", 2)):
        found = by(name, tmp_path / folder, 500, seed, brief=two_aims())
        assert found.algorithm == name
        assert found.rounds >= 2
    assert digests(tmp_path / "a") == digests(tmp_path / "b")
    assert digests(tmp_path / "a")[0] != digests(tmp_path / "c")[0]


def test_its_result_is_one_of_the_algorithm(stock: Path, tmp_path: Path) -> None:
    found = read_result(stock)
    assert found.algorithm == "NSGA2"
    assert found.keepers
    scheme = journal.read(stock).identity["scheme"]
    assert scheme["tribes"] == 0
    assert scheme["whole"]["population"] == SCHEME.whole.population
    assert scheme["whole"]["algorithm"] == "NSGA2"
    assert "pymoo" in journal.read(stock).identity["made_on"]
    assert "seed 1, NSGA2, round" in words.status_lines(found, stock)[0]
    assert " · seed 1 · NSGA2 · 2 workers · " in words.begun_lines(
        Begun("4f1c9a", 1, 2, 0, 0.0, "", "NSGA2"), tmp_path
    )[0]  # fmt: skip


@pytest.mark.parametrize(("first", "then"), [("NSGA2", "GDE3"), ("", "NSGA2")])
def test_a_journal_is_of_one_algorithm(first: str, then: str, tmp_path: Path) -> None:
    folder = tmp_path / "left hand"
    by(first, folder, 200)
    before = digests(folder)
    with pytest.raises(BadInput) as refused:
        by(then, folder, 400)
    assert refused.value.exit_code == 2
    (problem,) = refused.value.problems
    assert problem.message == f"this study was begun by {first or 'our own search'}."
    assert problem.mend.endswith(f"evener run '{tmp_path}/left hand-2' --algorithm {then}")
    assert digests(folder) == before
    by("", folder, 1200)
    assert read_result(folder).algorithm == first
    assert len(digests(folder)) > len(before)


def test_what_an_algorithm_cannot_take_is_refused_before_anything_is_written(
    tmp_path: Path,
) -> None:
    with pytest.raises(BadInput, match="2 to 3 aims, not 4"):
        by("SMS", tmp_path, 200)
    large = replace(SCHEME, whole=replace(SCHEME.whole, population=MOST_AGE2 + 1))
    with pytest.raises(BadInput, match=f"at most {MOST_AGE2}, not {MOST_AGE2 + 1}"):
        plan_of(study_in(tmp_path), (1,), scheme_for("AGE2", large))
    assert not journal.exists(tmp_path)


def test_it_begins_with_the_drive_of_the_start(tmp_path: Path) -> None:
    plan = plan_of(study_in(tmp_path), (1, 2), scheme_for("NSGA2", SCHEME))
    space = plan.problems[0].space
    drive = repaired(space, (0.3 * space.low + 0.7 * space.high)[None, :])
    plan = replace(plan, starts=(drive, *plan.starts[1:]))
    brought = done(plan, asked(0, begin(plan)[:2], 1))
    for group in brought.groups:
        (state,) = group.states
        assert group.gathered
        assert (drive[0] == state.population.X).all(axis=1).any()
