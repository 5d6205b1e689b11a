"""The exact least of many distances, against working all of them out."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.brief.records import Box as Solid
from explorer.drives import envelope
from explorer.drives.assemble import ARCHITECTURES, Space, clear_pairs
from explorer.drives.nearest import NEVER, least_clearance, least_to_keepouts
from explorer.drives.pieces import Piece, present
from explorer.drives.swept import swept
from explorer.drives.values import random_vectors
from explorer.mechanics import distance, outline
from explorer.mechanics.outline import Box
from explorer.mechanics.types import Floats
from tests.scoring.orchard import shelf

_N = 300


def _drives(architecture: str) -> tuple[Space, Floats]:
    space = Space(shelf(), architecture)
    return space, random_vectors(space, _N, np.random.default_rng(3))


def _pieces(space: Space, X: Floats) -> tuple[Piece, ...]:
    drive = space.build(X)
    return space.pieces(drive, space.move(drive))


@pytest.mark.parametrize("must_all", [True, False])
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_least_clearance_is_the_least_of_all_gaps(architecture: str, must_all: bool) -> None:
    """Every pair, every must position, worked out one by one."""
    space, X = _drives(architecture)
    pieces, pairs = _pieces(space, X), clear_pairs(space, space.build(X))
    must = np.array([must_all or i % 2 == 0 for i in range(len(space.shelf.demand.positions))])
    all_gaps = [
        np.broadcast_to(gap, (_N, must.size))[:, must]
        for _, gap in envelope.clearances(pieces, pairs)
    ]
    found = least_clearance(swept(pieces, must), pairs)
    np.testing.assert_allclose(found, np.min(all_gaps, axis=(0, 2)), rtol=0.0, atol=1e-12)


def _one_by_one(pieces: tuple[Piece, ...], solid: Solid) -> Floats:
    """Distance to one keep-out: by the swept box where that is clear of it, else by the outline."""
    least = np.full(_N, NEVER)
    k = Box(*(np.full((1, 1), getattr(solid, n)) for n in ("x0", "x1", "y0", "y1")))
    for p in pieces:
        if p.what in ("ring", "bush", "washer"):
            continue
        b = outline.bounds(p.shape)
        z = np.maximum(p.z0 - solid.z1, solid.z0 - p.z1)[:, 0]
        apart = [b.x0.min(1) - solid.x1, solid.x0 - b.x1.max(1)]
        apart += [b.y0.min(1) - solid.y1, solid.y0 - b.y1.max(1)]
        box = np.maximum(np.max(apart, axis=0), z)
        exact = np.maximum(distance.keepout_gap(p.shape, k).min(axis=1), z)
        away = np.where(box < 0.0, exact, box)
        least = np.minimum(least, np.where(present(p)[:, 0], away, NEVER))
    return least


@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_least_distance_to_keepouts_is_the_least_of_all_pieces(architecture: str) -> None:
    """Two keep-outs that many of the drives reach into."""
    space, X = _drives(architecture)
    pieces = _pieces(space, X)
    solids = (
        Solid("strap", -42.0, -15.0, -97.0, -50.0, 0.0, 30.0),
        Solid("bone", 5.0, 12.0, -60.0, -30.0, 5.0, 18.0),
    )
    s = swept(pieces, np.ones(len(space.shelf.demand.positions), dtype=bool))
    found = least_to_keepouts(s, s.y1, solids)
    expected = np.minimum(*(_one_by_one(pieces, k) for k in solids))
    assert (expected < 0.0).any()
    np.testing.assert_allclose(found, expected, rtol=0.0, atol=1e-12)


def test_without_keepouts_or_pairs_nothing_is_near() -> None:
    """A brief may name no keep-out, and a drive no pair."""
    space, X = _drives(ARCHITECTURES[0])
    s = swept(_pieces(space, X), np.ones(len(space.shelf.demand.positions), dtype=bool))
    np.testing.assert_array_equal(least_to_keepouts(s, s.y1, ()), np.full(_N, NEVER))
    np.testing.assert_array_equal(least_clearance(s, ()), np.full(_N, NEVER))
