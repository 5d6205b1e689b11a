"""The exact form beside the explicit one: how far leans move pulls and tilts of one drive."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.bodies import Bar
from explorer.drives.exact import Exact
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pulls import shares
from explorer.mechanics.types import Bools, Floats

GRIP_MOVES = 0.03  # a grip that the exact form moves by more than this is marked "check leans"


@dataclass(frozen=True)
class Pair:
    """One quantity in both forms, the same shape."""

    explicit: Floats
    exact: Floats

    @property
    def moves(self) -> Floats:
        """exact/explicit - 1, the shape of both."""
        return self.exact / self.explicit - 1.0


@dataclass(frozen=True)
class Witness:
    """Explicit beside exact.

    `out`, `into` pulls per unit of F_out and of F_in (P,F); `tilt` rad and `lean` the worst of a
    position, rad (P,): `tilt` one a stage, the first equaliser first; `X` input draw (P,), mm.
    """

    out: Pair
    into: Pair
    tilt: tuple[Pair, ...]
    bars: tuple[bool, ...]  # which of them are bars, whose tilt is limited
    lean: Pair
    X: Pair
    converged: Bools
    taut: Bools

    @property
    def worst(self) -> float:
        """Largest relative difference of a finger's pull, of F_in or of F_out; nan if not solved."""
        return float(max(np.abs(self.out.moves).max(), np.abs(self.into.moves).max()))

    @property
    def holds(self) -> bool:
        """True if every position was solved with every link in tension."""
        return bool(self.converged.all() and self.taut.all())


def compare(drive: Drive, exact: Exact, motion: Motion, row: int = 0) -> Witness:
    """The witness of one drive: `drive` of one candidate, row `row` of a batch's `motion`."""
    out, into = explicit_pulls(drive, motion, row)
    bodies = (drive.first, *(c.body for c in drive.carriers))
    lean = np.arcsin(np.minimum(motion.lean_worst[row], 1.0))
    return Witness(
        out=Pair(out, exact.pull_out),
        into=Pair(into, exact.pull_in),
        tilt=_tilts(exact, motion, row),
        bars=tuple(isinstance(b, Bar) for b in bodies if b is not None),
        lean=Pair(lean, exact.lean_worst),
        X=Pair(motion.X[row], exact.X),
        converged=exact.converged,
        taut=exact.taut,
    )


def explicit_pulls(drive: Drive, motion: Motion, row: int = 0) -> tuple[Floats, Floats]:
    """Pulls of the fingers without friction per unit of F_out and of F_in, (P,F) each."""
    s = shares(drive, motion)
    out = np.stack([s.plain(f)[row] for f in range(len(s.finger))], axis=-1)
    return out, out / motion.step[row][:, None]


def grip_moves(witness: Witness, weights: Floats) -> Floats:
    """By how much each position's grip moves (P,): sum of weights x pull per F_in, weights (P,F).

    Weights are the press of each finger's pad per unit of pull, zero where it does not press.
    """
    explicit = (weights * witness.into.explicit).sum(axis=-1)
    exact = (weights * witness.into.exact).sum(axis=-1)
    presses = explicit > 0.0
    return np.asarray(np.where(presses, exact / np.where(presses, explicit, 1.0) - 1.0, 0.0))


@dataclass(frozen=True)
class Breaks:
    """By how much the exact form oversteps each limit, at most 0 where it keeps it: rad, rad, mm."""

    tilt: float
    lean: float
    stroke: float

    @property
    def any(self) -> bool:
        """True if a limit is broken, or a value is missing."""
        return not all(over <= 0.0 for over in (self.tilt, self.lean, self.stroke))


def breaks(witness: Witness, must: Bools, phi_max: float, lean_max: float, X_av: float) -> Breaks:
    """Limits of the exact form over the positions `must` (P,): |tilt| of bars, leans, rad; X, mm."""
    tilts = [
        np.abs(t.exact[must]).max()
        for t, bar in zip(witness.tilt, witness.bars, strict=True)
        if bar
    ]
    return Breaks(
        tilt=float(max(tilts, default=0.0)) - phi_max,
        lean=float(witness.lean.exact[must].max()) - lean_max,
        stroke=float(witness.X.exact[must].max()) - X_av,
    )


def check_leans(witness: Witness, weights: Floats) -> bool:
    """True where the exact form moves a grip by more than 3 %, or is not there at all."""
    moves = grip_moves(witness, weights)
    return not witness.holds or not bool(np.all(np.abs(moves) <= GRIP_MOVES))


def _tilts(exact: Exact, motion: Motion, row: int) -> tuple[Pair, ...]:
    pairs = zip((motion.first, *motion.second), (exact.first, *exact.second), strict=True)
    return tuple(Pair(a.tilt[row], b.tilt) for a, b in pairs if a is not None and b is not None)
