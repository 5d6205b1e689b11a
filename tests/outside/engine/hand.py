"""A whole drive as a model for the rigid-body engine: wrist, ratio part, equalisers, finger pins.

It starts as the drive rests, bars level.  Links have the lengths of the drive, strands those that they
have at rest; one newton pulls (or pushes) at the wrist.  A winder is a body with two drums on one hinge.
A differential is two sides and a cage on hinges across the hand, its planets turn in the cage, and pitch
circles roll on each other; each strand passes a smooth eye where it leaves its wheel, as a chain that
leans to one side only beyond it (mechanics: strand force = moment/a2).
"""

from __future__ import annotations

import numpy as np

from explorer.drives.bodies import Bar, GearSplit, Wheel
from explorer.drives.exact import Exact
from explorer.drives.ratios import Rocker, Spool
from tests.drives.random_drives import Sample
from tests.outside.engine.bench import (
    ALONG_X,
    AXLE,
    HINGE,
    INERTIA,
    SLIDE_Y,
    SLIDES,
    Bench,
    Engine,
    cylinder,
    mujoco,
    round_,
    run,
    site,
    via,
)

WOUND = np.radians(
    20.0
)  # of a strand, always stays on its drum; the engine wraps up to half a turn
REACH = 40.0  # from a drum to the wrist's end at rest
AHEAD = 1e-5  # an eye stands this far before its wheel
ON_RIM = 1.0001  # a strand's fixed end stands this far out: the engine asks for a point outside
SIDE, PLANET = 13.0, 7.0  # pitch radii; any pair shares alike
MESHES = ("side a with planet a", "planet a with planet b", "planet b with side b")


def one(column: np.ndarray) -> float:
    return float(column.reshape(-1)[0])


class Hand:
    """A drive as a model."""

    def __init__(self, s: Sample, rest: Exact, damping: float = 0.3) -> None:
        self.s, self.rest, self.bench = s, rest, Bench(damping)
        self.at_finger: dict[int, str] = {}  # the tendon that ends at its pin
        for f, (x, y) in enumerate(zip(s.pin_x, rest.rest_y, strict=True)):
            self.bench.pin(f"pin{f}", (float(x), float(y)))
        exits = self._first(self._ratio())
        heads = [self._carrier(k) for k in range(len(s.drive.carriers))]
        if isinstance(s.drive.first, Wheel):
            self._over("first", heads[0], heads[1])
        else:
            for k, (start, head) in enumerate(zip(exits, heads, strict=True)):
                L = s.drive.L_exit if s.drive.first is None else s.drive.carriers[k].L_in
                strand = s.drive.ratio.spools and not isinstance(s.drive.first, Bar)
                self.bench.tendon(f"to carrier {k}", start + via(head), None if strand else one(L))
                self._ends(f"to carrier {k}", head)
        self.model = self.bench.build()

    # ---- from the fingers back

    def _ends(self, tendon: str, head: str) -> None:
        """Notes the finger that a tendon reaches, if it does."""
        if head.startswith("pin"):
            self.at_finger[int(head[3:])] = tendon

    def _over(self, wheel: str, a: str, b: str) -> None:
        """A chain round the wrist side of a wheel, held by its lowest tooth: one strand to a, one to b."""
        for side, head in (("a", a), ("b", b)):
            round_it = round_(f"{wheel}_wheel", f"{wheel}_by_{side}")
            self.bench.tendon(f"{wheel} {side}", via(f"{wheel}_tooth") + round_it + via(head))
            self._ends(f"{wheel} {side}", head)

    def _carrier(self, k: int) -> str:
        """The carrier's body and what it pulls; the name of the point that the first stage pulls."""
        c, stage = self.s.drive.carriers[k], self.rest.second[k]
        pins = [f"pin{f}" for f in c.fingers]
        if c.body is None:
            return pins[0]
        assert stage is not None
        name = f"second{k}"
        self._floating(name, c.body, (float(stage.x[0]), float(stage.y[0])))
        if isinstance(c.body, Wheel):
            self._over(name, *pins)
            return name
        for end, pin, L in zip("ab", pins, c.L_out, strict=True):
            self.bench.tendon(f"{name} {end}", via(f"{name}_{end}", pin), one(L))
            self._ends(f"{name} {end}", pin)
        return name

    def _floating(self, name: str, body: Bar | Wheel, at: tuple[float, float]) -> None:
        if isinstance(body, Wheel):
            R = one(body.D) / 2.0
            inside = (
                site(name) + cylinder(f"{name}_wheel", R) + site(f"{name}_tooth", 0.0, -ON_RIM * R)
            )
            inside += site(f"{name}_by_a", -1.2 * R, -1.2 * R) + site(
                f"{name}_by_b", 1.2 * R, -1.2 * R
            )
            self.bench.body(name, at, SLIDES + HINGE, inside)
            return
        e = one(body.e)
        ends = site(f"{name}_a", -one(body.l_a), e) + site(f"{name}_b", one(body.l_b), e)
        self.bench.body(name, at, SLIDES + HINGE, site(name) + ends)

    def _first(self, exits: tuple[str, ...]) -> tuple[str, ...]:
        """The first equaliser on what leaves the ratio part; starts of the carriers' links."""
        first, stage = self.s.drive.first, self.rest.first
        if first is None or isinstance(first, GearSplit):
            return exits
        assert stage is not None
        self._floating("first", first, (float(stage.x[0]), float(stage.y[0])))
        L = None if self.s.drive.ratio.spools else one(self.s.drive.L_exit)
        self.bench.tendon("exit", exits[0] + via("first"), L)
        return via("first_a"), via("first_b")

    # ---- the ratio part

    def _ratio(self) -> tuple[str, ...]:
        """Rocker, winder or cage; the starts of the paths that leave it."""
        r = self.s.drive.ratio
        if isinstance(r, Rocker):
            return self._rocker(r)
        return self._winder(r) if r.flat else self._cage(r)

    def _rocker(self, r: Rocker) -> tuple[str, ...]:
        side, beta, sign = one(r.side), one(r.beta), r.source.sign
        turned = np.exp(-1j * side * one(r.theta_s))
        out = side * one(r.r2) * turned
        pin = one(r.r1) * (one(r.input_side) * np.cos(beta) + 1j * sign * np.sin(beta)) * turned
        inside = site("out", out.real, out.imag) + site("in", pin.real, pin.imag)
        self.bench.body("ratio", (one(r.x_p), self.y), HINGE, inside)
        if r.source.leans:  # the wrist's end slides along y on a drawbar, or on a rod that pushes
            x, L = r.source.far_x, r.source.length
            ahead = -sign if r.source.strut else sign
            rise = ahead * np.sqrt(L * L - (x - one(r.x_p) - pin.real) ** 2)
            self._wrist((x, self.y + pin.imag + rise), 0.0)
            self.bench.tendon("input", via("in", "wrist"), L)
        return (via("out"),)

    def _wrist(self, at: tuple[float, float], z: float) -> None:
        self.bench.body("wrist", at, SLIDE_Y, site("wrist"), z)

    def _wound(self, R: float) -> float:
        """How far a strand is wound on a drum that lets go of it, or takes up this much on the way."""
        turn = float(self.s.draw.max()) / R
        assert WOUND + turn < np.pi, "the engine wraps no more than half a turn"
        return WOUND + turn

    def _winder(self, r: Spool) -> tuple[str, ...]:
        """Two drums on one hinge along z; strands along y at both sides of it, or at one."""
        side, sign, a1, a2 = one(r.side), r.source.sign, one(r.a1), one(r.a2)
        x, into = one(r.exits[0]) - side * a2, -side * sign
        wound = self._wound(a2)
        inside = _drum("out", a2, side, 1.0, WOUND) + _drum("in", a1, into, sign, wound)
        self.bench.body("ratio", (x, self.y), HINGE, inside)
        self.bench.world.append(site("by_out", x + side * 1.5 * a2, self.y - a2))
        self.bench.world.append(site("by_in", x + into * 1.5 * a1, self.y - sign * a1))
        self._wrist((x + into * a1, self.y + sign * REACH), 0.0)
        self.bench.tendon("input", via("in_end") + round_("in", "by_in") + via("wrist"))
        return (via("out_end") + round_("out", "by_out"),)

    def _cage(self, r: Spool) -> tuple[str, ...]:
        """Input drum on a hinge along x, strands on its palm side or back; sides and planets beside it."""
        sign, a1, a2, x0 = r.source.sign, one(r.a1), one(r.a2), one(r.exits[0])
        split = self.s.drive.first
        inside = _drum("in", a1, -sign, sign, self._wound(a2), ALONG_X)
        if isinstance(split, GearSplit):
            radii = {"side a": one(split.r_a), "side b": one(split.r_b)}
            for planet in ("planet a", "planet b"):
                inside += f'<body name="{planet}">{INERTIA}{AXLE.format(planet)}</body>'
        else:
            radii = {"ratio": a2}
            inside += _drum("ratio_out", a2, 1.0, 1.0, WOUND, ALONG_X)
        self.bench.body("ratio", (x0, self.y), AXLE, inside, -a2)
        self.bench.world.append(site("by_in", x0, self.y - sign * a1, -a2 - sign * 1.5 * a1))
        self._wrist((x0, self.y + sign * REACH), -a2 - sign * a1)
        self.bench.tendon("input", via("in_end") + round_("in", "by_in") + via("wrist"))
        exits = []
        for (body, R), x in zip(radii.items(), r.exits, strict=True):
            if body != "ratio":
                drum = _drum(f"{body}_out", R, 1.0, 1.0, WOUND, ALONG_X)
                self.bench.body(body, (one(x), self.y), AXLE, drum, -R)
            self.bench.world.append(site(f"{body}_by", one(x), self.y - R, 0.5 * R))
            self.bench.world.append(site(f"{body}_eye", one(x), self.y + AHEAD))
            exits.append(
                via(f"{body}_out_end") + round_(f"{body}_out", f"{body}_by") + via(f"{body}_eye")
            )
        if isinstance(split, GearSplit):
            rolls = (
                {"side a": SIDE, "ratio": -SIDE, "planet a": PLANET},
                {"planet a": PLANET, "planet b": PLANET},
                {"side b": SIDE, "ratio": -SIDE, "planet b": PLANET},
            )
            for name, radii_ in zip(MESHES, rolls, strict=True):
                self.bench.mesh(name, radii_)
        return tuple(exits)

    @property
    def y(self) -> float:
        return one(self.s.drive.y_ratio)

    # ---- in the engine

    def push(self, data: mujoco.MjData) -> None:
        """One newton along y on the wrist's end, or on the in pin of a long drawbar."""
        sign = self.s.drive.ratio.source.sign
        data.qfrc_applied[:] = 0.0
        if "input" in self.bench.lengths:
            data.joint("wrist_y").qfrc_applied[0] = sign
            return
        mujoco.mj_kinematics(self.model, data)
        mujoco.mj_comPos(self.model, data)
        mujoco.mj_applyFT(
            self.model, data, np.array([0.0, sign, 0.0]), np.zeros(3), data.site("in").xpos,
            self.model.body("ratio").id, data.qfrc_applied,
        )  # fmt: skip

    def settle(self, pin_y: np.ndarray) -> Engine:
        pins = {
            f"pin{f}": (float(x), float(y))
            for f, (x, y) in enumerate(zip(self.s.pin_x, pin_y, strict=True))
        }
        return run(self.model, tuple(self.bench.lengths), pins, self.push)

    def designed(self) -> dict[str, float]:
        """Length at rest of each link, and of each strand where it is free, by its tendon."""
        drive, found = self.s.drive, {}
        if isinstance(drive.first, Bar | Wheel):
            found["exit"] = one(drive.L_exit)
        for k, c in enumerate(drive.carriers):
            L_in = one(drive.L_exit if drive.first is None else c.L_in)
            found[f"first {'ab'[k]}" if isinstance(drive.first, Wheel) else f"to carrier {k}"] = (
                L_in
            )
            found |= {f"second{k} {end}": one(L) for end, L in zip("ab", c.L_out, strict=False)}
        return found

    def wrist(self, e: Engine) -> float:
        """y of what the wrist holds, toward which it draws."""
        name = "wrist" if "input" in self.bench.lengths else "in"
        return float(self.s.drive.ratio.source.sign * e.site(name)[1])

    def pulls(self, e: Engine) -> np.ndarray:
        """Pull of every finger along y."""
        found = np.zeros(len(self.s.pin_x))
        for f, tendon in self.at_finger.items():
            piece = e.last(tendon)
            found[f] = e.tension(tendon) * piece[1] / np.linalg.norm(piece)
        return found

    def turn(self, e: Engine) -> tuple[float, ...]:
        """Turn of the ratio part, or of both sides of a differential, in the exact solver's sense."""
        r = self.s.drive.ratio
        if isinstance(r, Spool) and not r.flat:
            split = isinstance(self.s.drive.first, GearSplit)
            return tuple(e.turn(b) for b in (("side a", "side b") if split else ("ratio",)))
        start = one(r.theta_s) if isinstance(r, Rocker) else 0.0
        return (start - one(r.side) * e.turn("ratio"),)


def _drum(name: str, R: float, side: float, away: float, wound: float, turned: str = "") -> str:
    """A drum and the end of its strand, which leaves at `side` toward `away` x y, `wound` back from there.

    Sideways is x of a drum about z, and z of one about x (`turned`).
    """
    across, back = ON_RIM * R * side * np.cos(wound), -ON_RIM * R * away * np.sin(wound)
    end = (0.0, back, across) if turned else (across, back, 0.0)
    return cylinder(name, R, turned) + site(f"{name}_end", *end)
