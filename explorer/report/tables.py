"""The tables of the page as rows of words: rounded here once, by the one table of roundings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from explorer.report.gather import Entry, Gathered, Whole
from explorer.report.scales import bare, words
from explorer.report.story import broken_rungs
from explorer.show.layout import number, rows_of, table_of
from explorer.show.plain import Json
from explorer.show.text import weakest
from explorer.show.working import Redone, redone, with_unit

MOST_RUNGS = 12


@dataclass(frozen=True)
class Cell:
    """What a cell says and what it sorts by."""

    words: str
    value: float | None = None


@dataclass(frozen=True)
class Row:
    """One drive of the keepers' table."""

    entry: Entry
    made_of: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Rung:
    """One rung as the page shows it."""

    place: int
    part: str
    way: str
    gives: str
    value: float
    allowed: str
    allowed_value: float
    of_peak: str
    position: str
    left: str
    broke: bool
    key: str


@dataclass(frozen=True)
class Ladder:
    """Both ladders of one drive, the sentence about the first rung at the wrist, and that rung's working."""

    name: str
    wrist: tuple[Rung, ...]
    hook: tuple[Rung, ...]
    sentence: str
    working: Working | None


@dataclass(frozen=True)
class Working:
    """How one number is worked out: what goes in (symbol, value, words), the lines, the source."""

    what: str
    entered: tuple[tuple[str, str, str], ...]
    lines: tuple[Redone, ...]
    source: str


def keeper_rows(g: Gathered) -> tuple[Row, ...]:
    """All keepers that the table shows."""
    return tuple(row_of(g, e) for e in g.figured)


def row_of(g: Gathered, e: Entry) -> Row:
    """One drive with a cell an aim."""
    return Row(e, made_of(e), tuple(cell(e, a.name, a.unit) for a in g.aims))


def made_of(e: Entry) -> str:
    """First and second stage in two words."""
    return f"{e.family}, {'chains' if e.tag[1] == 'C' else 'bars'}"


def cell(e: Entry, name: str, unit: str) -> Cell:
    """An aim's cell."""
    value = e.aims.get(name)
    return Cell(bare(value, unit), value)


def ladder(g: Gathered, w: Whole) -> Ladder:
    """What gives first in one drive."""
    first = table_of(w.facts["first_to_give"])
    peak = g.shelf.demand.pull_peak
    wrist, hook = rows_of(first["wrist"]), rows_of(first["hook"])
    return Ladder(
        w.entry.name,
        _rungs(w, weakest(wrist), "N", peak),
        _rungs(w, weakest(hook), "kg", None),
        _ladder_sentence(g, w, wrist),
        _working(first["working"]),
    )


def _working(found: Json) -> Working | None:
    """The working of the first to give, as `show` tells it."""
    if not isinstance(found, Mapping):
        return None
    return Working(
        f"{found['part']}, {found['way']}, in {found['position']}",
        tuple((str(e["symbol"]), with_unit(e), str(e["words"])) for e in rows_of(found["entered"])),
        tuple(redone(found)),
        str(found["source"]),
    )


def _rungs(
    w: Whole, rows: Sequence[Mapping[str, Json]], unit: str, peak: float | None
) -> tuple[Rung, ...]:
    broken = {id(r) for r in broken_rungs(w, rows)}
    out = []
    for place, r in enumerate(rows[:MOST_RUNGS], start=1):
        gives, allowed = _float(r[f"gives_{unit}"]), _float(r[f"allowed_{unit}"])
        out.append(
            Rung(
                place,
                str(r["part"]),
                str(r["way"]),
                words(gives, unit),
                gives,
                words(allowed, unit),
                allowed,
                "" if peak is None else f"{number(gives / peak, 1)} ×",
                str(r["position"]),
                str(r["left"]),
                id(r) in broken,
                str(r["key"]),
            )
        )
    return tuple(out)


def _ladder_sentence(g: Gathered, w: Whole, rows: Sequence[Mapping[str, Json]]) -> str:
    if not rows:
        return ""
    d, first = g.shelf.demand, rows[0]
    gives, allowed = _float(first["gives_N"]), _float(first["allowed_N"])
    over = g.study.brief.strength
    held = "holds" if allowed >= d.pull_peak else "does not hold"
    return (
        f"{w.entry.name}: first to give is {first['part']} ({first['way']}) at {words(gives, 'N')} at the wrist, in "
        f"{first['position']}; then {first['left']}. Divided by shock {number(over.overload, 1)} and design factor "
        f"{number(over.design_factor, 1)} (chains: {number(over.chain_factor, 1)}) it is allowed {words(allowed, 'N')}, "
        f"so it {held} your peak of {words(d.pull_peak, 'N')}."
    )


def back_figured(g: Gathered, w: Whole) -> str:
    """At what pull the part that broke gives, against this brief's peak."""
    broke = table_of(w.facts["broke"])
    if not broke:
        return "It is not entered as broken."
    rungs = broken_rungs(w, rows_of(table_of(w.facts["first_to_give"])["wrist"]))
    if not rungs:
        return f"What broke, {broke['part']}, is no part that this program names: its load cannot be figured back."
    gives = sorted(_float(r["gives_N"]) for r in rungs)
    peak = g.shelf.demand.pull_peak
    span = (
        words(gives[0], "N")
        if len(gives) == 1
        else f"{number(gives[0], 0)} to {words(gives[-1], 'N')}"
    )
    ways = ", ".join(dict.fromkeys(str(r["way"]) for r in rungs))
    return (
        f"{str(broke['part']).capitalize()} give{'' if str(broke['part']).endswith('s') else 's'} at {span} at the wrist ({ways}); your peak is "
        f"{words(peak, 'N')}, {number(peak / gives[0], 1)} × the lowest of these."
    )


def split(w: Whole) -> str:
    """How many pieces are made, bought, and there already."""
    counts: dict[str, int] = {}
    for p in rows_of(w.facts["parts"]):
        have = str(p["have"])
        counts[have] = counts.get(have, 0) + int(_float(p["pieces_count"]))
    order = [
        *(k for k in ("own", "make", "buy") if k in counts),
        *(k for k in counts if k not in {"own", "make", "buy"}),
    ]
    return ", ".join(f"{counts[k]} {k}" for k in order)


def _float(value: Json) -> float:
    return float(value) if isinstance(value, (int, float)) else float("nan")
