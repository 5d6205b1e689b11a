"""The data block of the page: what its script needs, and what a reader may take along."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from explorer.report.drawbars import BENDS
from explorer.report.effort import number_of
from explorer.report.figures_drive import THICKEST, THINNEST
from explorer.report.gather import Entry, Gathered
from explorer.report.motion_data import DriveMotion, as_data
from explorer.report.scales import AimScale, digits, words
from explorer.report.story import aim_value
from explorer.report.tables import split
from explorer.show.facts import words_of
from explorer.show.layout import rows_of, table_of
from explorer.show.plain import Table

SCHEMA = 1
# Differences smaller than this share are less than the model can tell apart: explicit against exact
# linkage 3 % of grip; wear is known to a factor; margins follow the friction.  Assumed.
DOUBT: Mapping[str, float] = {
    "grip": 0.03,
    "pin_margin": 0.05,
    "weeks": 0.2,
    "room": 0.01,
    "carried": 0.05,
}


def page_data(g: Gathered, inside: Mapping[str, Any]) -> Table:
    """Aims, drives and motions."""
    found: Sequence[AimScale] = inside["scales"]
    motions: Mapping[str, DriveMotion] = inside["motions"]
    demand = g.shelf.demand
    return {
        "schema": SCHEMA,
        "study": g.study.name,
        "brief": g.study.brief.hash6,
        "state": g.result.state,
        "aims": [_aim(s) for s in found],
        "drives": {e.name: _drive(g, e, found) for e in (*g.keepers, *g.others, *g.builds)},
        "order": [e.name for e in g.figured],
        "olds": [e.name for e in g.builds],
        "held": list(inside["held"]),
        "start": inside["stage"]["name"] if inside["stage"] else None,
        "fingers": list(demand.fingers),
        "motion": {name: as_data(g.whole[name], m) for name, m in motions.items()},
        "thickest": THICKEST,
        "thinnest": THINNEST,
        "bends": list(BENDS),
    }


def _aim(s: AimScale) -> Table:
    return {
        "name": s.rule.name,
        "head": s.head,
        "short": s.short,
        "unit": s.unit,
        "more": s.rule.more,
        "digits": digits(s.rule.unit),
        "percent": s.rule.unit == "-",
        "doubt": DOUBT.get(s.rule.name, 0.0),
        "low": s.low,
        "high": s.high,
        "limit": s.limit,
        "enough": s.enough,
    }


def _drive(g: Gathered, e: Entry, found: Sequence[AimScale]) -> Table:
    whole = g.whole.get(e.name)
    first = ""
    if whole is not None:
        rungs = rows_of(table_of(whole.facts["first_to_give"])["wrist"])
        first = (
            f"{rungs[0]['part']} at {words(number_of(rungs[0]['gives_N']), 'N')}" if rungs else ""
        )
    return {
        "tag": e.tag,
        "family": e.family,
        "kind": e.kind,
        "made": words_of(e.architecture),
        "fits": e.fits,
        "aims": {k: (v if math.isfinite(v) else None) for k, v in e.aims.items()},
        "text": {s.rule.name: aim_value(g, e, s.rule) for s in found},
        "split": "" if whole is None else split(whole),
        "first": first,
    }
