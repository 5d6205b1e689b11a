"""One island: the evolution of one architecture's vectors, a pure step from state to state.

The state is all that the next round reads, and only arrays: a run that stops and is taken up from its
arrays goes on bit for bit. There is no clock here and no generator is carried along: the numbers of a
round come from the seed, the island's and the round's number.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from explorer.mechanics.types import Floats, Ints
from explorer.search import archive as ar
from explorer.search import moves
from explorer.search.archive import Archive
from explorer.search.problem import Problem, Rows, evaluated, joined, nothing
from explorer.search.ranks import clipped, survivors
from explorer.search.space import Columns, counts, lengths, repaired, spread, trimmed


@dataclass(frozen=True)
class Settings:
    """How an island searches; part of its state.

    population: rows kept; batch: rows a round, in even numbers of two or more.
    eta_cross, eta_mutate: SBX and polynomial indices; scale_low, scale_high: range of the differential
    factor; take: its rate a column.
    near: how many nearest rows a share `close` of the moves choose among, 0 for all; calm: share of these
    that no chance change touches.
    splice: share of rows that are one parent with a run of the other's columns; jolt: share in which part
    of a run of columns changes together; grow: share in which the sizes of a run grow or shrink by one factor;
    hold: share that keep every whole column and choice of one parent.
    reset: share of drawn values among changed choices; stock: share of the rest whose choices are redrawn.
    beyond: share of the places for rows that do not fit and would be worth it; far: the violation past which
    none is.
    patience: rounds without a feasible row or a smaller violation before the population starts anew.
    algorithm: a stock algorithm that searches instead, or "".
    """

    population: int = 200
    batch: int = 200
    eta_cross: float = 15.0
    eta_mutate: float = 20.0
    scale_low: float = 0.0
    scale_high: float = 1.0
    take: float = 0.9
    hold: float = 0.0
    calm: float = 0.0
    reset: float = 0.3
    stock: float = 0.02
    patience: int = 60
    beyond: float = 0.0
    far: float = 0.5
    near: int = 0
    close: float = 0.0
    splice: float = 0.0
    jolt: float = 0.0
    grow: float = 0.0
    algorithm: str = ""


@dataclass(frozen=True)
class State:
    """An island between rounds: population best first, its ranks and loneliness, archive, counters.

    nearest holds the one row of least violation so far; stalled counts rounds since it last came nearer,
    while nothing is feasible; fitting counts rounds in which something was; joins how often it took in another.
    """

    settings: Settings
    seed: int
    island: int
    round: int
    evaluations: int
    stalled: int
    fitting: int
    joins: int
    population: Rows
    rank: Ints
    lonely: Floats
    nearest: Rows
    archive: Archive


def begin(problem: Problem, seed: int, island: int, settings: Settings | None = None) -> State:
    """An island before its first round."""
    width, aims = problem.space.width, len(problem.enough)
    none = nothing(width, aims)
    return State(
        settings or Settings(), seed, island, 0, 0, 0, 0, 0, none, np.empty(0, np.int64), np.empty(0), none,
        ar.empty(width, problem.enough),
    )  # fmt: skip


def generator(seed: int, island: int, round_: int, batch: int = 0) -> np.random.Generator:
    """The numbers of one batch of one round, whatever was drawn before."""
    key = np.random.SeedSequence(seed, spawn_key=(island, round_, batch))
    return np.random.Generator(np.random.PCG64(key))


def step(state: State, problem: Problem, start: Floats | None = None) -> tuple[State, Rows]:
    """The state after one more round, and the rows it evaluated.

    A population begins spread over the space; `start` (K,V), if given, takes the place of its first rows.
    """
    rng = generator(state.seed, state.island, state.round)
    X = (
        offspring(state, problem, rng)
        if len(state.population)
        else first(state, problem, start, rng)
    )
    rows = evaluated(problem, trimmed(problem.space, X))
    return survived(state, rows), rows


def worth(state: State) -> float:
    """Violation past which no row of the next batch can live: it need not be known to the end."""
    s, living = state.settings, state.population.violation
    if len(living) < s.population:
        return np.inf
    return max(float(living.max()), s.far if s.beyond else 0.0)


def first(state: State, problem: Problem, start: Floats | None, rng: np.random.Generator) -> Floats:
    """Vectors (population,V) spread over the space, given ones first."""
    X = spread(problem.space, state.settings.population, rng)
    if start is not None:
        X[: len(start)] = repaired(problem.space, start[: len(X)])
    return X


def offspring(state: State, problem: Problem, rng: np.random.Generator) -> Floats:
    """New vectors (batch,V), not yet trimmed: half by crossover and mutation, half by differential moves.

    What counts the size of a choice moves as a length, so that another chain or gear leaves a wheel about as
    large as it was.
    """
    s, space, inner = state.settings, problem.space, problem.space.measured
    X = lengths(space, state.population.X)
    n = len(X)
    pairs = max(1, s.batch // 4)
    trials = s.batch - 2 * pairs
    kin_pair, kin_trial = rng.random(pairs) < s.close, rng.random(trials) < s.close
    mother, father = moves.tournament(pairs, n, rng), moves.tournament(pairs, n, rng)
    target, base = rng.integers(0, n, trials), moves.tournament(trials, n, rng)
    pair = rng.integers(0, n, (2, trials))
    if s.close and n > 2:
        near = moves.neighbours(X, inner, s.near)
        cousin = near[mother, rng.integers(0, near.shape[1], pairs)]
        father = np.where(kin_pair, cousin, father)
        pair = np.where(kin_trial, near[base, rng.integers(0, near.shape[1], (2, trials))], pair)
    crossed = moves.sbx(X[mother], X[father], inner, s.eta_cross, rng)
    moved = moves.differential(
        X, target, base, pair, (s.scale_low, s.scale_high), s.take, inner, rng
    )
    Y = np.concatenate([crossed, moved])
    one = np.concatenate([mother, father, base])
    other = np.concatenate([father, mother, target])
    kin = np.concatenate([kin_pair, kin_pair, kin_trial])[:, None]
    if space.discrete.any():
        Y = np.where(
            space.choice,
            moves.inherited(X[one], X[other], rng),
            np.where(inner.discrete, np.rint(Y), Y),
        )
        held = kin | (rng.random((len(Y), 1)) < s.hold)
        Y = np.where(space.discrete & held, X[one], Y)
    if s.splice:
        spliced = ~kin & (rng.random((len(Y), 1)) < s.splice)
        Y = np.where(spliced, moves.spliced(X[one], X[other], rng), Y)
    calm = kin & (rng.random((len(Y), 1)) < s.calm)
    Y = np.where(calm, Y, _changed(Y, inner, s, rng))
    if s.grow:
        Y = moves.grown(Y, s.grow, inner, rng)
    Y = counts(space, Y)
    if space.counts.any():
        stepped = moves.steps(Y, space.counts, space, 1.0 / space.width, s.reset, rng)
        Y = np.where(calm, Y, stepped)
    if s.jolt:
        Y = moves.jolted(Y, s.jolt, space, rng)
    Y = repaired(space, Y)
    again = moves.seen_before(Y, state.population.X)
    Y[again] = repaired(space, moves.shaken(Y, again, space, rng)[again])
    return Y


def _changed(Y: Floats, space: Columns, s: Settings, rng: np.random.Generator) -> Floats:
    """Vectors (N,V) after chance changes: crossed rows in their real columns, all in the others."""
    V = space.width
    crossed = 2 * max(1, s.batch // 4)
    Y = np.concatenate(
        [moves.polynomial(Y[:crossed], space, s.eta_mutate, 1.0 / V, rng), Y[crossed:]]
    )
    if space.choice.any():
        Y = moves.redrawn(Y, space.choice, space, s.stock, rng)
    if space.discrete.any():
        Y = np.where(space.discrete, np.rint(Y), Y)
        Y = moves.steps(Y, space.discrete, space, 1.0 / V, s.reset, rng)
    return Y


def survived(state: State, rows: Rows) -> State:
    """The state after the rows of a round joined it."""
    enough = state.archive.enough
    everyone = joined([state.population, rows])
    s = state.settings
    kept = survivors(clipped(everyone.F, enough), everyone.violation, s.population, s.beyond, s.far)
    # A row that a living one dominates is dominated in the archive too, which has seen every living row.
    new = np.flatnonzero(kept.front[len(state.population) :])
    archive = ar.added(state.archive, rows.take(new))
    nearest = nearer(state.nearest, rows)
    came_nearer = bool(
        len(new) or not len(state.nearest) or nearest.violation[0] < state.nearest.violation[0]
    )
    after = replace(
        state,
        round=state.round + 1,
        evaluations=state.evaluations + len(rows),
        stalled=0 if came_nearer or everyone.feasible.any() else state.stalled + 1,
        fitting=state.fitting + int(everyone.feasible.any()),
        population=everyone.take(kept.keep),
        rank=kept.rank,
        lonely=kept.lonely,
        nearest=nearest,
        archive=archive,
    )
    return _anew(after) if after.stalled > s.patience else after


def nearer(nearest: Rows, rows: Rows) -> Rows:
    """The row of least violation so far, the older of equals."""
    both = joined([nearest, rows])
    i = int(np.argmin(both.violation))
    return both.take(slice(i, i + 1))


def _anew(state: State) -> State:
    """The state with an empty population: what it found last led nowhere, and stays only as nearest."""
    none = state.population.take(slice(0, 0))
    return replace(
        state, stalled=0, population=none, rank=np.empty(0, np.int64), lonely=np.empty(0)
    )
