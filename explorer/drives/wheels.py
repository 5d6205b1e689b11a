"""A floating wheel on an axle in a fork of two plates, with the chain over it: sizes of one such set.

Both the first wheel of a chain winder and the carriers of a chain second stage are such sets.  A fork
hangs in line with the strand or link that pulls it (it is a two-force member), so its length is part of
that strand's length; the wheel's axle is the body's centre.

Sizes that no variable sets (common practice, no source, unless said): an eye is as wide as twice its
hole; teeth are 0.93 of the chain's inner width (ISO 606, from memory); the fork stands one chain side
gap off the chain's overall width; wheels are as strong as the fork's metal and as heavy as steel
(assumed: the stock does not say what wheels are made of).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from explorer.drives.bodies import Wheel
from explorer.drives.make import joint_mu, joint_wear
from explorer.drives.shelf import Pins, Shelf, take
from explorer.drives.variables import Off, once_a_batch
from explorer.mechanics import chain as ch
from explorer.mechanics import fits
from explorer.mechanics.types import Floats

Columns = Mapping[str, Floats]

TOOTH_WIDTH = 0.93  # of the chain's inner width
EYE_GUARD = 1.05  # an eye narrower than its hole is a limit's affair; here it only stays finite
PLAY = 0.02  # mm, where the stock's fit is not tabulated, and at each chain end (assumed)
RUNNING_HOLE = "F8"  # hole that runs on a stock pin (common practice, no source)
REAMED_HOLE = "H7"  # hole of a drive pin


@dataclass(frozen=True)
class Keys:
    """Column keys of one set; `end` is the width of the end piece's eye at the fork pin, or ""."""

    teeth: str
    chain: str
    links: str
    axle: str
    pin: str
    end: str


CARRIER = Keys(
    "wheel_teeth",
    "wheel_chain",
    "wheel_strand_links",
    "axle_pin",
    "carrier_fork_pin",
    "end_width_mm",
)


@dataclass(frozen=True)
class Floating:
    """One floating wheel, its fork and its chain; indices into the stock and sizes in mm, (N,1) each.

    R mean arm; `outer` radius of teeth or of the chain lying on them, whichever is larger; `root` inside
    of the chain's plates; `free` chain between tangent and last chain pin on the shorter side at rest,
    L_f = free + connector; `hole` bore of the wheel, `pin_hole` hole of the end piece at the fork pin
    (bush outsides where bushed); `length` of the fork from axle to fork pin; `n_end` end plates there.
    """

    chain: Floats
    links: Floats
    teeth: Floats
    axle: Floats
    pin: Floats
    plate: Floats
    link_plate: Floats
    p: Floats
    h: Floats
    R: Floats
    outer: Floats
    tip: Floats
    root: Floats
    width: Floats
    inside: Floats
    d_axle: Floats
    hole: Floats
    axle_bushed: Floats
    d_pin: Floats
    pin_hole: Floats
    pin_bushed: Floats
    t: Floats
    t_end: Floats
    n_end: Floats
    fork_w: Floats
    end_w: Floats
    length: Floats
    free: Floats
    connector: Floats

    @property
    def L_f(self) -> Floats:
        """Strand at rest from the tangent to the drawbar pin on the shorter side (N,1)."""
        return self.free + self.connector

    @property
    def tangency(self) -> Floats:
        """Length of strand beyond the tangent point that lies among the teeth (N,1)."""
        return tangency(self.p, self.teeth)


def eye_width(shelf: Shelf, hole: Floats, t: Floats) -> Floats:
    """Width of an eye: twice the hole, or what the shop's web and edge rules ask (N,1)."""
    shop = shelf.brief.shop
    return np.maximum(
        np.maximum(2.0 * hole, hole + 2.0 * shop.min_web),
        2.0 * shop.edge_over_thickness * t,
    )


def is_bushed(cols: Columns, pins: Pins, index: Floats) -> Floats:
    """1 where the drive is bushed and the stock has a bush for this pin (N,1)."""
    return take(pins.has_bush, index) * cols["bushed"]


def end_plates(cols: Columns) -> Floats:
    """Plates of a link's or chain's end: one between doubled plates, two outside a single one (N,1)."""
    return 2.0 - cols["doubled"]


def wheel_width(shelf: Shelf, chain: Floats) -> Floats:
    """Width of the teeth and of the bore (N,1)."""
    return TOOTH_WIDTH * take(shelf.chains.inner, chain)


def room_across(shelf: Shelf, chain: Floats) -> Floats:
    """Room that a chain on its wheel needs along the axle, side gaps included (N,1)."""
    return take(shelf.chains.width, chain) + 2.0 * shelf.brief.shop.chain_side_gap


def outer_radius(p: Floats, h: Floats, teeth: Floats) -> Floats:
    """Largest radius of a toothed wheel with the chain on it (N,1)."""
    return np.maximum(ch.tip_radius(p, teeth), ch.pitch_radius(p, teeth) + h / 2.0)


def root_radius(p: Floats, h: Floats, teeth: Floats) -> Floats:
    """Radius inside the chain's plates, what is left for bore and pins (N,1)."""
    return ch.arm_min_toothed(p, teeth) - h / 2.0


def tangency(p: Floats, teeth: Floats) -> Floats:
    """sqrt(tip^2 - R^2): where the strand's centre line leaves the circle of the tips (N,1). Derived."""
    tip, R = ch.tip_radius(p, teeth), ch.mean_arm_toothed(p, teeth)
    return np.sqrt(np.maximum(tip * tip - R * R, 0.0))


def chain_strength(shelf: Shelf, chain: Floats, links: Floats) -> Floats:
    """Tensile strength, less where an odd count needs an offset link (N,1), N."""
    offset = take(shelf.chains.offset, chain)
    odd = (links % 2.0 > 0.0) & (offset > 0.0)  # without an offset link the parity limit refuses it
    return take(shelf.chains.tensile, chain) * np.where(odd, offset, 1.0)


def parity_slack(shelf: Shelf, chain: Floats, links: Floats) -> Floats:
    """+1 where the count closes with equal ends, or by an offset link that can be had; else -1 (N,)."""
    shut = (links % 2.0 > 0.0) & (take(shelf.chains.offset, chain) <= 0.0)
    return np.where(shut, -1.0, 1.0)[:, 0]


def running_play(pins: Pins, index: Floats) -> Floats:
    """Mean clearance of a hole running on a stock pin, F8 on the pin's own fit (N,1), mm."""
    return _fit_play(pins, index, RUNNING_HOLE)


def reamed_play(pins: Pins, index: Floats) -> Floats:
    """Mean clearance of a drive pin in its reamed hole, H7 on the pin's own fit (N,1), mm."""
    return _fit_play(pins, index, REAMED_HOLE)


def _fit_play(pins: Pins, index: Floats, hole: str) -> Floats:
    return take(
        np.array([_play(d, hole, fit) for d, fit in zip(pins.d, pins.fits, strict=True)]), index
    )


@lru_cache(maxsize=256)
def _play(d: float, hole: str, fit: str) -> float:
    try:
        return float(fits.mean_play(np.array(d), hole, fit))
    except ValueError:
        return PLAY


@once_a_batch
def floating(shelf: Shelf, cols: Columns, k: Keys) -> Floating:
    """The sizes of one set from its columns."""
    c, pins = shelf.chains, shelf.pins
    chain, teeth, links, axle, pin = (cols[q] for q in (k.chain, k.teeth, k.links, k.axle, k.pin))
    p, h = take(c.pitch, chain), take(c.height, chain)
    t, t_end = take(shelf.plates.t, cols["plate"]), take(shelf.plates.t, cols["link_plate"])
    axle_bushed, pin_bushed = is_bushed(cols, pins, axle), is_bushed(cols, pins, pin)
    d_axle, d_pin = take(pins.d, axle), take(pins.d, pin)
    hole = np.where(axle_bushed > 0.0, take(pins.bush_od, axle), d_axle)
    pin_hole = np.where(pin_bushed > 0.0, take(pins.bush_od, pin), d_pin)
    end_w = eye_width(shelf, pin_hole, t_end)
    end_w = np.maximum(end_w, cols[k.end]) if k.end in cols else end_w
    outer = outer_radius(p, h, teeth)
    return Floating(
        chain=chain,
        links=links,
        teeth=teeth,
        axle=axle,
        pin=pin,
        plate=cols["plate"],
        link_plate=cols["link_plate"],
        p=p,
        h=h,
        R=ch.mean_arm_toothed(p, teeth),
        outer=outer,
        tip=ch.tip_radius(p, teeth),
        root=root_radius(p, h, teeth),
        width=wheel_width(shelf, chain),
        inside=room_across(shelf, chain),
        d_axle=d_axle,
        hole=hole,
        axle_bushed=axle_bushed,
        d_pin=d_pin,
        pin_hole=pin_hole,
        pin_bushed=pin_bushed,
        t=t,
        t_end=t_end,
        n_end=end_plates(cols),
        fork_w=eye_width(shelf, np.maximum(d_axle, d_pin), t),
        end_w=end_w,
        length=outer + shelf.brief.cavity.clearance + end_w / 2.0,
        free=(links - teeth / 2.0) * p / 2.0,
        connector=take(c.connector, chain),
    )


def half_of(teeth: str) -> Off:
    """What moves take off the links of a chain over a floating wheel: half the teeth lie on it, the rest is free."""
    return Off(0.5, of=teeth)


def carrier_wheel(shelf: Shelf, cols: Columns) -> Floating | None:
    """The carriers' wheel of a chain second stage, None where the second stage is another."""
    return floating(shelf, cols, CARRIER) if CARRIER.teeth in cols else None


def carrier_fork(shelf: Shelf, cols: Columns) -> Floats:
    """From a carrier's centre to where the wrist-side link or strand is pinned: a fork, or 0 (N,1), mm.

    A first stage whose strand holds a chain's carrier adds this to the strand's length.
    """
    f = carrier_wheel(shelf, cols)
    return np.zeros_like(cols["plate"]) if f is None else f.length


def body(shelf: Shelf, f: Floating) -> Wheel:
    """The equalising body."""
    mu_c = np.full_like(f.p, shelf.brief.friction.chain)
    return Wheel(
        2.0 * f.R,
        f.d_axle,
        joint_mu(shelf, f.axle_bushed),
        take(shelf.chains.pin, f.chain),
        mu_c,
    )


def axle_wear(shelf: Shelf, f: Floating) -> Floats:
    """Specific wear of the axle's joint (N,1)."""
    return joint_wear(shelf, f.axle_bushed, f.plate)
