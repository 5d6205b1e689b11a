"""What is searched, and a worker's piece of it: some batches of one design space, all seeds and tribes.

A piece is a plain function of the groups it begins with, so it may be done twice, by anybody, and all seeds of a
space in one piece or each in its own, with the same result.  The groups travel without their archives: only what
the batches found comes back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import moocore
import numpy as np

from explorer.mechanics.types import Floats
from explorer.search import archive as ar
from explorer.search.problem import Rows, Scored, checked, joined
from explorer.search.ranks import clipped
from explorer.search.space import trimmed
from explorer.study import tribes
from explorer.study.problem import NOTHING, Counts, DriveProblem
from explorer.study.tribes import Group, Scheme


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


@dataclass(frozen=True)
class Stint:
    """So many batches of the design space `place`, from these groups on, those of all its seeds or of some."""

    place: int
    groups: tuple[Group, ...]
    batches: int


@dataclass(frozen=True)
class Brought:
    """The groups after a stint, their archives holding only its finds; what fits and no other beats; counts."""

    groups: tuple[Group, ...]
    fits: Rows
    counts: Counts


def asked(place: int, groups: Sequence[Group], batches: int) -> Stint:
    """The stint of these groups of a space, ready to travel: no archives."""
    return Stint(place, tuple(_light(g) for g in groups), batches)


def _light(group: Group) -> Group:
    width = group.archive.kept.X.shape[1]
    return replace(group, archive=ar.empty(width, group.archive.enough))


def done(plan: Plan, stint: Stint) -> Brought:
    """Does the work of a stint."""
    problem, start = plan.problems[stint.place], plan.starts[stint.place]
    groups, counts = list(stint.groups), NOTHING
    fits: list[list[Rows]] = [[] for _ in groups]
    for _ in range(stint.batches):
        parts = [
            (
                g,
                t,
                tribes.proposed(
                    group.states[t],
                    problem,
                    start if t == 0 else None,
                ),
            )
            for g, group in enumerate(groups)
            for t in tribes.active(group, plan.scheme)
        ]
        upto = [np.full(len(X), tribes.worth(groups[g].states[t])) for g, t, X in parts]
        X = trimmed(problem.space, np.concatenate([X for _, _, X in parts]))
        judged = problem.judge(X, np.concatenate(upto))
        rows, found = _shared_out(problem, parts, X, judged.scored)
        groups = [
            tribes.survived(group, stint.place, plan.scheme, came)
            for group, came in zip(groups, found, strict=True)
        ]
        counts = counts + judged.counts
        for (g, _, _), r in zip(parts, rows, strict=True):
            fits[g].append(r.take(r.feasible))
    # Seed by seed, so that the order does not tell whether they were done together.
    return Brought(tuple(groups), unbeaten([r for rows in fits for r in rows], problem), counts)


def together(parts: Sequence[Brought], problem: DriveProblem) -> Brought:
    """What several stints of a space brought, one group after another, as one."""
    if len(parts) == 1:
        return parts[0]
    counts = NOTHING
    for b in parts:
        counts = counts + b.counts
    groups = tuple(g for b in parts for g in b.groups)
    return Brought(groups, unbeaten([b.fits for b in parts], problem), counts)


def _shared_out(
    problem: DriveProblem, parts: Sequence[tuple[int, int, Floats]], X: Floats, scored: Scored
) -> tuple[list[Rows], list[list[tuple[int, Rows]]]]:
    """The scored rows of each part, and by group with their tribe."""
    rows = list[Rows]()
    found: list[list[tuple[int, Rows]]] = [[] for _ in range(1 + parts[-1][0])]
    at = 0
    for g, t, proposed in parts:
        end = at + len(proposed)
        part = Scored(scored.F[at:end], scored.violation[at:end], scored.tie[at:end])
        rows.append(checked(X[at:end], part, problem.enough))
        found[g].append((t, rows[-1]))
        at = end
    return rows, found


def brought_home(group: Group, after: Group) -> Group:
    """The group after a stint, with its own archive and what the stint found."""
    archive = group.archive
    for rows in (after.archive.kept, after.archive.waiting):
        archive = ar.added(archive, rows)
    return replace(after, archive=archive)


def unbeaten(parts: Sequence[Rows], problem: DriveProblem) -> Rows:
    """Rows that no other of these beats."""
    rows = joined(list(parts))
    if not len(rows):
        return rows
    C = np.ascontiguousarray(clipped(rows.F, problem.enough))
    return rows.take(np.asarray(moocore.is_nondominated(C, keep_weakly=True)))
