"""Pieces: one list from which count, mass, drawings, clearances, envelope, hours and cost come.

Outlines are in world coordinates, (N,P) or (N,1) arrays; z intervals (N,1) span the whole set of `count`
equal pieces (two plates of a doubled lever are one record with count 2).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from explorer.mechanics import tooth
from explorer.mechanics.outline import Box, Sector, Stadium
from explorer.mechanics.types import Bools, Floats

What = Literal[
    "plate",
    "link",
    "pin",
    "shaft",
    "bush",
    "washer",
    "ring",
    "spacer",
    "chain",
    "wheel",
    "drum",
    "gear",
    "end piece",
    "bracket",
    "clamp",
]
Moves = Literal["fixed", "turning", "sliding", "settling"]
Stage = Literal["first", "second a", "second b"]


@dataclass(frozen=True)
class Hole:
    """A round hole in a cut piece, in the piece's own frame (x along p-q, from p); mm (N,1)."""

    x: Floats
    y: Floats
    d: Floats
    fit: str  # "running", "press", "bush"; "clear": what passes through does not touch
    depth: Floats | None = None  # mm from the first face of a turned piece; None: through


@dataclass(frozen=True)
class Section:
    """One length of a turned piece along its axis: a disc, or chain teeth where `teeth` > 0; (N,1).

    `r` radius of the disc or of the tips; `what` is "teeth", "hub", "drum" or "gear".
    """

    what: str
    length: Floats
    r: Floats
    teeth: Floats
    pitch: Floats

    @property
    def area(self) -> Floats:
        """Inside the outline, holes not taken off (N,1), mm2."""
        disc = np.asarray(np.pi * self.r * self.r)
        if not np.any(self.teeth > 0.0):
            return disc
        z, p = np.where(self.teeth > 0.0, self.teeth, 9.0), self.pitch
        return np.where(self.teeth > 0.0, tooth.tooth_area(p, z, tooth.usual_roller(p)), disc)


@dataclass(frozen=True)
class Piece:
    """One kind of piece; `count` (N,1) whole (0: not in this drive); mass g, minutes, price a piece.

    `body` names the rigid body it moves with: pieces of one body never clash.  `joined` names the bodies
    that share a joint with it.  `number` are the columns that make its part number: pieces with equal
    columns and the same `what` are one part number.
    """

    key: str
    words: str
    what: What
    moves: Moves
    stage: Stage
    body: str
    joined: tuple[str, ...]
    shape: Stadium | Sector | Box  # in plan (x, y); a wheel on a shaft along x is a Box
    z0: Floats
    z1: Floats
    count: Floats
    mass: Floats
    minutes: Floats
    price: Floats
    number: tuple[Floats, ...]
    thickness: Floats | None = None
    holes: tuple[Hole, ...] = ()
    face: Stadium | Sector | None = None  # the outline to cut, where the plan does not show it
    outline_only: bool = False  # lends its outline to the piece it is part of; counted there
    stock: str = ""  # name of the stock list its material is chosen from
    stock_index: Floats | None = None
    filled: bool = False  # a plate on three pins whose web between the arms is metal, not air
    sections: tuple[
        Section, ...
    ] = ()  # of a turned piece, from its first face on; bore and pins are `holes`
    metal: Floats | None = None  # index of the plate line whose metal a turned piece is of


def present(piece: Piece) -> Bools:
    """Where the piece takes up room (N,1): it is counted, or is part of a counted one."""
    return np.asarray((piece.count > 0.0) | piece.outline_only)


def disc_section(what: str, length: Floats, r: Floats) -> Section:
    """A length of a plain disc."""
    zero = np.zeros_like(length)
    return Section(what, length, r, zero, zero)


def turned_mass(
    sections: tuple[Section, ...], holes: tuple[Hole, ...], density: Floats | float
) -> Floats:
    """Mass of a turned piece as drawn, its first hole the bore (N,1), g.

    A bore wider than a section (refused by a limit) leaves nothing of it.
    """
    bore = np.pi / 4.0 * holes[0].d * holes[0].d
    volume, long = np.zeros_like(bore), np.zeros_like(bore)
    for s in sections:
        volume = volume + np.maximum(s.area - bore, 0.0) * s.length
        long = long + s.length
    for h in holes[1:]:
        volume = volume - np.pi / 4.0 * h.d * h.d * (long if h.depth is None else h.depth)
    return np.maximum(volume, 0.0) * density


def circle_holes(
    d: Floats, n: Floats, r: Floats, start: Floats | float, depth: Floats | None = None
) -> tuple[Hole, ...]:
    """Up to four pin holes evenly on a circle; those beyond n have no diameter."""
    out = []
    for k in range(4):
        angle = start + 2.0 * np.pi * k / n
        x, y = r * np.cos(angle), r * np.sin(angle)
        out.append(Hole(x, y, np.where(k < n, d, 0.0), "press", depth))
    return tuple(out)


@dataclass(frozen=True)
class Pair:
    """Two pieces that must stay a clearance apart, in plan or in z, by their keys."""

    a: str
    b: str


@dataclass(frozen=True)
class Limit:
    """One limit of a family: `slack` (N,) in its own unit, >= 0 fits; `scale` makes it comparable."""

    id: str
    slack: Floats
    scale: float
