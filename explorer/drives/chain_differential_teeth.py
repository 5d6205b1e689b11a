"""Teeth of a chain differential: wheels and gears no smaller than what their pins ask for, and that go together."""

from __future__ import annotations

import numpy as np

from explorer.drives.chain_differential_unit import Cage, Track, unit
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Columns
from explorer.drives.windows import HAIR, least_around, whole_from
from explorer.mechanics import chain, gears
from explorer.mechanics.types import Floats


def wheel_round(track: Track, rim: Floats) -> Floats:
    """Teeth of a chain wheel (N,1), no fewer than leave a radius `rim` under the plates of its chain, mm."""
    return np.maximum(
        track.teeth, whole_from(chain.least_teeth(track.pitch, rim + track.height / 2.0))
    )


def large_enough(shelf: Shelf, cols: Columns) -> dict[str, Floats]:
    """Teeth (N,1) of the wheels and side gears that hold output pins."""
    u, web = unit(shelf, cols), shelf.brief.shop.min_web
    d = take(shelf.pins.d, cols["output_pin"])
    least = np.maximum(u.d_shaft / 2.0 + d / 2.0 + web, least_around(cols["output_pins"], d, web))
    rim = least + d / 2.0 + web
    out = {"wheel_a_teeth": wheel_round(u.a, rim)}
    if u.b is None or u.cage is None:
        return out | {"input_teeth": wheel_round(u.into, rim)}
    return out | {"wheel_b_teeth": wheel_round(u.b, rim)} | _gears(u.cage, rim)


def _gears(g: Cage, rim: Floats) -> dict[str, Floats]:
    """Side gears round the output pins, and as many teeth as the planet pairs allow."""
    side = np.maximum(g.z_side, whole_from(gears.least_teeth_round(g.module, rim)))
    step = g.n / np.gcd(
        g.n.astype(np.int64), 2
    )  # side gears alike: twice their teeth, shared by n pairs
    return {"side_teeth": whole_from(side / step) * step}


def planets_between(shelf: Shelf, cols: Columns, g: Cage, boss: Floats) -> Floats:
    """Teeth of the planets (N,1): their pins clear bosses of this radius, mm, and their tips lie in the palm's height."""
    d, shop, box = take(shelf.pins.d, cols["planet_pin"]), shelf.brief.shop, shelf.brief.cavity.box
    low = whole_from(2.0 * (boss + shop.gap + d / 2.0 + shop.min_web) / g.module - g.z_side)
    high = np.floor((box.z1 - box.z0) / 2.0 / g.module - 1.0 - g.z_side / 2.0 + HAIR)
    low = np.maximum(low, least_planet(shelf, cols, g.module))
    return np.maximum(np.minimum(g.z_planet, high), low)


def least_planet(shelf: Shelf, cols: Columns, m: Floats) -> Floats:
    """Fewest teeth of planets of module m round their pins that do not interfere with each other (N,1)."""
    d, web = take(shelf.pins.d, cols["planet_pin"]), shelf.brief.shop.min_web
    return np.maximum(whole_from(gears.least_teeth_round(m, d / 2.0 + web)), gears.LEAST_TEETH)
