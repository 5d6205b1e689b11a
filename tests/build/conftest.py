"""Drives to pack: stored ones that still fit, else what a plain search finds."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from explorer.brief.builds import Build, builds_of
from explorer.brief.errors import BadInput, DoesNotFit
from explorer.brief.parse import parse_file
from explorer.brief.read import Study, read_study
from explorer.build.pack import Packed, pack, refuse_unfit
from explorer.build.parts import Part, parts_of
from explorer.drives.assemble import Space
from explorer.drives.values import values_of
from explorer.scoring.open import Opened, open_drive, shelf_for
from explorer.scoring.score import Detail, detail
from tests.bench.simple_search import search

ROOT = Path(__file__).parents[2]
ARCHITECTURES = (
    "linked_lever+chain",
    "chain_winder+bar",
    "chain_differential+bar",
    "linked_lever+bar",
    "chain_winder+chain",
    "chain_differential+chain",
)


@dataclass(frozen=True)
class Drive:
    """A drive that can be packed, with all that the writers are given."""

    study: Study
    build: Build
    opened: Opened
    detail: Detail
    parts: tuple[Part, ...]


def packable(opened: Opened) -> bool:
    try:
        refuse_unfit(detail(opened.space, opened.X), "it")
    except DoesNotFit:
        return False
    return True


def stored(study: Study, architecture: str) -> Iterator[tuple[Build, Opened]]:
    """Stored drives first; then what a search finds, best first."""
    shelf = shelf_for(study)
    for build in builds_of(parse_file(Path(__file__).with_name("drives.toml"))):
        if build.architecture == architecture:
            try:
                yield build, open_drive(shelf, build)
            except BadInput:
                continue
    space = Space(shelf, architecture)
    for seed in (3, 4, 5):
        for x in search(space, 300, seed).X[:40]:
            build = Build("found", architecture, values_of(space, x), {})
            yield build, Opened(space, x[None].copy())


@pytest.fixture(scope="session")
def study() -> Study:
    return read_study(ROOT / "studies" / "orchard")


@pytest.fixture(scope="session", params=ARCHITECTURES)
def drive(request: pytest.FixtureRequest, study: Study) -> Drive:
    for build, opened in stored(study, request.param):
        if packable(opened):
            d = detail(opened.space, opened.X)
            return Drive(study, build, opened, d, parts_of(d, left=study.brief.side == "left"))
    raise AssertionError(f"no {request.param} drive of the orchard study can be packed")


@pytest.fixture(scope="session")
def done(drive: Drive, tmp_path_factory: pytest.TempPathFactory) -> Packed:
    """Its pack, written once for all that only read it."""
    return pack(drive.study, drive.build, tmp_path_factory.mktemp("packed") / "pack")


def other_hand(study: Study) -> Study:
    side = "right" if study.brief.side == "left" else "left"
    return replace(study, brief=replace(study.brief, side=side))
