"""`same_as = "index"`: a finger takes what it does not say from another finger above it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from explorer.brief.explain import nearest
from explorer.brief.tell import Teller

if TYPE_CHECKING:
    from collections.abc import Mapping

    from explorer.brief.errors import Problem
    from explorer.brief.parse import Parsed
    from explorer.brief.toml_lines import Loc

OWN = ("name", "same_as", "knuckle_x_mm")  # never taken over


def spread_out(parsed: Parsed) -> tuple[dict[str, Any], dict[Loc, Loc], list[Problem]]:
    """Raw values with every finger whole; each place taken over and from where; what is wrong."""
    raw = dict(parsed.raw)
    taken: dict[Loc, Loc] = {}
    problems: list[Problem] = []
    if not isinstance(raw.get("finger"), list):
        return raw, taken, problems
    whole: list[object] = []
    for n, finger in enumerate(raw["finger"]):
        whole.append(_one(n, finger, whole, taken, problems, parsed))
    raw["finger"] = whole
    return raw, taken, problems


def _one(
    n: int,
    finger: object,
    above: list[object],
    taken: dict[Loc, Loc],
    problems: list[Problem],
    parsed: Parsed,
) -> object:
    if not isinstance(finger, dict) or "same_as" not in finger:
        return finger
    named = {
        f["name"]: i
        for i, f in enumerate(above)
        if isinstance(f, dict) and isinstance(f.get("name"), str)
    }
    wanted = finger["same_as"]
    base = named.get(wanted) if isinstance(wanted, str) else None
    whole = None if base is None else above[base]
    if base is None or not isinstance(whole, dict):
        problems.append(
            Teller(parsed).wrong(
                ("finger", n, "same_as"),
                wanted,
                "there is no such finger above this one.",
                allowed=", ".join(named) or "a finger above this one",
                mend=nearest(str(wanted), list(named)) or "Name a finger that stands above.",
            )
        )
        taken[("finger", n)] = ("finger", n)  # nothing more can be said of this finger
        return finger
    joined, inherited = _joined(finger, whole)
    taken |= {("finger", n, *place): ("finger", base, *place) for place in inherited}
    return joined


def _joined(finger: dict[str, Any], base: dict[str, Any]) -> tuple[dict[str, Any], list[Loc]]:
    out = dict(finger)
    inherited: list[Loc] = []
    for key, value in base.items():
        if key in OWN:
            continue
        if key not in finger:
            out[key] = value
            inherited.append((key,))
        elif _joins(key, finger[key], value):
            out[key] = {**value, **finger[key]}
            inherited += [(key, inner) for inner in value if inner not in finger[key]]
    return out, inherited


def taken_from(parsed: Parsed, taken: Mapping[Loc, Loc]) -> dict[str, str]:
    """For each key path that a finger took over, the path of what was written."""
    return {parsed.path(loc): parsed.path(_written(loc, taken)) for loc in taken}


def _written(loc: Loc, taken: Mapping[Loc, Loc]) -> Loc:
    """Follows a chain of fingers upward; a part of a table may come with the whole table."""
    for n in range(len(loc), 2, -1):
        if loc[:n] in taken:
            return _written((*taken[loc[:n]], *loc[n:]), taken)
    return loc


def _joins(key: str, own: object, base: object) -> bool:
    """Tables join key by key; a drive of another kind stands alone."""
    if not isinstance(own, dict) or not isinstance(base, dict):
        return False
    return key != "drive" or own.get("kind", base.get("kind")) == base.get("kind")
