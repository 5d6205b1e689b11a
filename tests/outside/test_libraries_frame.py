"""A frame solver (PyNite) confirms bush loads, shaft moments and the pin in a fork."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from explorer.mechanics.pins import fork_moment
from tests.mechanics.shafts import bush_reactions, shaft_moment

pynite = pytest.importorskip("Pynite", reason="PyNite is a test-only package and is not installed")

CASE = "Combo 1"


class Beam:
    """A steel beam along x on two hinges, solved by PyNite; loads and reactions along y."""

    def __init__(self, start: float, end: float, hinges: tuple[float, float]) -> None:
        self.start = start
        self.model = pynite.FEModel3D()
        self.model.add_material("steel", 210e3, 81e3, 0.3, 7.85e-6)
        self.model.add_section("round", 7.07, 3.98, 3.98, 7.95)
        places = sorted({start, end, *hinges})
        for x in places:
            self.model.add_node(f"at {x}", x, 0, 0)
        self.hinges = [f"at {x}" for x in hinges]
        self.model.def_support(self.hinges[0], True, True, True, True, False, False)
        self.model.def_support(self.hinges[1], False, True, True, False, False, False)
        self.model.add_member("beam", f"at {start}", f"at {end}", "steel", "round")

    def point(self, force: float, x: float) -> None:
        self.model.add_member_pt_load("beam", "Fy", force, x - self.start)

    def spread(self, force: float, x1: float, x2: float) -> None:
        per_mm = force / (x2 - x1)
        self.model.add_member_dist_load(
            "beam", "Fy", per_mm, per_mm, x1 - self.start, x2 - self.start
        )

    def solve(self) -> None:
        self.model.analyze_linear()

    def reactions(self) -> list[float]:
        return [float(self.model.nodes[name].RxnFY[CASE]) for name in self.hinges]

    def moment(self, x: float) -> float:
        """Positive where the beam sags; PyNite counts it the other way."""
        return -float(self.model.members["beam"].moment("Mz", x - self.start, CASE))


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
