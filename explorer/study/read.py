"""A study's result, read from its journal; also while a run writes it."""

from __future__ import annotations

import difflib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from explorer.brief.builds import Build
from explorer.brief.errors import RANK_FILE, BadInput, Problem, short
from explorer.brief.read import Study
from explorer.drives.assemble import ARCHITECTURES
from explorer.drives.values import values_of
from explorer.scoring.limits import AIM_BY_NAME
from explorer.scoring.open import SINGLE, shelf_for, space_for
from explorer.study import journal, system
from explorer.study import standing as st
from explorer.study.ask import CAP, Ask, seconds_words
from explorer.study.journal import Recorded
from explorer.study.plan import algorithm_in, refuse_changed
from explorer.study.problem import NOTHING, Counts
from explorer.study.records import (
    Covered,
    Kept,
    Ledger,
    Progress,
    RunState,
    SeedAgreement,
    StudyResult,
)
from explorer.study.standing import Standing


def read_result(folder: Path, state: RunState | None = None) -> StudyResult:
    """Everything about the run so far; a study without a journal was never run.

    `state`, if the caller knows it: the process that runs a study must not ask who does.
    """
    name = folder.resolve().name
    if not journal.exists(folder):
        return StudyResult(
            name, "", "never run", (), 0, "until settled", None, False, 0, 0, 0.0, 0, (), (), {},  # noqa: FBT003
            (), (), (),
        )  # fmt: skip
    running = state is None and system.is_locked(folder)
    recorded = journal.read(folder)
    return _result(name, recorded, state or ("running" if running else None))


def result_for(study: Study) -> StudyResult:
    """The result of a study's folder; BadInput where it is of another brief."""
    if journal.exists(study.folder):
        refuse_changed(study, journal.read(study.folder).identity)
    return read_result(study.folder)


def drive_named(folder: Path, name: str) -> Kept:
    """A drive that a run has numbered, a keeper or not any more; BadInput with the nearest name."""
    found = _all_named(journal.read(folder)) if journal.exists(folder) else ()
    for kept in found:
        if kept.name == name:
            return kept
    near = difflib.get_close_matches(name, [k.name for k in found if k.keeper], n=1, cutoff=0.4)
    mend = f"Did you mean {near[0]}?" if near else f"Number some with: evener run {folder}"
    message = f"study {short(folder.resolve().name)} has no drive {short(name)}."
    raise BadInput([Problem(journal.JOURNAL, None, "", "", "", mend, message, RANK_FILE)])


def is_number(name: str) -> bool:
    """Whether a name looks like one that a run gives, as WC-09 does."""
    letters, dash, number = name.partition("-")
    return (
        bool(dash)
        and letters in {"LC", "LB", "WC", "WB", "DC", "DB"}
        and number.isascii()
        and number.isdigit()
    )


def build_of(study: Study, kept: Kept, brief_hash: str = "") -> Build:
    """A numbered drive as an entry of a build book; the hash is of the brief that it was found for."""
    space = space_for(shelf_for(study), kept.architecture, kept.single)
    values = dict(values_of(space, np.array(kept.x)))
    if len(study.brief.fingers) == 3:
        values[SINGLE] = kept.single
    return Build(
        name=kept.name, architecture=kept.architecture, values=values, lines={},  # type: ignore[arg-type]
        study=str(study.folder), brief_hash=brief_hash or study.brief.hash6, file=journal.JOURNAL,
    )  # fmt: skip


def numbered_build(study: Study, name: str) -> Build:
    """The build that a numbered drive of the study's journal is; BadInput where there is none."""
    kept = drive_named(study.folder, name)
    return build_of(study, kept, str(journal.read(study.folder).identity["brief_hash"]))


def ask_in(recorded: Recorded) -> Ask:
    """What was last asked for."""
    last = recorded.asks[-1]
    return Ask(last["evaluations"], last["seconds"], recorded.identity["seeds"][0], last["workers"])


def is_done(ask: Ask, standing: Standing, seconds: float) -> bool:
    """Whether what was asked for is done."""
    if ask.seconds is not None:
        return seconds >= ask.seconds
    if ask.evaluations is not None:
        return standing.looked_at >= ask.evaluations
    return standing.settled or standing.looked_at >= CAP


def share_done(ask: Ask, looked_at: int, seconds: float) -> float | None:
    """How much of it is done, where the end is known."""
    if ask.seconds is not None:
        return min(1.0, seconds / ask.seconds)
    return None if ask.evaluations is None else min(1.0, looked_at / ask.evaluations)


def asked_words(ask: Ask) -> str:
    """What was asked for, in words."""
    if ask.seconds is not None:
        return seconds_words(ask.seconds)
    return "until settled" if ask.evaluations is None else f"{ask.evaluations:,} drives"


def standing_of(recorded: Recorded) -> Standing:
    """Where the study stands after its last round."""
    return _History.of(recorded).last


@dataclass(frozen=True)
class _History:
    """Standing after the last round, the rounds worth a line of progress, and when drives were named."""

    last: Standing
    progress: tuple[Progress, ...]
    named_at: Mapping[str, float]
    seconds: float

    @staticmethod
    def of(recorded: Recorded) -> _History:
        """Fold all rounds."""
        spaces, seeds = len(recorded.identity["spaces"]), len(recorded.identity["seeds"])
        now, seconds = st.begin(spaces, spaces * seeds), 0.0
        progress: list[Progress] = []
        named_at: dict[str, float] = {}
        for line in recorded.lines:
            text, clock = json.loads(line.text), json.loads(line.clock)
            now, seconds = st.folded(now, text), float(clock["seconds"])
            named_at |= {k["name"]: seconds for k in text["named"]}
            if text["volumes"] or line is recorded.lines[-1]:
                progress.append(
                    progress_of(recorded.identity, now, seconds, float(clock["new_at"]))
                )
        return _History(now, tuple(progress), named_at, seconds)


def progress_of(
    identity: Mapping[str, Any], now: Standing, seconds: float, new_at: float
) -> Progress:
    """One line of progress."""
    return Progress(
        now.round, now.looked_at, seconds, len(now.keepers), seconds - new_at,
        _volumes(identity, now, range(len(identity["seeds"]))), _aims(identity, now.best),
    )  # fmt: skip


def _aims(identity: Mapping[str, Any], small: Sequence[float]) -> dict[str, float]:
    """Aims in their own sense from aims made small."""
    names = identity["aims"]
    return {
        n: -v if AIM_BY_NAME[n].more else v
        for n, v in zip(names, small, strict=False)
        if len(small)
    }


def _volumes(identity: Mapping[str, Any], now: Standing, seeds: Sequence[int]) -> dict[str, float]:
    """Hypervolume of each architecture, mean over these seeds; the better side of a three-finger hand."""
    n, out = len(identity["seeds"]), dict[str, float]()
    for place, space in enumerate(identity["spaces"]):
        courses = [now.courses[place * n + s] for s in seeds]
        if all(courses):
            mean = sum(c[-1].volume for c in courses) / len(courses)
            out[space[0]] = max(mean, out.get(space[0], 0.0))
    return out


def _all_named(recorded: Recorded) -> tuple[Kept, ...]:
    history = _History.of(recorded)
    return st.with_clock(history.last, history.named_at)


def _result(name: str, recorded: Recorded, state: RunState | None) -> StudyResult:
    identity, history, ask = recorded.identity, _History.of(recorded), ask_in(recorded)
    now = history.last
    named = {k.name: k for k in st.with_clock(now, history.named_at)}
    ended: RunState = "done" if is_done(ask, now, history.seconds) else "interrupted"
    nearest = [m[0] for m in now.misses.values()] + list(now.shown)
    return StudyResult(
        name=name,
        brief_hash=identity["brief_hash"],
        state=state or ended,
        seeds=tuple(identity["seeds"]),
        workers=ask.crew,
        asked=asked_words(ask),
        share_done=share_done(ask, now.looked_at, history.seconds),
        settled=now.settled,
        settled_at=now.settled_at,
        rounds=now.round,
        looked_at=now.looked_at,
        seconds=history.seconds,
        faults=now.faults,
        keepers=tuple(named[k] for k in now.keepers),
        misses=tuple(named[k] for k in nearest),
        shown=dict(now.shown),
        ledger=_ledger(identity, now, named),
        progress=history.progress,
        covered=_covered(identity, now),
        agreement=tuple(
            SeedAgreement(
                seed,
                _aims(identity, now.seed_best[i]) if now.seed_best else {},
                _volumes(identity, now, [i]),
            )
            for i, seed in enumerate(identity["seeds"])
        ),
        algorithm=algorithm_in(identity),
    )


def _covered(identity: Mapping[str, Any], now: Standing) -> tuple[Covered, ...]:
    """Each architecture; of the two sides of a three-finger hand the one that has come less far."""
    found: dict[str, list[Covered]] = {}
    batch, n = int(identity["scheme"]["small"]["batch"]), len(identity["seeds"])
    for place, space in enumerate(identity["spaces"]):
        if now.joint[place]:
            courses = now.courses[place * n : place * n + n]
            found.setdefault(space[0], []).append(
                st.covered(space[0], courses, now.joint[place], batch)
            )
    return tuple(
        min(each, key=lambda c: (c.settled, -(c.growth or 0.0))) for each in found.values()
    )


def _ledger(
    identity: Mapping[str, Any], now: Standing, named: Mapping[str, Kept]
) -> tuple[Ledger, ...]:
    counts: dict[str, Counts] = {}
    for space, came in zip(identity["spaces"], now.counts, strict=True):
        counts[space[0]] = counts.get(space[0], NOTHING) + came
    kept = [named[k].architecture for k in now.keepers]
    return tuple(
        Ledger(a, c.looked_at, c.reaches, c.can_be_made, c.has_room, c.strong, c.fits, kept.count(a))
        for a in ARCHITECTURES if (c := counts.get(a)) is not None
    )  # fmt: skip
