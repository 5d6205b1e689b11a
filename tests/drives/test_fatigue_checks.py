"""Fatigue checks that need more than one metal: which plate of a pin circle governs, which pins have grooves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from explorer.drives.endurance import endurance
from explorer.drives.fatigue import evaluate
from explorer.drives.joints import Loads, PinCircle, PinJoint
from explorer.mechanics import fatigue as fg
from explorer.mechanics.types import Floats
from tests.factories import make_brief, make_stock

TABLE = endurance(make_brief(), make_stock())
STEEL, ALUMINIUM = 0.0, 4.0  # sheets of the stock: the first of stainless, the first of 7075


def a(x: float) -> Floats:
    return np.array([[x]])


def circle(metal_1: float, metal_2: float, t1: float, t2: float) -> PinCircle:
    """600 N mm on three pins of 2 mm at 4 mm, all of them carrying: 50 N each."""
    return PinCircle(
        "pins", "pins", "nothing", a(600.0), a(3.0), a(1.0), a(4.0), a(2.0), a(t1), a(t2), a(1.0),
        a(1200.0), a(500.0), a(480.0), a(TABLE.pins), a(metal_1), a(metal_2),
    )  # fmt: skip


def used(metal: float, t: float) -> float:
    """K_f F/(d t) over what the plate stands from zero; a hole in a wide plate."""
    i = int(metal)
    q = 1.0 / (1.0 + TABLE.root[i] / 1.0)  # radius 1 mm
    kt = float(fg.loaded_hole_kt(np.array(0.2))) * 0.2 / 0.8
    return float((1.0 + q * (kt - 1.0)) * 50.0 / (2.0 * t) / TABLE.pulled[i])


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ((STEEL, 2.0), (ALUMINIUM, 2.0)),
        ((ALUMINIUM, 2.0), (STEEL, 2.0)),
        ((STEEL, 0.5), (STEEL, 3.0)),
    ],
)
def test_the_plate_that_uses_most_of_its_metal_governs(
    one: tuple[float, float], other: tuple[float, float]
) -> None:
    found = evaluate(Loads(circles=(circle(one[0], other[0], one[1], other[1]),)), 1, TABLE)
    (c,) = [i for i, n in enumerate(found.names) if n.way == "cracks at the drive pins' holes"]
    share = found.stress[0, c] / found.allowable[0, c]
    assert share == pytest.approx(max(used(*one), used(*other)), rel=1e-9)


def joint(*, ringed: bool) -> PinJoint:
    body = (2.0, 1.0, 0.3, 2.0, 1200.0, 500.0, 500.0, 2.0, 2.0, 1e-9, 2.0, TABLE.pins + 2.0)
    return PinJoint("p", "p", "nothing", a(100.0), a(0.2), *map(a, body), ringed=ringed)


def test_only_ringed_pins_crack_at_a_groove() -> None:
    def ways(*pins: PinJoint) -> list[tuple[str, str]]:
        return [
            (n.key, n.way) for n in evaluate(Loads(pins=pins), 1, TABLE).names if "groove" in n.way
        ]

    free, held = joint(ringed=False), replace(joint(ringed=True), key="held")
    assert ways(free) == []
    assert ways(free, held) == [("held", "pin cracks at its ring's groove")]
