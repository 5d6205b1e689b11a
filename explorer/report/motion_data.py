"""One drive at every stop of closing and squeezing: outlines, pulls, loads, clearances, as data.

Closing: the shape changes, only the springs pull.  Squeezing: nothing moves, the pull at the wrist
rises to the strength case; every load rises with it in proportion.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from explorer.drives.pulls import torque_share
from explorer.mechanics.types import Floats
from explorer.report.drawbars import Bar, bars
from explorer.report.gather import Whole
from explorer.report.outlines import Drawn, drawn
from explorer.report.scales import words
from explorer.scoring.score import Detail
from explorer.scoring.stops import Closing, Path, closing, closing_paths
from explorer.show.layout import margin, rows_of
from explorer.show.plain import Json, Table


@dataclass(frozen=True)
class Stop:
    """One stop: `shape` is its place in the outlines; pulls in N; `words` say what happens."""

    part: str  # "closing" or "squeezing"
    words: str
    shape: int
    F_in: float
    F_out: float
    share: float  # of the strength case's loads; 0 while closing
    near: str  # the tightest pair there


@dataclass(frozen=True)
class GripMotion:
    """The way to one grip and the squeeze there."""

    name: str
    kind: str
    position: int
    stops: tuple[Stop, ...]
    touches: tuple[tuple[str, int], ...]  # engaged finger -> stop where it meets the object
    first_touch: int
    contact: int


@dataclass(frozen=True)
class DriveMotion:
    """Everything that the slider of one drive needs."""

    name: str
    pieces: tuple[Drawn, ...]  # over all stops, grip by grip
    grips: tuple[GripMotion, ...]
    pulls: tuple[tuple[str, Floats], ...]  # piece key -> its pull per newton of output, by position
    bars: tuple[Bar, ...]
    open_shape: int


def motion_of(w: Whole) -> DriveMotion:
    """The stops of one drive."""
    d = w.detail
    paths = closing_paths(d)
    found = closing(d, paths)
    total = found.motion.Y.shape[1]
    grips, start = [], found.first
    for path in paths:
        grips.append(_grip(d, found, path, start))
        start += path.draw.shape[0]
    pieces = drawn(found.pieces, total)
    lines = bars(d.drive, pieces, d.space.shelf.brief.wrist)
    return DriveMotion(w.entry.name, pieces, tuple(grips), _pulls(d), lines, 0)


def _grip(d: Detail, found: Closing, path: Path, start: int) -> GripMotion:
    demand = d.space.shelf.demand
    p, count = path.position, path.draw.shape[0]
    step = found.motion.step[0]
    stops = [
        Stop(
            "closing",
            f"closing, {n + 1} of {count}: the wrist has drawn {words(float(found.motion.X[0, start + n]), 'mm')}",
            start + n,
            float(path.pull[n] * step[start + n]),
            float(path.pull[n]),
            0.0,
            _near(found, start + n - found.first),
        )
        for n in range(count)
    ]
    kind = demand.positions[p].kind
    F_in, F_out = float(d.strength.F_in[0, p]), float(d.strength.F_out[0, p])
    for level, what in _levels(d, p, F_in):
        share = level / F_in if F_in > 0.0 else 0.0
        verb = "carrying" if kind == "carry" else "squeezing"
        told = f"{verb}, wrist pull {words(level, 'N')} ({what})"
        stops.append(
            Stop(
                "squeezing",
                told,
                start + count - 1,
                level,
                share * F_out,
                share,
                stops[count - 1].near,
            )
        )
    touches = tuple(
        (name, _meets(path.draw[:, f], float(demand.draw[p, f])))
        for f, name in enumerate(demand.fingers)
        if demand.engaged[p, f]
    )
    first = min((n for _, n in touches), default=count - 1)
    return GripMotion(path.name, kind, p, tuple(stops), touches, first, count - 1)


def _levels(d: Detail, p: int, F_in: float) -> list[tuple[float, str]]:
    """Wrist pulls of the squeeze, rising to the strength case."""
    demand = d.space.shelf.demand
    if demand.positions[p].kind == "carry":
        peak = demand.pull_peak * torque_share(demand, d.motion, d.space.shelf.brief)[0, p]
        top = "the load, held or lifted" if F_in > peak else "your peak"
        return [(F_in * s, f"{s:.0%} of {top}".replace("%", " %")) for s in (0.25, 0.5, 0.75)] + [
            (F_in, top)
        ]
    often, easy, peak = demand.pull_often, demand.pull_comfortable, demand.pull_peak
    return [
        (often, "often"),
        (easy, "comfortable"),
        ((easy + peak) / 2, "halfway to peak"),
        (F_in, "peak"),
    ]


def _meets(draw: Floats, full: float) -> int:
    return int(np.argmax(draw >= full - 1e-9))


def _near(found: Closing, stop: int) -> str:
    """The tightest pair at one stop, in words."""
    names = {p.key: p.words for p in found.pieces}
    best = min(found.gaps, key=lambda item: float(item[1][0, stop]), default=None)
    if best is None or float(best[1][0, stop]) > 500.0:
        return ""
    pair, gap = best
    return f"{words(float(gap[0, stop]), 'mm')} between {names[pair.a]} and {names[pair.b]}"


def _pulls(d: Detail) -> tuple[tuple[str, Floats], ...]:
    """What each drawbar carries per newton of output, high sides, by position."""
    s = d.strength
    out = np.where(s.F_out[0] > 0.0, s.F_out[0], 1.0)
    taken: dict[str, Floats] = {"in": s.F_in[0] / out, "out": s.F_out[0] / out}
    taken |= {f"carrier {'ab'[k]}": c[0] / out for k, c in enumerate(s.carrier)}
    taken |= {f"finger {f}": t[0] / out for f, t in enumerate(s.finger)}
    return tuple((name, np.ascontiguousarray(v)) for name, v in taken.items())


def as_data(w: Whole, m: DriveMotion) -> Table:
    """The motion of one drive as plain values; outlines in hundredths of a millimetre's place."""
    return {
        "pieces": [_piece(p) for p in m.pieces],
        "bars": [
            {"pull": b.pull, "p": [_column(b.ends[:, j]) for j in range(4)], "z": round(b.z, 2)}
            for b in m.bars
        ],
        "grips": [_grip_data(w, m, g) for g in m.grips],
        "parts": [*_parts(w)],
    }


def _piece(p: Drawn) -> Table:
    angles = {4, 5} if p.kind == "W" else set()  # radians: a hundredth would show at the rim
    columns = [_column(p.at[:, j], 4 if j in angles else 2) for j in range(p.at.shape[1])]
    return {
        "key": p.key,
        "words": p.words,
        "what": p.what,
        "k": p.kind,
        "p": columns,
        "y": [_column(p.y0), _column(p.y1)],
        "z": [round(p.z0, 2), round(p.z1, 2)],
    }


def _column(values: Floats, places: int = 2) -> Json:
    """One number where a value never changes, else one a stop."""
    told = [round(float(v), places) + 0.0 for v in values]
    return told[0] if len(set(told)) == 1 else told


def _grip_data(w: Whole, m: DriveMotion, g: GripMotion) -> Table:
    bars = {name: round(float(v[g.position]), 5) for name, v in m.pulls}
    return {
        "name": g.name,
        "at": w.detail.space.shelf.demand.positions[g.position].name,
        "stops": [
            {
                "t": s.words,
                "s": s.shape,
                "in": s.F_in,
                "out": s.F_out,
                "share": s.share,
                "near": s.near,
            }
            for s in g.stops
        ],
        "bars": bars,
        "closing": g.contact + 1,
        "touch": "; ".join(f"{name} meets it at stop {n + 1}" for name, n in g.touches),
    }


def _parts(w: Whole) -> list[Table]:
    """One entry a joint, part or chain: load in every position, and all its checks."""
    rows: dict[str, list[Mapping[str, Json]]] = {}
    for c in rows_of(w.facts["checks"]):
        rows.setdefault(str(c["key"]), []).append(c)
    return [_part(key, found) for key, found in rows.items()]


def _part(key: str, found: Sequence[Mapping[str, Json]]) -> Table:
    lead = next((c for c in found if c["load_unit"] == "N"), found[0])
    weakest = min(found, key=lambda c: _margin_of(c["margin_MS"]))
    loads = {str(a["position"]): a["load"] for a in rows_of(lead["at"])}
    return {
        "key": key,
        "part": str(lead["part"]),
        "unit": str(lead["load_unit"]),
        "loads": loads,
        "margin": margin(weakest["margin_MS"]).replace(" x ", " × "),
        "tight": _margin_of(weakest["margin_MS"]),
        "way": str(weakest["way"]),
        "checks": [
            {
                "way": str(c["way"]),
                "text": f"{words(_number(c['stress']), str(c['stress_unit']))} of "
                f"{words(_number(c['allowable']), str(c['allowable_unit']))}",
                "margin": margin(c["margin_MS"]).replace(" x ", " × "),
                "at": c["worst_position"],
                "left": c["left"],
            }
            for c in found
        ],
    }


def _margin_of(value: Json) -> float:
    return float(value) if isinstance(value, (int, float)) else 1e9


def _number(value: Json) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None
