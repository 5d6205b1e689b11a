"""`evener run` and `evener status`: once as a shell starts them, else in this process."""

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from explorer.brief.start import write_study
from explorer.study.read import read_result
from tests.cli.conftest import Here, Run, surroundings


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "left hand"
    write_study(folder)
    return folder


def test_run_status_show(
    here: Here, run: Run, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    never = here("status", str(folder))
    assert never.returncode == 0
    assert "never run" in never.stdout
    done = run("run", str(folder), "--evaluations", "2000", "--workers", "1")
    result = read_result(folder)
    assert done.returncode == (0 if result.keepers else 3), done.stderr
    assert done.stderr.splitlines()[0].startswith(
        f"brief {result.brief_hash} · seed 1 · 1 worker ·"
    )
    assert " looked at " in done.stderr
    name = (result.keepers or result.misses)[0].name
    assert done.stdout.splitlines()[-1].count("evener show") == 1
    page = Path("reports", "left-hand.html")
    assert str(page) in done.stdout.splitlines()[-1]
    assert (folder.parent / page).is_file()
    monkeypatch.chdir(folder)
    status = here("status")
    assert status.returncode == 0
    assert f"round {result.rounds}" in status.stdout
    monkeypatch.chdir(folder.parent)
    shown = here("show", str(folder), name)
    assert shown.returncode == 0, shown.stderr
    assert name in shown.stdout
    again = here("run", str(folder))
    assert again.stdout == done.stdout
    assert read_result(folder).rounds == result.rounds


def test_ctrl_c_is_130_and_says_how_to_go_on(folder: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "explorer.cli", "run", str(folder), "--workers", "1"],
        cwd=folder.parent, env=surroundings(), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stderr is not None
    told = [process.stderr.readline() for _ in range(2)]
    process.send_signal(signal.SIGINT)
    said, more = process.communicate(timeout=30)
    assert process.returncode == 130
    assert "looked at" in told[1]
    assert "stopped at" in said
    assert "Go on: evener run" in said
    assert said.splitlines()[-1].startswith("Report so far: ")
    assert (folder.parent / "reports" / "left-hand.html").is_file()
    assert "Traceback" not in more
    assert read_result(folder).state == "interrupted"


@pytest.mark.parametrize(
    "words",
    [
        ("--workers", "0"),
        ("--seed", "1.5"),
        ("--for", "soon"),
        ("--evaluations", "-1"),
        ("--algorithm", "NSGA3"),
    ],
)
def test_nonsense_is_refused_and_nothing_written(
    here: Here, folder: Path, words: tuple[str, str]
) -> None:
    before = sorted(folder.iterdir())
    done = here("run", str(folder), *words)
    assert done.returncode == 2
    assert words[0] in done.stderr
    assert "Traceback" not in done.stderr
    assert sorted(folder.iterdir()) == before


def test_a_brief_edited_after_a_run(here: Here, folder: Path) -> None:
    here("run", str(folder), "--evaluations", "100", "--workers", "1")
    brief = folder / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    assert "travel_deg = " in text
    line = next(s for s in text.splitlines() if s.startswith("travel_deg = "))
    brief.write_text(text.replace(line, "travel_deg = 51.0", 1), encoding="utf-8")
    for command in ("run", "status"):
        done = here(command, str(folder))
        assert done.returncode == 2
        assert "brief.toml line" in done.stderr
        assert "wrist.travel_deg" in done.stderr
        assert done.stderr.count("evener run") == 2
