"""The hand as the brief has it, drawn to scale: what a maker looks at before any drive exists.

One SVG text: a plan of the palm (x-y) and, for each grip, the fingers that take part (y-z).  Lengths
are millimetres on the sheet too.  A left hand's plan is mirrored; its numbers never are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, cos, degrees, floor, sin
from xml.etree.ElementTree import Element, SubElement, tostring

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.grasp import digit_of
from explorer.brief.records import Brief, Finger, Grip, Post
from explorer.mechanics import finger as fm

PAPER, INK, RULE = "#FBFAF5", "#1C1F22", "#8C8F8A"
GRID = 10.0  # mm
MARGIN = 8.0
HEAD = 13.0  # above each view, for its title
FOOT = 5.0  # a line of words below it
FLAT_HALF = 14.0  # half the drawn length of a flat object


@dataclass(frozen=True)
class _Point:
    """A point of the hand in the plane of a view, mm."""

    u: float
    v: float


@dataclass(frozen=True)
class _View:
    """Where a view stands on the sheet: its rectangle in the hand's plane, v upward."""

    left: float
    top: float
    u0: float
    u1: float
    v0: float
    v1: float
    mirrored: bool = False

    @property
    def width(self) -> float:
        return self.u1 - self.u0

    @property
    def height(self) -> float:
        return self.v1 - self.v0

    def x(self, u: float) -> float:
        """Sheet x of u, mm."""
        return self.left + (self.u1 - u if self.mirrored else u - self.u0)

    def y(self, v: float) -> float:
        """Sheet y of v, mm."""
        return self.top + self.v1 - v


def hand_sketch(brief: Brief, demand: Demand) -> str:
    """The sketch as SVG text; the demand must be that of the brief."""
    plan = _plan_view(brief)
    rows = [int(i) for i in demand.index("grip", "carry")]
    sides = _side_views(brief, demand, rows, plan.left + plan.width + 2 * MARGIN)
    width = max(v.left + v.width for v in [plan, *sides]) + MARGIN
    bottom = max(
        [plan.top + plan.height + 3 * FOOT, *(v.top + v.height + _foot(brief) for v in sides)]
    )
    svg = _sheet(brief, width, bottom + MARGIN)
    _plan(svg, plan, brief, demand)
    for view, row in zip(sides, rows, strict=True):
        _side(svg, view, brief, demand, row)
    return tostring(svg, encoding="unicode")


def _sheet(brief: Brief, width: float, height: float) -> Element:
    svg = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{_n(width)}mm",
            "height": f"{_n(height)}mm",
            "viewBox": f"0 0 {_n(width)} {_n(height)}",
            "role": "img",
            "font-family": "serif",
            "font-size": "3.4",
            "fill": INK,
        },
    )
    SubElement(svg, "title").text = f"Hand of the brief: {brief.name}"
    SubElement(svg, "desc").text = "Plan of the palm and each grip from the side, in millimetres."
    SubElement(svg, "rect", {"width": "100%", "height": "100%", "fill": PAPER})
    _text(svg, MARGIN, MARGIN + 2.0, brief.name, size=5.0)
    scale = f"{brief.side.capitalize()} hand. Grid {GRID:g} mm; full size when printed at 100 %."
    invented = " The hand is invented." if brief.invented else ""
    _text(svg, MARGIN, MARGIN + 7.0, scale + invented)
    return svg


# --- plan


def _plan_view(brief: Brief) -> _View:
    box = brief.cavity.box
    us = [box.x0, box.x1, *(f.knuckle_x for f in brief.fingers), *(f.pin_x for f in brief.fingers)]
    vs = [box.y0, box.y1, *(f.knuckle_y for f in brief.fingers), *(f.pin_y for f in brief.fingers)]
    top = 2 * MARGIN + HEAD
    vs.append(max(vs) + GRID / 2)  # room above the knuckles
    return _View(MARGIN, top, *_whole(us), *_whole(vs), mirrored=brief.side == "left")


def _plan(svg: Element, view: _View, brief: Brief, demand: Demand) -> None:
    box = brief.cavity.box
    _frame(svg, view, "Palm from the back of the hand", "x index to little, y to the fingertips")
    for keepout in brief.cavity.keepouts:
        corner = _Point(min(keepout.x0, keepout.x1), keepout.y1)
        _rect(svg, view, corner, keepout.x1 - keepout.x0, keepout.y1 - keepout.y0, taken=True)
    _rect(svg, view, _Point(box.x0, box.y1), box.x1 - box.x0, box.y1 - box.y0)
    for finger, draw in zip(brief.fingers, demand.full_draw, strict=True):
        _knuckle(svg, view, finger, float(draw))
    foot = view.top + view.height + FOOT
    size = (box.x1 - box.x0, box.y1 - box.y0, box.z1 - box.z0)
    room = " x ".join(f"{s:g}" for s in size)
    names = ", ".join(k.name for k in brief.cavity.keepouts)
    _text(
        svg,
        view.left,
        foot,
        f"Cavity {room} mm; {brief.cavity.clearance:g} mm between moving parts.",
    )
    _text(svg, view.left, foot + FOOT, f"Shaded: {names}." if names else "No keep-outs.")
    _text(
        svg,
        view.left,
        foot + 2 * FOOT,
        "Ring: knuckle. Dot: drawbar pin at rest, with its full draw.",
    )


def _knuckle(svg: Element, view: _View, finger: Finger, draw: float) -> None:
    knuckle, pin = _Point(finger.knuckle_x, finger.knuckle_y), _Point(finger.pin_x, finger.pin_y)
    end = _Point(pin.u, pin.v - draw)
    _circle(svg, view, knuckle, 2.5)
    _line(svg, view, [pin, end], width=0.5)
    _line(svg, view, [_Point(end.u - 1.5, end.v), _Point(end.u + 1.5, end.v)], width=0.5)
    _circle(svg, view, pin, 1.0, filled=True)
    for n, words in enumerate((finger.name, f"{draw:.1f} mm")):
        _text(svg, view.x(end.u), view.y(end.v) + 4.5 + 4.0 * n, words, anchor="middle")


# --- each grip from the side


def _foot(brief: Brief) -> float:
    return FOOT * (len(brief.fingers) + 1)


def _side_views(brief: Brief, demand: Demand, rows: Sequence[int], left: float) -> list[_View]:
    """One view a grip, all of one size, three to a row."""
    points = [p for row in rows for p in _outline_points(brief, demand, row)]
    if not points:
        return []
    us, vs = _whole(p.u for p in points), _whole(p.v for p in points)
    wide, high = us[1] - us[0] + 2 * MARGIN, vs[1] - vs[0] + HEAD + _foot(brief) + MARGIN
    top = 2 * MARGIN + HEAD
    return [_View(left + i % 3 * wide, top + i // 3 * high, *us, *vs) for i in range(len(rows))]


def _outline_points(brief: Brief, demand: Demand, row: int) -> list[_Point]:
    grip = brief.grips[demand.positions[row].grip]
    points = [
        p
        for i, finger in enumerate(brief.fingers)
        if grip.does[i] == "engaged"
        for p in [*_bones(finger, 0.0), *_bones(finger, float(demand.q1[row, i]))]
    ]
    if grip.post is None:
        return points
    post = brief.posts[grip.post]
    half = grip.width / 2 if grip.shape == "round" else FLAT_HALF
    centre = _Point(
        post.y + post.facing_y * grip.width / 2, post.z + post.facing_z * grip.width / 2
    )
    around = [_Point(centre.u + a, centre.v + b) for a in (-half, half) for b in (-half, half)]
    return [*points, *around, _Point(post.y, post.z)]


def _bones(finger: Finger, q1: float) -> list[_Point]:
    """Knuckle, middle joint and tip."""
    g, q = digit_of(finger), np.array(q1)
    joint, tip = np.array(0.0), np.array(finger.L2)
    return [
        _Point(0.0, 0.0),
        _Point(float(fm.axis_y(g, q, joint)), float(fm.axis_z(g, q, joint))),
        _Point(float(fm.axis_y(g, q, tip)), float(fm.axis_z(g, q, tip))),
    ]


def _pad(finger: Finger, q1: float) -> list[_Point]:
    """The two ends of the pad's surface."""
    g, q = digit_of(finger), np.array(q1)
    ends = (np.array(finger.d_min), np.array(finger.d_max))
    return [_Point(float(fm.pad_y(g, q, d)), float(fm.pad_z(g, q, d))) for d in ends]


def _side(svg: Element, view: _View, brief: Brief, demand: Demand, row: int) -> None:
    grip = brief.grips[demand.positions[row].grip]
    seen = "index" if brief.side == "left" else "little"  # a left hand is the mirror image
    _frame(svg, view, grip.name, f"from the {seen} side: y to the fingertips, z to the back")
    if grip.post is not None:
        _object(svg, view, grip, brief.posts[grip.post])
    engaged = [i for i, does in enumerate(grip.does) if does == "engaged"]
    for i in reversed(engaged):  # the first engaged finger last, on top
        finger, q1 = brief.fingers[i], float(demand.q1[row, i])
        tone = INK if i == engaged[0] else RULE
        _line(svg, view, _bones(finger, q1), width=0.7, tone=tone)
        if grip.kind == "powered":
            _line(svg, view, _pad(finger, q1), width=1.4, tone=tone)
        else:
            _load(svg, view, grip, q1)
        for joint in _bones(finger, q1)[:2]:
            _circle(svg, view, joint, 1.2, tone=tone)
    _line(
        svg, view, _bones(brief.fingers[engaged[0]], brief.fingers[engaged[0]].q1_rest), dashed=True
    )
    foot = view.top + view.height + FOOT
    for n, words in enumerate(_words(brief, demand, row)):
        _text(svg, view.left, foot + n * FOOT, words)


def _words(brief: Brief, demand: Demand, row: int) -> list[str]:
    """What the view shows, in words: the object, then one line a finger."""
    grip = brief.grips[demand.positions[row].grip]
    if grip.kind == "carry":
        lines = [f"Carries {grip.carry_load:.0f} N in all, {grip.carry_h:g} mm from the knuckle."]
    else:
        lines = [f"{grip.shape} {grip.width:g} mm on the {grip.post}, needs {grip.need:g} N."]
    for i, finger in enumerate(brief.fingers):
        does, draw = grip.does[i].replace("_", " "), float(demand.draw[row, i])
        words = f"{finger.name}: {does}, draw {draw:.1f} mm"
        if grip.does[i] == "engaged":
            words += (
                f", at {degrees(float(demand.q1[row, i])):.0f}°, {demand.m[row, i]:.3f} N per N"
            )
        lines.append(words)
    return lines


def _object(svg: Element, view: _View, grip: Grip, post: Post) -> None:
    at = _Point(post.y, post.z)
    f = _Point(post.facing_y, post.facing_z)
    across = _Point(-f.v, f.u)
    if grip.shape == "round":
        centre = _Point(at.u + f.u * grip.width / 2, at.v + f.v * grip.width / 2)
        _circle(svg, view, centre, grip.width / 2)
    else:
        corners = [
            _Point(at.u + f.u * far + across.u * side, at.v + f.v * far + across.v * side)
            for far, side in (
                (0.0, -FLAT_HALF),
                (0.0, FLAT_HALF),
                (grip.width, FLAT_HALF),
                (grip.width, -FLAT_HALF),
                (0.0, -FLAT_HALF),
            )
        ]
        _line(svg, view, corners)
    for angle in {post.cradle, -post.cradle}:
        ray = _Point(f.u * cos(angle) - f.v * sin(angle), f.u * sin(angle) + f.v * cos(angle))
        _line(svg, view, [at, _Point(at.u + 6 * ray.u, at.v + 6 * ray.v)], tone=RULE)
    _circle(svg, view, at, 1.2, filled=True)
    _text(svg, view.x(at.u) - 2.5, view.y(at.v) + 1.0, post.name, anchor="end")


def _load(svg: Element, view: _View, grip: Grip, q1: float) -> None:
    """The load at its place on the proximal phalanx, square to it, away from the palm side."""
    foot = _Point(grip.carry_h * cos(q1), -grip.carry_h * sin(q1))
    way = _Point(sin(q1), cos(q1))
    end = _Point(foot.u + 12 * way.u, foot.v + 12 * way.v)
    barbs = [
        _Point(end.u - 2.5 * way.u + s * way.v, end.v - 2.5 * way.v - s * way.u)
        for s in (-1.2, 1.2)
    ]
    _line(svg, view, [foot, end])
    _line(svg, view, [barbs[0], end, barbs[1]])


# --- the pen


def _frame(svg: Element, view: _View, title: str, axes: str) -> None:
    """Title, axes in words, grid."""
    _text(svg, view.left, view.top - 6.0, title, size=4.2)
    _text(svg, view.left, view.top - 1.8, f"{axes}, mm", tone=RULE)
    for u in np.arange(view.u0, view.u1 + GRID / 2, GRID):
        zero = abs(u) < GRID / 2
        ends = [_Point(float(u), view.v0), _Point(float(u), view.v1)]
        _line(svg, view, ends, width=0.25 if zero else 0.1, tone=RULE)
    for v in np.arange(view.v0, view.v1 + GRID / 2, GRID):
        zero = abs(v) < GRID / 2
        ends = [_Point(view.u0, float(v)), _Point(view.u1, float(v))]
        _line(svg, view, ends, width=0.25 if zero else 0.1, tone=RULE)


def _line(
    svg: Element,
    view: _View,
    points: Sequence[_Point],
    *,
    width: float = 0.35,
    tone: str = INK,
    dashed: bool = False,
) -> None:
    places = " ".join(f"{_n(view.x(p.u))},{_n(view.y(p.v))}" for p in points)
    look = {"points": places, "fill": "none", "stroke": tone, "stroke-width": _n(width)}
    if dashed:
        look |= {"stroke-dasharray": "2 1.5"}
    SubElement(svg, "polyline", look | {"stroke-linejoin": "round"})


def _circle(
    svg: Element, view: _View, at: _Point, r: float, *, filled: bool = False, tone: str = INK
) -> None:
    place = {"cx": _n(view.x(at.u)), "cy": _n(view.y(at.v)), "r": _n(r)}
    fill = tone if filled else "none"
    SubElement(svg, "circle", place | {"fill": fill, "stroke": tone, "stroke-width": "0.35"})


def _rect(  # a corner is the one with the least u and the greatest v
    svg: Element, view: _View, corner: _Point, wide: float, high: float, *, taken: bool = False
) -> None:
    x = min(view.x(corner.u), view.x(corner.u + wide))
    place = {"x": _n(x), "y": _n(view.y(corner.v)), "width": _n(wide), "height": _n(high)}
    look = {"fill": RULE, "fill-opacity": "0.3"} if taken else {"fill": "none", "stroke": INK}
    SubElement(svg, "rect", place | look | {"stroke-width": "0.5"})


def _text(
    svg: Element,
    x: float,
    y: float,
    words: str,
    *,
    size: float | None = None,
    anchor: str = "start",
    tone: str = INK,
) -> None:
    look = {"x": _n(x), "y": _n(y), "fill": tone, "text-anchor": anchor}
    if size is not None:
        look |= {"font-size": _n(size)}
    SubElement(svg, "text", look).text = words


def _n(x: float) -> str:
    """A number as the sheet writes it: hundredths, no trailing noughts."""
    return f"{round(float(x), 2) + 0.0:g}"


def _whole(values: Iterable[float]) -> tuple[float, float]:
    """Lowest and highest, pushed out to whole grid lines."""
    seen = list(values)
    return floor(min(seen) / GRID) * GRID, ceil(max(seen) / GRID) * GRID
