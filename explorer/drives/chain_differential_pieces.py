"""Pieces of the chain differential: boxes round the shaft in plan, their outlines as `face`."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from explorer.drives import make, wheel_parts
from explorer.drives.chain_differential_parts import Cage, Track, Unit, hung, unit
from explorer.drives.chain_winder_parts import carrier_hole
from explorer.drives.family import Columns
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pieces import Hole, Moves, Piece, What
from explorer.drives.ratios import Spool
from explorer.drives.shelf import Pins, Shelf, take
from explorer.drives.wheels import STEEL, end_plates
from explorer.mechanics.outline import Box, Stadium, disc
from explorer.mechanics.types import Floats

BRONZE = 0.0088  # g/mm3, bushes
_SCREW_PRICE = 0.2  # assumed


@dataclass(frozen=True)
class _Bench:
    """Where the unit stands and what it is made from."""

    shelf: Shelf
    cols: Columns
    u: Unit
    y: Floats

    @property
    def one(self) -> Floats:
        return np.ones_like(self.u.t)

    def minutes(self, operation: str) -> Floats:
        return self.shelf.brief.shop.minutes[operation] * self.one

    def plan(self, x_from: Floats, x_to: Floats, r: Floats) -> Box:
        """A round thing on the shaft, seen from above; x along the shaft."""
        x0 = self.u.x0
        return Box(x0 + x_from, x0 + x_to, self.y - r, self.y + r)

    def turned(
        self, key: str, words: str, what: What, body: str, joined: tuple[str, ...],
        x: tuple[Floats, Floats], r: Floats, *, mass: Floats, minutes: Floats, price: Floats,
        number: tuple[Floats, ...], count: Floats | float = 1.0, stock: str = "",
        index: Floats | None = None,
    ) -> Piece:
        """A round piece (or a set of equal ones inside r) on the shaft."""
        z = self.u.z
        moves: Moves = "fixed" if body == "frame" else "turning"
        return Piece(
            key, words, what, moves, "first", body, joined, self.plan(x[0], x[1], r), z - r, z + r,
            count * self.one, mass, minutes, price, number,
            face=disc(0.0 * r, 0.0 * r, r), stock=stock, stock_index=index,
        )

    def plate(
        self, key: str, words: str, what: What, body: str, joined: tuple[str, ...], x: Floats,
        face: Stadium, holes: tuple[Hole, ...],
    ) -> Piece:
        """A sheet across the shaft, from x to x + t; `face` in its own plane, shaft at the origin."""
        u = self.u
        back = -np.minimum(face.px, face.qx)  # the foot points toward the wrist
        shape = Box(u.x0 + x, u.x0 + x + u.t, self.y - back - face.r, self.y + face.r)
        piece = make.plate_piece(
            self.shelf, key, words, what, "fixed" if body == "frame" else "turning", "first", body,
            joined, face, u.z - face.r, u.z + face.r, self.one, self.cols["plate"], holes,
        )
        return replace(piece, shape=shape, face=face)

    def pins(
        self, key: str, words: str, body: str, joined: tuple[str, ...], x: tuple[Floats, Floats],
        circle: Floats, stem: str, count: Floats, operation: str,
    ) -> Piece:
        """Plain pins on a circle, without rings."""
        p, i = self.shelf.pins, self.cols[stem]
        d, length = take(p.d, i), x[1] - x[0]
        return self.turned(
            key, words, "pin", body, joined, x, circle + d / 2.0, count=count,
            mass=np.pi / 4.0 * d * d * length * take(p.density, i),
            minutes=self.minutes(operation) + take(p.minutes, i), price=take(p.price, i),
            number=(i, length), stock="pins", index=i,
        )


def _ring(d: Floats, bore: Floats, length: Floats, density: Floats | float) -> Floats:
    """Mass of a ring, g."""
    return np.pi / 4.0 * np.maximum(d * d - bore * bore, 0.0) * length * density


def pieces(shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
    """Every piece of the first stage."""
    u = unit(shelf, drive.columns)
    b = _Bench(shelf, drive.columns, u, drive.y_ratio)
    out = _frame(b) + _wheels(b) + _clamps(b)
    out += _gears(b, u.cage) if u.cage is not None else _joined(b)
    return out + _strands(b, drive, motion)


def _frame(b: _Bench) -> tuple[Piece, ...]:
    """Shaft with its rings, and two brackets with their bushes."""
    u, shafts, i = b.u, b.shelf.shafts, b.cols["shaft"]
    end, has_ring, head = take(shafts.end, i), take(shafts.has_ring, i), take(shafts.head, i)
    low, high = -u.t / 2.0 - end, u.span + u.t / 2.0 + end
    d, length = u.d_shaft, u.span + u.t + 2.0 * end
    joined = ("frame", "side a", "side b", "cage")
    shaft = b.turned(
        "shaft", "shaft", "shaft", "shaft", joined, (low, high), np.maximum(head, d / 2.0),
        mass=np.pi / 4.0 * d * d * length * take(shafts.density, i),
        minutes=b.minutes("pin_cut_and_groove") + take(shafts.minutes, i), price=take(shafts.price, i),
        number=(i, length), stock="shafts", index=i,
    )
    rings = b.turned(
        "shaft rings", "ring for shaft", "ring", "shaft", joined, (low, high), head,
        count=2.0 * has_ring, mass=0.02 * b.one, minutes=0.0 * b.one, price=take(shafts.ring_price, i),
        number=(d,), stock="rings", index=i,
    )
    bushes = b.turned(
        "shaft bushes", "bush for shaft", "bush", "frame", ("shaft",), (-u.t / 2.0, u.span + u.t / 2.0),
        u.d_bush / 2.0, count=2.0 * u.bushed, mass=_ring(u.d_bush, d, u.t, BRONZE),
        minutes=b.minutes("bush") + take(shafts.bush_minutes, i), price=take(shafts.bush_price, i),
        number=(d, u.t), stock="bushes", index=i,
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


def _wheel(b: _Bench, key: str, words: str, body: str, joined: tuple[str, ...], w: Track, at: Floats,
           boss: tuple[Floats, Floats], r_boss: Floats, bore: Floats, holes: Floats) -> Piece:  # fmt: skip
    """A bored chain wheel with its boss, drilled for its drive pins; the box holds the chain on it."""
    long = np.maximum(boss[1] - boss[0], 0.0)
    low = np.minimum(at - w.width / 2.0, boss[0])
    high = np.maximum(at + w.width / 2.0, boss[1])
    return b.turned(
        key, words, "wheel", body, joined, (low, high), w.outer,
        mass=_ring(2.0 * w.mean, bore, w.face, STEEL) + _ring(2.0 * r_boss, bore, long, STEEL),
        minutes=b.minutes("wheel_bored") + holes * b.shelf.brief.shop.minutes["drive_pin"],
        price=take(b.shelf.chains.wheel_price, w.chain),
        number=(w.chain, w.teeth, long, r_boss, bore), stock="chains", index=w.chain,
    )


def _wheels(b: _Bench) -> tuple[Piece, ...]:
    """Chain wheels A and B and the input wheel."""
    u, c, g = b.u, b.cols, b.u.cage
    n_out = c["output_pins"]
    half_a, half_in = u.a.face / 2.0, u.into.face / 2.0
    if g is None or u.b is None or u.at_b is None:
        return (
            _wheel(b, "chain wheel a", "chain wheel", "cage", ("shaft",), u.a, u.at_a,
                   (u.at_a + half_a, u.meet), u.boss, u.d_shaft, n_out),
            _wheel(b, "input wheel", "input wheel", "cage", ("shaft",), u.into, u.at_in,
                   (u.meet, u.at_in - half_in), u.boss, u.d_shaft, n_out),
        )
    cage_boss = c["cage_pin_radius_mm"] + take(b.shelf.pins.d, c["cage_pin"]) / 2.0 + b.shelf.brief.shop.min_web
    bore = 2.0 * (u.boss + u.gap)
    return (
        _wheel(b, "chain wheel a", "chain wheel A", "side a", ("shaft", "cage"), u.a, u.at_a,
               (u.at_a + half_a, g.x_gear_a), u.boss, u.d_shaft, n_out),
        _wheel(b, "chain wheel b", "chain wheel B", "side b", ("shaft", "cage"), u.b, u.at_b,
               (g.x_gear_b + g.face, u.at_b - u.b.face / 2.0), u.boss, u.d_shaft, n_out),
        _wheel(b, "input wheel", "input wheel", "cage", ("side b",), u.into, u.at_in,
               (g.x_plate_b + u.t, u.at_in - half_in), cage_boss, bore, c["cage_pins"]),
    )


def _clamps(b: _Bench) -> tuple[Piece, ...]:
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
        out.append(b.turned(
            key, f"clamp screw of the {stem} pins", "clamp", body, (), (x0, x1),
            c[f"{stem}_pin_radius_mm"] + d / 2.0, count=2.0 * c[f"{stem}_seat"],
            mass=np.pi / 4.0 * d * d * length * STEEL, minutes=b.minutes("drive_pin"),
            price=_SCREW_PRICE * b.one, number=(d, length),
        ))
    return tuple(out)


def _joined(b: _Bench) -> tuple[Piece, ...]:
    """One carrier: the output pins through both wheels."""
    u = b.u
    x = (u.at_a - u.a.face / 2.0, u.at_in + u.into.face / 2.0)
    return (b.pins("output pins", "output pin", "cage", (), x, b.cols["output_pin_radius_mm"],
                   "output_pin", b.cols["output_pins"], "drive_pin"),)  # fmt: skip


def _gears(b: _Bench, g: Cage) -> tuple[Piece, ...]:
    """Side gears, planets on their pins with spacers, cage plates, and both circles of pins."""
    u, c = b.u, b.cols
    return (*_side_gears(b, g), *_planets(b, g), *_cage_plates(b, g),
            b.pins("cage pins", "cage pin", "cage", (), (g.x_plate_b, u.at_in + u.into.face / 2.0),
                   c["cage_pin_radius_mm"], "cage_pin", c["cage_pins"], "drive_pin"))  # fmt: skip


def _side_gears(b: _Bench, g: Cage) -> tuple[Piece, ...]:
    """Side gears with their output pins, and the spacer between them."""
    u, c, s = b.u, b.cols, b.shelf.gears
    assert u.at_b is not None  # noqa: S101 - a cage has two sides
    holes = c["output_pins"] * b.shelf.brief.shop.minutes["drive_pin"]
    density = take(s.density, g.gear)
    rows = (
        ("a", g.x_gear_a, (u.at_a - u.a.face / 2.0, g.x_gear_a + g.face)),
        ("b", g.x_gear_b, (g.x_gear_b, u.at_b + u.a.face / 2.0)),
    )
    out: list[Piece] = []
    for n, x, pin_x in rows:
        body = f"side {n}"
        out.append(b.turned(
            f"side gear {n}", "side gear", "gear", body, ("shaft", "cage"), (x, x + g.face),
            g.r_side + g.module, mass=_ring(2.0 * g.r_side, u.d_shaft, g.face, density),
            minutes=b.minutes("gear_bored") + holes, price=take(s.side_price, g.gear),
            number=(g.gear, g.z_side, g.face, u.d_shaft), stock="gears", index=g.gear,
        ))
        out.append(b.pins(f"output pins {n}", "output pin", body, (), pin_x,
                          c["output_pin_radius_mm"], "output_pin", c["output_pins"], "drive_pin"))  # fmt: skip
    outside = u.d_shaft + 2.0 * b.shelf.brief.shop.min_web
    between = (g.x_middle - u.gap, g.x_gear_b)
    out.append(_spacer(b, "gear spacer", "spacer between the side gears", "shaft", between,
                       outside / 2.0, outside, u.d_shaft, b.one, c["shaft"]))  # fmt: skip
    return tuple(out)


def _spacer(b: _Bench, key: str, words: str, body: str, x: tuple[Floats, Floats], r: Floats,
            outside: Floats, bore: Floats, count: Floats, size: Floats) -> Piece:  # fmt: skip
    length = x[1] - x[0]
    zero = 0.0 * b.one
    return b.turned(
        key, words, "spacer", body, (), x, r, count=count, mass=_ring(outside, bore, length, STEEL),
        minutes=zero + _spacer_minutes(b.shelf), price=zero, number=(bore, length, size),
    )


def _spacer_minutes(shelf: Shelf) -> float:
    """Minutes to cut a spacer: those of the stock's first line."""
    return shelf.stock.spacers[0].minutes if shelf.stock.spacers else 0.0


def _planets(b: _Bench, g: Cage) -> tuple[Piece, ...]:
    """Both planets of every pair, their pins and the spacers beside them."""
    u, s, i = b.u, b.shelf.gears, b.cols["planet_pin"]
    d, count = take(b.shelf.pins.d, i), g.n
    length = 2.0 * g.face + u.gap
    tip, web = g.circle + g.r_planet + g.module, b.shelf.brief.shop.min_web
    inside_a, inside_b = g.x_plate_a + u.t, g.x_plate_b
    mass = _ring(2.0 * g.r_planet, d, length, take(s.density, g.gear))
    out: list[Piece] = []
    for n, x in (("a", g.x_gear_a), ("b", g.x_middle)):
        out.append(b.turned(
            f"planets {n}", "planet", "gear", f"planets {n}", ("cage", "side a", "side b"),
            (x, x + length), tip, count=count, mass=mass, minutes=b.minutes("gear_bored"),
            price=take(s.planet_price, g.gear), number=(g.gear, g.z_planet, length, d),
            stock="gears", index=g.gear,
        ))
    out.append(b.pins("planet pins", "planet pin", "cage", ("planets a", "planets b"),
                      (g.x_plate_a, g.x_plate_b + u.t), g.circle, "planet_pin", 2.0 * count,
                      "pin_cut_and_groove"))  # fmt: skip
    outside = d + 2.0 * web
    rows = (("a", (g.x_gear_a + length + u.gap, inside_b)), ("b", (inside_a, g.x_middle - u.gap)))
    out += [
        _spacer(b, f"planet spacers {n}", "spacer beside a planet", "cage", x, g.circle + outside / 2.0,
                outside, d, count, i)
        for n, x in rows
    ]
    return tuple(out)


def _cage_plates(b: _Bench, g: Cage) -> tuple[Piece, ...]:
    """Two discs bored for the bosses; holes at the planet pins, at B also at the cage pins."""
    u, c = b.u, b.cols
    zero = 0.0 * g.radius
    bore = Hole(zero, zero, 2.0 * (u.boss + u.gap), "running")
    planet = _pin_holes(b.shelf.pins, c["planet_pin"], g)
    cage = _circle_holes(take(b.shelf.pins.d, c["cage_pin"]), c["cage_pins"], c["cage_pin_radius_mm"],
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
        made.append(replace(piece, minutes=_hole_minutes(b, piece, holes), holes=holes))
    return tuple(made)


def _hole_minutes(b: _Bench, piece: Piece, holes: tuple[Hole, ...]) -> Floats:
    """Minutes with only the holes that are there (d > 0)."""
    each = take(b.shelf.plates.minutes_hole, b.cols["plate"])
    absent = 0.0 * each
    for h in holes:
        absent = absent + np.where(h.d > 0.0, 0.0, 1.0)
    return piece.minutes - each * absent


def _circle_holes(d: Floats, n: Floats, r: Floats, start: Floats) -> tuple[Hole, ...]:
    """Up to four holes evenly on a circle; those beyond n have no diameter."""
    out = []
    for k in range(4):
        angle = start + 2.0 * np.pi * k / n
        out.append(Hole(r * np.cos(angle), r * np.sin(angle), np.where(k < n, d, 0.0), "press"))
    return tuple(out)


def _pin_holes(pins: Pins, index: Floats, g: Cage) -> tuple[Hole, ...]:
    """Planet pins: psi to both sides of each pair's middle."""
    d = take(pins.d, index)
    left = _circle_holes(d, g.n, g.circle, -g.psi)
    return left + _circle_holes(d, g.n, g.circle, g.psi)


def _strands(b: _Bench, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
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
        tangent = u.z - u.toward * w.mean
        z0 = np.minimum(tangent, drive.z) - w.height / 2.0
        z1 = np.maximum(tangent, drive.z) + w.height / 2.0
        out.append(make.chain_piece(
            b.shelf, f"strand {n}", f"strand {n}", "first", body, joined,
            Stadium(x_exit, y_exit, *last, w.width / 2.0), z0, z1, w.chain, links,
        ))
        out.append(wheel_parts.end_piece(
            b.shelf, f"strand {n} end", f"end piece of strand {n}", "first", body, joined,
            (*pin, *last), b.cols["end_width_mm"], drive.z, b.cols["link_plate"], end_plates(b.cols),
            (carrier_hole(b.shelf, drive, k), take(b.shelf.chains.pin, w.chain)),
        ))
    return tuple(out)


def _input_chain(b: _Bench, drive: Drive, motion: Motion) -> Piece:
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
