"""The public problems that the search is measured by are the published ones.

R. Tanabe, H. Ishibuchi, Applied Soft Computing 89 (2020) 106078. The tabulated ideal points are the least
values of each aim over the Pareto front, so no feasible vector may lie below them by more than their digits,
and a short search must come near the tabulated hypervolume.
"""

import numpy as np
import pytest

from explorer.search import island
from explorer.search.archive import front, merged
from explorer.search.problem import evaluated, joined
from explorer.search.space import drawn
from tests.bench.yardstick_problems import GEAR_FRONT, YARDSTICKS, Yardstick, every_gear_train
from tests.bench.yardsticks import gear, is_gear_front, percent

BY_NAME = {y.name.split()[0]: y for y in YARDSTICKS}


@pytest.fixture(params=YARDSTICKS, ids=lambda y: y.name)
def problem(request: pytest.FixtureRequest) -> Yardstick:
    return request.param


def test_the_tabulated_ideal_and_hypervolume_fit_the_formulas(problem: Yardstick) -> None:
    state, seen = island.begin(problem, 1, 0), []
    while state.evaluations < 20_000:
        state, rows = island.step(state, problem)
        seen.append(rows)
    every = joined(seen)
    kept = merged(state.archive).kept.F
    assert 95.0 < percent(problem, merged(state.archive)) < 100.05
    ideal, span = np.array(problem.ideal), np.array(problem.nadir) - np.array(problem.ideal)
    # The pooled reference is itself found by search; a thousandth of the range covers what it missed.
    assert (every.F[every.feasible] > ideal - 1e-3 * span).all()
    assert (kept.min(axis=0) < ideal + 0.05 * span).all()


def test_a_vector_scores_the_same_in_any_batch(problem: Yardstick) -> None:
    X = drawn(problem.space, 50, np.random.default_rng(2))
    whole, part = evaluated(problem, X), evaluated(problem, X[17:18].copy())
    assert whole.F[17] == pytest.approx(part.F[0], rel=1e-13)
    assert whole.violation[17] == pytest.approx(part.violation[0], rel=1e-13, abs=1e-15)


def test_the_truss_at_its_bounds() -> None:
    """Least volume at the lower bounds, 200 (2 + 2 + 2**(1/4) + 1); there the joint moves 0.04."""
    y = BY_NAME["RE21"]
    f = y.evaluate(y.space.low[None, :]).F[0]
    assert f[0] == pytest.approx(200.0 * (5.0 + 2.0**0.25), rel=1e-12)
    assert f == pytest.approx([y.ideal[0], y.nadir[1]], rel=1e-8)


def test_every_gear_train_tried_gives_the_tabulated_front() -> None:
    y = BY_NAME["CRE25"]
    s = y.evaluate(every_gear_train())
    F = s.F[s.violation <= 0.0]
    kept = F[front(F, y.enough, np.zeros(len(F)))]
    assert is_gear_front(kept)
    assert len(kept) == len(GEAR_FRONT) == 17
    assert not is_gear_front(kept[1:])
    assert not is_gear_front(np.concatenate([kept, [[9.0, 60.0]]]))


def test_the_search_finds_the_whole_gear_front() -> None:
    assert gear(seed=1) is not None
