"""A parts list that a spreadsheet opens without obeying it."""

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from explorer.build.table import HEADER, NUMBERS, csv_text, parts_csv, read_csv
from tests.build.conftest import Drive

WORDS = st.text(
    st.characters(exclude_categories=["Cs", "Cc"], include_characters="\t"), max_size=30
)


@given(st.sampled_from(["=", "+", "-", "@", "\t", "\r", "  =", "'"]), WORDS)
def test_no_text_cell_begins_as_a_formula(start: str, rest: str) -> None:
    text = csv_text(("name", "size"), [(start + rest, -3.2)])
    cell, number = next(iter(list(csv.reader(io.StringIO(text, newline="")))[1:]))
    assert cell.startswith("'")
    assert number == "-3.2"
    assert read_csv(text) == [{"name": start + rest, "size": "-3.2"}]


@given(st.lists(WORDS, min_size=2, max_size=2), st.floats(allow_nan=False, allow_infinity=False))
def test_what_is_written_is_read(words: list[str], number: float) -> None:
    rows = read_csv(csv_text(("a", "b", "c"), [(*words, number)]))
    assert [rows[0]["a"], rows[0]["b"]] == words
    assert float(rows[0]["c"]) == number


def test_the_list_counts_every_piece_once(drive: Drive) -> None:
    rows = read_csv(parts_csv(drive.parts))
    assert tuple(rows[0]) == HEADER
    assert sum(int(r["count"]) for r in rows) == drive.detail.tally.pieces[0]
    assert len(rows) == drive.detail.tally.numbers[0]
    mass = sum(int(r["count"]) * float(r["mass_each_g"]) for r in rows)
    assert abs(mass - drive.detail.tally.mass[0]) < 1e-9 * mass
    assert set(HEADER) > NUMBERS
    keys = [k for p in drive.parts for k in p.keys]
    assert len(keys) == len(set(keys))
