"""The checks of one drive with the smallest margins, worked out by the entries of `explorer.drives.workings`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.checks import Checks
from explorer.drives.joints import Loads
from explorer.drives.workings import WORKINGS
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Line:
    """One line of a working: symbol = formula = value unit."""

    symbol: str
    formula: str
    value: float
    unit: str


@dataclass(frozen=True)
class Entered:
    """One number that went in."""

    symbol: str
    words: str
    value: float
    unit: str


@dataclass(frozen=True)
class Worked:
    """One check of one drive, worked out; `column` of its `Checks`."""

    column: int
    entered: tuple[Entered, ...]
    lines: tuple[Line, ...]
    source: str


@dataclass(frozen=True)
class Factors:
    """Factors on strength, pure numbers."""

    overload: float
    design: float
    chain: float


def worked(loads: Loads, checks: Checks, margins: Floats, factors: Factors) -> tuple[Worked, ...]:
    """The smallest margin of each way of failing of one drive (batch of one), in the order of the checks.

    Ways that carry nothing, or that have no entry in `WORKINGS`, are left out.
    """
    best: dict[str, int] = {}
    for c, name in enumerate(checks.names):
        if name.way not in WORKINGS or not np.isfinite(margins[0, c]):
            continue
        least = best.setdefault(name.way, c)
        if margins[0, c] < margins[0, least]:
            best[name.way] = c
    return tuple(_worked(loads, checks, margins, factors, c) for c in best.values())


def _worked(loads: Loads, checks: Checks, margins: Floats, f: Factors, c: int) -> Worked:
    name = checks.names[c]
    w = WORKINGS[name.way]
    record = next(r for r in getattr(loads, w.kind) if r.key == name.key)
    values = {n.symbol: n.value(record) for n in w.numbers}
    entered = [Entered(n.symbol, n.words, float(values[n.symbol][0, 0]), n.unit) for n in w.numbers]
    lines: list[Line] = []
    for step in w.steps:
        values[step.symbol] = step.value(values)
        lines.append(Line(step.symbol, step.formula, float(values[step.symbol][0, 0]), step.unit))
    for (symbol, formula), own in ((w.stress, checks.stress), (w.allowable, checks.allowable)):
        if formula is not None:
            text = formula if isinstance(formula, str) else formula(values)
            lines.append(Line(symbol, text, float(own[0, c]), w.unit))
    if name.group == "chain":
        entered.append(Entered("factor", "chain factor of the brief", f.chain, "-"))
    else:
        entered.append(Entered("overload", "shock over the static load", f.overload, "-"))
        entered.append(Entered("design", "design factor on yield", f.design, "-"))
        lines.append(Line("factor", "overload*design", f.overload * f.design, "-"))
    margin = f"{w.allowable[0]}/(factor*{w.stress[0]}) - 1"
    lines.append(Line("MS", margin, float(margins[0, c]), "-"))
    return Worked(c, tuple(entered), tuple(lines), w.source)
