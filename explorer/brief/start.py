"""A new study folder: a made-up hand that runs as it is, with plain words beside each number."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from explorer.brief.errors import BadInput, CannotWrite, Problem, short
from explorer.brief.parse import character_fault
from explorer.brief.templates import template

if TYPE_CHECKING:
    from pathlib import Path

# File in the study and the packaged file that it is a copy of.
FILES = (
    ("brief.toml", "brief.toml"),
    ("stock.toml", "default_stock.toml"),
    ("builds.toml", "builds.toml"),
)

# What to measure first, and where it stands.
FIRST_THREE = (
    ("wrist peak torque", "wrist.torque_peak_Nm"),
    ("cavity height", "cavity.z_mm"),
    ("grips a day", "use.grips_per_day"),
)

LONGEST_PART = 255  # bytes in one part of a path, on every system that we know


def write_study(folder: Path) -> tuple[Path, ...]:
    """Writes brief.toml, stock.toml and builds.toml; overwrites nothing.

    Raises `BadInput` where one of them is there already or the name will not do, `CannotWrite` where
    the disk refuses.  Either all three are written or none.
    """
    _check_name(folder)
    _refuse_overwriting(folder)
    written: list[Path] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, source in FILES:
            _write_new(folder / name, template(source), written)
    except OSError as error:
        for path in written:
            path.unlink(missing_ok=True)
        if isinstance(error, FileExistsError):
            raise BadInput([_taken(folder, folder.name)]) from None
        raise CannotWrite(f"{folder}: cannot be written: {error.strerror}.") from error
    return tuple(written)


def _check_name(folder: Path) -> None:
    fault = character_fault(str(folder))
    if fault is None and any(len(os.fsencode(p)) > LONGEST_PART for p in folder.parts):
        fault = f"has a part longer than {LONGEST_PART} bytes"
    if fault is None and not folder.name and not folder.is_dir():
        fault = "is empty"
    if fault is not None:
        raise BadInput(
            [
                Problem(
                    short(str(folder)),
                    None,
                    "",
                    "",
                    "letters, digits, spaces and signs",
                    "Take another name, as in studies/left-3.",
                    f"the folder name {fault}.",
                )
            ]
        )


def _refuse_overwriting(folder: Path) -> None:
    there = [name for name, _ in FILES if os.path.lexists(folder / name)]
    if os.path.lexists(folder) and not folder.is_dir():
        there = [folder.name]
    if there:
        raise BadInput([_taken(folder, name) for name in there])


def _taken(folder: Path, name: str) -> Problem:
    return Problem(
        name,
        None,
        "",
        "",
        "a folder without these files",
        f"Take another folder name, or move {folder} away.",
        "is there already, and nothing is overwritten.",
    )


def _write_new(path: Path, text: str, written: list[Path]) -> None:
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0)
    descriptor = os.open(path, flags, 0o644)
    written.append(path)
    with os.fdopen(descriptor, "wb") as stream:
        stream.write(text.encode("utf-8"))
        stream.flush()
        os.fsync(stream.fileno())
