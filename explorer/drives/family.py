"""How a drive is put together: a first stage, a second stage, and the registry of both.

A new family is one module with the functions of `FirstStage` or `SecondStage` and one line in the
registry.  Every array is (N,1) for sizes, (N,P) for what moves.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from explorer.drives.bodies import Bar, GearSplit, Wheel
from explorer.drives.joints import Attachment, Loads, Play
from explorer.drives.layout import Drive
from explorer.drives.motion import Drawn, Motion
from explorer.drives.pieces import Limit, Pair, Piece
from explorer.drives.pulls import Pulls
from explorer.drives.ratios import Rocker, Spool
from explorer.drives.shelf import Shelf
from explorer.drives.variables import Columns, Variable
from explorer.mechanics.types import Floats


@dataclass(frozen=True)
class Hung:
    """A second-stage body where it hangs at rest: finger links and the centre's y (N,1)."""

    body: Bar | Wheel
    L_out: tuple[Floats, ...]
    y: Floats


@dataclass(frozen=True)
class FirstBuilt:
    """The first stage laid out behind the carriers; `L_in` one a carrier (N,1)."""

    ratio: Rocker | Spool
    first: Bar | Wheel | GearSplit | None
    L_in: tuple[Floats, ...]
    L_exit: Floats
    y_first: Floats
    y_ratio: Floats


class FirstStage(Protocol):
    """What a first-stage module offers."""

    def variables(self, shelf: Shelf, carriers: int) -> tuple[Variable, ...]:
        """Its variables; `carriers` 1 (two fingers) or 2."""

    def build(self, shelf: Shelf, cols: Columns, y: tuple[Floats, ...]) -> FirstBuilt:
        """Bodies and lengths; `y` of each carrier's centre (or lone finger pin) at rest."""

    def trimmed(self, shelf: Shelf, cols: Columns, /) -> dict[str, Floats]:
        """Sizes (N,1) of its own that others leave a window, moved into it as one would at the drawing board."""

    def strung(self, shelf: Shelf, drive: Drive, up: tuple[Drawn, ...], /) -> dict[str, Floats]:
        """Numbers of links and sizes (N,1), no less than its strands need where the carriers are drawn so far (N,P)."""

    def attachment(self, shelf: Shelf, cols: Columns) -> Attachment:
        """The end of its wrist-side member at a carrier's centre pin."""

    def loads(self, shelf: Shelf, drive: Drive, motion: Motion, pulls: Pulls) -> Loads:
        """What its parts carry, the joints at the carriers' centre pins left to the second stage."""

    def pieces(self, shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Piece, ...]:
        """Its pieces."""

    def pairs(self, drive: Drive) -> tuple[Pair, ...]:
        """Pairs of pieces that must stay apart, within it and against the second stage."""

    def limits(self, shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Limit, ...]:
        """Limits of its own."""

    def play(self, shelf: Shelf, drive: Drive, motion: Motion) -> tuple[Play, ...]:
        """Clearances and slack as seen at the input drawbar."""


class SecondStage(Protocol):
    """What a second-stage module offers."""

    def variables(self, shelf: Shelf, pairs: int) -> tuple[Variable, ...]:
        """Its variables for one or two pairs."""

    def hang(self, shelf: Shelf, cols: Columns, fingers: tuple[int, int], place: str) -> Hung:
        """The body of one pair; `place` "", "index" or "little" picks the columns."""

    def trimmed(
        self, shelf: Shelf, cols: Columns, pairs: tuple[tuple[int, int], ...], /
    ) -> dict[str, Floats]:
        """As of a first stage, for these pairs of fingers."""

    def loads(
        self,
        shelf: Shelf,
        drive: Drive,
        motion: Motion,
        pulls: Pulls,
        k: int,
        hold: Attachment,
    ) -> Loads:
        """What carrier k's parts carry, its centre pin included."""

    def pieces(
        self, shelf: Shelf, drive: Drive, motion: Motion, k: int, hold: Attachment
    ) -> tuple[Piece, ...]:
        """Pieces of carrier k."""

    def pairs(self, drive: Drive, k: int) -> tuple[Pair, ...]:
        """Pairs within carrier k and against the other carrier (listed once, for k = 0)."""

    def limits(self, shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Limit, ...]:
        """Limits of carrier k."""

    def play(self, shelf: Shelf, drive: Drive, motion: Motion, k: int) -> tuple[Play, ...]:
        """Clearances and slack of carrier k as seen at the input drawbar."""

    def neighbour_travel(self, shelf: Shelf, drive: Drive, k: int) -> Floats:
        """Largest difference of the pair's draws before a stop, mm (N,1)."""


def place_of(k: int, pairs: int) -> str:
    """Key part of carrier k's columns: "" for an only pair, else "index" or "little"."""
    if pairs == 1:
        return ""
    return "index" if k == 0 else "little"


def key(stem: str, place: str, rest: str) -> str:
    """Column key of a carrier, as in `bar_index_arm_a_mm` or `bar_arm_a_mm`."""
    return f"{stem}_{place}_{rest}" if place else f"{stem}_{rest}"
