"""A bar's arms about its centre pin: two derivations, and a free body by vectors."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.drives.bodies import Bar, Brackets, Leans
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
