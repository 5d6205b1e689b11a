"""What went wrong, in words the maker can act on.

Every refusal of the program is one of the exceptions below; its `exit_code` is what the command line
returns.  A `Problem` is one thing to mend; a `BadInput` carries all that were found at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

LONGEST_VALUE = 60  # characters of a value that are ever shown


class EvenerError(Exception):
    """Anything this program refuses to do; 1 is a fault of ours."""

    exit_code = 1


@dataclass(frozen=True)
class Problem:
    """One thing to mend.

    `file` is the name to show, `path` the key path in it, `value` what was typed (shortened), `allowed`
    what would have been accepted, `mend` one way to put it right, `message` the sentence that says what
    is wrong.  Lower `cause_rank` is nearer to the cause: it is shown first.
    """

    file: str
    line: int | None
    path: str
    value: str
    allowed: str
    mend: str
    message: str
    cause_rank: int = 50
    kind: Literal["error", "warning"] = "error"


class BadInput(EvenerError):
    """Bad input: every problem found, first cause first."""

    exit_code = 2

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = in_order(problems)
        super().__init__(render(self.problems))


class DoesNotFit(EvenerError):
    """Done, but nothing fits, or the drive asked for does not: not a fault."""

    exit_code = 3


class StudyBusy(EvenerError):
    """The study is being run by another process."""

    exit_code = 4


class JournalDamaged(EvenerError):
    """The journal of a study does not agree with itself."""

    exit_code = 5


class CannotWrite(EvenerError):
    """Disk full, or the place cannot be written."""

    exit_code = 6


# How near to the cause a problem is: what hides other problems comes first.
RANK_FILE = 0
RANK_SYNTAX = 10
RANK_SECTION = 20
RANK_KEY = 30
RANK_VALUE = 40
RANK_BETWEEN = 50
RANK_REACH = 60
RANK_ADVICE = 90


def short(value: object) -> str:
    """`value` as one printable line of at most 60 characters; never prints a huge number."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and value.bit_length() > 128:
        return f"a whole number of {value.bit_length()} bits"
    if isinstance(value, (dict, list, tuple)):
        kind = "a table" if isinstance(value, dict) else "a list"
        return f"{kind} of {len(value)}"
    text = ascii(value) if isinstance(value, str) else str(value)
    if isinstance(value, str) and value.isprintable() and len(value) <= LONGEST_VALUE:
        text = f'"{value}"'
    return text if len(text) <= LONGEST_VALUE else text[: LONGEST_VALUE - 3] + "..."


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """First cause first, then as they stand in the files; no problem twice."""
    ranked = sorted(
        dict.fromkeys(problems),
        key=lambda p: (p.kind == "warning", p.cause_rank, p.file, p.line or 0),
    )
    return tuple(ranked)


def render(problems: Iterable[Problem]) -> str:
    """One line for each cause, first cause first, and last a line that counts them."""
    ordered = in_order(problems)
    errors = _groups([p for p in ordered if p.kind == "error"])
    warnings = _groups([p for p in ordered if p.kind == "warning"])
    lines = [_line(group) for group in errors]
    if len(warnings) != 1:
        lines += [_line(group) for group in warnings]
    return "\n".join([*lines, _count_line(errors, warnings)])


def where(problem: Problem) -> str:
    """`brief.toml line 12`, or the file alone where no line is known."""
    return problem.file if problem.line is None else f"{problem.file} line {problem.line}"


def _groups(problems: Sequence[Problem]) -> list[list[Problem]]:
    """Problems alike but for their place become one: a slip made four times is read once."""
    groups: dict[tuple[str, ...], list[Problem]] = {}
    for p in problems:
        key = (p.file, p.path.rpartition(".")[2], p.allowed, p.mend, p.message)
        groups.setdefault(key, []).append(p)
    return list(groups.values())


def _line(group: Sequence[Problem]) -> str:
    first = group[0]
    if first.path and first.value:
        key = f"{first.path} = {first.value}: "
    else:
        key = f"{first.path}: " if first.path else ""
    parts = [
        f"{where(first)}  {'warning: ' if first.kind == 'warning' else ''}{key}{first.message}"
    ]
    if first.allowed:
        parts.append(f"Allowed: {first.allowed}.")
    if first.mend:
        parts.append(first.mend)
    if len(group) > 1:
        lines = [str(p.line) for p in group[1:] if p.line is not None]
        shown = ", ".join(lines[:8]) + (", ..." if len(lines) > 8 else "")
        parts.append(f"(The same on line {shown}.)" if lines else f"(And {len(group) - 1} alike.)")
    return " ".join(parts)


def _count_line(errors: Sequence[Sequence[Problem]], warnings: Sequence[Sequence[Problem]]) -> str:
    n_errors, n_warnings = len(errors), len(warnings)
    text = f"{n_errors} error{'' if n_errors == 1 else 's'}"
    if n_warnings:
        text += f", {n_warnings} warning{'' if n_warnings == 1 else 's'}"
    if n_warnings == 1:
        text += f" ({warnings[0][0].message.rstrip('.')})"
    return text + "."
