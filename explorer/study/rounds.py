"""One round after another over all groups: a plain function of the state before it.

A group of islands is one design space and one seed.  The next piece of work of a space is handed out before
the round is journaled: it depends on the state alone, so nothing is lost when the run stops there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from explorer.search import archive as ar
from explorer.search.measure import hypervolume
from explorer.search.problem import Rows, nothing
from explorer.study import stints, tribes
from explorer.study.crew import Crew
from explorer.study.problem import NOTHING, Counts
from explorer.study.stints import Brought, Plan
from explorer.study.tribes import Group

BATCHES_AT_MOST = 10  # of each space in a round
EASE_IN = 2  # rounds after which a round may get one more batch
# In a round: each costs this process the same whatever its length, to journal it and to make fronts one.
ROWS_A_SPACE = 10_000
# Rounds from the first on; after them every round a sixteenth further on.
ALWAYS_MEASURED = 20
SOON_TOLD = (1, 2)


def begin(plan: Plan) -> tuple[Group, ...]:
    """Every group before its first batch."""
    return tuple(tribes.begin(plan.problems[p], seed, p, plan.scheme) for p, seed in plan.groups)


def batches_in(plan: Plan, groups: Sequence[Group], round_: int) -> int:
    """Batches of a space with these groups in a round: few at first, so that the first news comes soon."""
    rows = sum(tribes.batch_of(g.states[t]) for g in groups for t in tribes.active(g, plan.scheme))
    return max(1, min(BATCHES_AT_MOST, 1 + round_ // EASE_IN, ROWS_A_SPACE // rows))


def is_told(round_: int) -> bool:
    """Whether keepers and nearest misses are chosen and named after this round: after 1, 2 and every fourth.

    (And, by `standing.closed`, after the round in which something first fits.)  To name is to score anew, a few drives a call; meanwhile workers at short pieces of work wait.
    """
    return round_ in SOON_TOLD or round_ % 4 == 0


def is_measured(round_: int) -> bool:
    """Whether hypervolume is measured after this round."""
    if round_ <= ALWAYS_MEASURED:
        return True
    at = ALWAYS_MEASURED
    while at < round_:
        at += at // 16
    return at == round_


@dataclass
class Conveyor:
    """Pieces of work out, what they brought in, always in the order of the spaces."""

    plan: Plan
    groups: list[Group]
    crew: Crew
    waiting: dict[int, list[Callable[[], Brought]]] = field(default_factory=dict)

    def hand_out(self, place: int, round_: int, *, apart: bool) -> None:
        """A space's piece of this round, unless it is out already; `apart`: a piece for each seed."""
        if place not in self.waiting:
            mine = [self.groups[g] for g in self.plan.of(place)]
            batches = batches_in(self.plan, mine, round_)
            pieces = [[g] for g in mine] if apart else [mine]
            self.waiting[place] = [
                self.crew.work(stints.asked(place, piece, batches)) for piece in pieces
            ]

    def take_in(self, place: int) -> tuple[Rows, Counts]:
        """What a space's piece brought: its groups are those after it, and what fits goes to the front."""
        parts = [answer() for answer in self.waiting[place]]
        brought = stints.together(parts, self.plan.problems[place])
        del self.waiting[place]
        for g, after in zip(self.plan.of(place), brought.groups, strict=True):
            self.groups[g] = stints.brought_home(self.groups[g], after)
        return brought.fits, brought.counts


@dataclass(frozen=True)
class Measured:
    """Hypervolume of a space's groups, each alone, and of all of them together."""

    alone: tuple[float, ...]
    together: float


@dataclass(frozen=True)
class Played:
    """What a round brought: newcomers (N,...) that fit and counts, a space each; what was measured, or nothing."""

    newcomers: tuple[Rows, ...]
    counts: tuple[Counts, ...]
    measured: tuple[Measured, ...]


def play(conveyor: Conveyor, round_: int, resting: Mapping[int, Measured]) -> Played:
    """One round of all groups, those of the resting spaces apart: they are as they were when last measured."""
    plan = conveyor.plan
    places = [p for p in range(len(plan.problems)) if p not in resting]
    for p in resting:
        conveyor.waiting.pop(p, None)
    # Many rows in a call cost less each, but hands that would else be idle cost more.
    apart = len(places) < conveyor.crew.hands
    for p in places:
        conveyor.hand_out(p, round_, apart=apart)
    found = [nothing(p.space.width, len(p.enough)) for p in plan.problems]
    counts = [NOTHING for _ in plan.problems]
    for p in places:
        found[p], counts[p] = conveyor.take_in(p)
        conveyor.hand_out(p, round_ + 1, apart=apart)
    measured = _measured(conveyor, resting) if is_measured(round_) else ()
    return Played(tuple(found), tuple(counts), measured)


def _measured(conveyor: Conveyor, resting: Mapping[int, Measured]) -> tuple[Measured, ...]:
    """A space each; it is done here, while the workers are at the next round."""
    plan, out = conveyor.plan, list[Measured]()
    for p, problem in enumerate(plan.problems):
        if p in resting:
            out.append(resting[p])
            continue
        fronts = [front_of(conveyor.groups[i]).F for i in plan.of(p)]
        enough, box = problem.enough, problem.aims.box
        alone = tuple(hypervolume(F, enough, box) for F in fronts)
        out.append(Measured(alone, hypervolume(np.concatenate(fronts), enough, box)))
    return tuple(out)


def front_of(group: Group) -> Rows:
    """The whole archive of a group with nothing waiting; the group keeps its own."""
    return ar.merged(group.archive).kept
