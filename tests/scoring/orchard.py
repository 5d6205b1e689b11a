"""The demo study, read once: its shelf, and feasible-or-not drives of all six architectures."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from explorer.brief.read import Study, read_study
from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.checks import Reduce
from explorer.drives.shelf import Shelf
from explorer.drives.values import random_vectors
from explorer.mechanics.types import Floats
from explorer.scoring.open import shelf_for
from explorer.scoring.score import Detail, detail, score

STUDY = Path(__file__).parents[2] / "studies" / "orchard"
ALL = ARCHITECTURES


@cache
def study() -> Study:
    """The orchard study."""
    return read_study(STUDY)


@cache
def shelf() -> Shelf:
    """Brief, stock and demand of the orchard study."""
    return shelf_for(study())


@cache
def space(architecture: str) -> Space:
    """Design space of one architecture."""
    return Space(shelf(), architecture)


@cache
def vectors(architecture: str, n: int = 40) -> Floats:
    """The n least bad of 400 random vectors (n,V), the same in every run."""
    X = random_vectors(space(architecture), 400, np.random.default_rng(7))
    return X[np.argsort(score(space(architecture), X).violation, kind="stable")[:n]]


@cache
def told(architecture: str, n: int = 12) -> Detail:
    """Everything about the n least bad."""
    return detail(space(architecture), vectors(architecture)[:n])


def at_position(p: int) -> Reduce:
    """Loads of one position alone: (N,P) -> (N,1)."""
    return lambda load: np.ascontiguousarray(np.abs(load[:, p : p + 1]))
