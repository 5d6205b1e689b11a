"""The islands of one design space and one seed: small tribes that look for themselves, and what they become.

Stock sizes and ways of building make a space of many separate valleys, and one population soon sits in one
of them.  So small tribes look for themselves, each from its own chance, join two by two, and at last become
one main population.  (Measured on the made-up hand: at equal evaluations two seeds of many tribes covered the
same within 1 %, where single populations lay up to 40 % apart.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from explorer.mechanics.types import Floats
from explorer.search import archive as ar
from explorer.search import island as isl
from explorer.search import references
from explorer.search.archive import Archive
from explorer.search.island import Settings, State
from explorer.search.problem import Problem, Rows, joined
from explorer.search.ranks import clipped, survivors

WAITED_FOR = 4  # a joining waits until all but a fourth of the tribes are ready
_APART = 1000  # between the island numbers of a space's tribes, so that no two draw the same chance
_MAIN = 10**6  # the main population's number among them


@dataclass(frozen=True)
class Scheme:
    """How a space is searched: `tribes` of settings `small`, then one main population of settings `whole`.

    The first tribe goes ahead until something fits, but no more than `alone` batches; where something does, a
    `few` tribes will do.  Each goes on for `together`
    batches in which something fits, but takes no more than `most`; then, while their number is even, they join
    two by two and go on for `joined` batches each time, and at last they become the main population.  Without
    tribes it is the main population from the start.
    """

    small: Settings
    tribes: int
    alone: int
    few: int
    together: int
    most: int
    joined: int
    whole: Settings

    @property
    def numbers(self) -> tuple[int, ...]:
        """How many tribes there are, one after another: 12, 6, 3."""
        out = [self.tribes]
        while self.joined and out[-1] % 2 == 0:
            out.append(out[-1] // 2)
        return tuple(out)


@dataclass(frozen=True)
class Group:
    """All tribes of one space and seed, or the main population; and what they found together."""

    states: tuple[State, ...]
    archive: Archive
    evaluations: int

    @property
    def nearest(self) -> Rows:
        """The row of least violation so far, one row; none before the first batch."""
        rows = joined([s.nearest for s in self.states])
        i = int(np.argmin(rows.violation)) if len(rows) else 0
        return rows.take(slice(i, i + 1))

    @property
    def gathered(self) -> bool:
        """Whether the tribes have become the main population."""
        return _is_main(self.states[0].island)


def _is_main(island: int) -> bool:
    return island >= _APART * _MAIN


def begin(problem: Problem, seed: int, place: int, scheme: Scheme) -> Group:
    """Every tribe before its first batch; where there is none, the main population."""
    numbers = range(scheme.tribes) if scheme.tribes else (_MAIN,)
    states = tuple(blank(problem, seed, place + _APART * n, scheme) for n in numbers)
    return Group(states, ar.empty(problem.space.width, problem.enough), 0)


def blank(problem: Problem, seed: int, island: int, scheme: Scheme) -> State:
    """The tribe or main population of this island number before its first batch."""
    settings = scheme.whole if _is_main(island) else scheme.small
    return isl.begin(problem, seed, island, settings)


def may_be(place: int, islands: Sequence[int], scheme: Scheme) -> bool:
    """Whether a group of this space may have states with these island numbers."""
    main = [_is_main(i) for i in islands]
    several = len(islands) == 1 if any(main) else len(islands) in scheme.numbers
    return several and all(i % _APART == place for i in islands)


def _goes_on(scheme: Scheme, tribe: State) -> bool:
    """Whether a tribe has batches left before the next joining."""
    more = scheme.joined * tribe.joins
    return tribe.fitting < scheme.together + more and tribe.round < scheme.most + more


def _is_alone(states: Sequence[State]) -> bool:
    """Whether only the first tribe has begun."""
    return len(states) > 1 and not any(s.round for s in states[1:])


def active(group: Group, scheme: Scheme) -> list[int]:
    """Places among the states of those whose turn it is."""
    first = group.states[0]
    if group.gathered or (
        _is_alone(group.states) and not first.fitting and first.round < scheme.alone
    ):
        return [0]
    return [t for t, s in enumerate(group.states) if _goes_on(scheme, s)]


def proposed(state: State, problem: Problem, start: Floats | None) -> Floats:
    """The next batch of a tribe, not yet trimmed; its first begins with `start`, if there is one."""
    if state.settings.algorithm:
        return references.proposed(state, problem, start)
    rng = isl.generator(state.seed, state.island, state.round)
    if len(state.population):
        larger = replace(state, settings=replace(state.settings, batch=batch_of(state)))
        return isl.offspring(larger, problem, rng)
    return isl.first(state, problem, start if state.round == 0 else None, rng)


def batch_of(state: State) -> int:
    """Rows of its next batch: tribes that joined propose as many as they did alone, since few rows a call cost more each."""
    s = state.settings
    return s.batch if _is_main(state.island) or s.algorithm else s.batch * 2**state.joins


def worth(state: State) -> float:
    """Violation past which nothing of a tribe's next batch can live."""
    return np.inf if state.settings.algorithm else isl.worth(state)


def survived(group: Group, place: int, scheme: Scheme, found: Sequence[tuple[int, Rows]]) -> Group:
    """The group after the scored batches of some of its tribes."""
    states, archive, evaluations = list(group.states), group.archive, group.evaluations
    for t, rows in found:
        stock = states[t].settings.algorithm
        state = references.survived(states[t], rows) if stock else isl.survived(states[t], rows)
        for part in (state.archive.kept, state.archive.waiting):
            archive = ar.added(archive, part)
        none = ar.empty(rows.X.shape[1], archive.enough)
        states[t] = replace(state, archive=none)
        evaluations += len(rows)
    if _is_alone(states) and states[0].fitting:
        states = states[: scheme.few]
    after = Group(tuple(states), archive, evaluations)
    if after.gathered or sum(_goes_on(scheme, s) for s in states) > len(states) // WAITED_FOR:
        return after
    if len(states) == scheme.numbers[-1]:
        return _gathered(after, place, scheme)
    pairs = zip(states[::2], states[1::2], strict=True)
    return replace(after, states=tuple(_one_of([a, b], a) for a, b in pairs))


def _one_of(parts: Sequence[State], first: State) -> State:
    """State `first` with what lives in all of these."""
    rows, s = joined([p.population for p in parts]), first.settings
    kept = survivors(
        clipped(rows.F, first.archive.enough), rows.violation, s.population, s.beyond, s.far
    )
    return replace(
        first, population=rows.take(kept.keep), rank=kept.rank, lonely=kept.lonely, stalled=0,
        round=max(p.round for p in parts), fitting=max(p.fitting for p in parts), joins=first.joins + 1,
        nearest=min((p.nearest for p in parts), key=lambda r: float(r.violation[0])),
    )  # fmt: skip


def _gathered(group: Group, place: int, scheme: Scheme) -> Group:
    """All that lives as one main population."""
    main = replace(group.states[0], island=place + _APART * _MAIN, settings=scheme.whole)
    return replace(group, states=(_one_of(group.states, main),))
