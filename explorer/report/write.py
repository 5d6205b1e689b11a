"""The report's files: the page, and the keepers as CSV beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from explorer.brief.errors import CannotWrite
from explorer.brief.names import slug
from explorer.brief.read import Study
from explorer.report.csv_out import keepers_csv
from explorer.report.gather import Gathered, gather
from explorer.report.page import page
from explorer.scoring.stops import clashes
from explorer.show.write import write_whole
from explorer.study.records import StudyResult


@dataclass(frozen=True)
class Written:
    """The files, and the drive that the page says to begin with; `packs`: a build pack can be made of it."""

    page: Path
    table: Path
    start: str | None
    packs: bool


def target_for(study: Study, here: Path) -> Path:
    """`reports/NAME.html` in a folder; the folder of reports is made where it is missing."""
    folder = here / "reports"
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise CannotWrite(f"{folder}: cannot be made: {error.strerror}.") from error
    return folder / f"{slug(study.name)}.html"


def report_on(study: Study, result: StudyResult, here: Path, with_: Sequence[str] = ()) -> Written:
    """Writes the report of a study into the folder of reports; what stands in it, for the words after."""
    found = gather(study, result, with_)
    target = target_for(study, here)
    table = _write(found, target)
    return Written(target, table, found.start, packs(found))


def write_report(
    study: Study, result: StudyResult, target: Path, with_: Sequence[str] = ()
) -> Path:
    """Writes `target` (HTML) and the CSV of the same name beside it; each is written whole or not at all.

    `with_` names drives, beside the short row and the old builds, that are to be shown in motion.
    """
    _write(gather(study, result, with_), target)
    return target


def packs(found: Gathered) -> bool:
    """Whether the drive to begin with is free of clashes on the way too; then nothing refuses its pack."""
    return found.start is not None and not clashes(found.whole[found.start].detail)


def _write(found: Gathered, target: Path) -> Path:
    beside = target.with_suffix(".csv")
    text = page(found, beside.name)
    write_whole(beside, keepers_csv(found))
    write_whole(target, text)
    return beside
