"""Eight public engineering problems, vectorised, to measure a search by.

R. Tanabe, H. Ishibuchi, "An easy-to-use real-world multi-objective optimization problem suite",
Applied Soft Computing 89 (2020) 106078: problem RE21 and constrained problems CRE21-25, CRE31, CRE32,
written here from the paper's formulas. A constraint is met where its slack is >= 0; each slack is divided
by its own bound, since sums of violations in mixed units mislead.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from explorer.mechanics.types import Floats
from explorer.search.problem import Scored
from explorer.search.space import Columns, Kind, columns

Formula = Callable[[Floats], tuple[list[Floats], list[Floats]]]


@dataclass(frozen=True)
class Yardstick:
    """A problem, its ideal and nadir points, and the hypervolume of its pooled reference front.

    Hypervolumes are of aims scaled to 0 at the ideal and 1 at the nadir, from the point 1.1.
    """

    name: str
    space: Columns
    formula: Formula
    ideal: tuple[float, ...]
    nadir: tuple[float, ...]
    reference: float

    @property
    def enough(self) -> Floats:
        """No aim is ever good enough here."""
        return np.full(len(self.ideal), -np.inf)

    def evaluate(self, X: Floats) -> Scored:
        f, slacks = self.formula(np.ascontiguousarray(X.T))
        violation = np.zeros(len(X))
        for slack in slacks:
            violation = violation + np.maximum(-slack, 0.0)
        return Scored(np.stack(f, axis=1), violation, np.zeros(len(X)))


def four_bar_truss(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """RE21: volume and displacement of the joint; F = 10 kN, E = 2e5 kN/cm2, L = 200 cm."""
    x1, x2, x3, x4 = x
    F, E, L = 10.0, 2e5, 200.0
    root = np.sqrt(2.0)
    volume = L * (2.0 * x1 + root * x2 + np.sqrt(x3) + x4)
    joint = F * L / E * (2.0 / x1 + 2.0 * root / x2 - 2.0 * root / x3 + 2.0 / x4)
    return [volume, joint], []


def two_bar_truss(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """CRE21: volume of two bars and stress in the first."""
    x1, x2, x3 = x
    long, short = np.sqrt(16.0 + x3 * x3), np.sqrt(1.0 + x3 * x3)
    volume = x1 * long + x2 * short
    stress = 20.0 * long / (x1 * x3)
    other = 80.0 * short / (x3 * x2)
    return [volume, stress], [(0.1 - volume) / 0.1, (1e5 - stress) / 1e5, (1e5 - other) / 1e5]


def welded_beam(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """CRE22: cost and end deflection of a welded cantilever; P in lb, L in inch."""
    h, l, t, b = x
    P, L, E, G = 6000.0, 14.0, 30e6, 12e6
    cost = 1.10471 * h * h * l + 0.04811 * t * b * (14.0 + l)
    deflection = 4.0 * P * L * L * L / (E * b * t * t * t)
    half = (h + t) / 2.0
    R = np.sqrt(l * l / 4.0 + half * half)
    J = 2.0 * np.sqrt(2.0) * h * l * (l * l / 12.0 + half * half)
    bending = P * (L + l / 2.0) * R / J
    direct = P / (np.sqrt(2.0) * h * l)
    tau = np.sqrt(direct * direct + direct * bending * l / R + bending * bending)
    sigma = 6.0 * P * L / (b * t * t)
    buckling = 4.013 * E * np.sqrt(t * t * b**6 / 36.0) / (L * L)
    buckling = buckling * (1.0 - t / (2.0 * L) * np.sqrt(E / (4.0 * G)))
    slacks = [(13600.0 - tau) / 13600.0, (30000.0 - sigma) / 30000.0, (b - h) / 5.0]
    return [cost, deflection], [*slacks, (buckling - P) / P]


def disc_brake(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """CRE23: mass and stopping time."""
    inner, outer, force, plates = x
    a2 = outer * outer - inner * inner
    a3 = outer * outer * outer - inner * inner * inner
    mass = 4.9e-5 * a2 * (plates - 1.0)
    stop = 9.82e6 * a2 / (force * plates * a3)
    slacks = [
        (outer - inner - 20.0) / 20.0,
        (0.4 - force / (3.14 * a2)) / 0.4,
        1.0 - 2.22e-3 * force * a3 / (a2 * a2),
        (2.66e-2 * force * plates * a3 / a2 - 900.0) / 900.0,
    ]
    return [mass, stop], slacks


def speed_reducer(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """CRE24: weight and stress of the first shaft; x3 is a number of teeth."""
    x1, x2, x3, x4, x5, x6, x7 = x
    weight = (
        0.7854 * x1 * x2 * x2 * (10.0 * x3 * x3 / 3.0 + 14.933 * x3 - 43.0934)
        - 1.508 * x1 * (x6 * x6 + x7 * x7)
        + 7.477 * (x6 * x6 * x6 + x7 * x7 * x7)
        + 0.7854 * (x4 * x6 * x6 + x5 * x7 * x7)
    )
    first = np.sqrt((745.0 * x4 / (x2 * x3)) ** 2 + 1.69e7) / (0.1 * x6 * x6 * x6)
    second = np.sqrt((745.0 * x5 / (x2 * x3)) ** 2 + 1.575e8) / (0.1 * x7 * x7 * x7)
    slacks = [
        1.0 - 27.0 / (x1 * x2 * x2 * x3),
        1.0 - 397.5 / (x1 * x2 * x2 * x3 * x3),
        1.0 - 1.93 * x4 * x4 * x4 / (x2 * x3 * x6**4),
        1.0 - 1.93 * x5 * x5 * x5 / (x2 * x3 * x7**4),
        1.0 - x2 * x3 / 40.0,
        1.0 - x1 / x2 / 12.0,
        x1 / x2 / 5.0 - 1.0,
        (x4 - 1.5 * x6 - 1.9) / 1.9,
        (x5 - 1.1 * x7 - 1.9) / 1.9,
        1.0 - first / 1300.0,
        1.0 - second / 1100.0,
    ]
    return [weight, first], slacks


def gear_train(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """CRE25: error of a ratio of 6.931 by four gears, and the largest gear; all whole teeth."""
    x1, x2, x3, x4 = x
    error = np.abs(6.931 - (x3 / x1) * (x4 / x2))
    return [error, x.max(axis=0)], [(0.5 - error / 6.931) / 0.5]


def side_impact(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """CRE31: mass, pubic force and mean intrusion speed of a car's side."""
    x1, x2, x3, x4, x5, x6, x7 = x
    mass = 1.98 + 4.9 * x1 + 6.67 * x2 + 6.98 * x3 + 4.01 * x4 + 1.78 * x5 + 1e-5 * x6 + 2.73 * x7
    force = 4.72 - 0.5 * x4 - 0.19 * x2 * x3
    pillar = 10.58 - 0.674 * x1 * x2 - 0.67275 * x2
    door = 16.45 - 0.489 * x3 * x7 - 0.843 * x5 * x6
    abdomen = 1.16 - 0.3717 * x2 * x4 - 0.0092928 * x3
    upper = (
        0.261 - 0.0159 * x1 * x2 - 0.06486 * x1 - 0.019 * x2 * x7 + 0.0144 * x3 * x5
        + 0.0154464 * x6
    )  # fmt: skip
    middle = (
        0.214 + 0.00817 * x5 - 0.045195 * x1 - 0.0135168 * x1 + 0.03099 * x2 * x6 - 0.018 * x2 * x7
        + 0.007176 * x3 + 0.023232 * x3 - 0.00364 * x5 * x6 - 0.018 * x2 * x2
    )  # fmt: skip
    lower = 0.74 - 0.61 * x2 - 0.031296 * x3 - 0.031872 * x7 + 0.227 * x2 * x2
    rib_upper = 28.98 + 3.818 * x3 - 4.2 * x1 * x2 + 1.27296 * x6 - 2.68065 * x7
    rib_middle = 33.86 + 2.95 * x3 - 5.057 * x1 * x2 - 3.795 * x2 - 3.4431 * x7 + 1.45728
    rib_lower = 46.36 - 9.9 * x2 - 4.4505 * x1
    slacks = [1.0 - abdomen]
    slacks += [1.0 - v / 0.32 for v in (upper, middle, lower)]
    slacks += [1.0 - d / 32.0 for d in (rib_upper, rib_middle, rib_lower)]
    slacks += [1.0 - force / 4.0, 1.0 - pillar / 9.9, 1.0 - door / 15.7]
    return [mass, force, 0.5 * (pillar + door)], slacks


def marine(x: Floats) -> tuple[list[Floats], list[Floats]]:
    """CRE32: transport cost, light ship weight and (negative) annual cargo of a bulk carrier.

    As published: sea days multiply by the speed where they should divide, so cargo and cost come out
    negative. The tabulated points rest on it, so it stays.
    """
    L, B, D, T, Vk, CB = x
    displacement = 1.025 * L * B * T * CB
    Fn = 0.5144 * Vk / np.sqrt(9.8065 * L)
    a = 4977.06 * CB * CB - 8105.61 * CB + 4456.51
    b = -10847.2 * CB * CB + 12817.0 * CB - 6960.32
    power = displacement ** (2.0 / 3.0) * Vk**3 / (a + b * Fn)
    outfit = L**0.8 * B**0.6 * D**0.3 * CB**0.1
    steel = 0.034 * L**1.7 * B**0.7 * D**0.4 * CB**0.5
    light = steel + outfit + 0.17 * power**0.9
    capital = 0.2 * 1.3 * (2000.0 * steel**0.85 + 3500.0 * outfit + 2400.0 * power**0.8)
    DWT = displacement - light
    running = 40000.0 * DWT**0.3
    sea_days = 5000.0 / 24.0 * Vk
    daily = 0.19 * power * 24.0 / 1000.0 + 0.2
    fuel = 1.05 * daily * sea_days * 100.0
    port = 6.3 * DWT**0.8
    cargo = DWT - daily * (sea_days + 5.0) - 2.0 * np.sqrt(DWT)
    trips = 350.0 / (sea_days + 2.0 * (cargo / 8000.0 + 0.5))
    annual = cargo * trips
    cost = (capital + running + (fuel + port) * trips) / annual
    height = 0.53 * T + (0.085 * CB - 0.002) * B * B / (T * CB) - (1.0 + 0.52 * D)
    slacks = [
        L / B / 6.0 - 1.0,
        1.0 - L / D / 15.0,
        1.0 - L / T / 19.0,
        (0.45 * DWT**0.31 - T) / 10.0,
        (0.7 * D + 0.7 - T) / 10.0,
        1.0 - DWT / 50000.0,
        DWT / 3000.0 - 1.0,
        1.0 - Fn / 0.32,
        height - 0.07 * B,
    ]
    return [cost, light, -annual], slacks


_REAL: Kind = "real"
YARDSTICKS: tuple[Yardstick, ...] = (
    Yardstick(
        "RE21 four-bar truss",
        columns([1.0, np.sqrt(2.0), np.sqrt(2.0), 1.0], [3.0] * 4),
        four_bar_truss,
        (1237.84142, 0.00276142375),
        (2886.36956, 0.04),
        0.88914,
    ),
    Yardstick(
        "CRE21 two-bar truss",
        columns([1e-5, 1e-5, 1.0], [100.0, 100.0, 3.0]),
        two_bar_truss,
        (0.00400045, 1712.45),
        (0.0999997, 99997.6),
        1.15343,
    ),
    Yardstick(
        "CRE22 welded beam",
        columns([0.125, 0.1, 0.1, 0.125], [5.0, 10.0, 10.0, 5.0]),
        welded_beam,
        (1.72659, 0.00043904),
        (35.3077, 0.0144651),
        1.13324,
    ),
    Yardstick(
        "CRE23 disc brake",
        columns([55.0, 75.0, 1000.0, 11.0], [80.0, 110.0, 3000.0, 20.0]),
        disc_brake,
        (1.274, 1.13907),
        (5.3067, 3.02817),
        1.01271,
    ),
    Yardstick(
        "CRE24 speed reducer",
        columns(
            [2.6, 0.7, 17.0, 7.3, 7.3, 2.9, 5.0],
            [3.6, 0.8, 28.0, 8.3, 8.3, 3.9, 5.5],
            [_REAL, _REAL, "whole", _REAL, _REAL, _REAL, _REAL],
        ),
        speed_reducer,
        (2771.918, 694.7058),
        (5777.850, 1299.987),
        1.18042,
    ),
    Yardstick(
        "CRE25 gear train",
        columns([12.0] * 4, [60.0] * 4, ["whole"] * 4),
        gear_train,
        (7.8947e-5, 23.0),
        (3.25739, 49.0),
        1.01421,
    ),
    Yardstick(
        "CRE31 side impact",
        columns(
            [0.5, 0.45, 0.5, 0.5, 0.875, 0.4, 0.4],
            [1.5, 1.35, 1.5, 1.5, 2.625, 1.2, 1.2],
        ),
        side_impact,
        (23.586, 3.58525, 10.6106),
        (42.768, 4.0, 12.5211),
        0.87341,
    ),
    Yardstick(
        "CRE32 marine",
        columns([150.0, 20.0, 13.0, 10.0, 14.0, 0.63], [274.32, 32.31, 25.0, 11.71, 18.0, 0.75]),
        marine,
        (-1941.85, 4906.11, 2440.85),
        (-719.05, 10723.0, 4707.1),
        0.87002,
    ),
)

# The whole front of CRE25, by trying all 49**4 gear trains.
GEAR_FRONT = (
    (3.25738889, 23), (2.931, 24), (2.59072222, 25), (2.23655556, 26), (1.8685, 27),
    (1.48655556, 28), (1.09072222, 29), (0.681, 30), (0.257388889, 31), (0.0421111111, 32),
    (0.0241282051, 35), (0.00792307692, 36), (0.0065, 37), (0.00391666667, 38),
    (0.00233333333, 39), (0.000597069597, 44), (0.0000789473684, 49),
)  # fmt: skip


def every_gear_train() -> Floats:
    """All distinct gear trains (N,4): a pair of drivers and a pair of driven gears, order aside."""
    pairs = np.array(
        list(itertools.combinations_with_replacement(range(12, 61), 2)), dtype=np.float64
    )
    n = len(pairs)
    return np.concatenate(
        [pairs[np.repeat(np.arange(n), n)], pairs[np.tile(np.arange(n), n)]], axis=1
    )
