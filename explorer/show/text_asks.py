"""Blocks of the text and of the page: what each grip asks of wrist, fingers, locks, selector, socket and wrist joint."""

from __future__ import annotations

from collections.abc import Mapping

from explorer.show.blocks import Block, Say, grid
from explorer.show.layout import number, percent, rows_of, table_of, words_of
from explorer.show.plain import Json

Facts = Mapping[str, Json]


def _asks(facts: Facts, key: str) -> Json:
    return table_of(facts["asks"])[key]


def effort(facts: Facts) -> list[Block]:
    """Torque as a share of peak and of every day, holding with and without a lock, travel."""
    rows = rows_of(_asks(facts, "effort"))
    out = grid(
        (
            "grip",
            "takes Nm",
            "of peak",
            "of every day",
            "holds Nm",
            "with lock",
            "travel",
            "squeezed",
        ),
        [
            [
                str(r["name"]),
                number(r["torque_Nm"], 2),
                percent(r["of_peak_share"]),
                percent(r["of_often_share"]),
                number(r["hold_Nm"], 2),
                number(r["hold_locked_Nm"], 2) if r["lock"] else "-",
                percent(r["travel_share"]),
                percent(r["travel_squeezed_share"]),
            ]
            for r in rows
        ],
    )
    if out:
        out.append(
            Say(
                "Wrist torque that just reaches the needed grip or lifts the load, friction at its worst; what "
                "then holds it; share of the wrist's travel, with the squeeze reserve beside it."
            )
        )
    warnings = words_of(_asks(facts, "warnings"))
    return [*out, *(Say(f"warning: {text}", mark=True, hang="  ") for text in warnings)]


def truth(facts: Facts) -> list[Block]:
    """Each finger's force from least to most under all directions of friction; what is swallowed."""
    grips = rows_of(_asks(facts, "truth"))
    if not grips:
        return []
    names = [str(f["name"]) for f in rows_of(rows_of(grips[0]["ways"])[0]["fingers"])]
    heads = ("grip, N on the object", *names, "swallowed", "of the pull")
    say = Say(
        "Least to most, friction of each equaliser either way. (In brackets: pull that a lock or stop "
        "swallows.) The shares of all fingers make up the whole pull in every case."
    )
    return [*grid(heads, [_truth_row(g, names) for g in grips]), say]


def _truth_row(g: Mapping[str, Json], names: list[str]) -> list[str]:
    ways = rows_of(g["ways"])
    cells = [str(g["name"])]
    for i, _ in enumerate(names):
        fingers = [rows_of(w["fingers"])[i] for w in ways]
        if fingers[0]["does"] == "engaged":
            cells.append(_span([f["force_N"] for f in fingers]))
        else:
            cells.append(f"({_span([f['swallowed_N'] for f in fingers])})")
    cells.append(_span([w["swallowed_N"] for w in ways]))
    cells.append(_span([_times(w["swallowed_share"], 100.0) for w in ways]) + " %")
    return cells


def _times(value: Json, by: float) -> Json:
    return value * by if isinstance(value, (int, float)) else None


def _span(values: list[Json]) -> str:
    """Least and most, once where they print alike."""
    found = [v for v in values if isinstance(v, (int, float))]
    if not found:
        return "-"
    low, high = number(min(found), 0), number(max(found), 0)
    return low if low == high else f"{low}-{high}"


def locks(facts: Facts) -> list[Block]:
    """Loads of locks and stops at peak: share x pull x factor."""
    rows = rows_of(_asks(facts, "locks"))
    out = grid(
        ("lock or stop", "of", "in", "share", "pull N", "factor", "load N"),
        [
            [
                str(r["place"]),
                str(r["holds"]),
                str(r["grip"]),
                percent(r["share_share"]),
                number(r["pull_N"], 0),
                number(r["factor_ratio"], 1),
                number(r["load_N"], 0),
            ]
            for r in rows
        ],
        frozenset({0, 1, 2}),
    )
    return out and [*out, Say("At peak torque: largest share x pull x factor for a shock.")]


def selector(facts: Facts) -> list[Block]:
    """What is parked at each detent, and the steps between any two grips."""
    s = table_of(_asks(facts, "selector"))
    detents = rows_of(s["detents"])
    if not detents:
        return []
    names = [str(f["name"]) for f in rows_of(detents[0]["fingers"])]
    out = grid(
        ("detent", "grip", *names),
        [
            [
                str(d["number_count"]),
                str(d["grip"]),
                *(str(f["does"]) for f in rows_of(d["fingers"])),
            ]
            for d in detents
        ],
        frozenset(range(2 + len(names))),
    )
    if len(detents) > 1:
        out += [
            *_steps(rows_of(s["jumps"]), [str(d["grip"]) for d in detents]),
            Say(_worst(s)),
        ]
    left = words_of(s["left_out"])
    return [*out, Say(f"No detent for: {', '.join(left)}.")] if left else out


def _steps(jumps: list[Mapping[str, Json]], grips: list[str]) -> list[Block]:
    steps = {(str(j["start"]), str(j["end"])): number(j["steps_count"], 0) for j in jumps}
    heads = ("steps from", *(str(i) for i in range(1, len(grips) + 1)))
    rows = [
        [f"{i} {a}", *("." if a == b else steps.get((a, b), steps.get((b, a), "-")) for b in grips)]
        for i, a in enumerate(grips, start=1)
    ]
    return grid(heads, rows)


def _worst(s: Mapping[str, Json]) -> str:
    most = s["worst_steps_count"]
    pairs = [f"{j['start']} - {j['end']}" for j in rows_of(s["jumps"]) if j["steps_count"] == most]
    round_ = (
        "the shorter way round" if s["cycles"] else "the last detent does not lead to the first"
    )
    return f"Worst jump: {most} steps ({'; '.join(pairs[:3])}{'; ...' if len(pairs) > 3 else ''}); {round_}."


def mounts(facts: Facts) -> list[Block]:
    """Largest force of each mount, and what comes to the socket ring."""
    grips = rows_of(table_of(_asks(facts, "mounts"))["grips"])
    if not grips:
        return [Say("The exact linkage does not stand in any grip: no reactions can be told.")]
    parts = [str(p["name"]) for g in grips for p in rows_of(g["parts"])]
    out = grid(
        ("pushes on, N (x/y/z), or turns", *(str(g["name"]) for g in grips)),
        [[name, *(_force(g, name) for g in grips)] for name in dict.fromkeys(parts)],
    )
    gap = max(float(str(g["open_by_ratio"])) for g in grips)
    say = Say(
        "Comfortable torque, or what carries the load; no friction. Places and all couples are in the "
        f"JSON of evener show. Added up they equal wrist pull, object and load to {gap:.0e} of the largest."
    )
    return [*out, say, *_ring(table_of(_asks(facts, "ring")))]


def _force(g: Mapping[str, Json], name: str) -> str:
    p = next((p for p in rows_of(g["parts"]) if p["name"] == name), None)
    if p is None:
        return "-"
    if number(p["force_N"], 0) == "0":
        return f"{number(p['couple_Nm'], 2)} Nm"
    return "/".join(number(p[f"force_{n}_N"], 0) for n in "xyz")


def _ring(r: Mapping[str, Json]) -> list[Block]:
    rows = rows_of(r["grips"])
    out = grid(
        ("socket ring", "turns Nm", "across N", "along N", "N/cm2", "at peak", "more than is"),
        [
            [
                str(g["name"]),
                number(g["turning_Nm"], 2),
                number(g["across_N"], 0),
                number(g["along_N"], 0),
                number(g["pressure"], 1),
                number(g["pressure_at_peak"], 1),
                _level(g),
            ]
            for g in rows
        ],
        frozenset({0, 6}),
    )
    where = "assumed in the middle of the cavity" if r["assumed"] else "where the brief has it"
    told = {
        f"{g['more_than']}: {number(g['more_than_pressure'], 1)} N/cm2 ({g['more_than_source']})"
        for g in rows
        if g["more_than"] is not None
    }
    say = Say(
        f"If the ring carried everything alone: ring {where}, radius {number(r['radius_mm'], 0)} mm, mean pressure "
        f"under a strip of {number(r['strip_width_mm'], 0)} x {number(r['strip_length_mm'], 0)} mm. Told, never "
        "judged: what skin bears is for the wearer and the clinic to say."
    )
    return [*out, *(Say(text, hang="  ") for text in sorted(told)), say]


def _level(g: Mapping[str, Json]) -> str:
    return "-" if g["more_than"] is None else str(g["more_than"])


def joint(facts: Facts) -> list[Block]:
    """What comes to the wrist joint, and how each stack of bearings takes it."""
    j = table_of(_asks(facts, "joint"))
    grips = rows_of(j["grips"])
    if not grips:
        return []
    out = grid(
        ("wrist joint", "across N", "along N", "tilts Nm"),
        [
            [
                str(g["name"]),
                number(g["radial_N"], 0),
                number(g["axial_N"], 0),
                number(g["tilt_Nm"], 2),
            ]
            for g in grips
        ],
    )
    where = (
        "assumed in the middle of the cavity's wrist end" if j["assumed"] else "as the brief has it"
    )
    out.append(Say(f"If the joint carried everything alone: axis {j['axis']}, {where}."))
    stacks = rows_of(j["stacks"])
    if not stacks:
        return [*out, Say("No bearings to compare: add [[bearing]] lines to stock.toml.")]
    out += grid(
        ("stack", "tilt play deg", "C0/P0 at peak", "L10, grips"),
        [
            [
                str(s["name"]),
                number(s["tilt_play_deg"], 3),
                number(s["static_safety_ratio"], 1),
                _many(s["life_grips_count"]),
            ]
            for s in stacks
        ],
    )
    say = Say(
        "Peak torque with shock on the static side (ISO 76), comfortable torque on life (ISO 281). Play: a nut "
        "sets that of a thrust pair, a radial bearing keeps its own"
        + (" (assumed)." if any(s["play_assumed"] for s in stacks) else ".")
        + (" Bearings assumed: the stock has none." if j["bearings_assumed"] else "")
    )
    return [*out, say]


def _many(value: Json) -> str:
    return "-" if not isinstance(value, (int, float)) else f"{value:.1e}"


SECTIONS = (
    ("How hard is each grip?", effort),
    ("What does each finger get?", truth),
    ("What do locks and stops carry?", locks),
    ("How does the selector step?", selector),
    ("What does the hand feel?", mounts),
    ("What does the wrist joint carry?", joint),
)
