from dataclasses import dataclass
from importlib import import_module
from typing import Any

import numpy as np
import pytest
from pymoo.core.problem import Problem as LibraryProblem
from pymoo.core.termination import NoTermination

from explorer.search import island, references
from explorer.search.archive import merged
from explorer.search.island import State
from explorer.search.problem import BadScores, Problem, Rows, Scored, evaluated, joined
from explorer.search.ranks import clipped
from explorer.search.references import NAMES, ReferenceRefused, run, settings_of
from explorer.search.space import Columns, columns, repaired
from tests.search.toys import Toy, leaves, rebuilt

LIBRARY = {
    "NSGA2": ("nsga2", "NSGA2"), "GDE3": ("gde3", "GDE3"), "AGE2": ("age2", "AGEMOEA2"), "SMS": ("sms", "SMSEMOA"),
}  # fmt: skip

# It is compiled when it is first called, which takes longer than all the rest here.
EACH = [n if n != "AGE2" else pytest.param(n, marks=pytest.mark.long) for n in NAMES]


def library_loop(name: str, problem: Problem, state: State, batches: int) -> Any:  # noqa: ANN401  # the library has no types
    """The library's algorithm after its own ask and tell, set up once, with the numbers that `state` would draw.

    By itself it would draw all of them from one generator; here it is handed that of each half of each batch.
    """
    module, kind = LIBRARY[name]
    size, space = state.settings.population, problem.space
    first = island.first(state, problem, None, island.generator(state.seed, state.island, 0))
    algorithm = getattr(import_module(f"pymoo.algorithms.moo.{module}"), kind)(
        pop_size=size, sampling=first
    )
    algorithm.setup(
        LibraryProblem(n_var=space.width, n_obj=len(problem.enough), n_ieq_constr=1, xl=space.low, xu=space.high),
        termination=NoTermination(),
    )  # fmt: skip
    for batch in range(batches):
        algorithm.random_state = island.generator(state.seed, state.island, batch)
        asked = algorithm.ask()
        rows = evaluated(problem, repaired(space, asked.get("X").astype(float)))
        asked.set("X", rows.X)
        asked.set("F", clipped(rows.F, problem.enough))
        asked.set("G", rows.violation[:, None])
        algorithm.random_state = island.generator(state.seed, state.island, batch, 1)
        algorithm.tell(infills=asked)
    return algorithm


def stepped(state: State, problem: Problem) -> State:
    return references.survived(state, evaluated(problem, references.proposed(state, problem)))


@pytest.mark.parametrize("name", EACH)
@pytest.mark.parametrize(
    "problem", [Toy(), Toy(aims=3, level=0.3), Toy(bar=2.0)], ids=["plain", "enough", "none fits"]
)
def test_batch_by_batch_is_the_librarys_own_loop(name: str, problem: Toy) -> None:
    begun = state = island.begin(problem, 5, 7, settings_of(name, 24))
    for _ in range(12):
        state = stepped(state, problem)
    theirs = library_loop(name, problem, begun, 12).pop
    assert np.array_equal(state.population.X, theirs.get("X"))
    assert np.array_equal(clipped(state.population.F, problem.enough), theirs.get("F"))
    assert np.array_equal(state.population.violation, theirs.get("CV")[:, 0])
    fit = state.population.feasible
    assert fit.any() == (problem.bar == 0.0)
    assert state.rank[fit].tolist() == theirs.get("rank")[fit].tolist()
    if name in {"NSGA2", "GDE3", "AGE2"}:
        assert state.lonely[fit].tolist() == theirs.get("crowding")[fit].tolist()


@pytest.mark.parametrize("name", EACH)
def test_an_algorithm_that_lives_on_finds_what_one_made_anew_does(name: references.Name) -> None:
    problem = Toy()
    state = island.begin(problem, 2, 0, settings_of(name, 20))
    while state.evaluations < 200:
        state = stepped(state, problem)
    found = run(name, problem, 2, 200, population=20)
    assert found.evaluations == state.evaluations
    assert np.array_equal(found.archive.kept.X, merged(state.archive).kept.X)


@pytest.mark.parametrize("name", EACH)
def test_a_run_taken_up_from_plain_arrays_goes_on_bit_for_bit(name: str) -> None:
    problem = Toy()
    state = island.begin(problem, 3, 1, settings_of(name, 16))
    for _ in range(5):
        state = stepped(state, problem)
        again = rebuilt(island.begin(problem, 3, 1, settings_of(name, 16)), leaves(state))
        after, same = stepped(state, problem), stepped(again, problem)
        assert all(
            np.array_equal(value, leaves(same)[field]) for field, value in leaves(after).items()
        )


def test_it_begins_with_what_is_given() -> None:
    start = np.array([[0.2, 0.4, 0.5, 5.0, 1.0], [0.3, 0.4, 0.6, 0.0, 9.0]])
    state = island.begin(Toy(), 1, 0, settings_of("NSGA2", 8))
    X = references.proposed(state, Toy(), start)
    assert np.array_equal(X[:2], repaired(Toy().space, start))
    assert len(X) == 8


@pytest.mark.parametrize("name", EACH)
def test_a_space_of_one_point_is_no_end(name: references.Name) -> None:
    found = run(name, Frozen(), 1, 60, population=20)
    assert found.evaluations >= 60
    assert len(found.archive.kept) == 1


def test_counters_and_nearest_are_an_islands() -> None:
    problem = Toy(bar=0.6)
    state = island.begin(problem, 4, 0, settings_of("NSGA2", 16))
    least = np.inf
    for batch in range(6):
        rows = evaluated(problem, references.proposed(state, problem))
        after = references.survived(state, rows)
        least = min(least, rows.violation.min())
        assert after.nearest.violation.tolist() == [least]
        fits = bool(joined([state.population, rows]).feasible.any())
        assert after.fitting == state.fitting + fits
        assert (after.round, after.evaluations) == (batch + 1, state.evaluations + len(rows))
        state = after
    assert state.fitting


@pytest.mark.parametrize("name", EACH)
def test_a_reference_repeats_with_its_seed_and_counts_what_it_asks(name: references.Name) -> None:
    seen: list[Rows] = []
    a = run(name, Toy(), 3, 300, population=20, seen=seen.append)
    b = run(name, Toy(), 3, 300, population=20)
    other = run(name, Toy(), 4, 300, population=20)
    assert np.array_equal(a.archive.kept.X, b.archive.kept.X)
    assert not np.array_equal(a.archive.kept.X, other.archive.kept.X)
    X = joined(seen).X
    assert a.evaluations == len(X) >= 300
    assert (X[:, Toy().space.discrete] % 1.0 == 0.0).all()
    assert len(a.archive.kept)


@pytest.mark.parametrize("name", EACH)
def test_where_nothing_fits_the_front_is_empty(name: references.Name) -> None:
    found = run(name, Toy(bar=2.0), 1, 100, population=20)
    assert found.evaluations >= 100
    assert not len(found.archive.kept)


@dataclass(frozen=True)
class Frozen(Toy):
    """A space in which every column is held."""

    @property
    def space(self) -> Columns:
        here = [0.2, 0.4, 0.5, 1.0, 0.0]
        return columns(here, here, Toy().space.kinds)


@dataclass(frozen=True)
class Late(Toy):
    """A scorer that gives one NaN."""

    def evaluate(self, X: np.ndarray) -> Scored:
        s = super().evaluate(X)
        F = s.F.copy()
        F[-1, 0] = np.nan
        return Scored(F, s.violation, s.tie)


@pytest.mark.parametrize("name", EACH)
def test_a_nan_is_an_error(name: references.Name) -> None:
    with pytest.raises(BadScores, match="NaN"):
        run(name, Late(), 1, 100, population=20)


def test_what_an_algorithm_cannot_take_is_refused() -> None:
    with pytest.raises(ReferenceRefused, match="2 to 3 aims, not 5"):
        run("SMS", Toy(aims=5), 1, 100)
    with pytest.raises(ReferenceRefused, match="2 to 3 aims, not 1"):
        run("SMS", Toy(aims=1), 1, 100)
    with pytest.raises(ReferenceRefused, match="at most 200, not 300"):
        run("AGE2", Toy(), 1, 100, population=300)
    with pytest.raises(ReferenceRefused, match="there are NSGA2, GDE3, AGE2, SMS"):
        run("NSGA9", Toy(), 1, 100)  # type: ignore[arg-type]


def test_a_reference_stops_when_told() -> None:
    calls = iter([False, False, True])
    assert run("NSGA2", Toy(), 1, 10**9, population=20, stop=lambda: next(calls)).evaluations == 40
