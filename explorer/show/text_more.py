"""Sections of the plain text: room and limits, parts, wear, and how sure it is."""

from __future__ import annotations

from collections.abc import Mapping

from explorer.show.hands import lines as other_hands
from explorer.show.layout import (
    Columns,
    margin,
    number,
    paragraph,
    percent,
    quantity,
    rows_of,
    table_of,
    words_of,
)
from explorer.show.plain import Json

Facts = Mapping[str, Json]
_TIGHTEST = 8


def fits(facts: Facts) -> list[str]:
    """Every limit with its slack, failing ones first; the box, the cavity's sides, the tightest gaps."""
    rows = sorted(rows_of(facts["limits"]), key=lambda limit: bool(limit["fits"]))
    columns = Columns(("limit", "", "slack", "question"), frozenset({0, 1, 3}))
    out = columns.lines(
        [
            [
                str(r["id"]),
                "ok" if r["fits"] else "FAILS",
                quantity(r["slack"], str(r["slack_unit"])),
                str(r["question"]),
            ]
            for r in rows
        ]
    )
    out += [f"  eases {r['id']}: {r['ease']}" for r in rows if not r["fits"]]
    aims = Columns(("aim", "score", "enough", ""), frozenset({0, 3}))
    out += [
        "",
        *aims.lines(
            [
                [
                    str(a["words"]),
                    quantity(a["value"], _unit(a["value_unit"], facts)),
                    quantity(a["enough"], _unit(a["enough_unit"], facts)),
                    "asked" if a["asked"] else "",
                ]
                for a in rows_of(facts["aims"])
            ]
        ),
    ]
    return [*out, "", *_room(facts), *other_hands(facts)]


def _unit(unit: Json, facts: Facts) -> str:
    """Money in the study's currency."""
    return str(table_of(facts["totals"])["currency"]) if unit == "money" else str(unit)


def _room(facts: Facts) -> list[str]:
    room = table_of(facts["room"])
    boxes = [
        ("whole drive", table_of(room["box"])),
        *((str(s["name"]), s) for s in rows_of(room["stages"])),
    ]
    columns = Columns(("box", "x mm", "y mm", "z mm", "cm3"))
    out = columns.lines(
        [
            [name, *(number(b[f"size_{n}_mm"], 1) for n in "xyz"), number(b["volume_cm3"], 1)]
            for name, b in boxes
        ]
    )
    sides = ", ".join(f"{s['side']} {number(s['slack_mm'], 1)}" for s in rows_of(room["cavity"]))
    out += paragraph(
        f"Left to the cavity, mm: {sides}; to keep-outs {number(room['keepout_slack_mm'], 1)}."
    )
    gaps = Columns(
        ("tightest gaps", "and", "open mm", "least mm", "asked mm", "in"), frozenset({0, 1, 5})
    )
    found = gaps.lines(
        [
            [
                str(c["a"]),
                str(c["b"]),
                number(c["open_mm"], 1),
                number(c["least_mm"], 1),
                number(c["asked_mm"], 1),
                str(c["position"]),
            ]
            for c in rows_of(facts["clearances"])[:_TIGHTEST]
        ]
    )
    return [*out, "", *found] if found else out


def bought(facts: Facts) -> list[str]:
    """The parts list with its totals."""
    columns = Columns(
        ("no.", "piece", "n", "", "from stock", "g each", "t mm", "z mm", "moves"),
        frozenset({0, 1, 3, 4, 8}),
    )
    out = columns.lines(
        [
            [
                str(p["number"]),
                str(p["words"]),
                number(p["pieces_count"], 0),
                str(p["have"]),
                _stock(p),
                number(p["mass_each_g"], 1),
                number(p["thickness_mm"], 2),
                f"{number(p['z_from_mm'], 2)} to {number(p['z_to_mm'], 2)}",
                str(p["moves"]),
            ]
            for p in rows_of(facts["parts"])
        ]
    )
    t = table_of(facts["totals"])
    return [
        *out,
        *paragraph(
            f"{number(t['pieces_count'], 0)} pieces, {number(t['part_numbers_count'], 0)} different; "
            f"{number(t['mass_g'], 0)} g, centre {number(t['centre_from_wrist_end_mm'], 1)} mm from the wrist end; "
            f"{number(t['hours_h'], 1)} h of work, {number(t['cost_money'], 0)} {t['currency']}.",
        ),
    ]


def _stock(p: Mapping[str, Json]) -> str:
    if p["stock_line"] is None:
        return "-"
    wheel = "for " if p["what"] == "wheel" and p["stock_list"] == "chains" else ""
    own = f" ({p['stock_have']})" if p["have"] != p["stock_have"] else ""
    return f"{wheel}{p['stock_line']}{own}"


def lasting(facts: Facts) -> list[str]:
    """Weeks of every wear part, soonest first."""
    columns = Columns(("wear part", "weeks", "measure", "limit"), frozenset({0, 2}))
    rows = rows_of(facts["wear"])
    out = columns.lines(
        [
            [
                str(w["part"]),
                number(w["weeks"], 0),
                str(w["measure"]),
                _limit(w),
            ]
            for w in rows[:_TIGHTEST]
        ]
    )
    if len(rows) > _TIGHTEST:
        out.append(f"  and {len(rows) - _TIGHTEST} more that last longer")
    return [*out, "", *_tired(table_of(facts["fatigue"]))]


def _tired(fatigue: Mapping[str, Json]) -> list[str]:
    """Every joint and part by its least fatigue margin, and for how many grips it is asked."""
    rows = [r for r in rows_of(fatigue["checks"]) if r["margin_MS"] is not None]
    least: dict[str, Mapping[str, Json]] = {}
    for row in rows:
        least.setdefault(str(row["part"]), row)
    columns = Columns(("fatigue", "way", "stress", "stands", "margin"), frozenset({0, 1, 4}))
    found = columns.lines(
        [
            [
                str(r["part"]),
                str(r["way"]),
                quantity(r["stress"], str(r["stress_unit"])),
                quantity(r["stands"], str(r["stands_unit"])),
                margin(r["margin_MS"]),
            ]
            for r in least.values()
        ]
    )
    grips, sure = number(fatigue["grips_count"], 0), percent(fatigue["reliability_share"])
    return [
        *found,
        *paragraph(f"Margins for {grips} grips from zero, {sure} of parts to last, chains apart."),
    ]


def _limit(w: Mapping[str, Json]) -> str:
    return f"{number(w['limit_mm'], 2)} mm" if "limit_mm" in w else percent(w["limit_ratio"])


def doubt(facts: Facts) -> list[str]:
    """The form that scores beside the exact one, and which values are guesses."""
    exact = table_of(facts["exact"])
    columns = Columns(
        ("scored / exact", "X mm", "worst lean deg", "tilts deg", "pulls differ", "grip differs")
    )
    out = columns.lines(
        [
            [
                str(p["name"]),
                _both(p, "X", "mm"),
                _both(p, "lean", "deg"),
                ", ".join(
                    f"{number(t['explicit_deg'], 1)}/{number(t['exact_deg'], 1)}"
                    for t in rows_of(p["tilts"])
                )
                or "-",
                _largest(p),
                _fine(p["grip_difference_share"]),
            ]
            for p in rows_of(exact["positions"])
        ]
    )
    mark = "CHECK LEANS. " if exact["check_leans"] else ""
    solved = "Every position is solved" if exact["solved"] else "Not every position can be solved"
    out += paragraph(
        f"{mark}{solved} with links at their true lengths; largest difference where it counts, of a pull "
        f"{_fine(exact['largest_pull_difference_share'])}, of a grip {_fine(exact['largest_grip_difference_share'])}.",
    )
    out += _nearly_nothing(exact)
    guessed = table_of(facts["guessed"])
    brief, drive = words_of(guessed["brief"]), words_of(guessed["drive"])
    out += paragraph(
        f"Guesses: {len(brief)} values of the brief"
        + (f"; of the drive: {', '.join(drive)}." if drive else ".")
    )
    return out


def _nearly_nothing(exact: Mapping[str, Json]) -> list[str]:
    """Pulls of which a share would say nothing, named, with what is the most of them in newtons."""
    told: dict[str, list[str]] = {}
    most = 0.0
    for p in rows_of(exact["positions"]):
        for r in rows_of(p["pulls"]):
            scored, found = r["scored_N"], r["exact_N"]
            if (
                r["difference_share"] is None
                and isinstance(scored, float)
                and isinstance(found, float)
            ):
                told.setdefault(str(p["name"]), []).append(str(r["name"]))
                most = max(most, abs(found))
    if not told:
        return []
    where = "; ".join(f"{', '.join(names)} in {place}" for place, names in told.items())
    return paragraph(
        f"Left out of pulls differ: {where}. Scored they pull less than {number(exact['least_pull_N'], 0)} N at "
        f"comfortable torque, nearly nothing; exact at most {number(most, 1)} N."
    )


def _both(p: Mapping[str, Json], name: str, unit: str) -> str:
    return f"{number(p[f'{name}_explicit_{unit}'], 1)}/{number(p[f'{name}_exact_{unit}'], 1)}"


def _largest(p: Mapping[str, Json]) -> str:
    found = [
        abs(v) for r in rows_of(p["pulls"]) if isinstance(v := r["difference_share"], (int, float))
    ]
    return _fine(max(found)) if found else "-"


def _fine(value: Json) -> str:
    """Tenths of a percent: the difference is judged at 3 %."""
    return "-" if not isinstance(value, (int, float)) else f"{number(100.0 * value, 1)} %"
