"""Teeth of a chain differential: wheels and gears large enough for their pins, that go together and into the palm.

Chain wheels and side gears hold the output pins, the input wheel the cage pins, planets their own.
"""

from __future__ import annotations

import numpy as np

from explorer.drives.chain_differential_unit import Cage, Track, Unit, unit
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Columns
from explorer.drives.windows import least_around, whole_from, whole_upto
from explorer.mechanics import chain, gears
from explorer.mechanics.types import Floats

MOST_SIDE = 40  # teeth of a side gear
_RACK = 1e6  # ratio of teeth that is as good as a rack
_ROUNDS = 5  # a rack's pinion has 18 teeth, five more than `LEAST_TEETH`


def _least_wheel(track: Track, rim: Floats) -> Floats:
    """Fewest teeth (N,1) that leave a radius `rim` under the plates of a wheel's chain, mm."""
    return whole_from(chain.least_teeth(track.pitch, rim + track.height / 2.0))


def half_height(shelf: Shelf) -> float:
    """Largest radius that has room in the palm, mm."""
    box = shelf.brief.cavity.box
    return (box.z1 - box.z0) / 2.0


def input_between(shelf: Shelf, track: Track, rim: Floats) -> Floats:
    """Teeth of the input wheel (N,1): it lies in the palm's height, and leaves a radius `rim` under its chain, mm."""
    r = np.maximum(half_height(shelf), track.height / 2.0 + track.pitch)
    most = whole_upto(chain.most_teeth(track.pitch, track.height, r))
    return np.maximum(np.minimum(track.teeth, most), _least_wheel(track, rim))


def least_circle(shelf: Shelf, cols: Columns, u: Unit) -> Floats:
    """Least radius of the output pins' circle: metal to the bore, and between them (N,1), mm."""
    web, d = shelf.brief.shop.min_web, take(shelf.pins.d, cols["output_pin"])
    return np.maximum(u.d_shaft / 2.0 + d / 2.0 + web, least_around(cols["output_pins"], d, web))


def large_enough(shelf: Shelf, cols: Columns) -> dict[str, Floats]:
    """Teeth (N,1) of the wheels and side gears that hold output pins."""
    u = unit(shelf, cols)
    d = take(shelf.pins.d, cols["output_pin"])
    rim = least_circle(shelf, cols, u) + d / 2.0 + shelf.brief.shop.min_web
    wheels = {"wheel_a_teeth": u.a}
    if u.cage is None:
        wheels["input_teeth"] = u.into
    if u.b is not None:
        wheels["wheel_b_teeth"] = u.b
    out = {k: np.maximum(w.teeth, _least_wheel(w, rim)) for k, w in wheels.items()}
    return out if u.cage is None else out | {"side_teeth": _side(shelf, cols, u.cage, rim)}


def _in_height(shelf: Shelf, m: Floats) -> Floats:
    """Most that a planet's teeth and half a side gear's may come to, with tips of a module in the palm's height (N,1)."""
    return np.asarray(half_height(shelf) / m - 1.0)


def _side(shelf: Shelf, cols: Columns, g: Cage, rim: Floats) -> Floats:
    """Teeth of the side gears (N,1): round the output pins, with room for planets, and shared out among their pairs."""
    most = np.full_like(g.module, np.inf)
    for _ in range(_ROUNDS):
        planet = _least_planet(shelf, cols, g.module, most)
        most = whole_upto(2.0 * (_in_height(shelf, g.module) - planet))
    least = whole_from(gears.least_teeth_round(g.module, rim))
    side = np.maximum(np.minimum(g.z_side, most), least)
    # Side gears are alike: twice their teeth is shared out among n pairs.
    step = g.n / np.gcd(g.n.astype(np.int64), 2)
    up, down = whole_from(side / step) * step, whole_upto(side / step) * step
    return np.where((up > MOST_SIDE) & (down >= least), down, up)


def planets_between(shelf: Shelf, cols: Columns, g: Cage, boss: Floats) -> Floats:
    """Teeth of the planets (N,1): their pins clear bosses of this radius, mm, and their tips lie in the palm's height."""
    d, shop = take(shelf.pins.d, cols["planet_pin"]), shelf.brief.shop
    least = whole_from(2.0 * (boss + shop.gap + d / 2.0 + shop.min_web) / g.module - g.z_side)
    least = np.maximum(least, _least_planet(shelf, cols, g.module, g.z_side))
    most = whole_upto(_in_height(shelf, g.module) - g.z_side / 2.0)
    return np.maximum(np.minimum(g.z_planet, most), least)


def _least_planet(shelf: Shelf, cols: Columns, m: Floats, z_side: Floats) -> Floats:
    """Fewest teeth of planets of module m round their pins that interfere with neither planets nor side gears (N,1)."""
    d, web = take(shelf.pins.d, cols["planet_pin"]), shelf.brief.shop.min_web
    least = np.maximum(whole_from(gears.least_teeth_round(m, d / 2.0 + web)), gears.LEAST_TEETH)
    # The more teeth, the nearer to those of the side gear, and the fewer are needed.
    for _ in range(_ROUNDS):
        few = whole_from(gears.least_pinion_teeth(np.clip(z_side / least, 1.0, _RACK)))
        least = np.where(few > least, least + 1.0, least)
    return least
