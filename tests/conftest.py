"""What every test shares: how hypothesis draws, and a strict floating-point mode."""

import os
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import HealthCheck, settings

# No deadline: a slow machine is not a wrong answer.
settings.register_profile(
    "everyday",
    deadline=None,
    max_examples=30,
    derandomize="CI" in os.environ,
    suppress_health_check=[HealthCheck.too_slow],
)
# On demand: HYPOTHESIS_PROFILE=long
settings.register_profile(
    "long",
    deadline=None,
    max_examples=1000,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "everyday"))


@pytest.fixture
def strict_numpy() -> Iterator[None]:
    """Division by zero and invalid operations raise inside this test."""
    with np.errstate(divide="raise", invalid="raise"):
        yield
