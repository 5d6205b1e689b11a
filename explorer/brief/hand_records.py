"""Selector and wrist joint as frozen records in inside units; what the brief leaves out is assumed here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from explorer.brief.schema_hand import SelectorTable, WristJointTable


@dataclass(frozen=True)
class Selector:
    """Grips by name, detent by detent (empty: the brief's own order); `cycles`: last leads to first."""

    order: tuple[str, ...] = ()
    cycles: bool = True


@dataclass(frozen=True)
class Place:
    """A point in the hand frame, mm."""

    x: float
    y: float
    z: float


@dataclass(frozen=True)
class Stack:
    """Bearings of the stock by name, their places along the axis and clearances as fitted, mm."""

    name: str
    bearings: tuple[str, ...]
    at: tuple[float, ...]
    play: tuple[float, ...] | None


@dataclass(frozen=True)
class WristJoint:
    """The joint between forearm and hand; `at` None: assumed; no stacks: the two usual ones."""

    at: Place | None = None
    axis: Literal["x", "y", "z"] = "x"
    grips: float = 1e6
    stacks: tuple[Stack, ...] = ()


OWN_ORDER = Selector()  # what stands for an unwritten [selector]
ASSUMED_JOINT = WristJoint()  # and for an unwritten [wrist_joint]


def to_selector(t: SelectorTable | None) -> Selector:
    """The selector as written."""
    return OWN_ORDER if t is None else Selector(tuple(t.order), t.cycles)


def to_joint(t: WristJointTable | None) -> WristJoint:
    """The wrist joint as written."""
    if t is None:
        return ASSUMED_JOINT
    stacks = tuple(
        Stack(
            s.name,
            tuple(s.bearings),
            tuple(s.at_mm),
            None if s.play_mm is None else tuple(s.play_mm),
        )
        for s in t.stack
    )
    return WristJoint(Place(*t.at_mm), t.axis, t.grips_between_changes, stacks)
