"""Dot strips, one an aim: every keeper by family, old builds as crosses, the limit as a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from explorer.report import svg
from explorer.report.gather import Entry, Gathered
from explorer.report.scales import AimScale, usable, words

ROW = 26.0
WIDE, NARROW = 720.0, 328.0
_ROWS = ("levers", "winder", "differential")


@dataclass(frozen=True)
class Strip:
    """One strip in both widths with its words."""

    scale: AimScale
    head: str
    better: str
    lines: str  # what the lines across it mean
    wide: Element
    narrow: Element
    ends: str  # the caption: who stands at the ends


def strips(g: Gathered, found: Sequence[AimScale]) -> tuple[Strip, ...]:
    """All strips."""
    return tuple(_strip(g, s) for s in found)


def _strip(g: Gathered, s: AimScale) -> Strip:
    entries = [e for e in (*g.figured, *g.builds) if usable(e, s.rule.name)]
    return Strip(
        s,
        s.head,
        "better →" if s.rule.more else "← better",
        _lines(s, entries),
        _figure(s, entries, WIDE),
        _figure(s, entries, NARROW),
        _ends(g, s),
    )


def _lines(s: AimScale, entries: Sequence[Entry]) -> str:
    out = []
    if s.limit is not None:
        told = words(s.limit, s.rule.unit, s.currency)
        there = "" if s.low <= s.limit <= s.high else ", outside the strip"
        out.append(f"{'at least' if s.rule.more else 'at most'} {told} asked{there}")
    if s.enough is not None:
        told = words(s.enough, s.rule.unit, s.currency)
        there = "dashed" if s.low <= s.enough <= s.high else "outside the strip"
        out.append(f"{told} is enough ({there})")
    beyond = [
        e.short for e in entries if e.kind == "build" and not s.low <= e.aims[s.rule.name] <= s.high
    ]
    if beyond:
        out.append(f"{', '.join(beyond)} off the strip, drawn at its end")
    return "; ".join(out)


def _ends(g: Gathered, s: AimScale) -> str:
    kept = [e for e in g.figured if usable(e, s.rule.name)]
    if not kept:
        return ""
    name = s.rule.name
    by = sorted(kept, key=lambda e: e.aims[name], reverse=s.rule.more)
    best, worst = by[0], by[-1]
    told = [f"{e.name} {words(e.aims[name], s.rule.unit, s.currency)}" for e in (best, worst)]
    top = "first" if g.searching else "best"
    return f"{top} {told[0]}, last {told[1]}" if best is not worst else f"{told[0]}"


def _figure(s: AimScale, entries: Sequence[Entry], width: float) -> Element:
    rows = [f for f in _ROWS if any(e.family == f and e.kind != "build" for e in entries)]
    if any(e.kind == "build" for e in entries):
        rows.append("old builds")
    left = 88.0
    height = ROW * len(rows) + 26.0
    out = svg.sheet(width, height, f"{s.head}: one mark a drive", "strip", group=True)
    out.set("data-aim", s.rule.name)
    x = svg.Scale(s.low, s.high, left + 8.0, width - 16.0)
    bottom = ROW * len(rows)
    for t in svg.ticks(s.low, s.high, 7 if width > 400.0 else 4):
        svg.line(out, x.at(t), 4.0, x.at(t), bottom + 4.0, "grid")
        svg.text(out, x.at(t), bottom + 18.0, svg.tick_words(t), "tick", "middle")
    for level, look in ((s.limit, "limit"), (s.enough, "enough")):
        if level is not None and s.low <= level <= s.high:
            svg.line(out, x.at(level), 0.0, x.at(level), bottom + 4.0, look)
    for n, row in enumerate(rows):
        y = ROW * (n + 0.5) + 2.0
        svg.text(out, left - 6.0, y + 4.0, row, "rowname", "end")
        svg.line(out, left, y, width - 8.0, y, "rule")
        for e in entries:
            if (e.family if e.kind != "build" else "old builds") == row:
                told = f"{e.name}: {words(e.aims[s.rule.name], s.rule.unit, s.currency)}"
                svg.mark(
                    out, x.at(e.aims[s.rule.name]), y, e.name, e.tag, told, old=e.kind == "build"
                )
    olds = [
        (x.at(e.aims[s.rule.name]), e.short.removeprefix("old "))
        for e in entries
        if e.kind == "build"
    ]
    _numbers(out, olds, bottom - ROW * 0.5 + 6.0, width)
    return out


def _numbers(out: Element, places: Sequence[tuple[float, str]], y: float, width: float) -> None:
    """Which old build a cross is: its number beside it, crosses at one place share a label."""
    groups: list[tuple[float, list[str]]] = []
    for at, number in sorted(places):
        if groups and at - groups[-1][0] < 7.0 * len(groups[-1][1]) + 14.0:
            groups[-1] = (at, [*groups[-1][1], number])
        else:
            groups.append((at, [number]))
    for at, numbers in groups:
        told = ",".join(numbers)
        room = at + 8.0 + 7.0 * len(told) < width
        svg.text(out, at + 8.0 if room else at - 9.0, y, told, "tick", "start" if room else "end")
