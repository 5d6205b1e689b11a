"""How each check is worked out, for those who redo it by hand: one entry for each way of failing.

An entry says which numbers of the joint's record go in, what is worked out on the way (by the same
formulas of `explorer.mechanics` that the check calls), and the formulas as text.  Text is plain
arithmetic: + - * / ^, brackets, pi, sqrt, min, max, log10.  Stress, allowable and margin are the scorer's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from explorer.drives.checks import eye_edge, eye_width, lever_width
from explorer.drives.joints import PinCircle, ShaftSection
from explorer.mechanics import gears, pins, sections, shaft
from explorer.mechanics.margins import SHEAR_YIELD
from explorer.mechanics.types import Floats

Kind = Literal[
    "pins", "eyes", "flexures", "chains", "circles", "shafts", "teeth", "bores", "struts"
]
Values = Mapping[str, Floats]
Text = str | Callable[[Values], str] | None  # none: the number itself; some depend on the case
NAMES = frozenset({"pi", "sqrt", "min", "max", "log10"})  # words of a formula that are no symbols


@dataclass(frozen=True)
class Number:
    """A number that goes in: a field of the record, or what `take` makes of the record."""

    symbol: str
    take: str | Callable[[Any], Floats]
    unit: str
    words: str

    def value(self, record: object) -> Floats:
        """Its value (N,1); of loads the largest over the positions, as in the checks."""
        found = getattr(record, self.take) if isinstance(self.take, str) else self.take(record)
        return np.asarray(np.abs(found).max(axis=1, keepdims=True))


def _at_worst(load: str) -> Callable[[Any], Floats]:
    """A load (N,1) of a shaft section at the position where bending and torsion together are worst."""

    def take(r: ShaftSection) -> Floats:
        stress = np.asarray(shaft.shaft_stress(r.moment, r.torque, r.d))
        at = stress.argmax(axis=1)[:, None]
        return np.take_along_axis(np.broadcast_to(getattr(r, load), stress.shape), at, axis=1)

    return take


@dataclass(frozen=True)
class Step:
    """Something worked out on the way: `formula` as text, `value` by the function that it stands for."""

    symbol: str
    formula: str | Callable[[Values], str]
    unit: str
    value: Callable[[Values], Floats]


@dataclass(frozen=True)
class Working:
    """One way of failing; `stress` and `allowable` are a symbol and its formula."""

    kind: Kind
    numbers: tuple[Number, ...]
    steps: tuple[Step, ...]
    stress: tuple[str, Text]
    allowable: tuple[str, Text]
    source: str
    unit: str = "MPa"


_SHIGLEY = "Shigley, Mechanical Engineering Design, 9th edition"
_SHEAR = ("tau_y", f"{SHEAR_YIELD}*Sy")
_PIN_LOAD = Number("F", "load", "N", "load on the joint")
_PIN_D = Number("d", "d", "mm", "pin diameter")
_PIN_SY = Number("Sy", "sy_pin", "MPa", "yield strength of the pin")
_T_FORK = Number("t_fork", "t_fork", "mm", "thickness of each outer plate")
_T_MID = Number("t_mid", "t_mid", "mm", "thickness of the middle plate")
_EYE_LOAD = Number("F", "load", "N", "pull on the plate")
_EYE_D = Number("d", "d", "mm", "hole diameter")
_EYE_T = Number("t", "t", "mm", "thickness of all its plates")
_PLATE_SY = Number("Sy", "sy", "MPa", "yield strength of the plate")
_CIRCLE = (
    Number("T", "torque", "N*mm", "torque through the circle"),
    Number("n", "n", "-", "pins on the circle"),
    Number("share", "share", "-", "part of them that carries"),
    Number("r", "r", "mm", "radius of the circle"),
    _PIN_D,
)
_CIRCLE_T = (
    Number("t1", "t1", "mm", "thickness of one plate"),
    Number("t2", "t2", "mm", "thickness of the other"),
)
_CIRCLE_STEPS = (
    Step("n_c", "max(1, n*share)", "-", lambda v: pins.carrying_pins(v["n"], v["share"])),
    Step("F", "T/(n_c*r)", "N", lambda v: pins.circle_pin_force(v["T"], v["n_c"], v["r"])),
)
_TAU_1 = Step("tau", "F/(pi*d^2/4)", "MPa", lambda v: pins.shear_stress(v["F"], v["d"], 1.0))
_SIGMA = Step("sigma", "32*M/(pi*d^3)", "MPa", lambda v: pins.bending_stress(v["M"], v["d"]))
_MISES = ("sigma_v", "sqrt(sigma^2 + 3*tau^2)")


def _seat(record: PinCircle) -> Floats:
    """Part of the tipping plate's moment that a seat leaves, as in `pins.single_shear_moment`."""
    one = np.ones_like(record.d)
    return pins.single_shear_moment(one, one, one, record.clamped > 0.0)


def ring_shear(v: Values) -> str:
    """A ring without a wall is refused by other limits; the check only keeps it finite."""
    ring = float((v["D"] * v["D"] * v["D"] * v["D"] - v["d"] * v["d"] * v["d"] * v["d"])[0, 0])
    return "16*T*D/(pi*(D^4 - d^4))" if ring > 1e-6 else "16*T*D/(pi*1e-6)"


def _buckling(v: Values) -> str:
    """Johnson where the rod is short, Euler where long, as in `sections.strut_load`."""
    short = v["F_E"] > v["Sy"] * v["A"] / 2.0
    return "Sy*A*(1 - Sy*A/(4*F_E))" if short[0, 0] else "F_E"


WORKINGS: Mapping[str, Working] = {
    "pin shears": Working(
        "pins",
        (_PIN_LOAD, _PIN_D, _PIN_SY),
        (),
        ("tau", "F/(2*pi*d^2/4)"),
        _SHEAR,
        f"mean shear on two planes: {_SHIGLEY}, direct shear and eq. 5-21 (from memory)",
    ),
    "pin bends": Working(
        "pins",
        (
            _PIN_LOAD,
            _PIN_D,
            _T_FORK,
            Number("gap", "gap", "mm", "gap on each side"),
            _T_MID,
            _PIN_SY,
        ),
        (
            Step(
                "M",
                "F/2*(t_fork/2 + gap + t_mid/4)",
                "N*mm",
                lambda v: pins.fork_moment(v["F"], v["t_fork"], v["gap"], v["t_mid"]),
            ),
            _SIGMA,
            Step(
                "tau",
                "F/(2*pi*d^2/4)",
                "MPa",
                lambda v: pins.shear_stress(v["F"], v["d"], 2.0),
            ),
        ),
        _MISES,
        ("Sy", None),
        "Roloff/Matek, Maschinenelemente, pin case 1 widened by the gap (edition not noted, from memory); "
        "textbooks differ threefold",
    ),
    "middle plate's hole": Working(
        "pins",
        (
            _PIN_LOAD,
            Number("d", "d_mid", "mm", "hole, or outside of its bush"),
            _T_MID,
            Number("Sy", "sy_mid", "MPa", "yield strength of the middle plate"),
        ),
        (),
        ("p", "F/(d*t_mid)"),
        ("Sy", None),
        "pressure on the hole's projected area: common practice, no source",
    ),
    "fork's hole": Working(
        "pins",
        (
            _PIN_LOAD,
            Number("d", "d_fork", "mm", "hole, or outside of its bush"),
            _T_FORK,
            Number("Sy", "sy_fork", "MPa", "yield strength of the outer plates"),
        ),
        (),
        ("p", "F/(d*2*t_fork)"),
        ("Sy", None),
        "pressure on the holes' projected area: common practice, no source",
    ),
    "pin's own surface": Working(
        "pins",
        (_PIN_LOAD, _PIN_D, _T_FORK, _T_MID, _PIN_SY),
        (),
        ("p", "max(F/(d*t_mid), F/(d*2*t_fork))"),
        ("Sy", None),
        "pressure on the pin's projected area: common practice, no source",
    ),
    "pulls apart at the hole": Working(
        "eyes",
        (
            _EYE_LOAD,
            Number("w", lambda r: eye_width(r.w, r.d), "mm", "width across the pull"),
            _EYE_D,
            _EYE_T,
            _PLATE_SY,
        ),
        (),
        ("sigma", "F/((w - d)*t)"),
        ("Sy", None),
        "Bhandari, Design of Machine Elements, knuckle joint (edition not noted, from memory)",
    ),
    "tears out at the end": Working(
        "eyes",
        (
            _EYE_LOAD,
            Number("e", lambda r: eye_edge(r.edge, r.d), "mm", "hole centre to the end"),
            _EYE_D,
            _EYE_T,
            _PLATE_SY,
        ),
        (),
        ("tau", "F/(2*t*(e - d/2))"),
        _SHEAR,
        "Bhandari, Design of Machine Elements, knuckle joint (edition not noted, from memory)",
    ),
    "bends at the hole": Working(
        "flexures",
        (
            Number("M", "moment", "N*mm", "bending moment at the hole"),
            Number("w", lambda r: lever_width(r.w, r.d), "mm", "width in the plane of bending"),
            _EYE_D,
            _EYE_T,
            _PLATE_SY,
        ),
        (
            Step(
                "I_net",
                "t*(w^3 - d^3)/12",
                "mm^4",
                lambda v: sections.net_second_moment(v["w"], v["d"], v["t"]),
            ),
        ),
        ("sigma", f"max(M*w/2, {sections.HOLE_EDGE_KT:g}*M*d/2)/I_net"),
        ("Sy", None),
        "simple bending at the outer edge; at the hole's edge Peterson, Stress Concentration Factors, "
        "hole in a bent plate, Kt 2 (edition not noted, from memory)",
    ),
    "chain parts": Working(
        "chains",
        (
            Number("F", "load", "N", "pull in the chain"),
            Number("F_min", "tensile", "N", "least tensile strength of the chain and its ends"),
        ),
        (),
        ("F", None),
        ("F_min", None),
        "pull against the maker's minimum tensile strength: common practice, no source",
        "N",
    ),
    "drive pins shear": Working(
        "circles",
        (*_CIRCLE, _PIN_SY),
        _CIRCLE_STEPS,
        (_TAU_1.symbol, _TAU_1.formula),
        _SHEAR,
        f"{_SHIGLEY}, bolt circle, direct shear and eq. 5-21 (from memory); carrying share: common practice",
    ),
    "drive pins bend": Working(
        "circles",
        (
            *_CIRCLE,
            *_CIRCLE_T,
            Number("k", _seat, "-", "1 where a plate can tip (loose), 0.5 held face to face"),
            _PIN_SY,
        ),
        (
            *_CIRCLE_STEPS,
            Step(
                "M",
                "F*(t1 + t2)/2*k",
                "N*mm",
                lambda v: pins.single_shear_moment(v["F"], v["t1"], v["t2"], v["k"] < 1.0),
            ),
            _SIGMA,
            _TAU_1,
        ),
        _MISES,
        ("Sy", None),
        "beam with a free or a guided end between the plates' middles, von Mises: common practice, no source",
    ),
    "drive pins' holes": Working(
        "circles",
        (
            *_CIRCLE,
            *_CIRCLE_T,
            Number("Sy_1", "sy_1", "MPa", "yield strength of the one plate"),
            Number("Sy_2", "sy_2", "MPa", "of the other"),
        ),
        (*_CIRCLE_STEPS,),
        ("p", "max(F/(d*t1)/Sy_1, F/(d*t2)/Sy_2)*min(Sy_1, Sy_2)"),
        ("Sy", "min(Sy_1, Sy_2)"),
        "pressure on the projected area, told at the softer plate's strength: common practice, no source",
    ),
    "shaft bends": Working(
        "shafts",
        (
            Number("M", _at_worst("moment"), "N*mm", "bending moment at the worst position"),
            Number("T", _at_worst("torque"), "N*mm", "torque at the same position"),
            Number("d", "d", "mm", "shaft diameter"),
            Number("Sy", "sy", "MPa", "yield strength of the shaft"),
        ),
        (
            _SIGMA,
            Step(
                "tau",
                "16*T/(pi*d^3)",
                "MPa",
                lambda v: pins.bending_stress(v["T"], v["d"]) / 2.0,
            ),
        ),
        _MISES,
        ("Sy", None),
        f"{_SHIGLEY}, shaft stresses by distortion energy (from memory)",
    ),
    "tooth breaks": Working(
        "teeth",
        (
            Number("F", "force", "N", "force along the pitch circle on one tooth"),
            Number("b", "face", "mm", "face width"),
            Number("m", "module", "mm", "module"),
            Number(
                "Y", lambda r: gears.lewis_factor(r.teeth), "-", "Lewis factor of so many teeth"
            ),
            Number("Sy", "sy", "MPa", "yield strength of the gear"),
        ),
        (),
        ("sigma", "F/(b*m*Y)"),
        ("Sy", None),
        f"Lewis: {_SHIGLEY}, eq. 14-3 and table 14-2 (from memory)",
    ),
    "body shears round the bore": Working(
        "bores",
        (
            Number("T", "torque", "N*mm", "torque through the body"),
            Number("D", "outside", "mm", "outside"),
            Number("d", "bore", "mm", "bore"),
            Number("Sy", "sy", "MPa", "yield strength of the body"),
        ),
        (),
        ("tau", ring_shear),
        _SHEAR,
        f"torsion of a round ring: {_SHIGLEY}, eq. 3-37 and 5-21 (from memory)",
    ),
    "strut buckles": Working(
        "struts",
        (
            Number("F", "load", "N", "push on the strut"),
            Number("d", "d", "mm", "rod diameter"),
            Number("L", "length", "mm", "length between its hinges"),
            Number("E", "modulus", "MPa", "modulus"),
            Number("Sy", "sy", "MPa", "yield strength"),
        ),
        (
            Step("A", "pi*d^2/4", "mm^2", lambda v: np.pi / 4.0 * v["d"] * v["d"]),
            Step(
                "I",
                "pi*d^4/64",
                "mm^4",
                lambda v: np.pi / 64.0 * v["d"] * v["d"] * v["d"] * v["d"],
            ),
            Step(
                "F_E",
                "pi^2*E*I/L^2",
                "N",
                lambda v: sections.euler_load(v["E"], v["I"], v["L"]),
            ),
        ),
        ("F", None),
        ("F_b", _buckling),
        f"Euler, or J. B. Johnson where short: {_SHIGLEY}, sec. 4-12 to 4-13 (from memory)",
        "N",
    ),
}
