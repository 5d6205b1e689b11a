"""Pieces of the gear set of a chain differential: side gears, planets, cage plates and their pins."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from explorer.drives.chain_differential_bench import (
    Bench,
    hole_minutes,
    spacer,
)
from explorer.drives.chain_differential_unit import Cage
from explorer.drives.pieces import Hole, Piece, circle_holes, disc_section, turned_mass
from explorer.drives.shelf import Pins, take
from explorer.mechanics.outline import disc
from explorer.mechanics.types import Floats


def gears(b: Bench, g: Cage) -> tuple[Piece, ...]:
    """Side gears, planets on their pins with spacers, cage plates, and both circles of pins."""
    u, c = b.u, b.cols
    return (*_side_gears(b, g), *_planets(b, g), *_cage_plates(b, g),
            b.pins("cage pins", "cage pin", "cage", (), (g.x_plate_b, u.at_in + u.into.face / 2.0),
                   c["cage_pin_radius_mm"], "cage_pin", c["cage_pins"], "drive_pin"))  # fmt: skip


def _side_gears(b: Bench, g: Cage) -> tuple[Piece, ...]:
    """Side gears with their output pins, and the spacer between them."""
    u, c, s = b.u, b.cols, b.shelf.gears
    assert u.at_b is not None  # noqa: S101 - a cage has two sides
    holes = c["output_pins"] * b.shelf.brief.shop.minutes["drive_pin"]
    density = take(s.density, g.gear)
    rows = (
        ("a", g.x_gear_a, (u.at_a - u.a.face / 2.0, g.x_gear_a + g.face)),
        ("b", g.x_gear_b, (g.x_gear_b, u.at_b + u.a.face / 2.0)),
    )
    face, zero = (disc_section("gear", g.face, g.r_side),), 0.0 * g.face
    bore = Hole(zero, zero, u.d_shaft, "running")
    d_pin = take(b.shelf.pins.d, c["output_pin"])
    drilled = (bore, *circle_holes(d_pin, c["output_pins"], c["output_pin_radius_mm"], 0.0))
    out: list[Piece] = []
    for n, x, pin_x in rows:
        body = f"side {n}"
        out.append(
            b.turned(
                f"side gear {n}",
                "side gear",
                "gear",
                body,
                ("shaft", "cage"),
                (x, x + g.face),
                g.r_side + g.module,
                mass=turned_mass(face, drilled, density),
                minutes=b.minutes("gear_bored") + holes,
                price=take(s.side_price, g.gear),
                number=(g.gear, g.z_side, g.face, u.d_shaft),
                stock="gears",
                index=g.gear,
                sections=face,
                holes=drilled,
            )
        )
        out.append(b.pins(f"output pins {n}", "output pin", body, (), pin_x,
                          c["output_pin_radius_mm"], "output_pin", c["output_pins"], "drive_pin"))  # fmt: skip
    outside = u.d_shaft + 2.0 * b.shelf.brief.shop.min_web
    between = (g.x_middle - u.gap, g.x_gear_b)
    out.append(spacer(b, "gear spacer", "spacer between the side gears", "shaft", between,
                       outside / 2.0, outside, u.d_shaft, b.one, c["shaft"]))  # fmt: skip
    return tuple(out)


def _planets(b: Bench, g: Cage) -> tuple[Piece, ...]:
    """Both planets of every pair, their pins and the spacers beside them."""
    u, s, i = b.u, b.shelf.gears, b.cols["planet_pin"]
    d, count = take(b.shelf.pins.d, i), g.n
    length = 2.0 * g.face + u.gap
    tip, web = g.circle + g.r_planet + g.module, b.shelf.brief.shop.min_web
    inside_a, inside_b = g.x_plate_a + u.t, g.x_plate_b
    wide, zero = (disc_section("gear", length, g.r_planet),), 0.0 * length
    bored = (Hole(zero, zero, d, "running"),)
    mass = turned_mass(wide, bored, take(s.density, g.gear))
    out: list[Piece] = []
    for n, x in (("a", g.x_gear_a), ("b", g.x_middle)):
        out.append(
            b.turned(
                f"planets {n}",
                "planet",
                "gear",
                f"planets {n}",
                ("cage", "side a", "side b"),
                (x, x + length),
                tip,
                count=count,
                mass=mass,
                minutes=b.minutes("gear_bored"),
                price=take(s.planet_price, g.gear),
                number=(g.gear, g.z_planet, length, d),
                stock="gears",
                index=g.gear,
                sections=wide,
                holes=bored,
            )
        )
    out.append(b.pins("planet pins", "planet pin", "cage", ("planets a", "planets b"),
                      (g.x_plate_a, g.x_plate_b + u.t), g.circle, "planet_pin", 2.0 * count,
                      "pin_cut_and_groove"))  # fmt: skip
    outside = d + 2.0 * web
    rows = (("a", (g.x_gear_a + length + u.gap, inside_b)), ("b", (inside_a, g.x_middle - u.gap)))
    out += [
        spacer(
            b,
            f"planet spacers {n}",
            "spacer beside a planet",
            "cage",
            x,
            g.circle + outside / 2.0,
            outside,
            d,
            count,
            i,
        )
        for n, x in rows
    ]
    return tuple(out)


def _cage_plates(b: Bench, g: Cage) -> tuple[Piece, ...]:
    """Two discs bored for the bosses; holes at the planet pins, at B also at the cage pins."""
    u, c = b.u, b.cols
    zero = 0.0 * g.radius
    bore = Hole(zero, zero, 2.0 * (u.boss + u.gap), "clear")
    planet = _pin_holes(b.shelf.pins, c["planet_pin"], g)
    cage = circle_holes(take(b.shelf.pins.d, c["cage_pin"]), c["cage_pins"], c["cage_pin_radius_mm"],
                         np.pi / g.n)  # fmt: skip
    face = disc(zero, zero, g.radius)
    rows = (
        ("a", g.x_plate_a, (bore, *planet), "side a"),
        ("b", g.x_plate_b, (bore, *planet, *cage), "side b"),
    )
    made = []
    for n, x, holes, side in rows:
        piece = b.plate(f"cage plate {n}", f"cage plate {n.upper()}", "plate", "cage", (side, "shaft"),
                        x, face, holes)  # fmt: skip
        made.append(replace(piece, minutes=hole_minutes(b, piece, holes), holes=holes))
    return tuple(made)


def _pin_holes(pins: Pins, index: Floats, g: Cage) -> tuple[Hole, ...]:
    """Planet pins: psi to both sides of each pair's middle."""
    d = take(pins.d, index)
    left = circle_holes(d, g.n, g.circle, -g.psi)
    return left + circle_holes(d, g.n, g.circle, g.psi)
