"""One text for one meaning: the values of brief and stock, their six-digit name, and what changed."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from explorer.brief.errors import short

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pydantic import BaseModel

# Words about the values, which no score depends on.
_WORDS = {"note", "source", "default_source", "invented"}
# Sections that came later and no score depends on: unwritten, they leave an older brief its name.
_LATER = {"selector", "wrist_joint", "ring_centre_mm"}


@dataclass(frozen=True)
class Change:
    """A key whose value differs; empty text where it is not there."""

    path: str
    before: str
    after: str


def canonical_json(brief: BaseModel, stock: BaseModel) -> str:
    """Values of both files with defaults filled in; the order of keys and the notes do not matter."""
    tables = {"brief": _values(brief), "stock": _values(stock)}
    return json.dumps(tables, sort_keys=True, separators=(",", ":"), allow_nan=False)


def hash6(text: str) -> str:
    """First six hex digits of the sha256 of a text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:6]


def changes(before: str, after: str) -> tuple[Change, ...]:
    """Keys that differ between two canonical texts, by key path."""
    old = dict(_flat(json.loads(before), ""))
    new = dict(_flat(json.loads(after), ""))
    return tuple(
        Change(path, old.get(path, ""), new.get(path, ""))
        for path in sorted(old.keys() | new.keys())
        if old.get(path) != new.get(path)
    )


def _values(table: BaseModel) -> Any:  # noqa: ANN401  # JSON
    return _without_words(table.model_dump(mode="json", by_alias=True))


def _without_words(value: Any) -> Any:  # noqa: ANN401  # JSON
    if isinstance(value, dict):
        return {
            k: _without_words(v)
            for k, v in value.items()
            if k not in _WORDS and not (v is None and k in _LATER)
        }
    if isinstance(value, list):
        return [_without_words(v) for v in value]
    return value + 0.0 if isinstance(value, float) else value  # -0.0 is 0.0


def _flat(value: Any, path: str) -> Iterator[tuple[str, str]]:  # noqa: ANN401  # JSON
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from _flat(inside, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        named = all(isinstance(v, dict) and isinstance(v.get("name"), str) for v in value)
        distinct = named and len({v["name"] for v in value}) == len(value)
        for n, inside in enumerate(value, start=1):
            yield from _flat(inside, f"{path}.{inside['name']}" if distinct else f"{path}[{n}]")
        if distinct:
            yield f"{path} (order)", ", ".join(v["name"] for v in value)
    else:
        yield path, short(value)
