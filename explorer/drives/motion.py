"""Motion of a batch of drives in every position: draws, tilts, settled places, leans, shares, arms.

The explicit form that scores.  `skeleton=True` switches the leans off (parallel links): there the form
closes virtual work exactly, whatever the drive.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.bodies import Bar, Body, Brackets, Ends, GearSplit, Leans, Wheel
from explorer.drives.layout import Carrier, Drive
from explorer.drives.ratios import Rocker, Spool, input_sine
from explorer.mechanics import equaliser as eq
from explorer.mechanics import settle
from explorer.mechanics.guard import at_least, overshoot
from explorer.mechanics.types import Floats

_LEAST_STRAND = 0.5  # mm; shorter is refused by the strand limits


@dataclass(frozen=True)
class StageMotion:
    """One equaliser in every position, (N,P) each; `lean_*` sines of outward leans, unclipped."""

    s_a: Floats
    s_b: Floats
    y: Floats
    tilt: Floats
    tilt_over: Floats
    x: Floats
    sine_in: Floats
    sine_a: Floats
    sine_b: Floats
    leans: Leans
    share_a: Floats
    share_b: Floats
    skew: Floats
    ends: Ends
    brackets: Brackets | None


@dataclass(frozen=True)
class Motion:
    """The whole drive in every position, (N,P) each.

    `second[k]` is None where carrier k is a finger alone; `alone_cos[k]` is then its link's.
    a1, a2 with leans; a1_0, a2_0 of the parallel skeleton; `exit_x` where link or strand leaves.
    """

    draw: Floats  # (P,F)
    carrier_y: tuple[Floats, ...]
    carrier_x: tuple[Floats, ...]
    first: StageMotion | None
    second: tuple[StageMotion | None, ...]
    alone_cos: tuple[Floats, ...]  # cos of the link of a finger alone; ones elsewhere
    Y: Floats
    X: Floats
    theta: Floats
    turn_over: Floats
    a1: Floats
    a2: Floats
    a1_0: Floats
    a2_0: Floats
    exit_x: Floats
    exit_sine: tuple[Floats, ...]  # leans of what leaves the ratio part, + toward +x
    lean_worst: Floats  # (N,P) largest |sine| of any lean, a short input drawbar's too

    @property
    def step(self) -> Floats:
        """dY/dX (N,P) = a2/a1: F_in/F_out without friction."""
        return self.a2 / self.a1


def _cos(sine: Floats) -> Floats:
    return settle.lean_cos(sine)


def _leans(sine_in: Floats, sine_a: Floats, sine_b: Floats) -> Leans:
    return Leans(
        cos_in=_cos(sine_in),
        tan_a=settle.lean_tan(sine_a),
        cos_a=_cos(sine_a),
        tan_b=settle.lean_tan(sine_b),
        cos_b=_cos(sine_b),
    )


@dataclass(frozen=True)
class Drawn:
    """One place on the way up from the fingers: draws of its sides, tilt, draw of its centre (N,P)."""

    s_a: Floats
    s_b: Floats
    phi: Floats
    y: Floats


@dataclass(frozen=True)
class _Hung:
    """A carrier's sideways equation x = alpha + beta x_wrist and what its leans need."""

    alpha: Floats
    beta: Floats | float
    L_in: Floats
    L_a: Floats
    L_b: Floats
    ends: Ends | None


def drawn(body: Body | None, s_a: Floats, s_b: Floats) -> Drawn:
    """Draw of a body's centre by its two sides; a finger alone draws its own link."""
    if body is None:
        return Drawn(s_a, s_b, 0.0 * s_a, s_a)
    phi = body.tilt(s_a, s_b)
    return Drawn(s_a, s_b, phi, body.draw(s_a, s_b, phi))


def _wrist_lengths(drive: Drive, up: tuple[Drawn, ...], L_exit: Floats) -> tuple[Floats, ...]:
    """Wrist-side length of each carrier's link or strand in every position (N,P)."""
    first = drive.first
    if first is None:
        return (L_exit,)
    if isinstance(first, GearSplit):  # each chain wheel winds its own strand
        pays = tuple(-u.y for u in up)
    else:
        pay = first.pay_out(up[0].y, up[1].y)
        pays = (-pay, pay)
    return tuple(
        at_least(c.L_in + pay, _LEAST_STRAND) for c, pay in zip(drive.carriers, pays, strict=True)
    )


def _hang(carrier: Carrier, u: Drawn, pin_x: Floats, L_in: Floats) -> _Hung:
    """The sideways equation of one carrier; a finger alone stays at its pin."""
    body = carrier.body
    if body is None:
        at = pin_x[carrier.fingers[0]] + 0.0 * u.y
        return _Hung(at, 0.0, L_in, at, at, None)
    i, j = carrier.fingers
    pay = body.pay_out(u.s_a, u.s_b)
    L_a = at_least(carrier.L_out[0] - pay, _LEAST_STRAND)
    L_b = at_least(carrier.L_out[1] + pay, _LEAST_STRAND)
    c = body.plain_share(u.phi)
    w_in, w_a, w_b = 1.0 / L_in, c / L_a, (1.0 - c) / L_b
    ends = body.ends(u.phi)
    m = w_a * (pin_x[i] - ends.xa) + w_b * (pin_x[j] - ends.xb)
    total = w_in + w_a + w_b
    return _Hung(m / total, w_in / total, L_in, L_a, L_b, ends)


@dataclass(frozen=True)
class Led:
    """A carrier on a strand wound from x: it settles at `x` + `follows` times that; free `length` (N,P)."""

    x: Floats
    follows: Floats | float
    length: Floats


def led(drive: Drive, up: tuple[Drawn, ...], pin_x: Floats, longer: Floats) -> tuple[Led, ...]:
    """Carriers drawn so far whose strands a ratio part winds, strands `longer` than the drive's (N,1)."""
    lengths = _wrist_lengths(drive, up, at_least(drive.L_exit - up[0].y, _LEAST_STRAND))
    hung = (
        _hang(c, u, pin_x, L + longer) for c, u, L in zip(drive.carriers, up, lengths, strict=True)
    )
    return tuple(Led(h.alpha, h.beta, h.L_in) for h in hung)


def _settle_first(
    first: Bar | Wheel,
    top: Drawn,
    ends: Ends,
    hung: tuple[_Hung, ...],
    exit_x: Floats,
    L_exit: Floats,
) -> Floats:
    """x of the first body: both carriers' equations put into its own, one small linear system."""
    share = first.plain_share(top.phi)
    moment, pull = 0.0 * exit_x, 1.0 / L_exit
    for h, c, o in zip(hung, (share, 1.0 - share), (ends.xa, ends.xb), strict=True):
        w = c / h.L_in
        moment = moment + w * (h.alpha + h.beta * o - o)
        pull = pull + w * (1.0 - h.beta)
    return np.asarray((exit_x / L_exit + moment) / pull)


def _stage(
    body: Body, u: Drawn, x: Floats, ends: Ends, leans: tuple[Floats, Floats, Floats]
) -> StageMotion:
    """Shares and skew of one body from the sines of its leans: wrist side, a, b."""
    lean = _leans(*leans)
    split = body.sharing(lean, ends)
    return StageMotion(
        u.s_a,
        u.s_b,
        u.y,
        u.phi,
        body.tilt_over(u.s_a, u.s_b),
        x,
        *leans,
        lean,
        split.share_a,
        split.share_b,
        split.skew,
        ends,
        split.brackets,
    )


def _second(
    carrier: Carrier, h: _Hung, u: Drawn, pin_x: Floats, x_wrist: Floats, off: float
) -> StageMotion | None:
    """A carrier's body where it settles; `off` 0 switches its leans off."""
    if carrier.body is None or h.ends is None:
        return None
    i, j = carrier.fingers
    x = h.alpha + h.beta * x_wrist
    sine_a = off * settle.lean_sine(x + h.ends.xa - pin_x[i], h.L_a)
    sine_b = off * settle.lean_sine(pin_x[j] - x - h.ends.xb, h.L_b)
    sine_in = off * settle.lean_sine(x - x_wrist, h.L_in)
    return _stage(carrier.body, u, x, h.ends, (sine_in, sine_a, sine_b))


def move(drive: Drive, draw: Floats, pin_x: Floats, *, skeleton: bool = False) -> Motion:
    """All positions of all candidates: draw (P,F) or (N,P,F), pin_x (F,)."""
    off = 0.0 if skeleton else 1.0
    # candidates lie side by side in memory: a column of sizes (N,1) then meets a position at full speed
    shape = (drive.n, draw.shape[-2])
    grid = np.zeros(shape, dtype=np.result_type(draw.dtype, np.float64), order="F")
    s = [np.asfortranarray(draw[..., f] + grid) for f in range(draw.shape[-1])]

    up = tuple(drawn(c.body, s[c.fingers[0]], s[c.fingers[-1]]) for c in drive.carriers)
    first = drive.first
    top = up[0] if first is None else drawn(first, up[0].y, up[1].y)
    turn = drive.ratio.turn(top.y)
    exit_x = drive.ratio.exit_x(turn.theta) + grid

    L_exit = drive.L_exit - top.y if drive.ratio.spools else drive.L_exit + grid
    L_exit = at_least(L_exit, _LEAST_STRAND)
    L_ins = _wrist_lengths(drive, up, L_exit)
    hung = tuple(_hang(c, u, pin_x, L) for c, u, L in zip(drive.carriers, up, L_ins, strict=True))
    x_first, ends = exit_x, None
    starts: tuple[Floats, ...] = (exit_x,)
    if isinstance(first, GearSplit) and isinstance(drive.ratio, Spool):
        ends = first.ends(top.phi)
        starts = tuple(e + grid for e in drive.ratio.exits)
    elif first is not None and not isinstance(first, GearSplit):
        ends = first.ends(top.phi)
        x_first = _settle_first(first, top, ends, hung, exit_x, L_exit)
        starts = (x_first + ends.xa, x_first + ends.xb)
    second = tuple(
        _second(c, h, u, pin_x, x, off)
        for c, h, u, x in zip(drive.carriers, hung, up, starts, strict=True)
    )
    carrier_x = tuple(h.alpha if m is None else m.x for h, m in zip(hung, second, strict=True))
    # leans of the carriers' wrist-side members, outward on each side
    outward = tuple(
        off * sign * (x - start) / L
        for sign, x, start, L in zip((-1.0, 1.0), carrier_x, starts, L_ins, strict=False)
    )
    first_motion: StageMotion | None = None
    exit_sine: tuple[Floats, ...] = (-outward[0],)
    if first is not None and ends is not None:
        split = isinstance(first, GearSplit)
        sine_in = grid if split else off * (x_first - exit_x) / L_exit
        first_motion = _stage(first, top, x_first, ends, (sine_in, outward[0], outward[1]))
        exit_sine = (-outward[0], outward[1]) if split else (sine_in,)
    arms = _arms(drive, turn.theta, exit_sine)
    sine_input = off * input_sine(drive.ratio, turn.theta)
    return Motion(
        draw,
        tuple(u.y for u in up),
        carrier_x,
        first_motion,
        second,
        tuple(_cos(o) if m is None else grid + 1.0 for m, o in zip(second, outward, strict=True)),
        top.y,
        drive.ratio.stroke(turn.theta, skeleton=skeleton) + grid,
        turn.theta,
        turn.over,
        arms.a1,
        arms.a2,
        arms.a1_0,
        arms.a2_0,
        exit_x,
        exit_sine,
        _worst_lean((first_motion, *second), (*exit_sine, *outward, sine_input)),
    )


def _worst_lean(stages: tuple[StageMotion | None, ...], others: tuple[Floats, ...]) -> Floats:
    """Largest |sine| of any lean (N,P)."""
    sines = [q for m in stages if m is not None for q in (m.sine_in, m.sine_a, m.sine_b)]
    worst = np.abs(np.real(others[0]))
    for q in (*others[1:], *sines):
        worst = np.maximum(worst, np.abs(np.real(q)))
    return worst


@dataclass(frozen=True)
class _Arms:
    """Arms with leans and of the parallel skeleton (N,P), mm."""

    a1: Floats
    a2: Floats
    a1_0: Floats
    a2_0: Floats


def _arms(drive: Drive, theta: Floats, exit_sine: tuple[Floats, ...]) -> _Arms:
    r, first = drive.ratio, drive.first
    if isinstance(r, Rocker):
        tan = r.side * settle.lean_tan(exit_sine[0])
        a1_0, a2_0 = r.r1 * np.cos(theta + r.beta), r.r2 * np.cos(theta)
        arms = r.arms(theta, tan)
        return _Arms(arms.at_in, arms.at_out, a1_0, a2_0)
    arms = r.arms(theta, _cos(exit_sine[0]))
    a1 = arms.at_in
    if isinstance(first, GearSplit):
        one = np.ones_like(theta)
        plain = eq.gear_split_arm(first.r_a, first.r_b, one, one)
        leaning = eq.gear_split_arm(first.r_a, first.r_b, _cos(exit_sine[0]), _cos(exit_sine[1]))
        return _Arms(a1, leaning, a1, plain)
    return _Arms(a1, arms.at_out, a1, r.a2 + 0.0 * theta)


def strand_lengths(drive: Drive, motion: Motion) -> tuple[tuple[Floats, Floats], ...]:
    """Free strand of each second-stage side in every position, mm: ((a, b), ...) a carrier, (N,P)."""
    out = []
    for c, m in zip(drive.carriers, motion.second, strict=True):
        if m is None or isinstance(c.body, Bar) or c.body is None:
            continue
        pay = c.body.pay_out(m.s_a, m.s_b)
        out.append((c.L_out[0] - pay, c.L_out[1] + pay))
    return tuple(out)


def worst_overshoot(motion: Motion) -> Floats:
    """Largest overshoot of any sine (N,P): how far beyond reach a drive is asked to go."""
    worst = np.maximum(motion.turn_over, overshoot(motion.lean_worst))
    for m in (motion.first, *motion.second):
        if m is not None:
            worst = np.maximum(worst, m.tilt_over)
    return worst
