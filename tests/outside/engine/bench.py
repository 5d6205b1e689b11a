"""A model for the rigid-body engine (MuJoCo) being written, and a hand standing still in it.

Bodies are free plane bodies or turn on fixed hinges, links and strands are tendons of fixed length that
wrap round cylinders.  The engine solves Newton's equations; its masses and dampers only set how fast it
comes to rest.  Lengths mm, forces N.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pytest

mujoco = pytest.importorskip("mujoco")

Point = tuple[float, float]
HEAD = """<mujoco><option gravity="0 0 0" timestep="0.02" integrator="implicitfast" iterations="100"
 tolerance="1e-15"><flag contact="disable"/></option>
<default><equality solref="0.04 1" solimp="0.9999 0.9999 0.001 0.5 2"/></default>"""
INERTIA = '<inertial pos="0 0 0" mass="1" diaginertia="50 50 50"/>'
SLIDE_X = '<joint name="{0}_x" type="slide" axis="1 0 0" damping="{1}"/>'
SLIDE_Y = '<joint name="{0}_y" type="slide" axis="0 1 0" damping="{1}"/>'
SLIDES = SLIDE_X + SLIDE_Y
HINGE = '<joint name="{0}_turn" type="hinge" axis="0 0 1" damping="20"/>'
AXLE = '<joint name="{0}_turn" type="hinge" axis="1 0 0" damping="20"/>'
ALONG_X = ' euler="0 90 0"'
MOVE, STEPS, STILL = 200, 80_000, 1e-7  # steps to move the pins in, most steps; mm or rad, s


def site(name: str, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> str:
    return f'<site name="{name}" pos="{x:.17g} {y:.17g} {z:.17g}"/>'


def via(*names: str) -> str:
    return "".join(f'<site site="{n}"/>' for n in names)


def round_(name: str, side: str) -> str:
    return f'<geom geom="{name}" sidesite="{side}"/>'


def cylinder(name: str, R: float, turned: str = "") -> str:
    return (
        f'<geom name="{name}" type="cylinder" size="{R:.17g} 3"{turned} contype="0" '
        'conaffinity="0" mass="0"/>'
    )


@dataclass
class Bench:
    """Bodies, finger pins (which can be moved), tendons of fixed length, gears that roll on each other.

    `damping` of the slides, N s/mm: near what stops a body on links of this length without overshoot.
    """

    damping: float = 0.3
    world: list[str] = field(default_factory=list)
    tendons: list[str] = field(default_factory=list)
    lengths: dict[str, float | None] = field(default_factory=dict)

    def body(self, name: str, at: Point, joints: str, inside: str, z: float = 0.0) -> None:
        self.world.append(
            f'<body name="{name}" pos="{at[0]:.17g} {at[1]:.17g} {z:.17g}">{INERTIA}'
            f"{joints.format(name, self.damping)}{inside}</body>"
        )

    def pin(self, name: str, at: Point) -> None:
        self.world.append(
            f'<body name="{name}" mocap="true" pos="{at[0]:.17g} {at[1]:.17g} 0">{site(name)}</body>'
        )

    def tendon(self, name: str, path: str, length: float | None = None) -> None:
        """A tendon of a stated length, or of the length it has where everything starts."""
        self.tendons.append(f'<spatial name="{name}">{path}</spatial>')
        self.lengths[name] = length

    def mesh(self, name: str, radii: dict[str, float]) -> None:
        """Pitch circles that roll without slip: radius x turn of all bodies adds up to nothing."""
        rolls = "".join(f'<joint joint="{b}_turn" coef="{r:.17g}"/>' for b, r in radii.items())
        self.tendons.append(f'<fixed name="{name}">{rolls}</fixed>')
        self.lengths[name] = None

    def model(self, extra: dict[str, float]) -> mujoco.MjModel:
        holds = "".join(
            f'<tendon tendon1="{n}" polycoef="{extra.get(n, 0.0):.17g} 0 0 0 0"/>'
            for n in self.lengths
        )
        return mujoco.MjModel.from_xml_string(
            f"{HEAD}<worldbody>{''.join(self.world)}</worldbody>"
            f"<tendon>{''.join(self.tendons)}</tendon><equality>{holds}</equality></mujoco>"
        )

    def build(self) -> mujoco.MjModel:
        """The model, with tendons shifted from the length they start with to the stated one."""
        first = self.model({})
        starts = dict(zip(self.lengths, first.tendon_length0, strict=True))
        return self.model({n: L - starts[n] for n, L in self.lengths.items() if L is not None})


@dataclass(frozen=True)
class Engine:
    """A model at rest: what a test reads out of it."""

    model: mujoco.MjModel
    data: mujoco.MjData
    tendons: tuple[str, ...]

    def turn(self, body: str) -> float:
        return float(self.data.joint(f"{body}_turn").qpos[0])

    def place(self, body: str) -> np.ndarray:
        return np.array(self.data.body(body).xpos[:2])

    def site(self, name: str) -> np.ndarray:
        return np.array(self.data.site(name).xpos[:2])

    def tension(self, tendon: str) -> float:
        """Minus the constraint force that works on the tendon's length."""
        return -float(self.data.efc_force[self.tendons.index(tendon)])

    def length(self, tendon: str) -> float:
        return float(self.data.ten_length[self.tendons.index(tendon)])

    def points(self, tendon: str) -> np.ndarray:
        """Where the tendon's straight pieces start and end, in its order (n,3)."""
        i = self.tendons.index(tendon)
        start, n = self.data.ten_wrapadr[i], self.data.ten_wrapnum[i]
        return np.array(self.data.wrap_xpos).reshape(-1, 3)[start : start + n]

    def last(self, tendon: str) -> np.ndarray:
        """Its last straight piece, as a vector to where it ends (3,)."""
        points = self.points(tendon)
        return points[-1] - points[-2]


def _still(data: mujoco.MjData) -> bool:
    """Neither speed nor acceleration: not at the turning point of a swing either."""
    return bool(max(np.abs(data.qvel).max(), np.abs(data.qacc).max()) < STILL)


def run(
    model: mujoco.MjModel,
    tendons: tuple[str, ...],
    pins: dict[str, Point],
    push: Callable[[mujoco.MjData], None],
) -> Engine:
    """Move the finger pins in some steps, then wait until nothing moves; `push(data)` sets the input."""
    data = mujoco.MjData(model)
    names = {n: model.body(n).mocapid[0] for n in pins}
    start = {n: data.mocap_pos[i][:2].copy() for n, i in names.items()}
    for step in range(STEPS):
        part = min(1.0, step / MOVE)
        for n, i in names.items():
            data.mocap_pos[i][:2] = start[n] + part * (np.array(pins[n]) - start[n])
        push(data)
        mujoco.mj_step(model, data)
        if step > 2 * MOVE and _still(data):
            break
    assert _still(data), "the engine did not come to rest"
    mujoco.mj_forward(model, data)
    return Engine(model, data, tendons)
