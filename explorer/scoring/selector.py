"""The selector: an ordered list of grips, the steps between any two of them, and what each detent holds.

It knows the brief alone: no drive, no force.  Common practice, no source: one detent a grip; a knob
that cycles leads from the last detent on to the first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from explorer.brief.hand_records import Selector
from explorer.brief.records import Brief, FingerDoes


@dataclass(frozen=True)
class Detent:
    """One detent: its grip and what the selector makes each finger do, in the fingers' order."""

    number: int  # from 1
    grip: str
    does: tuple[FingerDoes, ...]


@dataclass(frozen=True)
class Jump:
    """From one grip to another: steps of the knob."""

    start: str
    end: str
    steps: int


@dataclass(frozen=True)
class Dial:
    """The whole selector; `left_out` are grips that are on but have no detent."""

    detents: tuple[Detent, ...]
    cycles: bool
    left_out: tuple[str, ...]


def grips_of(brief: Brief) -> tuple[str, ...]:
    """Grips in the selector's order: as the brief lists them, or in their own order where it does not."""
    return brief.selector.order or tuple(g.name for g in brief.grips if g.on)


def dial(brief: Brief) -> Dial:
    """The selector of a brief."""
    by_name = {g.name: g for g in brief.grips}
    order = grips_of(brief)
    detents = tuple(Detent(i, n, by_name[n].does) for i, n in enumerate(order, start=1))
    left_out = tuple(g.name for g in brief.grips if g.on and g.name not in order)
    return Dial(detents, brief.selector.cycles, left_out)


def steps(count: int, i: int, j: int, *, cycles: bool) -> int:
    """Steps from detent i to detent j of `count`: |i - j|, or the other way round where that is shorter."""
    apart = abs(i - j)
    return min(apart, count - apart) if cycles else apart


def jumps(d: Dial) -> tuple[Jump, ...]:
    """Every pair of detents once, in order."""
    n = len(d.detents)
    return tuple(
        Jump(d.detents[i].grip, d.detents[j].grip, steps(n, i, j, cycles=d.cycles))
        for i in range(n)
        for j in range(i + 1, n)
    )


def worst_jump(d: Dial) -> Jump | None:
    """The pair furthest apart, the first of equals; None with a single detent."""
    found = jumps(d)
    return max(found, key=lambda x: x.steps) if found else None


def _with(brief: Brief, order: tuple[str, ...]) -> Brief:
    return replace(brief, selector=Selector(order, brief.selector.cycles))


def added(brief: Brief, grip: str, at: int) -> Brief:
    """The brief with a detent for `grip` at place `at` (from 0); raises ValueError for one it cannot have."""
    order = grips_of(brief)
    if grip in order or all(grip != g.name or not g.on for g in brief.grips):
        raise ValueError(f"{grip}: is on the selector already, or is no grip that is on")
    return _with(brief, (*order[:at], grip, *order[at:]))


def removed(brief: Brief, grip: str) -> Brief:
    """The brief without the detent of `grip`; raises ValueError if there is none, or it is the last."""
    order = grips_of(brief)
    if grip not in order or len(order) == 1:
        raise ValueError(f"{grip}: is not on the selector, or is its only grip")
    return _with(brief, tuple(n for n in order if n != grip))


def moved(brief: Brief, grip: str, to: int) -> Brief:
    """The brief with the detent of `grip` at place `to` (from 0)."""
    rest = removed(brief, grip)
    return added(rest, grip, to)
