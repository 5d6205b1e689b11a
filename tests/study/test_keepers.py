"""Which of the unbeaten are kept, and which names they keep."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as some

from explorer.search.measure import Box
from explorer.search.problem import Rows
from explorer.study import keepers as kp
from explorer.study.problem import Aims

AIMS = Aims(
    ("pieces", "room", "stroke"), np.ones(3), np.full(3, -np.inf),
    Box(np.zeros(3), np.ones(3)), np.array([0.01, 0.02, 0.05]),
)  # fmt: skip


def front_of(seed: int, n: int, places: int) -> kp.Front:
    """A front of rows on a sphere's octant, from several spaces."""
    rng = np.random.default_rng(seed)
    F = np.abs(rng.normal(size=(n, 3))) + 1e-9
    F = 1.0 - F / np.sqrt((F * F).sum(axis=1))[:, None]
    parts = []
    for place in range(places):
        mine = np.arange(n) % places == place
        X = rng.random((int(mine.sum()), 2))
        rows = Rows(X, F[mine], np.zeros(len(X)), np.zeros(len(X)))
        parts.append(kp.marked(rows, place, 4))
    return kp.grown(kp.begin(4, AIMS), parts)


@given(some.integers(0, 1000), some.integers(1, 600), some.integers(1, 6))
def test_keepers_are_few_and_hold_the_best(seed: int, n: int, places: int) -> None:
    front = front_of(seed, n, places)
    index, widen = kp.chosen(front, AIMS)
    rows = front.archive.kept
    assert len(index) == len(set(index.tolist())) <= kp.MOST + 3 + places
    assert rows.F[index].min(axis=0).tolist() == rows.F.min(axis=0).tolist()
    assert set(rows.X[index, kp.PLACE]) == set(rows.X[:, kp.PLACE])
    assert widen >= 0


@given(some.integers(0, 1000), some.integers(100, 600))
def test_named_rows_stay_kept(seed: int, n: int) -> None:
    front = front_of(seed, n, 2)
    index, widen = kp.chosen(front, AIMS)
    named = kp.with_names(front, index, np.arange(1.0, len(index) + 1.0), widen)
    again, same = kp.chosen(named, AIMS)
    assert again.tolist() == index.tolist()
    assert same == widen


def test_nothing_is_chosen_of_nothing() -> None:
    index, widen = kp.chosen(kp.begin(4, AIMS), AIMS)
    assert len(index) == widen == 0


def test_what_beats_a_row() -> None:
    front = front_of(1, 200, 2)
    F = front.archive.kept.F
    worse = F[7] + 0.01
    assert 7 in kp.beaten_by(front, worse)
    assert not len(kp.beaten_by(front, F.min(axis=0) - 0.01))


def test_inputs_are_left_alone() -> None:
    front = front_of(2, 50, 2)
    before = front.archive.kept.X.copy()
    kp.with_names(front, np.array([1, 2]), np.array([1.0, 2.0]), 0)
    assert (before == front.archive.kept.X).all()
