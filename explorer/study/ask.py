"""How long to search, from which seed, by how many, by what: what was typed, read and checked."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass

from explorer.brief.errors import RANK_VALUE, BadInput, Problem, short
from explorer.brief.explain import nearest
from explorer.search.references import NAMES

MOST_EVALUATIONS = 10**12
MOST_SECONDS = 3600.0 * 24 * 365
MOST_WORKERS = 128
LARGEST_SEED = 2**63 - 1
CAP = (
    24_000_000  # drives looked at when nobody says how long, and the search does not settle before
)

_SECONDS = {"s": 1.0, "m": 60.0, "h": 3600.0, "d": 86400.0}
_LENGTH = re.compile(r"(?:[0-9]{1,9}(?:\.[0-9]{1,3})?[smhd])+", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,19}", re.ASCII)


@dataclass(frozen=True)
class Ask:
    """How long to search in all; neither: until settled.  `seed` None: the journal's, or 1.

    `algorithm`: a stock algorithm's name; empty: the journal's, or the search of this program.
    """

    evaluations: int | None = None
    seconds: float | None = None
    seed: int | None = None
    workers: int = 0  # 0: one for each processor
    algorithm: str = ""

    @property
    def length_given(self) -> bool:
        """Whether anybody said how long."""
        return self.evaluations is not None or self.seconds is not None

    @property
    def crew(self) -> int:
        """Worker processes."""
        return self.workers or min(os.cpu_count() or 1, MOST_WORKERS)


def ask_of(
    length: str | None,
    evaluations: str | None,
    seed: str | None,
    workers: str | None,
    algorithm: str | None = None,
) -> Ask:
    """What was typed; BadInput names everything that will not do, all at once."""
    problems: list[Problem] = []
    ask = Ask(
        _whole("--evaluations", evaluations, 1, MOST_EVALUATIONS, problems),
        _length(length, problems),
        _whole("--seed", seed, 0, LARGEST_SEED, problems),
        _whole("--workers", workers, 1, MOST_WORKERS, problems) or 0,
        _algorithm(algorithm, problems),
    )
    if length is not None and evaluations is not None:
        problems.append(
            _wrong(
                "--for",
                length,
                "one of --for and --evaluations",
                "Take one of them out.",
                "is given beside --evaluations.",
            )
        )
    if problems:
        raise BadInput(problems)
    return ask


def round_of(typed: str | None) -> int | None:
    """The round to go on from, as typed."""
    problems: list[Problem] = []
    found = _whole("--from", typed, 0, MOST_EVALUATIONS, problems)
    if problems:
        raise BadInput(problems)
    return found


def seconds_words(seconds: float) -> str:
    """A length of time as it can be typed: 90s, 2m, 8h, 1h30m."""
    whole, out = round(seconds), ""
    for letter, size in (("d", 86400), ("h", 3600), ("m", 60), ("s", 1)):
        n, whole = divmod(whole, size)
        out += f"{n}{letter}" if n else ""
    return out or "0s"


def _whole(
    option: str, typed: str | None, low: int, high: int, problems: list[Problem]
) -> int | None:
    if typed is None:
        return None
    plain = (
        typed.replace(",", "").replace("_", "").replace(" ", "")
        if option == "--evaluations"
        else typed
    )
    value = int(plain) if _WHOLE.fullmatch(plain) else -1
    if low <= value <= high:
        return value
    problems.append(_wrong(
        option, typed, f"a whole number from {low:,} to {high:,}".replace(",", " "),
        f"As in {option} {max(low, 2) if option != '--evaluations' else 200000}", "is no such number.",
    ))  # fmt: skip
    return None


def _length(typed: str | None, problems: list[Problem]) -> float | None:
    if typed is None:
        return None
    if _LENGTH.fullmatch(typed):
        parts = re.findall(r"([0-9.]+)([smhd])", typed)
        total = sum(float(n) * _SECONDS[letter] for n, letter in parts)
        if 0.0 < total <= MOST_SECONDS:
            return total
    problems.append(
        _wrong(
            "--for",
            typed,
            "a length of time up to a year",
            "As in --for 2m, --for 8h or --for 1h30m",
            "is no such length.",
        )
    )
    return None


def _algorithm(typed: str | None, problems: list[Problem]) -> str:
    """The name of a stock algorithm, however it was written; empty where none was typed."""
    if typed is None:
        return ""
    known = {name.lower(): name for name in NAMES}
    if typed.lower() in known:
        return known[typed.lower()]
    mend = nearest(typed, NAMES) or "Left out, the program searches in its own way."
    problems.append(
        _wrong("--algorithm", typed, ", ".join(NAMES), mend, "is no algorithm known here.")
    )
    return ""


def _wrong(option: str, typed: str, allowed: str, mend: str, message: str) -> Problem:
    return Problem(
        option, None, "", short(typed), allowed, mend, f"{short(typed)} {message}", RANK_VALUE
    )
