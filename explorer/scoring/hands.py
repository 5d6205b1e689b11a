"""One drive as it is, in hands of other sizes: what it gives there, and what keeps it out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from explorer.brief.builds import Build
from explorer.brief.demand import Demand
from explorer.brief.demand_build import build_demand
from explorer.brief.errors import BadInput, Problem
from explorer.brief.hands import HANDS, Hand, on_hand
from explorer.brief.records import Brief
from explorer.brief.stock_records import Stock
from explorer.drives.shelf import Shelf
from explorer.scoring.limits import BY_ID
from explorer.scoring.open import open_drive
from explorer.scoring.score import score


@dataclass(frozen=True)
class Lost:
    """A grip that the fingers of this hand cannot make, and why."""

    grip: str
    why: str


@dataclass(frozen=True)
class Missing:
    """A limit that does not hold: its id, how much is missing (< 0) and the unit."""

    limit: str
    slack: float
    unit: str


@dataclass(frozen=True)
class HandShelf:
    """A hand's shelf with the grips that it can make; None where it can make none."""

    hand: Hand
    shelf: Shelf | None
    lost: tuple[Lost, ...]


@dataclass(frozen=True)
class OnHand:
    """One drive in one hand.

    `grip` is the weakest grip over its need, among those that the hand can make; None without any.
    `missing` are the limits that do not hold, worst first by their scales.
    """

    hand: Hand
    lost: tuple[Lost, ...]
    grip: float | None
    missing: tuple[Missing, ...]

    @property
    def fits(self) -> bool:
        """True where every grip can be made and every limit holds."""
        return self.grip is not None and not self.lost and not self.missing


def hand_shelves(
    brief: Brief, stock: Stock, hands: Sequence[Hand] = HANDS
) -> tuple[HandShelf, ...]:
    """The brief on every hand; grips out of reach are switched off and named."""
    return tuple(_hand_shelf(brief, stock, hand) for hand in hands)


def _hand_shelf(brief: Brief, stock: Stock, hand: Hand) -> HandShelf:
    there = on_hand(brief, hand)
    try:
        return HandShelf(hand, Shelf(there, stock, build_demand(there)), ())
    except BadInput as error:
        lost = tuple(_lost(p) for p in error.problems)
    gone = {found.grip for found in lost}
    kept = replace(
        there, grips=tuple(replace(g, on=g.on and g.name not in gone) for g in there.grips)
    )
    demand = _or_none(kept)
    return HandShelf(hand, None if demand is None else Shelf(kept, stock, demand), lost)


def _or_none(brief: Brief) -> Demand | None:
    if not any(g.on for g in brief.grips):
        return None
    try:
        return build_demand(brief)
    except BadInput:
        return None


def _lost(p: Problem) -> Lost:
    """`grip.apple.width_mm` names the grip; anything else is of all grips."""
    words = p.path.split(".")
    return Lost(words[1] if words[0] == "grip" and len(words) > 1 else "", p.message)


def on_hands(shelves: Sequence[HandShelf], build: Build) -> tuple[OnHand, ...]:
    """The same drive, no size changed, in every hand."""
    return tuple(_on_hand(s, build) for s in shelves)


def _on_hand(s: HandShelf, build: Build) -> OnHand:
    if s.shelf is None:
        return OnHand(s.hand, s.lost, None, ())
    try:
        opened = open_drive(s.shelf, build)
    except BadInput as error:
        # Bounds of the drive's values may follow the hand.
        return OnHand(s.hand, (*s.lost, Lost("", error.problems[0].message)), None, ())
    found = score(opened.space, opened.X)
    off = [(name, float(v[0])) for name, v in found.slacks.items() if float(v[0]) < 0.0]
    off.sort(key=lambda item: item[1] / BY_ID[item[0]].scale)
    grip = found.aims.get("grip")
    return OnHand(
        s.hand,
        s.lost,
        None if grip is None else float(grip[0]),
        tuple(Missing(name, slack, BY_ID[name].unit) for name, slack in off),
    )
