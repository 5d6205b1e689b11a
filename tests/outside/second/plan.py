"""Second scorer, what a drive is made of: its bodies, where they hang at rest, and its links.

Everything hangs from the finger pins back toward the wrist.  Lengths mm, angles rad.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from explorer.brief.records import Brief
from explorer.brief.stock_records import Stock
from tests.outside.second.sizes import (
    FIRST,
    Floating,
    Makings,
    Value,
    carrier_wheel,
    floating,
    stack,
    unit,
)


@dataclass(frozen=True)
class Bar:
    """Bar or lever on three pins; e: centre pin ahead of the end pins, wrist side."""

    l_a: float
    l_b: float
    e: float
    d_centre: float
    d_end: float
    mu: float


@dataclass(frozen=True)
class Wheel:
    """Floating wheel by its mean diameter."""

    D: float
    d_axle: float
    mu: float
    d_chain: float
    mu_chain: float


@dataclass(frozen=True)
class Gears:
    """Side gears on chain wheels of mean arms r_a, r_b."""

    r_a: float
    r_b: float
    eta: float
    meshes: int


@dataclass(frozen=True)
class Rocker:
    r_in: float
    r_out: float
    rest: float
    dogleg: float
    x: float
    side: float
    d_drawbar: float
    d_pivot: float
    mu: float


@dataclass(frozen=True)
class Spool:
    """Tracks on a shaft; `along` "z" or "x"; places along it from the first bush."""

    arm_in: float
    arm_out: float
    ripple: float
    d_in: float
    d_out: float
    mu_chain: float
    d_shaft: float
    mu: float
    span: float
    at_in: float
    at_out: tuple[float, ...]
    exits: tuple[float, ...]
    along: str


@dataclass(frozen=True)
class Carrier:
    fingers: tuple[int, ...]
    body: Bar | Wheel | None
    L_in: float
    L_out: tuple[float, ...]


def wheel_of(m: Makings, f: Floating) -> Wheel:
    return Wheel(
        2.0 * f.track.mean, f.axle.pin.d, f.axle.mu, f.track.chain.pin, m.brief.friction.chain
    )


def bar_of(m: Makings, stem: str, arms: tuple[str, str], offset: str) -> Bar:
    centre = m.joint(f"{stem}_centre_pin", m.turning)
    end = m.joint(f"{stem}_end_pin", m.turning)
    return Bar(
        m.real(arms[0]), m.real(arms[1]), m.real(offset), centre.pin.d, end.pin.d,
        max(centre.mu, end.mu),
    )  # fmt: skip


@dataclass(frozen=True)
class Hung:
    """A second-stage body and the y of its centre at rest."""

    body: Bar | Wheel | None
    L_out: tuple[float, ...]
    y: float


def hang(m: Makings, group: tuple[int, ...]) -> Hung:
    """One second-stage body, level behind the finger pin nearest the wrist."""
    if len(group) == 1:
        return Hung(None, (), m.pin_y(group[0]))
    low = min(m.pin_y(i) for i in group)
    wheel = carrier_wheel(m)
    if wheel is not None:
        reach, body, y = wheel.strand, wheel_of(m, wheel), low - wheel.strand
        return Hung(body, tuple(reach + m.pin_y(i) - low for i in group), y)
    pairs = [g for g in m.groups if len(g) == 2]
    place = "" if len(pairs) == 1 else ("index_", "little_")[pairs.index(group)]
    bar = bar_of(m, "bar", (f"bar_{place}arm_a_mm", f"bar_{place}arm_b_mm"), "bar_offset_mm")
    reach = m.real("finger_link_mm")
    return Hung(bar, tuple(reach + m.pin_y(i) - low for i in group), low - reach - bar.e)


@dataclass(frozen=True)
class Plan:
    """A whole drive."""

    m: Makings
    architecture: str
    ratio: Rocker | Spool
    first: Bar | Wheel | Gears | None
    carriers: tuple[Carrier, ...]
    L_exit: float


def grouping(n: int, single: str) -> tuple[tuple[int, ...], ...]:
    if n == 2:
        return ((0, 1),)
    if n == 3:
        return ((0,), (1, 2)) if single == "index side" else ((0, 1), (2,))
    return ((0, 1), (2, 3))


def plan(
    brief: Brief, stock: Stock, architecture: str, single: str, v: Mapping[str, Value]
) -> Plan:
    """The drive of these named values."""
    m = Makings(brief, stock, v, grouping(len(brief.fingers), single))
    hung = tuple(hang(m, g) for g in m.groups)
    wheel = carrier_wheel(m)
    fork = 0.0 if wheel is None else wheel.fork
    build = {"linked_lever": _lever, "chain_winder": _winder, "chain_differential": _cage}
    ratio, first, base, L_exit = build[architecture.partition("+")[0]](m, fork)
    low = min(h.y for h in hung)
    carriers = tuple(
        Carrier(g, h.body, base + h.y - low, h.L_out) for g, h in zip(m.groups, hung, strict=True)
    )
    if isinstance(ratio, Spool) and ratio.along == "x":
        L_exit = carriers[0].L_in
    return Plan(m, architecture, ratio, first, carriers, L_exit)


Staged = tuple[Rocker | Spool, Bar | Wheel | Gears | None, float, float]


def _lever(m: Makings, fork: float) -> Staged:
    pivot, drawbar = m.joint("pivot_pin", m.plate), m.joint("drawbar_pin", m.turning)
    rocker = Rocker(
        m.real("input_arm_mm"), m.real("output_arm_mm"), m.angle("rest_angle_deg"),
        m.angle("dogleg_deg"), m.real("pivot_x_mm"),
        1.0 if m.v["output_side"] == "little side" else -1.0,
        drawbar.pin.d, pivot.pin.d, max(pivot.mu, drawbar.mu),
    )  # fmt: skip
    exit_link = m.real("exit_link_mm")
    if len(m.groups) == 1:
        return rocker, None, exit_link + fork, exit_link + fork
    lever = bar_of(m, "lever", ("lever_arm_a_mm", "lever_arm_b_mm"), "lever_offset_mm")
    return rocker, lever, m.real("carrier_link_mm") + fork, exit_link


def _winder(m: Makings, fork: float) -> Staged:
    s = stack(m)
    side = 1.0 if m.v["output_side"] == "little side" else -1.0
    spool = Spool(
        s.into.mean, s.out.mean, s.into.low / s.into.mean / (s.out.high / s.out.mean),
        s.into.chain.pin, s.out.chain.pin, m.brief.friction.chain, s.shaft.pin.d, s.shaft.mu,
        s.span, s.at_in, (s.at_out,), (m.real("shaft_x_mm") + side * s.out.mean,), "z",
    )  # fmt: skip
    free = m.real("exit_links") * s.out.chain.pitch + s.out.chain.connector
    if len(m.groups) == 1:
        return spool, None, free + fork, free + fork
    f = floating(m, *FIRST)
    return spool, wheel_of(m, f), f.strand + fork, free + f.fork


def _cage(m: Makings, fork: float) -> Staged:
    u = unit(m)
    arm, worst = u.outs[0].mean, max(w.high / w.mean for w in u.outs)
    first = None
    if len(u.outs) == 2:
        r_a, r_b = u.outs[0].mean, u.outs[1].mean
        arm = 2.0 * r_a * r_b / (r_a + r_b)
        first = Gears(r_a, r_b, m.brief.friction.mesh, 3)
    x0 = m.real("unit_x_mm") - u.span / 2.0
    chain = u.outs[0].chain
    spool = Spool(
        u.into.mean, arm, u.into.low / u.into.mean / worst, u.into.chain.pin, chain.pin,
        m.brief.friction.chain, u.shaft.pin.d, u.shaft.mu, u.span, u.at_in, u.at_out,
        tuple(x0 + at for at in u.at_out), "x",
    )  # fmt: skip
    base = m.real("carrier_strand_links") * chain.pitch + chain.connector + fork
    return spool, first, base, 0.0


def bent_span(b: Bar) -> tuple[float, float]:
    """Centre pin to either end pin."""
    return sqrt(b.l_a * b.l_a + b.e * b.e), sqrt(b.l_b * b.l_b + b.e * b.e)
