"""How each fatigue check is worked out: the entries of `explorer.drives.workings` for grip after grip.

An entry depends on the metal as well (steel or not, finish, a rod or a sheet), so each is a function
of the metals that the check is about.  Nominal stress, notch factor, the Marin factors one by one, the
strength for the asked life, amplitude and mean, and the factor n_f on the modified Goodman line.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from explorer.drives.endurance import GROOVE_RADIUS, MetalLine
from explorer.drives.workings import WORKINGS, Number, Step, Values, Working, ring_shear
from explorer.drives.workings_life import Use, given, notch, root_of_steel, strength
from explorer.mechanics import fatigue as fg
from explorer.mechanics import pins, sections
from explorer.mechanics.types import Floats

BOOK = "Shigley, Mechanical Engineering Design, 9th edition, chapter 6"
_GOODMAN = f"{BOOK}, modified Goodman line, eq. 6-46 (Marin factors: 6-18 to 6-29; from memory)"
_LINES = {
    "steel": "S_e0 eq. 6-8",
    "aluminium": "S_e0 of Norton, Machine Design (from memory)",
    "titanium": "S_e0 of Juvinall (from memory)",
    "other": "S_e0 of copper alloys, Norton, Machine Design (from memory)",
}
_ROOTS = {
    "steel": "Neuber's root eq. 6-35a",
    "aluminium": "Neuber's root by Norton's table (from memory)",
}


@dataclass(frozen=True)
class Tired:
    """One fatigue check worked out: `after` the stress and the allowable; its last symbol is the factor n_f."""

    working: Working
    after: tuple[Step, ...]


Metals = tuple[MetalLine, ...]


def _lug(v: Values) -> str:
    """K_t of a pinned eye at x = d/w: the branch that holds, as in `fatigue.loaded_hole_kt`."""
    x = float(v["x"][0, 0])
    empty = "3 - 3.13*x + 3.66*x^2 - 1.53*x^3"
    if x < 0.15:
        wide = float(fg.loaded_hole_bearing_kt(np.array(0.15)))
        return f"max({wide:.13g}*(1/x - 1), {empty})"
    at = "x" if x <= 0.75 else "0.75"
    return f"max(12.882 - 52.714*{at} + 89.762*{at}^2 - 51.667*{at}^3, {empty})"


_K_LUG = Step("K_t", _lug, "-", lambda v: fg.loaded_hole_kt(v["x"]))
_SMOOTH = given("K_f", 1.0, "-", "no notch counted here")
_S_MAX = ("s_max", "K_f*s_nom")
_STANDS = ("stands", "2*S_f*S_ut/(S_f + S_ut)")
_AFTER = (
    Step("s_a", "s_max/2", "MPa", lambda v: v["s_max"] / 2.0),
    Step("s_m", "s_max/2", "MPa", lambda v: v["s_max"] / 2.0),
    Step(
        "n_f",
        "1/(s_a/S_f + s_m/S_ut)",
        "-",
        lambda v: fg.goodman_factor(v["s_a"], v["s_m"], v["S_f"], v["S_ut"]),
    ),
)
_MISES = Step(
    "s_nom",
    "sqrt(sigma^2 + 3*tau^2)",
    "MPa",
    lambda v: pins.von_mises(v["sigma"], v["tau"]),
)


def _source(m: MetalLine, more: str) -> str:
    kind = fg.alloy_of(m.density)
    limit = "S_e0 as the stock states it" if m.limit is not None else _LINES[kind]
    return "; ".join(t for t in (_GOODMAN, limit, more) if t)


def _as_strong(way: str, m: MetalLine, use: Use) -> Tired:
    """A check without a notch whose stress is that of the strength check `way`."""
    w = WORKINGS[way]
    numbers, steps = strength(m, use, "round" if m.d > 0.0 else "bent")
    sizes = tuple(n for n in w.numbers if n.symbol != "Sy")
    working = Working(
        w.kind,
        (*sizes, *numbers, _SMOOTH),
        (*w.steps, _MISES, *steps),
        _S_MAX,
        _STANDS,
        _source(m, f"nominal stress: {w.source}"),
    )
    return Tired(working, _AFTER)


def _pin(metals: Metals, use: Use) -> Tired:
    return _as_strong("pin bends", metals[0], use)


def _drive_pin(metals: Metals, use: Use) -> Tired:
    return _as_strong("drive pins bend", metals[0], use)


def _shaft(metals: Metals, use: Use) -> Tired:
    return _as_strong("shaft bends", metals[0], use)


def _bore(metals: Metals, use: Use) -> Tired:
    w, m = WORKINGS["body shears round the bore"], metals[0]
    numbers, steps = strength(m, use, "bent")
    tau = Step("tau", ring_shear, "MPa", _ring)
    nominal = Step("s_nom", "sqrt(3)*tau", "MPa", lambda v: np.sqrt(3.0) * v["tau"])
    working = Working(
        w.kind,
        (*(n for n in w.numbers if n.symbol != "Sy"), *numbers, _SMOOTH),
        (tau, nominal, *steps),
        _S_MAX,
        _STANDS,
        _source(m, "torsion of a round ring: eq. 3-37, von Mises"),
    )
    return Tired(working, _AFTER)


def _ring(v: Values) -> Floats:
    D, d = v["D"], v["d"]
    wall = np.maximum(D * D * D * D - d * d * d * d, 1e-6)
    return np.asarray(16.0 * v["T"] * D / (np.pi * wall))


def _groove(metals: Metals, use: Use) -> Tired:
    m = metals[0]
    thick, g = (m.ring.thickness, m.ring.groove) if m.ring is not None else (1.0, 1.0)
    numbers, steps = strength(m, use, "round")
    S = "S_ut"
    at = (
        Step("h", "(d - g)/2", "mm", lambda v: (v["d"] - v["g"]) / 2.0),
        Step("r_g", f"{GROOVE_RADIUS:g}*t_r", "mm", lambda v: GROOVE_RADIUS * v["t_r"]),
        Step("e", "min(max(h/r_g, 0.25), 50)", "-", lambda v: np.clip(v["h"] / v["r_g"], 0.25, 50)),
        Step("y", "2*h/d", "-", lambda v: 2.0 * v["h"] / v["d"]),
        Step("K_t", _roark, "-", lambda v: fg.groove_kt(v["d"], v["h"], v["r_g"])),
        *root_of_steel(
            "0.958 - 0.00183*{0} + 1.43e-6*{0}^2 - 4.11e-10*{0}^3",
            S,
            "S_n",
            "root",
            fg.neuber_root_torsion,
        ),
        Step(
            "q", "1/(1 + root/sqrt(r_g))", "-", lambda v: fg.notch_sensitivity(v["root"], v["r_g"])
        ),
        Step("K_f", "1 + q*(K_t - 1)", "-", lambda v: fg.notch_factor(v["K_t"], v["q"])),
        Step(
            "s_nom",
            "sqrt(3)*(F/2)/(pi*g^2/4)",
            "MPa",
            lambda v: np.sqrt(3.0) * pins.shear_stress(v["F"] / 2.0, v["g"], 1.0),
        ),
    )
    working = Working(
        "pins",
        (
            Number("F", "load", "N", "load on the joint"),
            Number("d", "d", "mm", "pin diameter"),
            given("g", g, "mm", "diameter in the groove of its ring"),
            given("t_r", thick, "mm", "thickness of the ring"),
            *numbers,
        ),
        (*at, *steps),
        _S_MAX,
        _STANDS,
        _source(
            m,
            "K_t: Roark, table 17.1, groove in torsion; Neuber's root eq. 6-35b; half the load sheared "
            "in the groove, a bound; its bottom radius by DIN 471 (from memory)",
        ),
    )
    return Tired(working, _AFTER)


def _roark(v: Values) -> str:
    """K_t of the groove: the branch of its depth over radius, as in `fatigue.groove_kt`."""
    if v["e"][0, 0] <= 2.0:
        return (
            "1.245 + 0.264*sqrt(e) + 0.491*e + (-3.03 + 3.269*sqrt(e) - 3.633*e)*y"
            " + (7.199 - 11.286*sqrt(e) + 8.318*e)*y^2 + (-4.414 + 7.753*sqrt(e) - 5.176*e)*y^3"
        )
    return (
        "1.651 + 0.614*sqrt(e) + 0.04*e + (-4.794 - 0.314*sqrt(e) - 0.217*e)*y"
        " + (8.457 - 0.962*sqrt(e) + 0.389*e)*y^2 + (-4.314 + 0.662*sqrt(e) - 0.212*e)*y^3"
    )


def _eye(metals: Metals, use: Use) -> Tired:
    m, w = metals[0], WORKINGS["pulls apart at the hole"]
    numbers, steps = strength(m, use, "pulled")
    more, factor = notch(m, "K_t", "d/2")
    nominal = Step("s_nom", "F/((w - d)*t)", "MPa", lambda v: v["F"] / ((v["w"] - v["d"]) * v["t"]))
    x = Step("x", "d/w", "-", lambda v: v["d"] / v["w"])
    working = Working(
        "eyes",
        (*(n for n in w.numbers if n.symbol != "Sy"), *numbers, *more),
        (nominal, x, _K_LUG, *factor, *steps),
        _S_MAX,
        _STANDS,
        _source(m, f"K_t of a pinned eye: Peterson, chart 4.67 (from memory); {_root_of(m)}"),
    )
    return Tired(working, _AFTER)


def _root_of(m: MetalLine) -> str:
    return _ROOTS.get(fg.alloy_of(m.density), "taken as fully sensitive to notches")


def _flexure(metals: Metals, use: Use) -> Tired:
    m, w = metals[0], WORKINGS["bends at the hole"]
    numbers, steps = strength(m, use, "rectangle")
    more, factor = notch(m, "K_t", "d/2")
    working = Working(
        "flexures",
        (
            *(n for n in w.numbers if n.symbol != "Sy"),
            given("K_t", sections.HOLE_EDGE_KT, "-", "at the hole of a bent plate"),
            *numbers,
            *more,
        ),
        (
            *w.steps,
            Step("s_hole", "M*d/2/I_net", "MPa", lambda v: v["M"] * v["d"] / 2.0 / v["I_net"]),
            Step("s_edge", "M*w/2/I_net", "MPa", lambda v: v["M"] * v["w"] / 2.0 / v["I_net"]),
            *factor,
            *steps,
        ),
        ("s_max", "max(K_f*s_hole, s_edge)"),
        _STANDS,
        _source(m, f"K_t: Peterson, hole in a bent plate (from memory); {_root_of(m)}"),
    )
    return Tired(working, _AFTER)


def _tooth(metals: Metals, use: Use) -> Tired:
    m, w = metals[0], WORKINGS["tooth breaks"]
    numbers, steps = strength(m, use, "bent")
    factor = (
        Step("t_m", "sqrt(13.5*Y)", "-", lambda v: np.sqrt(13.5 * v["Y"])),
        Step("r_m", "0.3 + 0.95^2/(z_t/2 + 0.95)", "-", lambda v: _foot(v["z_t"])),
        Step(
            "K_f",
            "0.34 - 0.4583662*pi/9 + (t_m/r_m)^(0.316 - 0.4583662*pi/9)"
            "*(t_m/2.25)^(0.29 + 0.4583662*pi/9)",
            "-",
            lambda v: fg.tooth_factor(v["z_t"], v["Y"]),
        ),
        Step("s_nom", "F/(b*m*Y)", "MPa", lambda v: v["F"] / (v["b"] * v["m"] * v["Y"])),
    )
    working = Working(
        "teeth",
        (
            *(n for n in w.numbers if n.symbol != "Sy"),
            Number("z_t", "teeth", "-", "teeth"),
            *numbers,
        ),
        (*factor, *steps),
        _S_MAX,
        _STANDS,
        _source(
            m, "K_f: Dolan and Broghamer 1942, in Shigley sec. 14-2 (from memory); Lewis: 14-3"
        ),
    )
    return Tired(working, _AFTER)


def _foot(z: Floats) -> Floats:
    """Root radius over the module, as in `fatigue.tooth_factor`."""
    return np.asarray(0.3 + 0.95 * 0.95 / (z / 2.0 + 0.95))


def _drive_pin_holes(metals: Metals, use: Use) -> Tired:
    """Both plates; the stress is told at the strength of the softer."""
    w = WORKINGS["drive pins' holes"]
    sizes = tuple(n for n in w.numbers if not n.symbol.startswith("Sy"))
    numbers: list[Number] = [
        given("x", fg.WIDE_PLATE, "-", "hole over width of a wide plate (assumed)")
    ]
    peak = Step("K_h", "K_t*x/(1 - x)", "-", lambda v: v["K_t"] * v["x"] / (1.0 - v["x"]))
    steps: list[Step] = [*w.steps, _K_LUG, peak]
    for mark, m in zip(("_1", "_2"), metals, strict=True):
        inside = (strength(m, use, "pulled", mark), notch(m, "K_h", "d/2", mark))
        for more, lines in inside:
            numbers += more
            steps += lines
        steps += _plate(mark)
    working = Working(
        w.kind,
        (*sizes, *numbers),
        tuple(steps),
        ("s_max", "max(s_1/R_1, s_2/R_2)*min(R_1, R_2)"),
        ("stands", "min(R_1, R_2)"),
        "; ".join(
            dict.fromkeys(
                [
                    _source(metals[0], "K_t of a pinned eye: Peterson, chart 4.67 (from memory)"),
                    *(_root_of(m) for m in metals),
                    "told at the softer plate's strength",
                ]
            )
        ),
    )
    n_f = Step("n_f", "min(n_1, n_2)", "-", lambda v: np.minimum(v["n_1"], v["n_2"]))
    return Tired(working, (n_f,))


def _plate(mark: str) -> tuple[Step, ...]:
    """Stress of one plate, what it stands from zero, its factor on the Goodman line."""
    s, R, S_f, S_ut, K_f, n = (f"{x}{mark}" for x in ("s", "R", "S_f", "S_ut", "K_f", "n"))
    thick = f"t{mark[1:]}"
    return (
        Step(s, f"{K_f}*F/(d*{thick})", "MPa", lambda v: v[K_f] * v["F"] / (v["d"] * v[thick])),
        Step(
            R,
            f"2*{S_f}*{S_ut}/({S_f} + {S_ut})",
            "MPa",
            lambda v: fg.pulsating_strength(v[S_f], v[S_ut]),
        ),
        Step(
            n,
            f"1/({s}/2/{S_f} + {s}/2/{S_ut})",
            "-",
            lambda v: fg.goodman_factor(v[s] / 2.0, v[s] / 2.0, v[S_f], v[S_ut]),
        ),
    )


# How each way of cracking is worked out, and which fields of the record name its metals.
FATIGUE: Mapping[str, tuple[Callable[[Metals, Use], Tired], str, tuple[str, ...]]] = {
    "pin cracks": (_pin, "pins", ("metal",)),
    "pin cracks at its ring's groove": (_groove, "pins", ("metal",)),
    "cracks at the hole": (_eye, "eyes", ("metal",)),
    "cracks at the hole or the edge": (_flexure, "flexures", ("metal",)),
    "drive pins crack": (_drive_pin, "circles", ("metal",)),
    "cracks at the drive pins' holes": (_drive_pin_holes, "circles", ("metal_1", "metal_2")),
    "shaft cracks": (_shaft, "shafts", ("metal",)),
    "tooth cracks at its foot": (_tooth, "teeth", ("metal",)),
    "body cracks round the bore": (_bore, "bores", ("metal",)),
}
