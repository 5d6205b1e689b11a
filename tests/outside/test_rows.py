"""Every value of the list is tested or says why not, and the page of values is up to date."""

import numpy as np
import pytest

from tests.outside.published import Row
from tests.sources import PAGE, difference, listed, number_of, page, rows_by_file, told, words_for

ROWS = [row for rows in rows_by_file().values() for row in rows]
# Not those whose whole topic is still to come: they are sorted when it is there.
SORTED = [row for row in ROWS if not listed()[number_of(row)].pending]
TESTED = {number_of(row) for row in ROWS}


def test_every_listed_value_is_tested_or_says_why_not() -> None:
    silent = [
        at.id for at in listed().values() if not (at.id in TESTED or at.why_not or at.pending)
    ]
    assert silent == []


def test_no_reason_stands_beside_a_test() -> None:
    assert [at.id for at in listed().values() if at.why_not and at.id in TESTED] == []


def test_every_row_has_a_number_of_the_list_and_no_two_rows_are_one() -> None:
    assert sorted(TESTED - set(listed())) == []
    assert len({row.id for row in ROWS}) == len(ROWS)


@pytest.mark.parametrize("row", SORTED, ids=lambda row: row.id)
def test_a_row_checks_the_listed_value_or_says_what_it_checks(row: Row) -> None:
    """A tolerance of 1 % at most between the listed value and the row's, for what is printed twice."""
    at, apart = listed()[number_of(row)], " " in row.id
    same = np.size(row.expected) == 1 and np.asarray(row.expected) == pytest.approx(
        at.value, rel=0.01
    )
    pair = np.size(row.expected) == 2 and at.value == pytest.approx(
        float(np.ptp(np.asarray(row.expected)))
    )
    assert same or pair or row.what or apart


def test_what_was_recalled_says_so() -> None:
    """A row whose listed value was recalled says so; a tooth generated in software was not."""
    silent = [
        row.id
        for row in SORTED
        if listed()[number_of(row)].memory
        and not (row.memory or "memory" in row.source or "generated" in row.id)
    ]
    assert silent == []


def test_identities_are_counted_apart() -> None:
    text = page()
    count = sum(listed()[number_of(row)].kind == "identity" for row in ROWS)
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
