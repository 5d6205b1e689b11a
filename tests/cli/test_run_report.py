"""The report at the end of a run: which drive it lets pack, and what is said where it cannot be written."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from explorer.brief.read import Study, read_study
from explorer.brief.start import write_study
from explorer.build.pack import refuse_unfit
from explorer.report import write
from explorer.report.gather import Gathered, gather
from explorer.scoring import stops
from explorer.scoring.open import open_drive, shelf_for
from explorer.study.read import read_result
from tests.cli.conftest import Here
from tests.house.tree import ROOT
from tests.report.made import kept_of, result_of

SHORT = ("--evaluations", "100", "--workers", "1")


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    """The demo with drives that can be packed in its build book."""
    folder = tmp_path_factory.mktemp("packs") / "orchard"
    shutil.copytree(
        ROOT / "studies" / "orchard", folder, ignore=shutil.ignore_patterns("study.*", "packs")
    )
    shutil.copy(ROOT / "tests" / "build" / "drives.toml", folder / "builds.toml")
    return read_study(folder)


@pytest.fixture(scope="module")
def gathered(study: Study) -> Gathered:
    """A page of these drives alone, as if a run had kept them."""
    shelf, kept = shelf_for(study), []
    for n, build in enumerate(study.builds, start=1):
        kept += kept_of(shelf, build.architecture, open_drive(shelf, build).X, n)
    keepers = [replace(k, keeper=True) for k in kept if k.fits]
    assert keepers
    return gather(study, result_of(keepers, (), study.brief.hash6))


def test_the_drive_to_begin_with_packs(gathered: Gathered) -> None:
    assert gathered.start is not None
    assert write.packs(gathered)
    refuse_unfit(gathered.whole[gathered.start].detail, gathered.start)
    assert not write.packs(replace(gathered, start=None))


def test_no_pack_is_offered_where_parts_clash_on_the_way(
    gathered: Gathered, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every limit holds at the ends; at the stops between them all pairs come too near."""
    real = stops.envelope.clearances
    assert gathered.start is not None
    count = len(gathered.whole[gathered.start].detail.space.shelf.demand.positions)

    def nearer(*given: object) -> object:
        out = []
        for pair, gap in real(*given):
            close = np.broadcast_to(gap, (1, max(gap.shape[1], count))).copy()
            close[0, count:] = -1.0
            out.append((pair, close))
        return tuple(out)

    monkeypatch.setattr(stops.envelope, "clearances", nearer)
    assert not write.packs(gathered)


def test_a_report_that_cannot_be_written_is_told_and_the_run_is_kept(
    here: Here, tmp_path: Path
) -> None:
    write_study(tmp_path / "left")
    (tmp_path / "reports").write_text("in the way", encoding="utf-8")
    done = here("run", "left", *SHORT)
    last = done.stderr.splitlines()[-1]
    assert done.returncode == 6
    assert last.startswith("The run is saved; its report is not written: reports: cannot be made")
    assert last.endswith("Again: evener report left")
    assert "looked at" in done.stdout
    assert "reports" not in done.stdout
    assert read_result(tmp_path / "left").state == "done"
    (tmp_path / "reports").unlink()
    assert here("report", "left").returncode == 0


def test_a_fault_in_the_report_is_ours_and_the_run_is_kept(
    here: Here, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_study(tmp_path / "left")

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(write, "page", broken)
    done = here("run", "left", *SHORT)
    told = done.stderr.splitlines()
    assert done.returncode == 1
    assert told[-2].startswith("The run is saved; its report is not written")
    assert told[-1].startswith("A fault of ours (ZeroDivisionError)")
    assert read_result(tmp_path / "left").state == "done"


def test_a_study_never_run_has_a_page_that_says_to_run_it(here: Here, tmp_path: Path) -> None:
    write_study(tmp_path / "left")
    done = here("report", "left")
    assert done.returncode == 0
    assert done.stdout.splitlines()[-1].endswith("evener run left")
