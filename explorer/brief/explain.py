"""From the schema's complaints to problems with a line, what is allowed and how to mend it."""

from __future__ import annotations

import difflib
import re
import types
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from explorer.brief.errors import (
    RANK_KEY,
    RANK_SECTION,
    RANK_VALUE,
    BadInput,
    Problem,
    short,
)
from explorer.brief.units import plain, slip

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pydantic_core import ErrorDetails

    from explorer.brief.parse import Parsed
    from explorer.brief.toml_lines import Loc

Model = TypeVar("Model", bound=BaseModel)

_COMMA_NUMBER = re.compile(r"\s*([-+]?\d+),(\d+)\s*")
_NUMBER = re.compile(r"\s*[-+]?\d+(\.\d+)?\s*")


@dataclass
class Spec:
    """What the schema says about one place: its type, range, unit and words."""

    kind: Any
    unit: str = ""
    words: str = ""
    low: float | None = None
    low_open: bool = False
    high: float | None = None
    lengths: tuple[int | None, int | None] = (None, None)
    owner: type[BaseModel] | None = None
    depth: int = 0
    choices: list[str] = field(default_factory=list)

    @property
    def allowed(self) -> str:
        """The range in words, as in `more than 0 and at most 40 N·m`."""
        unit = "" if self.unit in {"", "-"} else f" {self.unit}"
        if self.choices:
            return ", ".join(self.choices)
        if self.low is not None and self.high is not None:
            start = (
                f"more than {plain(self.low)} up to" if self.low_open else f"{plain(self.low)} to"
            )
            return f"{start} {plain(self.high)}{unit}"
        return _KINDS.get(self.kind, "")


_KINDS: dict[Any, str] = {
    float: "a number",
    int: "a whole number",
    bool: "true or false",
    str: 'text in "quotes"',
}


def validate(
    model: type[Model], raw: dict[str, Any], parsed: Parsed, skip: Iterable[Loc] = ()
) -> Model | list[Problem]:
    """The file as a checked table, or all its problems; `skip` lists places told elsewhere."""
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        skipped = {*skip, *parsed.bad}
        details = [
            detail
            for detail in error.errors(include_url=False)
            if not any(detail["loc"][:n] in skipped for n in range(1, len(detail["loc"]) + 1))
        ]
        return list(dict.fromkeys(explained(model, d, parsed) for d in _causes(model, details)))


def bad_sections(model: type[BaseModel], raw: dict[str, Any]) -> set[str]:
    """The sections of a file that the schema does not accept."""
    try:
        model.model_validate(raw)
    except ValidationError as error:
        return {str(detail["loc"][0]) for detail in error.errors(include_url=False)}
    return set()


def _causes(model: type[BaseModel], details: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without the missing keys that are there but misspelt: one slip, one message."""
    meant = set()
    for detail in details:
        if detail["type"] == "extra_forbidden":
            loc = detail["loc"]
            near = nearest(str(loc[-1]), _siblings(model, loc))
            meant.add((*loc[:-1], near.partition('"')[2].rstrip('"?')))
    return [d for d in details if not (d["type"] == "missing" and d["loc"] in meant)]


def _siblings(model: type[BaseModel], loc: Loc) -> list[str]:
    return _keys_of(spec_at(model, loc[:-1]).kind if len(loc) > 1 else model)


def table_or_raise(model: type[Model], raw: dict[str, Any], parsed: Parsed) -> Model:
    """As `validate`, raising `BadInput`."""
    result = validate(model, raw, parsed)
    if isinstance(result, list):
        raise BadInput([*parsed.problems, *result])
    if parsed.problems:
        raise BadInput(parsed.problems)
    return result


def explained(model: type[BaseModel], detail: ErrorDetails, parsed: Parsed) -> Problem:
    """One complaint of the schema in the maker's words."""
    loc: Loc = detail["loc"]
    spec = spec_at(model, loc)
    loc = loc[: spec.depth] if spec.depth else loc
    kind = detail["type"]
    if kind == "extra_forbidden":
        return _unknown_key(model, loc, parsed)
    if kind == "missing":
        return _missing(spec, loc, parsed)
    value = detail["input"]
    message, allowed, mend = _complaint(kind, spec, value, detail)
    return Problem(
        parsed.file,
        parsed.line(loc),
        parsed.path(loc),
        short(value),
        allowed,
        mend,
        message,
        RANK_VALUE,
    )


def _complaint(kind: str, spec: Spec, value: object, detail: ErrorDetails) -> tuple[str, str, str]:
    """(message, allowed, mend) for a value that is there but not allowed."""
    what = f" ({spec.words})" if spec.words else ""
    if kind in {"too_short", "too_long", "string_too_short", "string_too_long"}:
        return f"has the wrong length{what}.", _length_words(spec, detail), "Count the entries."
    if kind == "string_pattern_mismatch":
        return f"is empty{what}.", "a name", "Give it a name."
    if kind == "literal_error":
        if spec.choices == ["1"]:
            return "is a version of the format that is not known here.", "1", "Set schema = 1."
        near = nearest(str(value), [c.strip('"') for c in spec.choices])
        return "is not one of the choices.", spec.allowed, near or "Take one of them."
    if isinstance(value, (int, float)) and not isinstance(value, bool) and spec.high is not None:
        return _out_of_range(spec, float(value), what)
    return _wrong_kind(spec, value, what)


def _wrong_kind(spec: Spec, value: object, what: str) -> tuple[str, str, str]:
    """(message, allowed, mend) for text, truth values and tables where they do not belong."""
    if isinstance(value, str) and spec.high is not None:
        return f"is text, not a number{what}.", spec.allowed, _number_from(value)
    if isinstance(value, bool) and spec.kind in {int, float}:
        return f"is true or false, not a number{what}.", spec.allowed, "Type the number."
    return f"is of the wrong kind{what}.", spec.allowed or "as in a new brief", "Retype it."


def _out_of_range(spec: Spec, value: float, what: str) -> tuple[str, str, str]:
    low, high = spec.low or 0.0, spec.high or 0.0
    if spec.kind is int and value != int(value):
        return f"is not a whole number{what}.", spec.allowed, "Round it."
    meant = slip(spec.unit, value, low, high)
    size = "small" if value <= low else "large"
    message = f"must not be negative{what}." if value < 0 <= low else f"is too {size}{what}."
    return message, spec.allowed, meant or "Measure it again, and look at the unit."


def _number_from(value: str) -> str:
    comma = _COMMA_NUMBER.fullmatch(value)
    if comma:
        return f"Use a point, without quotes: {comma.group(1)}.{comma.group(2)}"
    if _NUMBER.fullmatch(value) and value.isascii():
        return f"Take the quotes away: {value.strip()}"
    return "Type a plain number, with a point and without quotes."


def _length_words(spec: Spec, detail: ErrorDetails) -> str:
    context = detail.get("ctx", {})
    least, most = spec.lengths
    if least is not None and least == most:
        return f"exactly {least}"
    if least is not None and most is not None:
        return f"{least} to {most}"
    limit = context.get("min_length", context.get("max_length", ""))
    return f"at {'least' if 'min_length' in context else 'most'} {limit}"


def _unknown_key(model: type[BaseModel], loc: Loc, parsed: Parsed) -> Problem:
    known = _siblings(model, loc)
    typed = str(loc[-1])
    near = nearest(typed, known)
    listed = ", ".join(known[:8]) + (", ..." if len(known) > 8 else "")
    return Problem(
        parsed.file,
        parsed.line(loc),
        parsed.path(loc),
        "",
        listed if not near else "the keys of this table",
        near or "Take it out, or look it up in a new brief.",
        "no such key here.",
        RANK_KEY,
    )


def _missing(spec: Spec, loc: Loc, parsed: Parsed) -> Problem:
    table = isinstance(spec.kind, type) and issubclass(spec.kind, BaseModel)
    section = len(loc) == 1
    what = f" ({spec.words})" if spec.words else ""
    if section and (table or get_origin(spec.kind) is list):
        mend = f"Add a section [{loc[0]}]." if table else f"Add a section [[{loc[0]}]]."
    else:
        mend = f"Add a line: {loc[-1]} = ..."
    return Problem(
        parsed.file,
        parsed.line(loc),
        parsed.path(loc),
        "",
        spec.allowed,
        mend,
        f"is missing{what}.",
        RANK_SECTION if section else RANK_KEY,
    )


def nearest(typed: str, known: Sequence[str]) -> str:
    """`Did you mean "grip_width"?` or nothing."""
    lowered = {k.lower(): k for k in known}
    found = difflib.get_close_matches(typed.lower()[:200], list(lowered), n=1, cutoff=0.6)
    return f'Did you mean "{lowered[found[0]]}"?' if found else ""


def spec_at(model: type[BaseModel], loc: Loc) -> Spec:
    """What the schema says about the place `loc`; stops where kinds may be mixed."""
    spec = Spec(model)
    for depth, step in enumerate(loc, start=1):
        inner = _step(spec.kind, step)
        if inner is None:
            return spec
        inner.depth = depth
        spec = inner
    return spec


def _step(kind: Any, step: str | int) -> Spec | None:  # noqa: ANN401  # a type form
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        for name, info in kind.model_fields.items():
            if (info.alias or name) == step:
                return _spec_of(info.annotation, [info], kind)
        return Spec(None, owner=kind)
    origin, arguments = get_origin(kind), get_args(kind)
    if origin is list and isinstance(step, int):
        return _spec_of(arguments[0], [], None)
    if origin is dict and isinstance(step, str):
        return _spec_of(arguments[1], [], None)
    return None


def _spec_of(kind: Any, marks: list[Any], owner: type[BaseModel] | None) -> Spec:  # noqa: ANN401
    """Unwraps Annotated and optional; gathers the marks on the way."""
    while True:
        origin = get_origin(kind)
        if origin is Annotated:
            kind, *more = get_args(kind)
            marks += more
            continue
        if origin in {Union, types.UnionType}:
            members = [m for m in get_args(kind) if m is not type(None)]
            if len(members) == 1:
                kind = members[0]
                continue
        break
    spec = Spec(kind, owner=owner)
    if get_origin(kind) is Literal:
        spec.choices = [f'"{c}"' if isinstance(c, str) else str(c) for c in get_args(kind)]
    for mark in marks:
        _apply(spec, mark)
    return spec


def _apply(spec: Spec, mark: Any) -> None:  # noqa: ANN401  # marks are of any kind
    if isinstance(mark, FieldInfo):
        extra = mark.json_schema_extra
        if isinstance(extra, dict) and isinstance(extra.get("unit"), str):
            spec.unit = str(extra["unit"])
        spec.words = spec.words or (mark.description or "")
        for inner in mark.metadata:
            _apply(spec, inner)
    if hasattr(mark, "ge") or hasattr(mark, "gt"):
        spec.low = float(mark.ge if hasattr(mark, "ge") else mark.gt)
        spec.low_open = not hasattr(mark, "ge")
    if hasattr(mark, "le"):
        spec.high = float(mark.le)
    if hasattr(mark, "min_length"):
        spec.lengths = (mark.min_length, spec.lengths[1])
    if hasattr(mark, "max_length"):
        spec.lengths = (spec.lengths[0], mark.max_length)


def _keys_of(kind: Any) -> list[str]:  # noqa: ANN401  # a type form
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return [info.alias or name for name, info in kind.model_fields.items()]
    return []
