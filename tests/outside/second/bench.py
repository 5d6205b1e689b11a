"""Second scorer, what the bench makes: of levers, bars, winders and floating wheels, piece by piece.

How many, how high in the stack, grams, minutes and price of each.  Chain differentials are told apart, in
`tests/drives/differential_twin.py`.  Lengths mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, ceil, cos, pi, sqrt, tan

import numpy as np

from explorer.brief.stock_records import Pin, Plate, Ring
from explorer.mechanics.tooth import tooth_area, usual_roller
from tests.outside.second.plan import Bar, Plan, Rocker, Wheel, bent_span
from tests.outside.second.score import Moment
from tests.outside.second.sizes import (
    CARRIER,
    FIRST,
    Floating,
    Joint,
    Makings,
    Track,
    floating,
    stack,
)

STEEL, WASHER, BUSH = 0.00785, 0.0079, 0.0088  # g/mm3


@dataclass(frozen=True)
class Made:
    """Equal pieces: how many, from and to in z, each one's mass, minutes and price."""

    count: float
    z0: float
    z1: float
    mass: float
    minutes: float
    price: float = 0.0


def round_(d: float) -> float:
    """Area of a round of diameter d."""
    return pi * d * d / 4.0


def _ring(rings: list[Ring]) -> float:
    """Mass of a ring, from its groove to its outside; of none, nothing."""
    return sum((round_(r.outside) - round_(r.groove)) * r.thickness * STEEL for r in rings)


@dataclass(frozen=True)
class Bench:
    """Sizes of the stack of pinned plates, and the plane that it lies in."""

    m: Makings
    z: float

    @property
    def half(self) -> float:
        """Half of a joint's stack: plate, gap, link of doubled plates; link, gap, plate of single."""
        inner, outer = self.m.plate.thickness, self.m.link.thickness
        if self.m.doubled:
            inner, outer = outer, inner
        return inner / 2.0 + self.m.brief.shop.gap + outer

    def layer(self, sheet: str) -> tuple[float, float]:
        """How many plates ("plate") or links ("link") lie in a joint, and half their height."""
        inside = (sheet == "link") == self.m.doubled
        own = self.m.link if sheet == "link" else self.m.plate
        return (1.0, own.thickness / 2.0) if inside else (2.0, self.half)

    def cut(self, sheet: Plate, length: float, w: float, holes: list[float], n: float,
            half: float, area: float | None = None) -> Made:  # fmt: skip
        """Plates with round ends of width w; `length` between the end holes."""
        metal = self.m.metal(sheet)
        whole = round_(w) + length * w if area is None else area
        length = (whole - round_(w)) / w
        net = whole - sum(round_(d) for d in holes)
        rim = pi * w + 2.0 * length
        minutes = rim * sheet.thickness * metal.minutes_per_mm_mm
        minutes += len(holes) * metal.minutes_per_hole
        mass = net * sheet.thickness * metal.density
        return Made(n, self.z - half, self.z + half, mass, minutes)

    def end(self, pin: Pin) -> float:
        """How far a pin stands out of its stack: ring, groove and half a gap, or half a diameter."""
        for r in self.m.stock.rings:
            if abs(r.shaft - pin.d) < 1e-6:
                return r.thickness + r.past_groove + self.m.brief.shop.gap / 2.0
        return pin.d / 2.0

    def pin(self, key: str, j: Joint, half: float, bushes: float, bush_long: float, washers: float,
            z: float | None = None) -> dict[str, Made]:  # fmt: skip
        """A pin through a stack with its rings, bushes and washers."""
        shop, d = self.m.brief.shop, j.pin.d
        z = self.z if z is None else z
        e, ring = self.end(j.pin), [r for r in self.m.stock.rings if abs(r.shaft - d) < 1e-6]
        low, high = z - half - e, z + half + e
        cut = shop.minutes["pin_cut_and_groove"] + j.pin.minutes
        mass = round_(d) * (high - low) * j.pin.density
        found = {
            key: Made(1.0, low, high, mass, cut, j.pin.price),
            f"{key} rings": Made(
                2.0 * len(ring), low, high, _ring(ring), 0.0, ring[0].price if ring else 0.0
            ),
        }
        if bushes:
            b = next(b for b in self.m.stock.bushes if abs(b.bore - d) < 1e-6)
            wall = (round_(b.outside) - round_(d)) * bush_long * BUSH
            minutes = shop.minutes["bush"] + b.minutes
            found[f"{key} bushes"] = Made(bushes, z - half, z + half, wall, minutes, b.price)
        if washers:
            ring_mass = (round_(2.0 * d) - round_(d)) * shop.gap * WASHER
            found[f"{key} washers"] = Made(washers, z - half, z + half, ring_mass, 0.0, 0.1)
        return found

    def joint(self, key: str, column: str) -> dict[str, Made]:
        """A pin of the pinned plates."""
        j, mid = self.m.joint(column, self.m.turning), self.m.turning.thickness
        return self.pin(key, j, self.half, float(j.bushed), mid, 2.0)

    def chain(self, chain: str, links: float) -> tuple[float, float, float]:
        """Grams, minutes and price of a cut length."""
        c, work = self.m.chain(chain), self.m.brief.shop.minutes
        minutes = work["chain_cut"] + 2.0 * work["chain_end"]
        return links * c.pitch * c.mass_per_mm, minutes, links * c.price_per_pitch


def told(p: Plan, ms: list[Moment]) -> dict[str, Made]:
    """Everything that this file knows of a drive."""
    b = Bench(p.m, float(np.mean([f.pin_z for f in p.m.brief.fingers])))
    found: dict[str, Made] = {}
    if isinstance(p.ratio, Rocker):
        found |= _rocker(b, p)
    elif p.ratio.along == "z":
        found |= _winder(b, ms)
        if len(p.carriers) > 1:
            found |= _set(b, floating(p.m, *FIRST), "first stage", "output_chain", pi)
    for k, c in enumerate(p.carriers):
        name = f"carrier {'ab'[k]}"
        if isinstance(c.body, Bar):
            found |= _plate(b, name, c.body, "bar")
            n, half = b.layer("link")
            end = p.m.joint("bar_end_pin", p.m.turning).in_link
            w = p.m.eye(end, p.m.link.thickness)
            for i, L in zip(c.fingers, c.L_out, strict=True):
                found[f"finger link {i} plate"] = b.cut(p.m.link, L, w, [end, end], n, half)
        elif isinstance(c.body, Wheel):
            f = floating(p.m, *CARRIER)
            found |= _set(b, f, name, "wheel_chain", _kept(p, f, ms, k))
    return found


def _kept(p: Plan, f: Floating, ms: list[Moment], k: int) -> float:
    """Half angle of a wheel: whole, or a quarter turn, the largest turn and one tooth."""
    if p.m.v["wheel_sector"] != "sector":
        return pi
    turns = [abs(s.tilt) for m in ms if m.at.must and (s := m.shape.second[k]) is not None]
    return min(pi, pi / 2.0 + max(turns) + f.track.chain.pitch / f.track.mean)


def _set(b: Bench, f: Floating, name: str, chain: str, half: float) -> dict[str, Made]:
    """Wheel, two fork plates, axle, fork pin, two spacers, chain."""
    m, work, c = b.m, b.m.brief.shop.minutes, f.track.chain
    hub, tip = f.axle.hole / 2.0 + m.brief.shop.min_web, f.track.tip
    area = half * tip * tip + (pi - half) * hub * hub - round_(f.axle.hole)
    minutes = work["wheel_bored"] if half >= pi else work["wheel_sector"]
    side, inside = c.width / 2.0, f.inside / 2.0
    stack_half = inside + m.plate.thickness
    ends = 1.0 if m.doubled else 2.0
    gap = inside - f.width / 2.0
    tube = round_(f.axle.pin.d + 2.0 * m.brief.shop.min_web) - round_(f.axle.pin.d)
    holes = [f.axle.pin.d, f.pin.pin.d]
    mass, cut, price = b.chain(chain, f.links)
    wheel = Made(1.0, b.z - side, b.z + side, area * f.width * STEEL, minutes, c.idler_price)
    found = {
        f"{name} wheel": wheel,
        f"{name} fork": b.cut(m.plate, f.fork, f.fork_w, holes, 2.0, stack_half),
        f"{name} spacers": Made(2.0, b.z - inside, b.z + inside, tube * gap * STEEL, 0.0),
        f"{name} chain": Made(1.0, b.z - side, b.z + side, mass, cut, price),
    }
    found |= b.pin(f"{name} axle", f.axle, stack_half, float(f.axle.bushed), f.width, 0.0)
    bushes = float(f.pin.bushed) * ends
    thick = m.link.thickness
    return found | b.pin(f"{name} fork pin", f.pin, stack_half, bushes, thick, 0.0)


def _plate(b: Bench, name: str, body: Bar, stem: str) -> dict[str, Made]:
    """A plate on three pins: two stadiums that meet at an angle, and its pins."""
    centre = b.m.joint(f"{stem}_centre_pin", b.m.turning).in_plate
    end = b.m.joint(f"{stem}_end_pin", b.m.turning).in_plate
    n, half = b.layer("plate")
    w, turn = b.m.real(f"{stem}_width_mm"), abs(atan(body.e / body.l_a) + atan(body.e / body.l_b))
    area = _bent(*bent_span(body), w, turn)
    found = {f"{name} plate": b.cut(b.m.plate, 0.0, w, [centre, end, end], n, half, area)}
    found |= b.joint(f"{name} centre pin", f"{stem}_centre_pin")
    for side in "ab":
        found |= b.joint(f"{name} end {side} pin", f"{stem}_end_pin")
    return found


def _bent(one: float, other: float, w: float, turn: float) -> float:
    """Area of two stadiums of width w with one end in common: both, less the end, less the kite inside.

    The kite between the arms' inner edges has its tip tan(turn/2) w/2 along them; outside, the round
    end fills the angle.
    """
    r = w / 2.0
    return w * (one + other) + round_(w) + r * r * (turn / 2.0 - tan(turn / 2.0))


def _rocker(b: Bench, p: Plan) -> dict[str, Made]:
    m, r = b.m, p.ratio
    assert isinstance(r, Rocker)
    work, t = m.brief.shop.minutes, m.plate.thickness
    w, gap = m.real("rocker_width_mm"), m.brief.shop.gap
    pivot, drawbar = m.joint("pivot_pin", m.plate), m.joint("drawbar_pin", m.turning)
    n, half = b.layer("plate")
    if m.brief.wrist.reverses:
        area = _bent(r.r_in, r.r_out, w, abs(r.dogleg))
    else:  # the hull of its three ends
        third = sqrt(r.r_in**2 + r.r_out**2 - 2.0 * r.r_in * r.r_out * cos(r.dogleg))
        s = (r.r_in + r.r_out + third) / 2.0  # Heron
        flat = sqrt(max(s * (s - r.r_in) * (s - r.r_out) * (s - third), 0.0))
        area = flat + s * w + round_(w)
    holes = [pivot.hole, drawbar.in_plate, drawbar.in_plate]
    out = half + gap + t
    long = m.link.thickness + 2.0 * gap
    tube = (round_(2.0 * pivot.pin.d) - round_(pivot.pin.d)) * long * pivot.pin.density
    found = {
        "rocker plate": b.cut(m.plate, 0.0, w, holes, n, half, area),
        "frame cheeks": b.cut(m.plate, 0.0, w, [pivot.pin.d], 2.0, out),
        "rocker pivot spacer": Made(
            n - 1.0, b.z - long / 2.0, b.z + long / 2.0, tube, work["bush"]
        ),
    }
    found |= b.pin("rocker pivot pin", pivot, out, n * float(pivot.bushed), t, 2.0)
    found |= b.joint("rocker in pin", "drawbar_pin") | b.joint("rocker out pin", "drawbar_pin")
    if isinstance(p.first, Bar):
        found |= _plate(b, "first lever", p.first, "lever")
        centre = m.joint("lever_centre_pin", m.turning).in_link
        own = m.eye(max(centre, drawbar.in_link), m.link.thickness)
        k, high = b.layer("link")
        pair = [drawbar.in_link, centre]
        found["exit link plate"] = b.cut(m.link, p.L_exit, own, pair, k, high)
    return found


def _turned(t: Track, plain: bool, bore: float) -> float:
    """Metal of a track, mm3: teeth or drum in the middle, hubs under the chain beside them."""
    c = t.chain
    wide = t.wide if plain else 0.93 * c.inner_width
    p = np.array(c.pitch)
    middle = (
        round_(2.0 * t.tip) if plain else float(tooth_area(p, np.array(t.teeth), usual_roller(p)))
    )
    hub = max(round_(2.0 * t.root) - round_(bore), 0.0) * (t.wide - wide)
    return max(middle - round_(bore), 0.0) * wide + hub


def _winder(b: Bench, ms: list[Moment]) -> dict[str, Made]:
    m, s, work = b.m, stack(b.m), b.m.brief.shop.minutes
    box, plain = m.brief.cavity.box, m.v["tracks"] == "plain"
    up = 1.0 if box.z1 - b.z >= b.z - box.z0 else -1.0
    rho, t, gap = m.metal(m.plate).density, m.plate.thickness, m.brief.shop.gap
    bore = s.shaft.pin.d
    one = m.v["one_piece"] == "one piece"
    pin, n = m.joint("drive_pin", m.plate).pin, m.real("drive_pins")
    seats = [min(k.wide, 1.5 * pin.d) for k in (s.into, s.out)]
    face, far = b.z + up * s.out.wide / 2.0, b.z + up * (s.out.wide + s.into.wide) / 2.0
    found: dict[str, Made] = {}
    rows = (("input", s.into, far, seats[0]), ("output", s.out, b.z, seats[1]))
    for which, k, z, seat in rows:
        mass = max(_turned(k, plain, bore) - n * round_(pin.d) * seat, 0.0) * rho
        price = 0.0 if plain else k.chain.wheel_price
        found[f"winder {which} track"] = Made(
            0.0 if one else 1.0,
            z - k.wide / 2.0,
            z + k.wide / 2.0,
            mass,
            work["pinned_track"],
            price,
        )
    ends = sorted((b.z - up * s.out.wide / 2.0, face + up * s.into.wide))
    whole = (_turned(s.into, plain, bore) + _turned(s.out, plain, bore)) * rho
    found["winder"] = Made(float(one), *ends, whole, work["one_piece_winder_plain"])
    long = sum(seats)
    found["winder drive pins"] = Made(
        0.0 if one else n, face - long / 2.0, face + long / 2.0, round_(pin.d) * long * pin.density,
        work["drive_pin"] + pin.minutes, pin.price,
    )  # fmt: skip
    found |= _shaft(b, s.shaft, sorted((ends[0] - gap - t, ends[1] + gap + t)), t)
    side_in, side_out = s.into.chain.width / 2.0, s.out.chain.width / 2.0
    X = max(k.ratio.X for k in ms if k.at.must)
    links = ceil(X / s.into.chain.pitch - 1e-6) + 3.0  # one at rest, two wound
    found["input chain"] = Made(1.0, far - side_in, far + side_in, *b.chain("input_chain", links))
    standing = m.real("exit_links") + 2.0
    found["output chain"] = Made(
        1.0, b.z - side_out, b.z + side_out, *b.chain("output_chain", standing)
    )
    w, foot = m.eye(s.shaft.hole, t), max(s.into.outer, s.out.outer)
    cheek = b.cut(m.plate, foot, w, [s.shaft.hole], 1.0, 0.0)
    low, high = (ends[0] - gap - t, ends[0] - gap), (ends[1] + gap, ends[1] + gap + t)
    near, beyond = (low, high) if up > 0.0 else (high, low)
    for where, z in (("output", near), ("input", beyond)):
        found[f"cheek at the {where} track"] = Made(1.0, *z, cheek.mass, cheek.minutes)
    return found


def _shaft(b: Bench, j: Joint, z: list[float], t: float) -> dict[str, Made]:
    """The shaft through both cheeks, with bushes in both and two washers."""
    half, middle = (z[1] - z[0]) / 2.0, (z[0] + z[1]) / 2.0
    return b.pin("winder shaft", j, half, 2.0 * float(j.bushed), t, 2.0, middle)
