"""How far a drive may be off because its inputs are: as data and as lines, with what to measure next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from explorer.brief.records import Source
from explorer.drives.shelf import Shelf
from explorer.mechanics.types import Floats
from explorer.scoring.doubt import Doubt, Estimate
from explorer.scoring.doubt import doubt as doubted
from explorer.scoring.score import Detail
from explorer.show.blocks import Block, Say, as_lines, grid
from explorer.show.layout import number, percent, rows_of, table_of
from explorer.show.plain import Json, Table, num

WORTH = 0.05  # share of the variance from which an input is worth measuring

# What each input is in words, and how a workshop measures it (common practice, no source).
INPUTS: Mapping[str, tuple[str, str]] = {
    "wrist.torque": (
        "the pull of the wrist",
        "hook a luggage scale to the input drawbar and read it: all day long, comfortable, at most, five times each",
    ),
    "friction.bushed": (
        "friction of bushed pins",
        "hang a weight on one such joint and note the least side pull at a known arm that turns it",
    ),
    "friction.bare": (
        "friction of bare pins",
        "hang a weight on one such joint and note the least side pull at a known arm that turns it",
    ),
    "friction.chain": (
        "friction of chain joints",
        "hang equal weights on a chain over its wheel and add grams to one side until it moves",
    ),
    "friction.pad": (
        "friction of the pads",
        "lay the object on pad material, tilt until it slides: rise over run is the friction",
    ),
    "metal.yield_MPa": (
        "yield strength of sheet and gears",
        "ask for the certificate of the sheet, or bend a marked strip to its first lasting set",
    ),
    "pin.yield_MPa": (
        "yield strength of pins and shafts",
        "ask for the maker's certificate or hardness, or bend one pin to its first lasting set",
    ),
    "strength.drive_pins_sharing": (
        "how many drive pins carry",
        "blue the drive pins, load the circle, take it apart and count those that touched",
    ),
    "shop.pin_fit": (
        "play of the pin fits",
        "measure five pins with a micrometer and their holes with plug gauges",
    ),
}

KEYS: Mapping[str, str] = {
    "doubt.hands_count": "hands drawn: every uncertain input of the brief by its spread, log-normal round its value",
    "doubt.seed": "seed of the draws; the same seed gives the same numbers",
    "doubt.method": "how the shares of the inputs are found",
    "doubt.weakest_ratio": "weakest grip over its need as computed",
    "doubt.weakest_low_ratio": "what 95 of 100 hands reach of it",
    "doubt.weakest_low_error_ratio": "its sampling error, two standard errors",
    "doubt.grips[].name": "powered grip",
    "doubt.grips[].computed_N": "force on the object as computed",
    "doubt.grips[].low_N": "what 95 of 100 hands reach",
    "doubt.grips[].low_error_N": "its sampling error, two standard errors",
    "doubt.grips[].slips_share": "chance that the object slips out of a pad",
    "doubt.grips[].slips_error_share": "its sampling error, two standard errors",
    "doubt.pins.yields_share": "chance that a pin or its hole yields at peak load with shock",
    "doubt.pins.yields_error_share": "its sampling error, two standard errors",
    "doubt.pins.part": "the pin that is nearest to it most often",
    "doubt.pins.way": "how",
    "doubt.travel.short_share": "chance that the wrist's travel runs out in a must position",
    "doubt.travel.short_error_share": "its sampling error, two standard errors",
    "doubt.inputs[].key": "uncertain input of the brief",
    "doubt.inputs[].words": "the same in words",
    "doubt.inputs[].spread_share": "one standard deviation over its value",
    "doubt.inputs[].source": "measured, handbook or guess",
    "doubt.inputs[].of_grip_share": "its part of the variance of the weakest grip",
    "doubt.inputs[].of_pins_share": "its part of the variance of the pin-stress margin",
    "doubt.explained_grip_share": "of the grip's variance, that all inputs explain one by one",
    "doubt.explained_pins_share": "of the pin margin's",
    "doubt.next_key": "what to measure next",
    "doubt.next": "the same as a sentence, with how",
}


def doubt(d: Detail, X: Floats) -> Table:
    """Doubt of the drive X (1,V) that `d` details, by the spreads of its brief."""
    return told(doubted(d.space, X), d)


def told(x: Doubt, d: Detail) -> Table:
    """The table of a doubt."""
    names = [d.space.shelf.demand.positions[p].name for p in d.delivered.at]
    forces = dict(zip(names, d.delivered.force[0].tolist(), strict=True))
    inputs = _inputs(x, d.space.shelf)
    key, sentence = measure_next(inputs)
    worst_slip = max((e.value for e in x.slips), default=0.0)
    return {
        "hands_count": x.n,
        "seed": str(x.seed),
        "method": "squared standardised rank regression coefficients, scaled to sum to one",
        "weakest_ratio": num(d.delivered.ratio[0].min(initial=math.inf)),
        "weakest_low_ratio": num(x.ratio.value),
        "weakest_low_error_ratio": num(x.ratio.error),
        "grips": [
            {
                "name": name,
                "computed_N": num(forces[name]),
                **_estimate("low", "N", low),
                **_estimate("slips", "share", slips),
            }
            for name, low, slips in zip(x.grips, x.force, x.slips, strict=True)
        ],
        "pins": {**_estimate("yields", "share", x.yields), "part": x.pin.part, "way": x.pin.way},
        "travel": _estimate("short", "share", x.short),
        "inputs": inputs,
        "explained_grip_share": x.on_ratio.explained,
        "explained_pins_share": x.on_margin.explained,
        "next_key": key,
        "next": sentence + _pads(inputs, worst_slip),
    }


def _estimate(name: str, unit: str, e: Estimate) -> Table:
    return {f"{name}_{unit}": num(e.value), f"{name}_error_{unit}": num(e.error)}


def _inputs(x: Doubt, shelf: Shelf) -> list[Table]:
    """The uncertain inputs, the one that matters most first."""
    rows: list[Table] = [
        {
            "key": s.path,
            "words": INPUTS[s.path][0],
            "spread_share": s.relative,
            "source": source_of(shelf, s.path),
            "of_grip_share": x.on_ratio.share[k],
            "of_pins_share": x.on_margin.share[k],
        }
        for k, s in enumerate(x.spreads)
    ]
    return sorted(rows, key=_matters, reverse=True)


def _matters(row: Mapping[str, Json]) -> float:
    """How much an input matters: its part of the grip's doubt or of the pins', whichever is more."""
    return max(float(str(row["of_grip_share"])), float(str(row["of_pins_share"])))


def source_of(shelf: Shelf, path: str) -> Source:
    """How well an input is known; of several numbers behind it the least known."""
    found = [
        p.source
        for key, p in shelf.brief.provenance.items()
        if key == path
        or (path == "wrist.torque" and key.startswith(("wrist.torque_", "wrist.pull_")))
    ]
    if path == "metal.yield_MPa":
        found = [_of_stock(m.source) for m in shelf.stock.metals]
    elif path == "pin.yield_MPa":
        found = [_of_stock(p.source) for p in (*shelf.stock.pins, *shelf.stock.shafts)]
    if not found or set(found) - {"measured", "handbook"}:
        return "guess"
    return "handbook" if "handbook" in found else "measured"


def _of_stock(text: str) -> Source:
    """A line of the stock says in free words where its numbers come from."""
    words = text.casefold()
    if words.startswith("measured"):
        return "measured"
    doubtful = not words or any(w in words for w in ("invented", "guess", "memory", "assumed"))
    return "guess" if doubtful else "handbook"


def measure_next(inputs: Sequence[Mapping[str, Json]]) -> tuple[str | None, str]:
    """Key and sentence: what matters most of all that nobody measured; else the most of all.

    Measuring again what is measured gains less than measuring a guess.
    """
    heavy = [row for row in inputs if _matters(row) >= WORTH]
    if not heavy:
        return None, "No input of the brief moves this drive enough to be worth measuring."
    open_ones = [row for row in heavy if row["source"] != "measured"]
    row = max(open_ones or heavy, key=_matters)
    words, how = INPUTS[str(row["key"])]
    known = {"guess": "a guess so far", "handbook": "from a handbook so far"}.get(
        str(row["source"]), "measured; measure it more closely"
    )
    return str(row["key"]), (
        f"Measure next: {words} ({known}). It makes {percent(row['of_grip_share'])} of the doubt in the "
        f"weakest grip and {percent(row['of_pins_share'])} of that in the pins. How: {how}."
    )


def _pads(inputs: Sequence[Mapping[str, Json]], worst_slip: float) -> str:
    """Pads move no force: they hold or they slip, so they are told apart."""
    row = next((i for i in inputs if i["key"] == "friction.pad"), None)
    if row is None or row["source"] == "measured" or worst_slip < WORTH:
        return ""
    words, how = INPUTS["friction.pad"]
    return (
        f" Then {words}, for an object may slip out in {percent(worst_slip)} of such hands: {how}."
    )


def doubt_lines(facts: Mapping[str, Json]) -> list[str]:
    """The blocks as plain lines."""
    return as_lines(doubt_blocks(facts))


def doubt_blocks(facts: Mapping[str, Json]) -> list[Block]:
    """Chances in hundreds, grips with what 95 of 100 hands reach, inputs by weight, what to measure."""
    x = table_of(facts["doubt"])
    pins, travel = table_of(x["pins"]), table_of(x["travel"])
    out: list[Block] = []
    if x["weakest_low_ratio"] is not None:
        out.append(
            Say(
                f"95 of 100 hands like this reach {number(x['weakest_low_ratio'], 2)} x need in their weakest grip "
                f"(+-{number(x['weakest_low_error_ratio'], 2)}); computed {number(x['weakest_ratio'], 2)}."
            )
        )
    out += [
        Say(
            f"In {_of_100(pins, 'yields')} hands like this a pin yields {_error(pins, 'yields')} at peak load with "
            f"shock; nearest to it: {pins['part']} ({pins['way']})."
        ),
        Say(
            f"In {_of_100(travel, 'short')} the wrist's travel runs out {_error(travel, 'short')}."
        ),
        *grid(
            ("grip", "computed N", "95 of 100 reach N", "+- N", "slips out"),
            [
                [
                    str(g["name"]),
                    number(g["computed_N"], 0),
                    number(g["low_N"], 0),
                    number(g["low_error_N"], 1),
                    f"{_of_100(g, 'slips')} {_error(g, 'slips')}",
                ]
                for g in rows_of(x["grips"])
            ],
        ),
        *grid(
            ("uncertain input", "spread", "known by", "of the grip's doubt", "of the pins'"),
            [
                [
                    str(i["words"]),
                    f"+-{percent(i['spread_share'])}",
                    str(i["source"]),
                    percent(i["of_grip_share"]),
                    percent(i["of_pins_share"]),
                ]
                for i in rows_of(x["inputs"])
            ],
            frozenset({0, 2}),
        ),
        Say(
            f"{number(x['hands_count'], 0)} hands drawn, seed {x['seed']}; +- is two standard errors of that sample. "
            f"Inputs by {x['method']}; they explain {percent(x['explained_grip_share'])} of the grip's and "
            f"{percent(x['explained_pins_share'])} of the pins' ranks."
        ),
    ]
    return [*out, Say(str(x["next"]), mark=True)]


def _of_100(row: Mapping[str, Json], name: str) -> str:
    """A chance as a count of a hundred."""
    return f"{round(100.0 * float(str(row[f'{name}_share'])))} of 100"


def _error(row: Mapping[str, Json], name: str) -> str:
    """Its error, rounded up to a whole count."""
    return f"(+-{math.ceil(100.0 * float(str(row[f'{name}_error_share'])) - 1e-9)})"
