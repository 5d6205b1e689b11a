"""A part's drawing as DXF: millimetres, true arcs, holes as circles, words on layers of their own."""

from __future__ import annotations

import io
from collections.abc import Sequence
from math import degrees
from typing import TYPE_CHECKING

from ezdxf import units
from ezdxf.filemanagement import new

from explorer.build.blank import Arc, Edge, Point
from explorer.build.drawing import BAR, LINE, MARGIN, Drawing

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

# layer -> colour index; only OUTLINE and HOLES of a flat part are cut
LAYERS = {
    "OUTLINE": 7, "HOLES": 1, "NOTES": 8, "MARK": 3, "CHECK": 5,
    "STEPS": 4, "SIDE": 6, "HIDDEN": 9, "CENTRE": 2,
}  # fmt: skip
_DASHES = {"HIDDEN": "DASHED", "CENTRE": "CENTER"}
TALL = 2.5  # mm, height of words


def dxf_text(drawing: Drawing) -> str:
    """The whole file as text."""
    stream = io.StringIO()
    document(drawing).write(stream)
    return stream.getvalue()


def document(drawing: Drawing) -> Document:
    """The file as ezdxf holds it."""
    doc = new("R2010", setup=["linetypes"], units=units.MM)
    for name, colour in LAYERS.items():
        doc.layers.add(name, color=colour, linetype=_DASHES.get(name, "Continuous"))
    space = doc.modelspace()
    _edges(space, drawing.blank.edges, "OUTLINE")
    for stroke in drawing.strokes:
        _edges(space, stroke.edges, stroke.layer)
    for label in drawing.labels:
        _words(space, label.text, Point(label.at.x - 0.7, label.at.y - 1.0), "NOTES", 2.0)
    for bore, letter in zip(drawing.blank.bores, drawing.letters, strict=True):
        space.add_circle((bore.at.x, bore.at.y), bore.d / 2.0, dxfattribs={"layer": "HOLES"})
        _words(space, letter, Point(bore.at.x - 0.6, bore.at.y - 0.6), "NOTES", 1.2)
    if drawing.mark:
        _words(space, drawing.mark, drawing.mark_at, "MARK", TALL)
    _foot(space, drawing)
    return doc


def _edges(space: Modelspace, edges: Sequence[Edge], name: str) -> None:
    layer = {"layer": name}
    for edge in edges:
        if not isinstance(edge, Arc):
            ends = (edge.start.x, edge.start.y), (edge.end.x, edge.end.y)
            space.add_line(*ends, dxfattribs=layer)
        elif edge.whole:
            space.add_circle((edge.centre.x, edge.centre.y), edge.r, dxfattribs=layer)
        else:
            space.add_arc(
                (edge.centre.x, edge.centre.y), edge.r, degrees(edge.start), degrees(edge.end),
                dxfattribs=layer,
            )  # fmt: skip


def _foot(space: Modelspace, drawing: Drawing) -> None:
    """Check bar and words below the part."""
    x, y = drawing.low.x, drawing.low.y - MARGIN
    layer = {"layer": "CHECK"}
    space.add_line((x, y), (x + BAR, y), dxfattribs=layer)
    for end in (x, x + BAR):
        space.add_line((end, y - 1.5), (end, y + 1.5), dxfattribs=layer)
    _words(space, "100 mm: print at 100 %", Point(x + 2.0, y + 0.8), "CHECK", TALL)
    for n, line in enumerate((*drawing.title, *drawing.notes), start=1):
        _words(space, line, Point(x, y - 2.0 - n * LINE), "NOTES", TALL)


def _words(space: Modelspace, text: str, at: Point, layer: str, height: float) -> None:
    entity = space.add_text(plain(text), height=height, dxfattribs={"layer": layer})
    entity.set_placement((at.x, at.y))


def plain(text: str) -> str:
    """Words that no drawing program reads as a code: no %% and no backslash, nothing unprintable."""
    kept = "".join(c if c.isprintable() else " " for c in text)
    return kept.replace("\\", "/").replace("%%", "% %").replace("^", "'")
