"""The exact solver: where every body of one drive stands, and what every link pulls, without friction.

Links and strands keep their length, round wheels and drums with moving tangent points; forces balance
on every body.  The witness beside the explicit form that scores; drawings take their positions from it.
Derived from the lengths alone by virtual work (see `mechanics.linkage`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from explorer.drives.bodies import GearSplit, Wheel
from explorer.drives.exact_model import Model, Stage, model_of
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion, move
from explorer.drives.ratios import Rocker, input_sine
from explorer.mechanics import linkage as lk
from explorer.mechanics.types import Bools, Floats, Ints

_STRIDES = 12  # a position not reached at once is walked to from rest
_SLOPE = 0.3  # first guess of a link's run along y, at least this part of its length


@dataclass(frozen=True)
class ExactStage:
    """One equaliser in every position, (P,) each: centre (zeros of a differential), tilt or turn, rad.

    Leans rad: wrist side toward +x, a and b outward; forces along link or strand per unit of F_out.
    """

    x: Floats
    y: Floats
    tilt: Floats
    lean_in: Floats
    lean_a: Floats
    lean_b: Floats
    force_in: Floats
    force_a: Floats
    force_b: Floats
    share_a: Floats


@dataclass(frozen=True)
class Exact:
    """One drive in every position, exactly.

    theta, X, a1 (P,): turn of the ratio part, input draw, input arm; `sides` turns of the wheels that
    the strands leave; `pull_out`, `pull_in` (P,F) pulls of the fingers along y per unit of F_out, F_in;
    `lean` (P,F) of their links toward +x; `pin_y` (P,F), `rest_y` (F,) their pins;
    `residual_length` mm, `residual_force` (of F_out about 1), `converged`, `taut` (P,) each.
    """

    theta: Floats
    sides: tuple[Floats, ...]
    X: Floats
    a1: Floats
    out_per_in: Floats
    first: ExactStage | None
    second: tuple[ExactStage | None, ...]
    pull_out: Floats
    pull_in: Floats
    finger_force: Floats
    lean: Floats
    exit_lean: tuple[Floats, ...]
    lean_worst: Floats
    pin_y: Floats
    rest_y: Floats
    residual_length: Floats
    residual_force: Floats
    converged: Bools
    taut: Bools


@dataclass(frozen=True)
class Rest:
    """The drive at rest: bars level, bodies settled, links as designed; Q (n,), force (J,)."""

    Q: Floats
    force: Floats
    residual: float

    def pin_y(self, model: Model) -> Floats:
        """Finger pins (F,), mm."""
        return np.asarray(self.Q[model.finger_y])


def solve_exact(drive: Drive, draw: Floats, pin_x: Floats) -> Exact:
    """All positions of one drive: draw (P,F), pin_x (F,), mm."""
    model = model_of(drive, pin_x)
    return solve_from(drive, model, rest_of(drive, model, pin_x), draw, pin_x)


def rest_of(drive: Drive, model: Model, pin_x: Floats) -> Rest:
    """Rest by force balance and designed lengths; the finger pins' y follow."""
    link, load_rows = model.link, model.free
    fixed = np.concatenate((np.array(model.angles), model.turns))
    moving = np.concatenate((np.setdiff1d(model.free, fixed), model.finger_y))
    Q = _rest_guess(drive, model, pin_x)[None]
    m = len(moving)

    def equations(z: Floats) -> tuple[Floats, Floats]:
        at, force = _with(Q, moving, z[:, :m]), z[:, m:]
        shape = lk.shape_of(link, at)
        grad = lk.gradient(link, shape)
        r = np.concatenate(
            (shape.straight - model.straight, lk.balance(link, grad, force)[:, load_rows]), axis=-1
        )
        K = lk.stiffness(link, shape, force)[:, load_rows][:, :, moving]
        G = np.swapaxes(grad[:, :, load_rows], 1, 2)
        upper = np.concatenate(
            (shape.stretch[:, :, moving], np.zeros((1, len(model.straight), m_force))), -1
        )
        return r, np.concatenate((upper, np.concatenate((K, G), axis=-1)), axis=-2)

    m_force = link.paths
    start = np.concatenate((Q[:, moving], _force_guess(model, Q)), axis=-1)
    root = lk.newton(start, equations, np.empty(0, dtype=np.int64))
    return Rest(_with(Q, moving, root.z[:, :m])[0], root.z[0, m:], float(root.residual[0]))


def solve_from(drive: Drive, model: Model, rest: Rest, draw: Floats, pin_x: Floats) -> Exact:
    """All positions from a given rest; complex draws (derivatives) start from their real parts' roots."""
    shape0 = lk.shape_of(model.link, rest.Q)
    const = lk.lengths(model.link, shape0, rest.Q)
    real = np.ascontiguousarray(draw.real)
    Q = _guess(model, rest, move(drive, real, pin_x), real)
    z = np.concatenate((Q[:, model.free], _force_guess(model, Q)), axis=-1)
    root = _solve(model, const, Q, z)
    lost = ~_sound(model, Q, root)
    if lost.any():
        root = _walk(model, rest, const, real, root, lost)
    if np.iscomplexobj(draw):
        Q = _with(Q.astype(complex), model.finger_y, rest.pin_y(model) - draw)
        root = _solve(model, const, Q, root.z.astype(complex))
    return _report(drive, model, rest, const, Q, root)


def _with(Q: Floats, columns: Ints, values: Floats) -> Floats:
    """Q with some columns replaced; Q (P,n)."""
    out = np.array(np.broadcast_to(Q, (len(values), Q.shape[-1])), dtype=np.result_type(Q, values))
    out[:, columns] = values
    return out


def _solve(model: Model, const: Floats, Q: Floats, z: Floats) -> lk.Root:
    """Positions and forces from lengths and balances; z (P, free + J)."""
    link, free = model.link, model.free
    m = len(free)
    turns = np.flatnonzero(np.isin(free, model.turns))

    def equations(z: Floats) -> tuple[Floats, Floats]:
        at, force = _with(Q, free, z[:, :m]), z[:, m:]
        shape = lk.shape_of(link, at)
        grad = lk.gradient(link, shape)
        r = np.concatenate(
            (lk.balance(link, grad, force)[:, free], lk.lengths(link, shape, at) - const), axis=-1
        )
        K = np.zeros((*z.shape, z.shape[-1]), dtype=z.dtype)
        K[:, :m, :m] = lk.stiffness(link, shape, force)[:, free][:, :, free]
        K[:, m:, :m] = grad[:, :, free]
        K[:, :m, m:] = np.swapaxes(grad[:, :, free], 1, 2)
        return r, K

    return lk.newton(z, equations, turns)


def _sound(model: Model, Q: Floats, root: lk.Root) -> Bools:
    """True (P,) where a root is one that a drive can reach: every piece toward the fingers."""
    m = len(model.free)
    with np.errstate(all="ignore"):
        shape = lk.shape_of(model.link, _with(Q, model.free, root.z[:, :m]))
        ahead = np.all(shape.u[..., 1] > 0.0, axis=-1)
    return np.asarray(lk.converged(root.residual) & ahead)


def _walk(
    model: Model,
    rest: Rest,
    const: Floats,
    draw: Floats,
    root: lk.Root,
    lost: Bools,
) -> lk.Root:
    """Lost positions again, in strides along their draws from rest."""
    far = draw[lost]
    z = np.repeat(np.concatenate((rest.Q[model.free], rest.force))[None], len(far), axis=0)
    step = root
    for k in range(1, _STRIDES + 1):
        Q = _with(rest.Q[None], model.finger_y, rest.pin_y(model) - far * (k / _STRIDES))
        step = _solve(model, const, Q, z)
        z = step.z
        if not lk.converged(step.residual).any():
            break  # none of them can get there
    better, residual = root.z.copy(), root.residual.copy()
    better[lost], residual[lost] = z, step.residual
    return lk.Root(better, residual)


def _force_guess(model: Model, Q: Floats) -> Floats:
    """Path forces that balance best where Q (P,n) is: least squares, (P,J)."""
    link = model.link
    G = lk.gradient(link, lk.shape_of(link, Q))[..., model.free]
    normal = np.einsum("pjn,pkn->pjk", G, G)
    right = (G * link.load[model.free]).sum(axis=-1)
    return lk.solve_rows(normal, right)


def _stages(model: Model, motion: Motion) -> list[tuple[Stage, Floats, Floats, Floats]]:
    """Stage, explicit x, draw and tilt (P,) of every floating body."""
    pairs = [(model.first, motion.first), *zip(model.second, motion.second, strict=True)]
    return [
        (s, m.x[0], m.y[0], m.tilt[0])
        for s, m in pairs
        if s is not None and m is not None and s.x >= 0
    ]


def _rest_guess(drive: Drive, model: Model, pin_x: Floats) -> Floats:
    """Q (n,): x as the explicit form settles, y along the lengths, bars level."""
    Q = model.Q.copy()
    motion = move(drive, np.zeros((1, len(pin_x))), pin_x)
    for stage, x, _, _ in _stages(model, motion):
        Q[stage.x] = x[0]
    if isinstance(drive.ratio, Rocker):
        Q[model.angles[0]] = drive.ratio.theta_s[0, 0]
    start, end, link = model.link.start, model.link.end, model.link
    for s, length in enumerate(model.straight):
        angle = start.sense[s] * Q[start.turn[s]]
        arm_x, arm_y = start.arm[s]
        x = (
            Q[start.x[s]]
            + np.cos(angle) * arm_x
            - np.sin(angle) * arm_y
            + link.side[s] * link.radius[s]
        )
        y = Q[start.y[s]] + np.sin(angle) * arm_x + np.cos(angle) * arm_y
        run = length * length - (Q[end.x[s]] - x) * (Q[end.x[s]] - x)
        Q[end.y[s]] = y + np.sqrt(max(run, _SLOPE * _SLOPE * length * length))
    return Q


def _guess(model: Model, rest: Rest, motion: Motion, draw: Floats) -> Floats:
    """Q (P,n) from the explicit form, shifted so that it agrees at rest."""
    Q = _with(rest.Q[None], model.finger_y, rest.pin_y(model) - draw)
    for stage, x, y, tilt in _stages(model, motion):
        Q[:, stage.x] = x
        Q[:, stage.y] -= y
        if stage.turn >= 0:
            Q[:, stage.turn] = tilt
    theta = motion.theta[0]
    if len(model.angles) > 1 and motion.first is not None:
        split = motion.first.tilt[0]
        Q[:, model.angles[0]], Q[:, model.angles[1]] = theta + split, theta - split
    else:
        Q[:, model.angles[0]] = theta
    return Q


@dataclass(frozen=True)
class _Found:
    """What every piece does: lean toward +x and force per F_out (P,S), y pull (P,S)."""

    Q: Floats
    lean: Floats
    force: Floats
    pull: Floats
    taken: Floats
    taken_rest: Floats


def _stage(drive: Drive, model: Model, found: _Found, k: int) -> ExactStage | None:
    """Stage k (-1: the first) as a record."""
    stage = model.first if k < 0 else model.second[k]
    body = drive.first if k < 0 else drive.carriers[k].body
    if stage is None or body is None:
        return None
    a, b, up = stage.piece_a, stage.piece_b, stage.piece_in
    zero = np.zeros_like(found.Q[:, 0])
    tilt = zero
    if isinstance(body, GearSplit):
        tilt = (found.Q[:, model.angles[0]] - found.Q[:, model.angles[1]]) / 2.0
    elif isinstance(body, Wheel):
        tilt = (found.taken_rest[a] - found.taken[:, a]) / (body.D[0, 0] / 2.0)
    else:
        tilt = found.Q[:, stage.turn]
    pull_a, pull_b = found.pull[:, a], found.pull[:, b]
    return ExactStage(
        x=found.Q[:, stage.x] if stage.x >= 0 else zero,
        y=found.Q[:, stage.y] if stage.y >= 0 else zero,
        tilt=tilt,
        lean_in=found.lean[:, up] if up >= 0 else zero,
        lean_a=-found.lean[:, a],
        lean_b=found.lean[:, b],
        force_in=found.force[:, up] if up >= 0 else zero,
        force_a=found.force[:, a],
        force_b=found.force[:, b],
        share_a=pull_a / (pull_a + pull_b),
    )


def _found(model: Model, rest: Rest, Q: Floats, force: Floats) -> tuple[_Found, Floats]:
    """Pieces of every position, and F_out (P,) for the load that was set."""
    shape = lk.shape_of(model.link, Q)
    tension = force[:, model.link.path]
    pull = tension * shape.u[..., 1]
    F_out = pull[:, list(model.exits)].sum(axis=-1)
    lean = np.arctan(shape.u[..., 0] / shape.u[..., 1])
    rest_taken = lk.shape_of(model.link, rest.Q).taken
    per = F_out[:, None]
    return _Found(Q, lean, tension / per, pull / per, shape.taken, rest_taken), F_out


def _input_lean(drive: Drive, theta: Floats) -> Floats:
    """Lean of the input drawbar either way (P,), rad."""
    sine = np.abs(input_sine(drive.ratio, theta[None])[0])
    return np.asarray(np.arcsin(np.minimum(sine.real, 1.0)))


def _residuals(model: Model, const: Floats, Q: Floats, force: Floats) -> tuple[Floats, Floats]:
    """Largest error of a length, mm, and of a balance (P,)."""
    shape = lk.shape_of(model.link, Q)
    off = lk.balance(model.link, lk.gradient(model.link, shape), force)[:, model.free]
    return (
        np.abs(lk.lengths(model.link, shape, Q) - const).max(axis=-1),
        np.abs(off).max(axis=-1),
    )


def _report(
    drive: Drive,
    model: Model,
    rest: Rest,
    const: Floats,
    Q: Floats,
    root: lk.Root,
) -> Exact:
    m = len(model.free)
    with np.errstate(all="ignore"):
        at, force = _with(Q, model.free, root.z[:, :m]), root.z[:, m:]
        found, F_out = _found(model, rest, at, force)
        sides = tuple(at[:, t] for t in model.angles)
        theta = np.mean(sides, axis=0)  # a cage turns by the mean of both sides
        a1 = drive.ratio.arms(theta[None], np.ones_like(theta[None])).at_in[0]
        moment = model.link.load.sum()
        out_per_in = F_out * a1 / moment
        lengths, forces = _residuals(model, const, at, force)
        first = _stage(drive, model, found, -1)
        return Exact(
            theta=theta,
            sides=sides,
            X=np.asarray(drive.ratio.stroke(theta[None])[0]),
            a1=a1,
            out_per_in=out_per_in,
            first=first,
            second=tuple(_stage(drive, model, found, k) for k in range(len(model.second))),
            pull_out=found.pull[:, model.finger_piece],
            pull_in=found.pull[:, model.finger_piece] * out_per_in[:, None],
            finger_force=found.force[:, model.finger_piece],
            lean=found.lean[:, model.finger_piece],
            exit_lean=tuple(found.lean[:, p] for p in model.exits),
            lean_worst=np.maximum(np.abs(found.lean).max(axis=-1), _input_lean(drive, theta)),
            pin_y=at[:, model.finger_y],
            rest_y=rest.pin_y(model),
            residual_length=lengths,
            residual_force=forces,
            converged=_sound(model, Q, root) & bool(lk.converged(np.array(rest.residual))),
            taut=np.all(force.real > 0.0, axis=-1),
        )
