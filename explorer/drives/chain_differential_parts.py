"""Sizes of the differential unit along its shaft, and what its parts carry.

Every size is (N,1), every load (N,P).  Places `x_*`, `at_*` run along the shaft from the middle of the
first bracket, index side first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives import make, wheel_parts, wheels
from explorer.drives.chain_differential_unit import Cage, Track, Unit, drop, line, unit
from explorer.drives.joints import ChainRun, Eye, Loads, PinCircle, PinJoint, ShaftSection, Tooth
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Pulls
from explorer.drives.ratios import Spool
from explorer.drives.shelf import Shelf, take
from explorer.drives.variables import Columns
from explorer.mechanics import chain, gears, settle
from explorer.mechanics.types import Floats

WHEEL_YIELD = 500.0  # MPa, unhardened steel of bought chain wheels (assumed)


@dataclass(frozen=True)
class Forces:
    """Forces in the unit (N,P): `strand` along each strand, `torque` of each side, both bushes, bending."""

    strand: tuple[Floats, ...]
    torque: tuple[Floats, ...]
    cage: Floats
    bush_1: Floats
    bush_2: Floats
    moment: Floats


def _given(motion: Motion, pulls: Pulls) -> tuple[Floats, ...]:
    """Pull of each strand, N: of a carrier's, at most F_out's high side; a lock there adds the rest."""
    m = motion.first
    one = np.ones_like(motion.Y)
    most = (one,) if m is None else (m.share_a + m.skew, m.share_b + m.skew)
    return tuple(
        np.minimum(pull, pulls.F_out * c) for pull, c in zip(pulls.carrier, most, strict=True)
    )


def forces(drive: Drive, u: Unit, motion: Motion, pulls: Pulls) -> Forces:
    """Statics of the unit.  The shaft is a beam on two bushes, every pull along y at its own place.

    Sideways parts of leaning strands are thrust along the shaft and left out of the bending.
    """
    assert isinstance(drive.ratio, Spool)  # noqa: S101 - this family's own
    given = _given(motion, pulls)
    strand = tuple(p / settle.lean_cos(q) for p, q in zip(given, motion.exit_sine, strict=True))
    torque = tuple(f * w.mean for f, w in zip(strand, u.outputs, strict=True))
    F = drive.ratio.source.sign * pulls.F_in
    far = u.at_in / u.span
    r1, r2 = F * (1.0 - far), F * far
    for at, pull in zip(u.at_out, given, strict=True):
        g = at / u.span
        r1, r2 = r1 + (1.0 - g) * pull, r2 + g * pull
    # linear between the loads, so the largest is under one: the first is `a`, the last `b` or the input
    M = np.maximum(np.abs(r1 * u.at_a), np.abs(r2 * u.last[0]))
    at_input = r1 * u.at_in - given[0] * (u.at_in - u.at_a)
    M = np.maximum(M, np.abs(at_input))
    return Forces(strand, torque, np.abs(pulls.F_in) * u.into.mean, np.abs(r1), np.abs(r2), M)


def loads(shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
    """What the unit's parts carry, the joints at the carriers' centre pins left to the second stage."""
    u, c = unit(shelf, drive.columns), drive.columns
    f = forces(drive, u, motion, pulls)
    out = Loads(
        pins=_bushes(shelf, c, u, f, motion),
        eyes=_eyes(shelf, c, u, f),
        chains=_chains(shelf, drive, motion, u, f, pulls),
        shafts=_shaft(shelf, c, u, f),
    )
    if u.cage is None:
        bought = shelf.endurance.wheel + 0.0 * u.t
        circle = _circle(
            shelf,
            c,
            "output",
            "output pins",
            f.cage,
            (u.into.face, u.a.face),
            (WHEEL_YIELD + 0.0 * u.t, WHEEL_YIELD + 0.0 * u.t),
            (bought, bought),
        )
        return out + Loads(circles=(circle,))
    return out + _gear_loads(shelf, c, u.cage, u, f, motion)


def _bushes(shelf: Shelf, c: Columns, u: Unit, f: Forces, motion: Motion) -> tuple[PinJoint, ...]:
    """The shaft in its brackets; its bending between them is a section of its own.

    A bracket is one side of a fork about the wheel next to it: as a pin in a fork of twice the bush's
    load R, one fork plate carries R, and so does one shear plane.  Twice the wheel's face as the middle
    makes its bending the beam's under that wheel, R at.
    """
    sy = take(shelf.plates.yield_, c["plate"])
    wear = make.joint_wear(shelf, u.bushed, c["plate"])
    rows = (("a", f.bush_1, u.at_a, u.a), ("b", f.bush_2, *u.last))
    return tuple(
        PinJoint(
            f"shaft bush {name}",
            f"shaft in bracket {name}",
            "nothing",
            2.0 * load,
            motion.theta,
            u.d_shaft,
            u.t,
            (at - w.face / 2.0) - u.t / 2.0,
            2.0 * w.face,
            take(shelf.shafts.yield_, c["shaft"]),
            sy,
            WHEEL_YIELD + 0.0 * u.t,
            u.d_shaft,
            u.d_bush,
            wear,
            2.0 * u.t,
            shelf.endurance.shafts + c["shaft"],
        )
        for name, load, at, w in rows
    )


def _eyes(shelf: Shelf, c: Columns, u: Unit, f: Forces) -> tuple[Eye, ...]:
    w = u.bracket_w
    sy = take(shelf.plates.yield_, c["plate"])
    brackets = tuple(
        Eye(
            f"bracket {name}",
            f"bracket {name}",
            "nothing",
            load,
            w,
            u.d_bush,
            w / 2.0,
            u.t,
            sy,
            c["plate"],
        )
        for name, load in (("a", f.bush_1), ("b", f.bush_2))
    )
    ends = tuple(
        wheel_parts.end_eye(
            shelf,
            f"strand {n} end",
            f"end piece of strand {n}",
            "nothing",
            force,
            c["end_width_mm"],
            c["output_chain"],
            c["link_plate"],
            wheels.end_plates(c),
        )
        for n, force in zip("ab", f.strand, strict=False)
    )
    return brackets + ends


def _chains(
    shelf: Shelf,
    drive: Drive,
    motion: Motion,
    u: Unit,
    f: Forces,
    pulls: Pulls,
) -> tuple[ChainRun, ...]:
    """Chains bend at one joint's angle where they run on, or by the whole turn where that is less."""
    s = shelf.chains

    def run(key: str, part: str, load: Floats, w: Track, turn: Floats) -> ChainRun:
        swing = np.minimum(np.abs(turn), chain.articulation_angle(w.pitch, w.mean))
        return ChainRun(
            key,
            part,
            "nothing",
            load,
            take(s.tensile, w.chain),
            swing,
            w.pitch,
            take(s.inner, w.chain),
        )

    runs = [run("input chain", "input chain", np.abs(pulls.F_in), u.into, motion.theta)]
    for k, (n, w) in enumerate(zip("ab", u.outputs, strict=False)):
        rise = drop(u, drive.columns, k) / np.maximum(line(drive, k, motion.carrier_y[k]), w.pitch)
        load = f.strand[k] * np.sqrt(1.0 + rise * rise)
        runs.append(run(f"strand {n}", f"strand {n}", load, w, motion.carrier_y[k] / w.mean))
    return tuple(runs)


def _shaft(shelf: Shelf, c: Columns, u: Unit, f: Forces) -> tuple[ShaftSection, ...]:
    """Everything turns free on the shaft, which carries no torque but that of its bushes' friction."""
    sy = take(shelf.shafts.yield_, c["shaft"])
    metal = shelf.endurance.shafts + c["shaft"]
    return (
        ShaftSection("shaft", "shaft", "nothing", f.moment, 0.0 * f.moment, u.d_shaft, sy, metal),
    )


def _circle(
    shelf: Shelf,
    c: Columns,
    stem: str,
    part: str,
    torque: Floats,
    t: tuple[Floats, Floats],
    sy: tuple[Floats, Floats],
    metals: tuple[Floats, Floats],
    key: str = "",
) -> PinCircle:
    pin = c[f"{stem}_pin"]
    return PinCircle(
        key or f"{stem} pins",
        part,
        "nothing",
        torque,
        c[f"{stem}_pins"],
        shelf.brief.strength.circle_share + 0.0 * t[0],
        c[f"{stem}_pin_radius_mm"],
        take(shelf.pins.d, pin),
        t[0],
        t[1],
        c[f"{stem}_seat"],
        take(shelf.pins.yield_, pin),
        *sy,
        shelf.endurance.pins + pin,
        *metals,
    )


def _gear_loads(
    shelf: Shelf,
    c: Columns,
    g: Cage,
    u: Unit,
    f: Forces,
    motion: Motion,
) -> Loads:
    """Circles, teeth and planet pins.

    A side of torque T_k is held by n planet pairs: F_t = T_k/(n r_side), which is T/(2 n r_side) of the
    cage's torque T where both sides are equal; the partner's mesh carries the same.
    """
    wheel = WHEEL_YIELD + 0.0 * u.t
    sy_gear = take(shelf.gears.yield_, g.gear)
    sy_plate = take(shelf.plates.yield_, c["plate"])
    bought, metal = shelf.endurance.wheel + 0.0 * u.t, shelf.endurance.gears + g.gear
    circles = [
        _circle(
            shelf,
            c,
            "cage",
            "cage pins",
            f.cage,
            (u.into.face, u.t),
            (wheel, sy_plate),
            (bought, c["plate"]),
        )
    ]
    circles += [
        _circle(
            shelf,
            c,
            "output",
            f"output pins {n}",
            T,
            (g.face, w.face),
            (sy_gear, wheel),
            (metal, bought),
            f"output pins {n}",
        )
        for n, T, w in zip("ab", f.torque, u.outputs, strict=True)
    ]
    F_t = np.maximum(f.torque[0], f.torque[1]) / (g.n * g.r_side)
    least = 12.0  # where the tooth table starts; fewer are refused by the limit on teeth
    teeth = tuple(
        Tooth(
            f"{name} tooth",
            name,
            "nothing",
            F_t,
            g.face,
            g.module,
            np.maximum(z, least),
            sy_gear,
            metal,
        )
        for name, z in (("side gear", g.z_side), ("planet", g.z_planet))
    )
    return Loads(
        pins=(_planet_pin(shelf, c, g, u, F_t, motion),),
        circles=tuple(circles),
        teeth=teeth,
    )


def _planet_pin(
    shelf: Shelf,
    c: Columns,
    g: Cage,
    u: Unit,
    F_t: Floats,
    motion: Motion,
) -> PinJoint:
    """Pin of a planet between the cage plates, the planet beside one of them.

    The planet lies over its side gear and the middle, each mesh presses in the middle of its own face, and
    both forces differ in direction: the nearer plate takes shares of them apart, R in all (the two meshes'
    couple tips the planet on its pin).  Spread evenly along the planet, of which q > 1/2 comes to that plate,
    the largest moment is R (t/2 + gap + q t_mid/2).  As a pin in a fork of the load 2 R that is a gap of
    gap + t_mid (q/2 - 1/4).  Derived, balance of planet and pin; beam with an even load.
    """
    t_mid = 2.0 * g.face + u.gap
    length = g.x_plate_b - g.x_plate_a  # middle of plate to middle of plate
    first = (
        u.t / 2.0 + u.gap + g.face / 2.0
    )  # to the mesh with the side gear; the partner's is a face on
    at_side, at_partner = 1.0 - first / length, 1.0 - (first + g.face + u.gap) / length
    q = (at_side + at_partner) / 2.0
    factor = gears.planet_pin_factor(g.z_side, g.z_planet, at_side=at_side, at_partner=at_partner)
    load = 2.0 * factor * F_t
    pins, i = shelf.pins, c["planet_pin"]
    d = take(pins.d, i)
    split = motion.first
    tilt = np.zeros_like(motion.Y) if split is None else split.tilt
    bare = make.joint_wear(shelf, 0.0 * d, c["plate"])
    wear = np.where(take(pins.hardened, i) > 0.0, shelf.brief.wear.hard_pair, bare)
    return PinJoint(
        "planet pin",
        "planet pins",
        "nothing",
        load,
        tilt * (g.z_side / g.z_planet),
        d,
        u.t,
        u.gap + t_mid * (q / 2.0 - 0.25),
        t_mid,
        take(pins.yield_, i),
        take(shelf.plates.yield_, c["plate"]),
        take(shelf.gears.yield_, g.gear),
        d,
        d,
        wear,
        t_mid,
        shelf.endurance.pins + i,
        ringed=False,
    )
