"""What an exact solution reports of itself agrees with its own pieces."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.exact import Exact, ExactStage, solve_exact
from tests.drives.random_drives import Sample, make_sample

ARCHITECTURES = [f"{a}+{b}" for a in ("linked_lever", "chain_winder", "chain_differential")
                 for b in ("bar", "chain")]  # fmt: skip
CASES = [(a, n) for a in ARCHITECTURES for n in (2, 3, 4)]


def solved(architecture: str, fingers: int) -> tuple[Sample, Exact]:
    s = make_sample(5, architecture, fingers)
    return s, solve_exact(s.drive, s.draw, s.pin_x)


def leans(g: ExactStage) -> list[np.ndarray]:
    return [g.lean_in, g.lean_a, g.lean_b]


@pytest.mark.parametrize(("architecture", "fingers"), CASES)
def test_the_worst_lean_is_the_worst_of_all_leans(architecture: str, fingers: int) -> None:
    _, e = solved(architecture, fingers)
    found = [*e.exit_lean, *e.lean.T]
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
