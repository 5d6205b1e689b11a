"""Which formula is shown where a body has next to no wall."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.workings import WORKINGS


@pytest.mark.parametrize(
    ("D", "d", "plain"),
    [(6.0, 4.0, True), (3.0, 2.9, True), (1.0, 0.5, True), (2.0, 2.0, False), (2.0, 3.0, False)],
)
def test_a_ring_without_a_wall_shows_the_number_that_keeps_it_finite(
    D: float, d: float, plain: bool
) -> None:
    (formula,) = [s[1] for s in _stresses() if callable(s[1]) and "D^4" in _text(s[1], 6.0, 4.0)]
    assert _text(formula, D, d) == ("16*T*D/(pi*(D^4 - d^4))" if plain else "16*T*D/(pi*1e-6)")


def _stresses() -> list:
    """Symbol and formula of every way's stress."""
    return [w.stress for w in WORKINGS.values()]


def _text(formula: object, D: float, d: float) -> str:
    try:
        return str(formula({"D": np.array([[D]]), "d": np.array([[d]])}))
    except KeyError:
        return ""
