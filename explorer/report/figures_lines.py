"""Small figures of bars and lines: rungs, draws, keepers against drives looked at."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement

from explorer.brief.demand import Demand
from explorer.report import svg
from explorer.report.scales import words
from explorer.report.tables import Rung
from explorer.study.records import Progress

BAR = 170.0  # px, width of a bar cell


def rung_bars(rungs: Sequence[Rung], marks: Sequence[tuple[str, float]]) -> tuple[Element, ...]:
    """One bar a rung, all on one scale: to the allowed load full, on to where it gives thin."""
    ends = [*(r.value for r in rungs[:6]), *(v for _, v in marks)]
    scale = svg.Scale(0.0, 1.05 * max(ends, default=1.0), 1.0, BAR - 8.0)
    out = []
    for r in rungs:
        e = svg.sheet(BAR, 20.0, f"allowed {r.allowed}, gives at {r.gives}", "bar")
        for look, value in marks:
            svg.line(e, scale.at(value), 0.0, scale.at(value), 20.0, f"at-{look}")
        svg.rect(e, 1.0, 6.0, scale.at(r.allowed_value) - 1.0, 8.0, "allowed")
        svg.line(e, scale.at(r.allowed_value), 10.0, scale.at(r.value), 10.0, "upto")
        if r.value <= scale.high:
            svg.line(e, scale.at(r.value), 4.0, scale.at(r.value), 16.0, "gives")
        else:
            end = scale.at(r.value)
            svg.path(
                e, f"M{svg.n(end - 4)} 6L{svg.n(end + 4)} 10L{svg.n(end - 4)} 14", "gives beyond"
            )
        out.append(e)
    return tuple(out)


def draws(demand: Demand, width: float) -> Element:
    """Each grip's finger draws as bars on one scale, in mm."""
    rows = [int(i) for i in demand.index("grip", "carry", "fist")]
    n = len(demand.fingers)
    left, block = 118.0, 7.0 * n + 10.0
    out = svg.sheet(
        width, block * len(rows) + 24.0, "Draw of each finger in each grip, mm", "draws"
    )
    x = svg.Scale(0.0, float(demand.full_draw.max()) * 1.02, left, width - 14.0)
    bottom = block * len(rows)
    for t in svg.ticks(0.0, x.high, 5):
        svg.line(out, x.at(t), 0.0, x.at(t), bottom, "grid")
        svg.text(out, x.at(t), bottom + 15.0, svg.tick_words(t), "tick", "middle")
    for k, p in enumerate(rows):
        top = block * k + 4.0
        svg.text(
            out,
            left - 8.0,
            top + block / 2 - 1.0,
            _clip(demand.positions[p].name),
            "rowname",
            "end",
        )
        for f in range(n):
            value = float(demand.draw[p, f])
            look = "draw taking" if demand.engaged[p, f] else "draw idle"
            e = svg.rect(out, left, top + 7.0 * f, max(x.at(value) - left, 0.6), 5.0, look)
            svg.title(e, f"{demand.positions[p].name}, {demand.fingers[f]}: {words(value, 'mm')}")
    return out


def _clip(name: str, most: int = 18) -> str:
    return name if len(name) <= most else f"{name[: most - 1]}…"


def progress(rows: Sequence[Progress], width: float) -> Element:
    """Keepers against drives looked at, as a step line."""
    height, left, foot, top = 190.0, 44.0, 36.0, 20.0
    out = svg.sheet(width, height, "Keepers against drives looked at", "progress")
    x = svg.Scale(0.0, float(max((p.looked_at for p in rows), default=1)), left, width - 30.0)
    y = svg.Scale(0.0, 1.05 * max((p.keepers for p in rows), default=1), height - foot, top)
    for t in svg.ticks(0.0, x.high, 5 if width > 400.0 else 3):
        svg.line(out, x.at(t), top, x.at(t), height - foot, "grid")
        svg.text(out, x.at(t), height - foot + 14.0, _thousands(t), "tick", "middle")
    for t in svg.ticks(0.0, y.high, 4):
        svg.line(out, left, y.at(t), width - 30.0, y.at(t), "grid")
        svg.text(out, left - 5.0, y.at(t) + 4.0, svg.tick_words(t), "tick", "end")
    svg.text(out, 2.0, 12.0, "keepers ↑", "axis")
    svg.text(out, width - 4.0, height - 5.0, "drives looked at →", "axis", "end")
    points: list[str] = []
    before = 0.0
    for p in rows:
        points += [f"{svg.n(x.at(p.looked_at))},{svg.n(y.at(before))}"]
        before = float(p.keepers)
        points += [f"{svg.n(x.at(p.looked_at))},{svg.n(y.at(before))}"]
    SubElement(out, "polyline", {"points": " ".join(points), "class": "step"})
    return out


def _thousands(value: float) -> str:
    if value >= 1e6:
        return f"{value / 1e6:g} M"
    return f"{value / 1e3:g} k" if value >= 1e3 else f"{value:g}"
