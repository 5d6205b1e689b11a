"""What a floating wheel's set carries: axle, fork, chain and the chain's ends.

Shared by the first wheel of a chain winder and the carriers of a chain second stage.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives import make, wheels
from explorer.drives.joints import Attachment, ChainRun, Eye, Leaves, Loads, PinJoint
from explorer.drives.pieces import Stage
from explorer.drives.shelf import Shelf, take
from explorer.drives.wheels import Floating
from explorer.mechanics import chain as ch
from explorer.mechanics.guard import clip_sine
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Name:
    """How a set is called: `body` as in "carrier a", `words` as in "floating wheel of carrier a"."""

    body: str
    words: str
    leaves: Leaves
    stage: Stage


def fork_gap(shelf: Shelf, f: Floating, hold: Attachment) -> Floats:
    """Gap between fork plate and end piece on each side: several mm across a chain (N,1)."""
    return np.maximum((f.inside - f.n_end * hold.t) / 2.0, shelf.brief.shop.gap)


def joints(
    shelf: Shelf,
    f: Floating,
    name: Name,
    P: Floats,
    turn: Floats,
    lean_turn: Floats,
    hold: Attachment,
) -> Loads:
    """Axle, fork pin and the eyes about them; P (N,P) force of the pulling link, along its lean.

    The axle is fixed in the fork and the wheel turns on it by `turn`; the fork pin is fixed in the fork
    and the end piece `hold` swings on it by `lean_turn` at most (the chain behind it bends as well).
    """
    pins, sy = shelf.pins, take(shelf.plates.yield_, f.plate)
    zero = np.zeros_like(P)
    axle = PinJoint(
        key=f"{name.body} axle",
        part=f"axle of the {name.words}",
        leaves=name.leaves,
        load=P,
        swing=np.abs(turn) + zero,
        d=f.d_axle,
        t_fork=f.t,
        gap=(f.inside - f.width) / 2.0,
        t_mid=f.width,
        sy_pin=take(pins.yield_, f.axle),
        sy_fork=sy,
        sy_mid=sy,
        d_mid=f.hole,
        d_fork=f.d_axle,
        wear_k=wheels.axle_wear(shelf, f),
        wear_t=f.width,
        metal=shelf.endurance.pins + f.axle,
    )
    t_mid = f.n_end * hold.t
    pin = PinJoint(
        key=f"{name.body} fork pin",
        part=f"fork pin of the {name.words}",
        leaves=name.leaves,
        load=P,
        swing=np.abs(lean_turn) + zero,
        d=f.d_pin,
        t_fork=f.t,
        gap=fork_gap(shelf, f, hold),
        t_mid=t_mid,
        sy_pin=take(pins.yield_, f.pin),
        sy_fork=sy,
        sy_mid=hold.sy,
        d_mid=f.pin_hole,
        d_fork=f.d_pin,
        wear_k=make.joint_wear(shelf, f.pin_bushed, f.link_plate),
        wear_t=t_mid,
        metal=shelf.endurance.pins + f.pin,
    )

    def fork_eye(where: str, d: Floats) -> Eye:
        return Eye(
            key=f"{name.body} fork at {where}",
            part=f"fork of the {name.words}",
            leaves=name.leaves,
            load=P,
            w=f.fork_w,
            d=d,
            edge=f.fork_w / 2.0,
            t=2.0 * f.t,
            sy=sy,
            metal=f.plate,
        )

    least = wheels.EYE_GUARD * f.pin_hole
    held = Eye(
        key=f"{name.body} held end",
        part=hold.name,
        leaves=name.leaves,
        load=P,
        w=np.maximum(hold.w, least),
        d=f.pin_hole,
        edge=np.maximum(hold.edge, least / 2.0),
        t=t_mid,
        sy=hold.sy,
        metal=hold.metal,
    )
    return Loads(
        pins=(axle, pin), eyes=(fork_eye("axle", f.d_axle), fork_eye("pin", f.d_pin), held)
    )


def lean_turn(sine: Floats) -> Floats:
    """How far a pulling link's lean has turned from open (N,P), rad; position 0 is open."""
    lean = np.arcsin(clip_sine(sine))
    return lean - lean[:, :1]


def bent(f: Floating, turn: Floats) -> Floats:
    """How far a chain joint bends at the tangent: the wheel's turn, at most one tooth's angle (N,P)."""
    return np.minimum(np.abs(turn), ch.articulation_angle(f.p, f.R))


def chain_run(shelf: Shelf, f: Floating, name: Name, T: Floats, turn: Floats) -> ChainRun:
    """The chain over the wheel; T (N,P) the larger strand force."""
    return ChainRun(
        key=f"{name.body} chain",
        part=f"chain of the {name.words}",
        leaves=name.leaves,
        load=T,
        tensile=wheels.chain_strength(shelf, f.chain, f.links),
        swing=bent(f, turn) + np.zeros_like(T),
        pitch=f.p,
        bearing_t=take(shelf.chains.inner, f.chain),
    )


def strand_end_width(f: Floating) -> Floats:
    """Width of the end piece at a finger: the chain's plate height or twice its pin's hole (N,1)."""
    return np.maximum(f.h, f.end_w)
