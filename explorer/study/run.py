"""The long run: begin or take up a study, round after round, each journaled before it is told.

Beginning and taking up are one path: the state is read from the journal, or is that before the first
round.  No clock reaches the search; time only decides, between rounds, when to stop.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from explorer.brief.errors import RANK_VALUE, BadInput, Problem
from explorer.brief.read import Study
from explorer.mechanics.types import Floats
from explorer.study import journal, rounds, saved, system
from explorer.study import standing as st
from explorer.study.ask import Ask
from explorer.study.blob import BadBlob
from explorer.study.crew import Stopped, crew_of
from explorer.study.journal import Line, Recorded
from explorer.study.keepers import Front
from explorer.study.plan import (
    DEFAULT_SEED,
    SCHEME,
    algorithm_in,
    identity_of,
    other_machine,
    plan_of,
    refuse_other,
    scheme_for,
    seeds_from,
)
from explorer.study.read import ask_in, is_done, progress_of, read_result, share_done, standing_of
from explorer.study.records import Kept, Progress, StudyResult
from explorer.study.rounds import Conveyor
from explorer.study.standing import Standing
from explorer.study.stints import Plan
from explorer.study.tribes import Group, Scheme


@dataclass(frozen=True)
class Begun:
    """A run begins, or goes on from `round` at `seconds` on its clock; `algorithm`: the stock one it searches by."""

    brief_hash: str
    seed: int
    workers: int
    round: int
    seconds: float
    warning: str = ""
    algorithm: str = ""


@dataclass(frozen=True)
class Went:
    """A round is over and saved.  `nearest`: the nearest miss while nothing fits."""

    progress: Progress
    share_done: float | None
    nearest: Kept | None


Tell = Callable[[Begun | Went], None]


@dataclass
class _Course:
    """What changes from round to round."""

    groups: list[Group]
    front: Front
    tables: list[Floats]
    standing: Standing
    last: Line | None
    since_whole: int  # bytes of differences since the last whole state
    whole: int  # bytes of that
    seconds: float
    new_at: float


def run_study(
    study: Study,
    ask: Ask,
    tell: Tell,
    *,
    scheme: Scheme = SCHEME,
    from_round: int | None = None,
) -> StudyResult:
    """Searches until what was asked for is done, or somebody stops it; the result so far either way.

    Raises BadInput, StudyBusy, JournalDamaged or CannotWrite.  `from_round` drops all later rounds first.
    """
    with system.locked(study.folder), system.stoppable() as stop:
        plan, recorded = _opened(study, ask, scheme, from_round)
        course = _restored(study, plan, recorded)
        ask = ask_in(recorded) if not ask.workers else _with_workers(ask_in(recorded), ask.workers)
        tell(Begun(
            study.brief.hash6, plan.seeds[0], ask.crew, course.standing.round, course.seconds,
            other_machine(recorded.identity, study, plan), plan.scheme.whole.algorithm,
        ))  # fmt: skip
        _search(study, plan, recorded, course, ask, tell, stop)
        over = is_done(ask, course.standing, course.seconds)
        return read_result(study.folder, "done" if over else "interrupted")


def _with_workers(ask: Ask, workers: int) -> Ask:
    return replace(ask, workers=workers)


def _opened(
    study: Study, ask: Ask, scheme: Scheme, from_round: int | None
) -> tuple[Plan, Recorded]:
    """What is searched, and the journal, made where there was none, with what is now asked for."""
    folder = study.folder
    wanted = {"evaluations": ask.evaluations, "seconds": ask.seconds, "workers": ask.workers}
    if not _is_begun(study):
        seeds = seeds_from(DEFAULT_SEED if ask.seed is None else ask.seed)
        plan = plan_of(study, seeds, scheme_for(ask.algorithm, scheme))
        journal.create(folder, identity_of(study, plan), wanted)
        return plan, journal.read(folder)
    recorded = journal.read(folder, 2**62 if from_round is None else from_round)
    seeds = tuple(recorded.identity["seeds"]) if ask.seed is None else seeds_from(ask.seed)
    algorithm = ask.algorithm or algorithm_in(recorded.identity)
    plan = plan_of(study, seeds, scheme_for(algorithm, scheme))
    refuse_other(study, plan, recorded.identity)
    plan = replace(plan, taken=tuple(recorded.identity["taken"]))
    if from_round is not None:
        _cut(study, recorded, from_round)
    if ask.length_given:
        with journal.writing(folder) as db:
            journal.add_ask(db, wanted)
        recorded = journal.read(folder)
    return plan, recorded


def _is_begun(study: Study) -> bool:
    """Whether there is a journal; an empty file left by a kill before its first word is none."""
    if not journal.exists(study.folder):
        return False
    path = study.folder / journal.JOURNAL
    wal = study.folder / f"{journal.JOURNAL}-wal"
    if path.stat().st_size == 0 and not (wal.exists() and wal.stat().st_size):
        with suppress(OSError):
            path.unlink()
        return False
    return not journal.is_blank(study.folder)


def _cut(study: Study, recorded: Recorded, upto: int) -> None:
    if not 0 <= upto <= len(recorded.lines) or (upto and not journal.going_on(recorded.lines)):
        able = "that round's state is not kept any more"
        raise BadInput([Problem(
            "--from", None, "", str(upto), "the round that a damaged journal's message names",
            "Leave it out, or begin anew.", f"cannot go on from round {upto}: {able}.", RANK_VALUE,
        )])  # fmt: skip
    with journal.writing(study.folder) as db:
        journal.cut(db, upto)


def _restored(study: Study, plan: Plan, recorded: Recorded) -> _Course:
    """The course as the journal left it; before the first round, where it has none."""
    width = max(len(p.design.variables) for p in plan.problems)
    first = next((i for i in reversed(range(len(recorded.lines))) if recorded.lines[i].whole), 0)
    lines = recorded.lines[first:]
    try:
        groups, front, tables = saved.restored(plan, width, [s.state or b"" for s in lines])
    except BadBlob as error:
        raise journal.damaged(study.folder, recorded.lines[-1].round, str(error)) from error
    clock = _clock(recorded)
    return _Course(
        list(groups), front, tables, standing_of(recorded), recorded.lines[-1] if recorded.lines else None,
        sum(s.size for s in lines[1:]), lines[0].size if lines else 0, clock["seconds"], clock["new_at"],
    )  # fmt: skip


def _clock(recorded: Recorded) -> Mapping[str, float]:
    if not recorded.lines:
        return {"seconds": 0.0, "new_at": 0.0}
    found: Mapping[str, float] = json.loads(recorded.lines[-1].clock)
    return found


def _search(
    study: Study,
    plan: Plan,
    recorded: Recorded,
    course: _Course,
    ask: Ask,
    tell: Tell,
    stop: system.Stop,
) -> None:
    """Rounds until done or stopped."""
    if is_done(ask, course.standing, course.seconds):
        return
    begun = time.monotonic() - course.seconds
    with (
        journal.writing(study.folder) as db,
        crew_of(plan, ask.crew, lambda: stop.asked) as crew,
        suppress(Stopped),
    ):
        conveyor = Conveyor(plan, course.groups, crew)
        while not stop.asked and not is_done(ask, course.standing, course.seconds):
            played = rounds.play(
                conveyor, course.standing.round + 1, st.resting(plan, course.standing)
            )
            before = set(course.standing.keepers)
            course.front, course.standing, text = st.closed(
                plan, course.standing, course.front, conveyor.groups, played
            )
            course.seconds = time.monotonic() - begun
            if not before.issuperset(course.standing.keepers):
                course.new_at = course.seconds
            course.last = journal.append(
                db, course.last, recorded.genesis, _line(course, conveyor.groups, text)
            )
            tell(_went(recorded, course, ask))


def _line(course: _Course, groups: list[Group], text: dict[str, Any]) -> Line:
    """The round as it will stand in the journal; a whole state where the differences outweigh the last."""
    after = saved.tables(groups, course.front)
    whole = course.last is None or course.since_whole > course.whole
    data = saved.state_bytes(groups, course.front, after, None if whole else course.tables)
    course.tables = after
    course.whole = len(data) if whole else course.whole
    course.since_whole = 0 if whole else course.since_whole + len(data)
    clock = journal.as_json({"seconds": course.seconds, "new_at": course.new_at})
    return Line(
        course.standing.round,
        journal.as_json(text),
        clock,
        whole,
        len(data),
        data,
        journal.sha(data),
        "",
        "",
    )


def _went(recorded: Recorded, course: _Course, ask: Ask) -> Went:
    now = course.standing
    nearest = None
    if not now.keepers and now.misses:
        name = min(now.misses.values(), key=lambda m: m[1])[0]
        nearest = next(k for k in now.named if k.name == name)
    return Went(
        progress_of(recorded.identity, now, course.seconds, course.new_at),
        share_done(ask, now.looked_at, course.seconds), nearest,
    )  # fmt: skip
