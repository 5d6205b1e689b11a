"""What a run gives: keepers that nothing beats, names once each, counts that add up, misses by how much."""

import json
import sqlite3
from dataclasses import replace
from math import radians
from pathlib import Path

import numpy as np
import pytest

from explorer.brief.errors import BadInput
from explorer.drives.assemble import tag
from explorer.scoring.limits import AIM_BY_NAME, BY_ID
from explorer.scoring.open import open_drive, shelf_for, space_for
from explorer.scoring.score import score
from explorer.show import find
from explorer.study import journal, words
from explorer.study import standing as st
from explorer.study.ask import Ask
from explorer.study.read import build_of, drive_named, numbered_build, read_result
from explorer.study.records import Covered, Kept, StudyResult
from explorer.study.run import Begun, Went, run_study
from tests.study.conftest import EVALUATIONS
from tests.study.small import SCHEME, easy_brief, study_in


def clipped(folder: Path, kept: Kept) -> list[float]:
    """Aims made small, each no better than is enough."""
    out = []
    for aim in study_in(folder).brief.aims:
        if aim.name in kept.aims:
            sign = -1.0 if AIM_BY_NAME[aim.name].more else 1.0
            enough = -np.inf if aim.enough is None else sign * aim.enough
            out.append(max(sign * kept.aims[aim.name], enough))
    return out


def test_keepers_fit_and_none_beats_another(quiet: Path, result: StudyResult) -> None:
    assert len(result.keepers) > 5
    assert all(k.fits and k.keeper and min(k.slacks.values()) >= 0.0 for k in result.keepers)
    rows = np.array([clipped(quiet, k) for k in result.keepers])
    for row in rows:
        assert not ((rows <= row).all(axis=1) & (rows < row).any(axis=1)).any()


def test_numbers_are_what_the_scorer_says(quiet: Path, result: StudyResult) -> None:
    shelf = shelf_for(study_in(quiet))
    for k in result.keepers[:20]:
        again = score(space_for(shelf, k.architecture, k.single), np.array([k.x]))
        assert {n: v[0] for n, v in again.aims.items()} == k.aims
        assert {n: v[0] for n, v in again.slacks.items()} == k.slacks


def test_every_name_is_given_once(quiet: Path, result: StudyResult) -> None:
    db = sqlite3.connect(quiet / journal.JOURNAL)
    texts = [row[0] for row in db.execute("SELECT text FROM rounds ORDER BY round")]
    db.close()
    names = [k["name"] for text in texts for k in json.loads(text)["named"]]
    assert len(names) == len(set(names))
    assert all(k.name.startswith(f"{tag(k.architecture)}-") for k in result.keepers)
    assert {k.name for k in (*result.keepers, *result.misses)} <= set(names)


def test_counts_add_up(result: StudyResult) -> None:
    assert sum(row.looked_at for row in result.ledger) == result.looked_at >= EVALUATIONS
    for row in result.ledger:
        assert (
            row.looked_at
            >= row.reaches
            >= row.can_be_made
            >= row.has_room
            >= row.strong
            >= row.fits
            >= row.kept
        )
    assert sum(row.kept for row in result.ledger) == len(result.keepers)
    assert result.faults == 0


def test_progress_only_grows(result: StudyResult) -> None:
    assert [p.round for p in result.progress] == sorted({p.round for p in result.progress})
    for before, after in zip(result.progress, result.progress[1:], strict=False):
        assert after.looked_at > before.looked_at
        assert after.seconds >= before.seconds
        for architecture, volume in before.hypervolume.items():
            assert after.hypervolume[architecture] >= volume - 1e-12
    assert {a.seed for a in result.agreement} == {1, 2}


def test_what_beats_a_kind_without_keepers_is_kept(result: StudyResult) -> None:
    kept = {k.name for k in result.keepers}
    own = {k.name: k for k in result.misses}
    for name, by in result.shown.items():
        assert own[name].fits
        assert by in kept
    for row in result.ledger:
        if row.fits and not row.kept:
            assert any(k.architecture == row.architecture for k in result.misses)


def test_a_numbered_drive_is_found_and_scored_again(quiet: Path, result: StudyResult) -> None:
    study, k = study_in(quiet), result.keepers[0]
    assert drive_named(quiet, k.name).x == k.x
    build = numbered_build(study, k.name)
    opened = open_drive(shelf_for(study), build)
    assert tuple(opened.X[0]) == k.x
    assert build.brief_hash == study.brief.hash6
    assert build_of(study, k) == build
    with pytest.raises(BadInput, match="no drive"):
        drive_named(quiet, "WC-999")


@pytest.fixture(scope="module")
def barren(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A study in which nothing can fit: the drive would have to be thinner than a plate."""
    folder = tmp_path_factory.mktemp("barren")
    easy = easy_brief()
    box = replace(easy.cavity.box, z0=14.0, z1=16.0)
    brief = replace(easy, cavity=replace(easy.cavity, box=box))
    run_study(
        study_in(folder, brief), Ask(evaluations=700, workers=1), lambda _: None, scheme=SCHEME
    )
    return folder


def test_nothing_fits_names_the_nearest_of_each_kind(barren: Path) -> None:
    result = read_result(barren)
    assert result.state == "done"
    assert not result.keepers
    assert {k.architecture for k in result.misses} == {row.architecture for row in result.ledger}
    for k in result.misses:
        assert not k.fits
        assert min(k.slacks.values()) < 0.0
    said = "\n".join(words.done_lines(result))
    assert "none fits" in said
    assert all(k.name in said for k in result.misses)
    assert "mm too large for the palm" in said
    near = min(
        result.misses,
        key=lambda k: sum(-v / BY_ID[i].scale for i, v in k.slacks.items() if v < 0.0),
    )
    page = Path("reports/barren.html")
    (last,) = words.after_lines(result, barren, page, None, packs=False)
    assert last.startswith(f"Nearest miss: {near.name}, drawn in {page} section 3.")
    assert last.endswith(f"Next: evener show {barren} {near.name}")


def test_words_of_an_end_name_only_drives_there_are(quiet: Path, result: StudyResult) -> None:
    lines = words.done_lines(result)
    assert lines[0].startswith(f"Done. {len(result.keepers)} keepers")
    best = words.best_kept(result)
    assert max(k.aims["grip"] for k in result.keepers) == best.aims["grip"]
    assert any(line.startswith("Next:") for line in words.status_lines(result, quiet))
    one = replace(result, keepers=(best,))
    assert words.done_lines(one)[0].startswith("Done. 1 keeper of ")


def test_a_pack_is_offered_of_the_one_to_begin_with_alone(quiet: Path, result: StudyResult) -> None:
    page, name = Path("reports/quiet.html"), result.keepers[-1].name
    (last,) = words.after_lines(result, quiet, page, name, packs=True)
    shown = f"Report: {page}      Next: evener show {quiet} {name}"
    assert last == f"{shown}, or evener pack {quiet} {name}"
    why, last = words.after_lines(result, quiet, page, name, packs=False)
    assert f"parts of {name} clash" in why
    assert last == shown
    why, last = words.after_lines(result, quiet, page, None, packs=False)
    assert "check leans" in why
    assert last.endswith(f"Next: evener show {quiet} {words.best_kept(result).name}")


def test_a_run_that_is_not_over_goes_on_next(quiet: Path, result: StudyResult) -> None:
    page, name = Path("reports/quiet.html"), result.keepers[0].name
    for state, verb in (("interrupted", "run"), ("running", "status"), ("never run", "run")):
        now = replace(result, state=state)  # type: ignore[arg-type]
        (last,) = words.after_lines(now, quiet, page, name, packs=True)
        assert last == f"Report so far: {page}      Next: evener {verb} {quiet}"


def test_progress_is_told_soon_and_then_now_and_then(result: StudyResult) -> None:
    pace = words.Pace(terminal=False)
    first = replace(result.progress[0], keepers=0, seconds=0.5)
    times = [1.0, 2.0, 30.0, 59.0, 60.6, 61.0, 121.0]
    assert pace.line(Went(first, None, None)) is not None
    told = [t for t in times if pace.line(Went(replace(first, seconds=t), None, None)) is not None]
    assert told == [60.6, 121.0]
    assert pace.line(Went(replace(first, seconds=122.0, keepers=1), None, None)) is not None


def test_first_words_come_before_any_work(quiet: Path) -> None:
    lines = words.begun_lines(Begun("4f1c9a", 1, 2, 0, 0.0), quiet)
    assert lines == [
        "brief 4f1c9a · seed 1 · 2 workers · saved after every round; stop with Ctrl-C, nothing is lost"
    ]
    assert (
        "Going on from 1:12, round 61"
        in words.begun_lines(Begun("4f1c9a", 1, 2, 61, 72.3), quiet)[0]
    )


def test_a_hand_that_only_carries_has_no_grip_to_aim_at(tmp_path: Path) -> None:
    easy = easy_brief()
    carry = tuple(g for g in easy.grips if g.kind == "carry")
    brief = replace(easy, grips=carry, limits=replace(easy.limits, tilt=radians(60.0)))
    ask = Ask(evaluations=300, workers=1)
    result = run_study(study_in(tmp_path, brief), ask, lambda _: None, scheme=SCHEME)
    assert result.rounds >= 1
    assert all("grip" not in p.best for p in result.progress)


def test_a_mistyped_drive_is_answered_with_names_of_the_run(
    quiet: Path, result: StudyResult
) -> None:
    with pytest.raises(BadInput) as refused:
        find.drive_named(study_in(quiet, easy_brief()), "no such drive")
    assert result.keepers[0].name in refused.value.problems[0].mend


def test_how_far_each_kind_has_come(quiet: Path, result: StudyResult) -> None:
    """From the journal's own figures, and told of those kinds that have not settled."""
    recorded = journal.read(quiet)
    texts = [json.loads(line.text) for line in recorded.lines]
    measured = [t for t in texts if t["volumes"]]
    seeds = len(recorded.identity["seeds"])
    assert len({c.architecture for c in result.covered}) == len(result.covered) > 0
    for place, space in enumerate(recorded.identity["spaces"]):
        (kind,) = [c for c in result.covered if c.architecture == space[0]]
        last = measured[-1]["volumes"][place * seeds : place * seeds + seeds]
        if max(last) > 0.0:
            assert kind.apart == pytest.approx(1.0 - min(last) / max(last), abs=1e-12)
    assert result.settled == all(c.settled for c in result.covered)
    told = words.unsettled(result)
    for c in result.covered:
        named = words.words_of(c.architecture) in told
        assert named == (not c.settled and c.growth is not None and c.apart is not None)


def test_what_is_not_settled_is_told_in_per_cent(result: StudyResult) -> None:
    kinds = (
        Covered("linked_lever+bar", 0.0009, 0.019, settled=True),
        Covered("chain_differential+bar", 0.0123, 0.0312, settled=False),
        Covered("chain_winder+bar", None, None, settled=False),
    )
    assert words.unsettled(replace(result, covered=kinds)) == (
        "Still moving: differential with bar (1.2 % more in its last quarter, two searches 3.1 % apart)."
    )
    assert words.unsettled(replace(result, covered=kinds[:1])) == ""


def test_a_search_that_settled_and_came_upon_more_is_told_so(result: StudyResult) -> None:
    """From the journal, round after round; at the end in words."""
    blank = {
        "named": [],
        "keepers": [],
        "misses": {},
        "shown": {},
        "volumes": [],
        "best": [],
        "seed_best": [],
    }
    standing, told = st.begin(1, 1), []
    for looked_at, settled in ((100, False), (200, True), (300, True), (400, False)):
        counts = [[looked_at, 0, 0, 0, 0, 0, 0]]
        standing = st.folded(standing, {**blank, "counts": counts, "settled": settled})
        told.append((standing.settled, standing.settled_at))
    assert told == [(False, 0), (True, 200), (True, 300), (False, 300)]
    kept = result if result.keepers else None
    assert kept is not None
    for at, said in ((0, "had not settled"), (2_000_000, "had settled after 2.0 M, went on")):
        lines = words.done_lines(replace(kept, settled=False, settled_at=at))
        assert sum(said in line for line in lines) == 1
    assert not any(
        "settled" in x for x in words.done_lines(replace(kept, settled=True, settled_at=9))
    )
