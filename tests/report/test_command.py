"""evener report, as typed."""

from pathlib import Path

import pytest

from explorer.brief.start import write_study
from explorer.cli import main
from tests.report.reading import seen


def test_a_study_that_never_ran_has_a_page_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    write_study(tmp_path / "left 3")
    assert main(["report", "left 3"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert said[-2] == f"Report: {Path('reports') / 'left-3.html'}"
    assert said[-1].startswith("Next: ")
    page = seen((tmp_path / "reports" / "left-3.html").read_text(encoding="utf-8"))
    assert "not searched yet" in page.prose
    assert (tmp_path / "reports" / "left-3.csv").exists()


def test_a_drive_that_is_not_there_is_refused_and_nothing_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    write_study(tmp_path / "left-3")
    assert main(["report", "left-3", "--with", "WC-99"]) == 2
    assert "WC-99" in capsys.readouterr().err
    assert not list(tmp_path.glob("reports/*.html"))
