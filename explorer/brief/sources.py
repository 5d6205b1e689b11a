"""Where each number of the brief came from: measured, from a handbook, our guess, or asked for.

Light to write: a default for the whole brief, and a [source] table for what is known better, by key
path or by the beginning of one: `wrist = "measured: luggage scale"`, `finger.ring.L1_mm = "handbook"`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from explorer.brief.records import Provenance, Source
from explorer.brief.tell import Teller

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from explorer.brief.errors import Problem
    from explorer.brief.parse import Parsed
    from explorer.brief.schema_brief import BriefTable

SOURCES = ("measured", "handbook", "guess")

# What the maker wishes for is not a fact that could be wrong.
ASKED = ("grip.", "limits.", "positions.", "aim.", "post.", "spread", "schema", "cavity.clearance")


def provenance(
    brief: BriefTable, parsed: Parsed, taken: Mapping[str, str]
) -> dict[str, Provenance]:
    """One entry for every number of the brief, written, taken from another finger or by default."""
    stated = {path: _stated(path, text) for path, text in _flat(brief.source, "")}
    values = brief.model_dump(by_alias=True, exclude={"source"}, exclude_none=True)
    written = set(numbers(parsed.raw, ""))
    found: dict[str, Provenance] = {}
    for path in numbers(values, ""):
        origin = origin_of(path, taken)
        fallback = brief.default_source if origin in written else "guess"
        note = "" if origin in written else "not written: our default"
        best = _best(path, stated) or _best(origin, stated)
        source = best.source if best else _standing(path, fallback)
        found[path] = Provenance(path, source, best.note if best else note)
    return found


def origin_of(path: str, taken: Mapping[str, str]) -> str:
    """The path that a value was written at: its own, or that of the finger it was taken from."""
    head = path
    while head:
        if head in taken:
            return taken[head] + path[len(head) :]
        head = head.rpartition(".")[0]
    return path


def source_problems(brief: BriefTable, parsed: Parsed, known: Mapping[str, Any]) -> list[Problem]:
    """Words that are no source, and paths that no value has."""
    tell = Teller(parsed)
    found: list[Problem] = []
    for path, text in _flat(brief.source, ""):
        loc = ("source", *_written_as(brief.source, path))
        if not isinstance(text, str) or text.partition(":")[0].strip() not in SOURCES:
            found.append(
                tell.wrong(
                    loc,
                    text,
                    "is no source.",
                    allowed='"measured", "handbook" or "guess", with a note after a colon',
                    mend='As in "measured: luggage scale".',
                )
            )
        elif not any(k == path or k.startswith(f"{path}.") for k in known):
            found.append(
                tell.wrong(
                    loc, None, "no number has this key path.", mend="As in wrist.travel_deg."
                )
            )
    return found


def guesses(found: Mapping[str, Provenance], taken: Mapping[str, str]) -> tuple[Provenance, ...]:
    """The values that nobody measured or looked up, each once however many fingers share it."""
    return tuple(
        p for path, p in found.items() if p.source == "guess" and origin_of(path, taken) == path
    )


def numbers(value: object, path: str) -> Iterator[str]:
    """Key paths of all numbers; items of lists go by their name, or else by their number from 1."""
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from numbers(inside, f"{path}.{key}" if path else str(key))
    elif isinstance(value, list) and any(isinstance(v, dict) for v in value):
        for n, inside in enumerate(value, start=1):
            name = inside.get("name") if isinstance(inside, dict) else None
            yield from numbers(inside, f"{path}.{name}" if name else f"{path}[{n}]")
    elif _is_number(value) or (isinstance(value, list) and value and _is_number(value[0])):
        yield path


def _is_number(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _standing(path: str, fallback: Source) -> Source:
    return "asked" if path.startswith(ASKED) else fallback


def _best(path: str, stated: Mapping[str, Provenance]) -> Provenance | None:
    """The statement with the longest path that covers this one."""
    covering = [s for s in stated if path == s or path.startswith(f"{s}.")]
    if not covering:
        return None
    best = stated[max(covering, key=len)]
    return Provenance(path, best.source, best.note)


def _stated(path: str, text: object) -> Provenance:
    word, _, note = str(text).partition(":")
    return Provenance(path, cast("Source", word.strip()), note.strip())


def _flat(table: Mapping[str, Any], path: str) -> Iterator[tuple[str, object]]:
    for key, inside in table.items():
        here = f"{path}.{key}" if path else key
        if isinstance(inside, dict):
            yield from _flat(inside, here)
        else:
            yield here, inside


def _written_as(table: Mapping[str, Any], path: str) -> tuple[str, ...]:
    """How a flattened path is nested in the file: keys may hold points themselves."""
    for key, inside in table.items():
        if key == path:
            return (key,)
        if isinstance(inside, dict) and path.startswith(f"{key}."):
            return (key, *_written_as(inside, path[len(key) + 1 :]))
    return ()
