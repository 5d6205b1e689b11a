"""The assembly plan: every piece where it stands in the open hand, from the back and from the side, 1:1.

Seen from the back of the hand: x across, y up toward the fingers; a left hand's plan is mirrored in x.
Pieces further from the eye are drawn first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi
from xml.etree.ElementTree import Element, SubElement, tostring

from explorer.brief.records import Brief
from explorer.build.blank import (
    Edge,
    Line,
    Point,
    hull_of_discs,
    moved,
    sector_blank,
)
from explorer.build.cut import at_rest, ends_of
from explorer.build.parts import Part
from explorer.build.svg import HAIR, INK, RULE, Place, check_bar, n, path, sheet, words
from explorer.drives.pieces import Piece, present
from explorer.mechanics.outline import Sector, Stadium, bounds

GAP = 6.5  # mm between balloons
COLUMN = 21.0  # mm beside the plan for balloons
_FILL = {
    "chain": "#D9D6CC",
    "pin": "#5A5F63",
    "shaft": "#5A5F63",
    "wheel": "#EFEDE4",
    "gear": "#EFEDE4",
}
_SMALL = ("ring", "washer", "bush")  # lie under their pin: named in its balloon


@dataclass(frozen=True)
class Balloon:
    """A balloon: its numbers, and the place on the drive that it points at."""

    text: str
    at: Point


def plan_svg(pieces: Sequence[Piece], parts: Sequence[Part], brief: Brief, title: str) -> str:
    """The whole sheet as text."""
    return tostring(plan_sheet(pieces, parts, brief, title), encoding="unicode")


def plan_sheet(
    pieces: Sequence[Piece],
    parts: Sequence[Part],
    brief: Brief,
    title: str,
    *,
    to_scale: bool = True,
) -> Element:
    """Plan with balloons, and under it the drive from the side with its layers.

    `to_scale`: the sheet stands alone at 1:1 and carries a check bar; inside another it does not.
    """
    scale = " 1:1" if to_scale else ""
    mirror = brief.side == "left"
    there = sorted(
        (p for p in pieces if bool(present(p)[0, 0]) and p.what not in _SMALL),
        key=lambda p: float(p.z1[0, 0]),
    )
    low, high = _room(there)
    tall = max(high.y - low.y, GAP * (_rows(parts) + 1))
    depth = max(float(p.z1[0, 0]) for p in there) - min(float(p.z0[0, 0]) for p in there)
    width = high.x - low.x + 2.0 * COLUMN + 12.0
    svg = sheet(max(width, 112.0), 12.0 + tall + 14.0 + depth + (24.0 if to_scale else 0.0), title)
    words(svg, title, 4.0, 6.0, 3.0)
    words(svg, f"{brief.side} hand, open, seen from its back; fingers up.{scale}", 4.0, 10.0, 2.2)
    left = COLUMN + 6.0 - (-high.x if mirror else low.x)
    place = Place(left, 13.0 + tall - (tall - (high.y - low.y)) / 2.0 + low.y)
    for p in there:
        _draw(svg, p, place, mirror=mirror)
    _balloons(svg, _marks(there, parts, mirror=mirror), place, (6.0, 13.0, high.x - low.x, tall))
    _from_side(svg, there, low, 13.0 + tall + 10.0, depth, scale)
    if to_scale:
        check_bar(svg, 6.0, 12.0 + tall + 16.0 + depth + 14.0)
    return svg


def _rows(parts: Sequence[Part]) -> int:
    return (sum(1 for p in parts if p.what not in _SMALL) + 1) // 2


def _room(there: Sequence[Piece]) -> tuple[Point, Point]:
    boxes = [bounds(p.shape) for p in there]
    return (
        Point(min(at_rest(b.x0) for b in boxes), min(at_rest(b.y0) for b in boxes)),
        Point(max(at_rest(b.x1) for b in boxes), max(at_rest(b.y1) for b in boxes)),
    )


def plan_edges(p: Piece, *, mirror: bool) -> tuple[Edge, ...]:
    """A piece's outline in the plan of the open hand, mm; mirrored in x for a left hand."""
    s = p.shape
    if isinstance(s, Stadium):
        edges = hull_of_discs(ends_of(s), at_rest(s.r))
    elif isinstance(s, Sector):
        flat = sector_blank(at_rest(s.r_hub), at_rest(s.r), at_rest(s.half_angle))
        edges = moved(flat, at_rest(s.direction), Point(at_rest(s.cx), at_rest(s.cy)))
    else:
        x0, x1, y0, y1 = (at_rest(v) for v in (s.x0, s.x1, s.y0, s.y1))
        corners = (Point(x0, y0), Point(x1, y0), Point(x1, y1), Point(x0, y1))
        edges = tuple(Line(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))
    if not mirror:
        return edges
    turned_over = tuple(e.mirrored() for e in reversed(edges))
    return moved(turned_over, pi, Point(0.0, 0.0))


def _draw(svg: Element, p: Piece, place: Place, *, mirror: bool) -> None:
    found = SubElement(svg, "path", {
        "class": p.what.replace(" ", "-"), "d": path(plan_edges(p, mirror=mirror), place),
        "fill": _FILL.get(p.what, "#FFFFFF"), "stroke": INK, "stroke-width": n(HAIR),
    })  # fmt: skip
    if p.what == "chain":
        found.set("stroke-dasharray", "1.2 0.6")


def _marks(there: Sequence[Piece], parts: Sequence[Part], *, mirror: bool) -> list[Balloon]:
    """One balloon a part number: its own number, behind a pin's those of what sits on it."""
    by_key = {p.key: p for p in there}
    small = {key: part.number for part in parts if part.what in _SMALL for key in part.keys}
    out: list[Balloon] = []
    for part in parts:
        first = next((by_key[k] for k in part.keys if k in by_key), None)
        if first is None:
            continue
        on = dict.fromkeys(
            number for key, number in small.items()
            for own in part.keys if key in {f"{own} rings", f"{own} washers", f"{own} bushes"}
        )  # fmt: skip
        text = " ".join([part.number, *on]).replace("P", "")
        out.append(Balloon(text, _anchor(first, mirror=mirror)))
    return out


def _anchor(p: Piece, *, mirror: bool) -> Point:
    """A place on the piece to point at: one end's quarter, so that a pin there does not hide it."""
    s = p.shape
    if isinstance(s, Stadium):
        a, b = ends_of(s)
        at = Point(a.x + 0.4 * (b.x - a.x), a.y + 0.4 * (b.y - a.y))
    elif isinstance(s, Sector):
        middle = Point(at_rest(s.cx), at_rest(s.cy))
        at = middle.stepped(at_rest(s.direction), 0.7 * at_rest(s.r))
    else:
        at = Point(
            (at_rest(s.x0) + at_rest(s.x1)) / 2.0,
            at_rest(s.y0) + 0.3 * (at_rest(s.y1) - at_rest(s.y0)),
        )
    return Point(-at.x, at.y) if mirror else at


def _balloons(
    svg: Element, marks: Sequence[Balloon], place: Place, frame: tuple[float, ...]
) -> None:
    """Two columns, each by height, so that leaders do not cross."""
    left, top, wide, tall = frame
    order = sorted(marks, key=lambda m: m.at.x)
    half = len(order) // 2
    for side, x in ((order[:half], left), (order[half:], left + COLUMN + wide + 4.0)):
        rows = sorted(side, key=lambda m: -m.at.y)
        gap = min(tall / max(len(rows), 1), 2.0 * GAP)
        for k, m in enumerate(rows):
            y = top + (tall - gap * len(rows)) / 2.0 + gap * (k + 0.5)
            _balloon(svg, m, Point(x, y), Point(place.x(m.at.x), place.y(m.at.y)), right=x > left)


def _balloon(svg: Element, m: Balloon, at: Point, to: Point, *, right: bool) -> None:
    width = 1.45 * len(m.text) + 2.4
    x = at.x if right else at.x + COLUMN - 5.0 - width
    SubElement(svg, "rect", {
        "x": n(x), "y": n(at.y - 2.2), "width": n(width), "height": n(4.4), "rx": n(2.2),
        "fill": "#FFFFFF", "stroke": INK, "stroke-width": n(HAIR),
    })  # fmt: skip
    words(svg, m.text, x + width / 2.0, at.y + 0.9, 2.5, anchor="middle")
    SubElement(svg, "line", {
        "x1": n(x if right else x + width), "y1": n(at.y), "x2": n(to.x), "y2": n(to.y),
        "stroke": RULE, "stroke-width": n(0.12),
    })  # fmt: skip
    SubElement(svg, "circle", {"cx": n(to.x), "cy": n(to.y), "r": n(0.45), "fill": INK})


def _from_side(
    svg: Element, there: Sequence[Piece], low: Point, top: float, depth: float, scale: str
) -> None:
    """y to the right, z up: layers by their z intervals; the side that is nearer is drawn last."""
    z0 = min(float(p.z0[0, 0]) for p in there)
    words(
        svg,
        f"From the side: wrist left, fingers right, back of the hand up.{scale}",
        6.0,
        top - 2.0,
        2.2,
    )
    for p in there:
        b = bounds(p.shape)
        y, high = at_rest(b.y0), at_rest(b.y1)
        found = SubElement(svg, "rect", {
            "x": n(6.0 + y - low.y), "y": n(top + depth - (float(p.z1[0, 0]) - z0)),
            "width": n(high - y), "height": n(float(p.z1[0, 0] - p.z0[0, 0])),
            "fill": "none", "stroke": INK, "stroke-width": n(HAIR),
        })  # fmt: skip
        if p.what == "chain":
            found.set("stroke-dasharray", "1.2 0.6")
