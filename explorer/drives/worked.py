"""The checks of one drive with the smallest margins, worked out by the entries of `workings`."""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from explorer.drives.checks import Checks
from explorer.drives.endurance import MetalLine
from explorer.drives.joints import Joint, Loads
from explorer.drives.workings import WORKINGS, Step, Working
from explorer.drives.workings_fatigue import FATIGUE
from explorer.drives.workings_life import Use
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
    return tuple(
        _worked(loads, checks, margins, factors, c) for c in _smallest(checks, margins, WORKINGS)
    )


def _smallest(checks: Checks, margins: Floats, known: Container[str]) -> list[int]:
    """Columns of the smallest margin of each way, in the order of the checks."""
    best: dict[str, int] = {}
    for c, name in enumerate(checks.names):
        if name.way not in known or not np.isfinite(margins[0, c]):
            continue
        least = best.setdefault(name.way, c)
        if margins[0, c] < margins[0, least]:
            best[name.way] = c
    return list(best.values())


def _worked(loads: Loads, checks: Checks, margins: Floats, f: Factors, c: int) -> Worked:
    name = checks.names[c]
    w = WORKINGS[name.way]
    _, entered, lines = _entered(w, loads, checks, c)
    _factor(name.group, f, entered, lines)
    margin = f"{w.allowable[0]}/(factor*{w.stress[0]}) - 1"
    lines.append(Line("MS", margin, float(margins[0, c]), "-"))
    return Worked(c, tuple(entered), tuple(lines), w.source)


def in_position(loads: Loads, p: int) -> Loads:
    """The same joints with the loads of one position: (N,P) becomes (N,1)."""
    there: dict[str, Any] = {
        f.name: tuple(_at(r, p) for r in getattr(loads, f.name)) for f in fields(loads)
    }
    return Loads(**there)


def _at(record: Joint, p: int) -> Joint:
    found = {f.name: getattr(record, f.name) for f in fields(record)}
    there: dict[str, Any] = {
        n: np.ascontiguousarray(v[:, p : p + 1])
        for n, v in found.items()
        if isinstance(v, np.ndarray) and v.shape[1] > 1
    }
    return replace(record, **there)


def rung(loads: Loads, checks: Checks, factors: Factors, pull: float, c: int) -> Worked:
    """At which pull the check `c` gives: `loads` and `checks` of one position, `pull` N there."""
    name = checks.names[c]
    w = WORKINGS[name.way]
    values, entered, lines = _entered(w, loads, checks, c)
    stress, able = (values[s] for s in (w.stress[0], w.allowable[0]))
    entered.append(Entered("F_w", "pull at the wrist in that position", pull, "N"))
    gives = pull * float(able[0, 0] / stress[0, 0])
    lines.append(Line("gives", f"F_w*{w.allowable[0]}/{w.stress[0]}", gives, "N"))
    factor = _factor(name.group, factors, entered, lines)
    lines.append(Line("allowed", "gives/factor", gives / factor, "N"))
    return Worked(c, tuple(entered), tuple(lines), w.source)


def _factor(group: str, f: Factors, entered: list[Entered], lines: list[Line]) -> float:
    """What strength is divided by, and where that comes from."""
    if group == "chain":
        entered.append(Entered("factor", "chain factor of the brief", f.chain, "-"))
        return f.chain
    entered.append(Entered("overload", "shock over the static load", f.overload, "-"))
    entered.append(Entered("design", "design factor on yield", f.design, "-"))
    lines.append(Line("factor", "overload*design", f.overload * f.design, "-"))
    return f.overload * f.design


def tired(
    loads: Loads, checks: Checks, margins: Floats, metals: Sequence[MetalLine], use: Use
) -> tuple[Worked, ...]:
    """The same of the fatigue checks; `loads` those of the everyday pulls, `metals` the stock's lines."""
    return tuple(
        _tired(loads, checks, margins, metals, use, c) for c in _smallest(checks, margins, FATIGUE)
    )


def _tired(
    loads: Loads, checks: Checks, margins: Floats, metals: Sequence[MetalLine], use: Use, c: int
) -> Worked:
    name = checks.names[c]
    make, kind, fields = FATIGUE[name.way]
    record = _record(loads, kind, name.key)
    found = make(tuple(metals[int(getattr(record, f).flat[0])] for f in fields), use)
    w = found.working
    values, entered, lines = _entered(w, loads, checks, c)
    for step in found.after:
        _step(step, values, lines)
    entered.append(Entered("factor", "design factor on fatigue", use.factor, "-"))
    lines.append(Line("MS", "n_f/factor - 1", float(margins[0, c]), "-"))
    return Worked(c, tuple(entered), tuple(lines), w.source)


def _record(loads: Loads, kind: str, key: str) -> Joint:
    found: Sequence[Joint] = getattr(loads, kind)
    return next(r for r in found if r.key == key)


def _entered(
    w: Working, loads: Loads, checks: Checks, c: int
) -> tuple[dict[str, Floats], list[Entered], list[Line]]:
    """What every working starts with: numbers, steps, then the scorer's own stress and allowable."""
    record = _record(loads, w.kind, checks.names[c].key)
    values = {n.symbol: n.value(record) for n in w.numbers}
    entered = [Entered(n.symbol, n.words, float(values[n.symbol][0, 0]), n.unit) for n in w.numbers]
    lines: list[Line] = []
    for step in w.steps:
        _step(step, values, lines)
    for (symbol, formula), own in ((w.stress, checks.stress), (w.allowable, checks.allowable)):
        if formula is not None:
            text = formula if isinstance(formula, str) else formula(values)
            values[symbol] = own[:1, c : c + 1]
            lines.append(Line(symbol, text, float(own[0, c]), w.unit))
    return values, entered, lines


def _step(step: Step, values: dict[str, Floats], lines: list[Line]) -> None:
    """One step more: its value joins `values`, its line `lines`."""
    text = step.formula if isinstance(step.formula, str) else step.formula(values)
    values[step.symbol] = step.value(values)
    lines.append(Line(step.symbol, text, float(values[step.symbol][0, 0]), step.unit))
