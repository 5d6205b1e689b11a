"""The study and the facts that all tests of this folder look at."""

from pathlib import Path

import pytest

from explorer.brief.read import Study, read_study
from explorer.drives.assemble import ARCHITECTURES
from explorer.show.facts import facts_of
from explorer.show.find import opened
from explorer.show.plain import Table
from tests.show.book import write_builds


@pytest.fixture(scope="session")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder: Path = tmp_path_factory.mktemp("show") / "links ü 🌳"
    write_builds(folder)
    return read_study(folder)


@pytest.fixture(scope="session")
def every_facts(study: Study) -> list[Table]:
    """Facts of one drive of each architecture."""
    assert [b.architecture for b in study.builds] == list(ARCHITECTURES)
    return [facts_of(opened(study, build)) for build in study.builds]
