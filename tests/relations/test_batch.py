"""Relation 16: a score does not depend on its neighbours, to the bit: alone, shuffled, cut into chunks.

Any vectors do, those that reach nothing too.
"""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.values import random_vectors
from explorer.mechanics.types import Floats
from explorer.scoring import score as scorer
from explorer.scoring.score import Scores, score
from tests.relations.cases import Case
from tests.relations.compare import TOLD, arrays

CHUNKS = (1, 7, 100, 1000)


@pytest.fixture
def wild(case: Case) -> Case:
    """As many vectors from end to end of every range."""
    X = random_vectors(case.space, len(case.X), np.random.default_rng(11))
    return case.but(X=X)


def table(s: Scores) -> Floats:
    """Aims, slacks and margins side by side (N, ...)."""
    return np.column_stack([*s.aims.values(), *s.slacks.values(), s.margins])


def test_a_drive_alone_is_told_as_in_a_batch(wild: Case) -> None:
    """Every array on the way: what does not hold for each drive by itself is the same for all."""
    n = len(wild.X)
    i = n // 2
    alone = wild.but(X=wild.X[i : i + 1])
    np.testing.assert_array_equal(table(alone.scores)[0], table(wild.scores)[i])
    for name in (*TOLD, "margins", "tired_margins"):
        one, many = (arrays(getattr(c.told, name), name) for c in (alone, wild))
        assert one.keys() == many.keys()
        for path, a in one.items():
            b = many[path]
            assert np.array_equal(a, b[i : i + 1] if len(b) == n else b, equal_nan=True), path


def test_the_order_of_a_batch_does_not_matter(wild: Case) -> None:
    order = np.random.default_rng(12).permutation(len(wild.X))
    shuffled = table(score(wild.space, wild.X[order]))
    np.testing.assert_array_equal(shuffled, table(score(wild.space, wild.X))[order])


@pytest.mark.parametrize("chunk", CHUNKS)
def test_the_chunks_do_not_matter(case: Case, chunk: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same scores, however a batch is cut for the cache; the last chunk is one drive."""
    rows = np.arange(max(chunk, 2) + 1) % len(case.X)
    whole = table(case.searched)[rows]
    monkeypatch.setattr(scorer, "CHUNK", chunk)
    np.testing.assert_array_equal(table(score(case.space, case.X[rows])), whole)
