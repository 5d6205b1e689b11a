"""Straight members in the frame solver (PyNite): a beam on two hinges, and levers cut free at their pins."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

pynite = pytest.importorskip("Pynite", reason="PyNite is a test-only package and is not installed")

CASE = "Combo 1"
FORCES = ("Fy", "Fz")  # across a beam along x
Place = tuple[float, float]


def along(pull: float, dx: float, L: float) -> Place:
    """A link's force by its pull along y: it runs dx sideways on its length L."""
    return pull * dx / (L * L - dx * dx) ** 0.5, pull


def turned(x: float, y: float, by: float) -> Place:
    c, s = np.cos(by), np.sin(by)
    return float(x * c - y * s), float(x * s + y * c)


def steel() -> object:
    """A model with one metal and one round section; statics depend on neither."""
    model = pynite.FEModel3D()
    model.add_material("steel", 210e3, 81e3, 0.3, 7.85e-6)
    model.add_section("round", 7.07, 3.98, 3.98, 7.95)
    return model


class Beam:
    """A beam along x on two hinges, loads across it in one or two planes, and torques."""

    def __init__(self, start: float, end: float, hinges: tuple[float, float]) -> None:
        self.start = start
        self.model = steel()
        places = sorted({start, end, *hinges})
        for x in places:
            self.model.add_node(f"at {x}", x, 0, 0)
        self.hinges = [f"at {x}" for x in hinges]
        self.model.def_support(self.hinges[0], True, True, True, True, False, False)
        self.model.def_support(self.hinges[1], False, True, True, False, False, False)
        self.model.add_member("beam", f"at {start}", f"at {end}", "steel", "round")

    def point(self, force: float, x: float, along: str = "Fy") -> None:
        self.model.add_member_pt_load("beam", along, force, x - self.start)

    def torque(self, moment: float, x: float) -> None:
        self.point(moment, x, "Mx")

    def spread(self, force: float, x1: float, x2: float, along: str = "Fy") -> None:
        per_mm = force / (x2 - x1)
        self.model.add_member_dist_load(
            "beam", along, per_mm, per_mm, x1 - self.start, x2 - self.start
        )

    def solve(self) -> None:
        self.model.analyze_linear()

    def reactions(self, along: str = "Fy") -> list[float]:
        return [
            float(getattr(self.model.nodes[n], f"Rxn{along.upper()}")[CASE]) for n in self.hinges
        ]

    def moment(self, x: float, along: str = "Fy") -> float:
        """Positive where the beam sags under loads along y; PyNite counts it the other way."""
        about = {"Fy": "Mz", "Fz": "My"}[along]
        return -float(self.model.members["beam"].moment(about, x - self.start, CASE))

    def twist(self, x: float) -> float:
        return float(self.model.members["beam"].torque(x - self.start, CASE))


class Lever:
    """A plate in its own plane: straight arms from pin to pin, the first pin held, forces at the others."""

    def __init__(self, pins: Sequence[Place], arms: Sequence[tuple[int, int]]) -> None:
        self.model = steel()
        self.arms = [f"{i} to {j}" for i, j in arms]
        for i, (x, y) in enumerate(pins):
            self.model.add_node(f"pin {i}", x, y, 0)
        self.model.def_support("pin 0", True, True, True, True, True, True)
        for name, (i, j) in zip(self.arms, arms, strict=True):
            self.model.add_member(name, f"pin {i}", f"pin {j}", "steel", "round")

    def force(self, pin: int, F: Place) -> None:
        self.model.add_node_load(f"pin {pin}", "FX", F[0])
        self.model.add_node_load(f"pin {pin}", "FY", F[1])

    def guide(self, pin: int) -> None:
        """Keeps the plate from turning at this pin."""
        self.model.def_support(f"pin {pin}", False, False, False, True, True, True)

    def solve(self) -> None:
        self.model.analyze_linear()

    def held(self) -> tuple[float, float, float]:
        """What the first pin holds: along x, along y, and the moment that nothing but friction could hold."""
        n = self.model.nodes["pin 0"]
        return float(n.RxnFX[CASE]), float(n.RxnFY[CASE]), float(n.RxnMZ[CASE])

    def moment(self, arm: int) -> float:
        """Bending moment at the start of an arm, no sign."""
        return abs(float(self.model.members[self.arms[arm]].moment("Mz", 0.0, CASE)))
