"""A page taken apart again with the standard library's parser."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from functools import lru_cache
from html.parser import HTMLParser
from typing import Any

NAME = re.compile(r"\b[LWD][BC]-\d+\b")
VOID = {"meta", "img", "br", "input", "link"}


@dataclass
class Seen(HTMLParser):
    """Words outside scripts, scripts, rows of the keepers' table, tags."""

    words: list[str] = field(default_factory=list)
    scripts: list[tuple[dict[str, str | None], str]] = field(default_factory=list)
    rows: dict[str, list[str]] = field(default_factory=dict)
    tags: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self._inside: str | None = None
        self._attrs: dict[str, str | None] = {}
        self._row: str | None = None
        self._cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self.tags.append((tag, found))
        if tag in {"script", "style"}:
            self._inside, self._attrs = tag, found
            self.scripts.append((found, "")) if tag == "script" else None
        if tag == "tr":
            self._row = found.get("data-drive")
            if self._row:
                self.rows[self._row] = []
        if tag == "td" and self._row:
            self._cell = True
            self.rows[self._row].append("")

    def handle_endtag(self, tag: str) -> None:
        if tag in {"script", "style"}:
            self._inside = None
        if tag == "td":
            self._cell = False

    def handle_data(self, data: str) -> None:
        if self._inside == "script":
            attrs, before = self.scripts[-1]
            self.scripts[-1] = (attrs, before + data)
        elif self._inside is None:
            self.words.append(data)
            if self._cell and self._row:
                self.rows[self._row][-1] += data

    @property
    def prose(self) -> str:
        """All words."""
        return " ".join(self.words)

    @property
    def data(self) -> dict[str, Any]:
        """The data block."""
        text = next(text for attrs, text in self.scripts if attrs.get("id") == "data")
        found: dict[str, Any] = json.loads(text)
        return found

    @property
    def drives(self) -> set[str]:
        """Names of drives in the words."""
        return set(NAME.findall(self.prose))


@lru_cache(maxsize=2)
def seen(html: str) -> Seen:
    """The page taken apart; many tests read the same one, and none changes what it is given."""
    out = Seen()
    out.feed(html)
    out.close()
    return out
