"""Aims against one another: the lower triangle of the pair grid, and parallel lines of the held few."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from xml.etree.ElementTree import Element, SubElement

import numpy as np

from explorer.report import svg
from explorer.report.gather import Entry, Gathered
from explorer.report.scales import AimScale, usable, words

SIZE, LEFT, FOOT, TOP = 226.0, 38.0, 34.0, 20.0
MOST_AIMS = 4  # six pairs
MOST_AXES = 7
_WEAK = 0.3  # rank agreement below which neither helps nor hurts


@dataclass(frozen=True)
class Pair:
    """Two aims against each other, and the sentence about them."""

    key: str
    words: str
    figure: Element
    row: int
    column: int


def pairs(g: Gathered, found: Sequence[AimScale]) -> tuple[Pair, ...]:
    """The lower triangle of the first four aims: at most six pairs."""
    used = list(enumerate(found))[:MOST_AIMS]
    out = []
    for (i, x), (j, y) in combinations(used, 2):
        told = conflict(g.figured, x, y)
        out.append(Pair(f"{x.rule.name}-{y.rule.name}", told, _pair(g, x, y), j, i + 1))
    return tuple(out)


def conflict(entries: Sequence[Entry], x: AimScale, y: AimScale) -> str:
    """Whether two aims pull against each other over the keepers, by ranks (Spearman)."""
    rows = [e for e in entries if usable(e, x.rule.name) and usable(e, y.rule.name)]
    if len(rows) < 5:
        return f"{x.short} and {y.short}: too few drives to say"
    a = _ranks([e.aims[x.rule.name] * (1 if x.rule.more else -1) for e in rows])
    b = _ranks([e.aims[y.rule.name] * (1 if y.rule.more else -1) for e in rows])
    spread = float(np.sqrt((a * a).sum() * (b * b).sum()))
    r = float((a * b).sum()) / spread if spread > 0.0 else 0.0
    if r < -_WEAK:
        return (
            f"{better(x)} costs {y.short}"
            if x.rule.name not in _PLURAL
            else f"{better(x)} cost {y.short}"
        )
    if r > _WEAK:
        return f"{better(x)} {'go' if x.rule.name in _PLURAL else 'goes'} with {better(y)}"
    return f"{x.short} and {y.short} hardly touch each other"


_PLURAL = {"pieces", "part_numbers", "hours"}


def better(s: AimScale) -> str:
    """What better means on an aim: "more grip", "fewer pieces", "a longer service interval"."""
    special = {
        "weeks": "a longer service interval",
        "fatigue": "more fatigue margin",
        "box": "a smaller overall box",
        "share_error": "a smaller share error",
        "pin_margin": "a larger pin margin",
        "cost": "a lower cost",
    }
    more = "more" if s.rule.more else ("fewer" if s.rule.name in _PLURAL else "less")
    return special.get(s.rule.name, f"{more} {s.short}")


def _ranks(values: Sequence[float]) -> np.ndarray:
    """Centred ranks; ties share theirs."""
    v = np.array(values)
    below = (v[None, :] < v[:, None]).sum(axis=1)
    same = (v[None, :] == v[:, None]).sum(axis=1)
    rank = below + (same - 1) / 2.0
    return np.asarray(rank - rank.mean())


def _pair(g: Gathered, xs: AimScale, ys: AimScale) -> Element:
    out = svg.sheet(SIZE, SIZE, f"{ys.head} against {xs.head}", "pair", group=True)
    x = svg.Scale(xs.low, xs.high, LEFT + 6.0, SIZE - 10.0)
    y = svg.Scale(ys.low, ys.high, SIZE - FOOT - 4.0, TOP + 6.0)
    svg.rect(out, LEFT, TOP, SIZE - LEFT - 4.0, SIZE - TOP - FOOT, "frame")
    for t in svg.ticks(xs.low, xs.high, 3):
        svg.line(out, x.at(t), TOP, x.at(t), SIZE - FOOT, "grid")
        svg.text(out, x.at(t), SIZE - FOOT + 13.0, svg.tick_words(t), "tick", "middle")
    for t in svg.ticks(ys.low, ys.high, 4):
        svg.line(out, LEFT, y.at(t), SIZE - 4.0, y.at(t), "grid")
        svg.text(out, LEFT - 4.0, y.at(t) + 4.0, svg.tick_words(t), "tick", "end")
    svg.text(out, 2.0, 12.0, f"{ys.head} {'↑' if ys.rule.more else '↓'}", "axis")
    svg.text(
        out, SIZE - 4.0, SIZE - 5.0, f"{xs.head} {'→' if xs.rule.more else '←'}", "axis", "end"
    )
    for e in (*g.figured, *g.builds):
        if usable(e, xs.rule.name) and usable(e, ys.rule.name):
            a, b = e.aims[xs.rule.name], e.aims[ys.rule.name]
            told = f"{e.name}: {words(a, xs.rule.unit, xs.currency)}, {words(b, ys.rule.unit, ys.currency)}"
            svg.mark(out, x.at(a), y.at(b), e.name, e.tag, told, old=e.kind == "build")
    return out


def parallel(g: Gathered, found: Sequence[AimScale], held: Sequence[str]) -> Element:
    """Lines of the held drives over the grey band of all keepers; up is better on every axis."""
    axes = found[:MOST_AXES]
    width, height, top, foot, side = 720.0, 270.0, 40.0, 30.0, 62.0
    out = svg.sheet(width, height, "Held drives over all aims, up is better", "lines")
    step = (width - 2 * side) / max(len(axes) - 1, 1)
    places = [side + i * step for i in range(len(axes))]
    ups = [
        svg.Scale(s.low, s.high, height - foot, top)
        if s.rule.more
        else svg.Scale(s.low, s.high, top, height - foot)
        for s in axes
    ]
    _band(out, g, axes, ups, places)
    for s, x in zip(axes, places, strict=True):
        svg.line(out, x, top, x, height - foot, "axisline")
        svg.text(out, x, 14.0, s.short, "axis", "middle")
        ends = (s.high, s.low) if s.rule.more else (s.low, s.high)
        svg.text(out, x, 31.0, words(ends[0], s.rule.unit, s.currency), "tick", "middle")
        svg.text(
            out, x, height - foot + 17.0, words(ends[1], s.rule.unit, s.currency), "tick", "middle"
        )
    for e in (*g.figured, *g.builds):
        there = [
            f"{svg.n(x)},{svg.n(u.at(e.aims[s.rule.name]))}"
            for s, u, x in zip(axes, ups, places, strict=True)
            if usable(e, s.rule.name)
        ]
        look = f"run {'held' if e.name in held else ''}".strip()
        drawn = SubElement(out, "polyline", {"points": " ".join(there), "class": look})
        drawn.set("data-drive", e.name)
        svg.title(drawn, e.name)
    return out


def _band(
    out: Element,
    g: Gathered,
    axes: Sequence[AimScale],
    ups: Sequence[svg.Scale],
    places: Sequence[float],
) -> None:
    """From the least to the greatest of all keepers on every axis."""
    tops, feet = [], []
    for s, u, x in zip(axes, ups, places, strict=True):
        ys = [u.at(e.aims[s.rule.name]) for e in g.figured if usable(e, s.rule.name)]
        if ys:
            tops.append(f"{svg.n(x)},{svg.n(min(ys))}")
            feet.append(f"{svg.n(x)},{svg.n(max(ys))}")
    if tops:
        SubElement(out, "polygon", {"points": " ".join([*tops, *reversed(feet)]), "class": "band"})
