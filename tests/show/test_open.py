"""A described drive becomes a space and a vector; three fingers say which one stands alone."""

import dataclasses
from typing import Any

import numpy as np
import pytest

from explorer.brief.builds import Build
from explorer.brief.errors import BadInput
from explorer.brief.read import Study
from explorer.drives.shelf import Shelf
from explorer.drives.values import values_of
from explorer.scoring.open import open_drive, shelf_for, space_for
from tests.show.test_facts import small_study


def three(asked: str = "search") -> tuple[Shelf, Build]:
    found = small_study(3, "linked_lever+bar", "little side")
    shelf = found.opened.space.shelf
    brief = dataclasses.replace(shelf.brief, single=asked)  # type: ignore[arg-type]
    return Shelf(brief, shelf.stock, shelf.demand), found.build


def with_single(build: Build, value: object) -> Build:
    values: dict[str, Any] = {k: v for k, v in build.values.items() if k != "single"}
    if value is not None:
        values["single"] = value
    return dataclasses.replace(build, values=values)


@pytest.mark.parametrize("side", ["index side", "little side"])
@pytest.mark.parametrize("asked", ["search", "index side", "little side"])
def test_the_drives_own_side_counts(side: str, asked: str) -> None:
    shelf, build = three(asked)
    space = open_drive(shelf, with_single(build, side)).space
    assert space.groups == (((0,), (1, 2)) if side == "index side" else ((0, 1), (2,)))


@pytest.mark.parametrize("asked", ["index side", "little side"])
def test_without_one_the_briefs_side_counts(asked: str) -> None:
    shelf, build = three(asked)
    assert open_drive(shelf, with_single(build, None)).space.single == asked
    assert space_for(shelf, "chain_winder+bar").single == asked


@pytest.mark.parametrize(
    ("value", "said"), [(None, "missing"), ("thumb side", "not usable"), (3, "not usable")]
)
def test_a_side_that_cannot_be_is_refused_with_all_else(value: object, said: str) -> None:
    shelf, build = three()
    wrong = with_single(build, value)
    wrong = dataclasses.replace(wrong, values={**wrong.values, "plate": "cheese"})
    with pytest.raises(BadInput, match=said) as caught:
        open_drive(shelf, wrong)
    assert {p.path for p in caught.value.problems} == {"values.single", "values.plate"}


def test_four_fingers_have_no_single(study: Study) -> None:
    build = with_single(study.builds[0], "index side")
    with pytest.raises(BadInput, match="single"):
        open_drive(shelf_for(study), build)


def test_values_come_back_as_they_were_written(study: Study) -> None:
    shelf = shelf_for(study)
    for build in study.builds:
        drive = open_drive(shelf, build)
        assert drive.X.shape == (1, len(drive.space.variables))
        assert values_of(drive.space, drive.X[0]) == dict(build.values)
        assert np.isfinite(drive.X).all()


def test_a_hand_that_cannot_close_is_told_with_its_line(study: Study) -> None:
    """The demand knows no files; the study puts the line back."""
    first = next(g for g in study.brief.grips if g.kind == "powered")
    huge = dataclasses.replace(first, width=400.0)
    grips = tuple(huge if g is first else g for g in study.brief.grips)
    wide = dataclasses.replace(study, brief=dataclasses.replace(study.brief, grips=grips))
    with pytest.raises(BadInput, match=r"brief\.toml line \d+"):
        shelf_for(wide)
