"""Strength of every joint and part: stress against what its metal allows, for a whole batch.

Stresses are proportional to the loads, so the worst position is the one with the largest load; margins
are MS = allowable/(factor x stress) - 1.  Checks of one kind are stacked and done at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from explorer.drives.joints import Leaves, Loads
from explorer.mechanics import eyes, gears, margins, pins, sections, shaft
from explorer.mechanics.types import Floats

Group = Literal[
    "pin", "bearing", "eye", "bending", "drive pins", "chain", "shaft", "tooth", "strut"
]
PIN_GROUPS: tuple[Group, ...] = (
    "pin",
    "bearing",
    "drive pins",
)  # what the pin-stress margin is about


@dataclass(frozen=True)
class CheckName:
    """What one column of `Checks` is: the part, the joint, the way of failing."""

    key: str
    part: str
    way: str
    group: Group
    leaves: Leaves
    formula: str
    unit: str = "MPa"


@dataclass(frozen=True)
class Checks:
    """stress and allowable (N,C) under the given loads; for chains both are N, allowable the tensile."""

    names: tuple[CheckName, ...]
    stress: Floats
    allowable: Floats
    load: Floats  # N or N*mm behind the stress

    def margin(self, overload: float, factor: float, chain_factor: float) -> Floats:
        """MS (N,C) at overload and factor; chains at their own factor without the overload."""
        is_chain = np.array([n.group == "chain" for n in self.names])
        f = np.where(is_chain, chain_factor, factor * overload)
        return margins.margin_of_safety(self.allowable, f, self.stress)

    def utilisation(self) -> Floats:
        """stress/allowable (N,C), overload 1 and factor 1: its inverse times the load is what gives."""
        return self.stress / self.allowable


Reduce = Callable[[Floats], Floats]


def largest(load: Floats) -> Floats:
    """Largest over positions: (N,P) -> (N,1)."""
    return np.asarray(np.abs(load).max(axis=1, keepdims=True))


def each_position(load: Floats) -> Floats:
    """Loads of one drive in every position, a row each, as if of so many drives: (1,P) -> (P,1)."""
    return np.ascontiguousarray(np.abs(load).T)


class Stack:
    """Fields of equal records side by side: (N,K)."""

    def __init__(self, records: Sequence[Any], n: int) -> None:
        self.records = records
        self.n = n

    def __getitem__(self, name: str) -> Floats:
        """A size (N,K)."""
        out = np.empty((self.n, len(self.records)))
        for k, r in enumerate(self.records):
            out[:, k : k + 1] = getattr(r, name)
        return out

    def load(self, name: str, reduce: Reduce) -> Floats:
        """A load (N,K), its positions reduced to one."""
        out = np.empty((self.n, len(self.records)))
        for k, r in enumerate(self.records):
            out[:, k : k + 1] = reduce(getattr(r, name))
        return out


@dataclass(frozen=True)
class Block:
    """One check of every record of a stack: names, and stress, allowable and load (N,K)."""

    names: tuple[CheckName, ...]
    stress: Floats
    allowable: Floats
    load: Floats


def block(
    records: Sequence[Any],
    way: str,
    group: Group,
    formula: str,
    parts: tuple[Floats, Floats, Floats],
    unit: str = "MPa",
) -> Block:
    """The same check of all records; `parts` stress, allowable, load."""
    names = tuple(CheckName(r.key, r.part, way, group, r.leaves, formula, unit) for r in records)
    return Block(names, *parts)


def pin_stress(s: Stack, F: Floats) -> Floats:
    """Bending with shear of pins in their forks."""
    return pins.pin_combined(F, s["d"], 2.0, s["t_fork"], s["gap"], s["t_mid"])


def _pins(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    F, d = s.load("load", reduce), s["d"]
    t_fork, t_mid = s["t_fork"], s["t_mid"]
    sy = s["sy_pin"]
    tau = pins.shear_stress(F, d, 2.0)
    both = pin_stress(s, F)
    mid = pins.bearing_stress(F, s["d_mid"], t_mid)
    fork = pins.bearing_stress(F, s["d_fork"], 2.0 * t_fork)
    on_pin = np.maximum(pins.bearing_stress(F, d, t_mid), pins.bearing_stress(F, d, 2.0 * t_fork))
    return [
        block(
            records, "pin shears", "pin", "F/(2 pi d^2/4)", (tau, margins.shear_allowable(sy), F)
        ),
        block(
            records,
            "pin bends",
            "pin",
            "hypot(32 M/(pi d^3), sqrt(3) F/(2 A)), M = F/2 (t_fork/2 + gap + t_mid/4)",
            (both, sy, F),
        ),
        block(records, "middle plate's hole", "bearing", "F/(d t_mid)", (mid, s["sy_mid"], F)),
        block(records, "fork's hole", "bearing", "F/(d 2 t_fork)", (fork, s["sy_fork"], F)),
        block(records, "pin's own surface", "bearing", "F/(d t)", (on_pin, sy, F)),
    ]


def eye_width(w: Floats, d: Floats) -> Floats:
    """Width that counts, mm: a hole wider than its plate is refused by the web limit, not here."""
    return d + np.maximum(w - d, 1e-3)


def eye_edge(edge: Floats, d: Floats) -> Floats:
    """Edge distance that counts, mm; beyond the hole's rim, as in `eye_width`."""
    return np.maximum(edge - d / 2.0, 1e-3) + d / 2.0


def lever_width(w: Floats, d: Floats) -> Floats:
    """Width of a lever that counts, mm; as in `eye_width`."""
    return np.maximum(w, d * 1.001 + 1e-3)


def _eyes(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    F, w, d, t, sy = s.load("load", reduce), s["w"], s["d"], s["t"], s["sy"]
    net = eyes.net_section_stress(F, eye_width(w, d), d, t)
    tear = eyes.tear_out_stress(F, eye_edge(s["edge"], d), d, t)
    return [
        block(records, "pulls apart at the hole", "eye", "F/((w - d) t)", (net, sy, F)),
        block(
            records,
            "tears out at the end",
            "eye",
            "F/(2 t (e - d/2))",
            (tear, margins.shear_allowable(sy), F),
        ),
    ]


def _flexures(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    M, w, d, t = s.load("moment", reduce), s["w"], s["d"], s["t"]
    stress = sections.lever_bending_stress(M, lever_width(w, d), d, t)
    return [
        block(
            records,
            "bends at the hole",
            "bending",
            "6 M w/(t (w^3 - d^3)), hole edge Kt 2 above d/w 0.5",
            (stress, s["sy"], M),
        )
    ]


def _chains(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    F = s.load("load", reduce)
    return [
        block(
            records,
            "chain parts",
            "chain",
            "F against minimum tensile strength",
            (F, s["tensile"], F),
            "N",
        )
    ]


def circle_force(s: Stack, reduce: Reduce) -> Floats:
    """Force on each carrying pin of drive-pin circles."""
    return pins.circle_pin_force(
        s.load("torque", reduce), pins.carrying_pins(s["n"], s["share"]), s["r"]
    )


def circle_stress(s: Stack, F: Floats) -> Floats:
    """Bending with shear of drive pins."""
    M = pins.single_shear_moment(F, s["t1"], s["t2"], s["clamped"] > 0.0)
    return pins.von_mises(pins.bending_stress(M, s["d"]), pins.shear_stress(F, s["d"], 1.0))


def _circles(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    F, d, t1, t2 = circle_force(s, reduce), s["d"], s["t1"], s["t2"]
    tau, both = pins.shear_stress(F, d, 1.0), circle_stress(s, F)
    sy = s["sy_pin"]
    worst = np.maximum(
        pins.bearing_stress(F, d, t1) / s["sy_1"], pins.bearing_stress(F, d, t2) / s["sy_2"]
    )
    weak = np.minimum(s["sy_1"], s["sy_2"])
    return [
        block(
            records,
            "drive pins shear",
            "drive pins",
            "F/(pi d^2/4)",
            (tau, margins.shear_allowable(sy), F),
        ),
        block(
            records,
            "drive pins bend",
            "drive pins",
            "von Mises of 32 M/(pi d^3) and shear; M = F (t1 + t2)/2 loose, half clamped",
            (both, sy, F),
        ),
        block(records, "drive pins' holes", "drive pins", "F/(d t)", (worst * weak, weak, F)),
    ]


def shaft_stress(s: Stack, reduce: Reduce) -> Floats:
    """Bending with torsion (N,K) of one position each: their largest may belong to two."""
    return np.concatenate(
        [reduce(shaft.shaft_stress(r.moment, r.torque, r.d)) for r in s.records], axis=1
    )


def _shafts(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    return [
        block(
            records,
            "shaft bends",
            "shaft",
            "von Mises of 32 M/(pi d^3) and 16 T/(pi d^3)",
            (shaft_stress(s, reduce), s["sy"], s.load("moment", reduce)),
        )
    ]


def tooth_stress(s: Stack, F: Floats) -> Floats:
    """Lewis bending at the foot of teeth."""
    return gears.tooth_stress(F, s["face"], s["module"], s["teeth"])


def _teeth(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    F = s.load("force", reduce)
    stress = tooth_stress(s, F)
    return [block(records, "tooth breaks", "tooth", "F/(face m Y), Lewis", (stress, s["sy"], F))]


def bore_stress(s: Stack, reduce: Reduce) -> tuple[Floats, Floats]:
    """Shear of turned bodies round their bores, and the torque behind it."""
    T, D, d = s.load("torque", reduce), s["outside"], s["bore"]
    ring = np.maximum(D * D * D * D - d * d * d * d, 1e-6)
    return 16.0 * T * D / (np.pi * ring), T


def _bores(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    tau, T = bore_stress(s, reduce)
    return [
        block(
            records,
            "body shears round the bore",
            "shaft",
            "16 T D/(pi (D^4 - d^4))",
            (tau, margins.shear_allowable(s["sy"]), T),
        )
    ]


def _struts(records: Sequence[Any], n: int, reduce: Reduce) -> list[Block]:
    s = Stack(records, n)
    F, d = s.load("load", reduce), s["d"]
    area = np.pi / 4.0 * d * d
    second = np.pi / 64.0 * d * d * d * d
    able = sections.strut_load(s["sy"], area, s["modulus"], second, s["length"])
    return [
        block(records, "strut buckles", "strut", "Euler, or Johnson where short", (F, able, F), "N")
    ]


def evaluate(loads: Loads, n: int, reduce: Reduce = largest) -> Checks:
    """Stress and allowable of every check of every joint, the worst position (or one position)."""
    blocks: list[Block] = []
    for records, make in (
        (loads.pins, _pins),
        (loads.eyes, _eyes),
        (loads.flexures, _flexures),
        (loads.chains, _chains),
        (loads.circles, _circles),
        (loads.shafts, _shafts),
        (loads.teeth, _teeth),
        (loads.bores, _bores),
        (loads.struts, _struts),
    ):
        if records:
            blocks.extend(make(records, n, reduce))
    return joined(blocks)


def joined(blocks: Sequence[Block]) -> Checks:
    """All blocks as one table."""
    return Checks(
        tuple(name for b in blocks for name in b.names),
        np.concatenate([b.stress for b in blocks], axis=1),
        np.concatenate([b.allowable for b in blocks], axis=1),
        np.concatenate([b.load for b in blocks], axis=1),
    )
