"""A chain differential told plainly, one drive at a time: what stands where on the shaft, what it weighs.

Written from the layout in words (bracket, strand A, cage plate A, gear A, middle, gear B, cage plate B,
input chain, strand B, bracket), with numbers of one drive and no arrays.  Sizes come from the stock's own
records by the names of the vector's choices.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, pi, sin, sqrt, tan

import numpy as np

from explorer.brief.records import Shop
from explorer.brief.stock_records import Chain, Gear, Pin
from explorer.drives.assemble import Space
from explorer.mechanics.tooth import tooth_area, usual_roller

STEEL, BRONZE = 0.00785, 0.0088  # g/mm3


@dataclass(frozen=True)
class Chosen:
    """One vector by names: numbers as they are, choices as the stock's records."""

    space: Space
    v: dict[str, float]

    @property
    def shop(self) -> Shop:
        return self.space.shelf.brief.shop

    @property
    def shaft(self) -> Pin:
        return self.space.shelf.stock.shafts[int(self.v["shaft"])]

    @property
    def gear(self) -> Gear:
        return self.space.shelf.stock.gears[int(self.v["gear"])]

    def pin(self, key: str) -> Pin:
        return self.space.shelf.stock.pins[int(self.v[key])]

    def chain(self, key: str) -> Chain:
        return self.space.shelf.stock.chains[int(self.v[key])]


def chosen(space: Space, x: np.ndarray) -> Chosen:
    return Chosen(space, dict(zip((q.key for q in space.variables), map(float, x), strict=True)))


@dataclass(frozen=True)
class Wheel:
    """A chain wheel: chain record, teeth, tips, mean arm, under the chain's plates."""

    chain: Chain
    z: float

    @property
    def R(self) -> float:
        return float(self.chain.pitch / 2.0 / sin(pi / self.z))

    @property
    def tip(self) -> float:
        return float(self.chain.pitch * (0.6 + 1.0 / tan(pi / self.z)) / 2.0)

    @property
    def outer(self) -> float:
        return max(self.tip, self.R + self.chain.height / 2.0)

    @property
    def under(self) -> float:
        return self.R * cos(pi / self.z) - self.chain.height / 2.0

    @property
    def mean(self) -> float:
        return float(self.chain.pitch * self.z / 2.0 / pi)

    @property
    def face(self) -> float:
        return float(0.93 * self.chain.inner_width)

    @property
    def area(self) -> float:
        p = np.array(self.chain.pitch)
        return float(tooth_area(p, np.array(self.z), usual_roller(p)))


class Stack:
    """Places along the shaft from the middle of the first bracket, mm."""

    def __init__(self, c: Chosen) -> None:
        v, shop = c.v, c.shop
        self.c, self.two = c, "side_teeth" in v
        self.t = c.space.shelf.stock.plates[int(v["plate"])].thickness
        self.d = c.shaft.d
        self.into = Wheel(c.chain("input_chain"), v["input_teeth"])
        self.a = Wheel(c.chain("output_chain"), v["wheel_a_teeth"])
        beside = max(shop.chain_side_gap, v["strand_gap_mm"])
        self.at_a = self.t / 2.0 + beside + self.a.chain.width / 2.0
        self.boss = v["output_pin_radius_mm"] + c.pin("output_pin").d / 2.0 + shop.min_web
        after = self.at_a + self.a.chain.width / 2.0 + beside
        wide_in = self.into.chain.width
        if not self.two:
            self.at_in = after + wide_in / 2.0
            self.span = self.at_in + wide_in / 2.0 + shop.chain_side_gap + self.t / 2.0
            self.meet = self.at_a + self.a.chain.width / 2.0 + beside / 2.0
            self.reach = max(self.into.outer, self.a.outer)
            return
        self.b = Wheel(c.chain("output_chain"), v["wheel_b_teeth"])
        m, g, face = c.gear.module, shop.gap, v["face_mm"]
        self.m, self.face = m, face
        self.side, self.planet = m * v["side_teeth"] / 2.0, m * v["planet_teeth"] / 2.0
        self.circle, self.psi = (
            self.side + self.planet,
            asin(self.planet / (self.side + self.planet)),
        )
        self.plate_a = after
        self.gear_a = self.plate_a + self.t + g
        self.middle = self.gear_a + face + g
        self.gear_b = self.middle + face + g
        self.plate_b = self.gear_b + face + g
        self.at_in = self.plate_b + self.t + shop.chain_side_gap + wide_in / 2.0
        self.at_b = self.at_in + wide_in / 2.0 + beside + self.b.chain.width / 2.0
        self.span = self.at_b + self.b.chain.width / 2.0 + beside + self.t / 2.0
        d_p = c.pin("planet_pin").d
        edge = max(shop.edge_over_thickness * self.t, d_p / 2.0 + shop.min_web, self.planet + m)
        self.radius = self.circle + edge
        self.reach = max(self.into.outer, self.a.outer, self.b.outer, self.radius)


def disc(d: float) -> float:
    """Area of a round, mm2."""
    return pi * d * d / 4.0


@dataclass(frozen=True)
class Told:
    """A piece: from and to along the shaft, radius over all, how many, mass and minutes of each."""

    x: tuple[float, float]
    r: float
    count: float
    mass: float | None
    minutes: float | None


def pieces(c: Chosen) -> dict[str, Told]:
    """Everything on the shaft."""
    s = Stack(c)
    found = _frame(c, s) | _wheels(c, s)
    return found | (_gears(c, s) if s.two else {"output pins": _output_pins(c, s)})


def _frame(c: Chosen, s: Stack) -> dict[str, Told]:
    stock, work = c.space.shelf.stock, c.shop.minutes
    shaft = c.shaft
    ring = next(r for r in stock.rings if r.shaft == s.d)
    bush = next(b for b in stock.bushes if b.bore == s.d)
    past = ring.thickness + ring.past_groove + c.shop.gap / 2.0
    x = (-s.t / 2.0 - past, s.span + s.t / 2.0 + past)
    head, bushed = ring.outside / 2.0, c.v["bushed"]
    rim = disc(ring.outside) - disc(ring.groove)
    outside = bush.outside if bushed else s.d  # none: the shaft's own hole
    wall = disc(outside) - disc(s.d)
    cut = work["pin_cut_and_groove"] + shaft.minutes
    return {
        "shaft": Told(x, head, 1.0, disc(s.d) * (x[1] - x[0]) * shaft.density, cut),
        "shaft rings": Told(x, head, 2.0, rim * ring.thickness * STEEL, 0.0),
        "shaft bushes": Told(
            (-s.t / 2.0, s.span + s.t / 2.0), outside / 2.0, 2.0 * bushed, wall * s.t * BRONZE,
            work["bush"] + bush.minutes,
        ),
    }  # fmt: skip


def _bored(c: Chosen, w: Wheel, boss: tuple[float, float], r: float, bore: float,
           stem: str, at: float) -> Told:  # fmt: skip
    """Teeth and boss less bore and pin holes; drilled through both."""
    long = max(boss[1] - boss[0], 0.0)
    n, d = c.v[f"{stem}_pins"], c.pin(f"{stem}_pin").d
    volume = max(w.area - disc(bore), 0.0) * w.face + max(disc(2.0 * r) - disc(bore), 0.0) * long
    volume -= n * disc(d) * (w.face + long)
    half = w.chain.width / 2.0
    x = (min(at - half, boss[0]), max(at + half, boss[1]))
    work = c.shop.minutes
    minutes = work["wheel_bored"] + n * work["drive_pin"]
    return Told(x, w.outer, 1.0, max(volume, 0.0) * STEEL, minutes)


def _wheels(c: Chosen, s: Stack) -> dict[str, Told]:
    a = (s.at_a + s.a.face / 2.0, s.gear_a if s.two else s.meet)
    end = s.at_in - s.into.face / 2.0
    found = {"chain wheel a": _bored(c, s.a, a, s.boss, s.d, "output", s.at_a)}
    if not s.two:
        boss = (s.meet, end)
        found["input wheel"] = _bored(c, s.into, boss, s.boss, s.d, "output", s.at_in)
        return found
    b = (s.gear_b + s.face, s.at_b - s.b.face / 2.0)
    over = c.v["cage_pin_radius_mm"] + c.pin("cage_pin").d / 2.0 + c.shop.min_web
    bore, boss = 2.0 * (s.boss + c.shop.gap), (s.plate_b + s.t, end)
    return found | {
        "chain wheel b": _bored(c, s.b, b, s.boss, s.d, "output", s.at_b),
        "input wheel": _bored(c, s.into, boss, over, bore, "cage", s.at_in),
    }


def _plain(c: Chosen, key: str, x: tuple[float, float], circle: float, count: float,
           work: str) -> Told:  # fmt: skip
    pin = c.pin(key)
    mass = disc(pin.d) * (x[1] - x[0]) * pin.density
    return Told(x, circle + pin.d / 2.0, count, mass, c.shop.minutes[work] + pin.minutes)


def _output_pins(c: Chosen, s: Stack) -> Told:
    x = (s.at_a - s.a.face / 2.0, s.at_in + s.into.face / 2.0)
    return _plain(c, "output_pin", x, c.v["output_pin_radius_mm"], c.v["output_pins"], "drive_pin")


def _tube(
    c: Chosen, x: tuple[float, float], outside: float, bore: float, r: float, n: float
) -> Told:
    spacer = next(s for s in c.space.shelf.stock.spacers if s.bore == bore)
    mass = (disc(outside) - disc(bore)) * (x[1] - x[0]) * STEEL
    return Told(x, r, n, mass, spacer.minutes)


def _gears(c: Chosen, s: Stack) -> dict[str, Told]:
    v, work, gap, web = c.v, c.shop.minutes, c.shop.gap, c.shop.min_web
    rho, n = c.gear.density, c.v["planet_pairs"]
    out, d_p = c.pin("output_pin").d, c.pin("planet_pin").d
    drilled = disc(2.0 * s.side) - disc(s.d) - v["output_pins"] * disc(out)
    side = max(drilled, 0.0) * s.face * rho
    bored = work["gear_bored"] + v["output_pins"] * work["drive_pin"]
    long = 2.0 * s.face + gap
    planet = (disc(2.0 * s.planet) - disc(d_p)) * long * rho
    over, tip = s.side + s.m, s.circle + s.planet + s.m
    wide, beside = s.d + 2.0 * web, d_p + 2.0 * web
    pin_r = v["output_pin_radius_mm"]
    pins_a = (s.at_a - s.a.face / 2.0, s.gear_a + s.face)
    pins_b = (s.gear_b, s.at_b + s.a.face / 2.0)
    cage = (s.plate_b, s.at_in + s.into.face / 2.0)
    through = (s.plate_a, s.plate_b + s.t)
    at = s.circle + beside / 2.0
    found = {
        "side gear a": Told((s.gear_a, s.gear_a + s.face), over, 1.0, side, bored),
        "side gear b": Told((s.gear_b, s.gear_b + s.face), over, 1.0, side, bored),
        "output pins a": _plain(c, "output_pin", pins_a, pin_r, v["output_pins"], "drive_pin"),
        "output pins b": _plain(c, "output_pin", pins_b, pin_r, v["output_pins"], "drive_pin"),
        "gear spacer": _tube(c, (s.gear_a + s.face, s.gear_b), wide, s.d, wide / 2.0, 1.0),
        "planets a": Told((s.gear_a, s.gear_a + long), tip, n, planet, work["gear_bored"]),
        "planets b": Told((s.middle, s.middle + long), tip, n, planet, work["gear_bored"]),
        "planet pins": _plain(
            c, "planet_pin", through, s.circle, 2.0 * n, "pin_cut_and_groove"
        ),
        "planet spacers a": _tube(c, (s.gear_a + long + gap, s.plate_b), beside, d_p, at, n),
        "planet spacers b": _tube(c, (s.plate_a + s.t, s.gear_a + s.face), beside, d_p, at, n),
        "cage pins": _plain(
            c, "cage_pin", cage, v["cage_pin_radius_mm"], v["cage_pins"], "drive_pin"
        ),
    }  # fmt: skip
    return found | {f"cage plate {k}": _cage_plate(c, s, k) for k in "ab"}


def holes(c: Chosen, s: Stack, which: str) -> list[tuple[float, float, float]]:
    """Holes of a cage plate: x, y, d; planet pins to both sides of each pair, cage pins midway."""
    n = int(c.v["planet_pairs"])
    turns = [2.0 * pi * k / n for k in range(n)]
    d = c.pin("planet_pin").d
    at = [(s.circle, f + q, d) for q in (-s.psi, s.psi) for f in turns]
    if which == "b":
        m, d_c = int(c.v["cage_pins"]), c.pin("cage_pin").d
        at += [(c.v["cage_pin_radius_mm"], pi / n + 2.0 * pi * k / m, d_c) for k in range(m)]
    return [(r * cos(f), r * sin(f), d) for r, f, d in at]


def _cage_plate(c: Chosen, s: Stack, which: str) -> Told:
    stock = c.space.shelf.stock
    sheet = stock.plates[int(c.v["plate"])]
    metal = next(m for m in stock.metals if m.name == sheet.metal)
    bore = 2.0 * (s.boss + c.shop.gap)
    drilled = holes(c, s, which)
    area = disc(2.0 * s.radius) - disc(bore) - sum(disc(d) for _, _, d in drilled)
    rim = 2.0 * pi * s.radius * s.t * metal.minutes_per_mm_mm
    x0 = s.plate_a if which == "a" else s.plate_b
    minutes = rim + (1 + len(drilled)) * metal.minutes_per_hole
    return Told((x0, x0 + s.t), s.radius, 1.0, area * s.t * metal.density, minutes)


def apart(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
    """Metal between two holes, mm."""
    return sqrt((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) - (a[2] + b[2]) / 2.0
