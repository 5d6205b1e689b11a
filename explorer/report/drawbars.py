"""The lines that a pull runs along: links, chains, strands over wheels, the input drawbar; mm in the hand frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from explorer.brief.records import Wrist
from explorer.drives.bodies import Wheel
from explorer.drives.layout import Drive
from explorer.mechanics.types import Floats
from explorer.report.outlines import Drawn

BENDS = (
    "first stage chain",
    "carrier a chain",
    "carrier b chain",
)  # drawn as two strands over their wheel


@dataclass(frozen=True)
class Bar:
    """One drawbar: which pull it carries; ends (P,4) as x, y, x, y; its middle plane z."""

    pull: str
    ends: Floats
    z: float


def drawbar_of(key: str) -> str | None:
    """Which pull runs through a straight piece, by its key; None for what is no drawbar."""
    if key == "input chain":
        return "in"
    if key.startswith(("exit link", "output chain")):
        return "out"
    if key.startswith(("finger link", "finger end")):
        return f"finger {key.split()[2]}"
    for side in "ab":
        if key.startswith((f"carrier link {side}", f"strand {side}", f"carrier strand end {side}")):
            return f"carrier {side}"
    return None


def bars(drive: Drive, pieces: Sequence[Drawn], wrist: Wrist) -> tuple[Bar, ...]:
    """All drawbars of one drive."""
    known = {p.key: p for p in pieces}
    out = [
        Bar(pull, p.at[:, :4], (p.z0 + p.z1) / 2.0)
        for p in pieces
        if p.kind == "S" and (pull := drawbar_of(p.key)) is not None
    ]
    out += _input(known, wrist)
    for k, c in enumerate(drive.carriers):
        if isinstance(c.body, Wheel):
            ends = tuple(f"finger end {f}" for f in c.fingers)
            names = tuple(f"finger {f}" for f in c.fingers)
            out += _over(known, f"carrier {'ab'[k]} wheel", c.body, ends, names)
    if isinstance(drive.first, Wheel):
        ends = ("carrier strand end a", "carrier strand end b")
        out += _over(known, "first stage wheel", drive.first, ends, ("carrier a", "carrier b"))
    return tuple(out)


def _over(
    known: Mapping[str, Drawn], wheel: str, body: Wheel, ends: Sequence[str], names: Sequence[str]
) -> list[Bar]:
    """Two strands from a wheel's sides to the end pieces that they pull."""
    w = known.get(wheel)
    if w is None or any(e not in known for e in ends):
        return []
    half = float(body.D[0, 0]) / 2.0
    out = []
    for side, end, name in zip((-1.0, 1.0), ends, names, strict=True):
        x, y = w.at[:, 0] + side * half, w.at[:, 1]
        to = known[end].at
        out.append(Bar(name, np.stack([x, y, *_nearer(to, y)], axis=1), (w.z0 + w.z1) / 2.0))
    return out


def _nearer(end: Floats, y: Floats) -> tuple[Floats, Floats]:
    """The end of an end piece that lies nearer to the wheel."""
    first = np.abs(end[:, 1] - y) <= np.abs(end[:, 3] - y)
    return np.where(first, end[:, 0], end[:, 2]), np.where(first, end[:, 1], end[:, 3])


def _input(known: Mapping[str, Drawn], wrist: Wrist) -> list[Bar]:
    """The input drawbar of a lever, from its pin to its far pin; chains are pieces of their own."""
    pin = known.get("rocker in pin")
    if pin is None:
        return []
    x, y = pin.at[:, 0], pin.at[:, 1]
    across = wrist.input_far_x - x
    along = np.sqrt(np.maximum(wrist.input_length**2 - across * across, 0.0))
    way = 1.0 if wrist.reverses and wrist.input_strut == "led from finger side" else -1.0
    far = np.full_like(x, wrist.input_far_x)
    return [Bar("in", np.stack([x, y, far, y + way * along], axis=1), (pin.z0 + pin.z1) / 2.0)]
