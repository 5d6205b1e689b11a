"""How far apart are two outlines? Exact plane distances on arrays, mm.

Apart, every distance is exact to rounding. Overlapping, it is zero or negative: a measure of depth
that is continuous, not always the shortest way out. All formulas are plane geometry, derived here.
They use only differences, products, quotients and roots, so that scaling by 2, mirroring and quarter
turns leave stadium distances equal bit for bit, as does swapping the two shapes.
"""

from typing import NamedTuple

import numpy as np

from explorer.mechanics.outline import Box, Sector, Shape, Stadium, disc
from explorer.mechanics.types import Bools, Floats


def gap(a: Shape, b: Shape) -> Floats:
    """Distance between two outlines, mm, (N, P) or whatever the fields broadcast to.

    Stadium and stadium: distance of the segments less both radii, hence negative on overlap.
    """
    if isinstance(a, Box):
        return keepout_gap(b, a)
    if isinstance(b, Box):
        return keepout_gap(a, b)
    if isinstance(a, Stadium):
        return _stadium_stadium(a, b) if isinstance(b, Stadium) else _sector_stadium(b, a)
    return _sector_stadium(a, b) if isinstance(b, Stadium) else _sector_sector(a, b)


def keepout_gap(shape: Shape, box: Box) -> Floats:
    """Distance from a shape to an axis-aligned rectangle, mm; negative when they overlap."""
    if isinstance(shape, Stadium):
        return _segment_box(shape, box) - shape.r
    if isinstance(shape, Sector):
        return _sector_box(shape, box)
    return _beside(
        np.maximum(shape.x0 - box.x1, box.x0 - shape.x1),
        np.maximum(shape.y0 - box.y1, box.y0 - shape.y1),
    )


class _Vec(NamedTuple):
    """A plane vector of arrays, mm."""

    x: Floats
    y: Floats


class _Side(NamedTuple):
    """One segment's line against the two ends of another segment."""

    square: Floats  # least square distance to an end whose foot lies on the segment, else inf
    straddled: Bools  # the ends lie on both sides of the line, and not beyond the segment


def _stadium_stadium(a: Stadium, b: Stadium) -> Floats:
    return np.sqrt(_segments_square(a, b)) - (a.r + b.r)


def _segments_square(a: Stadium, b: Stadium) -> Floats:
    """Square distance of two segments, mm2: 0 if they cross, else an end of one is nearest.

    Discs skip what cannot matter; the result is the same to the bit.
    """
    if a.is_disc and not b.is_disc:
        a, b = b, a
    pp = _Vec(b.px - a.px, b.py - a.py)
    if a.is_disc:
        return _dot(pp, pp)
    u = _Vec(a.qx - a.px, a.qy - a.py)
    qp = _Vec(b.px - a.qx, b.py - a.qy)
    if b.is_disc:
        ends = np.minimum(_dot(pp, pp), _dot(qp, qp))
        return np.minimum(ends, _foot_square(u, pp))
    pq, qq = _Vec(b.qx - a.px, b.qy - a.py), _Vec(b.qx - a.qx, b.qy - a.qy)
    # Summed in an order that stays the same when a and b change places.
    ends = np.minimum(
        np.minimum(_dot(pp, pp), _dot(qq, qq)),
        np.minimum(_dot(pq, pq), _dot(qp, qp)),
    )
    # -v with vectors towards b's start equals v with vectors from it, bit for bit.
    on_a = _side(u, pp, pq)
    on_b = _side(_Vec(b.px - b.qx, b.py - b.qy), pp, qp)
    apart = np.minimum(ends, np.minimum(on_a.square, on_b.square))
    return np.where(on_a.straddled & on_b.straddled, 0.0, apart)


def _side(u: _Vec, w1: _Vec, w2: _Vec) -> _Side:
    """Ends w1 and w2 (from the segment's start) seen from the segment u.

    Segments in one line have cross products of rounding noise only, whose signs mean nothing:
    straddling therefore also asks that the ends are not both before or both beyond the segment.
    """
    uu, along1, along2 = _dot(u, u), _dot(u, w1), _dot(u, w2)
    off1, off2 = _cross(u, w1), _cross(u, w2)
    past1, past2, short1, short2 = along1 > 0.0, along2 > 0.0, along1 < uu, along2 < uu
    square = np.minimum(
        np.where(past1 & short1, off1 * off1, np.inf),
        np.where(past2 & short2, off2 * off2, np.inf),
    )
    square /= uu  # a point (uu = 0) has no foot: inf / 0 is inf, without a warning
    straddled = (off1 * off2 < 0.0) & (past1 | past2) & (short1 | short2)
    return _Side(square, straddled)


def _foot_square(u: _Vec, w: _Vec) -> Floats:
    """Square distance of point w from segment u where its foot lies on it, else inf."""
    uu, along, off = _dot(u, u), _dot(u, w), _cross(u, w)
    square: Floats = np.where((along > 0.0) & (along < uu), off * off, np.inf) / uu
    return square


def _sector_stadium(a: Sector, b: Stadium) -> Floats:
    """Hub, rim and the two edges of a sector against a stadium.

    Away from the edges, what is nearest to the rim, or deepest behind it, is the segment's point
    nearest to the centre: distance from the centre is convex along a segment.
    """
    foot = _nearest_to(a, b)
    around = np.sqrt(_dot(foot, foot)) - a.r_around
    edge1, edge2 = a.radii
    edges = np.sqrt(np.minimum(_segments_square(edge1, b), _segments_square(edge2, b)))
    return np.minimum(np.minimum(around, edges), _behind_rim(a, foot)) - b.r


def _sector_sector(a: Sector, b: Sector) -> Floats:
    """Edges and hub of each against the other; rim against rim on the line of centres."""
    ab = _Vec(b.cx - a.cx, b.cy - a.cy)
    to_a, to_b = _folded(b, _Vec(-ab.x, -ab.y)), _folded(a, ab)
    facing = (_wedge_depth(a, to_b) > 0.0) & (_wedge_depth(b, to_a) > 0.0)
    least = np.where(facing, np.sqrt(_dot(ab, ab)) - (a.r + b.r), np.inf)
    for one, other in ((a, b), (b, a)):
        hub = disc(other.cx, other.cy, other.r_around)
        for piece in (hub, *other.radii):
            least = np.minimum(least, _sector_stadium(one, piece))
    return least


def _sector_box(s: Sector, box: Box) -> Floats:
    """As for a stadium: the box is convex too, so its point nearest to the centre decides."""
    near = _Vec(
        np.minimum(np.maximum(s.cx, box.x0), box.x1) - s.cx,
        np.minimum(np.maximum(s.cy, box.y0), box.y1) - s.cy,
    )
    around = keepout_gap(disc(s.cx, s.cy, s.r_around), box)
    edge1, edge2 = s.radii
    edges = np.minimum(_segment_box(edge1, box), _segment_box(edge2, box))
    return np.minimum(np.minimum(around, edges), _behind_rim(s, near))


def _nearest_to(s: Sector, b: Stadium) -> _Vec:
    """The point of b's segment nearest to the sector's centre, seen from that centre."""
    u, w = _Vec(b.qx - b.px, b.qy - b.py), _Vec(b.px - s.cx, b.py - s.cy)
    if b.is_disc:
        return w
    uu = _dot(u, u)
    t = np.minimum(np.maximum(-_dot(u, w) / np.where(uu > 0.0, uu, 1.0), 0.0), 1.0)
    return _Vec(w.x + t * u.x, w.y + t * u.y)


def _folded(s: Sector, w: _Vec) -> _Vec:
    """Point w (from the centre) along the sector's direction and, unsigned, beside it, mm."""
    t = s.turn
    return _Vec(w.x * t.cd + w.y * t.sd, np.abs(w.y * t.cd - w.x * t.sd))


def _wedge_depth(s: Sector, f: _Vec) -> Floats:
    """Distance of a folded point to the nearer edge's line, mm, > 0 inside the wedge.

    Equals |f| sin(half_angle - angle off the direction), which has the right sign up to pi.
    """
    return f.x * s.turn.sh - f.y * s.turn.ch


def _behind_rim(s: Sector, w: _Vec) -> Floats:
    """Signed distance of point w (from the centre) to the pie, mm; inf outside the wedge.

    Outside the rim |w| - r. Inside the pie minus the way to the nearer of rim and edge; in a
    pie of more than half a turn the nearest point of the edge can be the centre itself.
    """
    f, rho = _folded(s, w), np.sqrt(_dot(w, w))
    across, along = _wedge_depth(s, f), f.x * s.turn.ch + f.y * s.turn.sh
    to_edge = np.where(along > 0.0, across, rho)
    return np.where(across > 0.0, np.maximum(rho - s.r, -to_edge), np.inf)


def _segment_box(s: Stadium, box: Box) -> Floats:
    """Signed distance of a segment to a rectangle, mm, exact also as depth (separating axes).

    Convex shapes overlap when no axis separates them (x, y, the segment's normal); the least
    overlap is then the depth. Apart, an end of the segment or a corner of the box is nearest.
    """
    beside_x = np.maximum(np.minimum(s.px, s.qx) - box.x1, box.x0 - np.maximum(s.px, s.qx))
    beside_y = np.maximum(np.minimum(s.py, s.qy) - box.y1, box.y0 - np.maximum(s.py, s.qy))
    beside = np.maximum(beside_x, beside_y)
    start = _point_box(s.px, s.py, box)
    if s.is_disc:
        return np.where(beside > 0.0, start, beside)
    across, corner = _corners(s, box)
    apart = np.minimum(np.minimum(start, _point_box(s.qx, s.qy, box)), corner)
    beside = np.maximum(beside, across)
    return np.where(beside > 0.0, apart, beside)


def _corners(s: Stadium, box: Box) -> tuple[Floats, Floats]:
    """Separation of a box from a segment along its normal, and distance of the nearest corner.

    Both mm; -inf for the normal of a point, inf if no corner has its foot on the segment.
    """
    ux, uy = s.qx - s.px, s.qy - s.py
    uu = ux * ux + uy * uy
    length = np.sqrt(uu)
    low: Floats = np.full((), np.inf)
    high, least = -low, low
    for x in (box.x0 - s.px, box.x1 - s.px):
        for y in (box.y0 - s.py, box.y1 - s.py):
            along, off = ux * x + uy * y, ux * y - uy * x
            low, high = np.minimum(low, off), np.maximum(high, off)
            on = (along > 0.0) & (along < uu)
            least = np.minimum(least, np.where(on, np.abs(off), np.inf))
    across = np.where(uu > 0.0, np.maximum(low, -high), -np.inf)
    safe = np.where(uu > 0.0, length, 1.0)
    return across / safe, least / safe


def _point_box(x: Floats, y: Floats, box: Box) -> Floats:
    """Distance of a point to a filled rectangle, mm, 0 inside."""
    dx = np.maximum(np.maximum(x - box.x1, box.x0 - x), 0.0)
    dy = np.maximum(np.maximum(y - box.y1, box.y0 - y), 0.0)
    distance: Floats = np.sqrt(dx * dx + dy * dy)
    return distance


def _beside(dx: Floats, dy: Floats) -> Floats:
    """Signed distance of two boxes from their separations along x and y, mm."""
    ox, oy, nearest = np.maximum(dx, 0.0), np.maximum(dy, 0.0), np.maximum(dx, dy)
    return np.where(nearest > 0.0, np.sqrt(ox * ox + oy * oy), nearest)


def _dot(a: _Vec, b: _Vec) -> Floats:
    return a.x * b.x + a.y * b.y


def _cross(a: _Vec, b: _Vec) -> Floats:
    return a.x * b.y - a.y * b.x
