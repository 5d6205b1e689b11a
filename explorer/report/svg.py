"""The pen for all figures: SVG elements, never joined text; colours by class, from the page's sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

MARK = 5.0  # half the size of a drive's mark, px


@dataclass(frozen=True)
class Scale:
    """From values to places on the sheet."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Place of a value; beyond the ends it stands at the end."""
        v = min(max(value, self.low), self.high)
        span = self.high - self.low
        return self.start + (self.end - self.start) * ((v - self.low) / span if span > 0.0 else 0.5)


def n(x: float) -> str:
    """A number as the sheet writes it: hundredths, no trailing noughts."""
    return f"{round(float(x), 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def sheet(
    width: float, height: float, label: str, classes: str = "", *, group: bool = False
) -> Element:
    """An empty figure in px; `group` where it holds marks that can be reached one by one."""
    return Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {n(width)} {n(height)}",
            "width": n(width),
            "height": n(height),
            "class": f"fig {classes}".strip(),
            "role": "group" if group else "img",
            "aria-label": label,
        },
    )


def text(
    parent: Element, x: float, y: float, words: str, classes: str = "", anchor: str = "start"
) -> Element:
    """Words at a place."""
    look = {"x": n(x), "y": n(y)}
    if classes:
        look["class"] = classes
    if anchor != "start":
        look["text-anchor"] = anchor
    e = SubElement(parent, "text", look)
    e.text = words
    return e


def line(parent: Element, x1: float, y1: float, x2: float, y2: float, classes: str) -> Element:
    """A straight line."""
    return SubElement(
        parent, "line", {"x1": n(x1), "y1": n(y1), "x2": n(x2), "y2": n(y2), "class": classes}
    )


def rect(parent: Element, x: float, y: float, w: float, h: float, classes: str) -> Element:
    """A rectangle; negative sizes are turned round."""
    x, w = (x + w, -w) if w < 0.0 else (x, w)
    y, h = (y + h, -h) if h < 0.0 else (y, h)
    place = {"x": n(x), "y": n(y), "width": n(w), "height": n(h)}
    return SubElement(parent, "rect", place | {"class": classes})


def path(parent: Element, d: str, classes: str) -> Element:
    """A path."""
    return SubElement(parent, "path", {"d": d, "class": classes})


def title(parent: Element, words: str) -> None:
    """What an element is, for readers and on hover."""
    SubElement(parent, "title").text = words


def mark_d(family: str, x: float, y: float, r: float = MARK) -> str:
    """Square, triangle or circle by family; a cross for an old build."""
    if family == "L":
        r *= 0.86
        return f"M{n(x - r)} {n(y - r)}H{n(x + r)}V{n(y + r)}H{n(x - r)}Z"
    if family == "W":
        return f"M{n(x)} {n(y - r)}L{n(x + r)} {n(y + 0.8 * r)}H{n(x - r)}Z"
    if family == "D":
        return f"M{n(x - r)} {n(y)}a{n(r)} {n(r)} 0 1 0 {n(2 * r)} 0a{n(r)} {n(r)} 0 1 0 {n(-2 * r)} 0Z"
    r *= 0.8
    return (
        f"M{n(x - r)} {n(y - r)}L{n(x + r)} {n(y + r)}M{n(x - r)} {n(y + r)}L{n(x + r)} {n(y - r)}"
    )


def mark(
    parent: Element, x: float, y: float, name: str, tag: str, words: str, *, old: bool = False
) -> Element:
    """One drive's mark: shape by family, filled with a chain second stage, hollow with a bar."""
    family = "X" if old else tag[0]
    look = "old" if old else f"f{tag[0]} {'filled' if tag[1] == 'C' else 'hollow'}"
    e = path(parent, mark_d(family, x, y), f"mark {look}")
    e.set("data-drive", name)
    title(e, words)
    return e


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Round steps of 1, 2 or 5 inside a range."""
    if high <= low:
        return [low]
    raw = (high - low) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(s * power for s in (1.0, 2.0, 5.0, 10.0) if s * power >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [k * step for k in range(first, math.floor(high / step + 1e-9) + 1)]


def span(values: Sequence[float], pad: float = 0.05) -> tuple[float, float]:
    """Least and greatest with a little room; equal values get room as well."""
    seen = [v for v in values if math.isfinite(v)]
    if not seen:
        return 0.0, 1.0
    low, high = min(seen), max(seen)
    room = (high - low) * pad or max(abs(high) * 0.1, 0.5)
    return low - room, high + room


def tick_words(value: float) -> str:
    """A round step as it is written."""
    return f"{value:.6g}".replace("-", "−")


def written(e: Element) -> str:
    """The figure as text for the page."""
    return tostring(e, encoding="unicode")
