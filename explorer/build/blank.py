"""The outline of a cut part as lines and true arcs, in the part's own plane; mm and rad.

Origin at the part's first hole or centre, x along its length.  Plane geometry, derived here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement
from math import atan2, cos, hypot, pi, sin, sqrt, tan

NEAR = 1e-7  # mm; nearer than this is the same place


@dataclass(frozen=True)
class Point:
    """A place in the part's plane, mm."""

    x: float
    y: float

    def __sub__(self, other: Point) -> Point:
        return Point(self.x - other.x, self.y - other.y)

    @property
    def length(self) -> float:
        """Distance from the origin, mm."""
        return hypot(self.x, self.y)

    @property
    def angle(self) -> float:
        """Direction from the origin, rad from +x."""
        return atan2(self.y, self.x)

    def stepped(self, angle: float, by: float) -> Point:
        """The place `by` mm away in direction `angle`."""
        return Point(self.x + by * cos(angle), self.y + by * sin(angle))


@dataclass(frozen=True)
class Line:
    """A straight piece of an outline, run with the metal on the left."""

    start: Point
    end: Point

    @property
    def area(self) -> float:
        """Its part of the enclosed area by Green's theorem, mm2."""
        return (self.start.x * self.end.y - self.end.x * self.start.y) / 2.0

    @property
    def length(self) -> float:
        """mm."""
        return (self.end - self.start).length

    @property
    def middle(self) -> Point:
        """Half way along it."""
        return Point((self.start.x + self.end.x) / 2.0, (self.start.y + self.end.y) / 2.0)

    def mirrored(self) -> Line:
        """Turned over about the x axis; run the other way, so that the metal stays on the left."""
        return Line(_over(self.end), _over(self.start))


@dataclass(frozen=True)
class Arc:
    """A piece of a circle, anticlockwise from angle `start` to `end` > start, rad; 2 pi is a whole one.

    `hollow`: the metal lies outside the circle, so the outline runs it the other way.
    """

    centre: Point
    r: float
    start: float
    end: float
    hollow: bool = False

    @property
    def whole(self) -> bool:
        """True for a full circle."""
        return self.end - self.start >= 2.0 * pi - 1e-12

    @property
    def first(self) -> Point:
        """Where it begins."""
        return self.centre.stepped(self.end if self.hollow else self.start, self.r)

    @property
    def last(self) -> Point:
        """Where it ends."""
        return self.centre.stepped(self.start if self.hollow else self.end, self.r)

    @property
    def area(self) -> float:
        """Its part of the enclosed area by Green's theorem, mm2."""
        c, r = self.centre, self.r
        across = c.x * (sin(self.end) - sin(self.start)) - c.y * (cos(self.end) - cos(self.start))
        swept = r * (r * (self.end - self.start) + across) / 2.0
        return -swept if self.hollow else swept

    @property
    def length(self) -> float:
        """mm."""
        return self.r * (self.end - self.start)

    @property
    def middle(self) -> Point:
        """Half way along it; of a whole circle its centre."""
        return (
            self.centre
            if self.whole
            else self.centre.stepped((self.start + self.end) / 2.0, self.r)
        )

    def mirrored(self) -> Arc:
        """Turned over about the x axis."""
        return Arc(_over(self.centre), self.r, -self.end, -self.start, self.hollow)


Edge = Line | Arc


@dataclass(frozen=True)
class Bore:
    """A round hole: centre, diameter, its fit as in `Hole`; `depth` mm, 0 is through."""

    at: Point
    d: float
    fit: str
    depth: float = 0.0


@dataclass(frozen=True)
class Blank:
    """One cut part: a closed outline, anticlockwise, and its holes."""

    edges: tuple[Edge, ...]
    bores: tuple[Bore, ...]

    @property
    def area(self) -> float:
        """Metal seen from above, holes taken off, mm2."""
        return sum(e.area for e in self.edges) - sum(pi * b.d * b.d / 4.0 for b in self.bores)

    def mirrored(self) -> Blank:
        """The part of the other hand."""
        bores = tuple(replace(b, at=_over(b.at)) for b in self.bores)
        return Blank(tuple(e.mirrored() for e in reversed(self.edges)), bores)

    @property
    def handed(self) -> bool:
        """True if the mirrored part is another part: no line mirrors it onto itself."""
        marks = _features(self)
        middle = _middle(marks)
        angles = [(m.at - middle).angle for m in marks if (m.at - middle).length > NEAR]
        tries = [(a + b) / 2.0 for a, b in combinations_with_replacement(angles, 2)] or [0.0]
        return not any(_same(marks, [_across(m, middle, t) for m in marks]) for t in tries)

    def bounds(self) -> tuple[Point, Point]:
        """Lower left and upper right corner, arcs included."""
        places = [p for e in self.edges for p in _extremes(e)]
        xs, ys = [p.x for p in places], [p.y for p in places]
        return Point(min(xs), min(ys)), Point(max(xs), max(ys))


def moved(edges: Sequence[Edge], turn: float, by: Point) -> tuple[Edge, ...]:
    """Edges turned about the origin by `turn`, rad, then carried by `by`."""

    def place(p: Point) -> Point:
        c, s = cos(turn), sin(turn)
        return Point(c * p.x - s * p.y + by.x, s * p.x + c * p.y + by.y)

    return tuple(
        Line(place(e.start), place(e.end))
        if isinstance(e, Line)
        else replace(e, centre=place(e.centre), start=e.start + turn, end=e.end + turn)
        for e in edges
    )


def round_blank(r: float) -> tuple[Edge, ...]:
    """A disc about the origin."""
    return (Arc(Point(0.0, 0.0), r, 0.0, 2.0 * pi),)


def hull_of_discs(centres: Sequence[Point], r: float) -> tuple[Edge, ...]:
    """Outline of the convex hull of equal discs: straights between them, an arc round each corner."""
    corners = _hull(centres)
    if len(corners) == 1:
        return (Arc(corners[0], r, 0.0, 2.0 * pi),)
    out: list[Edge] = []
    n = len(corners)
    for i, here in enumerate(corners):
        ahead = (corners[(i + 1) % n] - here).angle
        behind = (here - corners[i - 1]).angle
        turn = _turn(behind, ahead) if n > 2 else pi
        out.append(Arc(here, r, behind - pi / 2.0, behind - pi / 2.0 + turn))
        start = here.stepped(behind - pi / 2.0 + turn, r)
        out.append(Line(start, corners[(i + 1) % n].stepped(behind - pi / 2.0 + turn, r)))
    return tuple(out)


def bent_plate(end_a: Point, bend: Point, end_b: Point, r: float) -> tuple[Edge, ...]:
    """Union of two stadiums that meet at `bend`: an arc outside the bend, a sharp corner inside.

    Raises ValueError where an arm is too short for its width to have an inner corner.
    """
    along_a, along_b = bend - end_a, end_b - bend
    turn = _turn(along_a.angle, along_b.angle)
    turn = turn - 2.0 * pi if turn > pi else turn
    if abs(turn) * r < NEAR:
        return hull_of_discs((end_a, end_b), r)
    if turn < 0.0:  # bent to the right: run it from the other end, where it bends to the left
        return bent_plate(end_b, bend, end_a, r)
    back = r * tan(turn / 2.0)
    if back > min(along_a.length, along_b.length):
        raise ValueError("an arm of the bent plate is shorter than its width allows")
    a, b = along_a.angle, along_b.angle
    low, left = a - pi / 2.0, b + pi / 2.0
    inner = bend.stepped(a + pi / 2.0, r).stepped(a, -back)
    return (
        Arc(end_a, r, a + pi / 2.0, a + 3.0 * pi / 2.0),
        Line(end_a.stepped(low, r), bend.stepped(low, r)),
        Arc(bend, r, low, low + turn),
        Line(bend.stepped(low + turn, r), end_b.stepped(b - pi / 2.0, r)),
        Arc(end_b, r, b - pi / 2.0, left),
        Line(end_b.stepped(left, r), inner),
        Line(inner, end_a.stepped(a + pi / 2.0, r)),
    )


def sector_blank(r_hub: float, r: float, half: float) -> tuple[Edge, ...]:
    """A hub disc united with a pie of radius r about the same centre, the pie's middle along +x."""
    middle = Point(0.0, 0.0)
    if half >= pi or r_hub >= r:
        return round_blank(max(r_hub, r))
    return (
        Arc(middle, r, -half, half),
        Line(middle.stepped(half, r), middle.stepped(half, r_hub)),
        Arc(middle, r_hub, half, 2.0 * pi - half),
        Line(middle.stepped(-half, r_hub), middle.stepped(-half, r)),
    )


@dataclass(frozen=True)
class _Mark:
    """What a mirror must carry onto its like: a hole, or an edge by its middle and size."""

    at: Point
    size: float
    kind: str


def _features(blank: Blank) -> list[_Mark]:
    edges = [_Mark(e.middle, e.length, type(e).__name__) for e in blank.edges]
    return edges + [_Mark(b.at, b.d, b.fit) for b in blank.bores]


def _middle(marks: Sequence[_Mark]) -> Point:
    """A place that every mirror of the part keeps: the mean of its marks."""
    return Point(sum(m.at.x for m in marks) / len(marks), sum(m.at.y for m in marks) / len(marks))


def _across(mark: _Mark, middle: Point, angle: float) -> _Mark:
    away = mark.at - middle
    return replace(mark, at=middle.stepped(2.0 * angle - away.angle, away.length))


def _same(marks: Sequence[_Mark], others: Sequence[_Mark]) -> bool:
    """Whether each mark has its like among the others, in the same place."""
    near = 1e-5  # mm, of sums of many roundings
    return all(
        any(
            m.kind == o.kind and abs(m.size - o.size) < near and (m.at - o.at).length < near
            for o in others
        )
        for m in marks
    )


def _over(p: Point) -> Point:
    return Point(p.x, -p.y)


def _turn(before: float, after: float) -> float:
    """Left turn from one direction to the next, 0 to 2 pi."""
    return (after - before) % (2.0 * pi)


def _hull(places: Sequence[Point]) -> list[Point]:
    """Convex hull, anticlockwise (monotone chain), without corners that only lie on the way."""
    rest = list[Point]()
    for p in sorted(places, key=lambda p: (p.x, p.y)):
        # Nearer than that is as good as one place: there is no side to tell between them.
        if all((p - q).length > NEAR for q in rest):
            rest.append(p)
    if len(rest) == 1:
        return rest
    lower, upper = _half_hull(rest), _half_hull(rest[::-1])
    ring = lower[:-1] + upper[:-1]
    return [
        p for k, p in enumerate(ring) if not _between(ring[k - 1], p, ring[(k + 1) % len(ring)])
    ]


def _between(a: Point, p: Point, b: Point) -> bool:
    """Whether p is on the straight way from a to b, as near as makes no arc."""
    before, after = p - a, b - p
    onward = before.x * after.x + before.y * after.y > 0.0
    return onward and abs(_side(a, p, b)) <= NEAR * (b - a).length


def _half_hull(places: Sequence[Point]) -> list[Point]:
    out: list[Point] = []
    for p in places:
        while len(out) > 1 and _side(out[-2], out[-1], p) <= 0.0:
            out.pop()
        out.append(p)
    return out


def _side(a: Point, b: Point, c: Point) -> float:
    """Twice the area of the triangle; positive where c lies left of a-b."""
    u, v = b - a, c - a
    return u.x * v.y - u.y * v.x


def _extremes(edge: Edge) -> list[Point]:
    if isinstance(edge, Line):
        return [edge.start, edge.end]
    out = [edge.first, edge.last]
    for quarter in range(-8, 9):
        angle = quarter * pi / 2.0
        if edge.start <= angle <= edge.end:
            out.append(edge.centre.stepped(angle, edge.r))
    return out


def distance_to_edge(edge: Edge, p: Point) -> float:
    """Distance of a place to a piece of outline, mm."""
    if isinstance(edge, Line):
        along, away = edge.end - edge.start, p - edge.start
        part = (away.x * along.x + away.y * along.y) / (along.x * along.x + along.y * along.y)
        part = min(max(part, 0.0), 1.0)
        return sqrt((away.x - part * along.x) ** 2 + (away.y - part * along.y) ** 2)
    away = p - edge.centre
    inside = _turn(edge.start, away.angle) <= edge.end - edge.start
    if inside or away.length < NEAR:
        return abs(away.length - edge.r)
    return min((p - edge.first).length, (p - edge.last).length)
