"""Pieces: one list from which count, mass, drawings, clearances, envelope, hours and cost come.

Outlines are in world coordinates, (N,P) or (N,1) arrays; z intervals (N,1) span the whole set of `count`
equal pieces (two plates of a doubled lever are one record with count 2).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

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
    fit: str  # "running", "press", "bush"


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


def present(piece: Piece) -> Bools:
    """Where the piece takes up room (N,1): it is counted, or is part of a counted one."""
    return np.asarray((piece.count > 0.0) | piece.outline_only)


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
