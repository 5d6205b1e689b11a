"""The one scorer: a batch of vectors in; aims, limits in their own units and margins out.

Search, `show`, old builds and everything after call this; one drive is a batch of one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.records import Brief
from explorer.drives import checks as chk
from explorer.drives import envelope, fatigue
from explorer.drives.assemble import Space, clear_pairs, neighbour_travel
from explorer.drives.checks import Checks
from explorer.drives.envelope import Envelope
from explorer.drives.joints import Loads
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pieces import Pair, Piece
from explorer.drives.pulls import (
    Pulls,
    Shares,
    Ways,
    carried_pull,
    everyday_pulls,
    shares,
    strength_pulls,
    torque_share,
    ways,
)
from explorer.drives.totals import Tally
from explorer.drives.upto import upto
from explorer.mechanics.types import Bools, Floats, Ints
from explorer.scoring import grip as gr
from explorer.scoring.limits import RULES, missed
from explorer.scoring.look import FirstLook, Room, first_look, room_look, worst
from explorer.scoring.wear import WearPart, least_weeks, wear_parts

CHUNK = 4000  # candidates at a time: enough to bear the cost of the calls, few enough for the cache
_FAR = 1e3  # stands for "no matter" in a slack


@dataclass(frozen=True)
class Detail:
    """Everything computed on the way, for one chunk; what `show` and reports read.

    In scoring, pulls, loads, grips and `lift` leave out the squeezes, which come last there.
    """

    space: Space
    drive: Drive
    motion: Motion
    shares: Shares
    ways: Ways
    delivered: gr.Delivered
    strength: Pulls
    everyday: Pulls
    loads: Loads
    checks: Checks
    margins: Floats
    use: Loads  # under everyday pulls
    tired: Checks  # fatigue under them
    tired_margins: Floats
    pieces: tuple[Piece, ...]
    clear: Floats  # least clearance of all pairs (N,)
    envelope: Envelope
    tally: Tally
    wear: tuple[WearPart, ...]
    play: Floats  # lost motion at the input by clearances (N,)
    laid: Mapping[str, Floats]  # slacks (N,) by limit of layout, motion and room
    lift: Floats  # F_in that lifts the carried loads (N,P)
    reopen: Floats  # (N,P)
    share_error: Floats  # (N,)

    @property
    def gaps(self) -> tuple[tuple[Pair, Floats], ...]:
        """Gap of every declared pair in every position (N,P); worked out when asked for."""
        return envelope.clearances(self.pieces, clear_pairs(self.space, self.drive))


@dataclass(frozen=True)
class Scores:
    """Aims (N,) by name, slacks (N,) by limit id in own units, and per-check margins (N,C)."""

    aims: Mapping[str, Floats]
    slacks: Mapping[str, Floats]
    margins: Floats
    check_names: tuple[chk.CheckName, ...]

    @property
    def feasible(self) -> Floats:
        """True where every limit holds (N,)."""
        return np.asarray(self.violation <= 0.0)

    @property
    def violation(self) -> Floats:
        """How far each drive is from fitting (N,), see `missed`; 0 fits."""
        return missed(self.slacks)


def _must(d: Detail) -> Bools:
    return np.array([p.must for p in d.space.shelf.demand.positions])


def _lift_left(d: Detail) -> Floats:
    """Peak pull at each load's own wrist angle less what lifts it, N (N,)."""
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    peak = demand.pull_peak * torque_share(demand, d.motion, brief)
    left = peak[:, : d.lift.shape[1]] - d.lift
    carries = (demand.carried > 0.0)[: d.lift.shape[1]]
    return np.asarray(left.min(axis=1, initial=np.inf, where=carries))


def _limits(d: Detail) -> dict[str, Floats]:
    """Slack of every limit (N,)."""
    brief, demand = d.space.shelf.brief, d.space.shelf.demand
    lim = brief.limits
    must = _must(d)
    opens = must | np.array([p.kind == "open" for p in demand.positions])
    n = d.drive.n
    m, names = d.margins, d.checks.names
    chain = np.array([c.group == "chain" for c in names])
    out = {
        "self_locking": np.minimum(
            worst(d.ways.locks, must), worst(d.ways.hold * d.motion.a1, must)
        ),
        "strength": m[:, ~chain].min(axis=1, initial=_FAR),
        "chain": m[:, chain].min(axis=1, initial=_FAR),
        "fatigue": d.tired_margins.min(axis=1, initial=_FAR),
        "reopen": worst(d.reopen, opens),
        "share": lim.share_error - d.share_error,
    }
    if d.delivered.at:
        out["grip"] = d.delivered.ratio.min(axis=1) - lim.grip_ratio
        out["finger"] = d.delivered.finger.min(axis=1)
    if brief.strength.lock == "none" and (demand.carried > 0.0).any():
        out["carry"] = _lift_left(d)
    out |= d.laid
    t = d.tally
    for name, cap, value in (
        ("mass", lim.mass, t.mass),
        ("hours", lim.hours, t.hours),
        ("cost", lim.cost, t.cost),
    ):
        if cap is not None:
            out[name] = cap - value
    if lim.service_weeks is not None:
        out["weeks"] = least_weeks(d.wear, n) - lim.service_weeks
    return {r.id: out[r.id] for r in RULES if r.id in out}


def pin_margin(checks: Checks, margins: Floats) -> Floats:
    """Smallest margin of every pin: shear, bending, bearing (N,)."""
    pin = np.array([c.group in chk.PIN_GROUPS for c in checks.names])
    return np.asarray(margins[:, pin].min(axis=1, initial=_FAR))


_AIMS: dict[str, Callable[[Detail], Floats]] = {
    "pieces": lambda d: d.tally.pieces,
    "room": lambda d: d.envelope.room / 1000.0,
    "pin_margin": lambda d: pin_margin(d.checks, d.margins),
    "weeks": lambda d: least_weeks(d.wear, d.drive.n),
    "share_error": lambda d: d.share_error,
    "box": lambda d: d.envelope.box.volume() / 1000.0,
    "neighbour": lambda d: neighbour_travel(d.space, d.drive),
    "mass": lambda d: d.tally.mass,
    "stroke": lambda d: -worst(-d.motion.X, _must(d)),
    "part_numbers": lambda d: d.tally.numbers,
    "hours": lambda d: d.tally.hours,
    "cost": lambda d: d.tally.cost,
    "fatigue": lambda d: d.tired_margins.min(axis=1, initial=_FAR),
}
_TALLIED = {"mass", "part_numbers", "hours", "cost"}


def _aims(d: Detail, asked: Collection[str]) -> dict[str, Floats]:
    """Aims (N,) by name; those in `asked` alone, where there are any."""
    out: dict[str, Floats] = {}
    if d.delivered.at:
        out["grip"] = d.delivered.ratio.min(axis=1)
    out |= {k: made(d) for k, made in _AIMS.items() if not asked or k in asked}
    if any(a.name == "carried" for a in d.space.shelf.brief.aims):
        out["carried"] = carried_before_yield(d)
    return out


def _asked(brief: Brief) -> tuple[Collection[str], bool]:
    """Aims that a search of this brief asks for, pieces to decide ties; whether aims or limits ask for a whole tally."""
    asked, lim = {"pieces", *(a.name for a in brief.aims)}, brief.limits
    capped = any(cap is not None for cap in (lim.mass, lim.hours, lim.cost))
    return asked, capped or bool(asked & _TALLIED)


def carried_before_yield(d: Detail) -> Floats:
    """Load on the hook at which the first check gives, overload 1 and factor 1, kg (N,); worst carry grip."""
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    pulls = strength_pulls(d.motion, d.shares, demand, brief, wrist=False)
    found = chk.evaluate(d.space.loads(d.drive, d.motion, pulls), d.drive.n)
    times = 1.0 / np.maximum(found.utilisation().max(axis=1), 1e-9)
    F_out = carried_pull(demand, d.shares, demand.m_ideal)
    carries = demand.carried > 0.0
    kg = gr.hook_kg(F_out * times[:, None], demand, d.shares, demand.m_ideal)
    return np.asarray(kg.min(axis=1, initial=_FAR, where=carries))


@dataclass(frozen=True)
class _Forced:
    """The positions whose forces count."""

    motion: Motion
    shares: Shares
    ways: Ways
    demand: Demand


def _forced(motion: Motion, s: Shares, w: Ways, demand: Demand) -> _Forced:
    """Squeezes carry geometry only: their forces are those at contact."""
    few = demand.forced
    if few is demand:
        return _Forced(motion, s, w, demand)
    k = len(few.positions)
    return _Forced(upto(motion, k), upto(s, k), upto(w, k), few)


def detail(space: Space, X: Floats) -> Detail:
    """Everything about one chunk of vectors X (N,V)."""
    look = first_look(space, X)
    return _detail(space, look, room_look(space, look))


def _detail(space: Space, look: FirstLook, room: Room) -> Detail:
    shelf, drive, motion = space.shelf, look.drive, look.motion
    brief, demand = shelf.brief, shelf.demand
    s = shares(drive, motion)
    w = ways(drive, motion, s)
    f = _forced(motion, s, w, demand)
    given = gr.delivered(drive, f.motion, f.shares, f.ways, f.demand, brief)
    strong = strength_pulls(f.motion, f.shares, f.demand, brief)
    daily = everyday_pulls(drive, f.motion, f.shares, f.ways, f.demand, brief)
    loads = space.loads(drive, f.motion, strong)
    checks = chk.evaluate(loads, drive.n)
    st = brief.strength
    margins = checks.margin(st.overload, st.design_factor, st.chain_factor)
    use = space.loads(drive, f.motion, daily)
    tired = fatigue.evaluate(use, drive.n, shelf.endurance)
    return Detail(
        space,
        drive,
        motion,
        s,
        w,
        given,
        strong,
        daily,
        loads,
        checks,
        margins,
        use,
        tired,
        fatigue.margin(tired, brief.fatigue.factor),
        room.pieces,
        room.clear,
        room.envelope,
        room.tally,
        wear_parts(use, f.demand, brief),
        look.play,
        {**look.slacks, **room.slacks},
        gr.lifting(f.shares, f.ways, f.demand),
        gr.reopening(s, w, demand, brief),
        gr.share_error(drive, f.shares, f.demand),
    )


def scores_of(d: Detail, asked: Collection[str] = ()) -> Scores:
    """Aims and limits of a detailed chunk; of the aims those in `asked` alone, where there are any."""
    return Scores(_aims(d, asked), _limits(d), d.margins, d.checks.names)


def warm_up() -> None:
    """Call once at the start of a process that scores many batches.

    Freeing one large block teaches glibc's allocator to keep blocks of that size instead of giving
    them back to the system: fresh pages cost more than the arithmetic on them.  Harmless elsewhere.
    """
    np.empty(4_000_000)


@dataclass(frozen=True)
class Sieved:
    """N drives of which only those that may matter, `rows` (R,) rising, have whole scores.

    violation (N,): of the others what a first look told, no more than the whole would be; laid: slacks of
    the first look at all (N,) by limit; has_room (N,): whether a drive passes that look and then has room.
    """

    violation: Floats
    laid: Mapping[str, Floats]
    has_room: Bools
    rows: Ints
    scores: Scores


def sieved(space: Space, X: Floats, upto: Floats) -> Sieved:
    """Scores of the vectors X (N,V) whose violation may be `upto` (N,) or less; the least of all is one of them.

    Raises FloatingPointError as `score` does.
    """
    light = Space(space.shelf.scoring(), space.architecture, space.single)
    parts = [_sieved(light, X[i : i + CHUNK], upto[i : i + CHUNK]) for i in range(0, len(X), CHUNK)]
    if len(parts) == 1:
        return parts[0]
    return Sieved(
        np.concatenate([p.violation for p in parts]),
        {n: np.concatenate([p.laid[n] for p in parts]) for n in parts[0].laid},
        np.concatenate([p.has_room for p in parts]),
        np.concatenate([i * CHUNK + p.rows for i, p in enumerate(parts)]),
        _joined([p.scores for p in parts], light.architecture),
    )


def _sieved(space: Space, X: Floats, upto: Floats) -> Sieved:
    look = first_look(space, X)
    _refuse_nan(look.slacks, space.architecture)
    violation = look.violation.copy()
    rows = _may_be(violation, upto)
    few = look.only(rows)
    asked, tallied = _asked(space.shelf.brief)
    room = room_look(space, few, tallied=tallied)
    _refuse_nan(room.slacks, space.architecture)
    bound = missed({**few.slacks, **room.slacks})
    violation[rows] = bound
    has_room = np.zeros(len(X), dtype=np.bool_)
    has_room[rows] = bound <= 0.0
    at = _may_be(bound, upto[rows])
    scores = _joined(
        [scores_of(_detail(space, few.only(at), room.only(at)), asked)], space.architecture
    )
    violation[rows[at]] = scores.violation
    return Sieved(violation, look.slacks, has_room, rows[at], scores)


def _may_be(bound: Floats, upto: Floats) -> Ints:
    """Rows whose bound (N,) is not above `upto` (N,), at least the least one."""
    rows = np.flatnonzero(bound <= upto)
    return rows if len(rows) else np.array([bound.argmin()])


def score(space: Space, X: Floats) -> Scores:
    """Scores of all vectors X (N,V), chunk by chunk; row i does not depend on the other rows.

    Raises FloatingPointError when a score is not a number: a formula left its range unguarded.
    """
    X = np.asarray(X, dtype=np.float64)
    space = Space(space.shelf.scoring(), space.architecture, space.single)
    parts = [scores_of(detail(space, X[i : i + CHUNK])) for i in range(0, X.shape[0], CHUNK)]
    return _joined(parts, space.architecture)


def _joined(parts: Sequence[Scores], architecture: str) -> Scores:
    """Scores of one chunk after another; FloatingPointError where one is not a number."""
    out = (
        parts[0]
        if len(parts) == 1
        else Scores(
            {k: np.concatenate([p.aims[k] for p in parts]) for k in parts[0].aims},
            {k: np.concatenate([p.slacks[k] for p in parts]) for k in parts[0].slacks},
            np.concatenate([p.margins for p in parts]),
            parts[0].check_names,
        )
    )
    _refuse_nan(out.aims, architecture)
    _refuse_nan(out.slacks, architecture)
    return out


def _refuse_nan(named: Mapping[str, Floats], architecture: str) -> None:
    for name, values in named.items():
        if np.isnan(values).any():
            msg = f"{architecture}: {name} is not a number for {int(np.isnan(values).sum())} drives"
            raise FloatingPointError(msg)
