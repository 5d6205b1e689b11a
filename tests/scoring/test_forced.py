"""Leaving the squeezes out of the forces changes no score: they load nothing and wear nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.scoring.score import detail, scores_of
from tests.scoring.orchard import shelf, vectors


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_scores_are_those_of_all_positions(architecture: str) -> None:
    """The same drives with the squeezes kept among the others, where every force is worked out."""
    few = Space(shelf().scoring(), architecture)
    order = [0, *range(len(few.shelf.demand.positions) - 1, 0, -1)]
    mixed = few.shelf.demand.only(order)  # squeezes no longer last
    assert mixed.forced is mixed
    assert few.shelf.demand.forced is not few.shelf.demand
    every = Space(replace(few.shelf, demand=mixed), architecture)
    a, b = (scores_of(detail(space, vectors(architecture))) for space in (few, every))
    for one, other in ((a.aims, b.aims), (a.slacks, b.slacks)):
        for name, value in one.items():
            np.testing.assert_allclose(value, other[name], rtol=1e-12, atol=1e-12, err_msg=name)
    np.testing.assert_allclose(a.margins, b.margins, rtol=1e-12)


def test_what_scores_alone_is_not_made_again() -> None:
    """The positions that score, of themselves, are themselves: a search asks for them every batch."""
    few = shelf().scoring()
    assert few is not shelf()
    assert few.scoring() is few
    assert few.demand.only_must() is few.demand
