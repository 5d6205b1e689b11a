"""Fatigue of every joint and part: the same stresses as the strength checks, grip after grip.

Each grip takes the stress from zero to its largest value and back (R = 0).  That value times the
notch's K_f is set against what the metal stands for the asked number of grips; margins are
MS = stands/(factor x K_f stress) - 1.  Chains and pushed rods are not here: a chain's fatigue is its
maker's affair, and a rod that is only pushed does not crack.  Nor are the ends of eyes and the
bearing of pins in holes: the hole's K_t stands for both.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives import checks as chk
from explorer.drives.checks import Block, Checks, Reduce, Stack, block
from explorer.drives.endurance import Endurance
from explorer.drives.joints import Loads
from explorer.mechanics import eyes, gears, margins, sections
from explorer.mechanics import fatigue as fg
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class _Of:
    """Lines of the metals of a stack (N,K)."""

    table: Endurance
    at: np.ndarray

    def __getattr__(self, name: str) -> Floats:
        column: Floats = getattr(self.table, name)
        return np.take(column, self.at)


def _of(table: Endurance, line: Floats) -> _Of:
    return _Of(table, line.astype(np.intp))


def _pins(s: Stack, table: Endurance, reduce: Reduce) -> list[Block]:
    F, of = s.load("load", reduce), _of(table, s["metal"])
    out = [
        block(
            s.records,
            "pin cracks",
            "pin",
            "hypot(32 M/(pi d^3), sqrt(3) F/(2 A)), M = F/2 (t_fork/2 + gap + t_mid/4)",
            (chk.pin_stress(s, F), of.bent, F),
        )
    ]
    held = [k for k, j in enumerate(s.records) if j.ringed]
    if held:
        out.append(
            block(
                [s.records[k] for k in held],
                "pin cracks at its ring's groove",
                "pin",
                "K_f sqrt(3) (F/2)/(pi d_groove^2/4): the plate on the groove's rim, a bound",
                ((of.groove * F)[:, held], of.bent[:, held], F[:, held]),
            )
        )
    return out


def _eyes(s: Stack, table: Endurance, reduce: Reduce) -> list[Block]:
    F, d, of = s.load("load", reduce), s["d"], _of(table, s["metal"])
    w = chk.eye_width(s["w"], s["d"])
    q = fg.notch_sensitivity(of.root, d / 2.0)
    K_f = fg.notch_factor(fg.loaded_hole_kt(d / w), q)
    stress = K_f * eyes.net_section_stress(F, w, d, s["t"])
    return [
        block(
            s.records,
            "cracks at the hole",
            "eye",
            "K_f F/((w - d) t), K_t of a pinned eye",
            (stress, of.pulled, F),
        )
    ]


def _flexures(s: Stack, table: Endurance, reduce: Reduce) -> list[Block]:
    """The edge of the hole with its K_f, and the plate's edge without one."""
    M, d, t, of = s.load("moment", reduce), s["d"], s["t"], _of(table, s["metal"])
    w = chk.lever_width(s["w"], s["d"])
    q = fg.notch_sensitivity(of.root, d / 2.0)
    K_f = fg.notch_factor(sections.HOLE_EDGE_KT, q)
    at_hole = K_f / sections.HOLE_EDGE_KT * sections.hole_edge_stress(M, w, d, t)
    stress = np.maximum(at_hole, sections.outer_edge_stress(M, w, d, t))
    k_b = fg.size_factor(fg.equivalent_rectangle(w, t))
    stands = fg.pulsating_strength(of.S_f * np.power(k_b, of.life), of.S_ut)
    return [
        block(
            s.records,
            "cracks at the hole or the edge",
            "bending",
            "the larger of K_f 6 M d/(t (w^3 - d^3)) and 6 M w/(t (w^3 - d^3))",
            (stress, stands, M),
        )
    ]


def _circles(s: Stack, table: Endurance, reduce: Reduce) -> list[Block]:
    F = chk.circle_force(s, reduce)
    d, pin = s["d"], _of(table, s["metal"])
    plates = [(_of(table, s[f"metal_{n}"]), s[f"t{n}"]) for n in (1, 2)]
    peak = fg.loaded_hole_bearing_kt(np.array(fg.WIDE_PLATE))
    use = [
        fg.notch_factor(peak, fg.notch_sensitivity(of.root, d / 2.0)) * F / (d * t) / of.pulled
        for of, t in plates
    ]
    stands = np.minimum(plates[0][0].pulled, plates[1][0].pulled)
    return [
        block(
            s.records,
            "drive pins crack",
            "drive pins",
            "von Mises of 32 M/(pi d^3) and shear; M = F (t1 + t2)/2 loose, half clamped",
            (chk.circle_stress(s, F), pin.bent, F),
        ),
        block(
            s.records,
            "cracks at the drive pins' holes",
            "drive pins",
            "K_f F/(d t), K_t of a pin hole in a wide plate",
            (np.maximum(*use) * stands, stands, F),
        ),
    ]


def _shafts(s: Stack, table: Endurance, reduce: Reduce) -> list[Block]:
    stress, M = chk.shaft_stress(s, reduce), s.load("moment", reduce)
    formula = "von Mises of 32 M/(pi d^3) and 16 T/(pi d^3)"
    of = _of(table, s["metal"])
    return [block(s.records, "shaft cracks", "shaft", formula, (stress, of.bent, M))]


def _teeth(s: Stack, table: Endurance, reduce: Reduce) -> list[Block]:
    F, z = s.load("force", reduce), s["teeth"]
    of = _of(table, s["metal"])
    stress = fg.tooth_factor(z, gears.lewis_factor(z)) * chk.tooth_stress(s, F)
    return [
        block(
            s.records,
            "tooth cracks at its foot",
            "tooth",
            "K_f F/(face m Y), Lewis; K_f of Dolan and Broghamer",
            (stress, of.bent, F),
        )
    ]


def _bores(s: Stack, table: Endurance, reduce: Reduce) -> list[Block]:
    tau, T = chk.bore_stress(s, reduce)
    of = _of(table, s["metal"])
    return [
        block(
            s.records,
            "body cracks round the bore",
            "shaft",
            "sqrt(3) 16 T D/(pi (D^4 - d^4))",
            (np.sqrt(3.0) * tau, of.bent, T),
        )
    ]


def evaluate(loads: Loads, n: int, table: Endurance, reduce: Reduce = chk.largest) -> Checks:
    """K_f x largest stress, and what is stood from zero, of every fatigue check (N,C).

    `loads` are those of the everyday pulls: comfortable torque in grips, the load in carries.
    """
    blocks: list[Block] = []
    for records, make in (
        (loads.pins, _pins),
        (loads.eyes, _eyes),
        (loads.flexures, _flexures),
        (loads.circles, _circles),
        (loads.shafts, _shafts),
        (loads.teeth, _teeth),
        (loads.bores, _bores),
    ):
        if records:
            blocks.extend(make(Stack(records, n), table, reduce))
    return chk.joined(blocks)


def margin(found: Checks, factor: float) -> Floats:
    """MS (N,C) at the design factor on fatigue."""
    return margins.margin_of_safety(found.allowable, factor, found.stress)
