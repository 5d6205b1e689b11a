"""What the maker means by a study, a drive, a file and `key=value`."""

from __future__ import annotations

import dataclasses
import difflib
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath, PureWindowsPath

from explorer.brief.builds import Build, Value
from explorer.brief.errors import RANK_FILE, RANK_KEY, RANK_VALUE, BadInput, Problem, short
from explorer.brief.parse import LONGEST_STRING, character_fault
from explorer.brief.read import BRIEF, Study, read_drive_file, read_study
from explorer.drives.values import changed
from explorer.scoring.open import Opened, open_drive, shelf_for
from explorer.study.read import is_number, numbered_build, read_result

_PARENTS = 6  # folders above a drive file in which its study is looked for


@dataclass(frozen=True)
class Found:
    """One drive with its study; `asked_hash` is the brief that a drive file was made for, if another."""

    study: Study
    build: Build
    opened: Opened
    asked_hash: str | None = None


def refuse(where: str, message: str, mend: str, allowed: str = "", value: str = "") -> BadInput:
    """One problem that is no line of a file, ready to raise."""
    return BadInput([Problem(where, None, "", value, allowed, mend, message, RANK_FILE)])


def study_folder(typed: str | None, here: Path) -> Path:
    """The folder of a study as typed, or the one we stand in."""
    if typed is None:
        if _there(here / BRIEF):
            return Path()
        raise refuse(
            "STUDY",
            f"no study is named, and this folder holds no {BRIEF}.",
            "Name one, or write one with: evener start studies/NAME",
        )
    fault = character_fault(typed) if typed else "is empty"
    if fault:
        raise refuse(short(typed), f"the folder name {fault}.", "Retype it, as in studies/left-3.")
    return Path(typed)


def find(words: Sequence[str], changes: Sequence[str], here: Path) -> Found:
    """The drive that `[STUDY] DRIVE|FILE [--set key=value ...]` means; BadInput in one go."""
    if not 1 <= len(words) <= 2:
        raise refuse(
            "show",
            "takes a drive, or a study and a drive.",
            "As in: evener show studies/left-3 NAME, or evener show drive.toml",
        )
    asked = words[-1]
    fault = character_fault(asked) if asked else "is empty"
    if fault:
        raise refuse(short(asked), f"the drive's name {fault}.", "Retype it.")
    if _is_file(asked):
        build = read_drive_file(Path(asked))
        folder = (
            study_folder(words[0], here) if len(words) == 2 else _study_of(build, Path(asked), here)
        )
        study = read_study(folder)
    else:
        if len(words) == 1 and _there(Path(asked) / BRIEF):
            raise refuse(
                asked,
                "is a study; name a drive too.",
                f"Its drives: {_names(read_study(Path(asked)))}",
            )
        study = read_study(study_folder(words[0] if len(words) == 2 else None, here))
        build = drive_named(study, asked)
    return opened(study, build, changes)


def opened(study: Study, build: Build, changes: Sequence[str] = ()) -> Found:
    """The drive with `key=value` changes made, decoded; wrong changes are told as such."""
    wanted = changes_of(changes)
    try:
        drive = open_drive(shelf_for(study), changed(build, wanted) if wanted else build)
    except BadInput as error:
        raise BadInput([_of_set(p, wanted) for p in error.problems]) from None
    other = build.brief_hash if build.brief_hash != study.brief.hash6 else None
    return Found(study, changed(build, wanted) if wanted else build, drive, other)


def _of_set(problem: Problem, wanted: dict[str, Value]) -> Problem:
    if problem.path.removeprefix("values.") in wanted:
        return dataclasses.replace(problem, file="--set", line=None)
    return problem


def drive_named(study: Study, name: str) -> Build:
    """The drive of this name, of the build book or numbered by a run; BadInput with the nearest name."""
    for build in study.builds:
        if build.name == name:
            return build
    if is_number(name):
        return numbered_build(study, name)
    near = difflib.get_close_matches(name, [b.name for b in study.builds], n=1, cutoff=0.4)
    mend = f"Did you mean {short(near[0])}?" if near else f"Its drives: {_names(study)}"
    raise refuse("builds.toml", f"study {short(study.name)} has no drive {short(name)}.", mend)


def _names(study: Study) -> str:
    names = [short(b.name) for b in study.builds]
    names += [k.name for k in read_result(study.folder).keepers]
    more = f" and {len(names) - 8} more" if len(names) > 8 else ""
    return f"{', '.join(names[:8])}{more}" if names else "none yet: write one into builds.toml"


def _is_file(typed: str) -> bool:
    """A name with a slash is a file only where one is."""
    return typed.endswith(".toml") or (("/" in typed or "\\" in typed) and _there(Path(typed)))


def _there(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _study_of(build: Build, file: Path, here: Path) -> Path:
    """The study that a drive file names, from here or from the file; else the one that it lies in."""
    above = [file.parent, *list(file.parent.resolve().parents)[:_PARENTS]]
    if build.study is None:
        places = [Path(), file.parent, *above]
    else:
        _refuse_tricks(build)
        places = [Path(build.study), *(up / build.study for up in above)]
    for place in places:
        if _there(here / place / BRIEF):
            return here / place
    if build.study is None:
        raise refuse(
            file.name,
            "names no study.",
            f'Add study = "studies/NAME", or: evener show STUDY {file}',
        )
    raise refuse(
        file.name,
        f"its study {short(build.study)} is not here.",
        f"Name the study: evener show STUDY {file}. Or write one with: evener start STUDY",
    )


def _refuse_tricks(build: Build) -> None:
    """A file from elsewhere may only name a folder below the places that we look in."""
    typed = build.study or ""
    windows, posix = PureWindowsPath(typed), PurePosixPath(typed)
    if (
        windows.drive
        or windows.root
        or posix.is_absolute()
        or ".." in windows.parts
        or "\\" in typed
    ):
        raise BadInput(
            [
                Problem(
                    build.file,
                    build.line,
                    "build.study",
                    short(typed),
                    'a folder as in "studies/left-3"',
                    "Take out the leading slash, the drive letter and any ..",
                    "leads out of the folder.",
                    RANK_VALUE,
                )
            ]
        )


def changes_of(typed: Sequence[str]) -> dict[str, Value]:
    """Values of `key=value`, each typed as in TOML or as a bare word; a key given twice is refused."""
    out: dict[str, Value] = {}
    problems: list[Problem] = []
    for text in typed:
        key, equals, value = text.partition("=")
        key = key.strip()
        if not equals or not key or not key.replace("_", "").isalnum() or not key.isascii():
            problems.append(
                _set("", "", f"{short(text)} is no key=value.", "As in --set bar_mm=12.5")
            )
        elif key in out:
            problems.append(_set(key, value, "is given twice.", "Take one of the two out."))
        else:
            found = value_of(value.strip())
            if found is None:
                problems.append(
                    _set(
                        key, value, "is no number and no plain word.", "As in 12.5 or stainless 2.0"
                    )
                )
            else:
                out[key] = found
    if problems:
        raise BadInput(problems)
    return out


def _set(key: str, value: str, message: str, mend: str) -> Problem:
    return Problem("--set", None, key, short(value) if value else "", "", mend, message, RANK_KEY)


def value_of(text: str) -> Value | None:
    """A TOML number, truth or string; any other plain text is itself; None where it is neither."""
    if not text or len(text) > LONGEST_STRING or character_fault(text):
        return None
    try:
        read = tomllib.loads(f"v = {text}")
    except (ValueError, RecursionError):
        return text
    value = read.get("v")
    if len(read) != 1 or not isinstance(value, (bool, int, float, str)):
        return None
    if isinstance(value, str):
        return None if character_fault(value) else value
    return None if isinstance(value, int) and value.bit_length() > 63 else value
