"""A drive as its maker writes it, by keys and stock names, to a vector and back."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping

import numpy as np

from explorer.brief.builds import Build, Value
from explorer.brief.errors import RANK_KEY, RANK_VALUE, BadInput, Problem, short
from explorer.drives.assemble import Space
from explorer.drives.variables import Variable
from explorer.mechanics.types import Floats

_WIDEST = 3.0  # a drive that was built may lie outside what the search tries, by this factor


def vector_of(space: Space, build: Build) -> Floats:
    """The vector (1,V) of one described drive; BadInput names every key that is off, all at once."""
    known = {v.key: v for v in space.variables}
    problems: list[Problem] = []

    def wrong(
        key: str,
        value: object,
        allowed: str,
        mend: str,
        message: str,
        rank: int,
    ) -> None:
        problems.append(
            Problem(
                build.file,
                build.lines.get(key, build.line),
                f"values.{key}" if key else "values",
                short(value),
                allowed,
                mend,
                f'drive "{build.name}": {message}',
                cause_rank=rank,
            )
        )

    for key, value in build.values.items():
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1, cutoff=0.5)
            hint = f'did you mean "{near[0]}"?' if near else f"keys are {', '.join(known)}"
            wrong(
                key,
                value,
                "a key of this architecture",
                hint,
                f'{build.architecture} has no value "{key}"',
                RANK_KEY,
            )
    missing = [v for v in space.variables if v.key not in build.values]
    if missing:
        v = missing[0]
        rest = f" (and {', '.join(m.key for m in missing[1:])})" if missing[1:] else ""
        wrong(
            "",
            "",
            _allowed(v),
            f"{v.key} is {v.words}",
            f"{len(missing)} of {len(space.variables)} values are missing: {v.key}{rest}",
            RANK_KEY,
        )
    row = np.zeros((1, len(space.variables)))
    for j, v in enumerate(space.variables):
        if v.key not in build.values:
            continue
        found = _number(v, build.values[v.key])
        if isinstance(found, str):
            wrong(
                v.key, build.values[v.key], _allowed(v), found, f"{v.key} is not usable", RANK_VALUE
            )
        else:
            row[0, j] = found
    if problems:
        raise BadInput(problems)
    return row


def _allowed(v: Variable) -> str:
    if v.kind == "choice":
        listed = ", ".join(f'"{o}"' for o in v.options[:8])
        more = f" and {len(v.options) - 8} more" if len(v.options) > 8 else ""
        return f"one of {listed}{more}"
    low, high = _wide(v)
    return f"{'a whole number' if v.kind == 'whole' else 'a number'} from {low:g} to {high:g}"


def _wide(v: Variable) -> tuple[float, float]:
    """What a described drive may hold: the search's bounds, widened."""
    if v.degrees:
        return -85.0, 85.0
    span = v.high - v.low
    low = v.low / _WIDEST if v.low > 0.0 else v.low - _WIDEST * span
    high = v.high * _WIDEST if v.high > 0.0 else v.high + _WIDEST * span
    return (max(1.0, math.floor(low)), math.ceil(high)) if v.kind == "whole" else (low, high)


def _number(v: Variable, value: Value) -> float | str:
    """The entry of the vector, or how to mend the value."""
    if v.kind == "choice":
        return _option(v, value)
    if isinstance(value, (bool, str)):
        return "write a plain number, with a point for decimals"
    if not math.isfinite(value):
        return "must be finite"
    if v.kind == "whole" and value != math.floor(value):
        return "must be a whole number"
    low, high = _wide(v)
    if not low <= value <= high:
        return f"it is usually between {v.low:g} and {v.high:g}: check its unit"
    return float(value)


def _option(v: Variable, value: Value) -> float | str:
    names = list(v.options)
    if isinstance(value, str) and value in names:
        return float(names.index(value))
    near = difflib.get_close_matches(str(value), names, n=1, cutoff=0.4)
    what = f"the stock has no such line in {v.stock}" if v.stock else "no such way of building"
    return f'{what}; nearest is "{near[0]}"' if near else what


def values_of(space: Space, x: Floats) -> dict[str, Value]:
    """Keys and values of one vector (V,): options by name, whole numbers as int."""
    out: dict[str, Value] = {}
    for v, entry in zip(space.variables, np.asarray(x).reshape(-1), strict=True):
        if v.kind == "choice":
            out[v.key] = v.options[int(entry)]
        elif v.kind == "whole":
            out[v.key] = int(entry)
        else:
            out[v.key] = float(entry)
    return out


def changed(build: Build, changes: Mapping[str, Value]) -> Build:
    """The same drive with some values replaced, as in `--set key=value`."""
    return Build(
        build.name,
        build.architecture,
        {**build.values, **changes},
        {k: n for k, n in build.lines.items() if k not in changes},
        build.note,
        build.broke,
        build.kept_years,
        build.study,
        build.brief_hash,
        build.file,
        build.guessed,
        build.line,
    )


def random_vectors(space: Space, n: int, rng: np.random.Generator) -> Floats:
    """n vectors spread evenly over the space: (n,V), whole and choice columns whole."""
    X = np.empty((n, len(space.variables)))
    for j, v in enumerate(space.variables):
        if v.kind == "real":
            X[:, j] = rng.uniform(v.low, v.high, n)
        else:
            X[:, j] = rng.integers(int(v.low), int(v.high) + 1, n)
    return X
