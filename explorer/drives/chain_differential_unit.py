"""Sizes of a chain differential along its shaft: wheels, cage, brackets, and where strands leave."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives import make, wheels
from explorer.drives.layout import Drive
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Columns, once_a_batch
from explorer.mechanics import chain, gears
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Track:
    """A chain wheel: its chain's sizes and its radii, mm; `free` is the radius under the chain's plates."""

    chain: Floats  # index in the stock
    teeth: Floats
    pitch: Floats
    height: Floats
    width: Floats  # overall, of the chain
    face: Floats  # of the teeth
    mean: Floats
    least: Floats
    largest: Floats
    outer: Floats  # teeth or chain, whichever reaches further
    free: Floats
    tangency: Floats


@dataclass(frozen=True)
class Cage:
    """Gears and cage plates; x are starts along the shaft; `radius` of the plates, `circle` of planet pins."""

    gear: Floats  # index in the stock
    module: Floats
    z_side: Floats
    z_planet: Floats
    n: Floats
    face: Floats
    r_side: Floats
    r_planet: Floats
    circle: Floats
    psi: Floats
    radius: Floats  # over the planets' tips, so that nothing catches between the teeth
    x_plate_a: Floats
    x_gear_a: Floats
    x_middle: Floats
    x_gear_b: Floats
    x_plate_b: Floats


@dataclass(frozen=True)
class Unit:
    """The whole unit.  `b`, `cage`, `at_b` are None with one carrier; `toward` -1: shaft on the palm side."""

    t: Floats
    gap: float
    beside: Floats  # gap on each side of an output chain
    d_shaft: Floats
    d_bush: Floats  # hole in the brackets
    bushed: Floats
    into: Track
    a: Track
    b: Track | None
    boss: Floats  # radius of the chain wheels' bosses
    at_in: Floats
    at_a: Floats
    at_b: Floats | None
    span: Floats
    x0: Floats  # world x of the first bracket
    toward: Floats
    z: Floats  # of the shaft
    bracket_w: Floats
    cage: Cage | None

    @property
    def outputs(self) -> tuple[Track, ...]:
        """Chain wheels that pull, index side first."""
        return (self.a,) if self.b is None else (self.a, self.b)

    @property
    def at_out(self) -> tuple[Floats, ...]:
        """Their places along the shaft."""
        return (self.at_a,) if self.at_b is None else (self.at_a, self.at_b)

    @property
    def last(self) -> tuple[Floats, Track]:
        """Wheel next to the last bracket, and its distance from it."""
        at, w = (
            (self.at_in, self.into) if self.at_b is None or self.b is None else (self.at_b, self.b)
        )
        return self.span - at, w

    @property
    def meet(self) -> Floats:
        """Where the bosses meet with one carrier: midway between both chains."""
        return self.at_a + self.a.width / 2.0 + self.beside / 2.0

    @property
    def reach(self) -> Floats:
        """Largest radius of anything on the shaft, mm."""
        r = np.maximum(self.into.outer, self.a.outer)
        if self.b is None or self.cage is None:
            return np.asarray(r)
        return np.asarray(np.maximum(np.maximum(r, self.b.outer), self.cage.radius))

    @property
    def r_out(self) -> Floats:
        """Larger mean arm of the outputs, mm."""
        return self.a.mean if self.b is None else np.maximum(self.a.mean, self.b.mean)


def track(shelf: Shelf, index: Floats, teeth: Floats) -> Track:
    """A chain wheel of `teeth` for the chain of this index."""
    c = shelf.chains
    p, h = take(c.pitch, index), take(c.height, index)
    largest = chain.arm_max_toothed(p, teeth)
    least = chain.arm_min_toothed(p, teeth)
    return Track(
        index,
        teeth,
        p,
        h,
        take(c.width, index),
        wheels.wheel_width(shelf, index),
        chain.mean_arm_toothed(p, teeth),
        least,
        largest,
        wheels.outer_radius(p, h, teeth),
        wheels.root_radius(p, h, teeth),
        wheels.tangency(p, teeth),
    )


def _cage(shelf: Shelf, cols: Columns, x_plate_a: Floats, t: Floats) -> Cage:
    g = shelf.brief.shop.gap
    m = take(shelf.gears.module, cols["gear"])
    zs, zp, face = cols["side_teeth"], cols["planet_teeth"], cols["face_mm"]
    circle = gears.centre_distance(m, zs, zp)
    r_planet = gears.pitch_radius(m, zp)
    d = take(shelf.pins.d, cols["planet_pin"])
    shop = shelf.brief.shop
    edge = np.maximum(shop.edge_over_thickness * t, d / 2.0 + shop.min_web)
    x_gear_a = x_plate_a + t + g
    x_middle = x_gear_a + face + g
    x_gear_b = x_middle + face + g
    return Cage(
        cols["gear"],
        m,
        zs,
        zp,
        cols["planet_pairs"],
        face,
        gears.pitch_radius(m, zs),
        r_planet,
        circle,
        np.arcsin(zp / (zs + zp)),
        circle + np.maximum(edge, r_planet + m),
        x_plate_a,
        x_gear_a,
        x_middle,
        x_gear_b,
        x_gear_b + face + g,
    )


@once_a_batch
def unit(shelf: Shelf, cols: Columns) -> Unit:
    """All sizes of the unit from the columns."""
    shop = shelf.brief.shop
    t = take(shelf.plates.t, cols["plate"])
    bushed = wheels.is_bushed(cols, shelf.shafts, cols["shaft"])
    d_bush = make.hole_diameter(bushed, shelf.shafts, cols["shaft"])
    into = track(shelf, cols["input_chain"], cols["input_teeth"])
    a = track(shelf, cols["output_chain"], cols["wheel_a_teeth"])
    beside = np.maximum(shop.chain_side_gap, cols["strand_gap_mm"])
    at_a = t / 2.0 + beside + a.width / 2.0
    after_a = at_a + a.width / 2.0 + beside
    b: Track | None = None
    at_b: Floats | None = None
    cage: Cage | None = None
    if "side_teeth" in cols:
        b = track(shelf, cols["output_chain"], cols["wheel_b_teeth"])
        cage = _cage(shelf, cols, after_a, t)
        at_in = cage.x_plate_b + t + shop.chain_side_gap + into.width / 2.0
        at_b = at_in + into.width / 2.0 + beside + b.width / 2.0
        span = at_b + b.width / 2.0 + beside + t / 2.0
    else:
        at_in = after_a + into.width / 2.0
        span = at_in + into.width / 2.0 + shop.chain_side_gap + t / 2.0
    boss = (
        cols["output_pin_radius_mm"] + take(shelf.pins.d, cols["output_pin"]) / 2.0 + shop.min_web
    )
    toward = 2.0 * cols["shaft_side"] - 1.0
    r = a.mean if b is None else np.maximum(a.mean, b.mean)
    return Unit(
        t,
        shop.gap,
        beside,
        take(shelf.shafts.d, cols["shaft"]),
        d_bush,
        bushed,
        into,
        a,
        b,
        boss,
        at_in,
        at_a,
        at_b,
        span,
        cols["unit_x_mm"] - span / 2.0,
        toward,
        shelf.z + toward * (r - cols["strand_drop_mm"]),
        wheels.eye_width(shelf, d_bush, t),
        cage,
    )


def drop(u: Unit, cols: Columns, k: int) -> Floats:
    """How far the strand of wheel k leaves off the drawbar plane, mm (N,1)."""
    return np.abs(u.r_out - u.outputs[k].mean - cols["strand_drop_mm"])


def line(drive: Drive, k: int, y: Floats) -> Floats:
    """Length along y from chain wheel k to its nearer finger pin where the carrier is drawn by y, mm (N,P)."""
    c = drive.carriers[k]
    length = c.L_in - y
    if len(c.L_out) == 2:
        length = length + np.minimum(c.L_out[0], c.L_out[1])
    return length


def hung(shelf: Shelf, drive: Drive, k: int) -> Floats:
    """From where strand k is pinned to carrier k's centre: the fork of a floating wheel, or 0; mm (N,1)."""
    fork = wheels.carrier_fork(shelf, drive.columns)
    return 0.0 * fork if drive.carriers[k].body is None else fork
