"""The hand to scale, and what each grip asks: palm and cavity in two views, then each grip from the side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.grasp import digit_of
from explorer.brief.records import Brief, Finger, Grip
from explorer.mechanics import finger as fm
from explorer.report import figures_drive as fd
from explorer.report import svg
from explorer.report.scales import words

FLAT_HALF = 14.0  # mm, half the drawn length of a flat object
SCALE = 3.0  # px a mm


@dataclass(frozen=True)
class GripView:
    """One grip from the side, with its caption."""

    name: str
    figure: Element
    words: str


def hand(brief: Brief, demand: Demand) -> Element:
    """Plan and side view of the palm: cavity, keep-outs, knuckles, drawbar pins with their full draws."""
    f = fd.frame_of(brief, ())
    wide, long, high = f.size
    head, gap = fd.HEADS * SCALE, 4.0 * SCALE
    out = svg.sheet(
        (wide + high) * SCALE + gap, long * SCALE + head, "The palm of the brief, to scale", "hand"
    )
    for is_plan in (True, False):
        at = 0.0 if is_plan else wide * SCALE + gap
        view = (fd.plan if is_plan else fd.side)(out, f, at, head, SCALE)
        fd.ground(view, brief, f, plan_view=is_plan)
        for finger, draw in zip(brief.fingers, demand.full_draw, strict=True):
            u, ku = (
                (finger.pin_x, finger.knuckle_x) if is_plan else (finger.pin_z, finger.knuckle_z)
            )
            _ring(view, ku, finger.knuckle_y, 2.5)
            svg.line(view, u, finger.pin_y, u, finger.pin_y - float(draw), "drawn")
            svg.line(
                view,
                u - 1.5,
                finger.pin_y - float(draw),
                u + 1.5,
                finger.pin_y - float(draw),
                "drawn",
            )
            dot = _ring(view, u, finger.pin_y, 1.0)
            dot.set("class", "pinmark")
    for finger in brief.fingers:
        u = f.x1 - finger.pin_x if f.mirrored else finger.pin_x - f.x0
        svg.text(out, u * SCALE, head - 1.6 * SCALE, finger.name, "mmtext", "middle")
    svg.text(
        out, wide * SCALE + gap + high * SCALE / 2, head - 1.6 * SCALE, "side", "mmtext", "middle"
    )
    return out


def _ring(view: Element, u: float, v: float, r: float) -> Element:
    place = {"cx": svg.n(u), "cy": svg.n(v), "r": svg.n(r), "class": "knuckle"}
    return SubElement(view, "circle", place)


def grips(brief: Brief, demand: Demand) -> tuple[GripView, ...]:
    """Each switched-on grip: the fingers that take part and the object, all at one scale."""
    rows = [int(i) for i in demand.index("grip", "carry")]
    if not rows:
        return ()
    points = np.array([p for row in rows for p in _extent(brief, demand, row)])
    low, high = points.min(axis=0) - 4.0, points.max(axis=0) + 4.0
    return tuple(
        _grip(brief, demand, row, (float(low[0]), float(low[1])), (float(high[0]), float(high[1])))
        for row in rows
    )


def _extent(brief: Brief, demand: Demand, row: int) -> list[tuple[float, float]]:
    grip = brief.grips[demand.positions[row].grip]
    out = [(0.0, 0.0)]
    for i, finger in enumerate(brief.fingers):
        if grip.does[i] == "engaged":
            out += _bones(finger, float(demand.q1[row, i]))
    if grip.post is None:
        return out
    post = brief.posts[grip.post]
    half = grip.width / 2 if grip.shape == "round" else FLAT_HALF
    cy, cz = post.y + post.facing_y * grip.width / 2, post.z + post.facing_z * grip.width / 2
    return [*out, (cy - half, cz - half), (cy + half, cz + half), (post.y, post.z)]


def _bones(finger: Finger, q1: float) -> list[tuple[float, float]]:
    """Knuckle, middle joint, tip; y and z."""
    g, q = digit_of(finger), np.array(q1)
    ends = [np.array(0.0), np.array(finger.L2)]
    return [(0.0, 0.0), *((float(fm.axis_y(g, q, e)), float(fm.axis_z(g, q, e))) for e in ends)]


def _grip(
    brief: Brief, demand: Demand, row: int, low: tuple[float, float], high: tuple[float, float]
) -> GripView:
    grip, name = brief.grips[demand.positions[row].grip], demand.positions[row].name
    wide, tall, scale = high[0] - low[0], high[1] - low[1], 1.6
    out = svg.sheet(wide * scale, tall * scale, f"{name}, from the side", "grip")
    inner = SubElement(
        out,
        "svg",
        {
            "viewBox": f"{svg.n(low[0])} {svg.n(-high[1])} {svg.n(wide)} {svg.n(tall)}",
            "class": "view",
        },
    )
    view = SubElement(inner, "g", {"transform": "scale(1 -1)"})
    for u in np.arange(math.ceil(low[0] / 10.0) * 10.0, high[0], 10.0):
        svg.line(view, u, low[1], u, high[1], "mmgrid")
    for v in np.arange(math.ceil(low[1] / 10.0) * 10.0, high[1], 10.0):
        svg.line(view, low[0], v, high[0], v, "mmgrid")
    _object(view, brief, grip)
    engaged = [i for i, does in enumerate(grip.does) if does == "engaged"]
    for i in reversed(engaged):
        finger, q1 = brief.fingers[i], float(demand.q1[row, i])
        _bone_line(view, _bones(finger, q1), "bone" if i == engaged[0] else "bone behind")
        if grip.kind == "carry":
            at = (grip.carry_h * math.cos(q1), -grip.carry_h * math.sin(q1))
            svg.line(view, *at, at[0] + 9 * math.sin(q1), at[1] + 9 * math.cos(q1), "load")
    return GripView(name, out, _words(grip, demand, row))


def _bone_line(view: Element, points: Sequence[tuple[float, float]], look: str) -> None:
    told = " ".join(f"{svg.n(u)},{svg.n(v)}" for u, v in points)
    SubElement(view, "polyline", {"points": told, "class": look})
    for u, v in points[:2]:
        _ring(view, u, v, 1.3)


def _object(view: Element, brief: Brief, grip: Grip) -> None:
    if grip.post is None:
        return
    post = brief.posts[grip.post]
    fy, fz = post.facing_y, post.facing_z
    cy, cz = post.y + fy * grip.width / 2, post.z + fz * grip.width / 2
    if grip.shape == "round":
        _ring(view, cy, cz, grip.width / 2).set("class", "object")
    else:
        corners = [
            (post.y + fy * far - fz * s, post.z + fz * far + fy * s)
            for far, s in (
                (0.0, -FLAT_HALF),
                (0.0, FLAT_HALF),
                (grip.width, FLAT_HALF),
                (grip.width, -FLAT_HALF),
            )
        ]
        told = " ".join(f"{svg.n(u)},{svg.n(v)}" for u, v in corners)
        SubElement(view, "polygon", {"points": told, "class": "object"})
    _ring(view, post.y, post.z, 1.3).set("class", "pinmark")


def _words(grip: Grip, demand: Demand, row: int) -> str:
    taking = [demand.fingers[i] for i, does in enumerate(grip.does) if does == "engaged"]
    who = ", ".join(taking)
    if grip.kind == "carry":
        return f"{who} carry {words(float(demand.carried[row]), 'N')} in all"
    return f"{who} on a {grip.shape} object of {words(grip.width, 'mm')} against the {grip.post}, {words(grip.need, 'N')}"
