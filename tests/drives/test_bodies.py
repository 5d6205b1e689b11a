"""A bar's arms about its centre pin: two derivations, and a free body by vectors."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives.bodies import Bar, Brackets, Ends, GearSplit, Leans, Wheel
from tests.outside.published import a

arms = st.floats(5.0, 20.0)
offsets = st.floats(-2.0, 4.0)
tilts = st.floats(-0.6, 0.6)
leans = st.floats(-0.35, 0.35)


def bar(l_a: float, l_b: float, e: float) -> Bar:
    return Bar(a(l_a), a(l_b), a(e), a(3.0), a(3.0), a(0.15))


def leaning(t_a: float, t_b: float) -> Leans:
    cos_a, cos_b = (1.0 / np.sqrt(1.0 + t * t) for t in (t_a, t_b))
    return Leans(a(1.0), a(t_a), a(cos_a), a(t_b), a(cos_b))


def brackets(body: Bar, phi: float, lean: Leans) -> Brackets:
    found = body.sharing(lean, body.ends(a(phi))).brackets
    assert found is not None
    return found


@given(arms, arms, offsets, tilts)
def test_a_bar_without_lean_shares_as_on_parallel_links(
    l_a: float, l_b: float, e: float, phi: float
) -> None:
    body = bar(l_a, l_b, e)
    found = body.sharing(leaning(0.0, 0.0), body.ends(a(phi)))
    assert float(found.share_a) == pytest.approx(float(body.plain_share(a(phi))), abs=1e-12)


@given(arms, arms, offsets, tilts, leans, leans)
def test_an_arm_is_the_moment_of_a_leaning_pull(
    l_a: float, l_b: float, e: float, phi: float, t_a: float, t_b: float
) -> None:
    """Free body by vectors: r x F about the centre pin, F = (-tan, 1) at a and (tan, 1) at b."""
    c, s = np.cos(phi), np.sin(phi)
    ax, ay = -l_a * c - e * s, -l_a * s + e * c
    bx, by = l_b * c - e * s, l_b * s + e * c
    found = brackets(bar(l_a, l_b, e), phi, leaning(t_a, t_b))
    assert float(found.a) == pytest.approx(max(-(ax * 1.0 - ay * (-t_a)), 1e-3))
    assert float(found.b) == pytest.approx(max(bx * 1.0 - by * t_b, 1e-3))


def test_wheels_and_gears_have_no_stop_and_bars_stop_at_their_sine() -> None:
    """A bar of 20 mm cannot tilt by 24 mm of draws; sin 72 degrees is 0.95."""
    s_a, s_b = np.array([[30.0, 5.0]]), np.array([[6.0, 1.0]])
    wheel = Wheel(a(14.0), a(2.0), a(0.1), a(1.0), a(0.1))
    gears = GearSplit(a(9.0), a(7.0), a(0.96), 3)
    assert (wheel.tilt_over(s_a, s_b) == 0.0).all()
    assert (gears.tilt_over(s_a, s_b) == 0.0).all()
    assert bar(10.0, 10.0, 1.0).tilt_over(s_a, s_b) == pytest.approx(np.array([[0.25, 0.0]]))


def test_a_wheel_by_hand() -> None:
    """14 mm across, turned by (8 - 1)/14; strands leave 7 mm to either side; a paid in by 3.5 mm."""
    wheel = Wheel(a(14.0), a(2.0), a(0.1), a(1.0), a(0.3))
    s_a, s_b = a(8.0), a(1.0)
    phi = wheel.tilt(s_a, s_b)
    assert phi.item() == 0.5
    ends = wheel.ends(phi)
    assert [v.item() for v in (ends.xa, ends.xb, ends.ya, ends.yb)] == [-7.0, 7.0, 0.0, 0.0]
    assert wheel.pay_out(s_a, s_b).item() == 3.5
    assert wheel.draw(s_a, s_b, phi).item() == 4.5
    assert wheel.plain_share(phi).item() == 0.5
    assert wheel.sharing(leaning(0.0, 0.0), ends).skew.item() == pytest.approx(0.5 / 28.0)


def test_gears_by_hand() -> None:
    """Chain wheels 9 and 6: turns (18/9 - 6/6)/2; the smaller takes more of the pull; no body between."""
    gears = GearSplit(a(9.0), a(6.0), a(1.0), 3)
    phi = gears.tilt(a(18.0), a(6.0))
    assert phi.item() == 0.5
    assert gears.draw(a(18.0), a(6.0), phi).item() == (6.0 * 18.0 + 9.0 * 6.0) / 15.0
    assert gears.plain_share(phi).item() == pytest.approx(0.4)
    ends = gears.ends(phi)
    assert [v.item() for v in (ends.xa, ends.xb, ends.ya, ends.yb)] == [0.0] * 4
    assert gears.pay_out(a(18.0), a(6.0)).item() == 0.0
    assert gears.sharing(leaning(0.0, 0.0), ends).skew.item() == 0.0


def test_gears_and_wheels_share_alike_wherever_their_strands_leave() -> None:
    """Their sides' moments are those of the strands' forces; the places of the ends say only how many there are."""
    lean, moved = leaning(0.1, -0.2), Ends(a(-7.0), a(6.0), a(1.5), a(-2.5))
    wheel = Wheel(a(14.0), a(2.0), a(0.1), a(1.0), a(0.3))
    for body in (wheel, GearSplit(a(9.0), a(6.0), a(0.96), 3)):
        assert body.sharing(lean, moved) == body.sharing(lean, body.ends(a(0.0)))
