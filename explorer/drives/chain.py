"""Second stage `chain`: a chain over a floating wheel shares a pull between two fingers.

Wheel, chain, axle and fork are the same for every pair.  The chain's connectors slide in the fingers'
guides; the finger nearest the wrist has the shorter strand and the other's end piece is longer by the
step.  The fork hangs in line with the link that pulls it, so the carrier's centre is the axle and the
link's length includes the fork (`wheels.carrier_fork`).
"""

from __future__ import annotations

import numpy as np

from explorer.drives import chain_parts, wheel_parts, wheels
from explorer.drives.bodies import Wheel
from explorer.drives.family import Hung
from explorer.drives.joints import Attachment, Loads, Play
from explorer.drives.layout import Drive, finger_lengths
from explorer.drives.motion import Motion
from explorer.drives.pieces import Limit, Pair, Piece
from explorer.drives.pulls import Pulls
from explorer.drives.shelf import Shelf
from explorer.drives.variables import Columns, Variable, choice, whole
from explorer.drives.windows import more_links
from explorer.mechanics.types import Floats


def variables(shelf: Shelf, pairs: int) -> tuple[Variable, ...]:  # noqa: ARG001 - all pairs alike
    """Its variables, shared by all pairs."""
    return (
        whole("wheel_teeth", "teeth of the floating wheels", 9, 24, "wheel_chain"),
        choice("wheel_chain", "chain over the floating wheels", shelf.chains.names, "chains"),
        whole(
            "wheel_strand_links",
            "links of the chain over a floating wheel",
            10,
            36,
            "wheel_chain",
            off=(wheels.half_of("wheel_teeth"),),
        ),
        choice("axle_pin", "axle of the floating wheels", shelf.pins.names, "pins"),
        choice("carrier_fork_pin", "pin at the fork of a floating wheel", shelf.pins.names, "pins"),
        choice("wheel_sector", "floating wheels", ("whole", "sector")),
    )


def hang(shelf: Shelf, cols: Columns, fingers: tuple[int, int], place: str) -> Hung:  # noqa: ARG001
    """The wheel hangs one free strand below the finger pin that is nearest to the wrist."""
    f = wheels.floating(shelf, cols, wheels.CARRIER)
    pin_y = shelf.demand.pin_y
    low = min(float(pin_y[i]) for i in fingers)
    return Hung(wheels.body(shelf, f), finger_lengths(pin_y, fingers, f.L_f), low - f.L_f)


def loads(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    pulls: Pulls,
    k: int,
    hold: Attachment,
) -> Loads:
    """What carrier k's parts carry, its fork pin included."""
    return chain_parts.loads(shelf, drive, motion, pulls, k, hold)


def pieces(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    k: int,
    hold: Attachment,  # noqa: ARG001 - the first stage lists its own end
) -> tuple[Piece, ...]:
    """Pieces of carrier k."""
    return chain_parts.pieces(shelf, drive, motion, k)


def pairs(drive: Drive, k: int) -> tuple[Pair, ...]:
    """The two carriers' wheels and forks, listed once."""
    if k or sum(isinstance(c.body, Wheel) for c in drive.carriers) < len("ab"):
        return ()
    return (
        Pair("carrier a wheel", "carrier b wheel"),
        Pair("carrier a wheel", "carrier b fork"),
        Pair("carrier a fork", "carrier b wheel"),
        Pair("carrier a fork", "carrier b fork"),
    )


def apart(shelf: Shelf, s_a: Floats, s_b: Floats) -> Floats:
    """Largest |s_a - s_b| over the must positions, mm (N,)."""
    must = np.array([p.must for p in shelf.demand.positions])
    return np.asarray(np.abs(s_a - s_b).max(axis=1, initial=0.0, where=must))


def limits(shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Limit, ...]:
    """Limits of carrier k: teeth, strand, parity, webs, holes, turned size, what fits in the fork."""
    m = motion.second[k]
    assert m is not None  # noqa: S101 - pairs only
    f = wheels.floating(shelf, drive.columns, wheels.CARRIER)
    return wheel_parts.limits(shelf, f, apart(shelf, m.s_a, m.s_b))


def play(shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Play, ...]:
    """Axle, fork pin and chain ends; the adjuster takes up run-in and the links' own slack."""
    f = wheels.floating(shelf, drive.columns, wheels.CARRIER)
    share = 1.0 + 0.0 * f.p
    if drive.first is not None:
        c = drive.first.plain_share(0.0 * f.p)
        share = c if k == 0 else 1.0 - c
    step = share * (motion.a1_0 / motion.a2_0)[:, :1]
    name = f"carrier {'ab'[k]}"
    return (
        Play(f"{name} axle", wheels.running_play(shelf.pins, f.axle) * step),
        Play(f"{name} fork pin", wheels.running_play(shelf.pins, f.pin) * step),
        # each end counts half at the axle, and there are two
        Play(f"{name} chain ends", wheels.PLAY * step),
    )


def trimmed(shelf: Shelf, cols: Columns, pairs: tuple[tuple[int, int], ...]) -> dict[str, Floats]:
    """Links enough that no strand's last pin comes among the teeth at any draw (N,1)."""
    f, draw = wheels.floating(shelf, cols, wheels.CARRIER), shelf.demand.draw[None]
    furthest = max(float(apart(shelf, draw[..., i], draw[..., j])[0]) for i, j in pairs)
    spare = wheel_parts.strand_spare(f, np.full_like(f.p, furthest))
    return {wheels.CARRIER.links: more_links(f.links, spare, f.p / 2.0)}


def neighbour_travel(shelf: Shelf, drive: Drive, k: int) -> Floats:
    """2 (L_f - half connector - tangency - adjuster), within 0 and the full draw, mm (N,1).

    Half connector: last chain pin to drawbar pin.  Adjuster: the run-in that it has taken up.
    """
    f = wheels.floating(shelf, drive.columns, wheels.CARRIER)
    used = shelf.brief.shop.run_in * f.L_f
    room = 2.0 * (f.L_f - f.connector - f.tangency - used)
    full = max(float(shelf.demand.full_draw[i]) for i in drive.carriers[k].fingers)
    return np.minimum(np.maximum(room, 0.0), full)
