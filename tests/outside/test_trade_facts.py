"""Facts of the trade that the whole must reproduce.  Common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.assemble import Space, neighbour_travel
from explorer.drives.values import random_vectors
from explorer.scoring.open import open_drive
from tests.scoring.orchard import shelf, study


def _reach(name: str) -> float:
    build = next(b for b in study().builds if name in b.name)
    opened = open_drive(shelf(), build)
    return float(neighbour_travel(opened.space, opened.space.build(opened.X))[0])


def test_chains_let_neighbours_sit_at_opposite_ends_and_bars_do_not() -> None:
    """Strands of 22 mm follow the whole draw of a neighbour; bars of 10 + 10 stop at 20 sin 35 deg."""
    full = float(shelf().demand.full_draw.max())
    assert _reach("differential") == 1.0
    assert _reach("lever") == pytest.approx(20.0 * np.sin(np.radians(35.0)) / full)
    assert _reach("lever") < 0.75


@pytest.mark.parametrize("first", ["linked_lever", "chain_winder", "chain_differential"])
def test_no_bar_that_fits_its_neighbours_reaches_what_longer_strands_reach(first: str) -> None:
    """A bar's limit is room: arms as wide as the fingers' spacing still stop short of a full draw."""
    rng = np.random.default_rng(3)
    spacing = float(np.diff(shelf().demand.pin_x).min())
    bars = Space(shelf(), f"{first}+bar")
    X = random_vectors(bars, 200, rng)
    for j, v in enumerate(bars.variables):
        if v.key.startswith("bar_") and "_arm_" in v.key:
            X[:, j] = spacing / 2.0
    assert (neighbour_travel(bars, bars.build(X)) < 0.8).all()
    chains = Space(shelf(), f"{first}+chain")
    assert neighbour_travel(chains, chains.build(random_vectors(chains, 200, rng))).max() == 1.0
