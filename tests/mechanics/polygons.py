"""An outline drawn as a polygon: the plain twin of areas, bounds and distances."""

from dataclasses import fields

import numpy as np

from explorer.mechanics.outline import Sector, Shape, Stadium
from explorer.mechanics.types import Floats


def polygon_points(shape: Shape, n_arc: int, index: int | tuple[int, ...]) -> Floats:
    """Outline of one candidate in one position, (M, 2), counter-clockwise, not closed.

    ``index`` picks one element of the shape's broadcast arrays; () for a shape of scalars. Every
    arc becomes ``n_arc`` equal chords with their ends on the arc, so the polygon lies inside by
    at most r(1 - cos(turn/(2 n_arc))).
    """
    columns = np.broadcast_arrays(*(getattr(shape, f.name) for f in fields(shape)))
    one = [float(c[index]) for c in columns]
    if isinstance(shape, Stadium):
        return _stadium_points(one, n_arc)
    if isinstance(shape, Sector):
        return _sector_points(one, n_arc)
    x0, x1, y0, y1 = one
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def _arc(x: float, y: float, r: float, start: float, turn: float, n: int) -> Floats:
    """n + 1 points on a circle, (n + 1, 2), from angle ``start`` through ``turn``."""
    angle = start + turn * np.arange(n + 1) / n
    return np.stack([x + r * np.cos(angle), y + r * np.sin(angle)], axis=1)


def _stadium_points(one: list[float], n_arc: int) -> Floats:
    px, py, qx, qy, r = one
    along = float(np.arctan2(qy - py, qx - px))
    far = _arc(qx, qy, r, along - np.pi / 2.0, np.pi, n_arc)
    near = _arc(px, py, r, along + np.pi / 2.0, np.pi, n_arc)
    if px == qx and py == qy:  # the half circles share their ends
        return np.concatenate([far[:-1], near[:-1]])
    return np.concatenate([far, near])


def _sector_points(one: list[float], n_arc: int) -> Floats:
    cx, cy, r_hub, r, direction, half = one
    if half >= np.pi or r_hub >= r:
        return _arc(cx, cy, max(r_hub, r), direction, 2.0 * np.pi, n_arc)[:-1]
    rim = _arc(cx, cy, r, direction - half, 2.0 * half, n_arc)
    if r_hub == 0.0:
        return np.concatenate([rim, [[cx, cy]]])
    back = _arc(cx, cy, r_hub, direction + half, 2.0 * (np.pi - half), n_arc)
    return np.concatenate([rim, back])
