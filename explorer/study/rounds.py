"""One round after another over all islands: a plain function of the state before it.

An island is one design space and one seed.  All seeds of a space are scored in one batch, and the next
batch is handed out before the round is journaled: it depends on the state alone, so nothing is lost when
the run stops there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import moocore
import numpy as np

from explorer.mechanics.types import Floats
from explorer.search import archive as ar
from explorer.search import island as isl
from explorer.search.island import Settings, State
from explorer.search.problem import Rows, Scored, evaluated, joined
from explorer.search.ranks import clipped
from explorer.search.space import Columns
from explorer.study.crew import Crew
from explorer.study.problem import NOTHING, Counts, DriveProblem, Judged

STEPS_AT_MOST = 10  # batches of each island in a round, once it is under way
EASE_IN = 5  # rounds after which a round gets one more batch
ALWAYS_MEASURED = 20  # rounds, from the first on; then every round a twentieth further on


@dataclass(frozen=True)
class Plan:
    """What is searched: design spaces, seeds, settings, and vectors to begin with for each space.

    `taken` are names of old builds that no new drive may get.
    """

    problems: tuple[DriveProblem, ...]
    seeds: tuple[int, ...]
    settings: Settings
    starts: tuple[Floats | None, ...]
    taken: tuple[str, ...] = ()

    @property
    def islands(self) -> tuple[tuple[int, int], ...]:
        """(space, seed) of each island."""
        return tuple((p, seed) for p in range(len(self.problems)) for seed in self.seeds)

    def of(self, place: int) -> range:
        """Islands of one space."""
        n = len(self.seeds)
        return range(place * n, (place + 1) * n)


def begin(plan: Plan) -> tuple[State, ...]:
    """Every island before its first batch."""
    return tuple(isl.begin(plan.problems[p], seed, p, plan.settings) for p, seed in plan.islands)


def steps_in(round_: int) -> int:
    """Batches of each island in a round: one at first, so that the first news comes soon."""
    return min(STEPS_AT_MOST, 1 + round_ // EASE_IN)


def is_measured(round_: int) -> bool:
    """Whether hypervolume is measured after this round."""
    if round_ <= ALWAYS_MEASURED:
        return True
    at = ALWAYS_MEASURED
    while at < round_:
        at += max(1, at // 20)
    return at == round_


@dataclass
class Conveyor:
    """Batches out, answers in, always in the order of the spaces."""

    plan: Plan
    states: list[State]
    crew: Crew
    waiting: dict[int, tuple[list[Floats], Callable[[], Judged]]] = field(default_factory=dict)

    def hand_out(self, place: int) -> None:
        """The next batch of a space, all its seeds together."""
        if place in self.waiting:
            return
        parts = [self._proposed(place, i) for i in self.plan.of(place)]
        self.waiting[place] = (parts, self.crew.score(place, np.concatenate(parts)))

    def _proposed(self, place: int, island: int) -> Floats:
        state, problem = self.states[island], self.plan.problems[place]
        rng = isl.generator(state.seed, state.island, state.round)
        if len(state.population):
            return isl.offspring(state, problem, rng)
        start = self.plan.starts[place] if state.round == 0 else None
        return isl.first(state, problem, start, rng)

    def take_in(self, place: int) -> tuple[Rows, Counts]:
        """Lets the islands of a space survive their batch, and hands out the next."""
        parts, answer = self.waiting[place]
        judged = answer()
        del self.waiting[place]
        found, at = [], 0
        for island, X in zip(self.plan.of(place), parts, strict=True):
            scored = part_of(judged.scored, at, at + len(X))
            rows = evaluated(_Known(self.plan.problems[place], scored), X)
            self.states[island] = isl.survived(self.states[island], rows)
            found.append(rows.take(rows.feasible))
            at += len(X)
        self.hand_out(place)
        return joined(found), judged.counts


@dataclass(frozen=True)
class _Known:
    """A problem whose scores are there already."""

    problem: DriveProblem
    scored: Scored

    @property
    def space(self) -> Columns:
        return self.problem.space

    @property
    def enough(self) -> Floats:
        return self.problem.enough

    def evaluate(self, X: Floats) -> Scored:  # noqa: ARG002
        return self.scored


def part_of(scored: Scored, start: int, end: int) -> Scored:
    """Rows start to end."""
    return Scored(scored.F[start:end], scored.violation[start:end], scored.tie[start:end])


@dataclass(frozen=True)
class Played:
    """What a round brought: newcomers (N,...) that fit and counts, a space each; volumes an island each."""

    newcomers: tuple[Rows, ...]
    counts: tuple[Counts, ...]
    volumes: tuple[float, ...]  # empty where not measured


def play(conveyor: Conveyor, round_: int) -> Played:
    """One round of all islands."""
    plan = conveyor.plan
    places = range(len(plan.problems))
    for p in places:
        conveyor.hand_out(p)
    found: list[list[Rows]] = [[] for _ in places]
    counts = [NOTHING for _ in places]
    for _ in range(steps_in(round_)):
        for p in places:
            rows, came = conveyor.take_in(p)
            found[p].append(rows)
            counts[p] = counts[p] + came
    volumes = _volumes(conveyor) if is_measured(round_) else ()
    return Played(
        tuple(unbeaten(f, p) for f, p in zip(found, plan.problems, strict=True)),
        tuple(counts),
        volumes,
    )


def _volumes(conveyor: Conveyor) -> tuple[float, ...]:
    asked = [
        conveyor.crew.volume(p, front_of(conveyor.states[i]).F)
        for p in range(len(conveyor.plan.problems))
        for i in conveyor.plan.of(p)
    ]
    return tuple(answer() for answer in asked)


def front_of(state: State) -> Rows:
    """The whole archive of an island with nothing waiting; the state keeps its own."""
    return ar.merged(state.archive).kept


def unbeaten(parts: Sequence[Rows], problem: DriveProblem) -> Rows:
    """Rows that no other of these beats."""
    rows = joined(list(parts))
    if not len(rows):
        return rows
    C = np.ascontiguousarray(clipped(rows.F, problem.enough))
    return rows.take(np.asarray(moocore.is_nondominated(C, keep_weakly=True)))
