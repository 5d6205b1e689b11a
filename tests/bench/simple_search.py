"""A plain evolution on arrays: enough to find drives that fit, nothing clever.

Half differential moves, half mutation; choices take a neighbour or any option; fewer violations win,
then more grip.  The long search with islands and archives is another room's work.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.assemble import Space
from explorer.drives.values import random_vectors
from explorer.mechanics.types import Floats
from explorer.scoring.score import Scores, score


@dataclass(frozen=True)
class Found:
    """Best vectors first: X (M,V), violation (M,), grip (M,), and how many vectors were looked at."""

    X: Floats
    violation: Floats
    grip: Floats
    looked_at: int
    first_fit_at: int | None


def _merit(s: Scores) -> tuple[Floats, Floats]:
    grip = s.aims.get("grip", -s.aims["pieces"])
    return s.violation, np.where(np.isfinite(grip), grip, 1e3)


def search(space: Space, rounds: int, seed: int, population: int = 200) -> Found:
    """Evolve `population` vectors for `rounds`."""
    rng = np.random.default_rng(seed)
    V = space.variables
    low = np.array([v.low for v in V])
    high = np.array([v.high for v in V])
    whole = np.array([v.kind != "real" for v in V])
    X = random_vectors(space, 4 * population, rng)
    bad, grip = _merit(score(space, X))
    keep = np.lexsort((-grip, bad))[:population]
    X, bad, grip = X[keep], bad[keep], grip[keep]
    looked, first = 4 * population, None
    for _ in range(rounds):
        a, b, c = (rng.integers(0, population, population) for _ in range(3))
        scale = rng.uniform(0.3, 0.9, (population, 1))
        moved = X[a] + scale * (X[b] - X[c])
        step = X + rng.normal(0.0, 1.0, X.shape) * (high - low) * rng.choice(
            [0.02, 0.1], (population, 1)
        )
        Y = np.where(rng.random((population, 1)) < 0.5, moved, step)
        Y = np.where(rng.random(X.shape) < 0.6, Y, X)
        near = whole & (rng.random(X.shape) < 0.08)
        jump = whole & (rng.random(X.shape) < 0.05)
        Y = np.where(whole, np.round(Y), Y)
        Y = np.where(near, X + rng.choice([-2.0, -1.0, 1.0, 2.0], X.shape), Y)
        Y = np.where(jump, np.floor(rng.uniform(low, high + 1.0, X.shape)), Y)
        Y = np.minimum(np.maximum(Y, low), high)
        bad_y, grip_y = _merit(score(space, Y))
        looked += population
        X, bad, grip = (
            np.concatenate([X, Y]),
            np.concatenate([bad, bad_y]),
            np.concatenate([grip, grip_y]),
        )
        keep = np.lexsort((-grip, bad))[:population]
        X, bad, grip = X[keep], bad[keep], grip[keep]
        if first is None and bad[0] <= 0.0:
            first = looked
    return Found(X, bad, grip, looked, first)
