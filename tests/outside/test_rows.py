"""Every value of the list is tested or says why not, and the page of values is up to date."""

import numpy as np
import pytest

from tests.outside.published import Row
from tests.sources import (
    PAGE,
    difference,
    kind_of,
    listed,
    listed_of,
    number_of,
    page,
    recalled,
    rows_by_file,
    told,
    words_for,
)

ROWS = [row for rows in rows_by_file().values() for row in rows]
TESTED = {number_of(row) for row in ROWS}


def test_every_listed_value_is_tested_or_says_why_not() -> None:
    silent = [at.id for at in listed().values() if not (at.id in TESTED or at.why_not or at.waits)]
    assert silent == []


def test_no_reason_stands_beside_a_test() -> None:
    assert [at.id for at in listed().values() if at.why_not and at.id in TESTED] == []


def test_a_number_is_of_the_list_and_no_file_has_one_twice() -> None:
    """A row that has no number there has a name of its own, which is no number with a point."""
    strays = [n for n in TESTED if n not in listed() and n.replace(".", "", 1).isdigit()]
    assert strays == []
    for rows in rows_by_file().values():
        assert len({row.id for row in rows}) == len(rows)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_a_row_checks_the_listed_value_or_says_what_it_checks(row: Row) -> None:
    """The listed value to 1 %, or to what the row allows; or a word behind the number, or `what`."""
    at = listed_of(row)
    if at is None or row.what or " " in row.id:
        assert words_for(row)
        return
    expected = np.atleast_1d(np.asarray(row.expected, float))
    # Two limits stand for the listed width between them.
    ours = float(np.ptp(expected)) if expected.size == 2 else float(expected[0])
    assert ours == pytest.approx(at.value, rel=max(0.01, row.rel))


def test_what_was_recalled_says_so() -> None:
    """A row whose listed value was recalled says so; a tooth generated in software was not."""
    silent = [
        row.id
        for row in ROWS
        if recalled(row) and not (row.memory or "memory" in row.source or "generated" in row.id)
    ]
    assert silent == []


def test_identities_are_counted_apart() -> None:
    text = page()
    count = sum(kind_of(row) == "identity" for row in ROWS)
    assert f"## Identities, which are no evidence ({count})" in text
    evidence = text[: text.index("## Identities")]
    assert "| 11.05 |" not in evidence
    assert "| 1.01 |" in evidence


def test_the_page_is_what_the_script_makes_now() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "run: python -m tests.sources"


def test_a_difference_is_told_as_it_is() -> None:
    row = Row("1.01", "any source at all", lambda: 99.0, 100.0, 0.02)
    assert difference(row, row.got()) == "1.00 %"
    assert told((-0.0, 12.3456789)) == "0 / 12.3457"
    assert words_for(row).endswith(", MPa")
