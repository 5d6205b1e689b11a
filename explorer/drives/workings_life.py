"""Fatigue on paper: from a metal's tensile strength to what it stands for the asked grips, and K_f of its holes.

Numbers and steps for the entries of `explorer.drives.workings_fatigue`, by the functions of
`explorer.mechanics.fatigue` that the checks call.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from explorer.drives.endurance import MetalLine, neuber
from explorer.drives.workings import Number, Step, Values
from explorer.mechanics import fatigue as fg
from explorer.mechanics.types import Floats

Parts = tuple[tuple[Number, ...], tuple[Step, ...]]


@dataclass(frozen=True)
class Use:
    """For how many grips from zero, how sure, and the design factor on fatigue."""

    cycles: float
    reliability: float
    factor: float


def given(symbol: str, value: float, unit: str, words: str) -> Number:
    """A number that no record holds."""
    return Number(symbol, lambda _: np.array([[value]]), unit, words)


def strength(m: MetalLine, use: Use, section: str, mark: str = "") -> Parts:
    """From tensile strength to S_f, the reversed stress stood for the asked life.

    section: "pulled" (k_c 0.85), "round" or "rectangle" (bent, with its k_b), "bent" (without one).
    """
    alloy, finish = fg.ALLOYS[fg.alloy_of(m.density)], fg.FINISHES[m.finish]
    S, S_e, S_e0, S_f, f, u = (f"{n}{mark}" for n in ("S_ut", "S_e", "S_e0", "S_f", "f", "u"))
    k_a, k_b = f"k_a{mark}", f"k_b{mark}"
    numbers = [given(S, m.ultimate, "MPa", "tensile strength; yield where none is stated")]
    steps: list[Step] = []
    if m.limit is None:
        formula = f"min({alloy.ratio:g}*{S}, {alloy.cap:g})"
        kind = fg.alloy_of(m.density)
        steps.append(Step(S_e0, formula, "MPa", lambda v: fg.specimen_limit(v[S], kind)))
    else:
        numbers.append(given(S_e0, m.limit, "MPa", "endurance limit of a polished bar, by stock"))
    steps.append(
        Step(
            k_a,
            f"min({finish.a:g}/{S}^{-finish.b:g}, 1)",
            "-",
            lambda v: fg.surface_factor(v[S], m.finish),
        )
    )
    if section in ("round", "rectangle"):
        steps += _size(section, k_b, mark)
    else:
        numbers.append(given(k_b, 1.0, "-", "size factor; none where pulled or small"))
    k_c = fg.AXIAL if section == "pulled" else 1.0
    if mark in ("", "_1"):
        words = "load factor: 0.85 pulled, 1 bent or by von Mises"
        z = float((1.0 - fg.reliability_factor(np.array(use.reliability))) / 0.08)
        numbers += [
            given("k_c", k_c, "-", words),
            given("z", z, "-", f"normal variate of a reliability of {use.reliability:g}"),
            given("N", use.cycles, "grips", "grips in the years asked for, each from zero"),
        ]
        steps.append(Step("k_e", "1 - 0.08*z", "-", lambda v: 1.0 - 0.08 * v["z"]))
    steps.append(
        Step(
            S_e,
            f"{k_a}*{k_b}*k_c*k_e*{S_e0}",
            "MPa",
            lambda v: v[k_a] * v[k_b] * v["k_c"] * v["k_e"] * v[S_e0],
        )
    )
    if use.cycles >= alloy.knee:
        return tuple(numbers), (*steps, Step(S_f, S_e, "MPa", lambda v: v[S_e]))
    steps += [
        Step(
            u,
            f"max(log10(N/1000)/log10({alloy.knee:.0f}/1000), 0)",
            "-",
            lambda v: fg.life_exponent(v["N"], alloy.knee),
        ),
        Step(f, _fraction(m, S), "-", lambda v: fg.fatigue_fraction(v[S])),
        Step(
            S_f,
            f"({f}*{S})^(1 - {u})*{S_e}^{u}",
            "MPa",
            lambda v: fg.strength_at_life(v[S], v[S_e], v[u]),
        ),
    ]
    return tuple(numbers), tuple(steps)


def _fraction(m: MetalLine, S: str) -> str:
    """The book's fit is in kpsi, 70 to 200."""
    kpsi = m.ultimate / 6.894757
    at = f"({S}/6.894757)" if 70.0 <= kpsi <= 200.0 else "70" if kpsi < 70.0 else "200"
    return f"1.06 - 0.0028*{at} + 0.0000069*{at}^2"


def _size(section: str, k_b: str, mark: str) -> list[Step]:
    """k_b of a section that is bent and does not turn."""
    d_e = f"d_e{mark}"
    if section == "round":
        first = Step(d_e, "0.37*d", "mm", lambda v: fg.equivalent_round(v["d"]))
    else:
        first = Step(
            d_e, "0.808*sqrt(w*t)", "mm", lambda v: fg.equivalent_rectangle(v["w"], v["t"])
        )

    def text(v: Values) -> str:
        if v[d_e][0, 0] > 51.0:
            return f"1.51/{d_e}^0.157"
        return f"min((7.62/max({d_e}, {fg.SMALL_ROUND:g}))^0.107, 1)"

    return [first, Step(k_b, text, "-", lambda v: fg.size_factor(v[d_e]))]


def notch(m: MetalLine, K_t: str, radius: str, mark: str = "") -> Parts:
    """Notch sensitivity q and K_f of a hole of radius `radius`, a formula of d."""
    kind, S = fg.alloy_of(m.density), f"S_ut{mark}"
    root, q, K_f, S_n = f"root{mark}", f"q{mark}", f"K_f{mark}", f"S_n{mark}"
    numbers: tuple[Number, ...] = ()
    steps: list[Step] = []
    if kind == "steel":
        steps += root_of_steel("1.24 - 0.00225*{0} + 1.6e-6*{0}^2 - 4.11e-10*{0}^3", S, S_n, root, fg.neuber_root)  # fmt: skip
    else:
        words = "Neuber's sqrt(a), mm^0.5; 0 is full sensitivity"
        numbers = (given(root, neuber(kind, m.ultimate), "-", words),)
    steps += [
        Step(
            q,
            f"1/(1 + {root}/sqrt({radius}))",
            "-",
            lambda v: fg.notch_sensitivity(v[root], v["d"] / 2.0),
        ),
        Step(K_f, f"1 + {q}*({K_t} - 1)", "-", lambda v: fg.notch_factor(v[K_t], v[q])),
    ]
    return numbers, tuple(steps)


def root_of_steel(
    cubic: str, S: str, S_n: str, root: str, of: Callable[[Floats], Floats]
) -> tuple[Step, Step]:
    """Neuber's root of steel; the fit is held to 340 to 1500 MPa."""
    held = Step(S_n, f"min(max({S}, 340), 1500)", "MPa", lambda v: np.clip(v[S], 340.0, 1500.0))
    return held, Step(root, cubic.format(S_n), "mm^0.5", lambda v: of(v[S]))
