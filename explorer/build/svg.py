"""A part's drawing as SVG at 1:1: one user unit is one millimetre; arcs stay arcs."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element, SubElement, tostring

from explorer.build.blank import Arc, Edge, Point
from explorer.build.drawing import BAR, LINE, MARGIN, Drawing

SVG = "http://www.w3.org/2000/svg"
INK, RULE, PAPER = "#1C1F22", "#5A5F63", "#FFFFFF"
HAIR = 0.18  # mm
_DASHES = {
    "HIDDEN": {"stroke-dasharray": "1.4 0.7"},
    "CENTRE": {"stroke-dasharray": "4 0.8 0.8 0.8", "stroke": RULE, "stroke-width": "0.1"},
}
_DIGITS = 6  # of a coordinate: a millionth of a millimetre


def svg_text(drawing: Drawing) -> str:
    """The whole file as text."""
    low, high = drawing.low, drawing.high
    lines = (*drawing.title, *drawing.notes)
    width = max(high.x - low.x, BAR, 1.35 * max(len(s) for s in lines)) + 2.0 * MARGIN
    height = high.y - low.y + 3.0 * MARGIN + (len(lines) + 1) * LINE
    svg = sheet(width, height, f"{drawing.number} at 1:1")
    part = SubElement(
        svg, "g", {"id": "part", "fill": "none", "stroke": INK, "stroke-width": n(HAIR)}
    )
    # y runs up in the part and down on the sheet: turned over as numbers, so that no viewer has to
    at = Place(MARGIN - low.x, MARGIN + high.y)
    SubElement(part, "path", {"class": "outline", "d": path(drawing.blank.edges, at)})
    for stroke in drawing.strokes:
        shape = {"class": stroke.layer.lower(), "d": path(stroke.edges, at)}
        SubElement(part, "path", {**shape, **_DASHES.get(stroke.layer, {})})
    for label in drawing.labels:
        words(svg, label.text, at.x(label.at.x), at.y(label.at.y) + 0.8, 2.2, anchor="middle")
    for bore, letter in zip(drawing.blank.bores, drawing.letters, strict=True):
        x, y = at.x(bore.at.x), at.y(bore.at.y)
        SubElement(part, "circle", {"class": "hole", "cx": n(x), "cy": n(y), "r": n(bore.d / 2.0)})
        words(svg, letter, x, y + 0.5, 1.4, anchor="middle")
    if drawing.mark:
        words(
            svg,
            drawing.mark,
            at.x(drawing.mark_at.x),
            at.y(drawing.mark_at.y) + 1.0,
            3.0,
            anchor="middle",
        )
    y = at.y(low.y) + MARGIN
    check_bar(svg, MARGIN, y)
    for k, line in enumerate(lines, start=1):
        words(svg, line, MARGIN, y + 2.0 + k * LINE, 2.6)
    return tostring(svg, encoding="unicode")


class Place:
    """Where the part's plane stands on the sheet."""

    def __init__(self, left: float, top: float) -> None:
        self.left, self.top = left, top

    def x(self, x: float) -> float:
        """Sheet x, mm."""
        return self.left + x

    def y(self, y: float) -> float:
        """Sheet y, mm; down."""
        return self.top - y


def n(value: float) -> str:
    """A coordinate: at most six digits after the point.

    >>> n(2.50), n(-0.0000001), n(3)
    ('2.5', '0', '3')
    """
    text = f"{value:.{_DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def sheet(width: float, height: float, title: str) -> Element:
    """An empty white sheet of this size in mm."""
    svg = Element("svg", {
        "xmlns": SVG, "width": f"{n(width)}mm", "height": f"{n(height)}mm",
        "viewBox": f"0 0 {n(width)} {n(height)}", "font-family": "Georgia, 'DejaVu Serif', serif",
        "role": "img",
    })  # fmt: skip
    SubElement(svg, "title").text = printable(title)
    SubElement(svg, "rect", {"width": n(width), "height": n(height), "fill": PAPER})
    return svg


def words(
    svg: Element, text: str, x: float, y: float, size: float, anchor: str = "start"
) -> Element:
    """A line of words, its baseline's end at x, y."""
    found = SubElement(svg, "text", {
        "x": n(x), "y": n(y), "font-size": n(size), "fill": INK, "text-anchor": anchor,
    })  # fmt: skip
    found.text = printable(text)
    return found


def printable(text: str) -> str:
    """Without what XML cannot hold."""
    return "".join(c if c.isprintable() else " " for c in text)


def check_bar(svg: Element, x: float, y: float) -> None:
    """A line of exactly 100 mm with its ends marked."""
    group = SubElement(svg, "g", {"id": "check-bar", "stroke": INK, "stroke-width": n(HAIR)})
    SubElement(
        group, "line", {"class": "bar", "x1": n(x), "y1": n(y), "x2": n(x + BAR), "y2": n(y)}
    )
    for end in (x, x + BAR):
        SubElement(group, "line", {"x1": n(end), "y1": n(y - 1.5), "x2": n(end), "y2": n(y + 1.5)})
    words(svg, "100 mm: print at 100 %", x + 2.0, y - 0.8, 2.4)


def path(edges: Sequence[Edge], at: Place) -> str:
    """The d of a closed outline: lines and arcs."""
    out: list[str] = []
    for k, edge in enumerate(edges):
        if isinstance(edge, Arc):
            if k == 0:
                out.append(_go("M", edge.first, at))
            out += _arc(edge, at)
        else:
            if k == 0:
                out.append(_go("M", edge.start, at))
            out.append(_go("L", edge.end, at))
    return " ".join([*out, "Z"])


def _go(letter: str, p: Point, at: Place) -> str:
    return f"{letter} {n(at.x(p.x))} {n(at.y(p.y))}"


def _arc(arc: Arc, at: Place) -> list[str]:
    """One arc; a whole circle in two halves.  Anticlockwise in the part is sweep 0 on the sheet."""
    middle = (arc.start + arc.end) / 2.0
    stops = [arc.centre.stepped(middle, arc.r), arc.last] if arc.whole else [arc.last]
    sweep = "1" if arc.hollow else "0"
    half = (arc.end - arc.start) / len(stops)
    large = "1" if half > 3.141592653589793 + 1e-9 else "0"
    return [
        f"A {n(arc.r)} {n(arc.r)} 0 {large} {sweep} {n(at.x(p.x))} {n(at.y(p.y))}" for p in stops
    ]
