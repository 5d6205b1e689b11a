"""What the page tells about: keepers in order, the few worked out whole, old builds beside them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from explorer.brief.builds import Build
from explorer.brief.errors import BadInput
from explorer.brief.read import Study
from explorer.drives.assemble import tag
from explorer.drives.shelf import Shelf
from explorer.drives.values import values_of
from explorer.report.choose import SHORT, Choice, short_row, stands_out, to_begin_with
from explorer.scoring.limits import AIM_BY_NAME, AimRule
from explorer.scoring.open import open_drive, shelf_for, space_for
from explorer.scoring.score import Detail, Scores, detail, scores_of
from explorer.scoring.stops import clashes
from explorer.show import facts, proof
from explorer.show.find import refuse
from explorer.show.plain import Table
from explorer.study.records import Kept, StudyResult

FAMILY = {"L": "levers", "W": "winder", "D": "differential"}
MOST_SHOWN = 300  # keepers in figures and table; all are in the data
# Keepers solved exactly, in the order of `to_begin_with`, until one keeps its limits so.
MOST_TRIED = 40


@dataclass(frozen=True)
class Entry:
    """One drive in figures and tables: a keeper, a nearest miss, a beaten one, an old build."""

    name: str
    architecture: str
    kind: str  # "keeper", "miss", "beaten", "build"
    aims: Mapping[str, float]
    fits: bool
    short: str = ""  # an old build's name where there is little room

    @property
    def tag(self) -> str:
        """Two letters, first and second stage."""
        return tag(self.architecture)

    @property
    def family(self) -> str:
        """The first stage in one word."""
        return FAMILY[self.tag[0]]


@dataclass(frozen=True)
class Whole:
    """One drive worked out whole, as `show` tells it."""

    entry: Entry
    detail: Detail
    scores: Scores
    facts: Table


@dataclass(frozen=True)
class Gathered:
    """Everything the page is written from."""

    study: Study
    result: StudyResult
    shelf: Shelf
    aims: tuple[AimRule, ...]
    enough: Mapping[str, float]
    keepers: tuple[Entry, ...]
    others: tuple[Entry, ...]  # nearest misses, and drives that fit but are beaten
    builds: tuple[Entry, ...]
    unread: tuple[tuple[str, str], ...]  # old builds that cannot be read, and why
    choices: tuple[Choice, ...]
    start: str | None  # the one to start with, where there is a choice
    whole: Mapping[str, Whole]

    @property
    def searching(self) -> bool:
        """True while more may be found than the page shows."""
        return self.result.state in {"running", "interrupted"}

    @property
    def figured(self) -> tuple[Entry, ...]:
        """The keepers that figures and table show."""
        return self.keepers[:MOST_SHOWN]

    def find(self, name: str) -> Entry:
        """A drive of the page by its name."""
        return next(e for e in (*self.keepers, *self.others, *self.builds) if e.name == name)


def gather(study: Study, result: StudyResult, with_: Sequence[str] = ()) -> Gathered:
    """Everything for the page; BadInput where `with_` names a drive that is not there."""
    shelf = shelf_for(study)
    aims = _aims(study, result)
    enough = {a.name: a.enough for a in study.brief.aims if a.enough is not None}
    kept = {k.name: k for k in (*result.keepers, *result.misses)}
    keepers = _in_order(aims, [_entry(k, "keeper") for k in result.keepers if k.keeper and k.fits])
    unbeaten = {e.name for e in keepers}
    others = tuple(
        _entry(k, "beaten" if k.fits else "miss") for k in kept.values() if k.name not in unbeaten
    )
    read, unread = _builds(study, shelf)
    builds = tuple(w.entry for w in read)
    choices = short_row(aims, enough, keepers, builds)
    wanted = [c.name for c in choices] + _known(with_, kept, builds)
    wanted += [e.name for e in others if e.name not in wanted]
    found = {
        n: _whole(study, shelf, kept[n], _by_name(keepers, others, n)) for n in wanted if n in kept
    }
    whole = found | {w.entry.name: w for w in read}

    def worked(entry: Entry) -> Whole:
        return found.get(entry.name) or _whole(study, shelf, kept[entry.name], entry)

    best = _first_to_build(aims, enough, keepers, worked)
    start = None if best is None else best.entry.name
    if best is not None and all(c.name != start for c in choices):
        why = "most even of those that give all" if stands_out(best.entry, keepers) else "most even"
        choices = (Choice(best.entry.name, why), *choices[: SHORT - 1])
        whole[best.entry.name] = best
    choices = tuple(
        c if keeps_when_exact(whole[c.name]) else Choice(c.name, f"{c.why}; check leans")
        for c in choices
    )
    return Gathered(
        study, result, shelf, aims, enough, keepers, others, builds, unread, choices, start, whole
    )


def keeps_when_exact(whole: Whole) -> bool:
    """Whether a drive keeps its limits with links at their true lengths: else no pack is made of it."""
    exact = whole.facts["exact"]
    return isinstance(exact, dict) and bool(exact["solved"]) and not exact["breaks"]


def _first_to_build(
    aims: Sequence[AimRule],
    enough: Mapping[str, float],
    keepers: Sequence[Entry],
    worked: Callable[[Entry], Whole],
) -> Whole | None:
    """The first keeper to build, of those that a build pack can be made of.

    None where the first few dozen do not.
    """
    for i in to_begin_with(aims, enough, keepers)[:MOST_TRIED]:
        found = worked(keepers[i])
        if keeps_when_exact(found) and not clashes(found.detail):
            return found
    return None


def _aims(study: Study, result: StudyResult) -> tuple[AimRule, ...]:
    """The asked aims that the drives have scores for: a hand that only carries has no grip."""
    rows = [k.aims for k in (*result.keepers, *result.misses)]
    asked = [AIM_BY_NAME[a.name] for a in study.brief.aims]
    return tuple(a for a in asked if all(a.name in row for row in rows))


def _entry(kept: Kept, kind: str) -> Entry:
    return Entry(kept.name, kept.architecture, kind, dict(kept.aims), kept.fits)


def _in_order(aims: Sequence[AimRule], entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Best on the first aim first; equals by name."""
    if not aims:
        return tuple(sorted(entries, key=lambda e: e.name))
    a = aims[0]
    return tuple(
        sorted(entries, key=lambda e: (-e.aims[a.name] if a.more else e.aims[a.name], e.name))
    )


def _by_name(keepers: Sequence[Entry], others: Sequence[Entry], name: str) -> Entry:
    return next(e for e in (*keepers, *others) if e.name == name)


def _known(with_: Sequence[str], kept: Mapping[str, Kept], builds: Sequence[Entry]) -> list[str]:
    old = {b.name for b in builds}
    for name in with_:
        if name not in kept and name not in old:
            listed = ", ".join(list(kept)[:8]) or "none yet"
            raise refuse("--with", f"the study has no drive {name!r}.", f"Its drives: {listed}")
    return [name for name in dict.fromkeys(with_) if name in kept]


def _whole(study: Study, shelf: Shelf, kept: Kept, entry: Entry) -> Whole:
    space = space_for(shelf, kept.architecture, kept.single)
    d = detail(space, np.array([kept.x]))
    values = values_of(space, np.array(kept.x))
    if len(shelf.demand.fingers) == 3:
        values["single"] = space.single
    build = Build(kept.name, kept.architecture, values, {})  # type: ignore[arg-type]
    return _worked(study, build, d, entry)


def _worked(study: Study, build: Build, d: Detail, entry: Entry) -> Whole:
    scores = scores_of(d)
    return Whole(entry, d, scores, facts.facts(study, build, d, scores, proof.solved(d)))


def _builds(study: Study, shelf: Shelf) -> tuple[list[Whole], tuple[tuple[str, str], ...]]:
    """Old builds scored by the same code; one that cannot be read is named with its reason."""
    read: list[Whole] = []
    unread: list[tuple[str, str]] = []
    for n, build in enumerate(study.builds, start=1):
        try:
            opened = open_drive(shelf, build)
        except BadInput as error:
            unread.append((build.name, error.problems[0].message))
            continue
        d = detail(opened.space, opened.X)
        scores = scores_of(d)
        aims = {name: float(v[0]) for name, v in scores.aims.items()}
        entry = Entry(
            build.name, build.architecture, "build", aims, bool(scores.feasible[0]), f"old {n}"
        )
        read.append(Whole(entry, d, scores, facts.facts(study, build, d, scores, proof.solved(d))))
    return read, tuple(unread)


def finite(value: float) -> float | None:
    """A number, or None where it stands for "no limit"."""
    return value if math.isfinite(value) else None
