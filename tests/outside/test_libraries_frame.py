"""A frame solver (PyNite) confirms bush loads, shaft moments and the pin in a fork."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from explorer.mechanics.pins import fork_moment
from tests.mechanics.shafts import bush_reactions, shaft_moment
from tests.outside.frames import Beam


def test_frame_solver_knows_the_centrally_loaded_beam() -> None:
    """F L/4 under the load and F/2 at each end; any text on statics."""
    beam = Beam(0.0, 20.0, (0.0, 20.0))
    beam.point(-6.0, 10.0)
    beam.solve()
    assert beam.reactions() == pytest.approx([3.0, 3.0])
    assert beam.moment(10.0) == pytest.approx(6.0 * 20.0 / 4.0)


loads = st.lists(
    st.tuples(
        st.floats(-400.0, 400.0).filter(lambda f: abs(f) > 1.0), st.integers(-6, 24).map(float)
    ),
    min_size=1,
    max_size=4,
    unique_by=lambda pair: pair[1],
)


@settings(max_examples=20)
@given(pairs=loads, span=st.integers(5, 15).map(float))
def test_shaft_on_two_bushes_agrees_with_the_frame_solver(
    pairs: list[tuple[float, float]], span: float
) -> None:
    load, z = np.array(pairs).T
    beam = Beam(min(-7.0, z.min()), max(25.0, z.max()), (0.0, span))
    for force, place in pairs:
        beam.point(-force, place)
    beam.solve()

    ours = bush_reactions(load, z, np.array(span))
    size = np.abs(load).sum() * 40.0
    assert beam.reactions() == pytest.approx([ours.at_zero, ours.at_span], abs=1e-9 * size)
    theirs = [beam.moment(x) for x in (*z, 0.0, span)]
    assert theirs == pytest.approx(shaft_moment(load, z, np.array(span)), abs=1e-9 * size)


@pytest.mark.parametrize(
    ("F", "t_fork", "gap", "t_mid"),
    [
        (50e3, 25.0, 0.0, 40.0),
        (300.0, 1.5, 0.2, 3.0),
        (450.0, 2.0, 3.1, 2.0),
        (80.0, 4.0, 1.0, 1.0),
    ],
)
def test_pin_in_a_fork_agrees_with_the_frame_solver(
    F: float, t_fork: float, gap: float, t_mid: float
) -> None:
    """Uniform pressure in fork and middle part; the hinges at the pin's ends stay without load."""
    half = t_mid / 2 + gap + t_fork
    pin = Beam(-half, half, (-half, half))
    pin.spread(-F, -t_mid / 2, t_mid / 2)
    pin.spread(F / 2, -half, -half + t_fork)
    pin.spread(F / 2, half - t_fork, half)
    pin.solve()
    assert pin.reactions() == pytest.approx([0.0, 0.0], abs=1e-9 * F)
    along = [abs(pin.moment(x)) for x in np.linspace(-half, half, 41)]
    assert max(along) == pytest.approx(
        float(fork_moment(np.array(F), t_fork, gap, t_mid)), rel=1e-9
    )
    assert int(np.argmax(along)) == 20
