"""Which line of a TOML text each value stands on, and how deep and how many they are.

The standard parser gives values without places.  This scanner walks the same text once, knows strings,
comments, arrays and tables, and stops quietly where the text is no TOML: the parser says so better.
"""

from __future__ import annotations

import contextlib
import re
from dataclasses import dataclass, field

Loc = tuple[str | int, ...]

DEEPEST = 8
MOST_KEYS = 5_000

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BARE_VALUE = re.compile(r"[^,\]}\n#]*")
_SPACE = re.compile(r"[ \t\r]*")
_STRINGS = {
    '"""': re.compile(r'"""(?:[^"\\]|\\.|"(?!""))*"{3,5}', re.DOTALL),
    "'''": re.compile(r"'''(?:[^']|'(?!''))*'{3,5}", re.DOTALL),
    '"': re.compile(r'"((?:[^"\\\n]|\\.)*)"'),
    "'": re.compile(r"'([^'\n]*)'"),
}


class TooMuchError(Exception):
    """Deeper or more than a brief ever is; carries the line."""

    def __init__(self, line: int, what: str) -> None:
        self.line = line
        self.what = what
        super().__init__(what)


class _NotTomlError(Exception):
    """The scanner is lost; the parser will name the fault."""


def lines_of(text: str) -> dict[Loc, int]:
    """Line number (from 1) of every key, table and list element, keyed by its place.

    The place of a value is the path that the parsed dictionary has it under, list positions counted
    from 0.  Raises `TooMuchError` beyond depth 8 or 5,000 keys and list
    values.
    """
    scanner = _Scanner(text)
    with contextlib.suppress(_NotTomlError):
        scanner.document()
    return scanner.found


@dataclass
class _Scanner:
    text: str
    at: int = 0
    keys: int = 0
    found: dict[Loc, int] = field(default_factory=dict)
    arrays: dict[Loc, int] = field(default_factory=dict)
    counted_to: tuple[int, int] = (0, 1)

    def document(self) -> None:
        table: Loc = ()
        while self._skip_to_token():
            if self.text[self.at] == "[":
                table = self._header()
            else:
                self._pair(table)

    def _header(self) -> Loc:
        double = self.text.startswith("[[", self.at)
        line = self._line()
        self.at += 2 if double else 1
        parts = self._key()
        if not self.text.startswith("]]" if double else "]", self.at):
            raise _NotTomlError
        self.at += 2 if double else 1
        return self._enter(parts, line, append=double)

    def _enter(self, parts: list[str], line: int, *, append: bool) -> Loc:
        """The place a header names: inside lists of tables it is the last one."""
        place: Loc = ()
        for part in parts[:-1]:
            self.found.setdefault((*place, part), line)
            place = self._last((*place, part))
        place = (*place, parts[-1])
        if append:
            self.found.setdefault(place, line)
            self.arrays[place] = self.arrays.get(place, -1) + 1
        place = self._last(place)
        self.found.setdefault(place, line)
        self._count(line)
        return place

    def _last(self, place: Loc) -> Loc:
        return (*place, self.arrays[place]) if place in self.arrays else place

    def _pair(self, table: Loc) -> None:
        line = self._line()
        place = (*table, *self._key())
        for n in range(len(table) + 1, len(place) + 1):
            self.found.setdefault(place[:n], line)
        self._count(line)
        if not self.text.startswith("=", self.at):
            raise _NotTomlError
        self.at += 1
        self._value(place)

    def _count(self, line: int) -> None:
        self.keys += 1
        if self.keys > MOST_KEYS:
            raise TooMuchError(line, f"more than {MOST_KEYS} keys and values")

    def _key(self) -> list[str]:
        parts: list[str] = []
        while True:
            self._skip_space()
            parts.append(self._key_part())
            if len(parts) > DEEPEST:
                raise TooMuchError(self._line(), f"a key of more than {DEEPEST} parts")
            self._skip_space()
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def _key_part(self) -> str:
        quote = self.text[self.at : self.at + 1]
        pattern = _STRINGS.get(quote, _BARE_KEY)
        match = pattern.match(self.text, self.at)
        if match is None:
            raise _NotTomlError
        self.at = match.end()
        return match.group(1) if quote in _STRINGS else match.group()

    def _value(self, place: Loc) -> None:
        if len(place) > DEEPEST:
            raise TooMuchError(self._line(), f"values nested deeper than {DEEPEST}")
        self._skip_space()
        opening = self.text[self.at : self.at + 1]
        if opening == "[":
            self._array(place)
        elif opening == "{":
            self._inline_table(place)
        else:
            self._plain(opening)

    def _plain(self, opening: str) -> None:
        triple = self.text[self.at : self.at + 3]
        pattern = _STRINGS.get(triple) or _STRINGS.get(opening) or _BARE_VALUE
        match = pattern.match(self.text, self.at)
        if match is None:
            raise _NotTomlError
        self.at = match.end()

    def _array(self, place: Loc) -> None:
        self.at += 1
        position = 0
        while self._skip_to_token():
            if self.text[self.at] == "]":
                self.at += 1
                return
            item = (*place, position)
            self.found.setdefault(item, self._line())
            self._count(self.found[item])
            self._value(item)
            self._comma("]")
            position += 1
        raise _NotTomlError

    def _inline_table(self, place: Loc) -> None:
        self.at += 1
        while self._skip_to_token():
            if self.text[self.at] == "}":
                self.at += 1
                return
            self._pair(place)
            self._comma("}")
        raise _NotTomlError

    def _comma(self, closing: str) -> None:
        if not self._skip_to_token() or self.text[self.at] not in {",", closing}:
            raise _NotTomlError
        if self.text[self.at] == ",":
            self.at += 1

    def _skip_space(self) -> None:
        match = _SPACE.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def _skip_to_token(self) -> bool:
        """Past space, line ends and comments; False at the end of the text."""
        while self.at < len(self.text):
            character = self.text[self.at]
            if character == "#":
                end = self.text.find("\n", self.at)
                self.at = len(self.text) if end < 0 else end
            elif character in " \t\r\n":
                self.at += 1
            else:
                return True
        return False

    def _line(self) -> int:
        """Line of the current place, counted on from the last one asked for."""
        start, line = self.counted_to
        line += self.text.count("\n", start, self.at)
        self.counted_to = (self.at, line)
        return line
