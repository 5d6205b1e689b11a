"""Drives whose sizes lie anywhere, for the tests of what is moved into its window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from explorer.brief.read import read_study
from explorer.brief.records import Box
from explorer.drives.assemble import Space, trimmed
from explorer.drives.chain_differential_unit import Cage, Unit, unit
from explorer.drives.nearest import least_to_keepouts
from explorer.drives.shelf import Shelf
from explorer.drives.swept import Swept, swept
from explorer.drives.values import random_vectors
from explorer.drives.variables import Batch, decode
from explorer.mechanics.types import Floats
from explorer.scoring.look import first_look
from explorer.scoring.open import shelf_for

ROOT = Path(__file__).parents[2]
N, GRID = 60, 60
WHEELS = ("wheel_a_teeth", "wheel_b_teeth")
TEETH = (*WHEELS, "input_teeth", "side_teeth", "planet_teeth")
LINKS = ("wheel_strand_links", "carrier_strand_links", "exit_links")
WHOLE = (*TEETH, "output_teeth", "cage_pins", *LINKS)
IDLE = (
    "input_teeth",
    "output_teeth",
    "input_core_mm",
    "output_core_mm",
)  # of a winder, half of them
WIDTHS = ("end_width_mm", "bar_width_mm", "rocker_width_mm", "lever_width_mm")


@cache
def shelf() -> Shelf:
    return shelf_for(read_study(ROOT / "studies" / "orchard"))


@cache
def space(architecture: str) -> Space:
    return Space(shelf(), architecture)


@cache
def drawn(architecture: str) -> Floats:
    return random_vectors(space(architecture), N, np.random.default_rng(5))


@cache
def slim(architecture: str) -> Floats:
    """Drives on thin pins, so that the unit is small."""
    X = drawn(architecture).copy()
    for key in ("output_pin", "cage_pin", "planet_pin", "gear", "input_chain", "output_chain"):
        X[:, column(architecture, key)] = 0.0
    return X


def among(s: Space, keepouts: tuple[Box, ...]) -> Space:
    """The same design space with these keep-outs alone."""
    brief = s.shelf.brief
    brief = replace(brief, cavity=replace(brief.cavity, keepouts=keepouts))
    return replace(s, shelf=replace(s.shelf, brief=brief))


def column(architecture: str, key: str) -> int:
    return [v.key for v in space(architecture).variables].index(key)


def opened(s: Space, X: Floats) -> tuple[Batch, Unit, Cage]:
    """Columns, unit and cage of the vectors of a differential."""
    c = Batch({k: v[:, None] for k, v in decode(s.variables, X).items()})
    u = unit(s.shelf, c)
    assert u.cage is not None
    return c, u, u.cage


def overgrown(key: str) -> Floats:
    """Differentials on thin and on any pins, with as many teeth as there may be."""
    name = "chain_differential+chain"
    X = np.concatenate([slim(name), drawn(name)])
    X[:, column(name, key)] = space(name).variables[column(name, key)].high
    return X


def best_on_a_grid(
    architecture: str,
    key: str,
    spare: Callable[[Space, Floats], Floats],
    take: Callable[[str], Floats] = drawn,
) -> tuple[Floats, Floats]:
    """What `spare` (N,) is once trimmed, and the most it is at any of many values of one size."""
    s, j = space(architecture), column(architecture, key)
    Y = trimmed(s, take(architecture))
    v = s.variables[j]
    most = np.full(N, -np.inf)
    for x in np.linspace(v.low, v.high, GRID):
        Z = Y.copy()
        Z[:, j] = x
        most = np.maximum(most, spare(s, Z))
    return spare(s, Y), most


def room_of(s: Space, X: Floats, *parts: str) -> Swept:
    """What the pieces whose keys begin so sweep."""
    look = first_look(s, X)
    must = np.array([p.must for p in s.shelf.demand.positions])
    return swept([p for p in s.pieces(look.drive, look.motion) if p.key.startswith(parts)], must)


def off_straps(s: Space, X: Floats, *parts: str) -> Floats:
    """How far the pieces whose keys begin so lie off straps and the cavity's sides, mm (N,)."""
    room, c = room_of(s, X, *parts), s.shelf.brief.cavity
    sides = np.minimum(room.x0 - c.box.x0, c.box.x1 - room.x1).min(axis=0)
    return np.minimum(sides, least_to_keepouts(room, room.y1, c.keepouts))


OUTWARD = {"palm": -1.0, "back": 1.0, "wrist": -1.0, "fingers": 1.0}  # of z, and of y


def beside_a_strap(s: Space, x: Floats, key: str, place: float, side: str, end: float) -> float:
    """Where a size across the palm goes once x (V,) is trimmed, with one strap from the index side up to `place`.

    It fills all beyond `end` on that side, mm.
    """
    box, far = s.shelf.brief.cavity.box, 500.0
    span = sorted((end, end + far * OUTWARD[side]))
    y, z = (span, (box.z0, box.z1)) if side in {"wrist", "fingers"} else ((-far, far), span)
    strap = Box("strap", box.x0, place, y[0], y[1], z[0], z[1])
    found = trimmed(among(s, (strap,)), x[None, :])
    return float(found[0, column(s.architecture, key)])


def minded(s: Space, key: str, side: str, *parts: str) -> tuple[Floats, Floats, Floats]:
    """Places (n,) of a size: without straps, with one just beyond what these pieces fill, with one as far inside."""
    none, X = among(s, ()), drawn(s.architecture)
    Y = trimmed(none, X)
    room = room_of(none, Y, *parts)
    ends = {"palm": room.z0.min, "back": room.z1.max, "wrist": room.y0.min, "fingers": room.y1.max}
    end = ends[side](axis=0)
    at = Y[:, column(s.architecture, key)]
    rows = range(0, N, 5)
    off, on = (
        np.array(
            [
                beside_a_strap(s, X[i], key, at[i], side, end[i] + beyond * OUTWARD[side])
                for i in rows
            ]
        )
        for beyond in (0.05, -0.05)
    )
    return at[rows], off, on
