"""What every piece of a chain differential is made with: one unit on its shaft along x."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from explorer.brief.stock_records import of_size
from explorer.drives import make
from explorer.drives.chain_differential_unit import Unit
from explorer.drives.pieces import Hole, Moves, Piece, Section, What
from explorer.drives.shelf import STEEL, Shelf, take
from explorer.drives.variables import Columns
from explorer.mechanics.outline import Box, Stadium, disc
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Bench:
    """Where the unit stands and what it is made from."""

    shelf: Shelf
    cols: Columns
    u: Unit
    y: Floats

    @property
    def one(self) -> Floats:
        """Ones (N,1)."""
        return np.ones_like(self.u.t)

    def minutes(self, operation: str) -> Floats:
        """Minutes of an operation of the shop (N,1)."""
        return self.shelf.brief.shop.minutes[operation] * self.one

    def plan(self, x_from: Floats, x_to: Floats, r: Floats) -> Box:
        """A round thing on the shaft, seen from above; x along the shaft."""
        x0 = self.u.x0
        return Box(x0 + x_from, x0 + x_to, self.y - r, self.y + r)

    def turned(
        self,
        key: str,
        words: str,
        what: What,
        body: str,
        joined: tuple[str, ...],
        x: tuple[Floats, Floats],
        r: Floats,
        *,
        mass: Floats,
        minutes: Floats,
        price: Floats,
        number: tuple[Floats, ...],
        count: Floats | float = 1.0,
        stock: str = "",
        index: Floats | None = None,
        sections: tuple[Section, ...] = (),
        holes: tuple[Hole, ...] = (),
    ) -> Piece:
        """A round piece (or a set of equal ones inside r) on the shaft."""
        z = self.u.z
        moves: Moves = "fixed" if body == "frame" else "turning"
        return Piece(
            key,
            words,
            what,
            moves,
            "first",
            body,
            joined,
            self.plan(x[0], x[1], r),
            z - r,
            z + r,
            count * self.one,
            mass,
            minutes,
            price,
            number,
            face=disc(0.0 * r, 0.0 * r, r),
            stock=stock,
            stock_index=index,
            sections=sections,
            holes=holes,
        )

    def plate(
        self,
        key: str,
        words: str,
        what: What,
        body: str,
        joined: tuple[str, ...],
        x: Floats,
        face: Stadium,
        holes: tuple[Hole, ...],
    ) -> Piece:
        """A sheet across the shaft, from x to x + t; `face` in its own plane, shaft at the origin."""
        u = self.u
        back = -np.minimum(face.px, face.qx)  # the foot points toward the wrist
        shape = Box(u.x0 + x, u.x0 + x + u.t, self.y - back - face.r, self.y + face.r)
        piece = make.plate_piece(
            self.shelf,
            key,
            words,
            what,
            "fixed" if body == "frame" else "turning",
            "first",
            body,
            joined,
            face,
            u.z - face.r,
            u.z + face.r,
            self.one,
            self.cols["plate"],
            holes,
        )
        return replace(piece, shape=shape, face=face)

    def pins(
        self,
        key: str,
        words: str,
        body: str,
        joined: tuple[str, ...],
        x: tuple[Floats, Floats],
        circle: Floats,
        stem: str,
        count: Floats,
        operation: str,
    ) -> Piece:
        """Plain pins on a circle, without rings."""
        p, i = self.shelf.pins, self.cols[stem]
        d, length = take(p.d, i), x[1] - x[0]
        return self.turned(
            key,
            words,
            "pin",
            body,
            joined,
            x,
            circle + d / 2.0,
            count=count,
            mass=np.pi / 4.0 * d * d * length * take(p.density, i),
            minutes=self.minutes(operation) + take(p.minutes, i),
            price=take(p.price, i),
            number=(i, length),
            stock="pins",
            index=i,
        )


def ring_mass(d: Floats, bore: Floats, length: Floats, density: Floats | float) -> Floats:
    """Mass of a ring, g."""
    return np.pi / 4.0 * np.maximum(d * d - bore * bore, 0.0) * length * density


def hole_minutes(b: Bench, piece: Piece, holes: tuple[Hole, ...]) -> Floats:
    """Minutes with only the holes that are there (d > 0)."""
    each = take(b.shelf.plates.minutes_hole, b.cols["plate"])
    absent = 0.0 * each
    for h in holes:
        absent = absent + np.where(h.d > 0.0, 0.0, 1.0)
    return piece.minutes - each * absent


def spacer(b: Bench, key: str, words: str, body: str, x: tuple[Floats, Floats], r: Floats,
            outside: Floats, bore: Floats, count: Floats, size: Floats) -> Piece:  # fmt: skip
    """A tube on the shaft from x[0] to x[1], pushed over by radius r."""
    length = x[1] - x[0]
    zero = 0.0 * b.one
    return b.turned(
        key,
        words,
        "spacer",
        body,
        (),
        x,
        r,
        count=count,
        mass=ring_mass(outside, bore, length, STEEL),
        minutes=spacer_minutes(b.shelf, zero + bore),
        price=zero,
        number=(bore, length, size),
    )


def spacer_minutes(shelf: Shelf, bore: Floats) -> Floats:
    """Minutes to cut a spacer (N,1): those of the stock's line of this bore, or of its slowest line."""
    lines = shelf.stock.spacers
    out = np.full_like(bore, max((s.minutes for s in lines), default=0.0))
    for d in np.unique(bore):
        line = of_size(lines, "bore", float(d))
        if line is not None:
            out = np.where(bore == d, line.minutes, out)
    return out
