"""Nothing fits, one fits, still searching, interrupted, no old builds, few fingers: whole pages all."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from explorer.brief.demand_build import build_demand
from explorer.brief.errors import BadInput, CannotWrite
from explorer.brief.read import Study
from explorer.brief.records import Aim
from explorer.drives.shelf import Shelf
from explorer.report.gather import Gathered, gather, keeps_when_exact
from explorer.report.page import page
from explorer.report.write import target_for, write_report
from explorer.scoring.stops import clashes
from explorer.study.records import StudyResult
from tests.factories import make_brief
from tests.report.made import AIMS, chance, result_of
from tests.report.reading import Seen, seen
from tests.shelf import make_stock


def checked(found: Gathered) -> Seen:
    read = seen(page(found, "x.csv"))
    known = {e.name for e in (*found.keepers, *found.others)}
    assert read.drives <= known
    return read


def told(study: Study, result: StudyResult) -> tuple[Seen, Gathered]:
    found = gather(study, result)
    return checked(found), found


def few(result: StudyResult) -> StudyResult:
    """A result of two drives, where what is tested does not depend on how many there are."""
    return result_of(result.keepers[:2], [], result.brief_hash)


def test_nothing_fits(study: Study, result: StudyResult) -> None:
    missed = [
        replace(
            k,
            fits=False,
            keeper=False,
            slacks={**{i: abs(v) for i, v in k.slacks.items()}, "cavity": -2.34},
        )
        for k in result.keepers[:3]
    ]
    read, found = told(study, result_of([], missed, result.brief_hash))
    assert found.start is None
    assert "Nothing fits" in read.prose
    assert missed[0].name in read.prose
    assert "2.3 mm" in read.prose
    ids = [a.get("id") for tag, a in read.tags if tag == "section"]
    assert ids.index("kinds") < ids.index("brief")
    assert "trade" not in ids
    assert "evener pack" not in read.prose
    assert "none of them is to be built" in read.prose
    assert set(read.data["motion"]) >= {m.name for m in missed}


def test_what_is_recommended_keeps_its_limits_at_true_lengths(gathered: Gathered) -> None:
    """A pack refuses the others: the page marks them and never says to build one."""
    found = gathered
    if found.start is not None:
        assert keeps_when_exact(found.whole[found.start])
        assert not clashes(found.whole[found.start].detail)
    for c in found.choices:
        assert ("check leans" in c.why) is not keeps_when_exact(found.whole[c.name])


def test_one_fits(study: Study, result: StudyResult) -> None:
    read, found = told(study, result_of(result.keepers[:1], [], result.brief_hash))
    name = result.keepers[0].name
    sound = keeps_when_exact(found.whole[name]) and not clashes(found.whole[name].detail)
    assert found.start == (name if sound else None)
    assert ("no pack can be made" in read.prose) is not sound
    assert "nothing to trade" in read.prose
    assert not [a for tag, a in read.tags if tag == "svg" and "strip" in (a.get("class") or "")]


@pytest.mark.parametrize(
    ("state", "word"), [("running", "still searching"), ("interrupted", "interrupted")]
)
def test_unfinished(gathered: Gathered, result: StudyResult, state: str, word: str) -> None:
    """Of the same drives: what is gathered of them does not depend on how far the search is."""
    made = result_of(result.keepers, result.misses, result.brief_hash, state)
    read = checked(replace(gathered, result=made))
    assert word in read.prose
    assert "38 %" in read.prose
    assert "so far" in read.prose
    assert "best" not in read.prose.lower()
    assert ("evener run" in read.prose) == (state == "interrupted")


def test_never_run(study: Study, result: StudyResult) -> None:
    empty = replace(
        result_of([], [], result.brief_hash, "never run", looked=0),
        ledger=(),
        progress=(),
        agreement=(),
    )
    read, _ = told(study, empty)
    assert "not searched yet" in read.prose


def test_no_old_builds(study: Study, result: StudyResult) -> None:
    read, _ = told(replace(study, builds=()), few(result))
    assert "No old build is entered" in read.prose


def test_an_old_build_that_cannot_be_read_is_named_with_its_reason(
    study: Study, result: StudyResult
) -> None:
    bad = replace(study.builds[0], name="half known", values={})
    read, found = told(replace(study, builds=(bad,)), few(result))
    assert found.builds == ()
    assert "half known" in read.prose
    assert "missing" in read.prose


def test_beaten_drives_are_told_with_what_beats_them(study: Study, result: StudyResult) -> None:
    own = next(k for k in result.keepers if k.architecture == "linked_lever+chain")
    rest = [k for k in result.keepers if k.architecture != own.architecture][:2]
    beaten = replace(own, keeper=False)
    for key in (own.name, own.architecture):
        made = result_of(rest, [beaten], result.brief_hash, shown={key: rest[0].name})
        ledger = tuple(
            replace(row, fits=9) if row.architecture == own.architecture else row
            for row in made.ledger
        )
        read, _ = told(study, replace(made, ledger=ledger))
        said = " ".join(read.prose.split())
        assert f"{own.name} comes nearest and is beaten by {rest[0].name}" in said


@pytest.mark.parametrize("fingers", [2, 3])
def test_hands_with_fewer_fingers(fingers: int) -> None:
    aims = tuple(Aim(name, None) for name in AIMS)
    brief = replace(make_brief(fingers), aims=aims)
    shelf = Shelf(brief, make_stock(), build_demand(brief))
    small = Study(Path("small"), "small", brief, shelf.stock, (), (), (), {}, "")
    read, found = told(small, chance(shelf, each=3))
    assert len(found.choices) >= 2
    assert "How does it move" in read.prose


def test_more_drives_in_motion_on_request(
    study: Study, result: StudyResult, gathered: Gathered
) -> None:
    other = next(k.name for k in result.keepers if k.name not in gathered.whole)
    assert other in gather(study, result, (other,)).whole
    with pytest.raises(BadInput, match="no drive"):
        gather(study, result, ("XX-99",))


def test_the_target_is_named_after_the_study_and_stays_in_reports(
    study: Study, tmp_path: Path
) -> None:
    for name, file in (
        ("left ü 3", "left-u-3.html"),
        ("../../etc/x", "etc-x.html"),
        ("..", "unnamed.html"),
    ):
        target = target_for(replace(study, name=name), tmp_path)
        assert target == tmp_path / "reports" / file
    (tmp_path / "blocked").write_text("")
    with pytest.raises(CannotWrite):
        target_for(study, tmp_path / "blocked")


def test_a_failed_write_leaves_the_old_file_whole(
    study: Study, result: StudyResult, tmp_path: Path
) -> None:
    target, result = tmp_path / "left.html", few(result)
    assert write_report(study, result, target) == target
    before = target.read_bytes()
    assert target.with_suffix(".csv").exists()
    assert sorted(p.name for p in tmp_path.iterdir()) == ["left.csv", "left.html"]
    with pytest.raises(CannotWrite):
        write_report(study, result, tmp_path / "nowhere" / "left.html")
    assert target.read_bytes() == before
