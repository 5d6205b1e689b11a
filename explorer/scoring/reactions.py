"""What the mounts of the hand carry in every grip, each body balanced by itself, and the sum of it all.

One drive, its exact linkage, no friction.  Bodies and what holds them:

- the ratio part on its pivot, or its shaft in two bushes;
- levers, bars and wheels float: the exact linkage balances them, nothing holds them;
- a strand that leaves a wheel slantwise along the shaft runs through a guide there; an input strand that
  is led from the finger side runs round a guide there;
- each finger's drawbar slides along y in a guide that takes the side pull of its link, and the couple
  where finger and drive do not pull at one height;
- a finger turns on its knuckle; its coupling turns the middle joint with the knuckle, an ideal constraint
  dq2 = k dq1, and feels k N d; its spring pulls from an anchor on the drawbar's line; a closed stop takes
  what is left of the moment; a lock holds a parked drawbar, or the input, or the carriers.

Loads on mounts are what the drive does to the hand.  Externals are what the wrist, the object and the
load do to drive and fingers.  Their sums must agree: statics of rigid bodies.
Left out: weight, the slope of strands out of their plane (as in the pulls), friction, finger efficiency.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from explorer.brief.demand import Demand
from explorer.brief.grasp import arm_at, contact_at
from explorer.brief.records import Brief, Finger
from explorer.drives.exact import Exact
from explorer.drives.pulls import torque_share
from explorer.mechanics.types import Floats, Ints
from explorer.scoring.held import Held, held
from explorer.scoring.score import Detail
from explorer.scoring.wrench import Load, Wrench, size, summed, vector

Level = Literal["comfortable", "peak"]


@dataclass(frozen=True)
class Reactions:
    """One drive: positions `at` (P,), wrist pull F_in (P,), loads on mounts and externals (P,3) each."""

    at: tuple[int, ...]
    F_in: Floats
    mounts: tuple[Load, ...]
    externals: tuple[Load, ...]

    def on_mounts(self, about: Floats) -> Wrench:
        """Sum of what the mounts carry, about a place (P,3)."""
        return summed(self.mounts, about)

    def open_by(self) -> Wrench:
        """What is missing between both sums, about the hand's origin: zeros but for rounding."""
        zero = np.zeros((len(self.at), 3))
        a, b = summed(self.mounts, zero), summed(self.externals, zero)
        return Wrench(a.force - b.force, a.moment - b.moment)


def gripping(demand: Demand, exact: Exact) -> Ints:
    """Positions that hold something, powered grips and loads carried, where the exact linkage stands taut."""
    at = demand.index("grip", "carry")
    return np.asarray(at[exact.converged[at] & exact.taut[at]])


def wrist_pull(d: Detail, exact: Exact, level: Level) -> Floats:
    """F_in (P,) of each position that holds something: torque over arm, or what balances the load.

    Carried: sum m (c F_out - S) = W without friction, F_in = F_out/(F_out per F_in).
    """
    demand, brief = d.space.shelf.demand, d.space.shelf.brief
    at = gripping(demand, exact)
    wrist = demand.pull_peak if level == "peak" else demand.pull_comfortable
    there = wrist * torque_share(demand, d.motion, brief)[0, at]
    m = np.where(demand.engaged[at], demand.m_ideal[at], 0.0)
    reach, spring = np.zeros(len(at)), np.zeros(len(at))
    for f in range(m.shape[1]):
        reach = reach + m[:, f] * exact.pull_in[at, f]
        spring = spring + m[:, f] * demand.spring[at, f]
    load = demand.carried[at]
    hung = (load + spring) / np.where(reach > 0.0, reach, 1.0)
    return np.asarray(np.where(load > 0.0, hung, there))


def reactions(d: Detail, exact: Exact, F_in: Floats) -> Reactions:
    """All loads of one drive; F_in (P,) wrist pull (or what a lock holds instead) in `gripping` positions."""
    shelf = d.space.shelf
    at = gripping(shelf.demand, exact)
    h = held(shelf, d.drive, exact, at, F_in)
    mounts, externals = list(h.mounts), list(h.externals)
    for f, finger in enumerate(shelf.brief.fingers):
        on, by = _finger(_Digit(shelf.brief, shelf.demand, finger, f, at, exact, h))
        mounts += on
        externals += by
    return Reactions(tuple(int(p) for p in at), F_in, tuple(mounts), tuple(externals))


@dataclass(frozen=True)
class _Digit:
    """One finger in every position that holds something."""

    brief: Brief
    demand: Demand
    finger: Finger
    f: int
    at: Ints
    exact: Exact
    held: Held

    @property
    def T(self) -> Floats:
        """Pull of its drawbar along y (P,), N."""
        return np.asarray(self.exact.pull_out[self.at, self.f] * self.held.F_out)

    def per_position(self, value: np.ndarray) -> np.ndarray:
        """This finger's column of a table (positions, fingers)."""
        return np.asarray(value[self.at, self.f])


def _finger(g: _Digit) -> tuple[list[Load], list[Load]]:
    """Mounts and externals of one finger: guide, lock, knuckle, coupling, spring, stop; contact."""
    T, finger, name = g.T, g.finger, g.finger.name
    z_drive = g.held.z[g.f]
    open_ = g.per_position(g.demand.parked_open)
    arm = np.array([arm_at(finger, float(q)) for q in g.per_position(g.demand.q1)])
    z = finger.knuckle_z - arm
    pin_y = g.exact.pin_y[g.at, g.f]
    pin = vector(finger.pin_x, pin_y, z_drive, T)
    to_finger = np.where(open_, 0.0, T)
    none = vector(0.0, 0.0, 0.0, T)
    side = -T * np.tan(g.exact.lean[g.at, g.f])
    tipped = vector(-(z - z_drive) * to_finger, 0.0, 0.0, T)
    mounts = [
        Load(f"guide of the {name} drawbar", "guide", pin, vector(side, 0.0, 0.0, T), tipped),
        Load(f"lock of the {name} finger", "lock", pin, vector(0.0, to_finger - T, 0.0, T), none),
    ]
    spring = np.minimum(np.where(open_, 0.0, g.per_position(g.demand.spring)), to_finger)
    line = vector(finger.pin_x, pin_y, z, T)
    on_finger = [
        Load("drawbar", "contact", line, vector(0.0, -to_finger, 0.0, T), none),
        Load("spring", "spring", line, vector(0.0, spring, 0.0, T), none),
    ]
    touched = _contact(g, to_finger - spring)
    return mounts + _held_finger(g, [*on_finger, touched.load], touched, spring, line), [
        touched.load
    ]


@dataclass(frozen=True)
class _Touch:
    """What object or load does to a finger, and the couple k N d that its coupling feels (P,)."""

    load: Load
    coupling: Floats


def _contact(g: _Digit, left: Floats) -> _Touch:
    """The normal force at the pad or at the handle on the proximal phalanx; `left` (P,) pull after the spring."""
    finger, engaged = g.finger, g.per_position(g.demand.engaged)
    N = np.where(engaged, g.per_position(g.demand.m_ideal) * left, 0.0)
    y, z, a, d = (np.zeros_like(N) for _ in range(4))
    for i in np.flatnonzero(engaged):
        position = g.demand.positions[g.at[i]]
        c = contact_at(g.brief, g.brief.grips[position.grip], finger)
        y[i], z[i], a[i], d[i] = c.y, c.z, c.angle, c.past_middle
    place = vector(finger.knuckle_x, finger.knuckle_y + y, finger.knuckle_z + z, N)
    push = vector(0.0, N * np.sin(a), N * np.cos(a), N)
    return _Touch(
        Load(f"on the {finger.name} finger", "contact", place, push, np.zeros_like(push)),
        finger.coupling * N * d,
    )


def _held_finger(
    g: _Digit, on_finger: list[Load], touched: _Touch, spring: Floats, line: Floats
) -> list[Load]:
    """Knuckle, coupling, stop and spring anchor from the finger's own balance.

    The knuckle is a hinge along x: it takes every force and the couples about y and z, none about x.
    """
    finger, T = g.finger, g.T
    none = np.zeros_like(line)
    knuckle = vector(finger.knuckle_x, finger.knuckle_y, finger.knuckle_z, T)
    total = summed(on_finger, knuckle)
    stopped = ~(g.per_position(g.demand.engaged) | g.per_position(g.demand.parked_open))
    hinge = vector(0.0, total.moment[:, 1], total.moment[:, 2], T)
    stop = vector(np.where(stopped, total.moment[:, 0], 0.0), 0.0, 0.0, T)
    coupling = vector(-touched.coupling, 0.0, 0.0, T)
    return [
        Load(f"knuckle of the {finger.name} finger", "knuckle", knuckle, total.force, hinge),
        Load(f"coupling of the {finger.name} finger", "coupling", knuckle, none, coupling),
        Load(f"stop of the {finger.name} finger", "stop", knuckle, none, stop),
        Load(
            f"spring of the {finger.name} finger",
            "spring",
            line,
            vector(0.0, -spring, 0.0, T),
            none,
        ),
    ]


def worst_gap(r: Reactions) -> Floats:
    """The largest part of what does not close, relative to the largest force and moment (P,); 0 without any."""
    gap, zero = r.open_by(), np.zeros((len(r.at), 3))
    force, turning = np.zeros(len(r.at)), np.zeros(len(r.at))
    for load in r.externals + r.mounts:
        one = summed([load], zero)
        force = np.maximum(force, size(one.force))
        turning = np.maximum(turning, size(one.moment))
    parts = [size(gap.force) / np.where(force > 0.0, force, 1.0)]
    parts.append(size(gap.moment) / np.where(turning > 0.0, turning, 1.0))
    return np.maximum(parts[0], parts[1])
