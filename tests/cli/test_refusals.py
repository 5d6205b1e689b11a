"""Wrong uses: the right code, words on stderr, nothing on stdout, no traceback, nothing written."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from explorer import cli
from explorer.brief.errors import CannotWrite, DoesNotFit
from tests.cli.conftest import Here, Run
from tests.house.tree import ROOT

NAME = "linked_lever with bar"

WRONG: list[tuple[list[str], str]] = [
    (["shwo"], "Did you mean 'show'"),
    (["statsu"], "'status'"),
    (["pakc"], "'pack'"),
    (["run", "gone"], "no such study folder"),
    (["report", "gone"], "no such study folder"),
    (["pack"], "Missing argument 'STUDY'"),
    (["pack", "gone"], "Missing argument 'DRIVE'"),
    (["pack", "gone", "WC-09"], "no such study folder"),
    (["run", "gone", "--fast"], "--fast"),
    (["report", "gone", "--since", "x"], "--since"),
    (["show"], "show --help"),
    (["start"], "Missing argument"),
    (["--bad"], "--bad"),
    (["check", "gone"], "evener start"),
    (["check"], "evener start"),
    (["show", "anything"], "evener start"),
    (["show", "gone", "x"], "no such study folder"),
    (["show", "a", "b", "c"], "takes a drive"),
    (["show", "gone.toml"], "is not there"),
    (["start", ""], "empty"),
    (["start", "a\x1b]0;b"], "control character"),
    (["start", "a\u202eb"], "writing direction"),
    (["start", "ü" * 128], "255 bytes"),
    (["check", "ü" * 2000], "no such study folder"),
    (["show", "gone", "x\x07"], "control character"),
]


@pytest.mark.parametrize(("words", "told"), WRONG, ids=[ascii(" ".join(w))[:40] for w, _ in WRONG])
def test_a_wrong_use_is_code_2_in_words(
    here: Here, tmp_path: Path, words: list[str], told: str
) -> None:
    done = here(*words)
    assert done.returncode == 2
    assert done.stdout == ""
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "Traceback" not in done.stderr
    assert "\x1b" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["linked lever with bar"], NAME),
        (["../../etc/passwd"], "no drive"),
        ([NAME, "--set", "plat=1"], "did you mean"),
        ([NAME, "--set", "plate=cheese"], "--set"),
        ([NAME, "--set", "plate"], "no key=value"),
        ([NAME, "--set", "plate=[1]"], "no number"),
        ([NAME, "--set"], "--set"),
    ],
)
def test_a_wrong_drive_or_change_is_code_2(
    here: Here, study_folder: Path, more: list[str], told: str
) -> None:
    done = here("show", str(study_folder), *more)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    assert "Traceback" not in done.stderr


def test_a_shell_sees_the_same(run: Run, tmp_path: Path) -> None:
    done = run("show", "gone", "x")
    assert (done.returncode, done.stdout) == (2, "")
    assert "no such study folder" in done.stderr
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_study_alone_is_asked_for_a_drive(here: Here, study_folder: Path) -> None:
    done = here("show", str(study_folder))
    assert done.returncode == 2
    assert NAME in done.stderr


def test_starting_twice_overwrites_nothing(here: Here, tmp_path: Path) -> None:
    assert here("start", "left").returncode == 0
    before = {p.name: p.read_bytes() for p in (tmp_path / "left").iterdir()}
    assert here("start", "left").returncode == 2
    assert {p.name: p.read_bytes() for p in (tmp_path / "left").iterdir()} == before


def test_a_folder_with_a_leading_dash_works(here: Here) -> None:
    assert here("start", "--", "-left").stdout.endswith("Next: evener check ./-left\n")
    assert here("check", "./-left").returncode == 0


def test_a_bad_brief_draws_nothing(here: Here, tmp_path: Path) -> None:
    here("start", "left")
    brief = tmp_path / "left" / "brief.toml"
    text = brief.read_text(encoding="utf-8").replace("arm_mm = 25.0", "arm_mm = nan", 1)
    brief.write_text(text, encoding="utf-8")
    done = here("check", "left")
    assert (done.returncode, done.stdout) == (2, "")
    assert "brief.toml line" in done.stderr
    assert not (tmp_path / "left" / "hand.svg").exists()


def test_a_bad_build_is_named_with_its_line(here: Here, study_folder: Path, tmp_path: Path) -> None:
    here("start", "left")
    book = (study_folder / "builds.toml").read_text(encoding="utf-8")
    wrong = book.replace("\nplate = ", "\nplatte = ", 1)
    assert wrong != book
    (tmp_path / "left" / "builds.toml").write_text(wrong, encoding="utf-8")
    done = here("check", "left")
    assert done.returncode == 2
    assert "builds.toml line" in done.stderr
    assert "platte" in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_disk_is_code_6(study_folder: Path) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "explorer.cli", "check", str(study_folder)],
            cwd=ROOT,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    assert done.returncode == 6
    assert "No space left" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("words", [["show", NAME], ["--help"], ["check"], []])
def test_a_reader_that_goes_away_is_no_fault(study_folder: Path, words: list[str]) -> None:
    """As `evener ... | head -0`: the pipe is closed before anything is written."""
    read, write = os.pipe()
    os.close(read)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "explorer.cli", *words],
            cwd=study_folder,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=write,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
            check=False,
        )
    finally:
        os.close(write)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(sys.platform == "win32", reason="signals of another kind")
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM])
def test_an_interrupt_is_code_130(tmp_path: Path, sent: signal.Signals) -> None:
    """The command waits on a pipe that nobody writes to: its drive file."""
    script = (
        "import signal, sys, time\n"
        "from explorer import cli\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # ignored, where tests run behind a shell
        "@cli.app.command()\n"
        "def wait() -> None:\n"
        "    print('ready', flush=True)\n"
        "    time.sleep(30)\n"
        "sys.exit(cli.main(['wait']))\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        time.sleep(0.05)
        process.send_signal(sent)
        _, told = process.communicate(timeout=20)
    assert process.returncode == 130
    assert told.strip() == "interrupted"
    assert list(tmp_path.iterdir()) == []


def broken(kind: type[Exception], words: str) -> None:
    raise kind(words)


@pytest.mark.parametrize(
    ("kind", "code"), [(CannotWrite, 6), (DoesNotFit, 3), (ZeroDivisionError, 1), (MemoryError, 1)]
)
def test_every_exception_has_its_code(
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    kind: type[Exception],
    code: int,
) -> None:
    monkeypatch.setattr(cli, "app", lambda **_: broken(kind, "told \x1b[31m so"))
    monkeypatch.delenv("EVENER_DEBUG", raising=False)
    assert cli.main(["show"]) == code
    told = capsys.readouterr()
    assert told.out == ""
    assert "\x1b" not in told.err
    assert "Traceback" not in told.err
    assert ("A fault of ours" in told.err) == (code == 1)
    monkeypatch.setenv("EVENER_DEBUG", "1")
    assert cli.main(["show"]) == code
    assert ("Traceback" in capsys.readouterr().err) == (code == 1)


def test_the_bare_command_lists_the_verbs_in_order_of_use() -> None:
    done = CliRunner().invoke(cli.app, [])
    assert done.exit_code == 0
    assert len(done.stdout.splitlines()) <= 15
    places = [
        done.stdout.index(f"evener {verb} ") for verb in ("start", "check", "run", "status", "show")
    ]
    assert places == sorted(places)


def test_only_commands_that_are_there_are_listed() -> None:
    listed = CliRunner().invoke(cli.app, ["--help"]).stdout
    for verb in ("note", "measure", "guide"):
        assert f"\n  {verb} " not in listed
        assert f"evener {verb} " not in cli.WELCOME


@pytest.mark.parametrize("command", ["start", "check", "run", "status", "show", "report", "pack"])
def test_each_command_explains_itself(command: str) -> None:
    done = CliRunner().invoke(cli.app, [command, "--help"])
    assert done.exit_code == 0
    assert "STUDY" in done.stdout


def test_help_loads_nothing_heavy() -> None:
    script = (
        "import sys\nfrom explorer import cli\ncli.main(['--help'])\n"
        "print(sorted({m.split('.')[0] for m in sys.modules} & "
        "{'numpy', 'scipy', 'pydantic', 'tomlkit', 'pandas'}), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.stderr.strip() == "[]"


def test_headings_are_marked_on_a_terminal_only(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    cli.say(["Head", "[bold]body[/bold]"], frozenset({"Head"}))
    assert capsys.readouterr().out == "Head\n[bold]body[/bold]\n"
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    cli.say(["Head", "[bold]body[/bold]"], frozenset({"Head"}))
    shown = capsys.readouterr().out
    assert "\x1b[1mHead" in shown
    assert "[bold]body[/bold]" in shown
