"""Motion of a batch of drives in every position: draws, tilts, settled places, leans, shares, arms.

The explicit form that scores.  `skeleton=True` switches the leans off (parallel links): there the form
closes virtual work exactly, whatever the drive.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.bodies import Bar, Body, GearSplit, Leans
from explorer.drives.layout import Carrier, Drive
from explorer.drives.ratios import Rocker
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
    skew: Floats

    @property
    def share_b(self) -> Floats:
        """c_b."""
        return 1.0 - self.share_a


@dataclass(frozen=True)
class Motion:
    """The whole drive in every position, (N,P) each.

    `second[k]` is None where carrier k is a finger alone; then `alone_sine[k]` is its link's lean.
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
    lean_worst: Floats  # (N,P) largest |sine| of any lean

    @property
    def step(self) -> Floats:
        """dY/dX (N,P) = a2/a1: F_in/F_out without friction."""
        return self.a2 / self.a1


def _cos(sine: Floats) -> Floats:
    return settle.lean_cos(sine)


def _leans(body: Body, phi: Floats, sines: tuple[Floats, Floats, Floats]) -> Leans:  # noqa: ARG001
    s_in, s_a, s_b = sines
    return Leans(
        cos_in=_cos(s_in), tan_a=settle.lean_tan(s_a), cos_a=_cos(s_a),
        tan_b=settle.lean_tan(s_b), cos_b=_cos(s_b),
    )


@dataclass(frozen=True)
class _Hung:
    """A carrier's sideways equation x = alpha + beta x_wrist and what its leans need."""

    alpha: Floats
    beta: Floats
    L_in: Floats
    L_a: Floats
    L_b: Floats
    phi: Floats


def _hang(carrier: Carrier, pin_x: Floats, s_a: Floats, s_b: Floats, phi: Floats, L_in: Floats) -> _Hung:
    body = carrier.body
    assert body is not None  # noqa: S101 - callers pass pairs only
    i, j = carrier.fingers
    pay = body.pay_out(s_a, s_b)
    L_a = at_least(carrier.L_out[0] - pay, _LEAST_STRAND)
    L_b = at_least(carrier.L_out[1] + pay, _LEAST_STRAND)
    c = body.plain_share(phi)
    w_a, w_b = c / L_a, (1.0 - c) / L_b
    m = w_a * (pin_x[i] - body.offset_a(phi)) + w_b * (pin_x[j] - body.offset_b(phi))
    w_in = 1.0 / L_in
    total = w_in + w_a + w_b
    return _Hung(m / total, w_in / total, L_in, L_a, L_b, phi)


def _second(  # noqa: PLR0913
    carrier: Carrier, h: _Hung, pin_x: Floats, s_a: Floats, s_b: Floats, x_wrist: Floats, skeleton: bool,
) -> StageMotion:
    body = carrier.body
    assert body is not None  # noqa: S101
    i, j = carrier.fingers
    x = h.alpha + h.beta * x_wrist
    off = 0.0 if skeleton else 1.0
    sine_a = off * settle.lean_sine(x + body.offset_a(h.phi) - pin_x[i], h.L_a)
    sine_b = off * settle.lean_sine(pin_x[j] - x - body.offset_b(h.phi), h.L_b)
    sine_in = off * settle.lean_sine(x - x_wrist, h.L_in)
    leans = _leans(body, h.phi, (sine_in, sine_a, sine_b))
    share = body.share(h.phi, leans)
    return StageMotion(
        s_a, s_b, body.draw(s_a, s_b, h.phi), h.phi, body.tilt_over(s_a, s_b), x,
        sine_in, sine_a, sine_b, leans, share, body.skew(h.phi, leans, share),
    )


def move(drive: Drive, draw: Floats, pin_x: Floats, *, skeleton: bool = False) -> Motion:
    """All positions of all candidates: draw (P,F) or (N,P,F), pin_x (F,)."""
    # candidates lie side by side in memory: a column of sizes (N,1) then meets a position at full speed
    shape = (drive.n, draw.shape[-2])
    grid = np.zeros(shape, dtype=np.result_type(draw.dtype, np.float64), order="F")
    s = [np.asfortranarray(draw[..., f] + grid) for f in range(draw.shape[-1])]
    # draws upward from the fingers
    phis: list[Floats] = []
    ys: list[Floats] = []
    for c in drive.carriers:
        if c.body is None:
            phis.append(grid)
            ys.append(s[c.fingers[0]])
        else:
            a, b = s[c.fingers[0]], s[c.fingers[1]]
            phi = c.body.tilt(a, b)
            phis.append(phi)
            ys.append(c.body.draw(a, b, phi))
    first = drive.first
    if first is None:
        Y, phi1 = ys[0], grid
    else:
        phi1 = first.tilt(ys[0], ys[1])
        Y = first.draw(ys[0], ys[1], phi1)
    theta = drive.ratio.turn(Y)
    exit_x = drive.ratio.exit_x(theta) + grid

    # sideways: wrist-side lengths, then one small linear system
    wound = drive.ratio.spools
    L_exit = at_least(drive.L_exit - Y, _LEAST_STRAND) if wound else drive.L_exit + grid
    if isinstance(first, GearSplit):
        x_wrists = [e + grid for e in drive.ratio.exits]  # type: ignore[union-attr]
        L_ins = [at_least(c.L_in - y, _LEAST_STRAND) for c, y in zip(drive.carriers, ys, strict=True)]
    elif first is None:
        x_wrists, L_ins = [exit_x], [L_exit]
    else:
        pay = first.pay_out(ys[0], ys[1])
        L_ins = [
            at_least(c.L_in + sign * pay, _LEAST_STRAND)
            for c, sign in zip(drive.carriers, (-1.0, 1.0), strict=True)
        ]
        x_wrists = []
    hung = [
        None if c.body is None else _hang(c, pin_x, s[c.fingers[0]], s[c.fingers[1]], phi, L)
        for c, phi, L in zip(drive.carriers, phis, L_ins, strict=True)
    ]
    x_first = exit_x
    if first is not None and not isinstance(first, GearSplit):
        share = first.plain_share(phi1)
        offsets = (first.offset_a(phi1), first.offset_b(phi1))
        w = [share / L_ins[0], (1.0 - share) / L_ins[1]]
        moment, pull = grid, 1.0 / L_exit
        for k, h in enumerate(hung):
            if h is None:
                alpha, beta = pin_x[drive.carriers[k].fingers[0]] + grid, 0.0
            else:
                alpha, beta = h.alpha + h.beta * offsets[k], h.beta
            moment = moment + w[k] * (alpha - offsets[k])
            pull = pull + w[k] * (1.0 - beta)
        x_first = (exit_x / L_exit + moment) / pull
        x_wrists = [x_first + o for o in offsets]

    second = tuple(
        None if h is None else _second(c, h, pin_x, s[c.fingers[0]], s[c.fingers[1]], xw, skeleton)
        for c, h, xw in zip(drive.carriers, hung, x_wrists, strict=True)
    )
    off = 0.0 if skeleton else 1.0
    carrier_x = tuple(
        pin_x[c.fingers[0]] + grid if m is None else m.x
        for c, m in zip(drive.carriers, second, strict=True)
    )
    # leans of the carriers' wrist-side links, outward on each side
    outward = [
        off * sign * (x - xw) / L
        for sign, x, xw, L in zip((-1.0, 1.0), carrier_x, x_wrists, L_ins, strict=False)
    ]
    alone = tuple(
        grid + 1.0 if m is not None else _cos(o) for m, o in zip(second, outward, strict=True)
    )
    if first is None:
        exit_sine = (outward[0] * -1.0,)
        first_motion = None
        x_body = carrier_x[0]
    else:
        sine_in = off * (x_first - exit_x) / L_exit if not isinstance(first, GearSplit) else grid
        leans = _leans(first, phi1, (sine_in, outward[0], outward[1]))
        share = first.share(phi1, leans)
        first_motion = StageMotion(
            ys[0], ys[1], Y, phi1, first.tilt_over(ys[0], ys[1]), x_first,
            sine_in, outward[0], outward[1], leans, share, first.skew(phi1, leans, share),
        )
        exit_sine = (-outward[0], outward[1]) if isinstance(first, GearSplit) else (sine_in,)
        x_body = x_first
    a1_0, a2_0, a1, a2 = _arms(drive, theta, exit_sine, first, x_body)
    lean = np.abs(np.real(exit_sine[0]))
    for m in (first_motion, *second):
        if m is not None:
            for q in (m.sine_in, m.sine_a, m.sine_b):
                lean = np.maximum(lean, np.abs(np.real(q)))
    for m, o in zip(second, outward, strict=True):
        if m is None:
            lean = np.maximum(lean, np.abs(np.real(o)))
    return Motion(
        draw, tuple(ys), carrier_x, first_motion, second, alone, Y, drive.ratio.stroke(theta, skeleton=skeleton) + grid,
        theta, drive.ratio.turn_over(Y), a1, a2, a1_0, a2_0, exit_x, exit_sine, lean,
    )


def _arms(
    drive: Drive, theta: Floats, exit_sine: tuple[Floats, ...], first: object, x_body: Floats,  # noqa: ARG001
) -> tuple[Floats, Floats, Floats, Floats]:
    """a1, a2 of the skeleton, then with leans (N,P)."""
    r = drive.ratio
    if isinstance(r, Rocker):
        tan = r.side * settle.lean_tan(exit_sine[0])
        return (
            r.r1 * np.cos(theta + r.beta), r.r2 * np.cos(theta), r.arm_in(theta), r.arm_out(theta, tan),
        )
    a1 = r.arm_in(theta)
    if isinstance(first, GearSplit):
        cos_a, cos_b = _cos(exit_sine[0]), _cos(exit_sine[1])
        plain = 2.0 * first.r_a * first.r_b / (first.r_a + first.r_b) + 0.0 * theta
        return a1, plain, a1, eq.gear_split_arm(first.r_a, first.r_b, cos_a, cos_b)
    return a1, r.a2 + 0.0 * theta, a1, r.arm_out(theta, _cos(exit_sine[0]))


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
