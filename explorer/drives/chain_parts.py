"""Loads and pieces of the second stage `chain`."""

from __future__ import annotations

import numpy as np

from explorer.drives import make, wheel_loads, wheel_parts, wheels
from explorer.drives.joints import Attachment, Leaves, Loads
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion, StageMotion
from explorer.drives.pieces import Piece
from explorer.drives.pulls import Pulls
from explorer.drives.shelf import Shelf, take
from explorer.drives.wheel_loads import Name
from explorer.drives.wheel_parts import Place
from explorer.drives.wheels import Floating
from explorer.mechanics import chain as ch
from explorer.mechanics.outline import Stadium
from explorer.mechanics.types import Floats


def name_of(drive: Drive, k: int) -> Name:
    """Words of carrier k; a chain that parts frees both its fingers."""
    side = "ab"[k]
    left: Leaves = (
        "two fingers" if sum(len(c.fingers) for c in drive.carriers) > 3 else "the other fingers"
    )
    leaves: Leaves = "nothing" if len(drive.carriers) == 1 else left
    return Name(
        f"carrier {side}",
        f"floating wheel {side}",
        leaves,
        "second a" if side == "a" else "second b",
    )


def stage_of(motion: Motion, k: int) -> StageMotion:
    """Motion of carrier k, which is a pair."""
    m = motion.second[k]
    assert m is not None  # noqa: S101
    return m


def loads(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    pulls: Pulls,
    k: int,
    hold: Attachment,
) -> Loads:
    """Axle, fork, chain and end pieces of carrier k.

    The strands' forces are T/cos of their own leans; the chain carries the larger.
    """
    m, name = stage_of(motion, k), name_of(drive, k)
    f = wheels.floating(shelf, drive.columns, wheels.CARRIER)
    i, j = drive.carriers[k].fingers
    T = (pulls.finger[i] / m.leans.cos_a, pulls.finger[j] / m.leans.cos_b)
    out = wheel_loads.joints(
        shelf,
        f,
        name,
        pulls.carrier[k] / m.leans.cos_in,
        m.tilt,
        wheel_loads.lean_turn(m.sine_in),
        hold,
    )
    ends = tuple(
        wheel_parts.end_eye(
            shelf,
            f"finger end {n}",
            f"chain end at the {shelf.demand.fingers[n]} finger",
            name.leaves,
            force,
            wheel_loads.strand_end_width(f),
            f.chain,
            f.link_plate,
            f.n_end,
        )
        for n, force in zip((i, j), T, strict=True)
    )
    run = wheel_loads.chain_run(shelf, f, name, np.maximum(*T), m.tilt)
    return out + Loads(eyes=ends, chains=(run,))


def sector_half(shelf: Shelf, f: Floating, sector: Floats, m: StageMotion) -> Floats:
    """Half angle of the wheel's outline (N,1): pi, or a quarter turn, the largest turn and one tooth."""
    must = np.array([p.must for p in shelf.demand.positions])
    turn = np.abs(m.tilt).max(axis=1, initial=0.0, where=must)[:, None]
    kept = np.pi / 2.0 + turn + ch.articulation_angle(f.p, f.R)
    return np.where(sector > 0.0, np.minimum(kept, np.pi), np.pi)


def pieces(shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Piece, ...]:
    """Wheel, fork, pins, spacers, chain and the end pieces at the fingers."""
    m, name = stage_of(motion, k), name_of(drive, k)
    f = wheels.floating(shelf, drive.columns, wheels.CARRIER)
    carrier = drive.carriers[k]
    place = Place(m.x, carrier.y - m.y, m.sine_in, m.tilt, drive.z)
    half = sector_half(shelf, f, drive.columns["wheel_sector"], m)
    wheel = wheel_parts.wheel_piece(shelf, f, name, place, half)
    fork = wheel_parts.fork_pieces(shelf, f, name, place, f"carrier link {'ab'[k]}")
    ends = tuple(
        _finger_end(shelf, drive, f, name, place, n, tangent)
        for n, tangent in zip(carrier.fingers, (-f.R, f.R), strict=True)
    )
    side = take(shelf.chains.width, f.chain) / 2.0
    strands = tuple(
        Stadium(
            place.x + tangent,
            place.y,
            shelf.demand.pin_x[i] + 0.0 * place.x,
            _pin_y(shelf, i) + 0.0 * place.x,
            f.h / 2.0,
        )
        for i, tangent in zip(carrier.fingers, (-f.R, f.R), strict=True)
    )
    chain = make.chain_piece(
        shelf,
        f"{name.body} chain",
        f"chain of the {name.words}",
        name.stage,
        f"{name.body} chain",
        (name.body,),
        strands[0],
        drive.z - side,
        drive.z + side,
        f.chain,
        f.links,
    )
    return (wheel, *fork, chain, wheel_parts.other_strand(chain, strands[1]), *ends)


def _pin_y(shelf: Shelf, i: int) -> Floats:
    """y of finger i's drawbar pin in every position (P,)."""
    return float(shelf.demand.pin_y[i]) - shelf.demand.draw[:, i]


def _finger_end(
    shelf: Shelf,
    drive: Drive,
    f: Floating,
    name: Name,
    place: Place,
    i: int,
    tangent: Floats,
) -> Piece:
    """End piece at finger i; longer than the connector where its pin lies further from the wrist."""
    d = shelf.demand
    low = min(float(d.pin_y[n]) for n in drive.carriers[int(name.body.endswith("b"))].fingers)
    x = float(d.pin_x[i]) + 0.0 * place.x
    y = _pin_y(shelf, i) + 0.0 * place.x
    length = f.connector + (float(d.pin_y[i]) - low)
    x2, y2 = wheel_parts.toward(x, y, place.x + tangent, place.y, length)
    hole = take(shelf.chains.pin, f.chain)
    return wheel_parts.end_piece(
        shelf,
        f"finger end {i}",
        f"chain end at the {d.fingers[i]} finger",
        name.stage,
        f"finger link {i}",
        (f"{name.body} chain",),
        (x, y, x2, y2),
        wheel_loads.strand_end_width(f),
        drive.z,
        f.link_plate,
        f.n_end,
        (hole, hole),
    )
