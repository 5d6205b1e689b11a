"""Where the load goes in one drive: every check at every position, and what gives first."""

from __future__ import annotations

import numpy as np

from explorer.drives import checks as chk
from explorer.drives.endurance import cycles
from explorer.drives.pulls import loaded
from explorer.scoring.ladder import LEFT, Rung, hook_ladder, wrist_ladder
from explorer.scoring.score import Detail
from explorer.show.plain import Table, num
from explorer.show.working import rung_working

_LOAD_UNIT = {"bending": "N*mm", "shaft": "N*mm"}  # the load behind a stress; N elsewhere


def checks(d: Detail) -> list[Table]:
    """Every way of failing of every joint and part: worst margin, and load and stress by position."""
    demand, st = d.space.shelf.demand, d.space.shelf.brief.strength
    heavy = [p for p in range(len(demand.positions)) if loaded(demand)[p]]
    there = chk.evaluate(d.loads, len(demand.positions), chk.each_position)
    margins = there.margin(st.overload, st.design_factor, st.chain_factor)
    out: list[Table] = []
    for c, name in enumerate(d.checks.names):
        stress = [float(there.stress[p, c]) for p in heavy]
        worst = int(np.argmax(stress)) if stress else -1
        at: list[Table] = [
            {
                "position": demand.positions[p].name,
                "load": num(there.load[p, c]),
                "load_unit": _LOAD_UNIT.get(name.group, "N"),
                "stress": num(there.stress[p, c]),
                "stress_unit": name.unit,
                "margin_MS": num(margins[p, c]),
            }
            for p in heavy
        ]
        out.append(
            {
                "key": name.key,
                "part": name.part,
                "way": name.way,
                "group": name.group,
                "formula": name.formula,
                "left": LEFT[name.leaves],
                "stress_unit": name.unit,
                "load_unit": _LOAD_UNIT.get(name.group, "N"),
                "load": num(d.checks.load[0, c]),
                "stress": num(d.checks.stress[0, c]),
                "allowable": num(d.checks.allowable[0, c]),
                "allowable_unit": name.unit,
                "factor_ratio": st.chain_factor
                if name.group == "chain"
                else st.overload * st.design_factor,
                "margin_MS": num(d.margins[0, c]),
                "worst_position": demand.positions[heavy[worst]].name
                if worst >= 0 and stress[worst] > 0.0
                else None,
                "at": at,
            }
        )
    return out


def fatigue(d: Detail) -> Table:
    """Every joint and part grip after grip, least margin first, and the grips counted."""
    brief, t = d.space.shelf.brief, d.tired
    rows: list[Table] = [
        {
            "key": name.key,
            "part": name.part,
            "way": name.way,
            "formula": name.formula,
            "stress": num(t.stress[0, c]),
            "stress_unit": name.unit,
            "stands": num(t.allowable[0, c]),
            "stands_unit": name.unit,
            "margin_MS": num(d.tired_margins[0, c]),
        }
        for c, name in enumerate(t.names)
    ]
    rows = [rows[c] for c in np.argsort(d.tired_margins[0], kind="stable")]
    return {
        "grips_count": num(cycles(brief)),
        "factor_ratio": brief.fatigue.factor,
        "reliability_share": brief.fatigue.reliability,
        "checks": rows,
    }


def first_to_give(d: Detail) -> Table:
    """Both ladders, weakest first, and the pulls of the brief beside them."""
    demand, st = d.space.shelf.demand, d.space.shelf.brief.strength
    wrist = wrist_ladder(d)
    return {
        "wrist": [_rung(r, "N") for r in wrist],
        "working": rung_working(d, wrist[0] if wrist else None),
        "hook": [_rung(r, "kg") for r in hook_ladder(d)],
        "often_N": num(demand.pull_often),
        "comfortable_N": num(demand.pull_comfortable),
        "peak_N": num(demand.pull_peak),
        "peak_with_shock_N": num(demand.pull_peak * st.overload),
    }


def _rung(r: Rung, unit: str) -> Table:
    return {
        "key": r.key,
        "part": r.part,
        "way": r.way,
        f"gives_{unit}": num(r.gives),
        f"allowed_{unit}": num(r.allowed),
        "position": r.position,
        "left": r.leaves,
    }
