"""What does a piece cover in plan? Stadiums, sectors and boxes as records of arrays.

Lengths in mm, areas in mm2, angles in rad. The fields of one record broadcast against each other;
the leading axis is the candidate, positions follow. Formulas are plane geometry, derived here.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from explorer.mechanics.types import Floats


@dataclass(frozen=True, eq=False)
class Stadium:
    """All points within ``r`` of the segment from (px, py) to (qx, qy)."""

    px: Floats
    py: Floats
    qx: Floats
    qy: Floats
    r: Floats

    @property
    def is_disc(self) -> bool:
        """True when built by `disc`: one centre, so distances can skip the segment."""
        return self.px is self.qx and self.py is self.qy


@dataclass(frozen=True, eq=False)
class Turn:
    """Cosine and sine of a sector's direction (cd, sd) and of its half angle (ch, sh)."""

    cd: Floats
    sd: Floats
    ch: Floats
    sh: Floats


@dataclass(frozen=True, eq=False)
class Sector:
    """A hub disc of radius ``r_hub`` united with a pie of radius ``r`` around the same centre.

    The pie spans direction - half_angle to direction + half_angle, counter-clockwise from +x;
    half_angle >= pi is the whole disc.
    """

    cx: Floats
    cy: Floats
    r_hub: Floats
    r: Floats
    direction: Floats
    half_angle: Floats

    @cached_property
    def turn(self) -> Turn:
        """The four sines and cosines, kept: one sector meets many neighbours."""
        half = np.minimum(self.half_angle, np.pi)
        return Turn(np.cos(self.direction), np.sin(self.direction), np.cos(half), np.sin(half))

    @cached_property
    def r_around(self) -> Floats:
        """Radius of the disc covered all around: the hub, or the rim of a whole wheel."""
        whole = self.half_angle >= np.pi
        return np.where(whole, np.maximum(self.r_hub, self.r), self.r_hub)

    @cached_property
    def radii(self) -> tuple[Stadium, Stadium]:
        """The two straight edges of the pie, clockwise edge first, as stadiums of radius 0."""
        t, c, o = self.turn, self, np.zeros(())
        ax, ay = c.r * (t.cd * t.ch + t.sd * t.sh), c.r * (t.sd * t.ch - t.cd * t.sh)
        bx, by = c.r * (t.cd * t.ch - t.sd * t.sh), c.r * (t.sd * t.ch + t.cd * t.sh)
        return (
            Stadium(c.cx, c.cy, c.cx + ax, c.cy + ay, o),
            Stadium(c.cx, c.cy, c.cx + bx, c.cy + by, o),
        )


@dataclass(frozen=True, eq=False)
class Box:
    """Axis-aligned rectangle, x0 <= x <= x1 and y0 <= y <= y1."""

    x0: Floats
    x1: Floats
    y0: Floats
    y1: Floats


Shape = Stadium | Sector | Box


def disc(x: Floats, y: Floats, r: Floats) -> Stadium:
    """A stadium of no length: centre (x, y), radius r."""
    return Stadium(x, y, x, y, r)


def bounds(shape: Shape) -> Box:
    """Smallest axis-aligned box around the shape, exact (arcs of sectors included)."""
    if isinstance(shape, Stadium):
        s = shape
        return Box(
            np.minimum(s.px, s.qx) - s.r,
            np.maximum(s.px, s.qx) + s.r,
            np.minimum(s.py, s.qy) - s.r,
            np.maximum(s.py, s.qy) + s.r,
        )
    if isinstance(shape, Sector):
        t = shape.turn
        return Box(
            shape.cx - _reach(shape, -t.cd, t.sd),
            shape.cx + _reach(shape, t.cd, t.sd),
            shape.cy - _reach(shape, -t.sd, t.cd),
            shape.cy + _reach(shape, t.sd, t.cd),
        )
    return shape


def _reach(s: Sector, c: Floats, sn: Floats) -> Floats:
    """How far a sector reaches from its centre along an axis, mm.

    c and sn are cosine and sine of the angle between its direction and that axis (sn of any
    sign). The axis inside the wedge meets the rim; otherwise the nearer edge's tip counts.
    """
    ch, sh = s.turn.ch, s.turn.sh
    tip = s.r * (c * ch + np.abs(sn) * sh)
    return np.maximum(s.r_around, np.where(c >= ch, s.r, tip))


def area(shape: Shape) -> Floats:
    """Plan area, mm2, holes not yet taken off."""
    if isinstance(shape, Stadium):
        return np.pi * shape.r * shape.r + 2.0 * shape.r * _length(shape)
    if isinstance(shape, Sector):
        r, half = np.maximum(shape.r, shape.r_hub), np.minimum(shape.half_angle, np.pi)
        return half * r * r + (np.pi - half) * shape.r_hub * shape.r_hub
    return (shape.x1 - shape.x0) * (shape.y1 - shape.y0)


def perimeter(shape: Shape) -> Floats:
    """Length of the outline, mm: what a saw or a cutter runs along."""
    if isinstance(shape, Stadium):
        return 2.0 * np.pi * shape.r + 2.0 * _length(shape)
    if isinstance(shape, Sector):
        r, half = np.maximum(shape.r, shape.r_hub), np.minimum(shape.half_angle, np.pi)
        straight = np.where(half < np.pi, 2.0 * (r - shape.r_hub), 0.0)  # a whole disc has none
        return 2.0 * half * r + 2.0 * (np.pi - half) * shape.r_hub + straight
    return 2.0 * (shape.x1 - shape.x0) + 2.0 * (shape.y1 - shape.y0)


def _length(s: Stadium) -> Floats:
    """Centre distance of a stadium's two ends, mm."""
    ux, uy = s.qx - s.px, s.qy - s.py
    return np.sqrt(ux * ux + uy * uy)
