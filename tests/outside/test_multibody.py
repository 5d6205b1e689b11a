"""Whole hands in a general rigid-body engine (MuJoCo) against the exact solver.

Every body is a free plane body, every link or strand a tendon of fixed length; strands round wheels and
drums wrap round cylinders.  The engine knows nothing of shares, arms or settling: it is pulled at the
input until nothing moves any more, and its tendon forces are read.  Lengths mm, forces N; the masses
only set how fast it comes to rest.
"""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pytest

from explorer.drives.bodies import Bar, Wheel
from explorer.drives.exact import Exact, solve_exact
from explorer.drives.exact_compare import compare
from explorer.drives.ratios import Rocker
from tests.drives.random_drives import Sample, make_sample

mujoco = pytest.importorskip("mujoco")

Point = tuple[float, float]
HEAD = """<mujoco><option gravity="0 0 0" timestep="0.02" integrator="implicitfast" iterations="100"
 tolerance="1e-15"><flag contact="disable"/></option>
<default><equality solref="0.04 1" solimp="0.9999 0.9999 0.001 0.5 2"/></default>"""
INERTIA = '<inertial pos="0 0 0" mass="1" diaginertia="50 50 50"/>'
SLIDES = (
    '<joint name="{0}_x" type="slide" axis="1 0 0" damping="0.6"/>'
    '<joint name="{0}_y" type="slide" axis="0 1 0" damping="0.6"/>'
)
HINGE = '<joint name="{0}_turn" type="hinge" axis="0 0 1" damping="40"/>'


@dataclass
class Bench:
    """A model being written: bodies, finger pins (which can be moved), tendons of fixed length."""

    world: list[str] = field(default_factory=list)
    tendons: list[str] = field(default_factory=list)
    holds: list[str] = field(default_factory=list)
    lengths: dict[str, float | None] = field(default_factory=dict)

    def body(self, name: str, at: Point, joints: str, inside: str) -> None:
        self.world.append(
            f'<body name="{name}" pos="{at[0]:.17g} {at[1]:.17g} 0">{INERTIA}{joints.format(name)}{inside}</body>'
        )

    def pin(self, name: str, at: Point) -> None:
        self.world.append(
            f'<body name="{name}" mocap="true" pos="{at[0]:.17g} {at[1]:.17g} 0">{site(name)}</body>'
        )

    def tendon(self, name: str, path: str, length: float | None = None) -> None:
        """A tendon of a stated length, or of the length it has where everything starts."""
        self.tendons.append(f'<spatial name="{name}">{path}</spatial>')
        self.lengths[name] = length

    def model(self, extra: dict[str, float]) -> Any:  # noqa: ANN401
        holds = "".join(
            f'<tendon tendon1="{n}" polycoef="{extra.get(n, 0.0):.17g} 0 0 0 0"/>'
            for n in self.lengths
        )
        return mujoco.MjModel.from_xml_string(
            f"{HEAD}<worldbody>{''.join(self.world)}</worldbody>"
            f"<tendon>{''.join(self.tendons)}</tendon><equality>{holds}</equality></mujoco>"
        )

    def build(self) -> Any:  # noqa: ANN401
        """The model, with tendons shifted from the length they start with to the stated one."""
        first = self.model({})
        starts = dict(zip(self.lengths, first.tendon_length0, strict=True))
        return self.model({n: L - starts[n] for n, L in self.lengths.items() if L is not None})


def site(name: str, x: float = 0.0, y: float = 0.0) -> str:
    return f'<site name="{name}" pos="{x:.17g} {y:.17g} 0"/>'


def via(*names: str) -> str:
    return "".join(f'<site site="{n}"/>' for n in names)


def cylinder(name: str, R: float) -> str:
    return f'<geom name="{name}" type="cylinder" size="{R:.17g} 3" contype="0" conaffinity="0" mass="0"/>'


@dataclass(frozen=True)
class Engine:
    """A hand at rest in the engine: what the test reads out of it."""

    model: Any
    data: Any
    tendons: tuple[str, ...]

    def turn(self, body: str) -> float:
        return float(self.data.joint(f"{body}_turn").qpos[0])

    def place(self, body: str) -> np.ndarray:
        return np.array(self.data.body(body).xpos[:2])

    def tension(self, tendon: str) -> float:
        """Minus the constraint force that works on the tendon's length."""
        return -float(self.data.efc_force[self.tendons.index(tendon)])


def run(model: Any, tendons: tuple[str, ...], pins: dict[str, Point], push: Any) -> Engine:  # noqa: ANN401
    """Move the finger pins in 200 steps, then wait until nothing moves; `push(data)` sets the input."""
    data = mujoco.MjData(model)
    names = {n: model.body(n).mocapid[0] for n in pins}
    start = {n: data.mocap_pos[i][:2].copy() for n, i in names.items()}
    for step in range(30_000):
        part = min(1.0, step / 200)
        for n, i in names.items():
            data.mocap_pos[i][:2] = start[n] + part * (np.array(pins[n]) - start[n])
        push(data)
        mujoco.mj_step(model, data)
        if step > 400 and np.abs(data.qvel).max() < 1e-7:
            break
    assert np.abs(data.qvel).max() < 1e-7, "the engine did not come to rest"
    mujoco.mj_forward(model, data)
    return Engine(model, data, tendons)


def one(column: np.ndarray) -> float:
    return float(column.reshape(-1)[0])


class Hand:
    """A drive as a multibody model: starts as the drive rests, bars level."""

    def __init__(self, s: Sample, rest: Exact) -> None:
        self.s, self.bench = s, Bench()
        for f, (x, y) in enumerate(zip(s.pin_x, rest.rest_y, strict=True)):
            self.bench.pin(f"pin{f}", (float(x), float(y)))
        first = s.drive.first
        assert rest.first is not None
        exit_path = self.ratio()
        self.floating("first", first, (rest.first.x[0], rest.first.y[0]))
        self.bench.tendon(
            "exit", exit_path + via("first"), one(s.drive.L_exit) if self.rocker else None
        )
        for k, (c, g) in enumerate(zip(s.drive.carriers, rest.second, strict=True)):
            assert c.body is not None
            assert g is not None
            name = f"second{k}"
            self.floating(name, c.body, (g.x[0], g.y[0]))
            self.sides(name, c.body, tuple(f"pin{f}" for f in c.fingers), c.L_out)
        self.sides("first", first, ("second0", "second1"), tuple(c.L_in for c in s.drive.carriers))
        self.model = self.bench.build()

    @property
    def rocker(self) -> bool:
        return isinstance(self.s.drive.ratio, Rocker)

    def ratio(self) -> str:
        """Rocker with its two pins, or drum with the strand's end on its rim; the start of the exit."""
        r, y = self.s.drive.ratio, one(self.s.drive.y_ratio)
        side = one(r.side)
        if isinstance(r, Rocker):
            theta, beta, into = one(r.theta_s), one(r.beta), one(r.input_side)
            turned = np.exp(-1j * side * theta)
            out = side * one(r.r2) * turned
            pin = one(r.r1) * (into * np.cos(beta) + 1j * r.source.sign * np.sin(beta)) * turned
            inside = site("out", out.real, out.imag) + site("in", pin.real, pin.imag)
            self.bench.body("ratio", (one(r.x_p), y), HINGE, inside)
            return via("out")
        R, centre = one(r.a2), one(r.exits[0]) - side * one(r.a2)
        rim = 1.0001 * R * np.exp(-1j * np.radians(60))
        inside = cylinder("drum", R) + site("rim", side * rim.real, rim.imag)
        self.bench.body("ratio", (centre, y), HINGE, inside)
        self.bench.world.append(site("by_drum", centre + side * 1.5 * R, y - R))
        return via("rim") + '<geom geom="drum" sidesite="by_drum"/>'

    def floating(self, name: str, body: object, at: Point) -> None:
        if isinstance(body, Wheel):
            R = one(body.D) / 2
            inside = site(name) + cylinder(f"{name}_wheel", R) + site(f"{name}_low", 0.0, -1.5 * R)
            self.bench.body(name, at, SLIDES, inside)
            return
        assert isinstance(body, Bar)
        ends = site(f"{name}_a", -one(body.l_a), one(body.e)) + site(
            f"{name}_b", one(body.l_b), one(body.e)
        )
        self.bench.body(name, at, SLIDES + HINGE, site(name) + ends)

    def sides(
        self, name: str, body: object, to: tuple[str, ...], lengths: tuple[np.ndarray, ...]
    ) -> None:
        if isinstance(body, Wheel):
            around = f'<geom geom="{name}_wheel" sidesite="{name}_low"/>'
            self.bench.tendon(f"{name}_strand", via(to[0]) + around + via(to[1]))
            return
        for end, other, L in zip("ab", to, lengths, strict=True):
            self.bench.tendon(f"{name}_{end}", via(f"{name}_{end}", other), one(L))

    def push(self, data: Any) -> None:  # noqa: ANN401
        """One newton on the input: on the in pin along y, or as a moment on the drum."""
        r = self.s.drive.ratio
        data.qfrc_applied[:] = 0.0
        if isinstance(r, Rocker):
            mujoco.mj_kinematics(self.model, data)
            mujoco.mj_comPos(self.model, data)
            mujoco.mj_applyFT(
                self.model, data, np.array([0.0, r.source.sign, 0.0]), np.zeros(3),
                data.site("in").xpos, self.model.body("ratio").id, data.qfrc_applied,
            )  # fmt: skip
        else:
            data.joint("ratio_turn").qfrc_applied[0] = -one(r.side) * one(r.a1)

    def settle(self, pin_y: np.ndarray) -> Engine:
        pins = {
            f"pin{f}": (float(x), float(y))
            for f, (x, y) in enumerate(zip(self.s.pin_x, pin_y, strict=True))
        }
        return run(self.model, tuple(self.bench.lengths), pins, self.push)

    def pulls(self, e: Engine) -> np.ndarray:
        """Pull of every finger along y."""
        found = np.zeros(len(self.s.pin_x))
        for k, c in enumerate(self.s.drive.carriers):
            for side, end, f in zip((-1, 1), "ab", c.fingers, strict=True):
                if isinstance(c.body, Wheel):
                    dx, dy = np.array(e.data.body(f"pin{f}").xpos[:2]) - e.place(f"second{k}")
                    lean = np.arctan2(side * dx, dy) - np.arcsin(
                        one(c.body.D) / 2 / np.hypot(dx, dy)
                    )
                    found[f] = e.tension(f"second{k}_strand") * np.cos(lean)
                else:
                    run_ = e.data.body(f"pin{f}").xpos - e.data.site(f"second{k}_{end}").xpos
                    found[f] = e.tension(f"second{k}_{end}") * run_[1] / np.linalg.norm(run_)
        return found


def four_fingers(seed: int, architecture: str) -> Sample:
    s = make_sample(seed, architecture, 4, links=(14, 24), travel=9.0, positions=2)
    source = replace(s.drive.ratio.source, leans=False, strut=False)
    return replace(s, drive=replace(s.drive, ratio=replace(s.drive.ratio, source=source)))


@pytest.mark.parametrize(
    ("architecture", "seed"),
    [
        ("linked_lever+bar", 0),
        ("linked_lever+bar", 1),
        ("linked_lever+chain", 2),
        ("chain_winder+chain", 3),
        ("chain_winder+bar", 4),
    ],
)
def test_a_whole_hand_stands_and_pulls_as_the_exact_solver_says(
    architecture: str, seed: int
) -> None:
    s = four_fingers(seed, architecture)
    exact = solve_exact(s.drive, s.draw, s.pin_x)
    hand = Hand(s, solve_exact(s.drive, 0 * s.draw, s.pin_x))
    assert exact.converged.all()
    explicit = compare(s.drive, exact, s.moved()).into.explicit
    for p in range(len(s.draw)):
        e = hand.settle(exact.pin_y[p])
        pulls = hand.pulls(e)
        assert pulls == pytest.approx(exact.pull_in[p], rel=1e-5)
        # the engine tells the two forms apart: leans are large enough here to matter
        assert np.abs(pulls / explicit[p] - 1).max() > 5e-4
        check_places(hand, e, exact, p)


def check_places(hand: Hand, e: Engine, exact: Exact, p: int) -> None:
    """Centres within a micrometre, angles within a hundred-thousandth."""
    drive = hand.s.drive
    for name, body, g in (
        ("first", drive.first, exact.first),
        *((f"second{k}", c.body, exact.second[k]) for k, c in enumerate(drive.carriers)),
    ):
        assert g is not None
        assert e.place(name) == pytest.approx([g.x[p], g.y[p]], abs=1e-3)
        if isinstance(body, Bar):
            assert e.turn(name) == pytest.approx(g.tilt[p], abs=1e-5)
    started = one(drive.ratio.theta_s) if hand.rocker else 0.0
    turned = -one(drive.ratio.side) * e.turn("ratio")
    assert started + turned == pytest.approx(exact.theta[p], abs=1e-5)


def test_at_rest_the_engine_keeps_the_bars_level() -> None:
    s = four_fingers(1, "linked_lever+bar")
    rest = solve_exact(s.drive, 0 * s.draw, s.pin_x)
    e = Hand(s, rest).settle(rest.rest_y)
    for body in ("first", "second0", "second1"):
        assert e.turn(body) == pytest.approx(0.0, abs=1e-5)


def test_known_answer_the_law_of_the_lever() -> None:
    """A bar 10/15 on two upright links, pulled at its centre pin with 1 N: 0.6 and 0.4 N."""
    bench = Bench()
    bench.pin("left", (-10.0, 20.0))
    bench.pin("right", (15.0, 20.0))
    bench.body("bar", (0.0, 0.0), SLIDES + HINGE, site("a", -10.0) + site("b", 15.0))
    bench.tendon("bar_a", via("a", "left"), 20.0)
    bench.tendon("bar_b", via("b", "right"), 20.0)

    def pull(data: Any) -> None:  # noqa: ANN401
        data.joint("bar_y").qfrc_applied[0] = -1.0

    pins = {"left": (-10.0, 20.0), "right": (15.0, 20.0)}
    e = run(bench.build(), tuple(bench.lengths), pins, pull)
    assert e.tension("bar_a") == pytest.approx(0.6, rel=1e-4)
    assert e.tension("bar_b") == pytest.approx(0.4, rel=1e-4)


def test_known_answer_a_strand_round_a_wheel() -> None:
    """A wheel on a strand, its two ends upright: half a pull each, and it hangs where the length says."""
    bench = Bench()
    bench.pin("left", (-8.0, 20.0))
    bench.pin("right", (8.0, 20.0))
    bench.body("wheel", (0.0, 0.0), SLIDES, cylinder("rim", 8.0) + site("low", 0.0, -12.0))
    bench.tendon("strand", via("left") + '<geom geom="rim" sidesite="low"/>' + via("right"))

    def pull(data: Any) -> None:  # noqa: ANN401
        data.joint("wheel_y").qfrc_applied[0] = -1.0

    model = bench.build()
    assert model.tendon_length0[0] == pytest.approx(40.0 + np.pi * 8.0, rel=1e-6)
    e = run(model, tuple(bench.lengths), {"left": (-8.0, 14.0), "right": (8.0, 22.0)}, pull)
    assert e.tension("strand") == pytest.approx(0.5, rel=1e-4)
    assert e.place("wheel")[1] == pytest.approx(-2.0, abs=1e-3)
