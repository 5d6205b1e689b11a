"""A decoded drive: its bodies, links and places, for a whole batch.

Carriers are the second-stage bodies, or a finger's own link where a finger stands alone; `a` is always
the index side.  Columns are (N,1).  Everything is laid out from the finger pins back toward the wrist.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from explorer.drives.bodies import Bar, GearSplit, Wheel
from explorer.drives.ratios import Rocker, Spool
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Carrier:
    """One carrier.  `fingers` (a, b) or (i,); `body` None for a finger alone.

    L_in: wrist-side link or strand at rest; L_out: finger links at rest; y: centre at rest (N,1).
    `connector`: mm between the strand's or link's end and the finger pin that is not free (0 for links).
    """

    fingers: tuple[int, ...]
    body: Bar | Wheel | None
    L_in: Floats
    L_out: tuple[Floats, ...]
    y: Floats


@dataclass(frozen=True)
class Drive:
    """A batch of N drives of one architecture and one grouping of fingers."""

    architecture: str
    n: int
    columns: Mapping[str, Floats]  # (N,1) each
    ratio: Rocker | Spool
    first: Bar | Wheel | GearSplit | None
    carriers: tuple[Carrier, ...]
    L_exit: Floats  # link or strand from the ratio part to the first body (or the only carrier)
    y_first: Floats  # centre of the first body at rest; of the only carrier when there is none
    y_ratio: Floats  # pivot or shaft
    z: float  # plane of the drawbars


def groups(fingers: int, single: str) -> tuple[tuple[int, ...], ...]:
    """Which fingers share a carrier: pairs are neighbours; `single` "index side" or "little side"."""
    if fingers == 2:
        return ((0, 1),)
    if fingers == 3:
        return ((0,), (1, 2)) if single == "index side" else ((0, 1), (2,))
    return ((0, 1), (2, 3))


def finger_lengths(pin_y: Floats, fingers: tuple[int, ...], base: Floats) -> tuple[Floats, ...]:
    """Finger links of a pair: `base` to the pin nearest the wrist, the other longer by the pins' step."""
    low = min(float(pin_y[i]) for i in fingers)
    return tuple(base + (float(pin_y[i]) - low) for i in fingers)


def carrier_lengths(y: tuple[Floats, ...], base: Floats) -> tuple[Floats, ...]:
    """Wrist-side links of the carriers: `base` to the one nearest the wrist, others longer by the step."""
    low = y[0] if len(y) == 1 else np.minimum(y[0], y[1])
    return tuple(base + (yk - low) for yk in y)
