"""One scale per aim, and its words: the same in strips, pair grid, lines and tables."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from explorer.report.choose import SHORT_WORDS
from explorer.report.gather import Entry, Gathered
from explorer.report.svg import span
from explorer.scoring.limits import AimRule
from explorer.show.layout import DIGITS, quantity

UNIT_WORDS = {"cm3": "cm³", "x need": "× need", "MS": "MS", "-": "share"}
_FAR = 1e3  # a margin or gap that stands for "nothing there that could fail"


@dataclass(frozen=True)
class AimScale:
    """An aim with its range over keepers and old builds, and the limit of the brief if it has one."""

    rule: AimRule
    low: float
    high: float
    limit: float | None
    enough: float | None
    currency: str

    @property
    def short(self) -> str:
        """The aim in a word or two."""
        return SHORT_WORDS[self.rule.name]

    @property
    def unit(self) -> str:
        """Its unit as the page writes it."""
        return unit_words(self.rule.unit, self.currency)

    @property
    def head(self) -> str:
        """Aim and unit."""
        return self.short if self.unit == self.short else f"{self.short}, {self.unit}"


def unit_words(unit: str, currency: str) -> str:
    """A unit as the page writes it."""
    return currency if unit == "money" else UNIT_WORDS.get(unit, unit)


def words(value: float | None, unit: str, currency: str = "") -> str:
    """A quantity by the one table of roundings, in the page's letters."""
    if value is None or not math.isfinite(value):
        return "no end in sight" if unit == "weeks" else "–"
    told = quantity(value, currency if unit == "money" else unit)
    return told.replace(" cm3", " cm³").replace(" x need", " × need").replace("-", "−")


def bare(value: float | None, unit: str) -> str:
    """A quantity whose unit stands in the head of its column."""
    told = words(value, unit, "money")
    if unit == "-" or (not told[-1].isalpha() and told[-1] != "³"):
        return told
    return told if value is None or not math.isfinite(value) else told.split(" ")[0]


def digits(unit: str) -> int:
    """Digits behind the point of a unit, as in the one table."""
    return DIGITS.get(unit, 0 if unit.isalpha() else 2)


def limit_of(g: Gathered, aim: str) -> float | None:
    """The brief's own limit on an aim, where there is one."""
    lim = g.study.brief.limits
    return {
        "grip": lim.grip_ratio,
        "weeks": lim.service_weeks,
        "mass": lim.mass,
        "hours": lim.hours,
        "cost": lim.cost,
        "share_error": lim.share_error,
    }.get(aim)


def usable(e: Entry, name: str) -> bool:
    """Whether a drive has a value that can be placed on a scale."""
    return name in e.aims and math.isfinite(e.aims[name]) and abs(e.aims[name]) < _FAR * 1e6


def scales(g: Gathered) -> tuple[AimScale, ...]:
    """One a shown aim."""
    return tuple(_scale(g, a, [*g.figured, *g.builds]) for a in g.aims)


def _scale(g: Gathered, rule: AimRule, entries: Sequence[Entry]) -> AimScale:
    values = [e.aims[rule.name] for e in entries if usable(e, rule.name)]
    kept = [e.aims[rule.name] for e in g.figured if usable(e, rule.name)]
    low, high = span(values)
    if kept:  # one old build far off must not press all keepers into one place
        k_low, k_high = span(kept)
        room = 1.5 * (k_high - k_low)
        low, high = max(low, k_low - room), min(high, k_high + room)
    limit = limit_of(g, rule.name)
    if limit is not None:
        wide = high - low
        if low - 0.6 * wide <= limit <= high + 0.6 * wide:
            low, high = min(low, limit - 0.02 * wide), max(high, limit + 0.02 * wide)
    least = 0.0 if values and min(values) >= 0.0 else low
    return AimScale(rule, max(low, least), high, limit, g.enough.get(rule.name), g.study.currency)
