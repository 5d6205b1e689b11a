"""Teeth of a chain differential: wheels and gears no smaller than what their pins ask for, and that go together."""

from __future__ import annotations

from dataclasses import replace

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


def _half_height(shelf: Shelf) -> float:
    """Largest radius that has room in the palm, mm."""
    box = shelf.brief.cavity.box
    return (box.z1 - box.z0) / 2.0


def input_between(shelf: Shelf, track: Track, rim: Floats) -> Floats:
    """Teeth of the input wheel (N,1): it lies in the palm's height, and leaves a radius `rim` under its chain, mm."""
    r = np.maximum(_half_height(shelf), track.height / 2.0 + track.pitch)
    most = np.floor(chain.most_teeth(track.pitch, track.height, r) + HAIR)
    return wheel_round(replace(track, teeth=np.minimum(track.teeth, most)), rim)


def large_enough(shelf: Shelf, cols: Columns) -> dict[str, Floats]:
    """Teeth (N,1) of the wheels and side gears that hold output pins."""
    u, web = unit(shelf, cols), shelf.brief.shop.min_web
    d = take(shelf.pins.d, cols["output_pin"])
    least = np.maximum(u.d_shaft / 2.0 + d / 2.0 + web, least_around(cols["output_pins"], d, web))
    rim = least + d / 2.0 + web
    out = {"wheel_a_teeth": wheel_round(u.a, rim)}
    if u.b is None or u.cage is None:
        return out | {"input_teeth": wheel_round(u.into, rim)}
    return out | {"wheel_b_teeth": wheel_round(u.b, rim)} | _gears(shelf, cols, u.cage, rim)


def _gears(shelf: Shelf, cols: Columns, g: Cage, rim: Floats) -> dict[str, Floats]:
    """Side gears round the output pins that leave planets room in the palm, and as many teeth as their pairs allow."""
    room = _half_height(shelf) / g.module - 1.0 - least_planet(shelf, cols, g.module)
    side = np.minimum(g.z_side, np.floor(2.0 * room + HAIR))
    side = np.maximum(side, whole_from(gears.least_teeth_round(g.module, rim)))
    # Side gears are alike: twice their teeth is shared out among n pairs.
    step = g.n / np.gcd(g.n.astype(np.int64), 2)
    return {"side_teeth": whole_from(side / step) * step}


def planets_between(shelf: Shelf, cols: Columns, g: Cage, boss: Floats) -> Floats:
    """Teeth of the planets (N,1): their pins clear bosses of this radius, mm, and their tips lie in the palm's height."""
    d, shop = take(shelf.pins.d, cols["planet_pin"]), shelf.brief.shop
    low = whole_from(2.0 * (boss + shop.gap + d / 2.0 + shop.min_web) / g.module - g.z_side)
    high = np.floor(_half_height(shelf) / g.module - 1.0 - g.z_side / 2.0 + HAIR)
    low = np.maximum(low, least_planet(shelf, cols, g.module))
    return np.maximum(np.minimum(g.z_planet, high), low)


def least_planet(shelf: Shelf, cols: Columns, m: Floats) -> Floats:
    """Fewest teeth of planets of module m round their pins that do not interfere with each other (N,1)."""
    d, web = take(shelf.pins.d, cols["planet_pin"]), shelf.brief.shop.min_web
    return np.maximum(whole_from(gears.least_teeth_round(m, d / 2.0 + web)), gears.LEAST_TEETH)
