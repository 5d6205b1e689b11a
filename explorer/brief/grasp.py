"""How each finger meets each object, and what stops it from doing so, in the maker's words.

Paths name things as the reader does: `grip.bottle.width_mm`, `finger.ring.drive`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import atan, ceil, cos, degrees, floor, isfinite, nan, sin
from typing import Literal

import numpy as np

from explorer.brief.errors import RANK_BETWEEN, RANK_REACH, Problem, short
from explorer.brief.records import Brief, Finger, Grip, Post, Sector
from explorer.mechanics import finger as fm
from explorer.mechanics.types import Floats

FILE = "brief.toml"


@dataclass(frozen=True)
class Grasp:
    """One finger at work: draw mm, q1 rad, m with and m_ideal without its efficiency, press cos(gamma)."""

    draw: float
    q1: float
    m: float
    m_ideal: float
    press: float


@dataclass(frozen=True)
class Tried:
    """A grasp, or the reasons why there is none."""

    grasp: Grasp | None
    problems: tuple[Problem, ...]


def digit_of(finger: Finger) -> fm.Digit:
    """The finger's geometry as the formulas take it."""
    return fm.Digit(
        L1=finger.L1,
        L2=finger.L2,
        k=finger.coupling,
        q1_rest=finger.q1_rest,
        q2_rest=finger.q2_rest,
        q1_max=finger.q1_max,
        d=finger.pad_distance,
        d_min=finger.d_min,
        d_max=finger.d_max,
        t=finger.pad_thickness,
    )


def draw_at(finger: Finger, q1: float) -> float:
    """Drawbar draw at q1, mm."""
    turn = _one(q1 - finger.q1_rest)
    drive = finger.drive
    if isinstance(drive, Sector):
        return float(fm.sector_draw(_one(drive.radius), turn))
    return float(fm.crank_draw(_one(drive.radius), _one(drive.psi), turn))


def arm_at(finger: Finger, q1: float) -> float:
    """Arm ds/dq1 at q1, mm."""
    drive = finger.drive
    if isinstance(drive, Sector):
        return drive.radius
    return float(fm.crank_arm(_one(drive.radius), _one(drive.psi), _one(q1 - finger.q1_rest)))


def angle_at(finger: Finger, draw: float) -> float:
    """q1 at a draw, rad."""
    drive = finger.drive
    if isinstance(drive, Sector):
        return finger.q1_rest + float(fm.sector_turn(_one(drive.radius), _one(draw)))
    return finger.q1_rest + float(fm.crank_turn(_one(drive.radius), _one(drive.psi), _one(draw)))


def drive_problems(finger: Finger) -> tuple[Problem, ...]:
    """A crank whose dead point lies inside the flexion range cannot draw through it."""
    drive = finger.drive
    travel = finger.q1_max - finger.q1_rest
    if isinstance(drive, Sector) or not fm.has_dead_point(drive.psi, travel):
        return ()
    first, last = degrees(drive.psi), degrees(drive.psi + travel)
    message = (
        f"{finger.name} finger: its crank meets a dead point inside the flexion range "
        f"(it turns from {first:.1f}° to {last:.1f}° from the normal to the pull)."
    )
    mend = f"Start nearer to psi = {-degrees(travel) / 2:.0f}°, or flex less."
    where = f"finger.{finger.name}.drive"
    return (_problem(where, "", "both within ±90°", mend, message, RANK_BETWEEN),)


def tried(brief: Brief, grip: Grip, finger: Finger) -> Tried:
    """An engaged finger in this grip."""
    if grip.kind == "carry":
        return _carried(grip, finger)
    assert grip.post is not None  # noqa: S101 - the reader lets no powered grip pass without one
    return _pressed(brief, grip, finger, brief.posts[grip.post])


def _carried(grip: Grip, finger: Finger) -> Tried:
    problems = []
    low, high = finger.q1_rest, finger.q1_max
    who = f'{finger.name} finger, grip "{grip.name}"'
    if not low <= grip.carry_q1 <= high:
        allowed = f"{degrees(low):g} to {degrees(high):g} deg"
        message = f"{who}: it cannot carry at an angle outside its flexion range."
        where = f"grip.{grip.name}.q1_deg"
        problems.append(_problem(where, _deg(grip.carry_q1), allowed, "", message))
    if not 0.0 < grip.carry_h <= finger.L1:
        allowed = f"more than 0, at most {finger.L1:g} mm"
        message = f"{who}: the load does not hang on the proximal phalanx."
        where = f"grip.{grip.name}.h_mm"
        problems.append(_problem(where, short(grip.carry_h), allowed, "", message))
    if problems:
        return Tried(None, tuple(problems))
    arm, h = _one(arm_at(finger, grip.carry_q1)), _one(grip.carry_h)
    m_ideal = float(fm.carry_ratio(arm, h, _one(1.0)))
    m = float(fm.carry_ratio(arm, h, _one(finger.efficiency)))
    draw = draw_at(finger, grip.carry_q1)
    return Tried(Grasp(draw, grip.carry_q1, m, m_ideal, 1.0), ())


def _pressed(brief: Brief, grip: Grip, finger: Finger, post: Post) -> Tried:
    g, seat = digit_of(finger), _seat_of(post)
    contact = _contact(grip.shape, g, seat, grip.width)
    if contact.outcome != "touches":
        return Tried(None, (_contact_problem(grip, finger, post, contact),))
    closing = float(fm.closing_arm(g, _one(contact.q1), _one(contact.d)))
    gamma = float(fm.slip_angle(_one(contact.dev), _one(post.cradle), grip.shape or "round"))
    problems = [*_weak(grip, finger, closing), *_slips(brief, grip, finger, gamma)]
    if problems:
        return Tried(None, tuple(problems))
    arm = _one(arm_at(finger, contact.q1))
    m_ideal = float(fm.force_ratio(arm, _one(closing), _one(1.0)))
    m = float(fm.force_ratio(arm, _one(closing), _one(finger.efficiency)))
    return Tried(Grasp(draw_at(finger, contact.q1), contact.q1, m, m_ideal, cos(gamma)), ())


def _seat_of(post: Post) -> fm.Seat:
    """The post's place as the formulas take it."""
    return fm.Seat(post.y, post.z, post.facing_y, post.facing_z)


# Run, report and pack ask for the same hand again and again, and other hands differ in few fingers.
@lru_cache(maxsize=4096)
def _contact(
    shape: Literal["round", "flat"] | None, g: fm.Digit, seat: fm.Seat, width: float
) -> fm.Contact:
    """Where the pad of the finger g meets an object of this shape and width, mm, on its post."""
    find = fm.flat_contact if shape == "flat" else fm.round_contact
    return find(g, seat, width)


def _contact_problem(grip: Grip, finger: Finger, post: Post, contact: fm.Contact) -> Problem:
    who = f'{finger.name} finger, grip "{grip.name}"'
    where, width = f"grip.{grip.name}.width_mm", short(round(grip.width, 3))
    if contact.outcome == "cannot close":
        near = _up(contact.limit_width)
        message = (
            f"{who}: cannot close that far: the pad cannot come within {grip.width:g} mm of the "
            f"post ({post.name}).{_said(' Nearest it reaches: {:g} mm.', near)}"
        )
        mend = f"Widen the object or lengthen L2 (finger.{finger.name}.L2_mm)."
        return _problem(where, width, _said("at least {:g} mm", near), mend, message)
    if contact.outcome == "does not fit":
        most = _down(contact.limit_width)
        message = f"{who}: the object does not fit in the open hand."
        mend = f"Narrow the object or move the post {post.name} away from the open finger."
        return _problem(where, width, _said("at most {:g} mm", most), mend, message)
    return _wrong_phalanx(grip, finger, contact, where, width)


def _wrong_phalanx(
    grip: Grip, finger: Finger, contact: fm.Contact, where: str, width: str
) -> Problem:
    message = (
        f'{finger.name} finger, grip "{grip.name}": the {contact.first} touches first: the object '
        f"would meet the pad line at d = {contact.d:.1f} mm, outside the pad's "
        f"{finger.d_min:g} to {finger.d_max:g} mm."
    )
    mend = f"Move the post {grip.post}, or change the object's width."
    return _problem(where, width, "", mend, message)


@dataclass(frozen=True)
class Touch:
    """Where object or load meets a finger, from its knuckle: y, z mm; `angle` of the phalanx below +y, rad.

    `past_middle` distance from the middle joint along the distal phalanx, mm; 0 on the proximal one.
    """

    y: float
    z: float
    angle: float
    past_middle: float


def contact_at(brief: Brief, grip: Grip, finger: Finger) -> Touch:
    """The place of an engaged finger's contact, on the axis of its phalanx (the force's line runs through it)."""
    if grip.kind == "carry":
        q1 = grip.carry_q1
        return Touch(grip.carry_h * cos(q1), -grip.carry_h * sin(q1), q1, 0.0)
    post = brief.posts[str(grip.post)]
    g, seat = digit_of(finger), _seat_of(post)
    c = _contact(grip.shape, g, seat, grip.width)
    at, d = _one(c.q1), _one(c.d)
    return Touch(
        float(fm.axis_y(g, at, d)), float(fm.axis_z(g, at, d)), float(fm.distal_angle(g, at)), c.d
    )


def _weak(grip: Grip, finger: Finger, closing: float) -> list[Problem]:
    if closing > 0.0:
        return []
    message = (
        f'{finger.name} finger, grip "{grip.name}": pulling its drawbar does not press the pad on '
        f"the object (L1 cos q2 + d (1 + k) = {closing:.1f} mm)."
    )
    where, mend = f"grip.{grip.name}.post", "Move the post, or curl the finger less."
    return [_problem(where, short(grip.post), "more than 0", mend, message)]


def _slips(brief: Brief, grip: Grip, finger: Finger, gamma: float) -> list[Problem]:
    most = atan(brief.friction.pad)
    if gamma <= most:
        return []
    message = (
        f'{finger.name} finger, grip "{grip.name}": the object slips out: the pad pushes '
        f"{degrees(gamma):.1f}° off, friction holds {degrees(most):.1f}°."
    )
    mend = "Turn the post's seat toward the finger, deepen its cradle, or raise friction.pad_mu."
    where = f"grip.{grip.name}.post"
    return [_problem(where, short(grip.post), "", mend, message)]


def _problem(
    path: str, value: str, allowed: str, mend: str, message: str, rank: int = RANK_REACH
) -> Problem:
    return Problem(FILE, None, path, value, allowed, mend, message, rank)


def _one(x: float) -> Floats:
    return np.array(x, dtype=np.float64)


def _deg(angle: float) -> str:
    return short(round(degrees(angle), 3))


def _said(words: str, x: float) -> str:
    return words.format(x) if isfinite(x) else ""


def _up(x: float) -> float:
    """The next tenth of a millimetre above."""
    return ceil(x * 10.0 + 1e-9) / 10.0 if isfinite(x) else nan


def _down(x: float) -> float:
    return floor(x * 10.0 - 1e-9) / 10.0 if isfinite(x) else nan
