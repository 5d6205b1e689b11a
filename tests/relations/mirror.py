"""The hand seen from the other side: x to -x, index and little side change places; and its drives."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.records import Box, Brief, Cavity, Finger, Grip
from explorer.drives.assemble import Space
from explorer.mechanics.types import Floats, Ints
from tests.relations.cases import SINGLES, Case

NEGATED = ("pivot_x_mm", "shaft_x_mm", "unit_x_mm")
EXCHANGED = {
    "lever_arm_a_mm": "lever_arm_b_mm",
    "bar_arm_a_mm": "bar_arm_b_mm",
    "bar_index_arm_a_mm": "bar_little_arm_b_mm",
    "bar_index_arm_b_mm": "bar_little_arm_a_mm",
    "wheel_a_teeth": "wheel_b_teeth",
}
OTHER = {**EXCHANGED, **{b: a for a, b in EXCHANGED.items()}}


def _finger(f: Finger) -> Finger:
    return replace(f, knuckle_x=-f.knuckle_x, pin_dx=-f.pin_dx)


def _grip(g: Grip) -> Grip:
    wished = g.wished[::-1] if isinstance(g.wished, tuple) else g.wished
    return replace(g, does=g.does[::-1], floor=g.floor[::-1], wished=wished)


def _box(b: Box) -> Box:
    return replace(b, x0=-b.x1, x1=-b.x0)


def _cavity(c: Cavity) -> Cavity:
    return replace(c, box=_box(c.box), keepouts=tuple(_box(k) for k in c.keepouts))


def mirrored_brief(b: Brief) -> Brief:
    return replace(
        b,
        fingers=tuple(_finger(f) for f in b.fingers[::-1]),
        grips=tuple(_grip(g) for g in b.grips),
        cavity=_cavity(b.cavity),
        wrist=replace(b.wrist, input_far_x=-b.wrist.input_far_x),
    )


def mirrored_vectors(space: Space, X: Floats) -> Floats:
    """The same drives, built for the other side; (N,V)."""
    at = {v.key: j for j, v in enumerate(space.variables)}
    out = np.empty_like(X)
    for key, j in at.items():
        column = X[:, at.get(OTHER.get(key, key), j)]
        if key in NEGATED:
            column = -column
        out[:, j] = 1.0 - column if key == "output_side" else column
    return out


def mirrored(case: Case) -> Case:
    return case.but(
        brief=mirrored_brief(case.brief),
        single=SINGLES[1 - SINGLES.index(case.single)],
        X=mirrored_vectors(case.space, case.X),
    )


def same_positions(one: Demand, other: Demand) -> Ints:
    """For each position of one hand the other's (P,): of neighbours the pattern read backwards."""

    def turned(name: str) -> str:
        return re.sub(r"^(neighbours )([01]+)$", lambda m: m[1] + m[2][::-1], name)

    names = [p.name for p in other.positions]
    return np.array([names.index(turned(p.name)) for p in one.positions])


def mirrored_key(key: str, fingers: int, carriers: int) -> str:
    """Key of the joint that takes this one's place."""

    def letter(m: re.Match[str]) -> str:
        return m[1] + "ba"["ab".index(m[2])]

    if carriers > 1:
        key = re.sub(r"\b(carrier (?:link )?)([ab])\b", letter, key)
    key = re.sub(r"\b(end )([ab])\b", letter, key)
    return re.sub(r"\b(finger \w+ )(\d)", lambda m: f"{m[1]}{fingers - 1 - int(m[2])}", key)
