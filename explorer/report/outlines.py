"""The pieces of a drive as numbers a page can draw: outline by outline, stop by stop."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from explorer.drives.pieces import Piece, present
from explorer.mechanics import outline
from explorer.mechanics.types import Floats

INSIDE = ("ring", "bush", "washer")  # drawn within their pin's own outline


@dataclass(frozen=True)
class Drawn:
    """One piece: `kind` S (stadium), W (sector) or B (box); `at` (P, parameters) in mm, y0 and y1 (P,)."""

    key: str
    words: str
    what: str
    stage: str
    kind: str
    at: Floats
    y0: Floats
    y1: Floats
    z0: float
    z1: float


_KIND = {outline.Stadium: "S", outline.Sector: "W", outline.Box: "B"}


def drawn(pieces: Sequence[Piece], positions: int) -> tuple[Drawn, ...]:
    """The pieces of one drive that can be seen, lowest first (seen from the back of the hand)."""
    out = [_one(p, positions) for p in pieces if p.what not in INSIDE and bool(present(p)[0, 0])]
    return tuple(sorted(out, key=lambda d: (d.z1, d.what in {"pin", "shaft"})))


def _one(p: Piece, positions: int) -> Drawn:
    columns = [np.broadcast_to(getattr(p.shape, f.name)[0], (positions,)) for f in fields(p.shape)]
    box = outline.bounds(p.shape)
    return Drawn(
        p.key,
        p.words,
        p.what,
        p.stage,
        _KIND[type(p.shape)],
        np.stack(columns, axis=1),
        np.broadcast_to(box.y0[0], (positions,)),
        np.broadcast_to(box.y1[0], (positions,)),
        float(p.z0[0, 0]),
        float(p.z1[0, 0]),
    )


def path_d(kind: str, values: Sequence[float]) -> str:
    """The outline as a path, mm; the page's script writes the same from the same numbers."""
    v = [float(x) for x in values]
    if kind == "B":
        x0, x1, y0, y1 = v
        return f"M{_n(x0)} {_n(y0)}H{_n(x1)}V{_n(y1)}H{_n(x0)}Z"
    if kind == "S":
        return _stadium(*v)
    return _sector(*v)


def _stadium(px: float, py: float, qx: float, qy: float, r: float) -> str:
    length = math.hypot(qx - px, qy - py)
    if length < 1e-9:
        return _disc(px, py, r)
    nx, ny = -(qy - py) / length * r, (qx - px) / length * r
    arc = f"A{_n(r)} {_n(r)} 0 0 1"
    return (
        f"M{_n(px - nx)} {_n(py - ny)}L{_n(qx - nx)} {_n(qy - ny)}{arc} {_n(qx + nx)} {_n(qy + ny)}"
        f"L{_n(px + nx)} {_n(py + ny)}{arc} {_n(px - nx)} {_n(py - ny)}Z"
    )


def _disc(x: float, y: float, r: float) -> str:
    half = f"a{_n(r)} {_n(r)} 0 1 0"
    return f"M{_n(x - r)} {_n(y)}{half} {_n(2 * r)} 0{half} {_n(-2 * r)} 0Z"


def _sector(cx: float, cy: float, hub: float, r: float, direction: float, half: float) -> str:
    if half >= math.pi or hub >= r:
        return _disc(cx, cy, max(hub, r))
    ends = [(direction - half), (direction + half)]
    (ax, ay), (bx, by) = ((math.cos(e), math.sin(e)) for e in ends)
    far = 1 if half > math.pi / 2 else 0
    back = 1 if half < math.pi / 2 else 0
    return (
        f"M{_n(cx + r * ax)} {_n(cy + r * ay)}A{_n(r)} {_n(r)} 0 {far} 1 {_n(cx + r * bx)} {_n(cy + r * by)}"
        f"L{_n(cx + hub * bx)} {_n(cy + hub * by)}"
        f"A{_n(hub)} {_n(hub)} 0 {back} 1 {_n(cx + hub * ax)} {_n(cy + hub * ay)}Z"
    )


def _n(x: float) -> str:
    return f"{round(x, 2) + 0.0:g}"
