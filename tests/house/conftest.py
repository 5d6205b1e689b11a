"""The parsed tree is kept for the tests of one file and no longer: it holds 100 MB."""

from collections.abc import Iterator

import pytest

from tests.house.tree import package_sources, sources_of_tests


@pytest.fixture(scope="module", autouse=True)
def _parsed_once() -> Iterator[None]:
    yield
    package_sources.cache_clear()
    sources_of_tests.cache_clear()
