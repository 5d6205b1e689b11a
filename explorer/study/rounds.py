"""One round after another over all groups: a plain function of the state before it.

A group of islands is one design space and one seed.  All of a space are scored in one batch, and the next
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
from explorer.search.problem import Rows, Scored, evaluated, joined
from explorer.search.ranks import clipped
from explorer.search.space import Columns
from explorer.study import tribes
from explorer.study.crew import Crew
from explorer.study.problem import NOTHING, Counts, DriveProblem, Judged
from explorer.study.tribes import Group, Scheme

STEPS_AT_MOST = 10  # batches of each space in a round
EASE_IN = 2  # rounds after which a round may get one more batch
ROWS_A_ROUND = 20_000
ALWAYS_MEASURED = 20  # rounds, from the first on; then every round a twentieth further on


@dataclass(frozen=True)
class Plan:
    """What is searched: design spaces, seeds, how, and vectors to begin with for each space.

    `taken` are names of old builds that no new drive may get.
    """

    problems: tuple[DriveProblem, ...]
    seeds: tuple[int, ...]
    scheme: Scheme
    starts: tuple[Floats | None, ...]
    taken: tuple[str, ...] = ()

    @property
    def groups(self) -> tuple[tuple[int, int], ...]:
        """(space, seed) of each group of islands."""
        return tuple((p, seed) for p in range(len(self.problems)) for seed in self.seeds)

    def of(self, place: int) -> range:
        """Groups of one space."""
        n = len(self.seeds)
        return range(place * n, (place + 1) * n)


def begin(plan: Plan) -> tuple[Group, ...]:
    """Every group before its first batch."""
    return tuple(tribes.begin(plan.problems[p], seed, p, plan.scheme) for p, seed in plan.groups)


def steps_in(plan: Plan, groups: Sequence[Group], round_: int) -> int:
    """Batches of each space in a round: few at first, so that the first news comes soon."""
    rows = sum(g.states[t].settings.batch for g in groups for t in tribes.active(g, plan.scheme))
    return max(1, min(STEPS_AT_MOST, 1 + round_ // EASE_IN, ROWS_A_ROUND // rows))


def is_measured(round_: int) -> bool:
    """Whether hypervolume is measured after this round."""
    if round_ <= ALWAYS_MEASURED:
        return True
    at = ALWAYS_MEASURED
    while at < round_:
        at += max(1, at // 20)
    return at == round_


Batch = tuple[int, int, Floats]  # group, tribe, vectors


@dataclass
class Conveyor:
    """Batches out, answers in, always in the order of the spaces."""

    plan: Plan
    groups: list[Group]
    crew: Crew
    waiting: dict[int, tuple[list[Batch], Callable[[], Judged]]] = field(default_factory=dict)

    def hand_out(self, place: int) -> None:
        """The next batch of a space, all its seeds and tribes together."""
        if place in self.waiting:
            return
        problem, start = self.plan.problems[place], self.plan.starts[place]
        parts = [
            (g, t, tribes.proposed(self.groups[g].states[t], problem, start if t == 0 else None))
            for g in self.plan.of(place)
            for t in tribes.active(self.groups[g], self.plan.scheme)
        ]
        X = np.concatenate([part[2] for part in parts])
        self.waiting[place] = (parts, self.crew.score(place, X))

    def take_in(self, place: int) -> tuple[Rows, Counts]:
        """Lets the tribes of a space survive their batch, and hands out the next."""
        parts, answer = self.waiting[place]
        judged = answer()
        del self.waiting[place]
        found: dict[int, list[tuple[int, Rows]]] = {g: [] for g in self.plan.of(place)}
        at = 0
        for g, t, X in parts:
            scored = part_of(judged.scored, at, at + len(X))
            found[g].append((t, evaluated(_Known(self.plan.problems[place], scored), X)))
            at += len(X)
        for g, came in found.items():
            self.groups[g] = tribes.survived(self.groups[g], place, self.plan.scheme, came)
        self.hand_out(place)
        fits = [rows.take(rows.feasible) for came in found.values() for _, rows in came]
        return joined(fits), judged.counts


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
    """What a round brought: newcomers (N,...) that fit and counts, a space each; volumes a group each."""

    newcomers: tuple[Rows, ...]
    counts: tuple[Counts, ...]
    volumes: tuple[float, ...]  # empty where not measured


def play(conveyor: Conveyor, round_: int) -> Played:
    """One round of all groups."""
    plan = conveyor.plan
    places = range(len(plan.problems))
    for p in places:
        conveyor.hand_out(p)
    found: list[list[Rows]] = [[] for _ in places]
    counts = [NOTHING for _ in places]
    for _ in range(steps_in(plan, conveyor.groups, round_)):
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
        conveyor.crew.volume(p, front_of(conveyor.groups[i]).F)
        for p in range(len(conveyor.plan.problems))
        for i in conveyor.plan.of(p)
    ]
    return tuple(answer() for answer in asked)


def front_of(group: Group) -> Rows:
    """The whole archive of a group with nothing waiting; the group keeps its own."""
    return ar.merged(group.archive).kept


def unbeaten(parts: Sequence[Rows], problem: DriveProblem) -> Rows:
    """Rows that no other of these beats."""
    rows = joined(list(parts))
    if not len(rows):
        return rows
    C = np.ascontiguousarray(clipped(rows.F, problem.enough))
    return rows.take(np.asarray(moocore.is_nondominated(C, keep_weakly=True)))
