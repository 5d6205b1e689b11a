"""Other hands: the brief as it would be on hands of surveyed size.

Lengths from wrist to fingertips, and the depth of the hand, follow the hand's length; widths follow its
breadth; the cavity's length follows the palm.  What is not of the hand stays: the objects gripped, the
wrist's torque, travel and arm, springs, pads, limits, stock.  The survey tells sizes, not strength.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from explorer.brief.records import Box, Brief, Cavity, Crank, Finger, Grip, Post, Sector

SOURCE = (
    "US Army anthropometric survey of 2012 (Gordon et al. 2014, NATICK/TR-15/007): percentiles of the "
    "public data of 4082 men and 1986 women, each measure by itself"
)
# Index, middle, ring, little.
PROXIMAL = (0.245, 0.266, 0.244, 0.204)
"""Proximal segment over hand length: Buchholz et al. 1992 (from memory)."""

LATERAL = (0.252, 0.0, -0.206, -0.402)
"""Knuckle's centre beside the middle one over hand breadth, + toward the thumb.

Buchholz et al. 1992, as coded in a public hand model."""

PALM = 0.6
"""Palm length over hand length [-]: means of the survey, 0.603 of men, 0.600 of women."""


@dataclass(frozen=True)
class Hand:
    """A hand's size, mm: length from wrist crease to middle fingertip, breadth at the knuckles, palm."""

    name: str
    length: float
    breadth: float
    palm: float
    sex: Literal["male", "female", ""] = ""
    percentile: int = 0


HANDS = (
    Hand("woman, 5th", 165.0, 72.0, 100.0, "female", 5),
    Hand("woman, 50th", 180.0, 78.0, 108.0, "female", 50),
    Hand("woman, 95th", 199.0, 85.0, 119.0, "female", 95),
    Hand("man, 5th", 177.0, 81.0, 107.0, "male", 5),
    Hand("man, 50th", 193.0, 88.0, 116.0, "male", 50),
    Hand("man, 95th", 210.0, 96.0, 127.0, "male", 95),
)


def own_hand(brief: Brief) -> Hand:
    """The hand that the brief's fingers suit, by their proximal lengths and the row of their knuckles.

    Fingers are taken as index, middle, ... in the brief's order.  Source: the ratios above.
    """
    n = len(brief.fingers)
    length = math.fsum(f.L1 for f in brief.fingers) / math.fsum(PROXIMAL[:n])
    row = abs(brief.fingers[-1].knuckle_x - brief.fingers[0].knuckle_x)
    return Hand("the brief's", length, row / (LATERAL[0] - LATERAL[n - 1]), PALM * length)


@dataclass(frozen=True)
class _Scale:
    """Factors: across the palm, along fingers and depth, along the palm."""

    across: float
    along: float
    palm: float


def on_hand(brief: Brief, hand: Hand) -> Brief:
    """The brief on another hand; its name says so."""
    own = own_hand(brief)
    s = _Scale(hand.breadth / own.breadth, hand.length / own.length, hand.palm / own.palm)
    return replace(
        brief,
        name=f"{brief.name}, on a hand of {hand.length:.0f} x {hand.breadth:.0f} mm ({hand.name})",
        fingers=tuple(_finger(f, s) for f in brief.fingers),
        posts={name: _post(p, s) for name, p in brief.posts.items()},
        grips=tuple(_grip(g, s) for g in brief.grips),
        cavity=Cavity(
            _box(brief.cavity.box, s),
            tuple(_box(b, s) for b in brief.cavity.keepouts),
            brief.cavity.clearance,
        ),
        wrist=replace(
            brief.wrist,
            input_length=brief.wrist.input_length * s.palm,
            input_far_x=brief.wrist.input_far_x * s.across,
        ),
        mounts=replace(brief.mounts, ring_radius=brief.mounts.ring_radius * s.across),
    )


def _finger(f: Finger, s: _Scale) -> Finger:
    drive: Sector | Crank = replace(f.drive, radius=f.drive.radius * s.along)
    return replace(
        f,
        knuckle_x=f.knuckle_x * s.across,
        pin_dx=f.pin_dx * s.across,
        knuckle_y=f.knuckle_y * s.along,
        knuckle_z=f.knuckle_z * s.along,
        pin_y=f.pin_y * s.along,
        pin_z=f.pin_z * s.along,
        L1=f.L1 * s.along,
        L2=f.L2 * s.along,
        pad_distance=f.pad_distance * s.along,
        d_min=f.d_min * s.along,
        d_max=f.d_max * s.along,
        drive=drive,
    )


def _post(p: Post, s: _Scale) -> Post:
    return replace(p, y=p.y * s.along, z=p.z * s.along)


def _grip(g: Grip, s: _Scale) -> Grip:
    return replace(g, carry_h=g.carry_h * s.along)


def _box(b: Box, s: _Scale) -> Box:
    return replace(
        b,
        x0=b.x0 * s.across,
        x1=b.x1 * s.across,
        y0=b.y0 * s.palm,
        y1=b.y1 * s.palm,
        z0=b.z0 * s.along,
        z1=b.z1 * s.along,
    )
