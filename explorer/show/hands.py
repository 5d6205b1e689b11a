"""The drive as it is, in six hands of surveyed size: as data and as plain lines."""

from __future__ import annotations

from collections.abc import Mapping

from explorer.brief.builds import Build
from explorer.brief.hands import SOURCE
from explorer.brief.read import Study
from explorer.scoring.hands import OnHand, hand_shelves, on_hands
from explorer.show.layout import Columns, number, paragraph, quantity, rows_of
from explorer.show.plain import Json, Table, num

_H = "other_hands[]."
KEYS: Mapping[str, str] = {
    f"{_H}name": "a hand of the survey, by sex and percentile",
    f"{_H}length_mm": "wrist crease to middle fingertip",
    f"{_H}breadth_mm": "across the knuckles",
    f"{_H}palm_mm": "length of the palm",
    f"{_H}fits": "true where this drive, unchanged, keeps every limit there and every grip can be made",
    f"{_H}grip_ratio": "weakest grip over its need there, the wrist's pull as in the brief",
    f"{_H}lost[].grip": "a grip that this hand's fingers cannot make; empty: the drive has no place there",
    f"{_H}lost[].why": "why not",
    f"{_H}missing[].limit": "a limit that does not hold there, worst first",
    f"{_H}missing[].slack": "how much is missing",
    f"{_H}missing[].slack_unit": "its unit",
}
_NAMED = 3  # limits in a line


def other_hands(study: Study, build: Build) -> list[Json]:
    """One table a hand."""
    return [_hand(found) for found in on_hands(hand_shelves(study.brief, study.stock), build)]


def _hand(found: OnHand) -> Table:
    return {
        "name": found.hand.name,
        "length_mm": found.hand.length,
        "breadth_mm": found.hand.breadth,
        "palm_mm": found.hand.palm,
        "fits": found.fits,
        "grip_ratio": None if found.grip is None else num(found.grip),
        "lost": [{"grip": x.grip, "why": x.why} for x in found.lost],
        "missing": [
            {"limit": m.limit, "slack": num(m.slack), "slack_unit": m.unit} for m in found.missing
        ],
    }


def lines(facts: Mapping[str, Json]) -> list[str]:
    """A small table; nothing where the facts have none."""
    rows = rows_of(facts.get("other_hands"))
    columns = Columns(("on other hands", "mm", "", "x need", "in the way"), frozenset({0, 2, 4}))
    found = columns.lines([_row(r) for r in rows])
    if not found:
        return []
    return [
        "",
        *found,
        *paragraph(f"The drive as it is, the wrist's pull as here. Sizes: {SOURCE}."),
    ]


def _row(r: Mapping[str, Json]) -> list[str]:
    missing = [_missing(m) for m in rows_of(r["missing"])]
    gone = list(dict.fromkeys(f"no {x['grip'] or 'place'}" for x in rows_of(r["lost"])))
    told = [*gone, *missing]
    more = [f"{len(told) - _NAMED} more"] if len(told) > _NAMED else []
    return [
        str(r["name"]),
        f"{number(r['length_mm'], 0)} x {number(r['breadth_mm'], 0)}",
        "fits" if r["fits"] else "does not fit",
        number(r["grip_ratio"], 2),
        ", ".join([*told[:_NAMED], *more]),
    ]


def _missing(m: Mapping[str, Json]) -> str:
    """A limit and what is missing; "just" where that rounds to nothing."""
    told = quantity(m["slack"], str(m["slack_unit"]))
    return f"{m['limit']} {told if told.startswith('-') else 'just'}"
