"""One study, one made result and its page, shared by the tests of this folder."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from explorer.brief.builds import Broke, Build
from explorer.brief.read import Study, read_study
from explorer.brief.start import write_study
from explorer.drives.values import random_vectors, values_of
from explorer.report.gather import Gathered, gather
from explorer.report.page import page
from explorer.scoring.open import shelf_for, space_for
from explorer.study.records import StudyResult
from tests.report.made import chance


def with_builds(study: Study) -> Study:
    """Two old builds of chance, one of them broken."""
    shelf, rng = shelf_for(study), np.random.default_rng(11)
    builds = []
    for name, architecture, broke in (
        ("=old lever", "linked_lever+bar", None),
        ("old differential", "chain_differential+chain", Broke("cage pins", "sheared")),
    ):
        space = space_for(shelf, architecture)
        values = values_of(space, random_vectors(space, 1, rng)[0])
        builds.append(Build(name, architecture, values, {}, note="made up", broke=broke))  # type: ignore[arg-type]
    return replace(study, builds=tuple(builds))


@pytest.fixture(scope="session")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    folder: Path = tmp_path_factory.mktemp("report") / "left ü 3"
    write_study(folder)
    return with_builds(read_study(folder))


@pytest.fixture(scope="session")
def result(study: Study) -> StudyResult:
    return chance(shelf_for(study))


@pytest.fixture(scope="session")
def gathered(study: Study, result: StudyResult) -> Gathered:
    return gather(study, result)


@pytest.fixture(scope="session")
def html(gathered: Gathered) -> str:
    return page(gathered, "left-3.csv")
