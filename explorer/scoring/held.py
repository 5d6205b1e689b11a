"""The ratio part on its mounts: pivot, bushes, guides of strands, and what pulls or holds the input.

One drive.  Lists what the mounts carry and what acts from outside, up to the drawbars of the fingers.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.brief.records import Brief
from explorer.drives.bodies import GearSplit
from explorer.drives.exact import Exact
from explorer.drives.layout import Drive
from explorer.drives.ratios import Rocker, Spool
from explorer.drives.shelf import Shelf
from explorer.drives.winder import winder
from explorer.mechanics.shaft import bush_reactions
from explorer.mechanics.types import Bools, Floats, Ints
from explorer.scoring.wrench import Load, carried_to, vector


@dataclass(frozen=True)
class Held:
    """F_out (P,); height of each finger's drawbar on the drive's side, mm; loads up to the drawbars."""

    F_out: Floats
    z: tuple[float, ...]
    mounts: tuple[Load, ...]
    externals: tuple[Load, ...]


@dataclass(frozen=True)
class _Case:
    """One drive in the positions asked for; `locked` (P,) where a lock holds the input instead of the wrist."""

    brief: Brief
    drive: Drive
    exact: Exact
    at: Ints
    F_in: Floats
    F_out: Floats
    locked: Bools
    at_carriers: Bools


def _one(column: Floats) -> float:
    return float(np.asarray(column).reshape(-1)[0])


def held(shelf: Shelf, drive: Drive, exact: Exact, at: Ints, F_in: Floats) -> Held:
    """The ratio part, its input and its strands; F_in (P,) in positions `at`."""
    lock = shelf.brief.strength.lock
    carried = shelf.demand.carried[at] > 0.0
    at_carriers = carried & (lock == "carriers")
    F_out = F_in * exact.out_per_in[at]
    locked = carried & (lock == "input drawbar")
    # a lock at the carriers unloads all before it
    ratio_in = np.where(at_carriers, 0.0, F_in)
    case = _Case(shelf.brief, drive, exact, at, ratio_in, F_out, locked, at_carriers)
    if isinstance(drive.ratio, Rocker):
        heights = tuple(drive.z for _ in drive.carriers)
        mounts, entry = _rocker(case, drive.ratio)
    elif drive.ratio.flat:
        heights = tuple(drive.z for _ in drive.carriers)
        mounts, entry = _winder(case, drive.ratio, shelf)
    else:
        heights = _wheel_heights(drive, drive.ratio)
        mounts, entry = _cage(case, drive.ratio, heights)
    on, by = _input(case, entry)
    mounts += on + _carrier_locks(case, heights)
    of_finger = {f: z for c, z in zip(drive.carriers, heights, strict=True) for f in c.fingers}
    z = tuple(of_finger[f] for f in sorted(of_finger))
    return Held(F_out, z, tuple(mounts), tuple(by))


def _rocker(c: _Case, r: Rocker) -> tuple[list[Load], Load]:
    """Pivot from both drawbars as vectors, carried to the plate that holds it."""
    theta = c.exact.theta[c.at]
    y0, z = _one(c.drive.y_ratio), c.drive.z
    push = 1.0 if r.source.strut else -1.0
    t_in = np.reshape(r.input_side * r.input_tan(theta), theta.shape)
    entry = Load(
        "pull of the wrist",
        "wrist pull",
        vector(np.ravel(r.in_pin(theta).x), y0 + np.ravel(r.in_pin(theta).y), z, theta),
        vector(-push * t_in * c.F_in, r.source.sign * c.F_in, 0.0, theta),
        np.zeros((len(theta), 3)),
    )
    out = _out(c)
    pull = vector(out * np.tan(c.exact.exit_lean[0][c.at]), out, 0.0, theta)
    pivot = vector(_one(r.x_p), y0, z, theta)
    load = Load("pivot of the rocker", "pivot", pivot, entry.force + pull, np.zeros_like(pull))
    plate = vector(_one(r.x_p), y0, c.brief.mounts.pivot_mount_z, theta)
    return [carried_to(load, plate)], entry


def _out(c: _Case) -> Floats:
    """Pull along y that leaves the ratio part (P,): nothing where the carriers are locked."""
    return np.where(c.at_carriers, 0.0, c.F_out)


def _bushes(
    names: tuple[str, str],
    loads: tuple[Floats, ...],
    along: tuple[Floats, ...],
    places: tuple[Floats, Floats],
    span: float,
) -> list[Load]:
    """Two bushes; loads (P,3) across the shaft, their places along it (P,) from the first bush."""
    width = np.full(len(loads[0]), span)
    parts = [bush_reactions([load[:, i] for load in loads], along, width) for i in range(3)]
    near = np.stack([p.at_zero for p in parts], axis=-1)
    far = np.stack([p.at_span for p in parts], axis=-1)
    return [
        Load(name, "bush", at, force, np.zeros_like(force))
        for name, at, force in zip(names, places, (near, far), strict=True)
    ]


def _winder(c: _Case, r: Spool, shelf: Shelf) -> tuple[list[Load], Load]:
    """Shaft along z: each chain at its own height, straight across the shaft."""
    w = winder(shelf, c.drive.columns)
    n = c.F_in
    x_p, y0 = _one(r.x_p), _one(c.drive.y_ratio)
    z0 = c.drive.z - w.up * _one(w.at_out)
    z_in = z0 + w.up * _one(w.at_in)
    in_side = -_one(r.side) if r.source.reverses else _one(r.side)
    entry = Load(
        "pull of the wrist",
        "wrist pull",
        vector(x_p + in_side * _one(r.a1), y0, z_in, n),
        vector(0.0, r.source.sign * c.F_in, 0.0, n),
        np.zeros((len(n), 3)),
    )
    out = _out(c)
    pull = vector(out * np.tan(c.exact.exit_lean[0][c.at]), out, 0.0, n)
    along = (np.full(len(n), _one(w.at_in)), np.full(len(n), _one(w.at_out)))
    ends = (vector(x_p, y0, z0, n), vector(x_p, y0, z0 + w.up * _one(w.span), n))
    names = ("bush beside the output track", "bush beside the input track")
    return _bushes(names, (entry.force, pull), along, ends, _one(w.span)), entry


def _wheel_radii(drive: Drive, r: Spool) -> tuple[float, ...]:
    first = drive.first
    return (_one(first.r_a), _one(first.r_b)) if isinstance(first, GearSplit) else (_one(r.a2),)


def _toward(drive: Drive) -> float:
    """+1 where a cage's shaft lies on the back-of-hand side of the drawbars, else -1."""
    return 2.0 * _one(drive.columns["shaft_side"]) - 1.0


def _shaft_z(drive: Drive, r: Spool) -> float:
    """Height of a cage's shaft: its larger chain wheel pulls in the plane of the drawbars."""
    return drive.z + _toward(drive) * max(_wheel_radii(drive, r))


def _wheel_heights(drive: Drive, r: Spool) -> tuple[float, ...]:
    """Height of each strand where it leaves its wheel; its carrier is taken to run in that plane."""
    return tuple(_shaft_z(drive, r) - _toward(drive) * a for a in _wheel_radii(drive, r))


def _cage(c: _Case, r: Spool, heights: tuple[float, ...]) -> tuple[list[Load], Load]:
    """Shaft along x: strands leave straight through guides that take their slant."""
    n, y0 = c.F_in, _one(c.drive.y_ratio)
    z_shaft, toward = _shaft_z(c.drive, r), _toward(c.drive)
    x0 = _one(r.exits[0]) - _one(r.at_out[0])
    z_in = z_shaft + (toward if r.source.reverses else -toward) * _one(r.a1)
    entry = Load(
        "pull of the wrist",
        "wrist pull",
        vector(x0 + _one(r.at_in), y0, z_in, n),
        vector(0.0, r.source.sign * c.F_in, 0.0, n),
        np.zeros((len(n), 3)),
    )
    loads, along, mounts = [entry.force], [np.full(len(n), _one(r.at_in))], []
    for k, (x, at, z) in enumerate(zip(r.exits, r.at_out, heights, strict=True)):
        lean = c.exact.exit_lean[k][c.at]
        F = _strand(c, k)
        loads.append(vector(0.0, F, 0.0, n))
        along.append(np.full(len(n), _one(at)))
        bend = vector(F * np.sin(lean), F * (np.cos(lean) - 1.0), 0.0, n)
        place = vector(_one(x), y0, z, n)
        name = f"guide where strand {'ab'[k]} leaves"
        mounts.append(Load(name, "guide", place, bend, np.zeros_like(bend)))
    ends = (vector(x0, y0, z_shaft, n), vector(x0 + _one(r.span), y0, z_shaft, n))
    names = ("bush on the index side", "bush on the little side")
    return _bushes(names, tuple(loads), tuple(along), ends, _one(r.span)) + mounts, entry


def _strand(c: _Case, k: int) -> Floats:
    """Force of strand k where it leaves a cage (P,), N."""
    stage = c.exact.second[k]
    if stage is not None:
        per = stage.force_in[c.at]
    else:
        per = c.exact.finger_force[c.at, c.drive.carriers[k].fingers[0]]
    return np.asarray(_out(c) * per)


def _input(c: _Case, entry: Load) -> tuple[list[Load], list[Load]]:
    """What pulls the input: the wrist, or a lock on the drawbar; a strand led round has a guide."""
    locked = np.where(c.locked, 1.0, 0.0)[:, None]
    hold = Load("lock on the input drawbar", "lock", entry.at, -locked * entry.force, entry.couple)
    free = (1.0 - locked) * entry.force
    source = c.drive.ratio.source
    if not source.reverses or source.strut:
        pull = Load(entry.name, entry.kind, entry.at, free, entry.couple)
        return [hold], [pull]
    zero = 0.0 * c.F_in
    far = vector(source.far_x, entry.at[:, 1], entry.at[:, 2], zero)
    pull = Load(entry.name, entry.kind, far, vector(0.0, -free[:, 1], 0.0, zero), entry.couple)
    # the strand between: the ratio part and the wrist both pull it toward the wrist
    middle = vector(
        (entry.at[:, 0] + source.far_x) / 2.0,
        c.brief.cavity.box.y1,
        entry.at[:, 2],
        zero,
    )
    back = Load("", "guide", entry.at, -free, np.zeros_like(free))
    one, other = carried_to(back, middle), carried_to(pull, middle)
    turn = Load(
        "guide where the input strand turns",
        "guide",
        middle,
        one.force + other.force,
        one.couple + other.couple,
    )
    return [hold, turn], [pull]


def _carrier_locks(c: _Case, heights: tuple[float, ...]) -> list[Load]:
    """Locks at the carriers: each carries what its fingers' links pull."""
    if not c.at_carriers.any():
        return []
    out = []
    for k, (carrier, z) in enumerate(zip(c.drive.carriers, heights, strict=True)):
        x_pull, y_pull = 0.0 * c.F_in, 0.0 * c.F_in
        for f in carrier.fingers:
            T = c.exact.pull_out[c.at, f] * np.where(c.at_carriers, c.F_out, 0.0)
            x_pull, y_pull = x_pull + T * np.tan(c.exact.lean[c.at, f]), y_pull + T
        stage = c.exact.second[k]
        if stage is not None:
            x, y = stage.x[c.at], stage.y[c.at]
        else:
            x = np.full(len(c.at), c.brief.fingers[carrier.fingers[0]].pin_x)
            y = c.exact.pin_y[c.at, carrier.fingers[0]]
        force = vector(x_pull, y_pull, 0.0, c.F_in)
        place = vector(x, y, z, c.F_in)
        out.append(Load(f"lock of carrier {'ab'[k]}", "lock", place, force, np.zeros_like(force)))
    return out
