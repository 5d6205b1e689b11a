"""A file is written whole or not at all."""

from pathlib import Path

import pytest

from explorer.brief.errors import CannotWrite
from explorer.show.write import write_whole


def test_the_new_text_takes_the_old_ones_place(tmp_path: Path) -> None:
    path = tmp_path / "ü.svg"
    write_whole(path, "old")
    write_whole(path, "new ü")
    assert path.read_bytes() == "new ü".encode()
    assert list(tmp_path.iterdir()) == [path]


def test_a_link_is_replaced_and_never_followed(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("keep", encoding="utf-8")
    link = tmp_path / "hand.svg"
    link.symlink_to(tmp_path / "mine")
    write_whole(link, "new")
    assert (tmp_path / "mine").read_text(encoding="utf-8") == "keep"
    assert not link.is_symlink()


def test_a_failed_write_leaves_the_old_file_and_no_debris(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "hand.svg"
    write_whole(path, "old")

    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(CannotWrite, match="No space left"):
        write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="cannot be written"):
        write_whole(tmp_path / "gone" / "hand.svg", "x")
