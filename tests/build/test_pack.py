"""A pack is written whole or not at all, refuses what does not fit, and its drive scores the same."""

import contextlib
import hashlib
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import tomlkit

from explorer.brief.errors import BadInput, CannotWrite, DoesNotFit
from explorer.brief.read import read_drive_file, read_study
from explorer.build import pack as packing
from explorer.build.folder import CONTENTS, sweep, write_folder
from explorer.build.next_study import NEAR, START, near_bounds
from explorer.build.pack import Packed, pack
from explorer.drives.shelf import Shelf
from explorer.scoring import stops
from explorer.scoring.open import Opened, open_drive, shelf_for
from explorer.scoring.score import detail, score
from explorer.show.find import find
from tests.build.conftest import Drive, other_hand

FILES = {"drive.toml": "a = 1\n", "next/brief.toml": "b = 2\n", "drawings/P01.svg": "<svg/>"}


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def tree(folder: Path) -> dict[str, str]:
    return {
        p.relative_to(folder).as_posix(): p.read_text(encoding="utf-8")
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


@pytest.fixture
def packed(done: Packed) -> Path:
    return done.folder


def test_a_pack_holds_what_it_lists(drive: Drive, done: Packed) -> None:
    found = tree(done.folder)
    assert set(found) == {*done.files, CONTENTS}
    drawings = [n for n in found if n.startswith("drawings/")]
    assert (
        len(drawings) == 2 * done.drawings == 2 * sum(1 for p in drive.parts if p.blank or p.round)
    )
    assert done.pieces == drive.detail.tally.pieces[0]
    for line in found[CONTENTS].splitlines():
        digest, _, name = line.partition("  ")
        assert hashlib.sha256((done.folder / name).read_bytes()).hexdigest() == digest
    assert names(done.folder.parent) == ["pack"]


def test_the_drive_scored_again_is_identical(drive: Drive, packed: Path) -> None:
    build = read_drive_file(packed / "drive.toml")
    assert build.brief_hash == drive.study.brief.hash6
    assert build.architecture == drive.build.architecture
    again = open_drive(shelf_for(drive.study), build)
    np.testing.assert_array_equal(again.X, drive.opened.X)
    a, b = score(again.space, again.X), score(drive.opened.space, drive.opened.X)
    for name, value in b.aims.items():
        np.testing.assert_array_equal(a.aims[name], value)
    for name, value in b.slacks.items():
        np.testing.assert_array_equal(a.slacks[name], value)


def test_the_next_study_reads_and_begins_with_the_drive(drive: Drive, packed: Path) -> None:
    following = read_study(packed / "next")
    assert following.brief.hash6 == drive.study.brief.hash6
    (build,) = following.builds
    opened = open_drive(shelf_for(following), build)
    np.testing.assert_array_equal(opened.X, drive.opened.X)
    start = tomlkit.parse((packed / "next" / START).read_text(encoding="utf-8")).unwrap()
    assert (start["schema"], start["drive"], start["frozen"]) == (1, build.name, [])
    by_key = {v.key: v for v in opened.space.variables}
    for key, (low, high) in start["bounds"].items():
        v = by_key[key]
        assert v.low <= low <= build.values[key] <= high <= v.high
        assert high - low <= 2.0 * max(NEAR * (v.high - v.low), 1.0) + 0.02
    kinds = {v.key for v in opened.space.variables if v.kind != "choice"}
    assert set(start["bounds"]) == kinds


def test_a_drive_outside_the_searched_range_stays_inside_its_bounds(drive: Drive) -> None:
    space, X = drive.opened.space, drive.opened.X.copy()
    j = next(j for j, v in enumerate(space.variables) if v.kind == "real")
    X[0, j] = space.variables[j].high * 1.5
    low, high = near_bounds(space, X)[space.variables[j].key]
    assert low <= X[0, j] <= high


def test_show_finds_the_packed_drive(drive: Drive, packed: Path) -> None:
    found = find([str(drive.study.folder), str(packed / "drive.toml")], [], Path())
    assert found.asked_hash is None
    np.testing.assert_array_equal(found.opened.X, drive.opened.X)


def test_an_opened_vector_is_packed_under_its_name(drive: Drive, tmp_path: Path) -> None:
    done = pack(drive.study, drive.opened, tmp_path / "pack", "XX-07")
    assert read_drive_file(done.folder / "drive.toml").name == "XX-07"


def narrow(drive: Drive, clearance: float) -> Opened:
    """The same drive where more room is asked between moving parts."""
    space, shelf = drive.opened.space, drive.opened.space.shelf
    cavity = replace(shelf.brief.cavity, clearance=clearance)
    asked = Shelf(replace(shelf.brief, cavity=cavity), shelf.stock, shelf.demand)
    return Opened(replace(space, shelf=asked), drive.opened.X)


def test_a_drive_that_breaks_a_limit_is_refused_and_nothing_written(
    drive: Drive, tmp_path: Path
) -> None:
    space = drive.opened.space
    tries = np.repeat(drive.opened.X, len(space.variables), axis=0)
    for j, v in enumerate(space.variables):
        tries[j, j] = v.low if tries[j, j] > v.low else v.high
    X = tries[np.argmax(score(space, tries).violation)][None].copy()
    with pytest.raises(DoesNotFit, match="does not fit") as told:
        pack(drive.study, Opened(space, X), tmp_path / "pack", "far")
    assert told.value.exit_code == 3
    assert not list(tmp_path.iterdir())


def test_a_clash_on_the_way_is_refused_with_what_and_where(
    drive: Drive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every limit holds at the ends; between them a pair comes nearer than asked."""
    d = detail(drive.opened.space, drive.opened.X)
    asked = d.space.shelf.brief.cavity.clearance
    real = stops.envelope.clearances
    count = len(d.space.shelf.demand.positions)

    def nearer(*given: object) -> object:
        out = []
        for pair, gap in real(*given):
            close = np.broadcast_to(gap, (1, max(gap.shape[1], count))).copy()
            if gap.shape[1] > count:
                close[0, count + 4] = asked - 0.2
            out.append((pair, close))
        return tuple(out)

    monkeypatch.setattr(stops.envelope, "clearances", nearer)
    with pytest.raises(DoesNotFit, match=r"comes within .* mm of .* at stop 4 of 10 on the way to"):
        pack(drive.study, drive.build, tmp_path / "pack")
    assert not list(tmp_path.iterdir())


def test_stops_find_the_clashes_that_more_room_would_be(drive: Drive) -> None:
    d = detail(drive.opened.space, drive.opened.X)
    assert not stops.clashes(d)
    paths = stops.closing_paths(d)
    assert len(paths) == len(d.space.shelf.demand.index("grip", "carry")) > 0
    least = min(float(gap.min()) for _, gap in stops.closing(d, paths).gaps)
    wide = narrow(drive, least + 1.0)
    dw = detail(wide.space, wide.X)  # forks grow with the clearance: its own gaps count
    gaps = stops.closing(dw, stops.closing_paths(dw)).gaps
    least = min(float(gap.min()) for _, gap in gaps)
    told = stops.clashes(dw)
    assert told
    assert told[0].gap == pytest.approx(least)
    assert all(c.gap < c.asked for c in told)


def test_the_last_stop_is_the_grip_and_sizes_do_not_change(drive: Drive) -> None:
    d = detail(drive.opened.space, drive.opened.X)
    found = stops.closing(d, stops.closing_paths(d))
    for n, path in enumerate(found.paths):
        end = found.first + (n + 1) * stops.STOPS - 1
        assert found.motion.X[0, end] == d.motion.X[0, path.position]
        assert found.motion.Y[0, end - stops.STOPS + 1] == d.motion.Y[0, 0]
    for p, q in zip(found.pieces, d.pieces, strict=True):
        assert (p.key, p.count[0, 0], p.mass[0, 0]) == (q.key, q.count[0, 0], q.mass[0, 0])


def test_an_exact_form_that_breaks_a_limit_is_refused(
    drive: Drive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = packing.compare

    def further(*given: object) -> object:
        w = real(*given)
        return replace(w, X=replace(w.X, exact=w.X.exact + 100.0))

    monkeypatch.setattr(packing, "compare", further)
    with pytest.raises(DoesNotFit, match="wrist's travel does not reach, by"):
        pack(drive.study, drive.build, tmp_path / "pack")
    monkeypatch.setattr(packing, "solved", lambda _: None)
    with pytest.raises(DoesNotFit, match="cannot be solved"):
        pack(drive.study, drive.build, tmp_path / "pack")
    assert not list(tmp_path.iterdir())


def test_packs_of_both_hands_differ_only_in_what_is_mirrored(
    drive: Drive, packed: Path, tmp_path: Path
) -> None:
    one = tree(packed)
    other = tree(pack(other_hand(drive.study), drive.build, tmp_path / "other").folder)
    assert set(one) == set(other)
    assert one["parts.csv"] == other["parts.csv"]
    assert one["drive.toml"] == other["drive.toml"]
    assert one["assembly.svg"] != other["assembly.svg"]


class Failing:
    """The n-th call of any of these fails as a full disk does; counts calls."""

    def __init__(self, at: int) -> None:
        self.at, self.calls = at, 0

    def wrap(self, call: Callable[..., object]) -> Callable[..., object]:
        def run(*given: object, **named: object) -> object:
            self.calls += 1
            if self.calls == self.at:
                raise OSError(28, "No space left on device")
            return call(*given, **named)

        return run


CALLS = ("open", "write", "fsync", "mkdir", "rename")


def write_failing(
    monkeypatch: pytest.MonkeyPatch, folder: Path, at: int, files: dict[str, str]
) -> Failing:
    failing = Failing(at)
    with monkeypatch.context() as m:
        for name in CALLS:
            m.setattr(os, name, failing.wrap(getattr(os, name)))
        with contextlib.suppress(CannotWrite):  # any other exception is a fault
            write_folder(folder, files)
    return failing


def test_a_full_disk_is_told_in_words_with_its_exit_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "fsync", Failing(1).wrap(os.fsync))
    with pytest.raises(CannotWrite, match="No space left") as told:
        write_folder(tmp_path / "pack", FILES)
    assert told.value.exit_code == 6


def test_a_failing_write_at_each_write_leaves_the_old_pack_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "pack"
    write_folder(folder, FILES)
    old = tree(folder)
    newer = {**FILES, "drive.toml": "a = 3\n", "parts.csv": "n\n"}
    count = write_failing(monkeypatch, tmp_path / "count", 0, newer).calls
    assert count > 3 * len(newer)
    seen_new = 0
    for at in range(1, count + 4):
        write_failing(monkeypatch, folder, at, newer)
        found = tree(folder)
        is_new = found["drive.toml"] == "a = 3\n"
        assert found == old or (is_new and set(found) == {*newer, CONTENTS})
        seen_new += is_new
        sweep(folder)
        assert names(tmp_path) == ["count", "pack"]
        write_folder(folder, FILES)
        assert tree(folder) == old
    assert 0 < seen_new < count


def test_a_failing_first_write_leaves_no_debris(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    count = write_failing(monkeypatch, tmp_path / "count", 0, FILES).calls
    for at in range(1, count + 1):
        folder = tmp_path / f"to{at}"
        write_failing(monkeypatch, folder, at, FILES)
        assert not folder.exists() or set(tree(folder)) == {*FILES, CONTENTS}
    assert not [n for n in names(tmp_path) if n.startswith(".")]


def test_a_killed_writers_leavings_are_swept_and_the_old_pack_put_back(tmp_path: Path) -> None:
    folder = tmp_path / "pack"
    write_folder(folder, FILES)
    old = tree(folder)
    folder.rename(tmp_path / ".pack.old.0123abcd")
    (tmp_path / ".pack.new.0123abcd").mkdir()
    (tmp_path / ".pack.new.notours").mkdir()
    sweep(folder)
    assert tree(folder) == old
    assert names(tmp_path) == [".pack.new.notours", "pack"]


def test_a_folder_with_other_things_in_it_is_not_replaced(tmp_path: Path) -> None:
    folder = tmp_path / "pack"
    write_folder(folder, FILES)
    (folder / "my notes.txt").write_text("held 200 N", encoding="utf-8")
    with pytest.raises(BadInput, match=r"my notes\.txt"):
        write_folder(folder, FILES)
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "a.txt").write_text("a", encoding="utf-8")
    with pytest.raises(BadInput, match="not the pack's own"):
        write_folder(tmp_path / "mine", FILES)
    (tmp_path / "file").write_text("a", encoding="utf-8")
    with pytest.raises(BadInput, match="no folder"):
        write_folder(tmp_path / "file", FILES)


def test_a_link_is_followed_once_and_told(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real", target_is_directory=True)
    assert write_folder(tmp_path / "link", FILES) == tmp_path / "real"
    assert (tmp_path / "link").is_symlink()
    assert set(tree(tmp_path / "real")) == {*FILES, CONTENTS}


@pytest.mark.parametrize("name", ["a\u202eb", "a\nb", "ü" * 130, "x" * 250])
def test_names_that_cannot_be_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(BadInput):
        write_folder(tmp_path / name, FILES)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["with space", "ü", "-dash", "🖐", "x" * 200])
def test_odd_names_work(tmp_path: Path, name: str) -> None:
    assert set(tree(write_folder(tmp_path / name, FILES))) == {*FILES, CONTENTS}
