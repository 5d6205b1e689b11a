"""The command line: `evener`.  Thin: each command reads, calls one room below and prints.

The only module that knows typer and rich.  Heavy imports stay inside the commands, so that help is quick.
Results go to stdout, everything else to stderr; exit codes are those of `explorer.brief.errors`.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TextIO

import typer

from explorer.brief.shell import clean, quoted
from explorer.show.welcome import WELCOME

if TYPE_CHECKING:
    from types import FrameType

    from explorer.brief.read import Study
    from explorer.study.records import StudyResult

FAULT, BAD, NOTHING_FITS, INTERRUPTED = 1, 2, 3, 130

app = typer.Typer(
    name="evener",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


MaybeStudy = Annotated[
    str | None,
    typer.Argument(metavar="[STUDY]", help="Its folder; left out inside it.", show_default=False),
]


@app.callback(invoke_without_command=True)
def evener(context: typer.Context) -> None:
    """Design drives that share a wrist's pull between the fingers of a partial hand."""
    if context.invoked_subcommand is None:
        put(WELCOME.splitlines(), sys.stdout)  # our own words: nothing to clean, nothing to load


@app.command(short_help="A study folder that runs untouched.")
def start(
    study: Annotated[
        str, typer.Argument(metavar="STUDY", help="The folder to write.", show_default=False)
    ],
) -> None:
    """Write a study folder that runs untouched: a made-up hand, a stock, an empty build book."""
    from explorer.brief.read import read_study
    from explorer.brief.start import write_study
    from explorer.show.find import study_folder
    from explorer.show.readback import guess_lines

    folder = study_folder(study, Path())
    names = [path.name for path in write_study(folder)]
    say(
        [
            f"Wrote {folder / names[0]} (a made-up hand that runs as it is), {names[1]}, {names[2]} (empty).",
            *guess_lines(read_study(folder)),
            f"Next: evener check {quoted(folder)}",
        ]
    )


@app.command(short_help="Read the brief back, name every mistake.")
def check(study: MaybeStudy = None) -> None:
    """Read the brief back, name every mistake by line, sketch the hand, score the build book."""
    from explorer.brief.read import read_study
    from explorer.show import readback
    from explorer.show.find import study_folder

    folder = study_folder(study, Path())
    found = readback.checked(read_study(folder))
    sketch = readback.write_sketch(found)
    named = "" if study is None else f" {quoted(folder)}"
    builds = found.study.builds
    old = f", or evener show{named} {quoted(builds[0].name)}" if builds else ""
    say([*readback.lines(found, sketch), f"Next: evener run{named} --for 2m{old}"])


def option(name: str, metavar: str, words: str) -> Any:  # noqa: ANN401  # stands where typer wants it
    """An option that is read below, so that a wrong value is refused in the same words as any other."""
    return typer.Option(name, metavar=metavar, help=words, show_default=False)


@app.command(short_help="The long search; saved as it goes.")
def run(
    study: MaybeStudy = None,
    length: Annotated[str | None, option("--for", "LENGTH", "In all: 2m, 8h, 1h30m.")] = None,
    evaluations: Annotated[
        str | None, option("--evaluations", "N", "Drives to look at, in all.")
    ] = None,
    seed: Annotated[
        str | None, option("--seed", "S", "Where chance begins; 1 if left out.")
    ] = None,
    workers: Annotated[
        str | None, option("--workers", "N", "Processes; all of the machine if left out.")
    ] = None,
    algorithm: Annotated[
        str | None, option("--algorithm", "NAME", "NSGA2, GDE3, AGE2 or SMS instead of our own.")
    ] = None,
    from_round: Annotated[
        str | None, option("--from", "ROUND", "Drop what a damaged journal holds after it.")
    ] = None,
) -> None:
    """Search until settled, or as long as was asked; stop with Ctrl-C and go on with the same command."""
    from explorer.brief.read import read_study
    from explorer.show.find import study_folder
    from explorer.study import words
    from explorer.study.ask import ask_of, round_of
    from explorer.study.run import Begun, Went, run_study

    folder = study_folder(study, Path())
    ask, upto = ask_of(length, evaluations, seed, workers, algorithm), round_of(from_round)
    pace = words.Pace(terminal=sys.stderr is not None and sys.stderr.isatty())

    def tell(event: Begun | Went) -> None:
        lines = words.begun_lines(event, folder) if isinstance(event, Begun) else [pace.line(event)]
        put([clean(line) for line in lines if line], sys.stderr)

    found = read_study(folder)
    result = run_study(found, ask, tell, from_round=upto)
    stopped = result.state == "interrupted"
    say(words.stopped_lines(result, folder) if stopped else words.done_lines(result))
    _report_run(found, result, folder)
    raise typer.Exit(INTERRUPTED if stopped else 0 if result.keepers else NOTHING_FITS)


def _report_run(found: Study, result: StudyResult, folder: Path) -> None:
    """The page at the end of a run, which is saved: if only the page fails, that is what is told."""
    from explorer.brief.errors import EvenerError
    from explorer.report.write import report_on
    from explorer.study import words

    try:
        made = report_on(found, result, Path())
    except EvenerError as error:
        warn(words.unreported_line(folder, str(error)))
        raise typer.Exit(error.exit_code) from error
    except Exception:
        warn(words.unreported_line(folder, "the reason follows."))
        raise
    say(words.after_lines(result, folder, made.page, made.start, packs=made.packs))


@app.command(short_help="Where a run stands, also while it runs.")
def status(study: MaybeStudy = None) -> None:
    """Tell where a study's run stands; it may be asked while the run goes on."""
    from explorer.brief.read import read_study
    from explorer.show.find import study_folder
    from explorer.study import words
    from explorer.study.read import result_for

    folder = study_folder(study, Path())
    say(words.status_lines(result_for(read_study(folder)), folder))


@app.command(short_help="Everything about one drive.")
def show(
    drive: Annotated[
        list[str],
        typer.Argument(
            metavar="[STUDY] DRIVE|FILE",
            help="A drive of builds.toml, or the path of a drive.toml.",
            show_default=False,
        ),
    ],
    changes: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="KEY=VALUE",
            help="Try another value; may be given again.",
            show_default=False,
        ),
    ] = None,
    json: Annotated[
        bool,
        typer.Option("--json", help="All of it as JSON; explorer/show/keys.py names the keys."),
    ] = False,
) -> None:
    """Tell everything about one drive: grip, motion, loads, what gives first, limits, parts."""
    from explorer.show import facts, text
    from explorer.show.find import find

    found = find(drive, changes or [], Path())
    if found.asked_hash:
        warn(
            f"warning: this drive was made for brief {found.asked_hash}; the brief is now {found.study.brief.hash6}."
        )
    table = facts.facts_of(found)
    if json:
        say(facts.as_json(table).split("\n"))
        return
    for problem in found.study.warnings:
        warn(f"warning: {problem.file}: {problem.message}")
    named = f"{quoted(Path(drive[0]))} " if len(drive) > 1 else ""
    after = f"evener show {named}{quoted(drive[-1])} --set KEY=VALUE"
    say(text.lines(table, after), text.headings())


@app.command(short_help="What to build next and why: one HTML file.")
def report(
    study: MaybeStudy = None,
    more: Annotated[
        list[str] | None,
        option("--with", "DRIVE", "Show this drive in motion too; may be given again."),
    ] = None,
) -> None:
    """Write reports/NAME.html, which works offline, and the keepers as CSV beside it."""
    from explorer.brief.read import read_study
    from explorer.report.write import report_on
    from explorer.show.find import study_folder
    from explorer.study import words
    from explorer.study.read import result_for

    folder = study_folder(study, Path())
    found = read_study(folder)
    result = result_for(found)
    made = report_on(found, result, Path(), tuple(more or ()))
    then = words.next_words(result, folder, made.start, packs=made.packs)
    say(
        [
            *words.unpacked_lines(result, made.start, packs=made.packs),
            f"Keepers: {made.table}",
            f"Report: {made.page}",
            f"Next: open it in a browser, then: {then}",
        ]
    )


@app.command(short_help="The build pack: drawings, parts, bench sheet, next study.")
def pack(
    study: Annotated[str, typer.Argument(metavar="STUDY", show_default=False)],
    drive: Annotated[str, typer.Argument(metavar="DRIVE", show_default=False)],
    to: Annotated[str | None, option("--to", "FOLDER", "Where it goes; else STUDY/packs.")] = None,
) -> None:
    """Write the folder to cut metal from; refused, with the reason, where the drive does not fit."""
    from explorer.brief.names import slug
    from explorer.build.pack import pack as write_pack
    from explorer.show.find import find

    found = find([study, drive], [], Path())
    target = found.study.folder / "packs" / slug(found.build.name) if to is None else Path(to)
    made = write_pack(found.study, found.build, target)
    say(
        [
            f"{made.pieces} pieces, {made.part_numbers} part numbers, {made.drawings} drawings.",
            f"Pack: {made.folder}",
            f"A study that begins with it: evener run {quoted(target / 'next')}",
            "Next: print its build sheet at 100 %, and load-test the drive off the hand first.",
        ]
    )


def say(lines: Iterable[str], headings: frozenset[str] = frozenset()) -> None:
    """Results to stdout, headings bold on a terminal."""
    put([clean(line) for line in lines], sys.stdout, headings)


def warn(line: str) -> None:
    """One line to stderr."""
    put([clean(line)], sys.stderr)


def put(
    lines: Sequence[str], stream: TextIO | None, headings: frozenset[str] = frozenset()
) -> None:
    """Writes lines; a reader that went away is no fault, a full disk is told."""
    if stream is None:  # closed before we began
        return
    try:
        if headings and stream.isatty():
            _coloured(lines, stream, headings)
        else:
            stream.write("".join(f"{line}\n" for line in lines))
        stream.flush()
    except BrokenPipeError:
        _hush(stream)
    except ValueError:  # closed meanwhile
        return
    except OSError as error:
        from explorer.brief.errors import CannotWrite

        _hush(stream)
        raise CannotWrite(f"the output cannot be written: {error.strerror}.") from error


def _coloured(lines: Sequence[str], stream: TextIO, headings: frozenset[str]) -> None:
    """Bold headings, and colour always with its word; NO_COLOR and dumb terminals get plain text."""
    from rich.console import Console
    from rich.text import Text

    console = Console(file=stream, highlight=False, soft_wrap=True)
    for line in lines:
        bad = "FAILS" in line or "CHECK LEANS" in line
        style = "bold" if line in headings else "red" if bad else ""
        console.print(Text(line, style=style))


def _hush(stream: TextIO) -> None:
    """Nothing more can be written: what is still buffered must not complain at the end."""
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
    except (OSError, ValueError):
        return


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and gives its exit code; every refusal is told in words, never as a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    typed = list(sys.argv[1:] if arguments is None else arguments)
    before = signal.signal(signal.SIGTERM, _interrupt)
    try:
        return _guarded(lambda: app(args=typed, prog_name="evener", standalone_mode=False))
    except KeyboardInterrupt:
        warn("interrupted")
        return INTERRUPTED
    finally:
        signal.signal(signal.SIGTERM, before)


def _interrupt(_signal: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _guarded(run: Callable[[], object]) -> int:
    try:
        code = run()
    except typer.Abort:
        warn("interrupted")
        return INTERRUPTED
    except typer.Exit as leave:
        return leave.exit_code
    except SystemExit:  # typer's way out when the reader of its help went away
        return 0
    except Exception as error:  # noqa: BLE001 - the last door: whatever it is becomes words
        return _told(error)
    if code == INTERRUPTED:
        warn("interrupted")
    return code if isinstance(code, int) else 0


def _told(error: Exception) -> int:
    """The words and the exit code of what went wrong."""
    from explorer.brief.errors import EvenerError

    if isinstance(error, EvenerError):
        lines = str(error).split("\n")
        _last_words(lines[:-1] if lines[-1] == "1 error." else lines)  # one line needs no count
        return error.exit_code
    if hasattr(error, "format_message"):  # typer's word for a wrong command line
        context = getattr(error, "ctx", None)
        asked = getattr(context, "command_path", "evener")
        _last_words([f"{_usage(error)} Help: {asked} --help"])
        return BAD
    name = type(error).__name__
    ours = f"A fault of ours ({name}); nothing you typed should do this."
    _last_words([f"{ours} EVENER_DEBUG=1 shows where it happened."])
    if os.environ.get("EVENER_DEBUG") == "1":
        import traceback

        _last_words(traceback.format_exc().split("\n"))
    return FAULT


def _last_words(lines: Sequence[str]) -> None:
    from explorer.brief.errors import CannotWrite

    try:
        put([clean(line) for line in lines], sys.stderr)
    except CannotWrite:
        return


def _usage(error: Exception) -> str:
    """What is wrong with the command line, in one line; typer names the nearest command and option."""
    words = " ".join(str(error.format_message()).split())  # type: ignore[attr-defined]
    return words if words.endswith((".", "?")) else f"{words}."


if __name__ == "__main__":
    raise SystemExit(main())
