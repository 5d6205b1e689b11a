"""Strands of a chain differential: long enough, and clear of what turns or stands beside them.

A strand leans from its wheel to its carrier: outward it comes near the bracket, inward near the cage plate
or the input wheel.  The gaps make the unit as wide as it is, so its place across the palm goes with them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.chain_differential_unit import Unit, drop, hung, line, unit
from explorer.drives.layout import Drive
from explorer.drives.motion import Drawn, Led, led
from explorer.drives.shelf import Shelf, take
from explorer.drives.windows import Window, across, inside, more_links, no_less
from explorer.mechanics.types import Bools, Floats

LARGEST_SLOPE = np.radians(12.0)  # of a strand out of the drawbar plane; costs 2 % of its pull
_TURNS = 6  # of place and gaps, each of which leaves a third of what the last did or less


def spare(shelf: Shelf, drive: Drive, u: Unit, k: int, y: Floats) -> Floats:
    """What strand k has to spare where its carrier is drawn by y, mm (N,P): end piece off the teeth, and slope."""
    w = u.outputs[k]
    free = drive.carriers[k].L_in - y
    short = free - hung(shelf, drive, k) - take(shelf.chains.connector, w.chain) - w.tangency
    slope = line(drive, k, y) - drop(u, drive.columns, k) / np.tan(LARGEST_SLOPE)
    return np.asarray(np.minimum(short, slope))


def strung(shelf: Shelf, drive: Drive, up: tuple[Drawn, ...]) -> dict[str, Floats]:
    """Links enough for both strands; the unit between straps, and gaps beside its strands for their leans (N,1)."""
    u, c = unit(shelf, drive.columns), drive.columns
    left = np.concatenate([spare(shelf, drive, u, k, d.y) for k, d in enumerate(up)], axis=1)
    links = more_links(c["carrier_strand_links"], left, u.a.pitch)
    longer = (links - c["carrier_strand_links"]) * u.a.pitch
    leans = tuple(_lean_of(s) for s in led(drive, up, shelf.demand.pin_x, longer))
    beside = tuple(_neighbours(shelf, u, k) for k in range(len(leans)))
    x, gap = c["unit_x_mm"], u.beside
    for _ in range(_TURNS):
        x = inside(x, _across(shelf, u, drive.y_ratio - longer, gap))
        low = gap
        for k, lean in enumerate(leans):
            tan, turns = lean.outward(u, k, x, gap)
            for neighbour in beside[k]:
                low = np.maximum(low, neighbour.least(gap, tan, turns))
        gap = no_less(gap, low)
    # `unit` hangs its wheels by the larger of the gap and the shop's: what that leaves already needs no more
    gap = np.where(gap > u.beside, gap, c["strand_gap_mm"])
    return {"carrier_strand_links": links, "unit_x_mm": x, "strand_gap_mm": gap}


def _across(shelf: Shelf, u: Unit, y: Floats, gap: Floats) -> Window:
    """Where the unit's middle may lie across the palm, its shaft at y and its strands' gaps so wide (N,1), mm."""
    gaps = 1.0 if u.cage is None else 2.0  # to each side of the middle
    half = u.span / 2.0 + gaps * (gap - u.beside) + u.t / 2.0
    r, reach = u.bracket_w / 2.0, np.maximum(u.reach, u.bracket_w / 2.0)
    return across(shelf, half, (y - reach, y + r), (u.z - r, u.z + r))


def heights(u: Unit, k: int, z: float) -> tuple[Floats, Floats]:
    """Lowest and highest z (N,1) of strand k on its way from the wheel to the drawbar plane at z."""
    w = u.outputs[k]
    tangent, half = u.z - u.toward * w.mean, w.height / 2.0
    return np.minimum(tangent, z) - half, np.maximum(tangent, z) + half


@dataclass(frozen=True)
class _Lean:
    """Tangent of a strand's lean toward +x by where it starts: at x = 0, and its change with that (N,P)."""

    at_zero: Floats
    slope: Floats

    def outward(self, u: Unit, k: int, x: Floats, gap: Floats) -> tuple[Floats, Floats]:
        """Tangents of strand k's lean away from the unit's middle at x, and their change with the gap (N,P).

        A wider gap puts the wheels of both sides as much further out.
        """
        side = 1.0 if k else -1.0
        moves = 0.0 if u.cage is None else side
        start = x - u.span / 2.0 + u.at_out[k] + moves * (gap - u.beside)
        return side * (self.at_zero + self.slope * start), side * moves * self.slope


def _lean_of(strand: Led) -> _Lean:
    return _Lean(strand.x / strand.length, (strand.follows - 1.0) / strand.length)


@dataclass(frozen=True)
class _Beside:
    """A neighbour of a strand on its outer `side`, +1, or its inner, -1.

    (N,1), mm: `reach` from the shaft, `half` of the chain, that with the clearance; `meets`: neither over nor under.
    """

    side: float
    reach: Floats
    half: Floats
    clear: Floats
    meets: Bools

    def least(self, gap: Floats, outward: Floats, turns: Floats) -> Floats:
        """Gap nearer to the least that keeps it clear of a strand of these leans (N,P) at this gap (N,1), mm.

        Its corner stands `gap` beside the chain and `reach` on:  ((W/2 + gap) - reach tan) cos >= W/2 + clearance.
        One of Newton's steps, from below never too far, in the position that asks for most; derived.
        """
        i = (self.side * outward).argmax(axis=1)[:, None]
        tan = self.side * np.take_along_axis(outward, i, axis=1)
        rate = self.side * np.take_along_axis(turns, i, axis=1)
        rate, tan = np.where(tan > 0.0, rate, 0.0), np.maximum(tan, 0.0)
        secant = np.sqrt(1.0 + tan * tan)
        need = self.clear * secant + self.reach * tan - self.half
        # where a strand is shorter than its neighbour reaches, which other limits refuse, steps stay small
        rate = np.minimum(rate * (self.clear * tan / secant + self.reach), 0.5)
        return np.where(self.meets, gap + (need - gap) / (1.0 - rate), 0.0)


def _neighbours(shelf: Shelf, u: Unit, k: int) -> tuple[_Beside, ...]:
    """Bracket outside; cage plate or input wheel inside."""
    inner = u.into.outer if k or u.cage is None else u.cage.radius
    half, clear = u.outputs[k].width / 2.0, shelf.brief.cavity.clearance
    z0, z1 = heights(u, k, shelf.z)

    def beside(side: float, reach: Floats) -> _Beside:
        apart = np.maximum(z0 - (u.z + reach), (u.z - reach) - z1)
        return _Beside(side, reach, half, half + clear, apart < clear)

    return beside(1.0, u.bracket_w / 2.0), beside(-1.0, inner)
