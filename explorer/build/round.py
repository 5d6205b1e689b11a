"""Turned and toothed parts: their lengths along the axis, their end views and their side view; mm, rad.

Third-angle: the view of the first face on the left, the side view beside it, and where a second row of
teeth has its own form, the view of the last face on the right.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import pi

import numpy as np

from explorer.build.blank import Arc, Bore, Edge, Line, Point, moved, round_blank
from explorer.build.cut import at_rest
from explorer.drives.pieces import Piece, Section
from explorer.mechanics import tooth

APART = 10.0  # mm between views
_CROSS = 2.0  # mm, how far a centre line reaches past the part


@dataclass(frozen=True)
class Length:
    """One length along the axis: a disc of radius `r`, or chain teeth with tips at `r`."""

    what: str
    length: float
    r: float
    teeth: int
    pitch: float

    @property
    def edges(self) -> tuple[Edge, ...]:
        """Its outline from the end, about the axis; a gap between teeth lies along +x."""
        return toothed_blank(self.pitch, self.teeth) if self.teeth else round_blank(self.r)

    @property
    def area(self) -> float:
        """Inside the outline, mm2."""
        return sum(e.area for e in self.edges)


@dataclass(frozen=True)
class Round:
    """A part by its lengths from the first face on; the first of its bores is on the axis."""

    lengths: tuple[Length, ...]
    bores: tuple[Bore, ...]

    @property
    def long(self) -> float:
        """Overall length, mm."""
        return sum(part.length for part in self.lengths)

    @property
    def r(self) -> float:
        """Largest radius, mm."""
        return max(part.r for part in self.lengths)

    @property
    def volume(self) -> float:
        """Metal, mm3: outlines times lengths less bores times depths."""
        solid = sum(part.area * part.length for part in self.lengths)
        return solid - sum(pi / 4.0 * b.d * b.d * (b.depth or self.long) for b in self.bores)


@dataclass(frozen=True)
class Stroke:
    """Edges of one kind of line: the drawing layer that they lie on."""

    layer: str
    edges: tuple[Edge, ...]


@dataclass(frozen=True)
class Label:
    """A short word and the middle of where it stands."""

    text: str
    at: Point


@dataclass(frozen=True)
class Views:
    """The end view's outline, every further line, and the numbers of the lengths."""

    outline: tuple[Edge, ...]
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]


def round_of(p: Piece) -> Round:
    """The turned piece of one drive; lengths and holes of nothing are left out."""
    lengths = tuple(_length(s) for s in p.sections if at_rest(s.length) > 0.0)
    bores = tuple(
        Bore(
            Point(at_rest(h.x), at_rest(h.y)), at_rest(h.d), h.fit,
            0.0 if h.depth is None else at_rest(h.depth),
        )
        for h in p.holes
        if at_rest(h.d) > 0.0
    )  # fmt: skip
    return Round(_joined(lengths), bores)


def _length(s: Section) -> Length:
    teeth = round(at_rest(s.teeth))
    form = tooth_form(at_rest(s.pitch), teeth) if teeth else None
    r = at_rest(s.r) if form is None else float(form.tip)
    return Length(s.what, at_rest(s.length), r, teeth, at_rest(s.pitch) if teeth else 0.0)


def _joined(lengths: Sequence[Length]) -> tuple[Length, ...]:
    """Neighbours of one size are one length."""
    out: list[Length] = []
    for part in lengths:
        if out and replace(out[-1], length=part.length) == part:
            out[-1] = replace(part, length=out[-1].length + part.length)
        else:
            out.append(part)
    return tuple(out)


def tooth_form(pitch: float, teeth: int) -> tooth.ToothForm:
    """The form of one wheel, as its mass is figured."""
    p, z = np.array(pitch), np.array(float(teeth))
    return tooth.tooth_form(p, z, tooth.usual_roller(p))


def toothed_blank(pitch: float, teeth: int) -> tuple[Edge, ...]:
    """Seating arc, flank, tip and flank of every tooth, anticlockwise."""
    f = tooth_form(pitch, teeth)
    step, half, top = 2.0 * pi / teeth, float(f.half), float(f.top)
    up, down = Point(float(f.ex), float(f.ey)), Point(float(f.ex), -float(f.ey))
    leaves, meets = float(f.leaves), float(f.meets)
    one: list[Edge] = [
        Arc(Point(float(f.R), 0.0), float(f.seat), pi - half, pi + half, hollow=True),
        Arc(up, float(f.flank), leaves, meets),
    ]
    if step - 2.0 * top > 1e-9:
        one.append(Arc(Point(0.0, 0.0), float(f.tip), top, step - top))
    one += moved((Arc(down, float(f.flank), -meets, -leaves),), step, Point(0.0, 0.0))
    return tuple(e for k in range(teeth) for e in moved(one, k * step, Point(0.0, 0.0)))


def views_of(part: Round) -> Views:
    """Where everything of its drawing lies; the first end view is about the origin."""
    first, last = _shown(part.lengths)
    a = part.lengths[first]
    side_x = part.r + APART
    strokes = [*_circles(part, first, 0.0), *_side(part, side_x)]
    if last != first:
        b = part.lengths[last]
        at = Point(side_x + part.long + APART + part.r, 0.0)
        strokes.append(Stroke("OUTLINE", moved(b.edges, 0.0, at)))
        strokes += _circles(part, last, at.x)
        strokes.append(Stroke("STEPS", moved(round_blank(part.bores[0].d / 2.0), 0.0, at)))
    return Views(a.edges, tuple(strokes), _labels(part, side_x))


def _shown(lengths: Sequence[Length]) -> tuple[int, int]:
    """Which outlines the end views show: the first and the last row of teeth, else the widest disc."""
    toothed = [k for k, part in enumerate(lengths) if part.teeth]
    if toothed:
        first, last = toothed[0], toothed[-1]
        same = (lengths[first].teeth, lengths[first].pitch) == (
            lengths[last].teeth,
            lengths[last].pitch,
        )
        return first, first if same else last
    widest = max(range(len(lengths)), key=lambda k: lengths[k].r)
    return widest, widest


def _circles(part: Round, shown: int, x: float) -> list[Stroke]:
    """In an end view: the diameters beside the outline shown, the pitch and pin circles, the cross."""
    at, here = Point(x, 0.0), part.lengths[shown]
    near = {
        q.r
        for k, q in enumerate(part.lengths)
        if not q.teeth and k != shown and (abs(k - shown) == 1 or not here.teeth)
    }
    out = [Stroke("STEPS", (Arc(at, r, 0.0, 2.0 * pi),)) for r in sorted(near)]
    marks: list[Edge] = []
    if here.teeth:
        marks.append(Arc(at, float(tooth_form(here.pitch, here.teeth).R), 0.0, 2.0 * pi))
    pins = part.bores[1:] if x == 0.0 else ()
    marks += [Arc(at, r, 0.0, 2.0 * pi) for r in sorted({round(b.at.length, 9) for b in pins})]
    reach = here.r + _CROSS
    marks.append(Line(Point(x - reach, 0.0), Point(x + reach, 0.0)))
    marks.append(Line(Point(x, -reach), Point(x, reach)))
    return out + [Stroke("CENTRE", (m,)) for m in marks]


def _side(part: Round, x: float) -> list[Stroke]:
    """The side view: a rectangle a length, and the bore and one pin hole behind the metal."""
    out: list[Stroke] = []
    at = x
    for q in part.lengths:
        out.append(Stroke("SIDE", _box(at, at + q.length, -q.r, q.r)))
        at += q.length
    bore = part.bores[0].d / 2.0
    out.append(Stroke("HIDDEN", _box(x, x + part.long, -bore, bore)))
    for b in part.bores[1:2]:
        y = b.at.length
        deep = x + (b.depth or part.long)
        out.append(Stroke("HIDDEN", _box(x, deep, y - b.d / 2.0, y + b.d / 2.0)))
    line = Line(Point(x - _CROSS, 0.0), Point(x + part.long + _CROSS, 0.0))
    return [*out, Stroke("CENTRE", (line,))]


def _box(x0: float, x1: float, y0: float, y1: float) -> tuple[Edge, ...]:
    corners = (Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1))
    return tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))


def _labels(part: Round, x: float) -> tuple[Label, ...]:
    """The lengths' numbers under the side view."""
    out: list[Label] = []
    for n, q in enumerate(part.lengths, start=1):
        out.append(Label(str(n), Point(x + q.length / 2.0, -part.r - 2.0)))
        x += q.length
    return tuple(out)
