"""Which objects fit in an open hand, and the nearest that can be held: by points and by trying."""

from dataclasses import replace
from math import cos, radians, sin

import numpy as np
import pytest

from explorer.mechanics import finger as fm
from tests.mechanics.test_finger import DEMO, PALM, SHORT, arr


def reach(g: fm.Digit, y: float, z: float) -> tuple[float, bool]:
    """Least distance of (y, z) from points of either phalanx at rest, and whether it is behind the pad."""
    t = np.linspace(0.0, 1.0, 4001)
    a1, a2 = g.q1_rest, g.q1_rest + g.q2_rest
    ky, kz = g.L1 * cos(a1), -g.L1 * sin(a1)
    first = np.hypot(t * ky - y, t * kz - z).min()
    py = ky + t * g.L2 * cos(a2) - g.t * sin(a2)
    pz = kz - t * g.L2 * sin(a2) - g.t * cos(a2)
    foot = (y - ky) * cos(a2) - (z - kz) * sin(a2)
    above = -(y - ky) * sin(a2) - (z - kz) * cos(a2) - g.t
    return min(first, np.hypot(py - y, pz - z).min()), above < 0.0 and 0.0 <= foot <= g.L2


@pytest.mark.parametrize("off", [-0.06, 0.06])
def test_a_round_object_fits_where_no_point_of_the_finger_is(off: float) -> None:
    """Objects beside either phalanx, at the joint, before the knuckle, beyond the tip: 0.06 mm decide."""
    rng = np.random.default_rng(2)
    seen = {True: 0, False: 0}
    for _ in range(300):
        q1, q2, L1, L2 = (rng.uniform(*b) for b in ((-0.4, 0.8), (0.0, 0.6), (20, 50), (20, 50)))
        g = replace(DEMO, q1_rest=q1, q2_rest=q2, L1=L1, L2=L2, d_max=L2, q1_max=1.6)
        along, beside = rng.uniform(-15.0, 90.0), rng.uniform(-25.0, 12.0)
        y, z = along * cos(q1) + beside * sin(q1), -along * sin(q1) + beside * cos(q1)
        least, behind = reach(g, y, z)
        if behind or least < 0.5:
            continue
        w = 2.0 * (least + off)
        contact = fm.round_contact(g, fm.Seat(y, z - w / 2.0, 0.0, 1.0), w)
        assert (contact.outcome == "does not fit") == (off > 0.0)
        seen[off > 0.0] += 1
    assert max(seen.values()) > 100


def test_an_object_behind_the_pad_does_not_fit() -> None:
    rng = np.random.default_rng(3)
    seen = 0
    for _ in range(200):
        y, z, w = rng.uniform(40.0, 85.0), rng.uniform(-30.0, 10.0), rng.uniform(2.0, 10.0)
        least, behind = reach(DEMO, y, z)
        if behind and least > w / 2.0:
            contact = fm.round_contact(DEMO, fm.Seat(y, z - w / 2.0, 0.0, 1.0), w)
            assert contact.outcome == "does not fit"
            seen += 1
    assert seen > 10


@pytest.mark.parametrize("g", [
    replace(SHORT, d_min=20.0, d_max=30.0), replace(SHORT, d_min=28.0, d_max=38.0),
    replace(DEMO, q1_max=radians(60.0), d_min=10.0, d_max=22.0), SHORT,
])  # fmt: skip
@pytest.mark.parametrize("seat", [PALM, fm.Seat(5.0, -35.0, 1.0, 0.0)])
def test_the_nearest_width_is_the_least_that_trying_finds(g: fm.Digit, seat: fm.Seat) -> None:
    refused = fm.round_contact(g, seat, 0.5)
    assert refused.outcome == "cannot close"
    tried = [
        w for w in np.arange(0.5, 90.0, 0.5) if fm.round_contact(g, seat, w).outcome == "touches"
    ]
    if tried:
        assert refused.limit_width <= tried[0] + 1e-9
        assert refused.limit_width > tried[0] - 0.5 - 1e-9


def test_a_hung_load_by_hand() -> None:
    """Arm 12 mm, load at 24 mm, nine tenths of it useful: 0.45 N carried per newton."""
    assert float(fm.carry_ratio(arr(12.0), arr(24.0), arr(0.9))) == pytest.approx(0.45, rel=1e-12)


def test_the_widest_flat_object_is_the_opening_at_rest() -> None:
    """A pad held straight: post 50 mm below it, so 50 mm fit and no more."""
    g = fm.Digit(40.0, 30.0, 0.0, 0.0, 0.0, radians(85.0), 20.0, 0.0, 30.0, 0.0)
    seat = fm.Seat(60.0, -50.0, 0.0, 1.0)
    refused = fm.flat_contact(g, seat, 51.0)
    assert refused.outcome == "does not fit"
    assert refused.limit_width == pytest.approx(50.0, abs=1e-9)
    assert fm.flat_contact(g, seat, 49.9).outcome == "touches"
