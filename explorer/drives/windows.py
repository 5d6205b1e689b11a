"""Windows: what other sizes leave a size, and moving it into that as one would at the drawing board."""

from __future__ import annotations

import numpy as np

from explorer.drives import pinned
from explorer.drives.pinned import Sheets
from explorer.drives.shelf import Shelf
from explorer.drives.variables import Columns
from explorer.mechanics.types import Floats

Window = tuple[Floats, Floats]  # lowest and highest value of a size, mm (N,1)
_HAIR = 1e-9  # mm; a size is moved this far inside, so that rounding does not leave it out


def inside(x: Floats, window: Window) -> Floats:
    """Sizes x (N,1) that lie in their window; others just inside its nearer end, in an empty one at its low end."""
    low, high = window
    out = (x < low) | (x > high)
    return np.where(out, np.maximum(np.minimum(x, high - _HAIR), low + _HAIR), x)


def whole_from(x: Floats) -> Floats:
    """The least whole number from x on (N,1); what misses one by rounding is that one."""
    return np.ceil(x - _HAIR)


def whole_upto(x: Floats) -> Floats:
    """The largest whole number up to x (N,1); what misses one by rounding is that one."""
    return np.floor(x + _HAIR)


def more_links(links: Floats, spare: Floats, pitch: Floats) -> Floats:
    """Links (N,1), and as many more of this pitch, mm, as the least spare length (N,P) lacks."""
    return links + whole_from(np.maximum(-spare.min(axis=1, keepdims=True), 0.0) / pitch)


def no_less(x: Floats, low: Floats) -> Floats:
    """Sizes x (N,1) in a window without an upper end."""
    return inside(x, (low, np.full_like(low, np.inf)))


def across(shelf: Shelf, half: Floats, y: Window, z: Window) -> Window:
    """Where the middle of what reaches `half` to each side may lie across the palm (N,1), mm.

    Between the cavity's sides and the keep-outs on either hand that it would meet, as it fills y and z; where
    it is too wide, midway.
    """
    cavity = shelf.brief.cavity
    box = cavity.box
    low, high = box.x0 + half, box.x1 - half
    for k in cavity.keepouts:
        meets = (y[0] < k.y1) & (k.y0 < y[1]) & (z[0] < k.z1) & (k.z0 < z[1])
        if k.x0 + k.x1 < box.x0 + box.x1:
            low = np.where(meets, np.maximum(low, k.x1 + half), low)
        else:
            high = np.where(meets, np.minimum(high, k.x0 - half), high)
    middle = (low + high) / 2.0
    return np.minimum(low, middle), np.maximum(high, middle)


def around(n: Floats, r: Floats, d: Floats, web: float) -> Floats:
    """Metal to spare beyond `web` between neighbours of n holes d on a circle of radius r (N,1), mm."""
    return 2.0 * r * np.sin(np.pi / n) - d - web


def least_around(n: Floats, d: Floats, web: float) -> Floats:
    """Least radius of a circle of n holes d (N,1), mm."""
    return (d + web) / (2.0 * np.sin(np.pi / n))


def least_width(shelf: Shelf, t: Floats, *holes: Floats) -> Floats:
    """Least width of a plate t with such holes on its middle line, mm (N,1): what `pinned.drilled` asks for."""
    shop, width = shelf.brief.shop, 2.0 * shelf.brief.shop.edge_over_thickness * t
    for d in holes:
        width = np.maximum(width, d + 2.0 * shop.min_web)
    return np.asarray(width)


def wide_enough(
    shelf: Shelf, cols: Columns, s: Sheets, width: str, *pins: str
) -> dict[str, Floats]:
    """Column `width` of a plate with the holes of these pins, no less than they ask for (N,1)."""
    holes = [pinned.pin_size(shelf, cols, key, s).in_plate for key in pins]
    low = least_width(shelf, s.t_plate, *holes)
    return {width: no_less(cols[width], low)}
