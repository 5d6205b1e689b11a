"""Fits of one drive: which side of each joint turns, which is fixed, what to ream and how much play is left.

Zones: a fixed hole is H7, a running hole F8, a bush sits in H7 and is F8 inside once pressed in (common
practice, no source); limits of size from ISO 286.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from explorer.brief.stock_records import Tool
from explorer.build.blank import Bore, Point
from explorer.build.cut import at_rest, bores_of, ends_of
from explorer.build.parts import Part
from explorer.build.sizes import diameter, mm, rods_of
from explorer.drives.assemble import plays
from explorer.drives.pieces import Piece
from explorer.mechanics import fits as iso
from explorer.mechanics.outline import Sector, Stadium
from explorer.scoring.score import Detail

ZONES = {"press": "H7", "bush": "H7", "running": "F8", "clear": ""}
_SAYS = {"press": "pin fixed", "bush": "bush pressed in", "running": "turns freely"}
# mm; a hole this near to a pin's middle is the pin's hole.  The form that scores keeps heights, not the
# lengths of leaning links, so both members of a joint agree only up to a lean.
_NEAR = 1.0

# Joints that the plan does not show, because their holes lie on a circle or across a shaft along x:
# key of the pin -> keys of what it is fixed in, of what turns on it; those that are not there do not count.
_HIDDEN: Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "output pins": (("chain wheel a", "input wheel"), ()),
    "output pins a": (("chain wheel a", "side gear a"), ()),
    "output pins b": (("chain wheel b", "side gear b"), ()),
    "cage pins": (("input wheel", "cage plate b"), ()),
    "planet pins": (("cage plate a", "cage plate b"), ("planets a", "planets b")),
    "winder drive pins": (("winder input track", "winder output track"), ()),
    "shaft": (
        (),
        ("bracket a", "bracket b", "chain wheel a", "chain wheel b", "side gear a", "side gear b"),
    ),
}

# What the pieces do not show: a shaft is fixed in the whole of its winder, the wrist's drawbar is outside.
_HELD = {"winder shaft": "winder"}
_TURNING = {"rocker in pin": "input drawbar"}


@dataclass(frozen=True)
class Side:
    """One side of a joint: part numbers (or words), the hole's size, zone and limits, and its tool."""

    parts: tuple[str, ...]
    d: float
    zone: str
    limits: str
    tool: str


@dataclass(frozen=True)
class Joint:
    """One line of the fits table: like joints on like pins, `count` of them.  A side without parts is not there.

    Plays in mm, "" where unknown; `stroke` mm lost at the input drawbar by all joints of the line.
    """

    keys: tuple[str, ...]
    count: int
    pin: str  # its part number
    name: str
    d: float
    fit: str
    bushed: bool
    fixed: Side | None
    running: Side | None
    play: str
    stroke: float


def hole_note(bore: Bore) -> str:
    """What to do at a hole: diameter, zone, limits, and what sits in it."""
    zone = ZONES[bore.fit]
    if not zone:
        return f"Ø {mm(bore.d)}, clears what passes through"
    return f"Ø {mm(bore.d)} {zone} ({hole_limits(bore.d, zone)}), {_SAYS[bore.fit]}"


def hole_limits(d: float, zone: str) -> str:
    """Limits of size of a hole, mm, as in "3.000 to 3.010"; "ream to fit" beyond the tables."""
    try:
        limits = iso.limits(np.array(d), zone)
    except ValueError:
        return "fit by hand"
    low, high = (d + float(um) / 1000.0 for um in (limits.lower_um, limits.upper_um))
    return f"{low:.3f} to {high:.3f}"


def joints_of(d: Detail, parts: Sequence[Part]) -> tuple[Joint, ...]:
    """The fits table of one drive: one line a pin number and pair of holes."""
    numbers = {key: part.number for part in parts for key in part.keys}
    lost = {p.key: at_rest(p.at_input) for p in plays(d.space, d.drive, d.motion)}
    pins = [p for p in d.pieces if p.what in ("pin", "shaft") and p.key in numbers]
    lines: dict[tuple[object, ...], Joint] = {}
    for joint in (_joint(d, p, numbers, lost) for p in pins):
        like = (joint.pin, _hole(joint.fixed), _hole(joint.running))
        lines[like] = _joined(lines[like], joint) if like in lines else joint
    return tuple(lines.values())


def _hole(side: Side | None) -> tuple[object, ...]:
    return () if side is None else (side.d, side.zone)


def _joined(a: Joint, b: Joint) -> Joint:
    """Two lines of the table as one."""
    return replace(
        a, keys=a.keys + b.keys, count=a.count + b.count, name=f"{a.name}; {b.name}", fixed=_both(a.fixed, b.fixed),
        running=_both(a.running, b.running), stroke=a.stroke + b.stroke,
    )  # fmt: skip


def _both(a: Side | None, b: Side | None) -> Side | None:
    if a is None or b is None:
        return a
    return replace(a, parts=tuple(dict.fromkeys(a.parts + b.parts)))


def _joint(d: Detail, p: Piece, numbers: dict[str, str], lost: dict[str, float]) -> Joint:
    rods, index = rods_of(d.space.shelf, p), int(at_rest(p.number[0]))
    size, fit = diameter(d.space.shelf, p), rods.fits[index]
    tools = d.space.shelf.stock.tools
    hidden = _HIDDEN.get(p.key)
    bushed = f"{p.key} bushes" in numbers
    if hidden is not None:
        held, turning = (
            tuple(dict.fromkeys(numbers[k] for k in h if k in numbers)) for h in hidden
        )
        fixed = _side(held, size, "press", tools) if held else None
        running = _side(turning, size, "running", tools) if turning else None
    else:
        found = _holes_at(d.pieces, p, numbers)
        fixed = _sides([h for h in found if h[1].fit == "press"], tools)
        running = _sides([h for h in found if h[1].fit != "press"], tools)
        fixed = fixed or _named(_HELD, p, size, "press", tools)
        running = running or _named(_TURNING, p, size, "running", tools)
    turns = running is not None
    return Joint(
        (p.key,), round(at_rest(p.count)), numbers[p.key], p.words, size, fit, bushed, fixed, running,
        _play(size, "F8" if turns else "H7", fit), lost.get(p.key, 0.0),
    )  # fmt: skip


def _holes_at(
    pieces: Sequence[Piece], pin: Piece, numbers: dict[str, str]
) -> list[tuple[str, Bore]]:
    """Part numbers and holes that stand where this pin does when the hand is open."""
    if not isinstance(pin.shape, Stadium):
        return []
    at = ends_of(pin.shape)[0]
    out: list[tuple[str, Bore]] = []
    for q in pieces:
        if q.key not in numbers or q.body not in (pin.body, *pin.joined):
            continue
        for place, hole in zip(hole_places(q, pieces), bores_of(q, pieces), strict=False):
            if (place - at).length < _NEAR:
                out.append((numbers[q.key], hole))
    return out


def hole_places(q: Piece, pieces: Sequence[Piece]) -> tuple[Point, ...]:
    """Where a cut piece's holes are in the plan of the open hand: at the ends of its outline.

    The form that scores sets the ends; a link's own length may differ from theirs by its lean.
    """
    if isinstance(q.shape, Sector):
        return (Point(at_rest(q.shape.cx), at_rest(q.shape.cy)),)
    if not isinstance(q.shape, Stadium):
        return ()
    if q.sections:  # its pin holes lie on a circle: only the bore is on the pin
        return ends_of(q.shape)[:1]
    arm = next((a for a in pieces if a.outline_only and a.key == f"{q.key} arm"), None)
    ends = ends_of(q.shape)
    if arm is not None and isinstance(arm.shape, Stadium):
        return (*ends, ends_of(arm.shape)[1])
    return ends


def _named(
    known: Mapping[str, str], p: Piece, d: float, fit: str, tools: Sequence[Tool]
) -> Side | None:
    return _side((known[p.key],), d, fit, tools) if p.key in known else None


def _sides(found: Sequence[tuple[str, Bore]], tools: Sequence[Tool]) -> Side | None:
    if not found:
        return None
    numbers = tuple(dict.fromkeys(number for number, _ in found))
    return _side(numbers, found[0][1].d, found[0][1].fit, tools)


def _side(parts: tuple[str, ...], d: float, fit: str, tools: Sequence[Tool]) -> Side:
    zone = ZONES[fit]
    return Side(parts, d, zone, hole_limits(d, zone), _tool(d, zone, tools))


def _tool(d: float, zone: str, tools: Sequence[Tool]) -> str:
    """The reamer for a hole: one owned in its zone, else what to buy or do."""
    owned = [t for t in tools if t.kind == "reamer" and t.have != "buy"]
    same = [t for t in owned if abs(t.d - d) < 1e-6]
    if any(t.fit == zone for t in same):
        return f"reamer {mm(d)} {zone}"
    if same:
        return f"reamer {mm(d)} {same[0].fit}, lap to {zone}"
    return f"buy reamer {mm(d)} {zone}"


def _play(d: float, zone: str, fit: str) -> str:
    """Least and most play of a hole on a pin, mm; a press fit has none."""
    try:
        fitted = iso.clearance(np.array(d), zone, fit)
    except ValueError:
        return ""
    low, high = (max(0.0, float(um) / 1000.0) for um in (fitted.least_um, fitted.most_um))
    return f"{low:.3f} to {high:.3f}"
