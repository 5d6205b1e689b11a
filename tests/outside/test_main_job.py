"""The drive's own check values: independent computations by another program, not published anywhere.

Each row goes through the functions that score.  0.03 and 0.18, 0.19 are the exact form of the same bar
as 0.17: arms 10/10, three links of 20, exit on x = 4, finger pins at rest (-16, 18.914), (10, 19.994).
"""

import numpy as np
import pytest

from explorer.drives.bodies import Bar, Leans
from explorer.drives.exact import Exact, Rest, rest_of, solve_from
from explorer.drives.exact_model import model_of
from explorer.drives.layout import Carrier, Drive
from explorer.drives.motion import StageMotion, move
from explorer.drives.pulls import Shares
from explorer.drives.ratios import Input, Rocker
from explorer.mechanics import equaliser as eq
from explorer.mechanics import friction
from tests.outside.published import Row, a, check_row, params

SOURCE = "computed by an independent implementation; no publication"
LAW = "law of the lever; " + SOURCE
PIN_X = np.array([-16.0, 10.0])
DRAW = np.array([[11.0, 0.0]])
FAR = 1e5  # a pivot so far away that the out pin runs along y, as if on a slide


def bar(l_a: float, l_b: float, e: float = 0.0) -> Bar:
    return Bar(a(l_a), a(l_b), a(e), a(3.0), a(3.0), a(0.15))


def plain(body: Bar, s_a: float, s_b: float) -> np.ndarray:
    return body.plain_share(body.tilt(a(s_a), a(s_b)))


def lowest(k: float) -> np.ndarray:
    """Lowest share of a finger of four behind two levels of equalisers, each with skew k."""
    half, skew = a(0.5), a(k)
    s = Shares((half, half), skew, (half,) * 4, (skew,) * 4, (0, 0, 1, 1), (1.0, -1.0, 1.0, -1.0))
    return s.low(0)


def rocker_way(*, hold: bool) -> np.ndarray:
    """Efficiency of a reversing rocker 26/13 at mid stroke, three pins of 4, mu 0.15."""
    one, angle = np.ones((1, 1)), np.zeros((1, 1))
    r = Rocker(
        26 * one, 13 * one, angle, angle, angle, one, 4 * one, 4 * one, 4 * one, 0.15 * one,
        Input(reverses=True, strut=False, far_x=0.0, length=500.0, leans=False),
    )  # fmt: skip
    arms = r.arms(angle, angle)
    a1, a2 = arms.at_in, arms.at_out
    couples = r.couples(angle, one)
    m_in, m_out = couples.at_in, couples.at_out
    supports = r.supports(angle, (angle,), (one,))
    if hold:
        return friction.holding(a1, a2, m_in, m_out, supports).f * a1 / a2
    return a2 / a1 / friction.pulling(a1, a2, m_in, m_out, supports).f


def slide_drive() -> Drive:
    """The bar of 0.03 pulled along x = 4."""
    c = np.ones((1, 1))
    source = Input(reverses=True, strut=False, far_x=0.0, length=500.0, leans=False)
    slide = Rocker(
        FAR * c,
        FAR * c,
        -5.5 / FAR * c,
        0 * c,
        (4.0 - FAR) * c,
        c,
        3 * c,
        3 * c,
        4 * c,
        0.1 * c,
        source,
    )
    one = Bar(10 * c, 10 * c, 0 * c, 3 * c, 2 * c, 0.1 * c)
    exit_y = -np.sqrt(20.0**2 - 3.5**2)
    return Drive(
        "slide", 1, {}, slide, None, (Carrier((0, 1), one, 20 * c, (20 * c, 20 * c), 0 * c),),
        20 * c, 0 * c, (exit_y - 5.5) * c, 14.0,
    )  # fmt: skip


def exact() -> Exact:
    """The bar from the stated rest: level, its centre at (0.5, 0)."""
    drive = slide_drive()
    model = model_of(drive, PIN_X)
    settled = rest_of(drive, model, PIN_X)
    stage, Q = model.second[0], settled.Q.copy()
    assert stage is not None
    Q[[stage.x, stage.y]] = 0.5, 0.0
    Q[model.finger_y] = 18.914, 19.994
    found = solve_from(drive, model, Rest(Q, settled.force, 0.0), DRAW, PIN_X)
    assert found.converged.all()
    return found


def explicit() -> StageMotion:
    stage = move(slide_drive(), DRAW, PIN_X).second[0]
    assert stage is not None
    return stage


def level_skew() -> np.ndarray:
    """Skew of a level bar of span 24 on three pins of 3."""
    zero, one = a(0), a(1)
    level = bar(12, 12)
    return level.sharing(Leans(one, zero, one, zero, one), level.ends(zero)).skew


ROWS = [
    Row("0.01", SOURCE, lambda: plain(bar(10, 10, 3), 10, 2), 0.4345, 2e-4),
    Row("0.02", LAW, lambda: plain(bar(10, 15), 0, 0), 0.6, 1e-9),
    Row("0.03 share", SOURCE, lambda: exact().second[0].share_a[0], 0.4346, 2e-4),
    Row("0.03 lean a", SOURCE, lambda: np.degrees(exact().second[0].lean_a[0]), 23.9, 2e-3),
    Row("0.03 lean b", SOURCE, lambda: np.degrees(exact().second[0].lean_b[0]), 2.3, 2e-2),
    Row("0.04", SOURCE, level_skew, 0.01875, 1e-9),
    Row("0.05", SOURCE, lambda: eq.wheel_skew(a(0.15), a(3), a(0), a(2), a(16)), 0.0140625, 1e-9),
    Row("0.06", SOURCE, lambda: lowest(0.01875), 0.2316, 3e-4),
    Row("0.07", SOURCE, lambda: rocker_way(hold=False)[0, 0], 0.934, 1e-3),
    Row("0.12 first", LAW, lambda: plain(bar(25 + 14, 25 + 35), 0, 0), 0.6061, 2e-4),
    Row("0.12 index", LAW, lambda: plain(bar(35, 25), 0, 0), 0.4167, 2e-4),
    Row("0.12 ring", LAW, lambda: plain(bar(14, 25), 0, 0), 0.6410, 2e-4),
    Row("0.13", SOURCE, lambda: 0.5 - eq.gear_split_skew(a(0.9), 1), 0.4737, 2e-4),
    Row("0.15", LAW, lambda: 1 - plain(bar(1, 2), 0, 0), 0.3333, 2e-4),
    Row("0.16", SOURCE, lambda: rocker_way(hold=True)[0, 0], 0.9323, 2e-3),
    Row("0.17 share", SOURCE, lambda: explicit().share_a[0, 0], 0.4265, 5e-4),
    Row("0.17 tilt", SOURCE, lambda: np.degrees(explicit().tilt[0, 0]), 33.37, 5e-4),
    Row("0.17 x", SOURCE, lambda: explicit().x[0, 0], 0.500, 1e-3),
    Row("0.18", SOURCE, lambda: np.degrees(exact().second[0].tilt[0]), 31.27, 5e-4),
    Row("0.19", SOURCE, lambda: exact().second[0].x[0], 0.650, 2e-3),
]


@pytest.mark.parametrize("row", params(ROWS))
def test_our_functions_give_the_independent_value(row: Row) -> None:
    check_row(row)


def test_parallel_links_would_say_one_half() -> None:
    """What leaning links change: the same bar on parallel links shares equally."""
    stage = move(slide_drive(), DRAW, PIN_X, skeleton=True).second[0]
    assert stage is not None
    assert stage.share_a == pytest.approx(0.5, abs=1e-9)
