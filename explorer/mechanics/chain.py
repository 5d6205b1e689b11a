"""Roller or bush chain on toothed wheels and on plain drums: arms, ripple, sizes.

All arguments broadcast elementwise, any leading shape; lengths in mm. p is the chain's pitch,
h the height of its plates, z a number of teeth, core the radius of a plain round drum. Taut links
lie as chords, so the pull's arm runs from a least (mid-link) to a largest (at a chain pin) value.
"""

import numpy as np

from explorer.mechanics.types import Floats, Real


def pitch_radius(p: Floats, z: Real) -> Floats:
    """Pitch radius [mm] of a chain wheel: p / (2 sin(pi/z)), where its chain pins lie.

    Source: ISO 606 annex A (from memory); regular polygon of side p.
    """
    return p / (2.0 * np.sin(np.pi / z))


def mean_arm_toothed(p: Floats, z: Real) -> Floats:
    """Mean arm [mm] of the strand on a chain wheel: p z / (2 pi).

    One turn takes in exactly z pitches, so this arm, not the pitch radius, relates turn to draw.
    Source: derived.
    """
    return p * z / (2.0 * np.pi)


def arm_max_toothed(p: Floats, z: Real) -> Floats:
    """Largest arm [mm] on a chain wheel: its pitch radius. Source: chordal action, derived."""
    return pitch_radius(p, z)


def arm_min_toothed(p: Floats, z: Real) -> Floats:
    """Least arm [mm] on a chain wheel: pitch radius * cos(pi/z).

    Source: chordal action, mid-link of the polygon (Shigley sec. 17-5, from memory).
    """
    return pitch_radius(p, z) * np.cos(np.pi / z)


def plain_arm_min(core: Floats, h: Real) -> Floats:
    """Least arm [mm] on a plain drum: core + h/2, mid-link with its plates on the drum.

    Source: derived.
    """
    return core + h / 2.0


def arm_max_plain(core: Floats, h: Real, p: Real) -> Floats:
    """Largest arm [mm] on a plain drum: hypot(core + h/2, p/2), at a chain pin.

    Source: derived, links as chords.
    """
    return np.hypot(plain_arm_min(core, h), p / 2.0)


def mean_arm_plain(core: Floats, h: Real, p: Real) -> Floats:
    """Mean arm [mm] on a plain drum: (p/2) / atan((p/2) / (core + h/2)).

    Each link takes 2 atan((p/2)/a_min) of turn. Source: derived, links as chords.
    """
    return p / 2.0 / np.arctan(p / 2.0 / plain_arm_min(core, h))


def least_teeth(p: Floats, arm: Real) -> Floats:
    """Teeth [-, not rounded] whose least arm is `arm` [mm] > 0: p / (2 tan(pi/z)) = arm.

    Source: `arm_min_toothed`, solved for z.
    """
    return np.pi / np.arctan(p / (2.0 * arm))


def most_teeth(p: Floats, h: Real, r: Real) -> Floats:
    """Teeth [-, not rounded] of a wheel that with its chain just lies within the radius r [mm] > h/2 + p/2.

    Source: `tip_radius` and `pitch_radius` + h/2, solved for z; the smaller.
    """
    by_tips = np.pi / np.arctan(1.0 / (2.0 * r / p - 0.6))
    return np.minimum(by_tips, np.pi / np.arcsin(p / (2.0 * (r - h / 2.0))))


def ripple_factor(a1_min: Floats, a1: Real, a2_max: Real, a2: Real) -> Floats:
    """Factor on the output force [-] at the worst moment of the turn, at most 1.

    a1_min and a1 least and mean arm of the input track, a2_max and a2 largest and mean arm of the
    output track [mm]: (a1_min/a1) / (a2_max/a2). Never on the draws. Source: derived.
    """
    return (a1_min / a1) / (a2_max / a2)


def articulation_angle(p: Floats, mean_arm: Real) -> Floats:
    """Angle [rad] by which one chain joint bends as it runs on or off: p / mean arm.

    2 pi / z on a chain wheel. mean_arm [mm] from the functions above. Source: derived.
    """
    return p / mean_arm


def tip_radius(p: Floats, z: Real) -> Floats:
    """Outer radius [mm] of a chain wheel's teeth, near enough for room: p (0.6 + cot(pi/z)) / 2.

    Source: ASME B29.1 outside diameter of a standard sprocket (from memory); it lies inside the
    range that ISO 606 allows.
    """
    return p * (0.6 + 1.0 / np.tan(np.pi / z)) / 2.0
