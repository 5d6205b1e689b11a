"""What pull broke a part of an old build, and what that says of the brief: as data and as plain lines."""

from __future__ import annotations

from collections.abc import Mapping

from explorer.brief.builds import Build
from explorer.drives.shelf import Shelf
from explorer.scoring.backfigure import STATED, BackFigured, CannotTell, Range, back_figured
from explorer.show.layout import number, paragraph, rows_of, table_of
from explorer.show.plain import Json, Table, num

_F = "broke.figured."
KEYS: Mapping[str, str] = {
    "broke": "what broke, if it did",
    "broke.part": "the part that broke",
    "broke.how": "how it broke",
    "broke.metal": "its metal, where it is not that of the values",
    "broke.cannot_tell": "why no load can be figured, or null",
    "broke.figured": "the load that did it, or null",
    f"{_F}part": "the part by its name here",
    f"{_F}way": "the way that gives first",
    f"{_F}rank_count": "its place among the parts by what gives first, 1 the first",
    f"{_F}parts_count": "parts that carry load",
    f"{_F}position": "where it takes the least pull",
    f"{_F}load_low_N": "least wrist pull at which it gives, by the spreads of the brief",
    f"{_F}load_N": "wrist pull at which it gives, as figured",
    f"{_F}load_high_N": "largest",
    f"{_F}stated": "how often the range holds the load, if the spreads are right",
    f"{_F}most_N": "wrist pull at which it gives where it takes the most",
    f"{_F}most_position": "where that is",
    f"{_F}hook_kg": "load on the hook at which it gives, as figured",
    f"{_F}explained_by": "peak, shock (peak with the brief's shock) or more (neither is enough)",
    f"{_F}shock_low_ratio": "least load over the brief's peak: the shock factor that does it",
    f"{_F}shock_ratio": "the same as figured",
    f"{_F}shock_high_ratio": "the same at most",
    f"{_F}peak_low_ratio": "least peak that does it at the brief's shock, over the brief's peak",
    f"{_F}peak_ratio": "the same as figured",
    f"{_F}peak_high_ratio": "the same at most",
    f"{_F}torque_peak_low_Nm": "least peak torque that does it at the brief's shock",
    f"{_F}torque_peak_Nm": "the same as figured",
    f"{_F}torque_peak_high_Nm": "the same at most",
    f"{_F}causes[].path": "an uncertain input that the range rests on, heaviest first",
    f"{_F}causes[].low_ratio": "least load by it alone, over the figured one",
    f"{_F}causes[].high_ratio": "most",
}
_LEFT = {
    "peak": "Your peak alone can have done it.",
    "shock": "Your peak with the brief's shock can have done it.",
}
_INPUTS = {
    "metal.yield_MPa": "the metal's strength",
    "pin.yield_MPa": "the pins' strength",
    "strength.drive_pins_sharing": "how the pins share",
}


def broke_of(shelf: Shelf, build: Build) -> Table | None:
    """The entry of what broke, with the load that did it; None where nothing is entered as broken."""
    if build.broke is None:
        return None
    found = back_figured(shelf, build)
    lost = found.why if isinstance(found, CannotTell) else None
    return {
        "part": build.broke.part,
        "how": build.broke.how,
        "metal": build.broke.metal or None,
        "cannot_tell": lost,
        "figured": None if isinstance(found, CannotTell) else _figured(found, shelf),
    }


def _figured(found: BackFigured, shelf: Shelf) -> Table:
    torque = found.peak_times.times(shelf.brief.wrist.torque_peak / 1000.0)
    return {
        "part": found.part,
        "way": found.way,
        "rank_count": found.rank,
        "parts_count": found.parts,
        "position": found.position,
        **_three("load", found.load, "N"),
        "stated": STATED,
        "most_N": num(found.most),
        "most_position": found.most_position,
        "hook_kg": None if found.hook is None else num(found.hook),
        "explained_by": "peak" if found.by_peak else "shock" if found.by_shock else "more",
        **_three("shock", found.of_peak, "ratio"),
        **_three("peak", found.peak_times, "ratio"),
        **_three("torque_peak", torque, "Nm"),
        "causes": [
            {"path": c.path, "low_ratio": num(c.low), "high_ratio": num(c.high)}
            for c in found.causes
        ],
    }


def _three(name: str, r: Range, unit: str) -> dict[str, Json]:
    return {
        f"{name}_low_{unit}": num(r.low),
        f"{name}_{unit}": num(r.mid),
        f"{name}_high_{unit}": num(r.high),
    }


def lines(facts: Mapping[str, Json]) -> list[str]:
    """What load broke it, and what to think of the brief; nothing where nothing broke."""
    broke = table_of(facts["broke"])
    if not broke:
        return []
    if broke["cannot_tell"]:
        return ["", *paragraph(f"What load broke it: cannot tell; {broke['cannot_tell']}.")]
    f, peak = table_of(broke["figured"]), table_of(facts["first_to_give"])["peak_N"]
    give = "give" if str(f["part"]).endswith("s") else "gives"
    out = [
        f"What load broke it: {f['part']} ({f['way']}) {give} at {number(f['load_N'], 0)} N at the wrist",
        f", in {f['position']}; {_span(f, 'load', 'N', 0)} N by the spreads of the brief ({f['stated']})",
        f"{_mostly(f)}. Of {f['parts_count']} parts it is number {f['rank_count']} to give.",
        _elsewhere(f),
        f" That is {_span(f, 'shock', 'ratio', 1)} x your peak of {number(peak, 0)} N. {_says(f)}",
        " Gives means yields: to part it wholly takes more, and a crack that grows over weeks less.",
    ]
    return ["", *paragraph("".join(out))]


def _span(f: Mapping[str, Json], name: str, unit: str, digits: int) -> str:
    low, high = (number(f[f"{name}_{end}_{unit}"], digits) for end in ("low", "high"))
    return low if low == high else f"{low} to {high}"


def _mostly(f: Mapping[str, Json]) -> str:
    causes = rows_of(f["causes"])
    if not causes:
        return ""
    path = str(causes[0]["path"])
    return f", mostly {_INPUTS.get(path, path)}"


def _elsewhere(f: Mapping[str, Json]) -> str:
    least, most = number(f["load_N"], 0), number(f["most_N"], 0)
    if least == most:
        return ""
    return f" In {f['most_position']} it takes most, {most} N."


def _says(f: Mapping[str, Json]) -> str:
    known = _LEFT.get(str(f["explained_by"]))
    if known is not None:
        return known
    return (
        f"Neither your peak nor its shock reaches that: your peak may be {_span(f, 'peak', 'ratio', 1)} x what the "
        f"brief says (torque_peak_Nm {_span(f, 'torque_peak', 'Nm', 1)}), or the shock factor "
        f"{_span(f, 'shock', 'ratio', 1)} (overload)."
    )
