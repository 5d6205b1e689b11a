"""The report's files: the page, and the keepers as CSV beside it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from explorer.brief.errors import CannotWrite
from explorer.brief.names import slug
from explorer.brief.read import Study
from explorer.report.csv_out import keepers_csv
from explorer.report.gather import gather
from explorer.report.page import page
from explorer.show.write import write_whole
from explorer.study.records import StudyResult


def target_for(study: Study, here: Path) -> Path:
    """`reports/NAME.html` in a folder; the folder of reports is made where it is missing."""
    folder = here / "reports"
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise CannotWrite(f"{folder}: cannot be made: {error.strerror}.") from error
    return folder / f"{slug(study.name)}.html"


def write_report(
    study: Study, result: StudyResult, target: Path, with_: Sequence[str] = ()
) -> Path:
    """Writes `target` (HTML) and the CSV of the same name beside it; each is written whole or not at all.

    `with_` names drives, beside the short row and the old builds, that are to be shown in motion.
    """
    found = gather(study, result, with_)
    beside = target.with_suffix(".csv")
    text = page(found, beside.name)
    write_whole(beside, keepers_csv(found))
    write_whole(target, text)
    return target
