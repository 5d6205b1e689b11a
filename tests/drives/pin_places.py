"""Where pins of a drive stand by the exact solver's places and turns, in plain vectors."""

from __future__ import annotations

import numpy as np

from explorer.drives.bodies import Bar, Wheel
from explorer.drives.exact import Exact, ExactStage
from tests.drives.random_drives import Sample


def ends_of(bar: Bar, stage: ExactStage) -> list[tuple[np.ndarray, np.ndarray]]:
    """Pin coordinates of a bar's ends from its centre and tilt: a right-angled turn of plain vectors."""
    points = []
    for px, py in ((-bar.l_a, bar.e), (bar.l_b, bar.e)):
        turned = (px + 1j * py)[0] * np.exp(1j * stage.tilt)
        points.append((stage.x + turned.real, stage.y + turned.imag))
    return points


def taut_strand(
    wheel: Wheel,
    stage: ExactStage,
    a: tuple[np.ndarray, np.ndarray],
    b: tuple[np.ndarray, np.ndarray],
) -> np.ndarray:
    """Length of a strand from a round the wrist side of a wheel to b, by angles at the centre."""
    R = wheel.D[0, 0] / 2
    free = np.zeros_like(stage.x)
    arc = np.full_like(stage.x, 2 * np.pi)
    bearing = []
    for x, y in (a, b):
        d = np.hypot(x - stage.x, y - stage.y)
        free = free + np.sqrt(d * d - R * R)
        arc = arc - np.arccos(R / d)
        bearing.append(np.arctan2(y - stage.y, x - stage.x))
    return free + R * (arc - (bearing[0] - bearing[1]))


def outer_ends(s: Sample, e: Exact, k: int) -> list[tuple[np.ndarray, np.ndarray]]:
    """What hangs on a stage's two sides: carriers of the first (k = -1), finger pins of the others."""
    if k >= 0:
        return [(s.pin_x[f] + 0 * e.theta, e.pin_y[:, f]) for f in s.drive.carriers[k].fingers]
    ends = []
    for c, g in zip(s.drive.carriers, e.second, strict=True):
        if g is None:
            ends.append((s.pin_x[c.fingers[0]] + 0 * e.theta, e.pin_y[:, c.fingers[0]]))
        else:
            ends.append((g.x, g.y))
    return ends
