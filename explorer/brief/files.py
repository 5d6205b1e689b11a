"""Opening what the maker wrote: never through a link, never too large, always UTF-8.

All limits are checked before a parser sees the text, so that a hostile file costs no time.
"""

from __future__ import annotations

import os
import stat
from typing import TYPE_CHECKING

from explorer.brief.errors import RANK_FILE, BadInput, Problem, short

if TYPE_CHECKING:
    from pathlib import Path

LARGEST_BYTES = 1_000_000
LONGEST_LINE = 5_000  # characters; a note may hold 4,000


def file_problem(
    name: str, message: str, mend: str, *, allowed: str = "", line: int | None = None
) -> BadInput:
    """One problem with a file as a whole, ready to raise."""
    return BadInput([Problem(name, line, "", "", allowed, mend, message, RANK_FILE)])


def read_toml_text(path: Path) -> str:
    """The text of a small UTF-8 file; a byte order mark is dropped.  Raises `BadInput`."""
    name = _shown(path)
    text = _decoded(name, _read_bytes(path, name))
    _check_lines(name, text)
    return text


def _shown(path: Path) -> str:
    return path.name if path.name.isprintable() else short(path.name)


def _read_bytes(path: Path, name: str) -> bytes:
    """Opens without following a link and without waiting on a pipe (both where the system can)."""
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    flags |= getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    try:
        if path.is_symlink():
            raise file_problem(
                name,
                "is a link to another file, and links inside a study are not followed.",
                "Copy the file itself into the study folder.",
                allowed="a plain file",
            )
        descriptor = os.open(path, flags)
    except FileNotFoundError:
        raise file_problem(
            name, "is not there.", "Write one with: evener start STUDY", allowed="a plain file"
        ) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no such name is possible"
        raise file_problem(
            name, f"cannot be opened: {reason}.", "Check the folder and its rights."
        ) from None
    try:
        return _read_regular(descriptor, name)
    finally:
        os.close(descriptor)


def _read_regular(descriptor: int, name: str) -> bytes:
    facts = os.fstat(descriptor)
    if not stat.S_ISREG(facts.st_mode):
        raise file_problem(name, "is not a plain file.", "Put a text file there.")
    data = b""
    if facts.st_size <= LARGEST_BYTES:
        with os.fdopen(descriptor, "rb", closefd=False) as stream:
            data = stream.read(LARGEST_BYTES + 1)
    if facts.st_size > LARGEST_BYTES or len(data) > LARGEST_BYTES:
        raise file_problem(
            name,
            "is too large and was not read.",
            "A brief is a few kilobytes: take out what does not belong in it.",
            allowed="at most 1 MB",
        )
    return data


def _decoded(name: str, data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise file_problem(
            name,
            f"is not UTF-8 text (first wrong byte: number {error.start}).",
            "In your editor, save as UTF-8.",
            allowed="UTF-8",
            line=line,
        ) from None


def _check_lines(name: str, text: str) -> None:
    for number, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise file_problem(
                name,
                f"has a line of {len(line)} characters.",
                "Shorten it, or break it into several lines.",
                allowed=f"at most {LONGEST_LINE} characters in a line",
                line=number,
            )
        if "\x00" in line:
            raise file_problem(
                name,
                "holds a NUL, a control character.",
                "Is it a text file? In your editor, save as UTF-8.",
                allowed="plain text",
                line=number,
            )
