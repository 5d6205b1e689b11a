"""Pin circles of a chain differential: the metal round them, and sizes moved to where others leave them room."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from explorer.drives.chain_differential_teeth import (
    MOST_SIDE,
    half_height,
    input_between,
    large_enough,
    least_circle,
    planets_between,
)
from explorer.drives.chain_differential_unit import Cage, Unit, track, unit
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Batch, Columns
from explorer.drives.windows import (
    Window,
    around,
    inside,
    least_around,
    least_width,
    no_less,
)
from explorer.mechanics import gears
from explorer.mechanics.types import Floats


def _output_ends(shelf: Shelf, c: Columns, u: Unit) -> tuple[Floats, tuple[Floats, ...]]:
    """Least radius of the output pins' circle, over the bore, and largest: under chains' plates and gear teeth.

    Drive pins press along their circle, so toward bore and rim the web counts, not the rule for edges.
    """
    web, d = shelf.brief.shop.min_web, take(shelf.pins.d, c["output_pin"])
    tracks = u.outputs if u.cage is not None else (u.a, u.into)
    high = tuple(w.free - d / 2.0 - web for w in tracks)
    if u.cage is not None:
        high += (gears.bore_wall(u.cage.module, u.cage.z_side, d) - web,)
    return u.d_shaft / 2.0 + d / 2.0 + web, high


def _cage_ends(
    shelf: Shelf, c: Columns, u: Unit, g: Cage, boss: Floats
) -> tuple[Floats, tuple[Floats, ...]]:
    """The same of the cage pins: over the bore round boss B, under the input chain's plates and the cage's rim."""
    web, d = shelf.brief.shop.min_web, take(shelf.pins.d, c["cage_pin"])
    return boss + u.gap + d / 2.0 + web, tuple(r - d / 2.0 - web for r in (u.into.free, g.radius))


def _planet_pin(c: Columns, g: Cage) -> tuple[Floats, Floats]:
    """Where the nearest planet pin lies from the axis: along a cage pin's own radius, and beside it, mm (N,1).

    Cage pins stand midway between planet pairs where their numbers allow, else in line with one.
    """
    fits = np.mod(g.n, c["cage_pins"]) == 0.0
    angle = np.where(fits, np.maximum(np.pi / g.n - g.psi, 0.0), 0.0)
    return g.circle * np.cos(angle), g.circle * np.sin(angle)


def output_webs(shelf: Shelf, c: Columns, u: Unit) -> tuple[Floats, ...]:
    """Metal to spare round the output pins and between them, mm (N,1) each."""
    d, r = take(shelf.pins.d, c["output_pin"]), c["output_pin_radius_mm"]
    low, high = _output_ends(shelf, c, u)
    between = around(c["output_pins"], r, d, shelf.brief.shop.min_web)
    return r - low, between, *(h - r for h in high)


def cage_webs(shelf: Shelf, c: Columns, u: Unit, g: Cage) -> tuple[Floats, ...]:
    """Metal to spare round the cage pins, between them, and round the planet pins, mm (N,1) each."""
    web = shelf.brief.shop.min_web
    d, r = take(shelf.pins.d, c["cage_pin"]), c["cage_pin_radius_mm"]
    d_p = take(shelf.pins.d, c["planet_pin"])
    low, high = _cage_ends(shelf, c, u, g, u.boss)
    along, beside = _planet_pin(c, g)
    return (
        r - low,
        *(h - r for h in high),
        around(c["cage_pins"], r, d, web),
        np.hypot(along - r, beside) - (d + d_p) / 2.0 - web,
        g.circle - d_p / 2.0 - web - u.boss - u.gap,
        2.0 * g.r_planet - d_p - web,
        gears.bore_wall(g.module, g.z_planet, d_p) - web,
    )


def trimmed(shelf: Shelf, cols: Columns) -> dict[str, Floats]:
    """Wheels and gears large enough for their pins, whose circles lie between bore and rim (N,1).

    The shaft as high as the cavity asks, end pieces wide enough.
    """
    out = large_enough(shelf, cols)
    u = unit(shelf, Batch({**cols, **out}))
    _, high = _output_ends(shelf, cols, u)
    window = least_circle(shelf, cols, u), np.minimum.reduce(high)
    r = inside(cols["output_pin_radius_mm"], window)
    out["output_pin_radius_mm"] = r
    boss = r + take(shelf.pins.d, cols["output_pin"]) / 2.0 + shelf.brief.shop.min_web
    if u.cage is not None:
        out["planet_teeth"] = planets_between(shelf, cols, u.cage, boss)
        u = unit(shelf, Batch({**cols, **out}))
    if u.cage is not None:
        cols = Batch({**cols, "cage_pins": _matched(shelf, cols, u, u.cage, boss)})
        out["cage_pins"] = cols["cage_pins"]
        out |= _caged(shelf, cols, u, u.cage, boss)
        out["face_mm"] = _face(cols, out["side_teeth"])
        u = unit(shelf, Batch({**cols, **out}))
    hole, t = take(shelf.chains.pin, u.a.chain), take(shelf.plates.t, cols["link_plate"])
    out["strand_drop_mm"] = inside(cols["strand_drop_mm"], _drop_window(shelf, u))
    out["end_width_mm"] = no_less(cols["end_width_mm"], least_width(shelf, t, hole))
    return out


def _face(c: Columns, side: Floats) -> Floats:
    """Face width of the gears (N,1), mm, that keeps their teeth's stress where side gears get `side` teeth."""
    before, after = np.minimum(c["side_teeth"], MOST_SIDE), np.minimum(side, MOST_SIDE)
    return np.where(before == after, c["face_mm"], c["face_mm"] * before / after)


def _matched(shelf: Shelf, c: Columns, u: Unit, g: Cage, boss: Floats) -> Floats:
    """Number of cage pins (N,1): one a planet pair where those asked for would stand in line with these, without room.

    The input wheel counts as it is, and not where the palm is too low for it.
    """
    low, ends = _cage_least(shelf, c, u, g, boss), _cage_ends(shelf, c, u, g, boss)[1]
    (under, over), high = _beside_planets(shelf, c, g), np.minimum.reduce(ends)
    room = (low <= np.minimum(under, high)) | (np.maximum(over, low) <= high)
    room &= u.into.outer <= half_height(shelf)
    return np.where(room | (np.mod(g.n, c["cage_pins"]) == 0.0), c["cage_pins"], g.n)


def _caged(shelf: Shelf, c: Columns, u: Unit, g: Cage, boss: Floats) -> dict[str, Floats]:
    """The cage pins' circle, and an input wheel that has room for it and lies in the palm's height (N,1)."""
    low, (under, over) = _cage_least(shelf, c, u, g, boss), _beside_planets(shelf, c, g)
    r = np.where((low <= under) | (low >= over), low, over)
    rim = r + take(shelf.pins.d, c["cage_pin"]) / 2.0 + shelf.brief.shop.min_web
    teeth = input_between(shelf, u.into, rim)
    u = replace(u, into=track(shelf, u.into.chain, teeth))
    return {"input_teeth": teeth, "cage_pin_radius_mm": _cage_radius(shelf, c, u, g, boss)}


def _drop_window(shelf: Shelf, u: Unit) -> Window:
    """The shaft where what turns on it lies between the cavity's palm and back faces."""
    box, reach = shelf.brief.cavity.box, np.maximum(u.reach, u.bracket_w / 2.0)
    # z of the shaft = drawbar plane + toward (r_out - drop)
    ends = [u.r_out - u.toward * (z - shelf.z) for z in (box.z0 + reach, box.z1 - reach)]
    return np.minimum(*ends), np.maximum(*ends)


def _cage_radius(shelf: Shelf, c: Columns, u: Unit, g: Cage, boss: Floats) -> Floats:
    """Radius of the cage pins' circle, clear of bore, rim and planet pins where there is such a place (N,1)."""
    _, ends = _cage_ends(shelf, c, u, g, boss)
    low, high = _cage_least(shelf, c, u, g, boss), np.minimum.reduce(ends)
    r = inside(c["cage_pin_radius_mm"], (low, high))
    under, over = _beside_planets(shelf, c, g)
    outward = (over <= high) & ((over - r < r - under) | (under < low))
    clear = np.where(outward, no_less(r, over), inside(r, (0.0 * r, under)))
    return np.where((under < r) & (r < over), clear, r)


def _cage_least(shelf: Shelf, c: Columns, u: Unit, g: Cage, boss: Floats) -> Floats:
    """Least radius of the cage pins' circle: metal to the bore, and between them (N,1), mm."""
    low, _ = _cage_ends(shelf, c, u, g, boss)
    d, web = take(shelf.pins.d, c["cage_pin"]), shelf.brief.shop.min_web
    return np.maximum(low, least_around(c["cage_pins"], d, web))


def _beside_planets(shelf: Shelf, c: Columns, g: Cage) -> Window:
    """Between these radii a cage pin would touch a planet pin or leave too little metal (N,1), mm."""
    d, d_p = take(shelf.pins.d, c["cage_pin"]), take(shelf.pins.d, c["planet_pin"])
    along, beside = _planet_pin(c, g)
    apart = (d + d_p) / 2.0 + shelf.brief.shop.min_web
    half = np.sqrt(np.maximum(apart * apart - beside * beside, 0.0))
    return along - half, along + half
