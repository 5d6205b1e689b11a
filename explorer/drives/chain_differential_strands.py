"""Strands of a chain differential: long enough, and clear of what turns or stands beside them.

A strand leans from its wheel to its carrier: outward it comes near the bracket, inward near the cage plate
or the input wheel.  The gaps make the unit as wide as it is, so its place across the palm goes with them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from explorer.drives.chain_differential_unit import Unit, drop, hung, line, unit
from explorer.drives.layout import Drive
from explorer.drives.motion import Drawn, Led, led
from explorer.drives.shelf import Shelf, take
from explorer.drives.windows import Window, across, inside, more_links, no_less
from explorer.mechanics.types import Floats

LARGEST_SLOPE = np.radians(12.0)  # of a strand out of the drawbar plane; costs 2 % of its pull
_STEPS = 2  # of Newton's, the first of which leaves some 1e-5 mm; and of place and gaps in turn


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
    strands = led(drive, up, shelf.demand.pin_x, longer)
    x, gap = c["unit_x_mm"], u.beside
    for _ in range(_STEPS):
        x = inside(x, _across(shelf, u, drive.y_ratio - longer, gap))
        gap = no_less(gap, _least_gap(shelf, u, strands, x))
    # `unit` hangs its wheels by the larger of the gap and the shop's: what that leaves already needs no more
    gap = np.where(gap > u.beside, gap, c["strand_gap_mm"])
    return {"carrier_strand_links": links, "unit_x_mm": x, "strand_gap_mm": gap}


def _across(shelf: Shelf, u: Unit, y: Floats, gap: Floats) -> Window:
    """Where the unit's middle may lie across the palm, its shaft at y and its strands' gaps so wide (N,1), mm."""
    widens = 1.0 if u.cage is None else 2.0  # gaps to each side of the middle
    half = u.span / 2.0 + widens * (gap - u.beside) + u.t / 2.0
    r, reach = u.bracket_w / 2.0, np.maximum(u.reach, u.bracket_w / 2.0)
    return across(shelf, half, (y - reach, y + r), (u.z - r, u.z + r))


def heights(u: Unit, k: int, z: float) -> tuple[Floats, Floats]:
    """Lowest and highest z (N,1) of strand k on its way from the wheel to the drawbar plane at z."""
    w = u.outputs[k]
    tangent, half = u.z - u.toward * w.mean, w.height / 2.0
    return np.minimum(tangent, z) - half, np.maximum(tangent, z) + half


@dataclass(frozen=True)
class _Beside:
    """What stands beside a strand: reach from the shaft along the strand (N,1); +1 on its outer side, -1 inside."""

    reach: Floats
    side: float


def _neighbours(u: Unit, k: int) -> Iterator[_Beside]:
    """Bracket outside; cage plate or input wheel inside."""
    yield _Beside(u.bracket_w / 2.0, 1.0)
    yield _Beside(u.into.outer if k or u.cage is None else u.cage.radius, -1.0)


def _least_gap(shelf: Shelf, u: Unit, strands: tuple[Led, ...], x: Floats) -> Floats:
    """Least gap beside the strands of a unit in the middle of x that keeps them clear of their neighbours (N,1), mm."""
    low = np.zeros_like(u.t)
    for k, strand in enumerate(strands):
        for beside in _neighbours(u, k):
            start = x - u.span / 2.0 + u.at_out[k]
            low = np.maximum(low, _beside_one(shelf, u, k, strand, start, beside))
    return low


def _beside_one(
    shelf: Shelf, u: Unit, k: int, strand: Led, start: Floats, beside: _Beside
) -> Floats:
    """Least gap between strand k, which starts at this x, and a neighbour (N,1), mm; 0 over or under it.

    The neighbour's corner stands `gap` beside the chain, of which half is W/2, and `reach` from the shaft:
    ((W/2 + gap) - reach tan) cos >= W/2 + clearance.  A wider gap puts the wheels of both sides as much further
    apart, which turns the strand; so the gap is sought by Newton's steps.  Derived.
    """
    wide, clear = u.outputs[k].width / 2.0, shelf.brief.cavity.clearance
    outward = (1.0 if k else -1.0) * beside.side
    moves = 0.0 if u.cage is None else beside.side * (strand.follows - 1.0) / strand.length
    at_rest = outward * (strand.x + (strand.follows - 1.0) * start) / strand.length
    gap = u.beside
    for _ in range(_STEPS):
        tan = np.maximum(at_rest + moves * (gap - u.beside), 0.0)
        secant = np.sqrt(1.0 + tan * tan)
        need = (wide + clear) * secant + beside.reach * tan - wide
        rate = moves * (tan > 0.0) * ((wide + clear) * tan / secant + beside.reach)
        # where a strand is shorter than its neighbour reaches, which other limits refuse, steps stay small
        gap = gap + (need - gap) / (1.0 - np.minimum(rate, 0.5))
    z0, z1 = heights(u, k, shelf.z)
    apart = np.maximum(z0 - (u.z + beside.reach), (u.z - beside.reach) - z1)
    return np.where(apart < clear, gap.max(axis=1, keepdims=True), 0.0)
