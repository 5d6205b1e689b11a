"""A drive to scale from its outlines: plan from the back of the hand, side view beside it.

Inside a view one unit is a millimetre.  A left hand is drawn mirrored here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

import numpy as np

from explorer.brief.records import Brief
from explorer.report import svg
from explorer.report.drawbars import BENDS, Bar
from explorer.report.outlines import Drawn, path_d
from explorer.show.layout import number

EDGE = 5.0  # mm shown round the cavity
OVER = 12.0  # mm, at most, shown of what sticks out
GRID = 10.0
HEADS = 6.0  # mm above the views for finger names
THINNEST = 0.3
THICKEST = 2.6  # mm, the line of the largest pull


@dataclass(frozen=True)
class Frame:
    """What the views show, mm in the hand frame."""

    x0: float
    x1: float
    y0: float
    y1: float
    z0: float
    z1: float
    mirrored: bool

    @property
    def size(self) -> tuple[float, float, float]:
        """Width, length and height shown."""
        return self.x1 - self.x0, self.y1 - self.y0, self.z1 - self.z0


def frame_of(brief: Brief, pieces: Sequence[Drawn]) -> Frame:
    """The cavity with an edge; more where pieces stick out of it in z or sideways."""
    c = brief.cavity.box
    z0 = min([c.z0, *(max(p.z0, c.z0 - OVER) for p in pieces)])
    z1 = max([c.z1, *(min(p.z1, c.z1 + OVER) for p in pieces)])
    pins = [f.pin_y for f in brief.fingers]
    return Frame(
        c.x0 - EDGE, c.x1 + EDGE, c.y0 - EDGE, max([c.y1, *pins]) + EDGE, z0 - 2.0, z1 + 2.0,
        brief.side == "left",
    )  # fmt: skip


def plan(parent: Element, f: Frame, x: float, y: float, scale: float) -> Element:
    """The group to draw the plan in, mm, y to the fingertips; it is clipped to its frame."""
    wide, long, _ = f.size
    left = -f.x1 if f.mirrored else f.x0
    return _view(parent, (x, y, wide * scale, long * scale), (left, -f.y1, wide, long), f.mirrored)


def side(parent: Element, f: Frame, x: float, y: float, scale: float) -> Element:
    """The group to draw the side view in: z across (palm left, back right), y to the fingertips."""
    _, long, high = f.size
    return _view(
        parent, (x, y, high * scale, long * scale), (f.z0, -f.y1, high, long), mirrored=False
    )


def _view(
    parent: Element,
    place: Sequence[float],
    box: Sequence[float],
    mirrored: bool,  # noqa: FBT001
) -> Element:
    at = dict(zip(("x", "y", "width", "height"), map(svg.n, place), strict=True))
    inner = SubElement(parent, "svg", at | {"viewBox": " ".join(map(svg.n, box)), "class": "view"})
    return SubElement(inner, "g", {"transform": f"scale({-1 if mirrored else 1} -1)"})


def ground(view: Element, brief: Brief, f: Frame, *, plan_view: bool) -> None:
    """Grid, cavity and keep-outs."""
    c = brief.cavity.box
    u0, u1, cu0, cu1 = (f.x0, f.x1, c.x0, c.x1) if plan_view else (f.z0, f.z1, c.z0, c.z1)
    for u in np.arange(np.ceil(u0 / GRID) * GRID, u1, GRID):
        svg.line(view, u, f.y0, u, f.y1, "mmgrid")
    for v in np.arange(np.ceil(f.y0 / GRID) * GRID, f.y1, GRID):
        svg.line(view, u0, v, u1, v, "mmgrid")
    svg.rect(view, cu0, c.y0, cu1 - cu0, c.y1 - c.y0, "cavity")
    for k in brief.cavity.keepouts:
        a, b = (k.x0, k.x1) if plan_view else (k.z0, k.z1)
        svg.title(svg.rect(view, a, k.y0, b - a, k.y1 - k.y0, "keepout"), k.name)


def pieces_in(
    view: Element,
    pieces: Sequence[Drawn],
    stop: int,
    pulls: Sequence[tuple[Bar, float]],
    *,
    plan_view: bool,
    over: frozenset[str] = frozenset(),
) -> None:
    """All pieces at one stop; `pulls`: drawbars with their line widths, mm."""
    for i, p in enumerate(pieces):
        if p.key in BENDS and plan_view:
            continue
        look = f"piece w-{p.what.replace(' ', '-')}" + (" over" if p.key in over else "")
        if plan_view:
            e = svg.path(view, path_d(p.kind, p.at[stop]), look)
        else:
            e = svg.rect(view, p.z0, p.y0[stop], p.z1 - p.z0, p.y1[stop] - p.y0[stop], look)
        e.set("data-i", str(i))
        svg.title(e, p.words)
    for bar, width in pulls:
        ax, ay, bx, by = (float(v) for v in bar.ends[stop])
        ends = (ax, ay, bx, by) if plan_view else (bar.z, ay, bar.z, by)
        svg.line(view, *ends, "pull").set("stroke-width", svg.n(max(width, THINNEST)))


def overhang(view: Element, brief: Brief, pieces: Sequence[Drawn], stop: int) -> None:
    """In the side view, hatched: what of each piece lies outside the cavity."""
    c = brief.cavity.box
    for p in pieces:
        y0, y1 = float(p.y0[stop]), min(float(p.y1[stop]), c.y1)
        if p.z0 < c.z0 and y1 > y0:
            svg.rect(view, p.z0, y0, min(p.z1, c.z0) - p.z0, y1 - y0, "hatch")
        if p.z1 > c.z1 and y1 > y0:
            svg.rect(view, max(p.z0, c.z1), y0, p.z1 - max(p.z0, c.z1), y1 - y0, "hatch")


def outside(brief: Brief, pieces: Sequence[Drawn], stop: int) -> frozenset[str]:
    """Keys of the pieces that leave the cavity; free strands may pass the knuckle line."""
    c = brief.cavity.box
    found = set()
    for p in pieces:
        free = p.what in {"chain", "link", "end piece"}
        if p.z0 < c.z0 - 1e-9 or p.z1 > c.z1 + 1e-9 or (p.y1[stop] > c.y1 + 1e-9 and not free):
            found.add(p.key)
    return frozenset(found)


def two_views(
    brief: Brief,
    pieces: Sequence[Drawn],
    stop: int,
    pulls: Sequence[tuple[Bar, float]],
    label: str,
    scale: float,
    *,
    hatched: bool = False,
    names: bool = True,
    group: bool = False,
    frame: Frame | None = None,
) -> Element:
    """Plan and side view on one sheet, the same scale, sharing the y axis."""
    f = frame or frame_of(brief, pieces)
    wide, long, high = f.size
    head = HEADS * scale if names else 0.0
    gap = 4.0 * scale
    out = svg.sheet((wide + high) * scale + gap, long * scale + head, label, "drive", group=group)
    over = outside(brief, pieces, stop) if hatched else frozenset()
    for is_plan in (True, False):
        at = 0.0 if is_plan else wide * scale + gap
        view = (plan if is_plan else side)(out, f, at, head, scale)
        ground(view, brief, f, plan_view=is_plan)
        pieces_in(view, pieces, stop, pulls, plan_view=is_plan, over=over)
        if hatched and not is_plan:
            overhang(view, brief, pieces, stop)
    if names:
        for finger in brief.fingers:
            u = f.x1 - finger.pin_x if f.mirrored else finger.pin_x - f.x0
            svg.text(out, u * scale, head - 1.6 * scale, finger.name, "mmtext", "middle")
        svg.text(
            out,
            wide * scale + gap + high * scale / 2,
            head - 1.6 * scale,
            "side",
            "mmtext",
            "middle",
        )
    return out


def scale_words(brief: Brief) -> str:
    """What the views show, in words."""
    seen = "as on a left hand (mirrored)" if brief.side == "left" else "as on a right hand"
    return (
        f"Left: plan from the back of the hand, {seen}, fingers up. Right: from the side, palm on the left. "
        f"Squares of {number(GRID, 0)} mm; shaded: kept free."
    )
