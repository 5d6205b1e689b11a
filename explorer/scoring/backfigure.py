"""Back-figuring: from the part that broke to the range of pull at the wrist that did it.

The ladder says at which pull a part gives.  What it rests on is uncertain: each such input is moved by
`SIGMAS` of its spread, alone, and the ladder worked out again; the effects, as ratios, are combined by
their squares (independent causes; common practice, no source).  Gives means yields, or a chain's least
breaking load: to part a piece wholly takes more, and a crack that grows over weeks less.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from explorer.brief.builds import Broke, Build
from explorer.brief.stock_records import Gear, Metal, Pin, Stock
from explorer.drives import checks as chk
from explorer.drives.assemble import Space
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import Shares, shares, strength_pulls
from explorer.drives.shelf import Shelf
from explorer.mechanics.margins import SHEAR_YIELD
from explorer.scoring.ladder import Rung, hook_ladder, wrist_everywhere, wrist_ladder
from explorer.scoring.open import Opened, open_drive

SIGMAS = 2.5
"""How far each input is moved, in standard deviations: 98.8 % of a normal spread lie within."""
STATED = "98 of 100"
UNKNOWN = ("unknown", "not known", "?")
LEAST = 0.05  # share of an input that is left at the least
LISTED = 8  # parts named where none fits
FRICTIONS = ("bushed", "bare", "chain")
SHARING = "strength.drive_pins_sharing"
METALS, PINS = "metal.yield_MPa", "pin.yield_MPa"
# What a maker's word leaves of the ways; other words (sheared, snapped, cracked) leave all.
WORDS: Mapping[str, tuple[str, ...]] = {
    "bent": ("bend", "buckle"),
    "bend": ("bend", "buckle"),
    "buckled": ("buckle", "bend"),
    "torn": ("tears", "pulls apart"),
    "tore": ("tears", "pulls apart"),
    "oval": ("hole",),
    "stretched": ("hole", "chain"),
}
_SHEAR = ("shear", "tears")
_HOLE = "hole"


@dataclass(frozen=True)
class Range:
    """Least, as figured, and most."""

    low: float
    mid: float
    high: float

    def times(self, factor: float) -> Range:
        """All three times a factor."""
        return Range(self.low * factor, self.mid * factor, self.high * factor)


@dataclass(frozen=True)
class Cause:
    """One uncertain input and what it alone makes of the pull: least and most, as ratios."""

    path: str
    low: float
    high: float


@dataclass(frozen=True)
class BackFigured:
    """What pull broke a part, and what that says of the brief.

    `load` N at the wrist, in `position` where it takes least; `most` N in `most_position` where it takes
    most.  `hook` kg on the hook, None where nothing carried loads it.  `rank` among `parts` by what
    gives first.  `of_peak` is the shock factor that does it at the brief's peak; `peak_times` what the
    peak would be, times the brief's, at the brief's shock.  `causes` by their weight, heaviest first.
    """

    part: str
    way: str
    rank: int
    parts: int
    position: str
    load: Range
    most: float
    most_position: str
    hook: float | None
    of_peak: Range
    peak_times: Range
    causes: tuple[Cause, ...]

    @property
    def by_peak(self) -> bool:
        """True where the brief's peak, without any shock, may have done it."""
        return self.of_peak.low <= 1.0

    @property
    def by_shock(self) -> bool:
        """True where the peak with the brief's shock may have done it."""
        return self.peak_times.low <= 1.0


@dataclass(frozen=True)
class CannotTell:
    """Why no load can be figured."""

    why: str


@dataclass(frozen=True)
class _Moved:
    """A drive on one shelf, in motion."""

    space: Space
    drive: Drive
    motion: Motion
    shares: Shares


def _moved(shelf: Shelf, build: Build) -> _Moved:
    opened: Opened = open_drive(shelf, build)
    drive = opened.space.build(opened.X)
    motion = opened.space.move(drive)
    return _Moved(opened.space, drive, motion, shares(drive, motion))


_L = TypeVar("_L", Metal, Pin, Gear)


def _yields(lines: tuple[_L, ...], factor: float) -> tuple[_L, ...]:
    return tuple(replace(line, yield_=line.yield_ * factor) for line in lines)


def varied(shelf: Shelf, factors: Mapping[str, float]) -> Shelf:
    """The same shelf with uncertain inputs times their factors, by the key paths of the spreads.

    Gears and chains follow the metals: they have no spread of their own.  Keys that no strength
    depends on change nothing.
    """
    brief, stock = shelf.brief, shelf.stock
    metal, pin = factors.get(METALS, 1.0), factors.get(PINS, 1.0)
    rubs = {k: getattr(brief.friction, k) * factors.get(f"friction.{k}", 1.0) for k in FRICTIONS}
    share = min(1.0, brief.strength.circle_share * factors.get(SHARING, 1.0))
    return Shelf(
        replace(
            brief,
            friction=replace(brief.friction, **rubs),
            strength=replace(brief.strength, circle_share=share),
        ),
        _stock(stock, metal, pin),
        shelf.demand,
    )


def _stock(stock: Stock, metal: float, pin: float) -> Stock:
    return replace(
        stock,
        metals=_yields(stock.metals, metal),
        gears=_yields(stock.gears, metal),
        chains=tuple(replace(c, tensile=c.tensile * metal) for c in stock.chains),
        pins=_yields(stock.pins, pin),
        shafts=_yields(stock.shafts, pin),
    )


def plain(name: str) -> str:
    """A part's name without case, hyphens and plural."""
    return " ".join(word.removesuffix("s") for word in name.lower().replace("-", " ").split())


def named(part: str, rungs: Sequence[Rung]) -> tuple[Rung, ...]:
    """The rungs of a part by the maker's name for it: the same name, else one that holds it."""
    asked = plain(part)
    same = tuple(r for r in rungs if asked in {plain(r.part), plain(r.key)})
    held = tuple(r for r in rungs if asked and (asked in plain(r.part) or asked in plain(r.key)))
    return same or held


def _told(how: str, rungs: tuple[Rung, ...]) -> tuple[Rung, ...]:
    """The rungs whose way is what the maker's word says; all where it says nothing of them."""
    words = how.lower().replace(",", " ").split()
    kinds = {kind for word, meant in WORDS.items() if word in words for kind in meant}
    kept = tuple(r for r in rungs if any(kind in r.way for kind in kinds))
    return kept or rungs


def _metal_times(
    moved: _Moved, broke: Broke, rungs: Sequence[Rung]
) -> dict[tuple[str, str], float]:
    """What another metal makes of each rung, by key and way.

    Holes lie in other parts' metal; chains and struts give by no stress.
    """
    metal = next((m for m in moved.space.shelf.stock.metals if m.name == broke.metal), None)
    if metal is None:
        return {}
    demand, brief = moved.space.shelf.demand, moved.space.shelf.brief
    pulls = strength_pulls(moved.motion, moved.shares, demand, brief)
    found = chk.evaluate(moved.space.loads(moved.drive, moved.motion, pulls), moved.drive.n)
    allowed = {
        (n.key, n.way): float(a)
        for n, a in zip(found.names, found.allowable[0], strict=True)
        if n.unit == "MPa"
    }
    out = {}
    for r in rungs:
        hole = _HOLE in r.way and not r.way.startswith(("bends", "pulls"))
        if hole or (r.key, r.way) not in allowed:
            continue
        own = metal.yield_ * (SHEAR_YIELD if any(s in r.way for s in _SHEAR) else 1.0)
        out[r.key, r.way] = own / allowed[r.key, r.way]
    return out


def _least(rungs: Sequence[Rung], times: Mapping[tuple[str, str], float]) -> Rung:
    """The first of some rungs to give, with another metal's strength in."""
    own = [replace(r, gives=r.gives * times.get((r.key, r.way), 1.0)) for r in rungs]
    return min(own, key=lambda r: r.gives)


def back_figured(shelf: Shelf, build: Build) -> BackFigured | CannotTell:
    """The range of pull that broke what the build's entry names, or why it cannot be told."""
    broke = build.broke
    if broke is None:
        return CannotTell("nothing is entered as broken")
    if broke.metal and broke.metal not in {m.name for m in shelf.stock.metals}:
        if broke.metal.lower() in UNKNOWN:
            return CannotTell(f"the metal of the {broke.part} is not known")
        return CannotTell(f'the stock has no metal "{broke.metal}": its strength is not known')
    moved = _moved(shelf, build)
    ladder = wrist_ladder(moved)
    mine = _told(broke.how, named(broke.part, ladder))
    if not mine:
        parts = list(dict.fromkeys(r.part for r in ladder))
        listed = ", ".join(parts[:LISTED])
        more = f" and {len(parts) - LISTED} more" if len(parts) > LISTED else ""
        return CannotTell(
            f'no part that carries load is called "{broke.part}"; they are {listed}{more}'
        )
    return _figured(shelf, build, broke, moved, ladder, mine)


def _figured(
    shelf: Shelf,
    build: Build,
    broke: Broke,
    moved: _Moved,
    ladder: tuple[Rung, ...],
    mine: tuple[Rung, ...],
) -> BackFigured:
    times = _metal_times(moved, broke, mine)
    first = _least(mine, times)
    keys = {(r.key, r.way) for r in mine}
    causes = _causes(shelf, build, keys, times, first.gives)
    load = _range(first.gives, causes)
    everywhere = [r for r in wrist_everywhere(moved) if (r.key, r.way) == (first.key, first.way)]
    most = max(everywhere, key=lambda r: r.gives)
    own = times.get((first.key, first.way), 1.0)
    hook = [r.gives for r in hook_ladder(moved) if (r.key, r.way) == (first.key, first.way)]
    parts = _parts(ladder, first)
    of_peak = load.times(1.0 / shelf.demand.pull_peak)
    return BackFigured(
        part=first.part,
        way=first.way,
        rank=parts.index(first.part) + 1,
        parts=len(parts),
        position=first.position,
        load=load,
        most=most.gives * own,
        most_position=most.position,
        hook=min(hook) if hook and not times else None,
        of_peak=of_peak,
        peak_times=of_peak.times(1.0 / shelf.brief.strength.overload),
        causes=causes,
    )


def _parts(ladder: Sequence[Rung], broken: Rung) -> list[str]:
    """Parts by what gives first, the broken one with its own metal."""
    first: dict[str, float] = {}
    for r in ladder:
        first.setdefault(r.part, r.gives)
    first[broken.part] = min(first[broken.part], broken.gives)
    return sorted(first, key=lambda p: first[p])


def _causes(
    shelf: Shelf,
    build: Build,
    keys: set[tuple[str, str]],
    times: Mapping[tuple[str, str], float],
    mid: float,
) -> tuple[Cause, ...]:
    """What each uncertain input alone makes of the pull; those that change nothing are left out."""
    out = []
    for spread in shelf.brief.spreads:
        if spread.path not in {METALS, PINS, SHARING, *(f"friction.{k}" for k in FRICTIONS)}:
            continue
        ratios = [1.0]
        for factor in (
            max(LEAST, 1.0 - SIGMAS * spread.relative),
            1.0 + SIGMAS * spread.relative,
        ):
            moved = _moved(varied(shelf, {spread.path: factor}), build)
            mine = [r for r in wrist_ladder(moved) if (r.key, r.way) in keys]
            ratios.append(_least(mine, times).gives / mid)
        cause = Cause(spread.path, min(ratios), max(ratios))
        if cause.high / cause.low > 1.0 + 1e-9:
            out.append(cause)
    return tuple(sorted(out, key=lambda c: -c.high / c.low))


def _range(mid: float, causes: Sequence[Cause]) -> Range:
    """Independent causes by the root of the sum of squared logarithms, up and down apart."""
    up = math.sqrt(math.fsum(math.log(c.high) ** 2 for c in causes))
    down = math.sqrt(math.fsum(math.log(c.low) ** 2 for c in causes))
    return Range(mid * math.exp(-down), mid, mid * math.exp(up))
