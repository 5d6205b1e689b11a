import hashlib
import io
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.search.archive import front, merged
from explorer.search.island import Settings, State, begin, generator, step
from explorer.search.problem import BadScores, Rows, Scored, joined
from tests.search.toys import Toy, leaves, rebuilt

SMALL = Settings(population=24, batch=20)
TOYS = [Toy(), Toy(aims=3, level=0.3), Toy(aims=5), Toy(aims=1), Toy(bar=2.0)]


def run(
    problem: Toy, rounds: int, seed: int = 1, settings: Settings = SMALL
) -> tuple[State, list[Rows]]:
    state, seen = begin(problem, seed, 0, settings), []
    for _ in range(rounds):
        state, rows = step(state, problem)
        seen.append(rows)
    return state, seen


def digest(state: State) -> str:
    h = hashlib.sha256()
    for name, value in leaves(state).items():
        h.update(f"{name}{value.dtype}{value.shape}".encode())
        h.update(np.ascontiguousarray(value).tobytes())
    return h.hexdigest()


@pytest.mark.parametrize("problem", TOYS, ids=str)
def test_the_same_seed_gives_the_same_state_every_round(problem: Toy) -> None:
    a = b = begin(problem, 7, 3, SMALL)
    other = begin(problem, 8, 3, SMALL)
    for _ in range(12):
        a, b, other = step(a, problem)[0], step(b, problem)[0], step(other, problem)[0]
        assert digest(a) == digest(b) != digest(other)


@pytest.mark.parametrize("problem", TOYS, ids=str)
def test_a_run_taken_up_from_plain_arrays_goes_on_bit_for_bit(problem: Toy) -> None:
    state = begin(problem, 7, 3, replace(SMALL, patience=4))
    for _ in range(14):
        stored = io.BytesIO()
        np.savez(stored, allow_pickle=False, **leaves(state))
        stored.seek(0)
        with np.load(stored, allow_pickle=False) as arrays:
            again = rebuilt(state, arrays)
        before = digest(state)
        assert digest(again) == before
        after, rows = step(state, problem)
        assert digest(state) == before  # a step leaves the state it starts from alone
        resumed, rows_again = step(again, problem)
        assert digest(resumed) == digest(after)
        assert np.array_equal(rows.X, rows_again.X)
        state = after


@pytest.mark.parametrize("problem", TOYS[:4], ids=str)
def test_the_archive_is_the_front_of_every_row_evaluated(problem: Toy) -> None:
    """Though only rows that no living one dominates are shown to it."""
    state, seen = run(problem, 40)
    every = joined(seen)
    good = every.take(every.feasible)
    best = good.take(front(good.F, problem.enough, good.tie))
    kept = merged(state.archive).kept
    assert len(kept)
    assert set(map(tuple, np.column_stack([kept.F, kept.tie]))) == set(
        map(tuple, np.column_stack([best.F, best.tie]))
    )
    assert state.evaluations == len(every)


@given(st.integers(0, 2**31), st.sampled_from(TOYS))
def test_every_vector_offered_is_one_that_can_be_built(seed: int, problem: Toy) -> None:
    space = problem.space
    for rows in run(problem, 6, seed)[1]:
        X = rows.X
        assert (space.low <= X).all()
        assert (space.high >= X).all()
        assert (X[:, space.discrete] % 1.0 == 0.0).all()
        assert (X[X[:, 3] >= 3.0, 2] == 0.5).all()


def test_it_finds_the_known_front() -> None:
    """b = 0.3, c = 0.5, stock 2, n = 0 leaves f2 = 1 - sqrt(f1), by the toy's construction."""
    state, _ = run(Toy(), 150)
    F = merged(state.archive).kept.F
    gap = F[:, 1] - (1.0 - np.sqrt(np.minimum(F[:, 0], 1.0)))
    assert len(F) > 50
    assert np.median(gap) < 0.01
    assert F[:, 0].min() < 0.02
    assert F[:, 1].min() < 0.02


def test_vectors_to_start_from_are_tried_first() -> None:
    start = np.array([[0.5, 0.3, 0.5, 2.0, 0.0], [0.2, 9.0, 0.5, 5.0, 0.0]])
    _, rows = step(begin(Toy(), 1, 0, SMALL), Toy(), start)
    assert len(rows) == SMALL.population
    assert rows.X[:2].tolist() == [[0.5, 0.3, 0.5, 2.0, 0.0], [0.2, 1.0, 0.5, 5.0, 0.0]]


def test_where_nothing_fits_the_nearest_is_kept_through_a_new_beginning() -> None:
    problem, state = Toy(bar=2.0), begin(Toy(bar=2.0), 1, 0, replace(SMALL, patience=1))
    seen, begun_anew = [], 0
    for _ in range(80):
        state, rows = step(state, problem)
        seen.append(rows)
        begun_anew += not len(state.population)
        every = joined(seen)
        assert state.nearest.violation[0] == every.violation.min()
    assert begun_anew >= 1
    assert not len(merged(state.archive).kept)


def test_stock_columns_go_on_changing() -> None:
    _, seen = run(Toy(), 60)
    late = joined(seen[30:]).X
    assert set(late[:, 3]) == {0.0, 1.0, 2.0, 3.0, 4.0, 5.0}


@dataclass(frozen=True)
class Broken(Toy):
    """A scorer that goes wrong in one row."""

    what: str = ""

    def evaluate(self, X: np.ndarray) -> Scored:
        s = super().evaluate(X)
        F, v, tie = s.F.copy(), s.violation.copy(), s.tie.copy()
        if self.what == "nan aim":
            F[3, 1] = np.nan
        elif self.what == "nan violation":
            v[3] = np.nan
        elif self.what == "negative violation":
            v[3] = -1.0
        elif self.what == "infinite feasible":
            F[3, 1], v[3] = np.inf, 0.0
        elif self.what == "infinite infeasible":
            F[3, 1], v[3] = np.inf, 1.0
        elif self.what == "nan tie":
            tie[3] = np.nan
        else:
            F = F[:, :1]
        return Scored(F, v, tie)


@pytest.mark.parametrize(
    "what",
    ["nan aim", "nan violation", "negative violation", "infinite feasible", "nan tie", "narrow"],
)
def test_scores_that_are_no_scores_stop_the_search(what: str) -> None:
    with pytest.raises(BadScores, match="expected" if what == "narrow" else "row 3"):
        run(Broken(what=what), 1)


def test_an_infeasible_row_may_lack_an_aim() -> None:
    state, seen = run(Broken(what="infinite infeasible"), 20)
    assert np.isinf(seen[0].F[3, 1])
    assert np.isfinite(merged(state.archive).kept.F).all()


def test_each_batch_has_numbers_of_its_own() -> None:
    keys = [(1, 0, 0, 0), (2, 0, 0, 0), (1, 1, 0, 0), (1, 0, 1, 0), (1, 0, 0, 1)]
    draws = {float(generator(*k).random()) for k in keys}
    assert len(draws) == len(keys)
