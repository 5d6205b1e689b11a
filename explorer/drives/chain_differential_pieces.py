"""Pieces of the chain differential: boxes round the shaft in plan, their outlines as `face`."""

from __future__ import annotations

import numpy as np

from explorer.drives import make, wheel_parts
from explorer.drives.chain_differential_bench import (
    Bench,
    ring_mass,
)
from explorer.drives.chain_differential_gears import gears
from explorer.drives.chain_differential_strands import heights
from explorer.drives.chain_differential_unit import Track, hung, unit
from explorer.drives.chain_winder_parts import carrier_hole
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pieces import (
    Hole,
    Piece,
    Section,
    circle_holes,
    disc_section,
    turned_mass,
)
from explorer.drives.ratios import Spool
from explorer.drives.shelf import STEEL, Shelf, take
from explorer.drives.wheels import end_plates
from explorer.mechanics import chain
from explorer.mechanics.outline import Stadium
from explorer.mechanics.types import Floats

BRONZE = 0.0088  # g/mm3, bushes
_SCREW_PRICE = 0.2  # assumed


def pieces(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """Every piece of the first stage."""
    u = unit(shelf, drive.columns)
    b = Bench(shelf, drive.columns, u, drive.y_ratio)
    out = _frame(b) + _wheels(b) + clamps(b)
    out += gears(b, u.cage) if u.cage is not None else joined_pins(b)
    return out + _strands(b, drive, motion)


def _frame(b: Bench) -> tuple[Piece, ...]:
    """Shaft with its rings, and two brackets with their bushes."""
    u, shafts, i = b.u, b.shelf.shafts, b.cols["shaft"]
    end, has_ring, head = take(shafts.end, i), take(shafts.has_ring, i), take(shafts.head, i)
    low, high = -u.t / 2.0 - end, u.span + u.t / 2.0 + end
    d, length = u.d_shaft, u.span + u.t + 2.0 * end
    joined = ("frame", "side a", "side b", "cage")
    shaft = b.turned(
        "shaft",
        "shaft",
        "shaft",
        "shaft",
        joined,
        (low, high),
        np.maximum(head, d / 2.0),
        mass=np.pi / 4.0 * d * d * length * take(shafts.density, i),
        minutes=b.minutes("pin_cut_and_groove") + take(shafts.minutes, i),
        price=take(shafts.price, i),
        number=(i, length),
        stock="shafts",
        index=i,
    )
    rings = b.turned(
        "shaft rings",
        "ring for shaft",
        "ring",
        "shaft",
        joined,
        (low, high),
        head,
        count=2.0 * has_ring,
        mass=take(shafts.ring_mass, i),
        minutes=0.0 * b.one,
        price=take(shafts.ring_price, i),
        number=(d,),
        stock="rings",
        index=i,
    )
    bushes = b.turned(
        "shaft bushes",
        "bush for shaft",
        "bush",
        "frame",
        ("shaft",),
        (-u.t / 2.0, u.span + u.t / 2.0),
        u.d_bush / 2.0,
        count=2.0 * u.bushed,
        mass=ring_mass(u.d_bush, d, u.t, BRONZE),
        minutes=b.minutes("bush") + take(shafts.bush_minutes, i),
        price=take(shafts.bush_price, i),
        number=(d, u.t),
        stock="bushes",
        index=i,
    )
    r = u.bracket_w / 2.0
    zero = 0.0 * r
    # the foot stays within what turns beside it
    face = Stadium(zero, zero, -np.maximum(u.reach - r, 0.0), zero, r)
    hole = Hole(zero, zero, u.d_bush, "bush")
    brackets = tuple(
        b.plate(f"bracket {n}", f"bracket {n}", "bracket", "frame", ("shaft",), x, face, (hole,))
        for n, x in (("a", -u.t / 2.0), ("b", u.span - u.t / 2.0))
    )
    return (shaft, rings, bushes, *brackets)


def _wheel(b: Bench, key: str, words: str, body: str, joined: tuple[str, ...], w: Track, at: Floats,
           boss: tuple[Floats, Floats], r_boss: Floats, bore: Floats, stem: str) -> Piece:  # fmt: skip
    """A bored chain wheel with its boss, drilled for its drive pins; the box holds the chain on it."""
    long = np.maximum(boss[1] - boss[0], 0.0)
    n, zero = b.cols[f"{stem}_pins"], 0.0 * long
    d_pin, r_pin = take(b.shelf.pins.d, b.cols[f"{stem}_pin"]), b.cols[f"{stem}_pin_radius_mm"]
    turns = "clear" if stem == "cage" else "running"  # over the boss of side B, or on the shaft
    holes = (Hole(zero, zero, bore, turns), *circle_holes(d_pin, n, r_pin, 0.0))
    tip = chain.tip_radius(w.pitch, w.teeth)
    sections = (
        Section("teeth", w.face + zero, tip, w.teeth, w.pitch),
        disc_section("hub", long, r_boss + zero),
    )
    low = np.minimum(at - w.width / 2.0, boss[0])
    high = np.maximum(at + w.width / 2.0, boss[1])
    return b.turned(
        key,
        words,
        "wheel",
        body,
        joined,
        (low, high),
        w.outer,
        mass=turned_mass(sections, holes, STEEL),
        minutes=b.minutes("wheel_bored") + n * b.shelf.brief.shop.minutes["drive_pin"],
        price=take(b.shelf.chains.wheel_price, w.chain),
        number=(w.chain, w.teeth, long, r_boss, bore),
        stock="chains",
        index=w.chain,
        sections=sections,
        holes=holes,
    )


def _wheels(b: Bench) -> tuple[Piece, ...]:
    """Chain wheels A and B and the input wheel."""
    u, c, g = b.u, b.cols, b.u.cage
    half_a, half_in = u.a.face / 2.0, u.into.face / 2.0
    if g is None or u.b is None or u.at_b is None:
        return (
            _wheel(
                b,
                "chain wheel a",
                "chain wheel",
                "cage",
                ("shaft",),
                u.a,
                u.at_a,
                (u.at_a + half_a, u.meet),
                u.boss,
                u.d_shaft,
                "output",
            ),
            _wheel(
                b,
                "input wheel",
                "input wheel",
                "cage",
                ("shaft",),
                u.into,
                u.at_in,
                (u.meet, u.at_in - half_in),
                u.boss,
                u.d_shaft,
                "output",
            ),
        )
    cage_boss = (
        c["cage_pin_radius_mm"]
        + take(b.shelf.pins.d, c["cage_pin"]) / 2.0
        + b.shelf.brief.shop.min_web
    )
    bore = 2.0 * (u.boss + u.gap)
    return (
        _wheel(
            b,
            "chain wheel a",
            "chain wheel A",
            "side a",
            ("shaft", "cage"),
            u.a,
            u.at_a,
            (u.at_a + half_a, g.x_gear_a),
            u.boss,
            u.d_shaft,
            "output",
        ),
        _wheel(
            b,
            "chain wheel b",
            "chain wheel B",
            "side b",
            ("shaft", "cage"),
            u.b,
            u.at_b,
            (g.x_gear_b + g.face, u.at_b - u.b.face / 2.0),
            u.boss,
            u.d_shaft,
            "output",
        ),
        _wheel(
            b,
            "input wheel",
            "input wheel",
            "cage",
            ("side b",),
            u.into,
            u.at_in,
            (g.x_plate_b + u.t, u.at_in - half_in),
            cage_boss,
            bore,
            "cage",
        ),
    )


def clamps(b: Bench) -> tuple[Piece, ...]:
    """Two screws hold the two parts of a clamped circle face to face."""
    u, c, g = b.u, b.cols, b.u.cage
    if g is None:
        rows = [("output", "clamp screws", "cage", u.at_a, u.at_in)]
    else:
        rows = [
            ("output", "clamp screws a", "side a", u.at_a, g.x_gear_a + g.face),
            ("output", "clamp screws b", "side b", g.x_gear_b, g.x_gear_b + g.face),
            ("cage", "cage clamp screws", "cage", g.x_plate_b, u.at_in),
        ]
    out = []
    for stem, key, body, x0, x1 in rows:
        d = take(b.shelf.pins.d, c[f"{stem}_pin"])
        length = x1 - x0
        out.append(
            b.turned(
                key,
                f"clamp screw of the {stem} pins",
                "clamp",
                body,
                (),
                (x0, x1),
                c[f"{stem}_pin_radius_mm"] + d / 2.0,
                count=2.0 * c[f"{stem}_seat"],
                mass=np.pi / 4.0 * d * d * length * STEEL,
                minutes=b.minutes("drive_pin"),
                price=_SCREW_PRICE * b.one,
                number=(d, length),
            )
        )
    return tuple(out)


def joined_pins(b: Bench) -> tuple[Piece, ...]:
    """One carrier: the output pins through both wheels."""
    u = b.u
    x = (u.at_a - u.a.face / 2.0, u.at_in + u.into.face / 2.0)
    return (b.pins("output pins", "output pin", "cage", (), x, b.cols["output_pin_radius_mm"],
                   "output_pin", b.cols["output_pins"], "drive_pin"),)  # fmt: skip


def _strands(b: Bench, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """Strands with their end pieces, and the input chain.

    A strand is cut for its free length at rest and one link on the wheel; what it winds was free before.
    """
    u = b.u
    out: list[Piece] = [_input_chain(b, drive, motion)]
    for k, (n, w) in enumerate(zip("ab", u.outputs, strict=False)):
        carrier, body = drive.carriers[k], f"carrier link {n}"
        joined = ("cage" if u.cage is None else f"side {n}", f"carrier {n}")
        con = take(b.shelf.chains.connector, w.chain)
        held = hung(b.shelf, drive, k)  # the strand's pin is this far from the carrier's centre
        x_exit, y_exit = u.x0 + u.at_out[k] + 0.0 * motion.Y, b.y + 0.0 * motion.Y
        centre = (motion.carrier_x[k], carrier.y - motion.carrier_y[k])
        pin = wheel_parts.toward(*centre, x_exit, y_exit, held)
        last = wheel_parts.toward(*centre, x_exit, y_exit, held + con)
        links = np.ceil((carrier.L_in - held - con) / w.pitch - 1e-9) + 1.0
        z0, z1 = heights(u, k, drive.z)
        out.append(
            make.chain_piece(
                b.shelf,
                f"strand {n}",
                f"strand {n}",
                "first",
                body,
                joined,
                Stadium(x_exit, y_exit, *last, w.width / 2.0),
                z0,
                z1,
                w.chain,
                links,
            )
        )
        out.append(
            wheel_parts.end_piece(
                b.shelf,
                f"strand {n} end",
                f"end piece of strand {n}",
                "first",
                body,
                joined,
                (*pin, *last),
                b.cols["end_width_mm"],
                drive.z,
                b.cols["link_plate"],
                end_plates(b.cols),
                (carrier_hole(b.shelf, drive, k), take(b.shelf.chains.pin, w.chain)),
                wheel_parts.end_fit(carrier, end_plates(b.cols)),
                wheel_parts.inside_end(b.shelf, b.cols, carrier),
            )
        )
    return tuple(out)


def _input_chain(b: Bench, drive: Drive, motion: Motion) -> Piece:
    """The input chain: what it pays out over all positions, one link on the wheel and one free.

    Where the motion reverses it leaves on the other side of the shaft, toward the fingers.
    """
    u, r = b.u, drive.ratio
    assert isinstance(r, Spool)  # noqa: S101 - this family's own
    w, sign = u.into, r.source.sign
    tangent = u.z + u.toward * sign * w.mean
    x = u.x0 + u.at_in + 0.0 * motion.Y
    y_end = b.y + sign * (w.pitch + np.maximum(motion.X, 0.0))
    must = np.array([p.must for p in b.shelf.demand.positions])
    most = np.where(must, motion.X, 0.0).max(axis=1, keepdims=True)
    links = np.ceil(np.maximum(most, 0.0) / w.pitch) + 2.0
    shape = Stadium(x, b.y + 0.0 * x, x, y_end, w.width / 2.0)
    return make.chain_piece(b.shelf, "input chain", "input chain", "first", "input", ("cage",), shape,
                            tangent - w.height / 2.0, tangent + w.height / 2.0, w.chain, links)  # fmt: skip
