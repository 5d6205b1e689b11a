"""Both scorers' answers side by side: (what, second scorer, package) for every number that both give.

Only this file and the cases know the package; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import cos, degrees, inf, isfinite

import numpy as np

from explorer.drives import pulls
from explorer.drives.assemble import Space
from explorer.drives.motion import Motion, StageMotion
from explorer.drives.pieces import Limit
from explorer.mechanics.types import Floats
from explorer.scoring.score import Detail, Scores, detail, scores_of
from tests.outside.second import bench, limits, parts, score, strength
from tests.outside.second.cases import Case
from tests.outside.second.equal import Shape, Stage, size
from tests.outside.second.plan import Gears, Plan
from tests.outside.second.ratio import Ratio, Ways
from tests.outside.second.score import Moment

Row = tuple[str, float, float]


@dataclass(frozen=True)
class Both:
    """One drive told by both; `full` with all positions, `few` with those that score."""

    case: Case
    ms: list[Moment]
    full: Detail
    few: Detail
    scores: Scores


def told(case: Case) -> Both:
    space = case.space
    light = Space(space.shelf.scoring(), space.architecture, space.single)
    few = detail(light, case.X)
    return Both(case, case.ms, detail(space, case.X), few, scores_of(few))


def off(rows: Iterable[Row], tolerance: float) -> list[Row]:
    """Rows that differ by more than a part of their size; what is near 0, by as much of 1e-3."""

    def same(a: float, b: float) -> bool:
        if not (isfinite(a) and isfinite(b)):
            return a == b
        return abs(a - b) <= tolerance * max(abs(a), abs(b), 1e-3)

    return [row for row in rows if not same(row[1], row[2])]


def at(values: Floats, i: int) -> float:
    """Position i of (1,P), (1,1)."""
    return float(values[0, i if values.shape[1] > 1 else 0])


def hand_rows(b: Both) -> Iterator[Row]:
    """Draws, forces per pull, what presses, spring pulls, which positions count."""
    demand = b.full.space.shelf.demand
    yield "positions", len(b.ms), len(demand.positions)
    for i, m in enumerate(b.ms):
        p, name = demand.positions[i], m.at.name
        yield f"{name}: called so", float(p.name == name and p.kind == m.at.kind), 1.0
        yield f"{name}: must", m.at.must, p.must
        for f in range(len(demand.fingers)):
            g = m.at.grasps.get(f)
            yield f"{name}: draw {f}", m.at.draw[f], demand.draw[i, f]
            yield f"{name}: m {f}", g.m if g else 0.0, demand.m[i, f]
            yield f"{name}: ideal m {f}", g.m_ideal if g else 0.0, demand.m_ideal[i, f]
            if g:
                yield f"{name}: press {f}", cos(g.gamma), demand.press[i, f]
                yield f"{name}: q1 {f}", g.q1, demand.q1[i, f]


def equaliser_rows(b: Both) -> Iterator[Row]:
    """Where every body is, and its shares."""
    for i, m in enumerate(b.ms):
        yield from body_rows(b.case.plan, m.shape, b.full.motion, i, m.at.name)


def body_rows(p: Plan, shape: Shape, motion: Motion, i: int, where: str) -> Iterator[Row]:
    """Bodies of one position."""
    ours = (shape.first, *shape.second)
    for k, (s, t) in enumerate(zip(ours, (motion.first, *motion.second), strict=True)):
        yield f"body {k} there", s is not None, t is not None
        if s is None or t is None:
            continue
        rows = [("y", s.y, t.y), ("tilt", s.tilt, t.tilt), ("share", s.share_a, t.share_a),
                ("skew", s.skew, t.skew), ("lean a", -s.link_a[0], t.leans.tan_a),
                ("lean b", s.link_b[0], t.leans.tan_b)]  # fmt: skip
        if k or not isinstance(p.first, Gears):
            rows += _placed(s, t)
        yield from ((f"{where}, body {k}: {what}", a, at(v, i)) for what, a, v in rows)


def _placed(s: Stage, t: StageMotion) -> list[tuple[str, float, Floats]]:
    return [
        ("x", s.x, t.x), ("lean in", 1.0 / size(s.link_in), t.leans.cos_in),
        ("end a x", s.end_a[0], t.ends.xa), ("end a y", s.end_a[1], t.ends.ya),
        ("end b x", s.end_b[0], t.ends.xb), ("end b y", s.end_b[1], t.ends.yb),
    ]  # fmt: skip


def ratio_rows(b: Both) -> Iterator[Row]:
    """Draws, arms, friction both ways."""
    for i, m in enumerate(b.ms):
        yield from way_rows(m.shape, m.ratio, m.ways, b.full.motion, b.full.ways, i, m.at.name)


def way_rows(
    s: Shape, r: Ratio, z: Ways, motion: Motion, w: pulls.Ways, i: int, where: str
) -> Iterator[Row]:
    """Ratio part of one position."""
    rows = (
        ("Y", s.Y, motion.Y), ("turn", s.theta, motion.theta), ("X", r.X, motion.X),
        ("a1", r.a_in, motion.a1), ("a2", r.a_out, motion.a2),
        ("plain a1", r.plain_in, motion.a1_0), ("plain a2", r.plain_out, motion.a2_0),
        ("pull", z.pull, w.pull), ("hold", z.hold, w.hold), ("eta", r.step / z.pull, w.eta),
        ("eta_hold", z.hold / r.step, w.eta_hold),
    )  # fmt: skip
    yield from ((f"{where}: {what}", a, at(v, i)) for what, a, v in rows)


def score_rows(b: Both) -> Iterator[Row]:
    """Aims and limits that come from forces and draws."""
    p, ms, aims, slacks = b.case.plan, b.ms, b.scores.aims, b.scores.slacks
    yield "grip", score.grip_ratio(p, ms), aims["grip"][0]
    yield "finger", score.finger_slack(p, ms), slacks["finger"][0]
    yield "share error", score.share_error(p, ms), aims["share_error"][0]
    yield "stroke", score.stroke(ms), aims["stroke"][0]
    yield "neighbours", score.neighbour_travel(p), aims["neighbour"][0]
    opens = [m for m in ms if m.at.must or m.at.kind == "open"]
    yield "reopening", min(score.reopening(p, m) for m in opens), slacks["reopen"][0]
    for name, ours in (
        ("tilt", score.tilt_slack(p, ms)),
        ("lean", score.lean_slack(p, ms)),
        ("transmission", score.transmission_slack(p, ms)),
    ):
        yield name, degrees(ours) if isfinite(ours) else inf, _slack(slacks, name)
    lock = p.m.brief.strength.lock
    yield "lift", score.lift_slack(p, ms) if lock == "none" else inf, _slack(slacks, "carry")


def _slack(slacks: Mapping[str, Floats], name: str) -> float:
    return float(slacks[name][0]) if name in slacks else inf


def strength_rows(b: Both) -> Iterator[Row]:
    """Every joint's smallest margin, way by way, and what the scores make of them."""
    p, st = b.case.plan, b.few.checks
    ours = strength.margins(p, b.ms)
    theirs = {(n.key, n.way): float(b.few.margins[0, c]) for c, n in enumerate(st.names)}
    for key in sorted({*ours, *theirs}):
        # what a drive does not have, one piece or joined, the package lists as unloaded
        yield ": ".join(key), ours.get(key, inf), theirs.get(key, inf if key in ours else -inf)
    pins = strength.in_pins(p, b.ms)
    yield "pin margin", min(ours[k] for k in pins), b.scores.aims["pin_margin"][0]
    chains = [v for k, v in ours.items() if k[1] == "chain parts"]
    others = [v for k, v in ours.items() if k[1] != "chain parts"]
    yield "strength", min(others), b.scores.slacks["strength"][0]
    yield "chain", min(chains, default=1e3), b.scores.slacks["chain"][0]


def wear_rows(b: Both) -> Iterator[Row]:
    """Weeks of every joint and chain."""
    ours = strength.weeks(b.case.plan, b.ms)
    theirs = {w.key: float(w.weeks[0]) for w in b.few.wear}
    for key in sorted({*ours, *theirs}):
        yield key, ours.get(key, -1.0), theirs.get(key, -1.0)
    yield "weeks", min(ours.values()), b.scores.aims["weeks"][0]


def count_rows(b: Both) -> Iterator[Row]:
    yield "pieces", parts.pieces(b.case.plan), b.scores.aims["pieces"][0]


def piece_rows(b: Both) -> Iterator[Row]:
    """How many of each piece, where in z, and what each weighs, takes and costs."""
    theirs = {p.key: p for p in b.full.pieces}
    for key, made in bench.told(b.case.plan, b.ms).items():
        p = theirs[key]
        yield f"{key}: count", made.count, float(p.count[0, 0])
        if made.count:
            yield f"{key}: from z", made.z0, float(p.z0[0, 0])
            yield f"{key}: to z", made.z1, float(p.z1[0, 0])
            yield f"{key}: mass", made.mass, float(p.mass[0, 0])
            yield f"{key}: minutes", made.minutes, float(p.minutes[0, 0])
            yield f"{key}: price", made.price, float(p.price[0, 0])


def limit_rows(b: Both) -> Iterator[Row]:
    """What shop and stops leave of each stage."""
    space, drive, motion = b.full.space, b.full.drive, b.full.motion
    stages = [
        ("first", limits.first(b.case.plan, b.ms), space.first.limits(space.shelf, drive, motion))
    ]
    for k in space.pairs:
        slacks = space.second.limits(space.shelf, drive, motion, k)
        stages.append((f"carrier {k}", limits.second(b.case.plan, b.ms, k), slacks))
    for stage, ours, found in stages:
        theirs = left(found)
        yield from ((f"{stage}: {k}", slack, float(theirs[k][0])) for k, slack in ours.items())


def left(found: tuple[Limit, ...]) -> dict[str, Floats]:
    """The least slack of each kind (N,)."""
    least: dict[str, Floats] = {}
    for m in found:
        least[m.id] = np.minimum(m.slack, least.get(m.id, m.slack))
    return least
