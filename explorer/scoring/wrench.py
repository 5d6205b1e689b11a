"""Loads in space: a force at a place with a couple, their sum at another place.  mm, N, N*mm.

Every vector is an array (P,3), one row a position of the hand; frame: x across the palm, y to the
fingertips, z to the back of the hand.  Statics of rigid bodies.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from explorer.mechanics.types import Floats

Kind = Literal[
    "wrist pull",
    "contact",
    "pivot",
    "bush",
    "guide",
    "knuckle",
    "coupling",
    "spring",
    "lock",
    "stop",
]


@dataclass(frozen=True)
class Load:
    """One force with a couple, acting at `at`; `name` in words.  (P,3) each."""

    name: str
    kind: Kind
    at: Floats
    force: Floats
    couple: Floats


@dataclass(frozen=True)
class Wrench:
    """Force and moment of several loads about one place (P,3)."""

    force: Floats
    moment: Floats


def vector(x: Floats | float, y: Floats | float, z: Floats | float, like: Floats) -> Floats:
    """Three parts (P,) or numbers as (P,3); `like` (P,) gives the rows."""
    zero = np.zeros_like(like)
    return np.stack((x + zero, y + zero, z + zero), axis=-1)


def cross(a: Floats, b: Floats) -> Floats:
    """a x b (P,3)."""
    return np.stack(
        (
            a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1],
            a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2],
            a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0],
        ),
        axis=-1,
    )


def size(v: Floats) -> Floats:
    """Length of vectors (P,3) -> (P,)."""
    return np.sqrt(v[..., 0] * v[..., 0] + v[..., 1] * v[..., 1] + v[..., 2] * v[..., 2])


def moment(load: Load, about: Floats) -> Floats:
    """Moment of a load about a place (P,3): r x F + couple."""
    return np.asarray(cross(load.at - about, load.force) + load.couple)


def summed(loads: Sequence[Load], about: Floats) -> Wrench:
    """The sum of loads about a place (P,3)."""
    force, turning = np.zeros_like(about), np.zeros_like(about)
    for load in loads:
        force, turning = force + load.force, turning + moment(load, about)
    return Wrench(force, turning)


def carried_to(load: Load, place: Floats) -> Load:
    """The same load acting at another place: its couple takes up the step."""
    return Load(load.name, load.kind, place, load.force, moment(load, place))
