"""From a read study to what is searched, and whether a journal is of this study."""

from __future__ import annotations

import platform
from collections.abc import Mapping
from dataclasses import asdict, replace
from importlib.metadata import version
from pathlib import Path
from shlex import quote
from typing import Any

import moocore
import numpy as np

import explorer
from explorer.brief.canonical import Change, changes
from explorer.brief.errors import RANK_BETWEEN, RANK_REACH, BadInput, Problem
from explorer.brief.read import Study
from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.shelf import Shelf
from explorer.scoring.open import SIDES, shelf_for, space_for
from explorer.search import references
from explorer.search.island import Settings
from explorer.study.ask import LARGEST_SEED
from explorer.study.begin import beginning_of
from explorer.study.journal import JOURNAL
from explorer.study.problem import DriveProblem
from explorer.study.stints import Plan
from explorer.study.tribes import Scheme

SEEDS = 2  # searches side by side, to see whether they agree
DEFAULT_SEED = 1
SCHEME = Scheme(
    Settings(population=100, batch=100, stock=0.1, reset=0.5, jolt=0.1, grow=0.1),
    tribes=4, alone=24, few=2, together=20, most=200, joined=30,
    whole=Settings(
        population=200, batch=1200, stock=0.1, reset=0.5, beyond=0.3, near=10, splice=0.3, close=0.6,
        hold=0.5, calm=0.7, jolt=0.1, grow=0.1,
    ),
)  # fmt: skip
_MOST_TOLD = 20


def scheme_for(algorithm: str, scheme: Scheme) -> Scheme:
    """The scheme itself; for a stock algorithm one population of it from the start, as large as the main one."""
    if not algorithm:
        return scheme
    one = references.settings_of(algorithm, scheme.whole.population)
    return Scheme(one, tribes=0, alone=0, few=0, together=0, most=0, joined=0, whole=one)


def algorithm_in(identity: Mapping[str, Any]) -> str:
    """The stock algorithm that a journal's study is searched by; empty where it is the search of this program."""
    return str(identity["scheme"]["whole"].get("algorithm", ""))


def seeds_from(first: int) -> tuple[int, ...]:
    """The seed that was asked for and those that follow it."""
    return tuple((first + i) % (LARGEST_SEED + 1) for i in range(SEEDS))


def spaces_of(shelf: Shelf) -> tuple[Space, ...]:
    """Every architecture; on three fingers each side that may stand alone, where the brief leaves it open."""
    both = len(shelf.demand.fingers) == 3 and shelf.brief.single == "search"
    return tuple(
        space_for(shelf, a, side) for a in ARCHITECTURES for side in (SIDES if both else ("",))
    )


def plan_of(study: Study, seeds: tuple[int, ...], scheme: Scheme = SCHEME) -> Plan:
    """What is searched: BadInput where the fingers, or what `start.toml` says, will not do."""
    spaces = spaces_of(shelf_for(study))
    begins = beginning_of(study, spaces)
    light = spaces[0].shelf.scoring()
    problems = tuple(
        DriveProblem(Space(light, s.architecture, s.single), b.low, b.high)
        for s, b in zip(spaces, begins, strict=True)
    )
    _refuse_unable(scheme.whole, len(problems[0].aims.names))
    taken = tuple(b.name for b in study.builds)
    return Plan(problems, seeds, scheme, tuple(b.start for b in begins), taken)


def _refuse_unable(s: Settings, aims: int) -> None:
    """BadInput where a stock algorithm cannot take this study."""
    if not s.algorithm:
        return
    try:
        references.refuse(s.algorithm, aims, s.population)
    except references.ReferenceRefused as refused:
        mend = "Take another, or leave --algorithm out."
        raise BadInput([_told("--algorithm", "", f"{refused}.", mend)]) from refused


def identity_of(study: Study, plan: Plan) -> dict[str, Any]:
    """What a journal is of, and on what its numbers were made."""
    return {
        "canonical": study.canonical,
        "brief_hash": study.brief.hash6,
        "seeds": list(plan.seeds),
        "taken": list(plan.taken),
        "aims": list(plan.problems[0].aims.names),
        "scheme": asdict(plan.scheme),
        "spaces": [
            [p.design.architecture, p.design.single, list(p.low), list(p.high), _start(s)]
            for p, s in zip(plan.problems, plan.starts, strict=True)
        ],
        "made_on": {
            "machine": platform.machine(), "processor": _processor(), "numpy": np.__version__,
            "moocore": moocore.__version__, "evener": explorer.__version__,
            **({"pymoo": version("pymoo")} if plan.scheme.whole.algorithm else {}),
        },
    }  # fmt: skip


def _start(X: Any) -> list[list[float]]:  # noqa: ANN401  # an array or None
    return [] if X is None else np.asarray(X).tolist()


def _processor() -> str:
    """Name of the processor, where the system tells it."""
    try:
        for line in Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    except (OSError, UnicodeDecodeError):
        pass
    return platform.processor()


def refuse_changed(study: Study, journaled: Mapping[str, Any]) -> None:
    """BadInput where the journal is of another brief or stock: the changed keys, and the way out."""
    if study.canonical != journaled["canonical"]:
        changed = changes(journaled["canonical"], study.canonical)[:_MOST_TOLD]
        raise BadInput([*(_changed(study, c) for c in changed), _way_out(study)])


def refuse_other(study: Study, plan: Plan, journaled: Mapping[str, Any]) -> None:
    """BadInput where the journal is of another brief, stock, start, seed or algorithm: what changed, and the way out."""
    refuse_changed(study, journaled)
    now = identity_of(study, plan)
    if now["spaces"] != journaled["spaces"]:
        raise BadInput(
            [_told("start.toml", "", "is not what this study began with."), _way_out(study)]
        )
    if now["seeds"] != journaled["seeds"]:
        first = journaled["seeds"][0]
        raise _begun_otherwise(study, "--seed", str(plan.seeds[0]), f"with seed {first}")
    before, asked = algorithm_in(journaled), plan.scheme.whole.algorithm
    if asked != before:
        raise _begun_otherwise(study, "--algorithm", asked, f"by {before or 'our own search'}")
    if now["scheme"] != journaled["scheme"]:
        raise BadInput(
            [_told(JOURNAL, "", "was written with other settings of the search."), _way_out(study)]
        )


def _begun_otherwise(study: Study, option: str, asked: str, how: str) -> BadInput:
    """The refusal of an option that would change how a begun study is searched."""
    mend = (
        f"Leave {option} out and go on, or search with the other in a folder of its own: "
        f"{_afresh(study)} {option} {asked}"
    )
    return BadInput([_told(option, "", f"this study was begun {how}.", mend)])


def _changed(study: Study, change: Change) -> Problem:
    file, _, path = change.path.partition(".")
    found = study.placed([_told(f"{file}.toml", path if file == "brief" else f"stock:{path}", "")])[
        0
    ]
    words = f"was {change.before or 'not there'} when this study was run, and is {change.after or 'not there'} now."
    return replace(found, path=path, message=words)


def _told(file: str, path: str, message: str, mend: str = "") -> Problem:
    return Problem(file, None, path, "", "", mend, message, RANK_BETWEEN)


def _way_out(study: Study) -> Problem:
    message = f"holds a run of another brief ({JOURNAL}). Choose one of two."
    mend = (
        f"Search the new brief in a folder of its own: {_afresh(study)}  "
        f"Or put the old values back and go on: evener run {quote(str(study.folder))}"
    )
    return Problem(str(study.folder), None, "", "", "", mend, message, RANK_REACH)


def _afresh(study: Study) -> str:
    """The command that copies what the maker wrote to a folder of its own and searches there."""
    new = quote(str(study.folder.with_name(f"{study.name}-2")))
    return f"mkdir {new} && cp {quote(str(study.folder))}/*.toml {new} && evener run {new}"


def other_machine(journaled: Mapping[str, Any], study: Study, plan: Plan) -> str:
    """A warning where the numbers so far were made on another machine or version; empty where not."""
    before, now = journaled["made_on"], identity_of(study, plan)["made_on"]
    off = [f"{k} {before.get(k)} -> {v}" for k, v in now.items() if before.get(k) != v]
    if not off:
        return ""
    return f"begun on another machine or version ({', '.join(off)}): last digits may differ from here on."
