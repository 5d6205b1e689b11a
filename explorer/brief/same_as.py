"""`same_as = "index"`: a finger takes what it does not say from another finger above it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from explorer.brief.explain import nearest
from explorer.brief.tell import Teller

if TYPE_CHECKING:
    from collections.abc import Iterable

    from explorer.brief.errors import Problem
    from explorer.brief.parse import Parsed
    from explorer.brief.toml_lines import Loc

OWN = ("name", "same_as", "knuckle_x_mm")  # never taken over


def spread_out(parsed: Parsed) -> tuple[dict[str, Any], set[Loc], list[Problem]]:
    """Raw values with every finger whole; the places that were taken over; what is wrong with them."""
    raw = dict(parsed.raw)
    taken: set[Loc] = set()
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
    taken: set[Loc],
    problems: list[Problem],
    parsed: Parsed,
) -> object:
    if not isinstance(finger, dict) or "same_as" not in finger:
        return finger
    named = {f["name"]: f for f in above if isinstance(f, dict) and isinstance(f.get("name"), str)}
    wanted = finger["same_as"]
    base = named.get(wanted) if isinstance(wanted, str) else None
    if base is None:
        problems.append(
            Teller(parsed).wrong(
                ("finger", n, "same_as"),
                wanted,
                "there is no such finger above this one.",
                allowed=", ".join(named) or "a finger above this one",
                mend=nearest(str(wanted), list(named)) or "Name a finger that stands above.",
            )
        )
        return finger
    return _joined(n, finger, base, taken)


def _joined(
    n: int, finger: dict[str, Any], base: dict[str, Any], taken: set[Loc]
) -> dict[str, Any]:
    out = dict(finger)
    for key, value in base.items():
        if key in OWN:
            continue
        if key not in finger:
            out[key] = value
            taken.add(("finger", n, key))
        elif _joins(key, finger[key], value):
            out[key] = {**value, **finger[key]}
            taken |= {("finger", n, key, inner) for inner in value if inner not in finger[key]}
    return out


def taken_from(parsed: Parsed, taken: Iterable[Loc]) -> dict[str, str]:
    """For each key path that a finger took over, the path of what was written."""
    fingers = parsed.raw.get("finger", [])
    rows = {f["name"]: n for n, f in enumerate(fingers)}
    found: dict[str, str] = {}
    for loc in taken:
        at = loc
        while at not in parsed.lines and "same_as" in fingers[at[1]]:
            at = ("finger", rows[fingers[at[1]]["same_as"]], *at[2:])
        found[parsed.path(loc)] = parsed.path(at)
    return found


def _joins(key: str, own: object, base: object) -> bool:
    """Tables join key by key; a drive of another kind stands alone."""
    if not isinstance(own, dict) or not isinstance(base, dict):
        return False
    return key != "drive" or own.get("kind", base.get("kind")) == base.get("kind")
