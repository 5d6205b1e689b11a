"""Doubt: one drive under many draws of what is uncertain, by the one scorer.

Every spread of the brief multiplies its number by a factor that is log-normal: median 1, coefficient of
variation as the spread says, never negative.  All draws are one batch: the drive's vector is repeated,
and each uncertain number is a column with a value of its own for each row.  Pin fits stretch the lost
motion, which is proportional to clearance; pads that slip are found from the angle of each press.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from explorer.brief.records import Spread
from explorer.drives import checks as chk
from explorer.drives.assemble import Space
from explorer.drives.shelf import Shelf
from explorer.mechanics.types import Bools, Floats
from explorer.scoring.score import Detail, detail

HANDS = 400
SEED = 20
TAIL = 0.05  # the grip that 95 of 100 hands reach
SURE = 2.0  # standard errors that a stated sampling error holds, about 95 of 100


@dataclass(frozen=True)
class Estimate:
    """A number from a sample and its sampling error, +- `SURE` standard errors."""

    value: float
    error: float


@dataclass(frozen=True)
class Influence:
    """Share of the variance that each input explains (K,), and how much all together."""

    share: tuple[float, ...]
    explained: float


@dataclass(frozen=True)
class Hands:
    """What n draws of one drive come to.

    ratio (n,) weakest grip over its need; force (n,G) N of each grip; margin (n,) of the pins on yield at
    peak load with shock; weakest, the pin nearest to yield; travel (n,) mm of input left; slips (n,G).
    """

    grips: tuple[str, ...]
    ratio: Floats
    force: Floats
    margin: Floats
    weakest: tuple[chk.CheckName, ...]
    travel: Floats
    slips: Bools


@dataclass(frozen=True)
class Doubt:
    """One drive's doubt; influences in the order of `spreads`, `force` and `slips` in that of `grips`."""

    n: int
    seed: int
    spreads: tuple[Spread, ...]
    grips: tuple[str, ...]
    ratio: Estimate  # `TAIL` quantile of the weakest grip over its need
    force: tuple[Estimate, ...]  # `TAIL` quantile of each grip, N
    slips: tuple[Estimate, ...]  # chance that an object slips out
    yields: Estimate  # chance that a pin or its hole yields
    pin: chk.CheckName
    short: Estimate  # chance that travel runs out
    on_ratio: Influence
    on_margin: Influence


def factors(spreads: Sequence[Spread], n: int, seed: int) -> dict[str, Floats]:
    """Factors (n,1) by key path; each input has a stream of its own, whatever the others are.

    Log-normal of median 1: sigma^2 = ln(1 + relative^2) gives that coefficient of variation (textbook).
    """
    out = {}
    for s in spreads:
        stream = np.random.SeedSequence([seed, zlib.crc32(s.path.encode())])
        z = np.random.default_rng(stream).standard_normal((n, 1))
        out[s.path] = np.exp(math.sqrt(math.log1p(s.relative * s.relative)) * z)
    return out


def varied(shelf: Shelf, by: Mapping[str, Floats]) -> Shelf:
    """Brief and stock with a column (n,1) in place of every uncertain number."""
    brief, demand = shelf.brief, shelf.demand

    def column(number: float, key: str, most: float = np.inf) -> float:
        """A column stands for the one number that the brief gives: every formula takes either."""
        return cast("float", np.minimum(number * by.get(key, np.ones((1, 1))), most))

    f, sharing = brief.friction, brief.strength.circle_share
    friction = replace(
        f,
        bushed=column(f.bushed, "friction.bushed"),
        bare=column(f.bare, "friction.bare"),
        chain=column(f.chain, "friction.chain"),
    )
    strength = replace(
        brief.strength, circle_share=column(sharing, "strength.drive_pins_sharing", most=1.0)
    )
    wrist = "wrist.torque"
    demand = replace(
        demand,
        pull_often=column(demand.pull_often, wrist),
        pull_comfortable=column(demand.pull_comfortable, wrist),
        pull_peak=column(demand.pull_peak, wrist),
    )
    one = np.ones((1, 1))
    base = replace(shelf, brief=replace(brief, friction=friction, strength=strength), demand=demand)
    return base.with_yields(by.get("metal.yield_MPa", one), by.get("pin.yield_MPa", one))


def hands(space: Space, X: Floats, by: Mapping[str, Floats], n: int) -> Hands:
    """The drive X (1,V) under n draws: one batch through the scorer, must positions alone."""
    shelf = space.shelf.scoring()
    many = Space(varied(shelf, by), space.architecture, space.single)
    d = detail(many, np.repeat(X, n, axis=0))
    overload = shelf.brief.strength.overload
    margins = d.checks.margin(overload, 1.0, 1.0)
    pins = [c for c, name in enumerate(d.checks.names) if name.group in chk.PIN_GROUPS]
    nearest = margins[:, pins].argmin(axis=1)
    mu = shelf.brief.friction.pad * by.get("friction.pad", np.ones((n, 1)))
    return Hands(
        tuple(d.space.shelf.demand.positions[p].name for p in d.delivered.at),
        d.delivered.ratio.min(axis=1, initial=np.inf),
        d.delivered.force,
        margins[:, pins].min(axis=1),
        tuple(d.checks.names[pins[i]] for i in nearest),
        _travel(d, by.get("shop.pin_fit", np.ones((n, 1)))),
        _press(shelf, d.delivered.at) > mu,
    )


def _travel(d: Detail, fit: Floats) -> Floats:
    """Input travel left over the must positions (n,), mm."""
    return np.asarray(d.space.shelf.demand.stroke - d.play * fit[:, 0] - d.motion.X.max(axis=1))


def _press(shelf: Shelf, at: Sequence[int]) -> Floats:
    """Friction that the worst pad of each powered grip needs (1,G): tan of the angle of its press."""
    demand = shelf.demand
    cos = np.where(demand.engaged, demand.press, 1.0)[list(at)].min(axis=1, initial=1.0)
    return np.asarray(np.sqrt(1.0 - cos * cos) / cos)[None, :]


def quantile(values: Floats, p: float = TAIL) -> Estimate:
    """Quantile of a sample and its error by order statistics: half the span of ranks np +- z sqrt(np(1-p)).

    Distribution-free (David & Nagaraja, Order Statistics, from memory).
    """
    if not np.isfinite(values).all():  # nothing is needed, so nothing is doubtful
        return Estimate(np.inf, 0.0)
    ordered, n = np.sort(values), len(values)
    half = SURE * math.sqrt(n * p * (1.0 - p))
    low, high = (float(_at(ordered, n * p + side * half)) for side in (-1.0, 1.0))
    return Estimate(float(_at(ordered, n * p)), (high - low) / 2.0)


def _at(ordered: Floats, rank: float) -> Floats:
    """Value between neighbours at a rank counted from 0.5; beyond the ends the end."""
    return np.asarray(np.interp(rank, np.arange(len(ordered)) + 0.5, ordered))


def chance(events: Bools) -> Estimate:
    """Chance of an event; error after Agresti and Coull (two more of each), so that none seen is not none."""
    n, seen = len(events), int(events.sum())
    p = (seen + 2.0) / (n + 4.0)
    return Estimate(seen / n, SURE * math.sqrt(p * (1.0 - p) / (n + 4.0)))


def influence(inputs: Floats, y: Floats) -> Influence:
    """How much of y (n,) each input (n,K) explains: squared standardised rank regression coefficients.

    Inputs independent, y monotone in each; shares sum to one, `explained` is R^2 of the ranks.
    Source: Saltelli, Chan, Scott, Sensitivity Analysis, 2000 (SRRC; from memory).
    """
    moves = inputs.std(axis=0) > 0.0
    share = np.zeros(inputs.shape[1])
    if not moves.any() or not np.isfinite(y).all() or np.ptp(y) == 0.0:
        return Influence(tuple(share.tolist()), 0.0)
    ranks = _standard(np.stack([_ranks(x) for x in inputs[:, moves].T], axis=1))
    of_y = _standard(_ranks(y))
    b = np.linalg.lstsq(ranks, of_y, rcond=None)[0]
    rest = of_y - (ranks * b).sum(axis=1)
    squares = b * b
    share[moves] = squares / squares.sum()
    return Influence(tuple(share.tolist()), float(1.0 - (rest * rest).mean()))


def _ranks(x: Floats) -> Floats:
    """Ranks (n,) of x (n,) from 1, equals at the mean of theirs (scipy.stats has it, and takes 0.3 s to load)."""
    _, which, count = np.unique(x, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(count) - 0.5 * (count - 1))[which])


def _standard(x: Floats) -> Floats:
    """Mean 0, variance 1."""
    return np.asarray((x - x.mean(axis=0)) / x.std(axis=0))


def doubt(space: Space, X: Floats, n: int = HANDS, seed: int = SEED) -> Doubt:
    """Doubt of one drive X (1,V); equal n and seed give equal numbers."""
    spreads = space.shelf.brief.spreads
    by = factors(spreads, n, seed)
    h = hands(space, X, by, n)
    sure = all(np.ptp(f) == 0.0 for f in by.values())
    inputs = (
        np.concatenate([np.log(by[s.path]) for s in spreads], axis=1) if by else np.ones((n, 0))
    )

    def seen(events: Bools) -> Estimate:
        return Estimate(float(events[0]), 0.0) if sure else chance(events)

    return Doubt(
        n,
        seed,
        spreads,
        h.grips,
        quantile(h.ratio),
        tuple(quantile(h.force[:, g]) for g in range(len(h.grips))),
        tuple(seen(h.slips[:, g]) for g in range(len(h.grips))),
        seen(h.margin < 0.0),
        _first(h),
        seen(h.travel < 0.0),
        influence(inputs, h.ratio),
        influence(inputs, h.margin),
    )


def _first(h: Hands) -> chk.CheckName:
    """The pin that is nearest to yield most often, among the hands where one yields if there are any."""
    broken = [name for name, m in zip(h.weakest, h.margin, strict=True) if m < 0.0]
    among = broken or list(h.weakest)
    return max(dict.fromkeys(among), key=among.count)
