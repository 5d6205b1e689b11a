import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from explorer.mechanics.pins import bending_stress
from explorer.mechanics.shaft import resultant, shaft_stress
from explorer.mechanics.types import Floats
from tests.mechanics.elementwise import check_elementwise, columns
from tests.mechanics.shafts import bush_reactions, shaft_moment


def shafts(k: int = 3) -> st.SearchStrategy[list[Floats]]:
    """load and z of shape (9, k), some of it overhung, and span (9,)."""
    return columns(*[(-400.0, 400.0)] * k, *[(-8.0, 25.0)] * k, (4.0, 18.0)).map(
        lambda cols: [np.stack(cols[:k], -1), np.stack(cols[k : 2 * k], -1), cols[-1]]
    )


@given(shafts())
def test_bushes_balance_forces_and_moments(inputs: list[Floats]) -> None:
    load, z, span = inputs
    bushes = bush_reactions(load, z, span)
    scale = np.abs(load).sum() * 30.0 + 1.0
    force = bushes.at_zero + bushes.at_span - load.sum(-1)
    moment = bushes.at_span * span - (load * z).sum(-1)
    assert np.abs(force).max() < 1e-12 * scale
    assert np.abs(moment).max() < 1e-12 * scale


@given(shafts())
def test_each_row_is_the_same_alone_and_in_a_batch(inputs: list[Floats]) -> None:
    load, z, span = inputs
    before = [x.copy() for x in inputs]
    bushes, moment = bush_reactions(load, z, span), shaft_moment(load, z, span)
    assert bushes.at_zero.shape == span.shape
    assert moment.shape == (*span.shape, load.shape[-1] + 2)
    for i in range(len(span)):
        one = slice(i, i + 1)
        alone = bush_reactions(load[one], z[one], span[one])
        assert alone.at_zero[0] == bushes.at_zero[i]
        assert alone.at_span[0] == bushes.at_span[i]
        assert np.array_equal(shaft_moment(load[one], z[one], span[one])[0], moment[i])
    for x, old in zip(inputs, before, strict=True):
        assert np.array_equal(x, old)


@given(shafts())
def test_moments_double_with_the_loads(inputs: list[Floats]) -> None:
    load, z, span = inputs
    assert np.array_equal(shaft_moment(-2 * load, z, span), -2 * shaft_moment(load, z, span))


@given(shafts(), st.floats(-10.0, 30.0))
def test_no_place_bends_more_than_the_listed_ones(inputs: list[Floats], cut: float) -> None:
    """A load of nothing at any further place shows the moment there."""
    load, z, span = inputs
    listed = np.abs(shaft_moment(load, z, span)).max(-1)
    more = shaft_moment(
        np.concatenate([load, np.zeros_like(load[:, :1])], -1),
        np.concatenate([z, np.full_like(z[:, :1], cut)], -1),
        span,
    )
    assert (np.abs(more).max(-1) <= listed + 1e-9 * (1 + np.abs(load).sum(-1) * 30)).all()


@given(shafts())
def test_moment_seen_from_the_other_end_is_the_same(inputs: list[Floats]) -> None:
    load, z, span = inputs
    there = shaft_moment(load, z, span)
    back = shaft_moment(load, span[:, None] - z, span)
    back[:, -2:] = back[:, :-3:-1]
    np.testing.assert_allclose(back, there, atol=1e-9 * (1 + np.abs(load).sum() * 30))


def test_one_load_between_the_bushes() -> None:
    """F a b / L under the load; none at the bushes."""
    moment = shaft_moment(np.array([90.0]), np.array([10.0]), np.array(30.0))
    assert moment == pytest.approx([90.0 * 10 * 20 / 30, 0.0, 0.0])


def test_one_load_beyond_a_bush() -> None:
    """A load of 50 N hung 4 beyond either bush bends the shaft there by 200, the other way."""
    beyond = shaft_moment(np.array([50.0]), np.array([16.0]), np.array(12.0))
    before = shaft_moment(np.array([50.0]), np.array([-4.0]), np.array(12.0))
    assert beyond == pytest.approx([0.0, 0.0, -200.0], abs=1e-9)
    assert before == pytest.approx([0.0, -200.0, 0.0], abs=1e-9)


@given(columns((-500.0, 500.0), (-500.0, 500.0), (2.0, 12.0)))
def test_stress_and_resultant_are_elementwise(inputs: list[Floats]) -> None:
    check_elementwise(resultant, *inputs[:2])
    check_elementwise(shaft_stress, *inputs)


@given(columns((-500.0, 500.0), (-500.0, 500.0), (2.0, 12.0)))
def test_torque_counts_as_three_quarters_of_its_square(inputs: list[Floats]) -> None:
    """Equivalent moment sqrt(M^2 + 3/4 T^2), any text on shafts by distortion energy."""
    M, T, d = inputs
    equivalent = bending_stress(np.sqrt(M * M + 0.75 * T * T), d)
    np.testing.assert_allclose(shaft_stress(M, T, d), equivalent, rtol=1e-12)
