"""The islands of one design space and one seed: small tribes first, then all of them together.

Stock sizes and ways of building make a space of many separate valleys, and one population soon sits in one
of them.  So many small tribes look for themselves, each from its own chance, and then what lives in all of
them becomes one population.  (Measured on the made-up hand: at equal evaluations two seeds that did so
covered the same within 1 %, where single populations lay up to 40 % apart.)
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
_GATHERED = 999


@dataclass(frozen=True)
class Scheme:
    """How a space is searched: `tribes` of settings `small`, then one population of settings `whole`.

    The first tribe goes `alone` batches ahead, so that something fits soon; each takes `together` batches.
    """

    small: Settings
    tribes: int
    alone: int
    together: int
    whole: Settings


@dataclass(frozen=True)
class Group:
    """All tribes of one space and seed, or the one they became; and what they found together."""

    states: tuple[State, ...]
    archive: Archive
    evaluations: int

    @property
    def nearest(self) -> Rows:
        """The row of least violation so far, one row; none before the first batch."""
        rows = joined([s.nearest for s in self.states])
        i = int(np.argmin(rows.violation)) if len(rows) else 0
        return rows.take(slice(i, i + 1))


def begin(problem: Problem, seed: int, place: int, scheme: Scheme) -> Group:
    """Every tribe before its first batch."""
    states = tuple(
        isl.begin(problem, seed, place + _APART * t, scheme.small) for t in range(scheme.tribes)
    )
    return Group(states, ar.empty(problem.space.width, problem.enough), 0)


def blank(problem: Problem, seed: int, place: int, scheme: Scheme, tribes: int) -> Group:
    """A group of so many tribes, to be filled from a journal; a single one has been gathered."""
    group = begin(problem, seed, place, scheme)
    if tribes == 1 and scheme.tribes > 1:
        return replace(group, states=(_as_whole(group.states[0], place, scheme),))
    return replace(group, states=group.states[:tribes])


def _as_whole(state: State, place: int, scheme: Scheme) -> State:
    return replace(state, island=place + _APART * _GATHERED, settings=scheme.whole)


def active(group: Group, scheme: Scheme) -> list[int]:
    """Tribes whose turn it is."""
    if len(group.states) == 1 or group.states[0].round < scheme.alone:
        return [0]
    return [t for t, s in enumerate(group.states) if s.round < scheme.together]


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
    over = len(states) > 1 and all(s.round >= scheme.together for s in states)
    return _gathered(after, place, scheme) if over else after


def _gathered(group: Group, place: int, scheme: Scheme) -> Group:
    """What lives in all tribes as one population."""
    rows = joined([s.population for s in group.states])
    first = _as_whole(group.states[0], place, scheme)
    kept = survivors(clipped(rows.F, group.archive.enough), rows.violation, scheme.whole.population)
    state = replace(
        first, population=rows.take(kept.keep), rank=kept.rank, lonely=kept.lonely, stalled=0,
        nearest=group.nearest,
    )  # fmt: skip
    return replace(group, states=(state,))
