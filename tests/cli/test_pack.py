"""evener pack: a drive that fits gets its folder, one that does not is refused with nothing written."""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

import pytest

from explorer.cli import main

ROOT = Path(__file__).parents[2]


def _study(folder: Path) -> Path:
    """The orchard study with a drive of every packed kind in its build book."""
    shutil.copytree(
        ROOT / "studies" / "orchard", folder, ignore=shutil.ignore_patterns("study.db*")
    )
    shutil.copy(ROOT / "tests" / "build" / "drives.toml", folder / "builds.toml")
    return folder


def test_a_drive_that_fits_gets_its_pack(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    study = _study(tmp_path / "left 3")
    assert main(["pack", str(study), "LB-01"]) == 0
    folder = study / "packs" / "lb-01"
    assert f"Pack: {folder}" in capsys.readouterr().out
    assert tomllib.loads((folder / "drive.toml").read_text(encoding="utf-8"))
    assert list(folder.rglob("*.dxf"))
    assert (folder / "parts.csv").is_file()


def test_a_drive_that_does_not_fit_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "pack"
    asked = [
        "pack",
        str(ROOT / "studies" / "orchard"),
        "old lever, kept four years",
        "--to",
        str(to),
    ]
    assert main(asked) == 3
    assert "cavity" in capsys.readouterr().err
    assert not to.exists()


def test_an_unknown_drive_is_refused_with_the_nearest_name(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["pack", str(ROOT / "studies" / "orchard"), "old lever, kept five years"]) == 2
    assert "kept four years" in capsys.readouterr().err
