"""The brief read back in plain words, each past drive in one line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from explorer.brief.builds import Build
from explorer.brief.demand import Demand, Position
from explorer.brief.errors import BadInput, Problem, where
from explorer.brief.read import Study
from explorer.brief.records import Grip
from explorer.brief.sketch import hand_sketch
from explorer.brief.start import FIRST_THREE
from explorer.drives.shelf import Shelf
from explorer.scoring.grip import GRAVITY
from explorer.scoring.ladder import wrist_ladder
from explorer.scoring.open import open_drive, shelf_for
from explorer.scoring.score import detail, scores_of
from explorer.show import moves
from explorer.show.facts import limits
from explorer.show.layout import number, paragraph
from explorer.show.plain import Table
from explorer.show.text import short_verdict
from explorer.show.write import write_whole

SKETCH = "hand.svg"


@dataclass(frozen=True)
class Checked:
    """What `check` found: lines to print; the sketch's file once it is written."""

    study: Study
    shelf: Shelf
    builds: tuple[str, ...]


def checked(study: Study) -> Checked:
    """Everything of the study worked through; BadInput with every drive that cannot be read."""
    shelf = shelf_for(study)
    problems: list[Problem] = []
    builds: list[str] = []
    for build in study.builds:
        try:
            builds.append(build_line(shelf, build))
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput([*problems, *study.warnings])
    return Checked(study, shelf, tuple(builds))


def write_sketch(found: Checked) -> Path:
    """The hand to scale, beside the brief."""
    path = found.study.folder / SKETCH
    write_whole(path, hand_sketch(found.shelf.brief, found.shelf.demand))
    return path


def build_line(shelf: Shelf, build: Build) -> str:
    """One drive of the build book in one line: its verdict and what gives first."""
    opened = open_drive(shelf, build)
    d = detail(opened.space, opened.X)
    facts: Table = {"limits": limits(scores_of(d)), "grips": moves.grips(d)}
    rungs = wrist_ladder(d)
    first = ""
    if rungs:
        peak = shelf.demand.pull_peak
        first = (
            f" First to give: {rungs[0].part} ({rungs[0].way}) at {number(rungs[0].gives, 0)} N, "
            f"{number(rungs[0].gives / peak, 1)} x your peak."
        )
    broke = (
        f" It broke: {build.broke.part} {build.broke.how}.".replace(" .", ".")
        if build.broke
        else ""
    )
    return f"{build.name} {short_verdict(facts)}{first}{broke}"


def lines(found: Checked, sketch: Path) -> list[str]:
    """The brief in plain words, most important last; the caller adds the next command."""
    study = found.study
    return [
        *_head(study),
        *_wrist(study, found.shelf.demand),
        *_palm(study),
        "",
        "Grips",
        *_grips(study, found.shelf.demand),
        "",
        *guess_lines(study),
        *_inches(study),
        *warning_lines(study.warnings),
        f"The hand to scale: {sketch}",
        *_builds(found.builds),
    ]


def _head(study: Study) -> list[str]:
    brief = study.brief
    made_up = ", invented" if brief.invented else ""
    names = ", ".join(f.name for f in brief.fingers)
    return [f"{brief.name}{made_up} - {brief.side} hand - {names} - brief {brief.hash6}"]


def _wrist(study: Study, demand: Demand) -> list[str]:
    wrist = study.brief.wrist
    way = "reversed by the first stage" if wrist.reverses else "not reversed"
    return paragraph(
        f"Wrist: {number(demand.pull_often, 0)} N often, {number(demand.pull_comfortable, 0)} N comfortable, "
        f"{number(demand.pull_peak, 0)} N peak at an arm of {number(wrist.arm, 1)} mm; "
        f"{number(math.degrees(wrist.travel), 0)} deg give {number(demand.stroke, 1)} mm of stroke, {way}.",
        indent="",
        hang="  ",
    )


def _palm(study: Study) -> list[str]:
    c = study.brief.cavity
    b = c.box
    keep = ", ".join(k.name for k in c.keepouts) or "nothing"
    return paragraph(
        f"Palm: {number(b.x1 - b.x0, 1)} across, {number(b.y1 - b.y0, 1)} long, {number(b.z1 - b.z0, 1)} mm high; "
        f"in the way: {keep}.",
        indent="",
        hang="  ",
    )


def _grips(study: Study, demand: Demand) -> list[str]:
    out: list[str] = []
    for p, position in enumerate(demand.positions):
        if position.kind in ("grip", "carry"):
            out += paragraph(
                _grip(study.brief.grips[position.grip], demand, p, position), hang="  "
            )
    off = [g.name for g in study.brief.grips if not g.on]
    return [*out, f"  switched off: {', '.join(off)}"] if off else out


def _grip(grip: Grip, demand: Demand, p: int, position: Position) -> str:
    if grip.kind == "carry":
        what = f"carries {number(grip.carry_load / GRAVITY, 1)} kg"
    else:
        what = f"{grip.shape} {number(grip.width, 1)} mm against {grip.post}, needs {number(grip.need, 0)} N"
    fingers = "; ".join(
        f"{name} {grip.does[f].replace('_', ' ')}"
        if not demand.engaged[p, f]
        else f"{name} at {number(math.degrees(demand.q1[p, f]), 0)} deg, draws {number(float(demand.draw[p, f]), 1)} mm"
        for f, name in enumerate(demand.fingers)
    )
    return f"{position.name}: {what}; {fingers}."


def guess_lines(study: Study) -> list[str]:
    """How many values are guesses, and the three to measure first, with their lines."""
    guessed = {g.path for g in study.guesses}
    if not guessed:
        return ["No value is a guess."]
    three = [
        f"{words}{_line(study, path)}"
        for words, path in FIRST_THREE
        if any(g == path or g.startswith((f"{path}.", f"{path}[")) for g in guessed)
    ]
    first = f" Measure these first: {', '.join(three)}." if three else ""
    return paragraph(
        f"{len(guessed)} {'value is a guess' if len(guessed) == 1 else 'values are guesses'}.{first}",
        indent="",
    )


def _line(study: Study, path: str) -> str:
    found = study.lines.get(path)
    return f" ({found[0]} line {found[1]})" if found else ""


def _inches(study: Study) -> list[str]:
    if not study.echoes:
        return []
    read = ", ".join(f"{e.path} {e.typed} in = {number(e.mm, 3)} mm" for e in study.echoes)
    return paragraph(f"Inches: {read}.", indent="", hang="  ")


def warning_lines(warnings: Sequence[Problem]) -> list[str]:
    """One line a warning, with its place."""
    return [
        line
        for w in warnings
        for line in paragraph(
            f"warning: {where(w)}: {w.message} {w.mend}".rstrip(), indent="", hang="  "
        )
    ]


def _builds(builds: Sequence[str]) -> list[str]:
    if not builds:
        return ["The build book is empty."]
    return ["", "Build book", *(line for b in builds for line in paragraph(b, hang="  "))]
