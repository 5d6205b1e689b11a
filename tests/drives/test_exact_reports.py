"""What an exact solution reports of itself agrees with its own pieces."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.exact import Exact, ExactStage, solve_exact
from explorer.drives.exact_compare import Pair, Witness, check_leans
from explorer.drives.ratios import Rocker
from tests.drives.random_drives import Sample, make_sample

ARCHITECTURES = [f"{a}+{b}" for a in ("linked_lever", "chain_winder", "chain_differential")
                 for b in ("bar", "chain")]  # fmt: skip
CASES = [(a, n) for a in ARCHITECTURES for n in (2, 3, 4)]


def solved(architecture: str, fingers: int) -> tuple[Sample, Exact]:
    s = make_sample(5, architecture, fingers)
    return s, solve_exact(s.drive, s.draw, s.pin_x)


def leans(g: ExactStage) -> list[np.ndarray]:
    return [g.lean_in, g.lean_a, g.lean_b]


def drawbar_tan(s: Sample, e: Exact) -> np.ndarray:
    """Sideways over along of a short input drawbar, from pin to pin."""
    r, source = s.drive.ratio, s.drive.ratio.source
    if not isinstance(r, Rocker) or not source.leans:
        return 0.0 * e.theta
    aside = source.far_x - r.in_pin(e.theta).x[0]
    return aside / np.sqrt(source.length**2 - aside * aside)


@pytest.mark.parametrize(("architecture", "fingers"), CASES)
def test_the_worst_lean_is_the_worst_of_all_leans(architecture: str, fingers: int) -> None:
    s, e = solved(architecture, fingers)
    found = [*e.exit_lean, *e.lean.T, np.arctan(drawbar_tan(s, e))]
    for g in (e.first, *e.second):
        found += leans(g) if g is not None else []
    np.testing.assert_allclose(e.lean_worst, np.abs(found).max(axis=0), rtol=1e-12)


@pytest.mark.parametrize(("architecture", "fingers"), CASES)
def test_shares_are_those_of_the_pulls(architecture: str, fingers: int) -> None:
    s, e = solved(architecture, fingers)
    carried = [e.pull_out[:, list(c.fingers)].sum(axis=1) for c in s.drive.carriers]
    for c, g, total in zip(s.drive.carriers, e.second, carried, strict=True):
        assert (g is None) == (c.body is None)
        if g is not None:
            np.testing.assert_allclose(g.share_a, e.pull_out[:, c.fingers[0]] / total, rtol=1e-9)
    assert (e.first is None) == (s.drive.first is None)
    if e.first is not None:
        np.testing.assert_allclose(e.first.share_a, carried[0] / sum(carried), rtol=1e-9)


@pytest.mark.parametrize(("architecture", "fingers"), CASES)
def test_every_report_has_one_number_a_position(architecture: str, fingers: int) -> None:
    s, e = solved(architecture, fingers)
    P = len(s.draw)
    rows = (e.theta, e.X, e.a1, e.out_per_in, e.lean_worst, e.residual_length, e.residual_force)
    assert {v.shape for v in (*rows, e.converged, e.taut)} == {(P,)}
    if e.first is not None and architecture.startswith("chain_differential"):
        nowhere = (e.first.x, e.first.y, e.first.lean_in, e.first.force_in)
        assert all((v == 0.0).all() for v in nowhere)  # gears are no floating body
        turns = (e.sides[0] - e.sides[1]) / 2.0
        np.testing.assert_allclose(e.first.tilt, turns, atol=1e-12)
        np.testing.assert_allclose(e.theta, (e.sides[0] + e.sides[1]) / 2.0, atol=1e-12)


def witness(out: float, into: float, *, taut: tuple[bool, bool] = (True, True)) -> Witness:
    """Two fingers, two positions; in the last one a pull is off by so much."""
    one = np.ones((2, 2))

    def pair(off: float) -> Pair:
        return Pair(one, one + np.array([[0.0, 0.0], [0.0, off]]))

    flat = Pair(np.zeros(2), np.zeros(2))
    yes = np.array([True, True])
    return Witness(pair(out), pair(into), (flat,), (True,), flat, flat, yes, np.array(taut))


def test_the_worst_difference_is_of_either_sign_and_either_pull() -> None:
    assert witness(-0.05, 0.01).worst == pytest.approx(0.05)
    assert witness(0.01, -0.05).worst == pytest.approx(0.05)
    assert witness(0.05, 0.0).worst == pytest.approx(0.05)


def test_a_slack_link_in_one_position_is_no_witness() -> None:
    weights = np.ones((2, 2))
    assert witness(0.0, 0.0).holds
    assert not check_leans(witness(0.0, 0.0), weights)
    slack = witness(0.0, 0.0, taut=(True, False))
    assert not slack.holds
    assert check_leans(slack, weights)
    assert check_leans(witness(0.0, 0.062), weights)  # (2 + 0.062)/2 is more than 3 % off
    assert not check_leans(witness(0.0, 0.058), weights)
