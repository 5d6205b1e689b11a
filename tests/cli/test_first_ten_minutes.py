"""The README's first ten minutes, typed as they stand there, in an empty folder.

One substitution: where the README says `--for 2m`, a count of drives, a seed and one worker stand, so that the
end is the same each time and comes in seconds.  `DRIVE` is the name in the run's last line, as the README says.
"""

from __future__ import annotations

import re
import shlex
import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

from explorer.cli import main
from tests.house.tree import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
TWO_MINUTES = "--for 2m"
INSTEAD = "--evaluations {} --seed 1 --workers 1"
DEMO, STUDY = 2_000, 60_000  # drives to look at
NO_PACK = "so there is no build pack; nothing was written."


def section(head: str) -> str:
    found = re.search(rf"^## {re.escape(head)}\n(.*?)(?=^## )", README, re.MULTILINE | re.DOTALL)
    assert found, f"the README has no section {head!r}"
    return found[1]


def blocks(text: str) -> list[str]:
    """Lines of the code blocks, indented or not."""
    inside = re.findall(r"^ *```\n(.*?)^ *```", text, re.MULTILINE | re.DOTALL)
    return [line.strip() for block in inside for line in block.splitlines()]


def words(command: str, count: int, **names: str) -> list[str]:
    """The arguments of an `evener` command after the substitution."""
    command = command.replace(TWO_MINUTES, INSTEAD.format(count))
    typed = shlex.split(command)
    assert Path(typed[0]).name == "evener", command
    return [names.get(word, word) for word in typed[1:]]


@dataclass
class Typed:
    """Types a command and reads what it said."""

    capsys: pytest.CaptureFixture[str]

    def __call__(self, arguments: list[str]) -> tuple[int, list[str], str]:
        code = main(arguments)
        told = self.capsys.readouterr()
        assert "Traceback" not in told.err
        return code, told.out.splitlines(), told.err


def commands_in(line: str) -> list[list[str]]:
    """The commands that a line names: `... evener show a b, or evener pack a b`."""
    return [shlex.split(part.split(", or")[0].strip()) for part in line.split("evener ")[1:]]


def test_the_demo_and_its_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The last part of the set-up command, without what it installs."""
    monkeypatch.chdir(tmp_path)
    text = section("Set up, and see a first report")
    (whole,) = blocks(text)
    *before, run = whole.split(" && ")
    assert [step.split()[0] for step in before] == ["python3", ".venv/bin/pip"]
    assert TWO_MINUTES in run
    arguments = words(run, DEMO)
    shutil.copytree(
        ROOT / arguments[1], arguments[1], ignore=shutil.ignore_patterns("study.*", "packs")
    )
    code, said, _ = Typed(capsys)(arguments)
    (page,) = re.findall(r"`(reports/[^`]+)`", text)
    assert page in said[-1]
    assert Path(page).is_file()
    assert code == (3 if said[-1].startswith("Nearest miss:") else 0)
    for command in commands_in(said[-1]):
        assert Typed(capsys)(command)[0] == 0


def test_the_first_ten_minutes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    evener = Typed(capsys)
    text = section("The first ten minutes")
    start, check, run, show, pack = (line for line in blocks(text) if line.startswith("evener"))
    named = {p for p in re.findall(r"`([^`\s]+/[^`\s]+)`", text) if p.startswith("studies/")}
    reports = re.findall(r"`(reports/[^`]+)`", text)

    code, said, _ = evener(words(start, STUDY))
    assert code == 0
    assert commands_in(said[-1]) == [words(check, STUDY)]  # each command names the next

    new, old = re.findall(r"`(travel_deg = [0-9.]+)`", text)
    (brief,) = (tmp_path / p for p in named if p.endswith("brief.toml"))
    before = brief.read_text(encoding="utf-8")
    assert before.count(old) == 1
    brief.write_text(before.replace(old, new), encoding="utf-8")

    code, said, _ = evener(words(check, STUDY))
    assert code == 0
    assert commands_in(said[-1]) == [shlex.split(run)[1:]]

    files = (tmp_path / p for p in named if not p.endswith("packs"))
    assert all(p.is_file() for p in files)

    code, said, _ = evener(words(run, STUDY))
    assert TWO_MINUTES in run
    then = {verb: (verb, *rest) for verb, *rest in commands_in(said[-1])}
    drive = then["show"][-1]
    assert code == (3 if said[-1].startswith("Nearest miss:") else 0)
    assert then["show"] == tuple(words(show, STUDY, DRIVE=drive))
    assert len(reports) == 2
    assert all(Path(r).is_file() for r in reports)
    assert drive in Path(reports[0]).read_text(encoding="utf-8")

    code, said, _ = evener(words(show, STUDY, DRIVE=drive))
    assert code == 0
    assert said[0].startswith(f"{drive} - ")

    code, said, refused = evener(words(pack, STUDY, DRIVE=drive))
    (packs,) = (tmp_path / p for p in named if p.endswith("packs"))
    if "pack" in then:
        assert then["pack"] == tuple(words(pack, STUDY, DRIVE=drive))
        assert code == 0, refused
        folder = packs / drive.lower()
        there = {p.name for p in folder.iterdir()}
        assert {"build-sheet.html", "parts.csv", "drive.toml", "next"} <= there
        assert {p.suffix for p in (folder / "drawings").iterdir()} == {".dxf", ".svg"}
        for command in commands_in("\n".join(said)):
            assert evener(["check", command[1]])[0] == 0  # what comes next is a study
    else:
        assert code == 3
        assert NO_PACK in refused
        assert not packs.exists()


def test_every_option_and_command_of_the_readme_is_there(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Whatever the README writes as `evener ...` is a command, with options that it knows."""
    code, listed, _ = Typed(capsys)(["--help"])
    assert code == 0
    spans = re.findall(r"`(evener [^`\n]+)`", README)
    typed = [line.split(" && ")[-1] for line in blocks(README) if "evener " in line]
    written = [c.partition("evener ")[2] for c in (*spans, *typed)]
    written.remove("COMMAND --help")
    assert len(written) > 8
    for command in written:
        verb, *rest = shlex.split(command)
        assert any(line.startswith(f"  {verb} ") for line in listed), command
        code, helped, _ = Typed(capsys)([verb, "--help"])
        for word in rest:
            if word.startswith("--"):
                assert any(word in line for line in helped), command
