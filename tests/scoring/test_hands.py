"""One drive in hands of other sizes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from explorer.brief.builds import Build, builds_of
from explorer.brief.hands import HANDS, Hand, own_hand
from explorer.brief.parse import parse_file
from explorer.scoring.hands import HandShelf, OnHand, hand_shelves, on_hands
from explorer.scoring.open import open_drive
from explorer.scoring.score import score
from tests.bench.hands import drive_lines, lost
from tests.scoring.orchard import shelf, study

DRIVES = Path(__file__).parents[1] / "build" / "drives.toml"


@pytest.fixture(scope="module")
def shelves() -> tuple[HandShelf, ...]:
    return hand_shelves(study().brief, study().stock, (own_hand(study().brief), *HANDS))


@pytest.fixture(scope="module")
def builds() -> tuple[Build, ...]:
    return (*builds_of(parse_file(DRIVES)), *study().builds)


@pytest.fixture(scope="module")
def found(
    shelves: tuple[HandShelf, ...], builds: tuple[Build, ...]
) -> dict[str, tuple[OnHand, ...]]:
    return {b.name: on_hands(shelves, b) for b in builds}


def test_on_the_briefs_own_hand_a_drive_scores_as_it_does_anyway(
    found: dict[str, tuple[OnHand, ...]], builds: tuple[Build, ...]
) -> None:
    for build in builds:
        opened = open_drive(shelf(), build)
        plain = score(opened.space, opened.X)
        own = found[build.name][0]
        assert own.grip == pytest.approx(float(plain.aims["grip"][0]), rel=1e-9)
        assert own.fits == bool(plain.feasible[0])
        assert {m.limit for m in own.missing} == {
            name for name, v in plain.slacks.items() if float(v[0]) < 0.0
        }


def test_a_drive_that_does_not_fit_says_by_what(found: dict[str, tuple[OnHand, ...]]) -> None:
    rows = [r for each in found.values() for r in each]
    assert len({r.fits for r in rows}) == 2, "all fit or none: this tells nothing"
    for r in rows:
        assert r.fits == (not r.missing and not r.lost)
        assert all(m.slack < 0.0 for m in r.missing)


def test_a_smaller_palm_leaves_less_room(found: dict[str, tuple[OnHand, ...]]) -> None:
    """A drive that has the room of a woman's hand at the 5th percentile has that of her 95th too."""

    def room(r: OnHand) -> bool:
        return not {"cavity", "keepout"} & {m.limit for m in r.missing}

    by_hand = {h.name: [] for h in HANDS}  # type: dict[str, list[bool]]
    for each in found.values():
        for r in each[1:]:
            by_hand[r.hand.name].append(room(r))
    assert sum(by_hand["woman, 5th"]) <= sum(by_hand["woman, 95th"])
    assert sum(by_hand["woman, 5th"]) <= sum(by_hand["man, 95th"])
    assert not all(by_hand["woman, 5th"])


def test_a_hand_too_small_for_an_object_loses_that_grip_and_keeps_the_others() -> None:
    """An apple of 72 mm in the hand of a child of two: about 100 mm long (invented size)."""
    child = Hand("child", 100.0, 50.0, 58.0)
    (small,) = hand_shelves(study().brief, study().stock, (child,))
    assert small.shelf is not None
    gone = {x.grip for x in small.lost}
    assert "apple" in gone
    kept = {p.name for p in small.shelf.demand.positions}
    assert gone & kept == set()
    (row,) = on_hands((small,), study().builds[0])
    assert not row.fits
    assert row.lost
    assert "without apple" in "\n".join(drive_lines(study().builds[0], (row,)))
    assert any("cannot make apple" in line for line in lost((small,)))


def test_a_hand_that_can_make_no_grip_is_told_as_such() -> None:
    doll = Hand("doll", 20.0, 10.0, 12.0)
    brief = study().brief
    squeezing = replace(brief, grips=tuple(g for g in brief.grips if g.kind == "powered"))
    (none,) = hand_shelves(squeezing, study().stock, (doll,))
    assert none.shelf is None
    (row,) = on_hands((none,), study().builds[0])
    assert (row.fits, row.grip) == (False, None)
    assert {x.grip for x in row.lost} == {g.name for g in squeezing.grips}


def test_the_table_names_every_hand_and_what_is_missing(
    builds: tuple[Build, ...], found: dict[str, tuple[OnHand, ...]]
) -> None:
    for build in builds:
        rows = found[build.name]
        text = drive_lines(build, rows)
        assert f"fits {sum(r.fits for r in rows)} of 7" in text[0]
        for r, line in zip(rows, text[2:], strict=True):
            assert line.strip().startswith(r.hand.name)
            assert ("does not fit" in line) == (not r.fits)
            assert all(m.limit in line for m in r.missing[:3])


def test_a_drive_that_cannot_be_decoded_on_a_hand_has_no_place_there(
    shelves: tuple[HandShelf, ...],
) -> None:
    build = study().builds[0]
    wrong = replace(build, values={**build.values, "rocker_width_mm": 1e6})
    for row in on_hands(shelves[:2], wrong):
        assert (row.fits, row.grip, row.lost[-1].grip) == (False, None, "")
