"""Every relation is tried on every architecture and on hands of two, three and four fingers."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest

from explorer.drives.assemble import ARCHITECTURES
from tests.relations.cases import Case, drawn

HANDS = (2, 3, 4)
DAILY = (0, 30)  # seed of hand and drives, and how many drives
LONG = tuple((seed, 200) for seed in range(1, 6))  # a thousand in all


def _params(fingers: tuple[int, ...]) -> Iterator[object]:
    for architecture, n in product(ARCHITECTURES, fingers):
        yield pytest.param((architecture, n, *DAILY), id=f"{architecture}-{n}")
        for seed, count in LONG:
            name = f"{architecture}-{n}-hand{seed}"
            yield pytest.param((architecture, n, seed, count), id=name, marks=pytest.mark.long)


@pytest.fixture(params=_params(HANDS))
def case(request: pytest.FixtureRequest) -> Case:
    """Random drives on a random hand."""
    return drawn(*request.param)


@pytest.fixture(params=_params(HANDS[1:]))
def case_of_two(request: pytest.FixtureRequest) -> Case:
    """The same on hands whose pull is first split between two carriers."""
    return drawn(*request.param)
