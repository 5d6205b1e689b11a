"""Damage to a journal is found, and the first bad round is named."""

import random
import shutil
import sqlite3
from pathlib import Path

import pytest

from explorer.brief.errors import BadInput, JournalDamaged
from explorer.study import journal
from explorer.study.ask import Ask
from explorer.study.read import read_result
from explorer.study.run import run_study
from tests.study.conftest import EVALUATIONS, digests
from tests.study.small import SCHEME, searched, study_in


def copied(quiet: Path, tmp_path: Path) -> Path:
    """A copy of the quiet run's folder."""
    folder = tmp_path / "copy"
    shutil.copytree(quiet, folder)
    return folder


def change(folder: Path, statement: str, *values: object) -> None:
    db = sqlite3.connect(folder / journal.JOURNAL)
    with db:
        db.execute(statement, values)
    db.close()


def flips(quiet: Path, tmp_path: Path, n: int, seed: int) -> tuple[int, int]:
    """(found, without harm) of n journals with one bit flipped, each somewhere else."""
    rng = random.Random(seed)
    folder = copied(quiet, tmp_path)
    path, sound = folder / journal.JOURNAL, digests(quiet)
    data = (quiet / journal.JOURNAL).read_bytes()
    found = harmless = 0
    for _ in range(n):
        for side in ("-wal", "-shm"):
            (folder / (journal.JOURNAL + side)).unlink(missing_ok=True)
        at = rng.randrange(len(data))
        path.write_bytes(data[:at] + bytes([data[at] ^ (1 << rng.randrange(8))]) + data[at + 1 :])
        try:
            left = digests(folder)
        except JournalDamaged:
            found += 1
        else:
            assert left == sound[: len(left)]
            harmless += 1
    return found, harmless


def test_a_flipped_bit_is_found_or_does_no_harm(quiet: Path, tmp_path: Path) -> None:
    found, harmless = flips(quiet, tmp_path, 60, seed=5)
    assert found + harmless == 60
    assert found > 30  # most of the file is what the checksums cover


@pytest.mark.long
def test_a_thousand_flipped_bits(quiet: Path, tmp_path: Path) -> None:
    found, harmless = flips(quiet, tmp_path, 1000, seed=6)
    assert found + harmless == 1000
    assert found > 500


def test_a_cut_journal_is_found_or_a_clean_beginning(quiet: Path, tmp_path: Path) -> None:
    folder = copied(quiet, tmp_path)
    path, sound = folder / journal.JOURNAL, digests(quiet)
    data = (quiet / journal.JOURNAL).read_bytes()
    refused = 0
    for share in (0.1, 0.5, 0.9, 0.99):
        for side in ("-wal", "-shm"):
            (folder / (journal.JOURNAL + side)).unlink(missing_ok=True)
        path.write_bytes(data[: int(share * len(data))])
        try:
            left = digests(folder)
        except JournalDamaged:
            refused += 1
        else:
            assert left == sound[: len(left)]
    assert refused >= 3


@pytest.mark.parametrize("column", ["text", "clock", "sha", "digest", "seal"])
def test_an_edited_round_is_named(quiet: Path, tmp_path: Path, column: str) -> None:
    folder = copied(quiet, tmp_path)
    change(folder, f"UPDATE rounds SET {column} = {column} || ' ' WHERE round = 4")  # noqa: S608
    with pytest.raises(JournalDamaged, match="first at round 4") as refused:
        read_result(folder)
    assert refused.value.exit_code == 5


def test_a_missing_round_is_named(quiet: Path, tmp_path: Path) -> None:
    folder = copied(quiet, tmp_path)
    change(folder, "DELETE FROM rounds WHERE round = 3")
    with pytest.raises(JournalDamaged, match="first at round 3"):
        read_result(folder)


def test_a_damaged_run_goes_on_from_the_last_good_round(tmp_path: Path, quiet: Path) -> None:
    searched(tmp_path, 1500)
    last = len(digests(tmp_path))
    change(tmp_path, "UPDATE rounds SET state = zeroblob(size) WHERE round = ?", last)
    with pytest.raises(JournalDamaged, match=f"--from {last - 1}"):
        searched(tmp_path, 1500)
    ask = Ask(evaluations=EVALUATIONS, workers=1)
    run_study(study_in(tmp_path), ask, lambda _: None, scheme=SCHEME, from_round=last - 1)
    assert digests(tmp_path) == digests(quiet)


def test_a_round_that_was_never_there_is_refused(tmp_path: Path) -> None:
    searched(tmp_path, 300)
    with pytest.raises(BadInput, match="--from"):
        searched(tmp_path, 300, from_round=1000)


def test_states_no_longer_needed_are_let_go(tmp_path: Path) -> None:
    searched(tmp_path, 8_000)
    lines = journal.read(tmp_path).lines
    wholes = [line.round for line in lines if line.whole]
    kept = [line.round for line in lines if line.state is not None]
    assert len(wholes) > journal.KEEP_WHOLE
    assert kept == list(range(wholes[-journal.KEEP_WHOLE], len(lines) + 1))


def test_a_later_layout_is_refused_by_name(quiet: Path, tmp_path: Path) -> None:
    folder = copied(quiet, tmp_path)
    text = journal.as_json(journal.read(folder).identity)
    change(folder, "UPDATE identity SET schema = 99, sha = ?", journal.sha("99", text))
    with pytest.raises(BadInput, match="layout 99"):
        read_result(folder)


def test_a_linked_journal_is_not_followed(quiet: Path, tmp_path: Path) -> None:
    (tmp_path / journal.JOURNAL).symlink_to(quiet / journal.JOURNAL)
    with pytest.raises(BadInput, match="link"):
        read_result(tmp_path)
    with pytest.raises(BadInput, match="link"):
        searched(tmp_path, 300)


def test_an_empty_file_is_no_journal_yet(tmp_path: Path) -> None:
    (tmp_path / journal.JOURNAL).touch()
    searched(tmp_path, 300)
    assert read_result(tmp_path).rounds > 0


def test_no_database_at_all(tmp_path: Path) -> None:
    (tmp_path / journal.JOURNAL).write_text("grip, pieces, room\n" * 100)
    with pytest.raises(JournalDamaged, match="begin anew"):
        searched(tmp_path, 300)


def test_never_run(tmp_path: Path) -> None:
    result = read_result(tmp_path)
    assert result.state == "never run"
    assert not list(tmp_path.iterdir())
