"""What the bench should read: pulls in the strands and stroke at the wrist, off the hand.

The scorer's own numbers: shares, friction of the ratio part and stroke of one position, at pulls from a
quarter of the brief's peak to the peak with its overload.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from explorer.mechanics.types import Floats
from explorer.scoring.ladder import Rung, hook_ladder, wrist_ladder
from explorer.scoring.score import Detail, score
from explorer.scoring.service import LINKS, YEAR, Service, service

STEPS = ((0.25, "¼"), (0.5, "½"), (0.75, "¾"), (1.0, "1"))
STEP_MM, STEP_DEG = 0.1, 0.5  # what a size is moved by to see what it does


@dataclass(frozen=True)
class Strand:
    """What one finger's drawbar should read, N: expected, and least to most as friction has it."""

    finger: str
    expect: float
    low: float
    high: float


@dataclass(frozen=True)
class Pull:
    """One row of the pull ladder: share of the peak, N at the wrist, strands, stroke mm."""

    words: str
    wrist: float
    strands: tuple[Strand, ...]
    stroke: float


@dataclass(frozen=True)
class Bench:
    """The pull ladder with the position that it is done in: each drawbar's draw, mm; play, mm."""

    position: str
    draws: tuple[float, ...]
    fingers: tuple[str, ...]
    pulls: tuple[Pull, ...]
    play: float
    first: Rung | None
    first_hook: Rung | None


@dataclass(frozen=True)
class Size:
    """A size to hold: its key and words, nominal, unit, and what a small step of it does."""

    key: str
    words: str
    nominal: float
    unit: str
    step: float
    effect: float


@dataclass(frozen=True)
class Care:
    """One wear part: look every `look` weeks, change after `change` or at `limit` more, spares for a year."""

    part: str
    measure: str
    limit: str
    look: int
    change: int
    spares: int


def bench_of(d: Detail) -> Bench:
    """The pull ladder in the weakest powered grip, or in the fist where no grip is powered."""
    demand = d.space.shelf.demand
    p = _position(d)
    overload = d.space.shelf.brief.strength.overload
    steps = [*STEPS, (overload, f"{overload:g}")]
    wrist, hook = wrist_ladder(d), hook_ladder(d)
    return Bench(
        demand.positions[p].name, tuple(float(s) for s in demand.draw[p]), demand.fingers,
        tuple(_pull(d, p, factor, words) for factor, words in steps), float(d.play[0]),
        wrist[0] if wrist else None, hook[0] if hook else None,
    )  # fmt: skip


def _position(d: Detail) -> int:
    demand = d.space.shelf.demand
    if d.delivered.at:
        return int(d.delivered.at[int(d.delivered.ratio[0].argmin())])
    return int([*demand.index("fist"), *demand.index("carry"), 0][0])


def _pull(d: Detail, p: int, factor: float, words: str) -> Pull:
    """At `factor` times the peak; friction as when pulling, the worst tooth under each chain."""
    demand = d.space.shelf.demand
    F_in = factor * demand.pull_peak
    ripple = float(np.broadcast_to(d.drive.ratio.ripple_by, (1, 1))[0, 0])
    F_out = F_in * ripple / float(d.ways.pull[0, p])
    strands = tuple(
        Strand(
            name, F_out * float(d.shares.plain(f)[0, p]), F_out * float(d.shares.low(f)[0, p]),
            F_out * float(d.shares.high(f)[0, p]),
        )
        for f, name in enumerate(demand.fingers)
    )  # fmt: skip
    return Pull(words, F_in, strands, float(d.motion.X[0, p]))


def sizes_to_hold(d: Detail, X: Floats, count: int = 3) -> tuple[Size, ...]:
    """The sizes that matter most: a tenth of a millimetre, half a degree, and what grip and stroke do.

    Scored again, one step of one size each.  Effect: relative change of grip plus that of the stroke.
    """
    space = d.space
    real = [j for j, v in enumerate(space.variables) if v.kind == "real"]
    steps = [STEP_DEG if space.variables[j].degrees else STEP_MM for j in real]
    moved = np.repeat(X[:1], len(real) + 1, axis=0)
    for row, (j, step) in enumerate(zip(real, steps, strict=True), start=1):
        moved[row, j] += step
    aims = score(space, moved).aims
    effect = np.zeros(len(real) + 1)
    for name in ("grip", "stroke"):
        if name in aims and aims[name][0] != 0.0:
            effect = effect + np.abs(aims[name] / aims[name][0] - 1.0)
    found = [
        Size(
            v.key, v.words, float(X[0, j]), "°" if v.degrees else "mm", step, float(effect[row]),
        )
        for row, (j, step, v) in enumerate(
            ((j, s, space.variables[j]) for j, s in zip(real, steps, strict=True)), start=1
        )
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda s: -s.effect)[:count])


def care_of(d: Detail, count: int) -> tuple[Care, ...]:
    """The wear parts that come first, soonest first."""
    return tuple(_care(s) for s in service(d)[:count])


def _care(s: Service) -> Care:
    """Whole weeks on the safe side, a look at least once a year; after ten years parts are only looked at."""
    measure = f"length over {LINKS} links, mm" if s.kind == "chain" else "play, mm"
    look, change = math.floor(min(s.look, YEAR)), math.floor(min(s.change, 10.0 * YEAR))
    return Care(s.part, measure, f"{s.limit:.2f} mm", max(1, look), max(1, change), s.spares)
