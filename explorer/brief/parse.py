"""Text to plain values with a line for each, every value checked for what no brief may hold."""

from __future__ import annotations

import math
import re
import tomllib
import unicodedata
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from explorer.brief.errors import (
    RANK_FILE,
    RANK_SYNTAX,
    RANK_VALUE,
    BadInput,
    Problem,
    short,
)
from explorer.brief.files import read_toml_text
from explorer.brief.toml_lines import Loc, TooMuchError, lines_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

LONGEST_STRING = 200
LONGEST_NOTE = 4_000
NOTE_KEYS = frozenset({"note", "notes", "how"})

# Marks that turn the direction of writing: with them a name can show as something else.
_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
# Control characters, the marks above, halves of pairs, and the two of every plane that are no characters.
_SUSPECT = re.compile(
    "[\x00-\x1f\x7f-\x9f\ud800-\udfff"
    + "".join(sorted(_BIDI))
    + "".join(chr(plane << 16 | last) for plane in range(17) for last in (0xFFFE, 0xFFFF))
    + "]"
)
_COMMA_NUMBER = re.compile(r"=\s*([-+]?\d+),(\d+)\s*(?:#.*)?$")
_AT_LINE = re.compile(r"\(at (?:line (\d+), column \d+|end of document)\)")
_TWICE = ("overwrite", "twice", "mutate", "Duplicate")


@dataclass(frozen=True)
class Parsed:
    """One file: its values as plain dictionaries and lists, and the line of each."""

    file: str
    raw: dict[str, Any]  # shared by all who read the same text: copied before it is changed
    lines: Mapping[Loc, int]
    problems: tuple[Problem, ...] = ()  # numbers that are none, at the places `bad`
    bad: frozenset[Loc] = frozenset()

    def line(self, loc: Loc) -> int | None:
        """Line of a value, or of the nearest table around it."""
        for n in range(len(loc), 0, -1):
            if loc[:n] in self.lines:
                return self.lines[loc[:n]]
        return None

    def path(self, loc: Loc) -> str:
        """Key path in words: `finger.ring.L1_mm`; things without a name are counted from 1."""
        parts: list[str] = []
        node: object = self.raw
        for step in loc:
            inside = _inside(node, step)
            if isinstance(step, int):
                name = _own_name(node, inside)
                parts[-1:] = [parts[-1], name] if name else [f"{parts[-1]}[{step + 1}]"]
            else:
                parts.append(step)
            node = inside
        return ".".join(parts)


def parse_file(path: Path) -> Parsed:
    """Reads one TOML file; raises `BadInput` where it is no TOML or holds a forbidden value."""
    return parse_text(read_toml_text(path), path.name)


@lru_cache(maxsize=8)
def parse_text(text: str, file: str) -> Parsed:
    """As `parse_file`, from text.

    The same text, as a stock that every study shares, is parsed once: `raw` is read and never changed.
    """
    try:
        lines = lines_of(text)
    except TooMuchError as error:
        raise BadInput(
            [
                Problem(
                    file,
                    error.line,
                    "",
                    "",
                    "depth at most 8, at most 5,000 keys",
                    "Take out what does not belong in it.",
                    f"has {error.what}.",
                    RANK_FILE,
                )
            ]
        ) from None
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise BadInput([_syntax(text, file, error)]) from None
    parsed = Parsed(file, raw, lines)
    found = list(_forbidden(parsed))
    problems = tuple(problem for _, problem in found)
    if any(isinstance(_at(raw, loc), str) or _key_fault(loc) for loc, _ in found):
        raise BadInput(problems)  # text that must not even be shown
    return replace(parsed, problems=problems, bad=frozenset(loc for loc, _ in found))


def _at(raw: object, loc: Loc) -> object:
    for step in loc:
        raw = _inside(raw, step)
    return raw


def _syntax(text: str, file: str, error: Exception) -> Problem:
    """The parser's complaint in the maker's words."""
    words = str(error)
    at = _AT_LINE.search(words)
    last = text.rstrip().count("\n") + 1
    line = None if at is None else int(at.group(1) or last)
    reason = _AT_LINE.sub("", words).strip().rstrip(".")
    reason = reason if len(reason) <= 120 else "cannot be read"
    mend = "Compare with a file written by: evener start STUDY"
    allowed = "TOML: key = value"
    if line is not None:
        typed = text.split("\n")[line - 1]
        comma = _COMMA_NUMBER.search(typed)
        if comma:
            reason = f"{comma.group(1)},{comma.group(2)} has a decimal comma"
            allowed, mend = (
                "numbers with a point",
                f"Use a point: {comma.group(1)}.{comma.group(2)}",
            )
        elif any(word in reason for word in _TWICE):
            reason = "this key or table stands in the file twice"
            allowed, mend = "each key once", "Take one of the two out."
    return Problem(file, line, "", "", allowed, mend, f"{reason}.", RANK_SYNTAX)


def _own_name(node: object, inside: object) -> str | None:
    """The item's name if it has one that no neighbour has too."""
    if not isinstance(inside, dict) or not isinstance(node, list):
        return None
    name = inside.get("name")
    same = [n for n in node if isinstance(n, dict) and n.get("name") == name]
    fine = isinstance(name, str) and name and len(name) <= 60 and character_fault(name) is None
    return name if fine and len(same) == 1 else None


def _inside(node: object, step: str | int) -> object:
    if isinstance(node, dict):
        return node.get(step)
    if isinstance(node, list) and isinstance(step, int) and step < len(node):
        return node[step]
    return None


def character_fault(text: str, *, note: bool = False) -> str | None:
    """What is wrong with the characters of a text, or None."""
    for character in _SUSPECT.findall(text):
        if note and character in "\n\t":
            continue
        if character in _BIDI:
            return f"holds a mark that turns the writing direction (U+{ord(character):04X})"
        if unicodedata.category(character) == "Cc":
            return f"holds the control character U+{ord(character):04X}"
        return f"holds U+{ord(character):04X}, which is no character"
    return None


def _forbidden(parsed: Parsed) -> Iterator[tuple[Loc, Problem]]:
    for loc, value in _leaves(parsed.raw, ()):
        fault = _value_fault(loc, value) or _key_fault(loc)
        if fault:
            message, allowed, mend = fault
            yield (
                loc,
                Problem(
                    parsed.file,
                    parsed.line(loc),
                    _clean_path(parsed, loc),
                    short(value),
                    allowed,
                    mend,
                    message,
                    RANK_VALUE,
                ),
            )


def _clean_path(parsed: Parsed, loc: Loc) -> str:
    path = parsed.path(loc)
    return path if character_fault(path) is None and len(path) <= 120 else short(path)


def _key_fault(loc: Loc) -> tuple[str, str, str] | None:
    for key in loc:
        if isinstance(key, str) and (character_fault(key) or len(key) > LONGEST_STRING):
            return "the key holds a character that cannot be shown.", "plain letters", "Retype it."
    return None


def _value_fault(loc: Loc, value: object) -> tuple[str, str, str] | None:
    if isinstance(value, float) and not math.isfinite(value):
        return "must be finite.", "a finite number", "Type the number itself."
    if isinstance(value, int) and value.bit_length() > 63:
        return "is far too large a number.", "numbers below 9e18", "Type the number itself."
    if isinstance(value, str):
        return _text_fault(value, note=bool(loc) and loc[-1] in NOTE_KEYS)
    return None


def _text_fault(value: str, *, note: bool) -> tuple[str, str, str] | None:
    most = LONGEST_NOTE if note else LONGEST_STRING
    if len(value) > most:
        return f"is {len(value)} characters long.", f"at most {most} characters", "Shorten it."
    fault = character_fault(value, note=note)
    if fault:
        return f"{fault}.", "letters, digits, spaces and signs", "Delete it and retype the text."
    return None


def _leaves(value: object, loc: Loc) -> Iterator[tuple[Loc, object]]:
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from _leaves(inside, (*loc, key))
    elif isinstance(value, list):
        for index, inside in enumerate(value):
            yield from _leaves(inside, (*loc, index))
    else:
        yield loc, value
