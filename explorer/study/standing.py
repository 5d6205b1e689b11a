"""Where a study stands after a round: counts, names given, keepers, nearest misses, how much is covered.

A standing is folded from the journal's texts, one after another, and each round's text is written from
it, so that a run that is taken up knows the same as one that never stopped.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any

import numpy as np

from explorer.drives.assemble import ARCHITECTURES, tag
from explorer.mechanics.types import Floats
from explorer.scoring.score import score
from explorer.search.measure import Course, agree, growth, spread, still
from explorer.search.problem import Rows, joined
from explorer.search.ranks import clipped
from explorer.study import keepers as kp
from explorer.study.keepers import Front
from explorer.study.problem import NOTHING, Counts, DriveProblem, counts_of
from explorer.study.records import Covered, Kept
from explorer.study.rounds import Measured, Played, is_told
from explorer.study.stints import Plan
from explorer.study.tribes import Group

_NEARER = (
    0.98  # a nearest miss gets a name of its own when it misses by this share of the last named
)
_QUIET_ROUNDS = 20
_QUIET_BATCHES = 250  # batches of a group without a fit before it may count as settled
_QUIET = 0.99  # its least violation shrank to no less than this share over the last half


@dataclass(frozen=True)
class Point:
    """One measurement of a group: drives looked at, hypervolume, least violation."""

    evaluations: int
    volume: float
    violation: float


@dataclass(frozen=True)
class Standing:
    """After a round.  `seed_best`: a seed each, aims made small; `settled_at`: drives when it last was, 0 never.

    `counts` and `joint`, the course of all its groups together, are a space each; `courses` a group each.
    """

    round: int
    counts: tuple[Counts, ...]
    named: tuple[Kept, ...]
    keepers: tuple[str, ...]
    misses: Mapping[str, tuple[str, float]]
    shown: Mapping[str, str]
    courses: tuple[tuple[Point, ...], ...]
    joint: tuple[tuple[Point, ...], ...]
    best: tuple[float, ...]
    seed_best: tuple[tuple[float, ...], ...]
    settled: bool = False
    settled_at: int = 0

    @property
    def looked_at(self) -> int:
        """Drives looked at over all."""
        return sum(c.looked_at for c in self.counts)

    @property
    def faults(self) -> int:
        """Drives that could not be scored."""
        return sum(c.faults for c in self.counts)


def begin(spaces: int, islands: int) -> Standing:
    """Before the first round."""
    return Standing(0, (NOTHING,) * spaces, (), (), {}, {}, ((),) * islands, ((),) * spaces, (), ())


def folded(standing: Standing, text: Mapping[str, Any]) -> Standing:
    """The standing after one more journaled round."""
    courses, joint = standing.courses, standing.joint
    if text["volumes"]:
        points = [
            Point(*p)
            for p in zip(text["evaluations"], text["volumes"], text["violations"], strict=True)
        ]
        courses = tuple((*c, p) for c, p in zip(courses, points, strict=True))
        n = len(courses) // len(joint)
        joint = tuple(
            (*c, _together(points[i * n : i * n + n], volume))
            for i, (c, volume) in enumerate(zip(joint, text["together"], strict=True))
        )
    after = Standing(
        standing.round + 1,
        tuple(counts_of(c) for c in text["counts"]),
        (*standing.named, *(_kept(k) for k in text["named"])),
        tuple(text["keepers"]),
        {a: (m[0], m[1]) for a, m in text["misses"].items()},
        dict(text["shown"]),
        courses,
        joint,
        tuple(text["best"]),
        tuple(tuple(b) for b in text["seed_best"]) or standing.seed_best,
        settled_at=standing.settled_at,
    )
    return _marked(after, settled=bool(text.get("settled", False)))


def _marked(standing: Standing, *, settled: bool) -> Standing:
    """The standing that has settled or not."""
    at = standing.looked_at if settled else standing.settled_at
    return replace(standing, settled=settled, settled_at=at)


def _together(points: Sequence[Point], volume: float) -> Point:
    """What the groups of a space are together, where their joint front covers so much."""
    return Point(sum(p.evaluations for p in points), volume, min(p.violation for p in points))


def _kept(k: Mapping[str, Any]) -> Kept:
    return Kept(
        k["name"], k["architecture"], k["single"], tuple(k["x"]), dict(k["aims"]), dict(k["slacks"]),
        k["fits"], keeper=False, seen_at=k["seen_at"], seconds=0.0,
    )  # fmt: skip


def _plain(k: Kept) -> dict[str, Any]:
    return {
        "name": k.name, "architecture": k.architecture, "single": k.single, "x": list(k.x),
        "aims": dict(k.aims), "slacks": dict(k.slacks), "fits": k.fits, "seen_at": k.seen_at,
    }  # fmt: skip


@dataclass
class _Namer:
    """Gives names, each once: two letters of the architecture and its next number."""

    plan: Plan
    given: list[Kept]
    new: list[Kept]
    seen_at: int

    def name(self, place: int, X: Floats) -> list[int]:
        """Names for vectors X (n,V) of a space; places in the list of names, counted from 1."""
        design = self.plan.problems[place].design
        scores = score(design, X)
        names = self._free(tag(design.architecture))
        for i in range(len(X)):
            kept = Kept(
                next(names), design.architecture, design.single,
                tuple(X[i].tolist()), {a: float(v[i]) for a, v in scores.aims.items()},
                {a: float(v[i]) for a, v in scores.slacks.items()}, bool(scores.feasible[i]),
                keeper=False, seen_at=self.seen_at, seconds=0.0,
            )  # fmt: skip
            self.new.append(kept)
        last = len(self.given) + len(self.new)
        return list(range(last - len(X) + 1, last + 1))

    def _free(self, letters: str) -> Iterator[str]:
        """Names after the last of these letters; what an old build is called stays its own."""
        last = next(
            (k.name for k in reversed((*self.given, *self.new)) if k.name.startswith(letters)), "-0"
        )
        names = (f"{letters}-{n:02d}" for n in count(int(last.partition("-")[2]) + 1))
        return (n for n in names if n not in self.plan.taken)

    def called(self, number: int) -> Kept:
        """The drive at a place of the list."""
        at = number - 1 - len(self.given)
        return self.given[number - 1] if at < 0 else self.new[at]


def closed(
    plan: Plan, standing: Standing, front: Front, groups: Sequence[Group], played: Played
) -> tuple[Front, Standing, dict[str, Any]]:
    """The front with names, the standing after the round, and the round's text for the journal."""
    counts = tuple(a + b for a, b in zip(standing.counts, played.counts, strict=True))
    width = front.archive.kept.X.shape[1] - kp.FROM
    front = kp.grown(front, [kp.marked(r, p, width) for p, r in enumerate(played.newcomers)])
    namer = _Namer(plan, list(standing.named), [], sum(c.looked_at for c in counts))
    keepers, shown = list(standing.keepers), dict(standing.shown)
    misses = standing.misses
    is_first = not keepers and any(len(rows) for rows in played.newcomers)
    if is_first or is_told(standing.round + 1):
        front, keepers = _keepers(plan, front, namer)
        front, keepers, shown = _beaten(plan, front, groups, counts, shown, keepers, namer)
        misses = _misses(plan, groups, counts, misses, namer)
    measured = bool(played.measured)
    kept = front.archive.kept
    text: dict[str, Any] = {
        "counts": [c.row() for c in counts],
        "named": [_plain(k) for k in namer.new],
        "keepers": keepers,
        "misses": {a: list(m) for a, m in misses.items() if not _fits(plan, counts, a)},
        "shown": shown,
        "volumes": [v for m in played.measured for v in m.alone],
        "together": [m.together for m in played.measured],
        "evaluations": [s.evaluations for s in groups] if measured else [],
        "violations": [_least(s) for s in groups] if measured else [],
        "best": kept.F.min(axis=0).tolist() if len(kept) else [],
        "seed_best": [_seed_best(plan, groups, n) for n in range(len(plan.seeds))]
        if measured
        else [],
    }
    after = folded(standing, text)
    text["settled"] = settled(plan, after)
    return front, _marked(after, settled=text["settled"]), text


def _least(group: Group) -> float:
    return float(group.nearest.violation[0])


def _seed_best(plan: Plan, groups: Sequence[Group], n: int) -> list[float]:
    """Least of each aim over the groups of one seed; nothing where nothing fits."""
    rows = joined_aims([groups[i] for i in range(n, len(groups), len(plan.seeds))])
    return rows.min(axis=0).tolist() if len(rows) else []


def joined_aims(groups: Sequence[Group]) -> Floats:
    """Aims (N,M) of all that is archived."""
    return np.concatenate([f for s in groups for f in (s.archive.kept.F, s.archive.waiting.F)])


def _keepers(plan: Plan, front: Front, namer: _Namer) -> tuple[Front, list[str]]:
    """Chooses keepers of the front and names those that have none."""
    index, widen = kp.chosen(front, plan.problems[0].aims)
    front = _named(plan, kp.with_names(front, index[:0], np.empty(0), widen), index, namer)
    numbers = front.archive.kept.X[index, kp.NAME]
    return front, [namer.called(int(n)).name for n in numbers]


def _named(
    plan: Plan, front: Front, index: np.ndarray[Any, np.dtype[np.int64]], namer: _Namer
) -> Front:
    """The front where each of these rows has a name."""
    X = front.archive.kept.X
    for place, problem in enumerate(plan.problems):
        mine = index[(X[index, kp.PLACE] == place) & (X[index, kp.NAME] == 0.0)]
        if len(mine):
            V = len(problem.design.variables)
            numbers = namer.name(place, np.ascontiguousarray(X[mine, kp.FROM : kp.FROM + V]))
            front = kp.with_names(front, mine, np.array(numbers, dtype=np.float64), front.widen)
    return front


def _fits(plan: Plan, counts: Sequence[Counts], architecture: str) -> int:
    """Drives of an architecture that fit."""
    return sum(
        c.fits
        for c, p in zip(counts, plan.problems, strict=True)
        if p.design.architecture == architecture
    )


def _places(plan: Plan, architecture: str) -> list[int]:
    return [p for p, d in enumerate(plan.problems) if d.design.architecture == architecture]


def _islands(plan: Plan, groups: Sequence[Group], architecture: str) -> list[tuple[int, Group]]:
    """(space, group) of an architecture."""
    return [(p, groups[i]) for p in _places(plan, architecture) for i in plan.of(p)]


def _misses(
    plan: Plan, groups: Sequence[Group], counts: Sequence[Counts],
    before: Mapping[str, tuple[str, float]], namer: _Namer,
) -> dict[str, tuple[str, float]]:  # fmt: skip
    """Nearest miss of each architecture in which nothing fits: name and violation."""
    out: dict[str, tuple[str, float]] = {}
    for a in ARCHITECTURES:
        if _fits(plan, counts, a) or not _places(plan, a):
            continue
        place, group = min(_islands(plan, groups, a), key=lambda ps: _least(ps[1]))
        if a in before and _least(group) >= _NEARER * before[a][1]:
            out[a] = before[a]
        else:
            number = namer.name(place, group.nearest.X)[0]
            out[a] = (namer.called(number).name, _least(group))
    return out


def _beaten(
    plan: Plan, front: Front, groups: Sequence[Group], counts: Sequence[Counts],
    before: Mapping[str, str], keepers: list[str], namer: _Namer,
) -> tuple[Front, list[str], dict[str, str]]:  # fmt: skip
    """Each architecture that fits but has no keeper: its best, and a keeper that beats it."""
    there = {int(p) for p in np.unique(front.archive.kept.X[:, kp.PLACE])}
    shown: dict[str, str] = {}
    for a in ARCHITECTURES:
        if not _fits(plan, counts, a) or there & set(_places(plan, a)):
            continue
        number, F = _shown(plan, _islands(plan, groups, a), before, namer)
        better = kp.beaten_by(front, F)[:1]
        if len(better):
            front = _named(plan, front, better, namer)
            by = namer.called(int(front.archive.kept.X[better[0], kp.NAME])).name
            shown[namer.called(number).name] = by
            keepers = keepers if by in keepers else [*keepers, by]
    return front, keepers, shown


def _shown(
    plan: Plan, islands: Sequence[tuple[int, Group]], before: Mapping[str, str], namer: _Namer
) -> tuple[int, Floats]:
    """Place in the list of names of an architecture's best drive in the first aim, and its aims (M,)."""
    found: list[tuple[float, int, Rows]] = []
    for place, s in islands:
        rows = joined([s.archive.kept, s.archive.waiting])
        if len(rows):
            C = clipped(rows.F, s.archive.enough)
            i = int(np.lexsort(C.T[::-1])[0])
            found.append((float(C[i, 0]), place, rows.take(slice(i, i + 1))))
    _, place, row = min(found, key=lambda f: f[:2])
    problem = plan.problems[place]
    for n, k in enumerate(namer.given, start=1):
        if k.name in before and k.architecture == problem.design.architecture:
            F = _small(problem, k)
            if F[0] - row.F[0, 0] < problem.aims.apart[0]:
                return n, F
    return namer.name(place, row.X)[0], np.asarray(row.F[0])


def _small(problem: DriveProblem, kept: Kept) -> Floats:
    """Aims (M,) of a named drive, all made small."""
    return np.array(
        [s * kept.aims[n] for n, s in zip(problem.aims.names, problem.aims.sign, strict=True)]
    )


def settled(plan: Plan, standing: Standing) -> bool:
    """Whether more searching would hardly change anything: every space is, over all its seeds."""
    return bool(_settled_spaces(plan, standing).issuperset(range(len(plan.problems))))


def resting(plan: Plan, standing: Standing) -> dict[int, Measured]:
    """Spaces that sit the next round out, as they are settled and others are not: what they cover."""
    still_ = _settled_spaces(plan, standing)
    if len(still_) == len(plan.problems):
        return {}
    return {
        p: Measured(
            tuple(standing.courses[i][-1].volume for i in plan.of(p)), standing.joint[p][-1].volume
        )
        for p in sorted(still_)
    }


def _settled_spaces(plan: Plan, standing: Standing) -> frozenset[int]:
    batch = plan.scheme.small.batch
    return frozenset(
        p
        for p, joint in enumerate(standing.joint)
        if joint and covered("", [standing.courses[i] for i in plan.of(p)], joint, batch).settled
    )


def covered(
    architecture: str, courses: Sequence[Sequence[Point]], joint: Sequence[Point], batch: int
) -> Covered:
    """How far the groups of one space have come, alone and together."""
    together = Course(
        np.array([float(p.evaluations) for p in joint]), np.array([p.volume for p in joint])
    )
    volumes = [c[-1].volume for c in courses]
    if all(c[-1].violation > 0.0 for c in courses):
        settled_ = all(_quiet(c, batch) for c in courses)
    else:
        settled_ = still(together) and (len(courses) == 1 or agree(volumes))
    return Covered(architecture, growth(together), spread(volumes), settled_)


def _quiet(course: Sequence[Point], batch: int) -> bool:
    """Whether a group in which nothing fits has stopped coming nearer."""
    last = course[-1]
    if len(course) < _QUIET_ROUNDS or last.evaluations < _QUIET_BATCHES * batch:
        return False
    half = [p for p in course if 2 * p.evaluations <= last.evaluations]
    return bool(half) and last.violation >= _QUIET * half[-1].violation


def with_clock(standing: Standing, seconds: Mapping[str, float]) -> tuple[Kept, ...]:
    """All named drives with the time at which each was named, and whether it is a keeper now."""
    now = set(standing.keepers)
    return tuple(
        replace(k, keeper=k.name in now, seconds=seconds.get(k.name, 0.0)) for k in standing.named
    )
