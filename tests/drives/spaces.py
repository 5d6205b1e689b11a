"""Design spaces and random vectors within the useful bounds."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from explorer.brief.demand_build import build_demand
from explorer.brief.records import Brief
from explorer.brief.stock_records import Stock
from explorer.drives.assemble import Space
from explorer.drives.shelf import Shelf


def space(brief: Brief, stock: Stock, architecture: str, single: str = "index side") -> Space:
    """A design space."""
    return Space(Shelf(brief, stock, build_demand(brief)), architecture, single)


def vectors(
    space: Space, n: int, rng: np.random.Generator, useful: Mapping[str, tuple]
) -> np.ndarray:
    """Random vectors (n,V) within the useful bounds."""
    X = np.empty((n, len(space.variables)))
    for j, v in enumerate(space.variables):
        low, high = useful.get(v.key, (v.low, v.high))
        real = v.kind == "real"
        X[:, j] = rng.uniform(low, high, n) if real else rng.integers(int(low), int(high) + 1, n)
    return X
