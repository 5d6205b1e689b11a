"""A score does not depend on its neighbours: alone, in a batch, in another order, cut into chunks."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.values import random_vectors
from explorer.mechanics.types import Floats
from explorer.scoring import score as scorer
from explorer.scoring.score import Scores, score
from tests.scoring.orchard import shelf

_ROWS = 60


def _table(s: Scores) -> Floats:
    """Aims, slacks and margins side by side (N, ...)."""
    columns = [*s.aims.values(), *s.slacks.values()]
    return np.column_stack([*columns, s.margins])


def _space(architecture: str) -> tuple[Space, Floats]:
    space = Space(shelf(), architecture)
    return space, random_vectors(space, _ROWS, np.random.default_rng(11))


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_a_drive_alone_scores_as_in_a_batch(architecture: str) -> None:
    """To the bit, for every aim, slack and margin."""
    space, X = _space(architecture)
    together = _table(score(space, X))
    alone = np.vstack([_table(score(space, X[i : i + 1])) for i in range(_ROWS)])
    np.testing.assert_array_equal(alone, together)


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_the_order_of_a_batch_does_not_matter(architecture: str) -> None:
    """Shuffled vectors have shuffled scores."""
    space, X = _space(architecture)
    order = np.random.default_rng(12).permutation(_ROWS)
    np.testing.assert_array_equal(_table(score(space, X[order])), _table(score(space, X))[order])


@pytest.mark.parametrize("architecture", ARCHITECTURES)
@pytest.mark.parametrize("chunk", [7, 32])
def test_the_chunks_do_not_matter(
    architecture: str, chunk: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same scores, however a batch is cut for the cache."""
    space, X = _space(architecture)
    whole = _table(score(space, X))
    monkeypatch.setattr(scorer, "CHUNK", chunk)
    np.testing.assert_array_equal(_table(score(space, X)), whole)
