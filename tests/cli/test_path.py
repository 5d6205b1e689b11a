"""start, check, show as a stranger would use them, in a folder with spaces, ü and an emoji."""

import json
from pathlib import Path

import numpy as np
import pytest

from explorer.brief.read import read_study
from explorer.drives.values import random_vectors, values_of
from explorer.scoring.open import shelf_for, space_for
from tests.cli.conftest import Here, Run
from tests.show.book import build_text

FOLDER = "my hands ü/left 🌳 3"


def test_from_nothing_to_a_shown_drive(
    run: Run, here: Here, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    began = here("start", FOLDER)
    assert (began.returncode, began.stderr) == (0, "")
    assert began.stdout.splitlines()[-1] == f"Next: evener check '{FOLDER}'"
    assert "Measure these first: wrist peak torque" in began.stdout.replace("\n", " ")

    checked = here("check", FOLDER)
    assert (checked.returncode, checked.stderr) == (0, "")
    assert (tmp_path / FOLDER / "hand.svg").is_file()
    assert "hand.svg" in checked.stdout
    assert checked.stdout.splitlines()[-1] == f"Next: evener run '{FOLDER}' --for 2m"

    shelf = shelf_for(read_study(tmp_path / FOLDER))
    space = space_for(shelf, "chain_winder+bar")
    values = values_of(space, random_vectors(space, 1, np.random.default_rng(1))[0])
    book = "schema = 1\n" + build_text("first try", "chain_winder+bar", values)
    (tmp_path / FOLDER / "builds.toml").write_text(book, encoding="utf-8")

    again = here("check", FOLDER)
    assert again.returncode == 0
    assert again.stdout.splitlines()[-1] == (
        f"Next: evener run '{FOLDER}' --for 2m, or evener show '{FOLDER}' 'first try'"
    )

    shown = run("show", FOLDER, "first try")
    assert (shown.returncode, shown.stderr) == (0, "")
    assert shown.stdout.startswith("first try - chain winder")
    assert shown.stdout.splitlines()[-1].startswith(f"Next: evener show '{FOLDER}' 'first try'")

    monkeypatch.chdir(tmp_path / FOLDER)
    assert here("check").returncode == 0
    inside = here("show", "first try")
    assert inside.stdout.splitlines()[:-1] == shown.stdout.splitlines()[:-1]


def test_the_json_is_the_same_with_and_without_an_idle_change(
    here: Here, study_folder: Path
) -> None:
    name = "linked_lever with chain"
    plain = here("show", str(study_folder), name, "--json")
    table = json.loads(plain.stdout)
    key, value = next((k, v) for k, v in table["values"].items() if isinstance(v, float))
    idle = here("show", str(study_folder), name, "--json", "--set", f"{key}={value!r}")
    assert (plain.returncode, idle.returncode) == (0, 0)
    assert idle.stdout == plain.stdout
    moved = here("show", str(study_folder), name, "--json", "--set", f"{key}={value * 1.01!r}")
    assert moved.stdout != plain.stdout


def test_a_drive_file_for_another_brief_is_shown_with_a_warning(
    here: Here, study_folder: Path, tmp_path: Path
) -> None:
    build = read_study(study_folder).builds[0]
    text = build_text("mine", build.architecture, dict(build.values), 'brief_hash = "abcdef"\n')
    (tmp_path / "drive.toml").write_text(f"schema = 1\n{text}", encoding="utf-8")
    done = here("show", str(study_folder), "drive.toml")
    assert done.returncode == 0
    assert "warning" in done.stderr
    assert "abcdef" in done.stderr
    assert "\x1b" not in done.stdout


def test_a_terminal_without_unicode_gets_words_all_the_same(run: Run, study_folder: Path) -> None:
    done = run("check", cwd=study_folder, PYTHONUTF8="0", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert done.stderr == ""
    assert done.stdout.isascii()
