"""What must agree inside a grip, and between a grip and the fingers and posts of the brief."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from explorer.brief.explain import nearest
from explorer.brief.units import plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from explorer.brief.errors import Problem
    from explorer.brief.schema_brief import BriefTable, GripTable
    from explorer.brief.tell import Teller

POWERED_KEYS = ("shape", "width_mm", "post", "need_N")
CARRY_KEYS = ("q1_deg", "h_mm")


def grip_problems(brief: BriefTable, tell: Teller) -> Iterator[Problem]:
    """Every error and warning of the grips."""
    if not any(g.on for g in brief.grip):
        yield tell.wrong(
            ("grip",), None, "every grip is switched off.", mend="Set on = true for one."
        )
    for index, grip in enumerate(brief.grip):
        yield from _who_does_what(index, grip, [f.name for f in brief.finger], tell)
        yield from _kind_keys(index, grip, tell)
        yield from _per_finger(index, grip, len(brief.finger), tell)
        if grip.post is not None and grip.post not in brief.post:
            yield tell.wrong(
                ("grip", index, "post"),
                grip.post,
                "there is no such post.",
                allowed=", ".join(brief.post) or "a post of the brief",
                mend=nearest(grip.post, list(brief.post)) or "Add a section [post.NAME].",
            )
        if grip.long_hold and grip.on and brief.strength.lock == "none":
            yield tell.advice(
                ("grip", index, "long_hold"),
                f'"{grip.name}" is held long at comfortable torque, which tires the wrist.',
                mend="A lock ([strength] lock) would hold it.",
            )


def _who_does_what(
    index: int, grip: GripTable, fingers: list[str], tell: Teller
) -> Iterator[Problem]:
    named: Counter[str] = Counter()
    misspelt: set[str] = set()
    for key in ("engaged", "parked_open", "parked_closed", "free"):
        for n, name in enumerate(getattr(grip, key)):
            named[name] += 1
            if name not in fingers:
                misspelt |= {f for f in fingers if f'"{f}"' in nearest(name, fingers)}
                yield tell.wrong(
                    ("grip", index, key, n),
                    name,
                    "there is no such finger.",
                    allowed=", ".join(fingers),
                    mend=nearest(name, fingers) or "Take it out.",
                )
    for name in fingers:
        if named[name] != 1 and not (named[name] == 0 and name in misspelt):
            yield tell.wrong(
                ("grip", index),
                None,
                f"{name} is named {named[name]} times." if named[name] else f"{name} is not named.",
                allowed="each finger once: engaged, parked_open, parked_closed or free",
                mend=f"Say what {name} does in this grip.",
            )
    if not grip.engaged:
        yield tell.wrong(
            ("grip", index, "engaged"),
            None,
            "no finger is engaged.",
            allowed="at least one",
            mend="Name one.",
        )


def _kind_keys(index: int, grip: GripTable, tell: Teller) -> Iterator[Problem]:
    powered = grip.kind == "powered"
    needed, foreign = (POWERED_KEYS, CARRY_KEYS) if powered else (CARRY_KEYS, POWERED_KEYS)
    foreign = (*foreign, *(("carry_kg", "carry_N") if powered else ("floor_N", "long_hold")))
    for key in needed:
        if getattr(grip, key) is None:
            yield tell.wrong(
                ("grip", index, key), None, "is missing.", mend=f"Add a line: {key} = ..."
            )
    for key in foreign:
        value = getattr(grip, key)
        if value is not None and value is not False:
            yield tell.wrong(
                ("grip", index, key),
                None,
                f"has no meaning for a {grip.kind} grip.",
                mend="Take it out, or change kind.",
            )
    if not powered and (grip.carry_kg is None) == (grip.carry_N is None):
        yield tell.wrong(
            ("grip", index),
            None,
            "needs one load.",
            allowed="carry_kg or carry_N",
            mend="Write one of the two.",
        )


def _per_finger(index: int, grip: GripTable, fingers: int, tell: Teller) -> Iterator[Problem]:
    if isinstance(grip.floor_N, list) and len(grip.floor_N) != len(grip.engaged):
        yield tell.wrong(
            ("grip", index, "floor_N"),
            grip.floor_N,
            "one force for each engaged finger.",
            allowed=f"one number, or a list of {len(grip.engaged)}",
            mend="Count them.",
        )
    if isinstance(grip.wished, list) and (
        len(grip.wished) != fingers or abs(sum(grip.wished) - 1.0) > 0.005
    ):
        yield tell.wrong(
            ("grip", index, "wished"),
            grip.wished,
            f"{len(grip.wished)} shares that sum to {plain(sum(grip.wished))}.",
            allowed=f"{fingers} shares of the whole pull, one per finger, sum 1",
            mend="Parked and free fingers have a share too.",
        )
