"""What the stock's metals stand grip after grip: one line for every sheet, rod, gear and bought wheel.

Joint records name the line that their metal is (`metal`), by the places below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from explorer.brief.records import Brief
from explorer.brief.stock_records import Gear, Metal, Pin, Ring, Stock, of_size
from explorer.mechanics import fatigue as fg
from explorer.mechanics.types import Floats

WEEKS_A_YEAR = 365.25 / 7.0
WHEEL_STRENGTH = 500.0  # MPa, tensile; bought chain wheels, taken as low as their yield (assumed)
GROOVE_RADIUS = 0.1  # of the ring's thickness, at the bottom of its groove (DIN 471, from memory)


@dataclass(frozen=True)
class Endurance:
    """Columns (M,) by line: first all sheets, then pins, shafts, gears, and last bought wheels.

    S_ut tensile strength, MPa; S_f reversed stress for the life asked for, bent, k_b = 1, MPa; life the
    exponent of S_e in S_f; bent, pulled: largest stress of a cycle from zero, MPa (rods with their k_b);
    root Neuber's sqrt(a), mm^0.5; groove: equivalent stress at a rod's ring groove per newton on
    its joint, 1/mm2 (0 without a ring).
    """

    pins: float
    shafts: float
    gears: float
    wheel: float
    S_ut: Floats
    S_f: Floats
    life: Floats
    bent: Floats
    pulled: Floats
    root: Floats
    groove: Floats


@dataclass(frozen=True)
class MetalLine:
    """What one line of the columns is worked out from."""

    ultimate: float
    density: float
    limit: float | None  # S_e' where the stock states it
    finish: str
    d: float = 0.0  # of a rod, mm
    ring: Ring | None = None


def metal_lines(brief: Brief, stock: Stock) -> list[MetalLine]:
    """The lines in the order of the columns."""
    f, metals = brief.fatigue, {m.name: m for m in stock.metals}
    sheets = [metals[p.metal] for p in stock.plates]
    return [
        *(_line(m, f.plate_finish) for m in sheets),
        *(
            _line(p, f.pin_finish, p.d, of_size(stock.rings, "shaft", p.d))
            for p in (*stock.pins, *stock.shafts)
        ),
        *(_line(g, f.gear_finish) for g in stock.gears),
        MetalLine(WHEEL_STRENGTH, 7.85e-3, None, f.gear_finish),
    ]


def _line(
    line: Metal | Pin | Gear, finish: str, d: float = 0.0, ring: Ring | None = None
) -> MetalLine:
    """Where no tensile strength is stated the yield strength stands for it, the safe side."""
    ultimate = line.yield_ if line.ultimate is None else max(line.ultimate, line.yield_)
    return MetalLine(ultimate, line.density, line.endurance, finish, d, ring)


def cycles(brief: Brief) -> float:
    """Grips in the years asked for; each is one cycle from zero."""
    use = brief.use
    return use.grips_per_day * use.days_per_week * WEEKS_A_YEAR * use.years


def endurance(brief: Brief, stock: Stock) -> Endurance:
    """The columns for this brief and stock."""
    lines = metal_lines(brief, stock)
    S = _col([x.ultimate for x in lines])
    kinds = [fg.alloy_of(x.density) for x in lines]
    S_e = _limits(brief, lines, kinds)
    N = cycles(brief)
    life = _col([float(fg.life_exponent(N, fg.ALLOYS[k].knee)) for k in kinds])
    S_f = fg.strength_at_life(S, S_e, life)
    # a rod does not turn under its load; of a sheet d is 0 and k_b is the section's affair
    rods = fg.size_factor(fg.equivalent_round(_col([x.d for x in lines])))
    pulled = fg.strength_at_life(S, S_e * fg.AXIAL, life)
    pins = float(len(stock.plates))
    shafts = pins + len(stock.pins)
    return Endurance(
        pins,
        shafts,
        shafts + len(stock.shafts),
        float(len(lines) - 1),
        S,
        S_f,
        life,
        fg.pulsating_strength(fg.strength_at_life(S, S_e * rods, life), S),
        fg.pulsating_strength(pulled, S),
        _col([neuber(k, x.ultimate) for k, x in zip(kinds, lines, strict=True)]),
        _col([_groove(x) for x in lines]),
    )


def _limits(brief: Brief, lines: Sequence[MetalLine], kinds: Sequence[str]) -> Floats:
    """S_e with finish and reliability, MPa (M,)."""
    sure = float(fg.reliability_factor(np.array(brief.fatigue.reliability)))
    out = []
    for x, kind in zip(lines, kinds, strict=True):
        S = np.array(x.ultimate)
        polished = fg.specimen_limit(S, kind) if x.limit is None else np.array(x.limit)
        out.append(float(polished * fg.surface_factor(S, x.finish)) * sure)
    return _col(out)


def neuber(kind: str, ultimate: float) -> float:
    """Neuber's sqrt(a), mm^0.5; metals without a published one are taken as fully sensitive."""
    S = np.array(ultimate)
    if kind == "steel":
        return float(fg.neuber_root(S))
    return float(fg.neuber_root_aluminium(S)) if kind == "aluminium" else 0.0


def _groove(x: MetalLine) -> float:
    """Equivalent stress at a ring's groove for 1 N on the joint, 1/mm2.

    The groove lies outside the plates, where a fork's uniform pressure leaves no load.  As a bound the
    plate bears on the groove's rim: half the joint's force is sheared there, without an arm.
    K_t in torsion stands for that in shear (assumed); von Mises.
    """
    if x.ring is None or not 0.0 < x.ring.groove < x.d:
        return 0.0
    g, r = np.array(x.ring.groove), np.array(GROOVE_RADIUS * x.ring.thickness)
    kt = fg.groove_kt(np.array(x.d), (x.d - g) / 2.0, r)
    root = fg.neuber_root_torsion(np.array(x.ultimate))
    kf = fg.notch_factor(kt, fg.notch_sensitivity(root, r))
    return float(np.sqrt(3.0) * kf * 0.5 / (np.pi / 4.0 * g * g))


def _col(values: Sequence[float]) -> Floats:
    return np.array(list(values), dtype=np.float64)
