"""When to look, what to measure with what, when to change, and the spares: as data and as lines."""

from __future__ import annotations

import math
from collections.abc import Mapping

from explorer.scoring.score import Detail
from explorer.scoring.service import LINKS, LOOKS, YEAR, Service, soonest_look
from explorer.scoring.service import service as serviced
from explorer.show.blocks import Block, Say, as_lines, grid
from explorer.show.layout import number, rows_of, table_of
from explorer.show.plain import Json, Table, num

_MEASURE = {
    "chain": f"length over {LINKS} links, chain pulled straight",
    "bush": "play of the joint along the pull",
    "pin": "play of the joint along the pull",
}
_CHANGE = {
    "chain": "the chain",
    "bush": "the bush, and the pin if it is worn thin",
    "pin": "the pin, and bush the worn hole or renew its plate",
}
TOOL = "caliper"

KEYS: Mapping[str, str] = {
    "service.look_weeks": "look at the whole drive so often: as the first part to be changed asks",
    "service.looks_count": "looks in the life of each part",
    "service.years": "how long the brief asks the hand to last",
    "service.joints[].key": "the joint",
    "service.joints[].part": "wearing part",
    "service.joints[].look_weeks": "weeks between looks",
    "service.joints[].measure": "what is measured",
    "service.joints[].tool": "with what",
    "service.joints[].limit_mm": "change when it is so much more than when new; never less than a caliper sees",
    "service.joints[].new_mm": "chains: length over ten links when new",
    "service.joints[].worn_mm": "chains: length over ten links at the change",
    "service.joints[].change": "what is changed then",
    "service.joints[].change_weeks": "weeks until then, at the brief's use",
    "service.joints[].spares_count": "spares for one year: 52 over the weeks, rounded up",
}


def service(d: Detail) -> Table:
    """The service of one drive, the first part to be changed first."""
    rows = serviced(d)
    return {
        "look_weeks": num(soonest_look(rows)),
        "looks_count": LOOKS,
        "years": d.space.shelf.brief.use.years,
        "joints": [_row(s) for s in rows],
    }


def _row(s: Service) -> Table:
    chain = s.kind == "chain"
    return {
        "key": s.key,
        "part": s.part,
        "look_weeks": num(s.look),
        "measure": _MEASURE[s.kind],
        "tool": TOOL,
        "limit_mm": s.limit,
        "new_mm": s.new if chain else None,
        "worn_mm": s.new + s.limit if chain else None,
        "change": _CHANGE[s.kind],
        "change_weeks": num(s.change),
        "spares_count": s.spares,
    }


def every(weeks: Json) -> str:
    """How often to look, rounded to the safe side; what lasts for years is looked at once a year."""
    if not isinstance(weeks, (int, float)) or weeks >= YEAR:
        return "once a year"
    if weeks < 1.0:
        days = max(1, math.floor(7.0 * weeks))
        return "every day" if days == 1 else f"every {days} days"
    whole = math.floor(weeks)
    return "every week" if whole == 1 else f"every {whole} weeks"


def after(weeks: Json, years: Json) -> str:
    """When to change, rounded to the safe side; what outlasts the asked years is said to."""
    asked = float(years) if isinstance(years, (int, float)) else math.inf
    if not isinstance(weeks, (int, float)):
        return "does not wear"
    if weeks > asked * YEAR:
        return f"outlasts {number(asked, 0 if asked == round(asked) else 1)} years"
    if weeks < 1.0:
        return f"{max(1, math.floor(7.0 * weeks))} days"
    if weeks < 2.0 * YEAR:
        return f"{math.floor(weeks)} weeks"
    return f"{math.floor(10.0 * weeks / YEAR) / 10.0:.1f} years"


def service_lines(facts: Mapping[str, Json]) -> list[str]:
    """The blocks as plain lines."""
    return as_lines(service_blocks(facts))


def service_blocks(facts: Mapping[str, Json]) -> list[Block]:
    """The table, then what to do, as one does it."""
    x = table_of(facts["service"])
    rows = rows_of(x["joints"])
    out = grid(
        ("part", "look", "change at", "change after", "spares a year"),
        [
            [
                str(r["part"]),
                every(r["look_weeks"]),
                _change_at(r),
                after(r["change_weeks"], x["years"]),
                number(r["spares_count"], 0),
            ]
            for r in rows
        ],
        frozenset({0, 1, 2, 3}),
    )
    return [*out, *(Say(text, hang="  ") for text in _how(x, rows))]


def _how(x: Mapping[str, Json], rows: list[Mapping[str, Json]]) -> list[str]:
    """How to look, and how to read play and chains."""
    if not rows:
        return []
    out = [
        (
            f"Look at the whole drive {every(x['look_weeks'])}, and write down what you read: two readings give "
            "your own rate of wear, which is worth more than the computed one."
        )
    ]
    pins = dict.fromkeys(str(r["change"]) for r in rows if r["new_mm"] is None)
    if pins:
        out.append(
            f"Play: hold one plate, push and pull the other along the pull, and read both ends with a {TOOL}; "
            f"the difference is the play. Read it when new too: the limit is what it has grown by. Then change "
            f"{', or where there is no bush '.join(sorted(pins, key=list(_CHANGE.values()).index))}."
        )
    if any(r["new_mm"] is not None for r in rows):
        out.append(
            f"Chain: pull it straight and read with a {TOOL} over {LINKS} links, pin edge to the same edge of "
            f"the pin {LINKS} on; over half as many links half the growth counts. Then change {_CHANGE['chain']}."
        )
    return out


def _change_at(r: Mapping[str, Json]) -> str:
    if r["new_mm"] is None:
        return f"{number(r['limit_mm'], 2)} mm more play"
    return f"{number(r['worn_mm'], 2)} mm over {LINKS} links (new {number(r['new_mm'], 2)})"
