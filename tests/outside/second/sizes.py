"""Second scorer, sizes: stock lines by the names in a drive's file, and what follows from them.

Only names and sizes; no forces.  Lengths mm, angles rad.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan, cos, hypot, pi, sin, tan
from typing import TypeVar

from explorer.brief.records import Brief
from explorer.brief.stock_records import Chain, Line, Metal, Pin, Plate, Stock

Value = float | int | str


@dataclass(frozen=True)
class Joint:
    """A pin in its joint: sizes, holes, friction and wear of the pairing."""

    pin: Pin
    bushed: bool
    hole: float  # of what turns
    in_plate: float
    in_link: float
    mu: float
    wear: float


@dataclass(frozen=True)
class Track:
    """A chain on a wheel or drum: least, mean, largest arm; tip, `root` inside the plates."""

    chain: Chain
    teeth: float
    low: float
    mean: float
    high: float
    root: float
    tip: float
    outer: float
    wide: float


@dataclass(frozen=True)
class Floating:
    """A floating wheel with fork and chain."""

    track: Track
    links: int
    axle: Joint
    pin: Joint
    width: float
    inside: float
    fork_w: float
    end_w: float
    fork: float
    strand: float


@dataclass(frozen=True)
class Makings:
    """What is common to all parts of one drive."""

    brief: Brief
    stock: Stock
    v: Mapping[str, Value]
    groups: tuple[tuple[int, ...], ...]

    def real(self, key: str) -> float:
        value = self.v[key]
        assert not isinstance(value, str)
        return float(value)

    def angle(self, key: str) -> float:
        return self.real(key) * pi / 180.0

    @property
    def plate(self) -> Plate:
        return named(self.stock.plates, self.v["plate"])

    @property
    def link(self) -> Plate:
        return named(self.stock.plates, self.v["link_plate"])

    @property
    def doubled(self) -> bool:
        return self.v["doubled"] == "doubled"

    def metal(self, plate: Plate) -> Metal:
        return named(self.stock.metals, plate.metal)

    def chain(self, key: str) -> Chain:
        return named(self.stock.chains, self.v[key])

    def joint(self, key: str, turning: Plate, rods: tuple[Pin, ...] | None = None) -> Joint:
        """The pin of column `key`, bushed where the drive is and a bush is to be had."""
        pin = named(self.stock.pins if rods is None else rods, self.v[key])
        bushes = [b for b in self.stock.bushes if abs(b.bore - pin.d) < 1e-6]
        bushed = self.v["bushed"] == "bushed" and bool(bushes)
        hole = bushes[0].outside if bushed else pin.d
        f, w = self.brief.friction, self.brief.wear
        bare = w.bare.get(turning.metal, max(w.bare.values()))
        return Joint(
            pin, bushed, hole,
            pin.d if self.doubled else hole, hole if self.doubled else pin.d,
            f.bushed if bushed else f.bare, w.bushed if bushed else bare,
        )  # fmt: skip

    @property
    def turning(self) -> Plate:
        """What turns in a pinned joint: a link between doubled plates, a single plate between links."""
        return self.link if self.doubled else self.plate

    def eye(self, hole: float, t: float) -> float:
        """Width of an eye that no variable sets."""
        shop = self.brief.shop
        return max(2.0 * hole, hole + 2.0 * shop.min_web, 2.0 * shop.edge_over_thickness * t)

    def pin_y(self, i: int) -> float:
        return self.brief.fingers[i].pin_y

    def pin_x(self, i: int) -> float:
        return self.brief.fingers[i].knuckle_x + self.brief.fingers[i].pin_dx


T = TypeVar("T", bound=Line)


def named(lines: tuple[T, ...], name: Value) -> T:
    """The stock line of this name."""
    return next(line for line in lines if line.name == name)


def toothed(brief: Brief, chain: Chain, teeth: float) -> Track:
    """Chain pins lie on the corners of a polygon of side p; a turn takes in z pitches."""
    p, half = chain.pitch, pi / teeth
    corner = p / 2.0 / sin(half)
    tip = p * (0.6 + 1.0 / tan(half)) / 2.0
    low = corner * cos(half)
    return Track(
        chain, teeth, low, p * teeth / (2.0 * pi), corner, low - chain.height / 2.0,
        tip, max(tip, corner + chain.height / 2.0), chain.width + 2.0 * brief.shop.chain_side_gap,
    )  # fmt: skip


def drum(brief: Brief, chain: Chain, core: float) -> Track:
    """Links lie as chords whose middles are the core and half a plate from the shaft."""
    low, half = core + chain.height / 2.0, chain.pitch / 2.0
    high = hypot(low, half)
    wide = chain.width + 2.0 * brief.shop.chain_side_gap
    return Track(
        chain, 0.0, low, half / atan(half / low), high, core, core, high + chain.height / 2.0, wide
    )


def floating(
    m: Makings, teeth: str, chain: str, links: str, axle: str, pin: str, end: str
) -> Floating:
    """A floating wheel by its keys; `end` the key of its end pieces' width, or ""."""
    t = toothed(m.brief, m.chain(chain), m.real(teeth))
    a, q = m.joint(axle, m.plate), m.joint(pin, m.link)
    end_w = m.eye(q.hole, m.link.thickness)
    if end in m.v:
        end_w = max(end_w, m.real(end))
    c, n = t.chain, int(m.real(links))
    free = (n - t.teeth / 2.0) * c.pitch / 2.0  # half of what does not lie on the wheel
    return Floating(
        t, n, a, q, 0.93 * c.inner_width, t.wide,
        m.eye(max(a.pin.d, q.pin.d), m.plate.thickness), end_w,
        t.outer + m.brief.cavity.clearance + end_w / 2.0, free + c.connector,
    )  # fmt: skip


CARRIER = ("wheel_teeth", "wheel_chain", "wheel_strand_links", "axle_pin", "carrier_fork_pin", "end_width_mm")  # fmt: skip
FIRST = ("first_wheel_teeth", "output_chain", "carrier_strand_links", "first_axle", "fork_pin", "end_width_mm")  # fmt: skip


def carrier_wheel(m: Makings) -> Floating | None:
    return floating(m, *CARRIER) if "wheel_teeth" in m.v else None


@dataclass(frozen=True)
class Stack:
    """A winder along its shaft."""

    into: Track
    out: Track
    shaft: Joint
    at_out: float
    at_in: float
    span: float


def stack(m: Makings) -> Stack:
    """Cheek, gap, output track, input track, gap, cheek."""

    def track(which: str) -> Track:
        chain = m.chain(f"{which}_chain")
        if m.v["tracks"] == "plain":
            return drum(m.brief, chain, m.real(f"{which}_core_mm"))
        return toothed(m.brief, chain, m.real(f"{which}_teeth"))

    into, out = track("input"), track("output")
    half, gap = m.plate.thickness / 2.0, m.brief.shop.gap
    at_out = half + gap + out.wide / 2.0
    at_in = at_out + out.wide / 2.0 + into.wide / 2.0
    shaft = m.joint("shaft", m.plate, m.stock.shafts)
    return Stack(into, out, shaft, at_out, at_in, at_in + into.wide / 2.0 + gap + half)


@dataclass(frozen=True)
class Cage:
    """Gears along the shaft: middles of the cage plates, sizes of the gears."""

    r_side: float
    r_planet: float
    x_plate_a: float
    x_plate_b: float


@dataclass(frozen=True)
class Unit:
    """A differential along its shaft, from the middle of the first bracket."""

    into: Track
    outs: tuple[Track, ...]
    shaft: Joint
    at_in: float
    at_out: tuple[float, ...]
    span: float
    cage: Cage | None


def unit(m: Makings) -> Unit:
    shop, t = m.brief.shop, m.plate.thickness
    into = toothed(m.brief, m.chain("input_chain"), m.real("input_teeth"))
    chain = m.chain("output_chain")
    a = toothed(m.brief, chain, m.real("wheel_a_teeth"))
    beside = max(shop.chain_side_gap, m.real("strand_gap_mm"))
    at_a = t / 2.0 + beside + chain.width / 2.0
    x = at_a + chain.width / 2.0 + beside
    w_in = into.chain.width
    shaft = m.joint("shaft", m.plate, m.stock.shafts)
    if len(m.groups) == 1:
        at_in = x + w_in / 2.0
        span = at_in + w_in / 2.0 + shop.chain_side_gap + t / 2.0
        return Unit(into, (a,), shaft, at_in, (at_a,), span, None)
    b = toothed(m.brief, chain, m.real("wheel_b_teeth"))
    face, gap = m.real("face_mm"), shop.gap
    plate_b = x + t + 3.0 * (gap + face) + gap
    gear = named(m.stock.gears, m.v["gear"])
    cage = Cage(
        gear.module * m.real("side_teeth") / 2.0, gear.module * m.real("planet_teeth") / 2.0,
        x, plate_b,
    )  # fmt: skip
    at_in = plate_b + t + shop.chain_side_gap + w_in / 2.0
    at_b = at_in + w_in / 2.0 + beside + chain.width / 2.0
    span = at_b + chain.width / 2.0 + beside + t / 2.0
    return Unit(into, (a, b), shaft, at_in, (at_a, at_b), span, cage)
