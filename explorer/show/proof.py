"""How far to believe one drive: the constant-ratio mark, work in against work out, the exact witness."""

from __future__ import annotations

import numpy as np

from explorer.drives.exact import Exact, solve_exact
from explorer.drives.exact_compare import Witness, breaks, check_leans, compare, grip_moves
from explorer.drives.motion import move
from explorer.mechanics.types import Bools, Floats
from explorer.scoring.score import Detail
from explorer.show.moves import stage_names
from explorer.show.plain import Json, Table, deg, num

_STOPS = 401  # stops of the closure sum


def _must(d: Detail) -> Bools:
    return np.array([p.must for p in d.space.shelf.demand.positions])


def _available(d: Detail) -> float:
    """Input travel that is there after lost motion, mm."""
    return d.space.shelf.demand.stroke - float(d.play[0])


def ratio_mark(d: Detail) -> Table:
    """What a constant ratio with this drive's friction could give over the same draw, grip by grip.

    F X_av eta/Y_max, work in over the longest must draw; a varying ratio may pass it in some grips.
    """
    demand, must = d.space.shelf.demand, _must(d)
    Y_max = float(d.motion.Y[0].max(initial=0.0, where=must))
    X_av = _available(d)
    rows: list[Json] = []
    for p in d.delivered.at:
        F_in, F_out = float(d.everyday.F_in[0, p]), float(d.delivered.F_out[0, p])
        mark = F_in * X_av * float(d.ways.eta[0, p]) / Y_max if Y_max > 0.0 else np.inf
        rows.append(
            {
                "name": demand.positions[p].name,
                "F_out_N": num(F_out),
                "mark_N": num(mark),
                "of_mark_ratio": num(F_out / mark) if mark > 0.0 else None,
            }
        )
    return {"X_available_mm": num(X_av), "Y_longest_mm": num(Y_max), "grips": rows, **closure(d)}


def closure(d: Detail) -> Table:
    """The sum of dX/dY over the draw of the longest must position against X there, friction and leans off."""
    demand, must = d.space.shelf.demand, _must(d)
    far = int(np.argmax(np.where(must, d.motion.Y[0], -np.inf)))
    part = np.linspace(0.0, 1.0, _STOPS)[:, None]
    stops = move(d.drive, part * demand.draw[far], demand.pin_x, skeleton=True)
    per = stops.a1_0[0] / stops.a2_0[0]
    summed = float(((per[1:] + per[:-1]) / 2.0 * np.diff(stops.Y[0])).sum())
    X = float(stops.X[0, -1] - stops.X[0, 0])
    return {
        "position": demand.positions[far].name,
        "work_travel_mm": num(summed),
        "X_at_longest_mm": num(X),
        "travel_spare_mm": num(_available(d) - X),
    }


LEAST_PULL = 1.0  # N at comfortable torque: of less than this no share is told (assumed)


def solved(d: Detail) -> Exact | None:
    """The exact solver's answer, or None where the linkage cannot be solved at all."""
    demand = d.space.shelf.demand
    try:
        return solve_exact(d.drive, demand.draw, demand.pin_x)
    except np.linalg.LinAlgError:
        return None


def witness(d: Detail, exact: Exact | None) -> Table:
    """Each explicit pull, tilt and lean beside the exact one, without friction."""
    if exact is None:
        return {
            "solved": False,
            "check_leans": True,
            "breaks": [],
            "least_pull_N": LEAST_PULL,
            "largest_pull_difference_share": None,
            "largest_grip_difference_share": None,
            "positions": [],
        }
    demand, limits, must = d.space.shelf.demand, d.space.shelf.brief.limits, _must(d)
    w = compare(d.drive, exact, d.motion)
    weight = np.where(demand.engaged, demand.m * demand.press, 0.0)
    over = breaks(w, must, limits.tilt, limits.lean, _available(d))
    moved = grip_moves(w, weight)
    return {
        "solved": w.holds,
        "check_leans": over.any or check_leans(w, weight),
        "breaks": [name for name in ("tilt", "lean", "stroke") if not getattr(over, name) <= 0.0],
        "least_pull_N": LEAST_PULL,
        "largest_pull_difference_share": num(
            np.abs(w.into.moves[must[:, None] & (_scored_N(d, w) >= LEAST_PULL)]).max(initial=0.0)
        ),
        "largest_grip_difference_share": num(np.abs(moved[must]).max(initial=0.0)),
        "positions": [_beside(d, w, moved, p) for p in range(len(demand.positions))],
    }


def _scored_N(d: Detail, w: Witness) -> Floats:
    """Pulls of the fingers as scored at comfortable torque, without friction (P,F)."""
    return w.into.explicit * d.space.shelf.demand.pull_comfortable


def _beside(d: Detail, w: Witness, moved: Floats, p: int) -> Table:
    demand = d.space.shelf.demand
    scored = _scored_N(d, w)[p]
    names = [
        n
        for n, m in zip(stage_names(d), (d.motion.first, *d.motion.second), strict=True)
        if m is not None
    ]
    return {
        "name": demand.positions[p].name,
        "solved": bool(w.converged[p] and w.taut[p]),
        "grip_difference_share": num(moved[p]),
        "X_explicit_mm": num(w.X.explicit[p]),
        "X_exact_mm": num(w.X.exact[p]),
        "lean_explicit_deg": deg(w.lean.explicit[p]),
        "lean_exact_deg": deg(w.lean.exact[p]),
        "tilts": [
            {"name": n, "explicit_deg": deg(t.explicit[p]), "exact_deg": deg(t.exact[p])}
            for n, t in zip(names, w.tilt, strict=True)
        ],
        "pulls": [
            {
                "name": name,
                "explicit_ratio": num(w.into.explicit[p, f]),
                "exact_ratio": num(w.into.exact[p, f]),
                "scored_N": num(scored[f]),
                "exact_N": num(w.into.exact[p, f] * demand.pull_comfortable),
                "difference_share": num(w.into.moves[p, f]) if scored[f] >= LEAST_PULL else None,
            }
            for f, name in enumerate(demand.fingers)
        ],
    }
