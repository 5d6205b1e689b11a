"""Files that are no brief at all: refused before they can cost time, in words, with exit code 2."""

from __future__ import annotations

import os
import subprocess
import sys
import unicodedata
from typing import TYPE_CHECKING

import pytest

from explorer.brief.errors import BadInput, CannotWrite
from explorer.brief.names import slug
from explorer.brief.parse import character_fault
from explorer.brief.read import read_drive_file, read_study
from explorer.brief.start import write_study

if TYPE_CHECKING:
    from pathlib import Path

    from tests.brief.conftest import Bench

WHOLE = {
    "10,000 nested lists": ("a = " + "[" * 10_000 + "]" * 10_000, "characters"),
    "nested lists over lines": ("a = " + "[\n" * 10_000, "nested deeper than 8"),
    "nested tables": ("a = " + "{b = " * 40 + "1" + "}" * 40, "nested deeper than 8"),
    "a key of 20,000 parts": (".".join("a" * 20_000) + " = 1", "characters"),
    "a key of 2,000 parts": (".".join("a" * 2_000) + " = 1", "more than 8 parts"),
    "a table of 2,000 parts": ("[" + ".".join("a" * 2_000) + "]", "more than 8 parts"),
    "100,000 keys": ("\n".join(f"a{n}=1" for n in range(100_000)), "more than 5000 keys"),
    "100,000 numbers": ("a = [\n" + "1,\n" * 100_000 + "]", "more than 5000 keys"),
    "300,000 keys": ("\n".join(f"a{n}=1" for n in range(300_000)), "too large"),
    "a 10 MB string": ('a = "' + "x" * 10_000_000 + '"', "too large"),
    "100 k digits": ("a = 0x" + "f" * 100_000, "characters"),
    "4,400 decimal digits": ("a = " + "9" * 4_400, ""),
    "a long string": ('schema = "' + "x" * 300 + '"', "300 characters"),
    "a decimal comma": ("arm_mm = 12,5", "Use a point: 12.5"),
    "the same key twice": ("[wrist]\narm_mm = 1\narm_mm = 2", "twice"),
    "the same table twice": ("[wrist]\n[cavity]\n[wrist]", "twice"),
    "not closed": ('name = "x', ""),
    "not TOML": ("hello there", ""),
    "no NUL": ("name = 'a\x00b'", "NUL"),
}


@pytest.mark.parametrize("name", WHOLE)
@pytest.mark.parametrize("file", ["brief.toml", "stock.toml", "builds.toml"])
def test_a_file_that_is_none(bench: Bench, name: str, file: str) -> None:
    text, says = WHOLE[name]
    bench.write(text, file)
    words = str(bench.refused())
    assert file in words
    assert says in words
    assert len(words) < 8_000
    assert all(len(line) < 1_000 for line in words.splitlines())


@pytest.mark.parametrize(
    ("text", "line"),
    [("a = 1\n\nb = 12,5\n", 3), ("[w]\na = 1\nb = 2\na = 3\n", 4), ("a = 1\nb = \n", 2)],
)
def test_what_the_parser_refuses_has_its_line(bench: Bench, text: str, line: int) -> None:
    bench.write(text)
    assert f"brief.toml line {line} " in str(bench.refused())


def test_an_empty_brief_names_its_first_missing_section(bench: Bench) -> None:
    bench.write("")
    first = bench.refused().problems[0]
    assert first.path == "schema"
    assert "wrist" in [p.path for p in bench.refused().problems]


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_other_encodings(bench: Bench, encoding: str) -> None:
    bench.write('# größer\nname = "x"'.encode(encoding))
    words = str(bench.refused())
    assert "save as UTF-8" in words
    assert "first wrong byte" in words


def test_a_byte_order_mark_is_fine(bench: Bench) -> None:
    bench.write(b"\xef\xbb\xbf" + bench.text().encode())
    assert bench.read().brief.schema == 1


NAMES = {
    "NUL": ("\\u0000", False),
    "bell": ("\\u0007", False),
    "terminal escape": ("\\u001b]0;x", False),
    "right to left": ("\\u202E", False),
    "isolate": ("\\u2066", False),
    "no character": ("\\uFFFE", False),
    "unprintable": ("\\u0001", False),
    "line separator": ("\\u2028", True),
    "markup": ("</script><img src=x onerror=y>", True),
    "formula": ("=HYPERLINK(1)", True),
    "umlaut": ("Säge", True),
    "joiner": ("\\u200D", True),
}


@pytest.mark.parametrize("name", NAMES)
def test_characters_of_a_name(bench: Bench, name: str) -> None:
    text, fine = NAMES[name]
    line = bench.swap('name = "bottle"', f'name = "bottle {text}"')
    if fine:
        assert bench.read().brief.grips[1].name.startswith("bottle ")
        return
    refused = bench.refused()
    assert refused.problems[0].line == line
    assert refused.problems[0].path.endswith(".name")
    assert str(refused).replace("\n", "").isprintable()


def _refused(character: str) -> bool:
    """The plain twin: by the standard's category, its property Bidi_Control, and its list of no characters."""
    turns = unicodedata.bidirectional(character) in {
        "LRE",
        "RLE",
        "PDF",
        "LRO",
        "RLO",
        "LRI",
        "RLI",
        "FSI",
        "PDI",
    }
    turns |= character in "\u061c\u200e\u200f"
    none = ord(character) & 0xFFFE == 0xFFFE
    return turns or none or unicodedata.category(character) in {"Cc", "Cs"}


def test_every_character_of_the_first_plane_and_the_ends_of_the_others() -> None:
    ends = [
        (plane << 16) + n for plane in range(1, 17) for n in (*range(16), *range(0xFFF0, 0x10000))
    ]
    every = [chr(n) for n in (*range(0x10000), *ends)]
    refused = [c for c in every if character_fault(c)]
    assert refused == [c for c in every if _refused(c)]
    assert [c for c in refused if not character_fault(c, note=True)] == ["\t", "\n"]


@pytest.mark.parametrize("text", ["", "   "])
def test_a_name_is_not_empty(bench: Bench, text: str) -> None:
    bench.swap('name = "bottle"', f'name = "{text}"')
    assert "name" in str(bench.refused())


def test_a_key_that_cannot_be_shown(bench: Bench) -> None:
    bench.write('"a\\u001b[31m" = 1')
    assert str(bench.refused()).replace("\n", "").isprintable()


@pytest.mark.parametrize("file", ["brief.toml", "stock.toml", "builds.toml"])
def test_links_are_not_followed(bench: Bench, tmp_path: Path, file: str) -> None:
    path = bench.folder / file
    aside = tmp_path / "elsewhere.toml"
    path.rename(aside)
    path.symlink_to(aside)
    words = str(bench.refused())
    assert file in words
    assert "link" in words


def test_a_link_to_the_folder_is_fine(bench: Bench, tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(bench.folder, target_is_directory=True)
    assert read_study(link).brief == bench.read().brief


def test_a_folder_in_place_of_a_file(bench: Bench) -> None:
    (bench.folder / "brief.toml").unlink()
    (bench.folder / "brief.toml").mkdir()
    assert "not a plain file" in str(bench.refused())


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes on this system")
def test_a_pipe_in_place_of_a_file(bench: Bench) -> None:
    (bench.folder / "brief.toml").unlink()
    os.mkfifo(bench.folder / "brief.toml")
    assert "not a plain file" in str(bench.refused())


def test_a_file_that_is_not_there(bench: Bench) -> None:
    (bench.folder / "brief.toml").unlink()
    words = str(bench.refused())
    assert "brief.toml  is not there" in words
    assert "evener start" in words


@pytest.mark.parametrize("name", ["nowhere", "x" * 300, "a\x00b"])
def test_a_study_that_is_not_there(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInput, match="no such study folder"):
        read_study(tmp_path / name)


@pytest.mark.parametrize(
    "name", ["with space", "größe", "hand \U0001f91a", "n" * 200, "-dash", "..x"]
)
def test_odd_folder_names_work(tmp_path: Path, name: str) -> None:
    write_study(tmp_path / name)
    assert read_study(tmp_path / name).name == name


@pytest.mark.parametrize("name", ["bad\x1b[31m", "x\u202ey", "ü" * 128, "a\nb"])
def test_folder_names_that_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInput, match="folder name"):
        write_study(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_start_overwrites_nothing(bench: Bench) -> None:
    bench.swap("made-up hand", "my hand")
    with pytest.raises(BadInput, match="already"):
        write_study(bench.folder)
    assert bench.read().brief.name == "my hand"


def test_start_beside_one_file_writes_none(tmp_path: Path) -> None:
    (tmp_path / "stock.toml").write_text("")
    with pytest.raises(BadInput, match=r"stock\.toml"):
        write_study(tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["stock.toml"]


def test_start_where_the_disk_refuses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[int] = []

    def full(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CannotWrite, match="No space"):
        write_study(tmp_path / "new")
    assert list((tmp_path / "new").iterdir()) == []


def test_a_drive_file_that_is_none(tmp_path: Path) -> None:
    (tmp_path / "drive.toml").write_text("schema = 1\n")
    with pytest.raises(BadInput, match="one \\[\\[build\\]\\]"):
        read_drive_file(tmp_path / "drive.toml")


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("../../x", "x"),
        ("/etc/x", "etc-x"),
        ("C:\\x", "c-x"),
        (".", "unnamed"),
        ("", "unnamed"),
        ("nul", "nul-"),
        ("ü" * 128, "u" * 64),
        ("手", "unnamed"),
    ],
)
def test_slugs(name: str, expected: str) -> None:
    assert slug(name) == expected


def test_worst_files_within_two_seconds_in_a_process_of_their_own(bench: Bench) -> None:
    """The timeout is only there so that a hang fails: each takes a fraction of it."""
    for name in ("100,000 keys", "100,000 numbers", "nested lists over lines"):
        bench.write(WHOLE[name][0])
        code = f"from pathlib import Path; from explorer.brief.read import read_study; read_study(Path({str(bench.folder)!r}))"
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False
        )
        assert "BadInput" in done.stderr
