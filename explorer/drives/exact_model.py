"""A drive (one candidate) as a linkage of bodies and paths, for the exact solver.

Fixed pins are bodies whose coordinates stay put; finger pins are bodies whose y is prescribed.
Column 0 never moves: it is the turn of everything that does not turn.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from explorer.drives.bodies import Bar, Body, GearSplit, Wheel
from explorer.drives.layout import Drive
from explorer.drives.ratios import Rocker
from explorer.mechanics.linkage import Ends, Linkage
from explorer.mechanics.types import Floats, Ints


@dataclass(frozen=True)
class Stage:
    """An equalising body's columns and pieces; a differential has neither x, y nor a piece in (-1)."""

    x: int
    y: int
    turn: int  # -1 for a wheel, whose turn no length depends on
    piece_in: int
    piece_a: int
    piece_b: int


@dataclass(frozen=True)
class Model:
    """The linkage, where things stand in it, and the designed lengths.

    `Q` (n,) prescribed values with zeros where unknown; `straight` (S,) free lengths at rest;
    `angles` columns of the ratio part (two sides of a differential); `exits` pieces that leave it.
    """

    link: Linkage
    Q: Floats
    straight: Floats
    angles: tuple[int, ...]
    exits: tuple[int, ...]
    first: Stage | None
    second: tuple[Stage | None, ...]
    finger_y: Ints  # (F,) columns
    finger_piece: Ints  # (F,)
    free: Ints  # columns that move with the draws
    turns: Ints  # those of them that are angles


@dataclass(frozen=True)
class _End:
    x: int
    y: int
    turn: int = 0
    sense: float = 0.0
    arm: tuple[float, float] = (0.0, 0.0)
    radius: float = 0.0
    side: float = 0.0


@dataclass
class _Bench:
    """Collects columns, pieces and paths while a drive is laid out."""

    Q: list[float] = field(default_factory=lambda: [0.0])
    free: list[int] = field(default_factory=list)
    turns: list[int] = field(default_factory=list)
    starts: list[_End] = field(default_factory=list)
    ends: list[_End] = field(default_factory=list)
    path: list[int] = field(default_factory=list)
    straight: list[float] = field(default_factory=list)
    wound: list[tuple[int, int, float]] = field(default_factory=list)

    def fixed(self, value: float) -> int:
        """A coordinate with a prescribed value."""
        self.Q.append(value)
        return len(self.Q) - 1

    def unknown(self, *, turn: bool = False) -> int:
        """A coordinate that follows from the equations."""
        column = self.fixed(0.0)
        self.free.append(column)
        if turn:
            self.turns.append(column)
        return column

    def piece(self, start: _End, end: _End, straight: float, path: int = -1) -> int:
        """A straight piece on a path of its own, or on that of an earlier piece."""
        self.starts.append(start)
        self.ends.append(end)
        self.straight.append(straight)
        self.path.append(max(self.path, default=-1) + 1 if path < 0 else self.path[path])
        return len(self.path) - 1

    def linkage(self, load: dict[int, float]) -> Linkage:
        """Everything collected."""
        wound = np.zeros((max(self.path) + 1, len(self.Q)))
        for piece, column, arm in self.wound:
            wound[self.path[piece], column] += arm
        loads = np.zeros(len(self.Q))
        for column, moment in load.items():
            loads[column] = moment
        return Linkage(
            _gather(self.starts),
            _gather(self.ends),
            np.array([e.radius for e in self.starts]),
            np.array([e.side for e in self.starts]),
            np.array(self.path),
            wound,
            loads,
        )


def _gather(ends: list[_End]) -> Ends:
    return Ends(
        np.array([e.x for e in ends]),
        np.array([e.y for e in ends]),
        np.array([e.turn for e in ends]),
        np.array([e.sense for e in ends]),
        np.array([e.arm for e in ends]),
    )


def _one(column: Floats) -> float:
    """The only candidate's value."""
    return float(np.asarray(column).reshape(-1)[0])


@dataclass(frozen=True)
class _Exits:
    """Where links or strands leave the ratio part, and what a unit of each turn takes up."""

    ends: tuple[_End, ...]
    angles: tuple[int, ...]
    arms: tuple[float, ...]  # wound per turn; 0 for a rocker's link
    load: dict[int, float]


def _rocker_exit(bench: _Bench, drive: Drive, r: Rocker) -> _Exits:
    x, y = bench.fixed(_one(r.x_p)), bench.fixed(_one(drive.y_ratio))
    theta = bench.unknown(turn=True)
    side, r2 = _one(r.side), _one(r.r2)
    # out pin at (side r2 cos, -r2 sin): the rocker's frame turns against theta on the +x side
    end = _End(x, y, theta, -side, (side * r2, 0.0))
    return _Exits((end,), (theta,), (0.0,), {theta: r2})


def _spool_exits(bench: _Bench, drive: Drive) -> _Exits:
    r = drive.ratio
    assert not isinstance(r, Rocker)  # noqa: S101 - the caller has looked
    y = bench.fixed(_one(drive.y_ratio))
    if isinstance(drive.first, GearSplit):
        radii = (_one(drive.first.r_a), _one(drive.first.r_b))
        mean = 2.0 * radii[0] * radii[1] / (radii[0] + radii[1])
        turns = (bench.unknown(turn=True), bench.unknown(turn=True))
        ends = tuple(_End(bench.fixed(_one(x)), y) for x in r.exits)
        # the cage turns by the mean of both sides, so a moment on it is half on each
        return _Exits(ends, turns, radii, dict.fromkeys(turns, mean / 2.0))
    a2, theta = _one(r.a2), bench.unknown(turn=True)
    exit_x = _one(r.exits[0])
    if not r.flat:  # shaft along x: the strand leans along the shaft and its tangent point stays
        return _Exits((_End(bench.fixed(exit_x), y),), (theta,), (a2,), {theta: a2})
    side = _one(r.side)
    end = _End(bench.fixed(exit_x - side * a2), y, radius=a2, side=side)
    return _Exits((end,), (theta,), (a2,), {theta: a2})


def _hang(
    bench: _Bench, body: Bar | Wheel, start: _End, L_in: float, on: int
) -> tuple[Stage, _End, _End]:
    """A floating body on a link or strand; `on` an earlier piece of the same strand or -1."""
    x, y = bench.unknown(), bench.unknown()
    centre = _End(x, y)
    piece_in = bench.piece(start, centre, L_in, on)
    if isinstance(body, Wheel):
        R = _one(body.D) / 2.0
        a, b = _End(x, y, radius=R, side=-1.0), _End(x, y, radius=R, side=1.0)
        return Stage(x, y, -1, piece_in, -1, -1), a, b
    turn = bench.unknown(turn=True)
    e = _one(body.e)
    a = _End(x, y, turn, 1.0, (-_one(body.l_a), e))
    b = _End(x, y, turn, 1.0, (_one(body.l_b), e))
    return Stage(x, y, turn, piece_in, -1, -1), a, b


def _with_pieces(stage: Stage, a: int, b: int) -> Stage:
    return Stage(stage.x, stage.y, stage.turn, stage.piece_in, a, b)


def _one_strand(body: Body | None, first_piece: int) -> int:
    """The second end of a wheel's strand is on the first one's path; bars have links of their own."""
    return first_piece if isinstance(body, Wheel) else -1


class _Layout:
    """Hangs the whole drive on a bench, from the ratio part to the fingers."""

    def __init__(self, drive: Drive, pin_x: Floats) -> None:
        self.drive, self.bench = drive, _Bench()
        self.fingers = [_End(self.bench.fixed(float(x)), self.bench.fixed(0.0)) for x in pin_x]
        self.finger_piece = np.zeros(len(pin_x), dtype=np.int64)

    def build(self) -> Model:
        """The model."""
        drive, bench = self.drive, self.bench
        rocker = drive.ratio if isinstance(drive.ratio, Rocker) else None
        out = _spool_exits(bench, drive) if rocker is None else _rocker_exit(bench, drive, rocker)
        first, starts = self._first(out)
        second: list[Stage | None] = []
        heads: list[int] = []
        for k, start in enumerate(starts):
            on = _one_strand(drive.first, heads[0]) if k else -1
            stage, head = self._carrier(k, start, on)
            second.append(stage)
            heads.append(head)
        exits = (first.piece_in,) if first is not None and first.piece_in >= 0 else tuple(heads)
        for piece, angle, arm in zip(exits, out.angles, out.arms, strict=True):
            if arm > 0.0:
                bench.wound.append((piece, angle, arm))
        if first is not None:
            first = _with_pieces(first, heads[0], heads[1])
        return Model(
            bench.linkage(out.load),
            np.array(bench.Q),
            np.array(bench.straight),
            out.angles,
            exits,
            first,
            tuple(second),
            np.array([f.y for f in self.fingers]),
            self.finger_piece,
            np.array(bench.free),
            np.array(bench.turns),
        )

    def _first(self, out: _Exits) -> tuple[Stage | None, tuple[_End, ...]]:
        first = self.drive.first
        if first is None:
            return None, out.ends
        if isinstance(first, GearSplit):
            return Stage(-1, -1, -1, -1, -1, -1), out.ends
        stage, a, b = _hang(self.bench, first, out.ends[0], _one(self.drive.L_exit), -1)
        return stage, (a, b)

    def _carrier(self, k: int, start: _End, on: int) -> tuple[Stage | None, int]:
        """One carrier: its stage and the piece that pulls it."""
        carrier = self.drive.carriers[k]
        L_in = _one(self.drive.L_exit if self.drive.first is None else carrier.L_in)
        if carrier.body is None:
            head = self._finger(carrier.fingers[0], start, L_in, on)
            return None, head
        stage, a, b = _hang(self.bench, carrier.body, start, L_in, on)
        i, j = carrier.fingers
        p = self._finger(i, a, _one(carrier.L_out[0]), -1)
        q = self._finger(j, b, _one(carrier.L_out[1]), _one_strand(carrier.body, p))
        return _with_pieces(stage, p, q), stage.piece_in

    def _finger(self, f: int, start: _End, length: float, on: int) -> int:
        piece = self.bench.piece(start, self.fingers[f], length, on)
        self.finger_piece[f] = piece
        return piece


def model_of(drive: Drive, pin_x: Floats) -> Model:
    """The linkage of a drive of one candidate; pin_x (F,) mm."""
    if drive.n != 1:
        raise ValueError(f"the exact solver takes one drive at a time, got a batch of {drive.n}")
    return _Layout(drive, pin_x).build()
