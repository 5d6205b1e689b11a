"""The islands of one design space and one seed: small tribes that look for themselves, and what they become.

Stock sizes and ways of building make a space of many separate valleys, and one population soon sits in one
of them.  So small tribes look for themselves, each from its own chance, join two by two, and at last become
one main population; beside it new tribes set out, and join it in their turn.  (Measured on the made-up hand:
at equal evaluations two seeds that did so covered the same within 1 %, where single populations lay up to
40 % apart, and single waves of tribes up to 9 %.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from explorer.mechanics.types import Floats
from explorer.search import archive as ar
from explorer.search import island as isl
from explorer.search.archive import Archive
from explorer.search.island import Settings, State
from explorer.search.problem import Problem, Rows, joined
from explorer.search.ranks import clipped, survivors

_APART = 1000  # between the island numbers of a space's tribes, so that no two draw the same chance
_MAIN = 10**6  # the main population's number among them


@dataclass(frozen=True)
class Scheme:
    """How a space is searched: waves of tribes of settings `small` beside a main population of settings `whole`.

    The first wave has `tribes` tribes and nothing beside it; its first goes `alone` batches ahead, so that
    something fits soon.  Later waves have `later`.  Each tribe goes on for `together` batches in which something
    fits, but takes no more than `most`; then, while their number is even, they join two by two and go on for
    `joined` batches each time, and at last they join the main.
    """

    small: Settings
    tribes: int
    later: int
    alone: int
    together: int
    most: int
    joined: int
    whole: Settings

    def numbers(self, first: bool) -> tuple[int, ...]:  # noqa: FBT001  # the first wave or a later one
        """How many tribes there are in a wave, one after another: 12, 6, 3."""
        out = [self.tribes if first else self.later]
        while self.joined and out[-1] % 2 == 0 and out[-1] > 0:
            out.append(out[-1] // 2)
        return tuple(out)


@dataclass(frozen=True)
class Group:
    """All tribes of one space and seed, the main population before them; and what they found together."""

    states: tuple[State, ...]
    archive: Archive
    evaluations: int

    @property
    def main(self) -> tuple[State, ...]:
        """The main population, if there is one yet."""
        return self.states[:1] if _is_main(self.states[0]) else ()

    @property
    def tribes(self) -> tuple[State, ...]:
        """All but the main population."""
        return self.states[len(self.main) :]

    @property
    def nearest(self) -> Rows:
        """The row of least violation so far, one row; none before the first batch."""
        rows = joined([s.nearest for s in self.states])
        i = int(np.argmin(rows.violation)) if len(rows) else 0
        return rows.take(slice(i, i + 1))


def _is_main(state: State) -> bool:
    return state.island >= _APART * _MAIN


def begin(problem: Problem, seed: int, place: int, scheme: Scheme) -> Group:
    """Every tribe of the first wave before its first batch."""
    states = tuple(blank(problem, seed, place + _APART * t, scheme) for t in range(scheme.tribes))
    return Group(states, ar.empty(problem.space.width, problem.enough), 0)


def blank(problem: Problem, seed: int, island: int, scheme: Scheme) -> State:
    """The tribe or main population of this island number before its first batch."""
    settings = scheme.whole if island >= _APART * _MAIN else scheme.small
    return isl.begin(problem, seed, island, settings)


def may_be(place: int, islands: Sequence[int], scheme: Scheme) -> bool:
    """Whether a group of this space may have states with these island numbers."""
    main = [i for i in islands if i >= _APART * _MAIN]
    left = len(islands) - len(main)
    several = left in scheme.numbers(first=not main)
    return several and len(main) <= 1 and all(i % _APART == place for i in islands)


def _goes_on(group: Group, scheme: Scheme, tribe: State) -> bool:
    """Whether a tribe has batches left before the next joining."""
    numbers = scheme.numbers(first=not group.main)
    more = scheme.joined * numbers.index(len(group.tribes))
    return tribe.fitting < scheme.together + more and tribe.round < scheme.most + more


def active(group: Group, scheme: Scheme) -> list[int]:
    """Places among the states of those whose turn it is."""
    first = len(group.main)
    if not first and len(group.tribes) == scheme.tribes and group.states[0].round < scheme.alone:
        return [0]
    busy = (first + t for t, s in enumerate(group.tribes) if _goes_on(group, scheme, s))
    return [*range(first), *busy]


def proposed(state: State, problem: Problem, start: Floats | None) -> Floats:
    """The next batch of a tribe; its first begins with `start`, if there is one."""
    rng = isl.generator(state.seed, state.island, state.round)
    if len(state.population):
        return isl.offspring(state, problem, rng)
    return isl.first(state, problem, start if state.round == 0 else None, rng)


def survived(group: Group, place: int, scheme: Scheme, found: Sequence[tuple[int, Rows]]) -> Group:
    """The group after the scored batches of some of its tribes."""
    states, archive, evaluations = list(group.states), group.archive, group.evaluations
    for t, rows in found:
        state = isl.survived(states[t], rows)
        for part in (state.archive.kept, state.archive.waiting):
            archive = ar.added(archive, part)
        none = ar.empty(rows.X.shape[1], archive.enough)
        states[t] = replace(state, archive=none)
        evaluations += len(rows)
    after = Group(tuple(states), archive, evaluations)
    if not after.tribes or any(_goes_on(after, scheme, s) for s in after.tribes):
        return after
    numbers = scheme.numbers(first=not after.main)
    if len(after.tribes) == numbers[-1]:
        return _gathered(after, place, scheme)
    pairs = zip(after.tribes[::2], after.tribes[1::2], strict=True)
    return replace(after, states=(*after.main, *(_one_of([a, b], a) for a, b in pairs)))


def _one_of(parts: Sequence[State], first: State) -> State:
    """State `first` with what lives in all of these."""
    rows, s = joined([p.population for p in parts]), first.settings
    kept = survivors(clipped(rows.F, first.archive.enough), rows.violation, s.population, s.beyond)
    return replace(
        first, population=rows.take(kept.keep), rank=kept.rank, lonely=kept.lonely, stalled=0,
        round=max(p.round for p in parts), fitting=max(p.fitting for p in parts),
        nearest=min((p.nearest for p in parts), key=lambda r: float(r.violation[0])),
    )  # fmt: skip


def _gathered(group: Group, place: int, scheme: Scheme) -> Group:
    """All that lives in one main population, and beside it a new wave."""
    first = group.tribes[0]
    main = group.main or (replace(first, island=place + _APART * _MAIN, settings=scheme.whole),)
    number = (first.island - place) // _APART + (scheme.later if group.main else scheme.tribes)
    wave = (_fresh(first, place + _APART * (number + t)) for t in range(scheme.later))
    return replace(group, states=(_one_of(group.states, main[0]), *wave))


def _fresh(like: State, island: int) -> State:
    """A new tribe before its first batch."""
    none = like.population.take(slice(0, 0))
    return replace(
        like, island=island, round=0, evaluations=0, stalled=0, fitting=0, population=none, nearest=none,
        rank=np.empty(0, np.int64), lonely=np.empty(0),
    )  # fmt: skip
