"""Every relation is tried on every architecture and on hands of two, three and four fingers."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES
from tests.relations.cases import Case, drawn

HANDS = (2, 3, 4)
DAILY = (0, 30)  # seed of hand and drives, and how many drives
LONG = tuple((seed, 200) for seed in range(1, 6))  # a thousand in all


def params(fingers: Iterable[int], architectures: Iterable[str] = ARCHITECTURES) -> list[object]:
    """What `drawn` asks for: thirty drives on one hand every day, a thousand on five hands with -m long."""
    out: list[object] = []
    for architecture, n in product(architectures, fingers):
        out.append(pytest.param((architecture, n, *DAILY), id=f"{architecture}-{n}"))
        for seed, count in LONG:
            name = f"{architecture}-{n}-hand{seed}"
            out.append(
                pytest.param((architecture, n, seed, count), id=name, marks=pytest.mark.long)
            )
    return out


@pytest.fixture(params=params(HANDS))
def case(request: pytest.FixtureRequest) -> Case:
    """Random drives on a random hand."""
    return drawn(*request.param)


@pytest.fixture(params=params(HANDS[1:]))
def case_of_two(request: pytest.FixtureRequest) -> Case:
    """The same on hands whose pull is first split between two carriers."""
    return drawn(*request.param)


LEAN = 25.0  # deg; far beyond the usual limit of 20 the exact solver does not always find its way


@pytest.fixture
def few(case: Case) -> Case:
    """A tenth of them, where each is worked out by itself: the first whose links lean little enough."""
    upright = case.told.motion.lean_worst.max(axis=1) < np.sin(np.radians(LEAN))
    return case.but(X=case.X[upright][: len(case.X) // 10])
