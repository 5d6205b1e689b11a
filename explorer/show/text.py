"""The facts of one drive as plain lines: questions as headings, the verdict last, then the next command."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from explorer.show.blocks import Block, as_lines
from explorer.show.broke import lines as broke_lines
from explorer.show.doubt import doubt_lines
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
from explorer.show.service import service_lines
from explorer.show.text_asks import SECTIONS as ASKS
from explorer.show.text_more import bought, doubt, fits, lasting
from explorer.show.working import working_lines

RUNGS = 12  # first to give, and the weakest checks
Facts = Mapping[str, Json]
Section = Callable[[Facts], list[str]]


def title(facts: Facts) -> list[str]:
    """Name, kind and brief of the drive."""
    alone = f", {facts['single']} alone" if facts["single"] else ""
    lines = [
        f"{facts['drive']} - {facts['architecture_words']} ({facts['tag']}){alone}",
        f"study {facts['study']} - {facts['brief_name']} - {facts['side']} hand - brief {facts['brief_hash']}",
    ]
    if facts["brief_hash_of_file"]:
        lines.append(
            f"warning: this drive was made for brief {facts['brief_hash_of_file']}, not {facts['brief_hash']}"
        )
    if facts["note"]:
        lines += paragraph(f"note: {facts['note']}", indent="")
    broke = table_of(facts["broke"])
    if broke:
        lines.append(f"broke: {broke['part']}" + (f", {broke['how']}" if broke["how"] else ""))
    if facts["kept_years"] is not None:
        lines.append(f"kept {number(facts['kept_years'], 1)} years")
    return lines


def gives(facts: Facts) -> list[str]:
    """Grip by grip and finger by finger, at comfortable torque."""
    rows = rows_of(facts["grips"])
    names = [str(f["name"]) for f in _fingers(facts)]
    columns = Columns(("grip", "gives N", "needs N", "x need", *names, "efficiency", "holding"))
    table = [
        [
            str(g["name"]),
            number(g["delivered_N"], 0),
            number(g["need_N"], 0),
            number(g["of_need_ratio"], 2),
            *(number(_named(g["fingers"], n).get("force_N"), 0) for n in names),
            percent(g["efficiency_share"]),
            percent(g["efficiency_hold_share"]),
        ]
        for g in rows
    ]
    out = columns.lines(table)
    if out:
        out += paragraph(
            "At comfortable torque, with the friction of all equalisers at its worst; each finger's part in N."
        )
    return out + _carried(facts)


def _carried(facts: Facts) -> list[str]:
    out: list[str] = []
    for c in rows_of(facts["carries"]):
        how = "the wrist can lift it" if c["lifted_by_wrist"] else "the wrist cannot lift it"
        lock = f"; the lock on the {c['lock']} holds it" if c["lock"] else ""
        out += paragraph(
            f"{c['name']}: {number(c['load_kg'], 1)} kg takes {number(c['lift_N'], 0)} N at the wrist to lift, "
            f"{number(c['hold_N'], 0)} N to hold; {how}{lock}.",
            hang="  ",
        )
    return out


def _fingers(facts: Facts) -> list[Mapping[str, Json]]:
    return rows_of(rows_of(facts["positions"])[0]["fingers"])


def _named(value: Json, name: str) -> Mapping[str, Json]:
    return next((row for row in rows_of(value) if row["name"] == name), {})


def asks(facts: Facts) -> list[str]:
    """Travel and pull at the wrist, position by position."""
    ratio, first, play = (
        table_of(facts["ratio"]),
        table_of(facts["first_to_give"]),
        table_of(facts["play"]),
    )
    columns = Columns(
        ("position", "counts", "X mm", "wrist N", "output N", "efficiency"), frozenset({0, 1})
    )
    table = [
        [
            str(p["name"]),
            "must" if p["must"] else "report",
            number(p["X_mm"], 1),
            number(p["F_in_N"], 0),
            number(p["F_out_N"], 0),
            percent(p["efficiency_share"]),
        ]
        for p in rows_of(facts["positions"])
    ]
    return [
        *columns.lines(table),
        *paragraph(
            f"The wrist gives {number(first['often_N'], 0)} N often, {number(first['comfortable_N'], 0)} N comfortably, "
            f"{number(first['peak_N'], 0)} N at most; {number(ratio['X_available_mm'], 1)} mm of travel are there, "
            f"{number(play['input_mm'], 2)} mm of play taken off.",
        ),
        *_mark(ratio),
    ]


def _mark(ratio: Mapping[str, Json]) -> list[str]:
    """The constant-ratio mark in a sentence a grip."""
    grips = [
        f"{g['name']} {number(g['F_out_N'], 0)} of {number(g['mark_N'], 0)} N ({number(g['of_mark_ratio'], 2)} x)"
        for g in rows_of(ratio["grips"])
    ]
    if not grips:
        return []
    return paragraph(
        f"Best a constant ratio could do with this friction (F X eta/Y over {number(ratio['Y_longest_mm'], 1)} mm): "
        f"{'; '.join(grips)}. Work: the sum of dX/dY over that draw is {number(ratio['work_travel_mm'], 2)} mm, "
        f"X by lengths {number(ratio['X_at_longest_mm'], 2)} mm, {number(ratio['travel_spare_mm'], 2)} mm to spare.",
    )


def moves(facts: Facts) -> list[str]:
    """Draws, shares and pulls finger by finger, tilts and leans, in every position."""
    names = [str(f["name"]) for f in _fingers(facts)]
    positions = rows_of(facts["positions"])
    draws = Columns(("draw mm", *names, "Y", "ratio part deg", "worst lean deg"))
    out = draws.lines(
        [
            [
                str(p["name"]),
                *(number(f["draw_mm"], 1) for f in rows_of(p["fingers"])),
                number(p["Y_mm"], 1),
                number(p["theta_deg"], 1),
                number(p["lean_worst_deg"], 1),
            ]
            for p in positions
        ]
    )
    shares = Columns(("share of output %, low/plain/high", *names))
    out += [
        "",
        *shares.lines(
            [[str(p["name"]), *(_share(f) for f in rows_of(p["fingers"]))] for p in positions]
        ),
    ]
    pulls = Columns(("pull N, low/plain/high", *names))
    out += [
        "",
        *pulls.lines(
            [
                [str(p["name"]), *(_pull(f) for f in rows_of(p["fingers"]))]
                for p in positions
                if p["F_out_N"] is not None
            ]
        ),
    ]
    stages = [str(s["name"]) for s in rows_of(positions[0]["stages"])]
    tilts = Columns(("tilt or turn (leans in/a/b) deg", *stages))
    return [
        *out,
        "",
        *tilts.lines(
            [[str(p["name"]), *(_tilt(s) for s in rows_of(p["stages"]))] for p in positions]
        ),
    ]


def _share(f: Mapping[str, Json]) -> str:
    return "/".join(
        percent(f[f"share_{w}_share"]).removesuffix(" %") for w in ("low", "plain", "high")
    )


def _pull(f: Mapping[str, Json]) -> str:
    return "/".join(number(f[f"pull_{w}_N"], 0) for w in ("low", "plain", "high"))


def _tilt(s: Mapping[str, Json]) -> str:
    leans = "/".join(number(s[f"lean_{w}_deg"], 1) for w in ("in", "a", "b"))
    return f"{number(s['tilt_deg'], 1)} ({leans})"


def ladder(facts: Facts) -> list[str]:
    """First to give: at the wrist and on the hook, then the weakest checks with their margins."""
    first = table_of(facts["first_to_give"])
    wrist = Columns(
        ("at the wrist", "way", "gives N", "allowed N", "in", "then"), frozenset({0, 1, 4, 5})
    )
    out = wrist.lines(
        [
            [
                str(r["part"]),
                str(r["way"]),
                number(r["gives_N"], 0),
                number(r["allowed_N"], 0),
                str(r["position"]),
                str(r["left"]),
            ]
            for r in weakest(rows_of(first["wrist"]))
        ]
    )
    out += paragraph(
        f"Gives: stress reaches yield, a chain its least breaking load. Your peak is {number(first['peak_N'], 0)} N, "
        f"{number(first['peak_with_shock_N'], 0)} N with shock.",
    )
    hook = Columns(
        ("on the hook", "way", "gives kg", "allowed kg", "in", "then"), frozenset({0, 1, 4, 5})
    )
    found = hook.lines(
        [
            [
                str(r["part"]),
                str(r["way"]),
                number(r["gives_kg"], 1),
                number(r["allowed_kg"], 1),
                str(r["position"]),
                str(r["left"]),
            ]
            for r in weakest(rows_of(first["hook"]))
        ]
    )
    out += ["", *found] if found else []
    weak = weakest(
        sorted(
            (c for c in rows_of(facts["checks"]) if c["margin_MS"] is not None),
            key=lambda c: float(str(c["margin_MS"])),
        )
    )
    checks = Columns(
        ("weakest", "way", "load", "stress", "allowed", "margin", "in"), frozenset({0, 1, 5, 6})
    )
    out += [
        "",
        *checks.lines(
            [
                [
                    str(c["part"]),
                    str(c["way"]),
                    quantity(c["load"], str(c["load_unit"])),
                    quantity(c["stress"], str(c["stress_unit"])),
                    quantity(c["allowable"], str(c["allowable_unit"])),
                    margin(c["margin_MS"]),
                    str(c["worst_position"]),
                ]
                for c in weak
            ]
        ),
    ]
    pins = table_of(facts["models"])["pin_bending"]
    return [
        *out,
        *paragraph(
            f"Margins are after overload and design factor (chains: their own). Pin bending: {pins}."
        ),
        *broke_lines(facts),
    ]


def weakest(rows: Sequence[Mapping[str, Json]]) -> list[Mapping[str, Json]]:
    """The first rungs of sorted rows; a part with several like joints stands once, by its weakest."""
    once: dict[tuple[str, str], Mapping[str, Json]] = {}
    for row in rows:
        once.setdefault((str(row["part"]), str(row["way"])), row)
    return list(once.values())[:RUNGS]


def verdict(facts: Facts) -> list[str]:
    """The sentence that matters most."""
    first = rows_of(table_of(facts["first_to_give"])["wrist"])
    peak = table_of(facts["first_to_give"])["peak_N"]
    gives_first = ""
    if first and isinstance(peak, (int, float)) and isinstance(first[0]["gives_N"], (int, float)):
        gives_first = (
            f" First to give: {first[0]['part']} ({first[0]['way']}) at {number(first[0]['gives_N'], 0)} N at the wrist, "
            f"{number(first[0]['gives_N'] / peak, 1)} x your peak; then {first[0]['left']}."
        )
    return paragraph(f"{facts['drive']} {short_verdict(facts)}{gives_first}", indent="")


def short_verdict(facts: Facts) -> str:
    """Fits or not, and the weakest grip, in one sentence."""
    failing = [limit for limit in rows_of(facts["limits"]) if not limit["fits"]]
    if failing:
        told = "; ".join(
            f"{limit['id']} {quantity(limit['slack'], str(limit['slack_unit']))}"
            for limit in failing[:3]
        )
        more = f" and {len(failing) - 3} more" if len(failing) > 3 else ""
        return f"does not fit: {told}{more}."
    grips = [g for g in rows_of(facts["grips"]) if g["of_need_ratio"] is not None]
    if not grips:
        return "fits."
    weakest = min(grips, key=lambda g: float(str(g["of_need_ratio"])))
    return (
        f"fits: weakest grip {weakest['name']}, {number(weakest['delivered_N'], 0)} N, "
        f"{number(weakest['of_need_ratio'], 2)} x what it needs."
    )


def cautions(facts: Facts) -> list[str]:
    """What to know before believing or cutting."""
    return [line for text in words_of(facts["cautions"]) for line in paragraph(text, hang="  ")]


def _lines_of(blocks: Callable[[Facts], list[Block]]) -> Section:
    return lambda facts: as_lines(blocks(facts))


SECTIONS: tuple[tuple[str, Section], ...] = (
    ("What does it give?", gives),
    ("What does it ask of the wrist?", asks),
    *((heading, _lines_of(blocks)) for heading, blocks in ASKS),
    ("How does it move?", moves),
    ("What gives first?", ladder),
    ("Does it fit?", fits),
    ("What is it made of?", bought),
    ("How long does it last?", lasting),
    ("How is it looked after?", service_lines),
    ("How sure is this?", doubt),
    ("What if the inputs are off?", doubt_lines),
    ("How is it worked out?", working_lines),
    ("What to be careful of", cautions),
)


def lines(facts: Facts, next_command: str) -> list[str]:
    """The whole text; the verdict and the next command last."""
    out = title(facts)
    for heading, section in SECTIONS:
        found = section(facts)
        if found:
            out += ["", heading, *found]
    return [*out, "", *verdict(facts), f"Next: {next_command}"]


def headings() -> frozenset[str]:
    """The section headings, for a writer that marks them."""
    return frozenset(heading for heading, _ in SECTIONS)
