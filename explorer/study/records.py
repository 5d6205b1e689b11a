"""A study's result as data: what the run writes and report, pack and show read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

RunState = Literal["never run", "running", "interrupted", "done"]


@dataclass(frozen=True)
class Kept:
    """A numbered drive: a keeper (unbeaten over all architectures), or a nearest miss.

    `name` as in WC-09: given when first kept or first shown as a nearest miss, journaled, never reused.
    `x` is the whole vector; aims in the aims' units, slacks in the limits' own units (>= 0 fits).
    `seen_at`: drives looked at over all when it was first found; `seconds` on the run's clock.
    """

    name: str
    architecture: str
    single: str
    x: tuple[float, ...]
    aims: Mapping[str, float]
    slacks: Mapping[str, float]
    fits: bool
    keeper: bool
    seen_at: int
    seconds: float


@dataclass(frozen=True)
class Ledger:
    """How far the drives of one architecture came, as counts over all looked at.

    looked_at -> reaches (stroke, reach, tilt, lean, transmission, wrap) -> can_be_made (what sizes alone tell,
    too) -> has_room (cavity, keep-outs, clearance too) -> strong (strength and chain too) -> fits (every
    limit) -> kept (unbeaten).
    """

    architecture: str
    looked_at: int
    reaches: int
    can_be_made: int
    has_room: int
    strong: int
    fits: int
    kept: int


@dataclass(frozen=True)
class Progress:
    """After one round: totals, unbeaten so far, and each architecture's hypervolume (-, fixed box)."""

    round: int
    looked_at: int
    seconds: float
    keepers: int
    last_new: float  # seconds since the last newcomer among the keepers
    hypervolume: Mapping[str, float]
    best: Mapping[str, float]


@dataclass(frozen=True)
class SeedAgreement:
    """What each seed found alone: best of each aim and hypervolume per architecture."""

    seed: int
    best: Mapping[str, float]
    hypervolume: Mapping[str, float]


@dataclass(frozen=True)
class Covered:
    """How far the search of an architecture has come.

    `growth` of what its seeds cover together in the last quarter of its drives, and how far `apart` they
    lie, as shares; None where nothing fits yet or too little was measured.
    """

    architecture: str
    growth: float | None
    apart: float | None
    settled: bool


@dataclass(frozen=True)
class StudyResult:
    """Everything about a study's run so far."""

    name: str
    brief_hash: str
    state: RunState
    seeds: tuple[int, ...]
    workers: int
    asked: str  # "8 h", "200,000 drives", or "until settled"
    share_done: float | None  # of what was asked, where the end is known
    settled: bool
    rounds: int
    looked_at: int
    seconds: float
    faults: int
    keepers: tuple[Kept, ...]
    misses: tuple[Kept, ...]  # nearest miss of each architecture with nothing kept
    shown: Mapping[str, str]  # architecture with fits but no keeper: its best -> what beats it
    ledger: tuple[Ledger, ...]
    progress: tuple[Progress, ...]
    agreement: tuple[SeedAgreement, ...]
    covered: tuple[Covered, ...] = ()
    algorithm: str = ""  # the stock algorithm it was searched by; empty: our own search
    settled_at: int = 0  # drives looked at when it last was settled; 0: never
