"""The joint between forearm and hand: what comes to it, and what each bearing of a stack makes of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from explorer.brief.hand_records import Place, Stack
from explorer.brief.records import Brief
from explorer.brief.stock_records import Bearing, Stock
from explorer.mechanics import bearings as br
from explorer.mechanics.types import Floats
from explorer.scoring.reactions import Reactions
from explorer.scoring.wrench import vector

# As fitted, assumed: a nut or shims set the axial play of thrust bearings; a radial one keeps its
# internal clearance (2-13 um for bores to 10 mm, normal class, from memory) and its fits.
PLAY: Mapping[str, float] = {"thrust": 0.005, "deep groove": 0.02}
AXES = {"x": 0, "y": 1, "z": 2}


@dataclass(frozen=True)
class JointLoad:
    """What comes to the joint if it carried all mounts alone (P,): radial, axial N; tilt, turn N*mm.

    `turn` is about its axis, which is free: the wrist's own muscles hold it.
    """

    centre: Place
    assumed: bool
    radial: Floats
    axial: Floats
    tilt: Floats
    turn: Floats


@dataclass(frozen=True)
class Fitted:
    """One bearing of a stack: its line, place along the axis and clearance, mm."""

    line: Bearing
    at: float
    play: float


@dataclass(frozen=True)
class BearingCheck:
    """One bearing: largest loads N (tilt N*mm), static `equivalent` P0, safety s0, life L10 in grips."""

    fitted: Fitted
    radial: float
    axial: float
    tilt: float
    equivalent: float
    s0: float
    life_grips: float


@dataclass(frozen=True)
class StackCheck:
    """A stack: its bearings, the tilt either way that clearances leave, rad, and least safety and life."""

    name: str
    assumed: bool
    bearings: tuple[BearingCheck, ...]
    tilt_play: float
    s0: float
    life_grips: float


def joint_centre(brief: Brief) -> Place:
    """The joint's middle: the brief's, or the middle of the cavity's wrist end (assumed)."""
    if brief.joint.at is not None:
        return brief.joint.at
    box = brief.cavity.box
    return Place((box.x0 + box.x1) / 2.0, box.y0, (box.z0 + box.z1) / 2.0)


def joint_load(brief: Brief, r: Reactions) -> JointLoad:
    """Force and moment of all mounts at the joint, split by its axis."""
    c, axis = joint_centre(brief), AXES[brief.joint.axis]
    w = r.on_mounts(vector(c.x, c.y, c.z, r.F_in))
    one, other = (i for i in range(3) if i != axis)
    return JointLoad(
        c,
        brief.joint.at is None,
        np.hypot(w.force[:, one], w.force[:, other]),
        np.abs(w.force[:, axis]),
        np.hypot(w.moment[:, one], w.moment[:, other]),
        w.moment[:, axis],
    )


def fitted(stack: Stack, stock: Stock) -> tuple[Fitted, ...]:
    """A stack's bearings with their stock lines; unwritten clearances are assumed by kind."""
    lines = {b.name: b for b in stock.bearings}
    found = [lines[name] for name in stack.bearings]
    plays = stack.play or tuple(PLAY[b.kind] for b in found)
    return tuple(Fitted(b, at, p) for b, at, p in zip(found, stack.at, plays, strict=True))


def usual_stacks(stock: Stock) -> tuple[Stack, ...]:
    """Two thrust + one deep groove, and four radial in the same length; from the stock's own lines.

    Of each kind the largest, of one bore where the stock has such; () where a kind is missing.
    """
    lines = sorted(stock.bearings, key=lambda b: (b.bore, b.outside, b.name))
    thrusts = [b for b in lines if b.kind == "thrust"]
    grooves = [b for b in lines if b.kind == "deep groove"]
    if not thrusts or not grooves:
        return ()
    t = thrusts[-1]
    g = next((b for b in reversed(grooves) if b.bore == t.bore), grooves[-1])
    off = (g.width + t.width) / 2.0
    half = max((2.0 * t.width + g.width - g.width) / 2.0, 1.5 * g.width)
    apart = tuple(half * x for x in (-1.0, -1.0 / 3.0, 1.0 / 3.0, 1.0))
    return (
        Stack("two thrust + one deep groove", (t.name, g.name, t.name), (-off, 0.0, off), None),
        Stack("four radial", (g.name,) * 4, apart, None),
    )


def tilt_play(bearings: tuple[Fitted, ...]) -> float:
    """Tilt either way, rad: what a thrust pair or the radial bearings' spacing allows, the smaller."""
    thrust = [b for b in bearings if b.line.kind == "thrust"]
    radial = [b for b in bearings if b.line.kind != "thrust"]
    by_thrust = br.tilt_play_thrust(
        [b.play for b in thrust], [(b.line.bore + b.line.outside) / 2.0 for b in thrust]
    )
    return min(by_thrust, br.tilt_play_radial([b.at for b in radial], [b.play for b in radial]))


def check(
    stack: Stack, stock: Stock, peak: JointLoad, daily: JointLoad, share: Floats, turns: Floats
) -> StackCheck:
    """One stack: static safety under `peak`, life under `daily`.

    share (P,) of the day's grips and turns (P,) of the joint out and back of each grip; damage of the
    grips adds up (Palmgren-Miner).
    """
    found = fitted(stack, stock)
    thrust = [b.line.kind == "thrust" for b in found]
    at = [b.at for b in found]
    most = br.share(peak.radial, peak.axial, peak.tilt, thrust, at)
    day = br.share(daily.radial, daily.axial, daily.tilt, thrust, at)
    out = []
    for i, b in enumerate(found):
        P0 = _static(b.line, most.radial[i], most.axial[i], most.moment[i])
        P = _dynamic(b.line, day.radial[i], day.axial[i], day.moment[i])
        wear = share / br.cycles(br.life(b.line.dynamic, P), turns)
        total = math.fsum(wear)  # the same in any order of the grips
        out.append(
            BearingCheck(
                b,
                float(most.radial[i].max()),
                float(most.axial[i].max()),
                float(most.moment[i].max()),
                float(P0.max()),
                float(br.static_safety(b.line.static, P0).min()),
                1.0 / total if total > 0.0 else float("inf"),
            )
        )
    return StackCheck(
        stack.name,
        stack.play is None,
        tuple(out),
        tilt_play(found),
        min(b.s0 for b in out),
        min(b.life_grips for b in out),
    )


def _mean_diameter(line: Bearing) -> float:
    return (line.bore + line.outside) / 2.0


def _static(line: Bearing, F_r: Floats, F_a: Floats, M: Floats) -> Floats:
    if line.kind == "thrust":
        return br.static_equivalent_thrust(F_a, M, _mean_diameter(line))
    return br.static_equivalent(F_r, F_a)


def _dynamic(line: Bearing, F_r: Floats, F_a: Floats, M: Floats) -> Floats:
    """A thrust bearing's dynamic load is taken as its static one: X 0, Y 1 and the tilt's worst ball."""
    if line.kind == "thrust":
        return br.static_equivalent_thrust(F_a, M, _mean_diameter(line))
    return br.dynamic_equivalent(F_r, F_a, line.static)
