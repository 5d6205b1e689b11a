"""Everything about one drive as one plain table, ready for JSON; all writers read it.

What each key means, and its unit: `explorer.show.keys`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

import explorer
from explorer.brief.builds import Build
from explorer.brief.read import Study
from explorer.drives.assemble import tag
from explorer.drives.exact import Exact
from explorer.scoring.limits import AIM_BY_NAME, BY_ID
from explorer.scoring.open import open_drive
from explorer.scoring.score import Detail, Scores, detail, scores_of
from explorer.show import asks, broke, doubt, hands, loads, made, moves, proof, service, working
from explorer.show.find import Found
from explorer.show.plain import NULL_MEANS, Json, Table, num

SCHEMA = 1
_NO_MATTER = 1e3  # a slack that stands for "there is none of this"
_STAGES = {
    "linked_lever": "linked lever",
    "chain_winder": "chain winder",
    "chain_differential": "chain differential",
    "chain": "chains to the fingers",
    "bar": "bars to the fingers",
}
MODELS: Mapping[str, str] = {
    "pin_bending": "load spread evenly over plates and gap: M = F/2 (t_fork/2 + gap + t_mid/4); textbooks differ threefold",
    "drive_pins": "pins on a circle: single shear; M = F (t1 + t2)/2 where a plate can tip (loose), half of it clamped",
    "margin": "MS = allowable/(factor x stress) - 1; the factor is overload x design factor, for chains their own",
    "fatigue": "stress from zero and back each grip at comfortable torque or carried load, times K_f; modified Goodman, Marin factors of Shigley, 9th edition; MS = stands/(factor x stress) - 1",
    "first_to_give": "pull or load at which stress reaches yield (chains: least tensile strength), overload and factor 1; allowed: divided by both",
    "friction": "an equaliser's shares sum to one; friction shifts them; scores take the worst signs together, parts the high sides",
    "exact": "links and strands at their true lengths, without friction; a witness beside the form that scores",
}


def words_of(architecture: str) -> str:
    """An architecture in words."""
    first, second = architecture.split("+")
    return f"{_STAGES[first]}, {_STAGES[second]}"


def facts_of(found: Found) -> Table:
    """Facts of a found drive: scored, laddered, with its exact witness, and on other hands."""
    d = detail(found.opened.space, found.opened.X)
    table = facts(found.study, found.build, d, scores_of(d), proof.solved(d), found.asked_hash)
    return {**table, "other_hands": hands.other_hands(found.study, found.build)}


def facts(
    study: Study,
    build: Build,
    d: Detail,
    scores: Scores,
    exact: Exact | None,
    asked_hash: str | None = None,
) -> Table:
    """The whole table of one drive; `d` and `scores` of a batch of one."""
    first = loads.first_to_give(d)
    checks = loads.checks(d)
    table: Table = {
        "schema": SCHEMA,
        "program": f"evener {explorer.__version__}",
        "null_means": NULL_MEANS,
        **_head(study, build, d, asked_hash),
        "fits": bool(scores.feasible[0]),
        "limits": limits(scores),
        "aims": aims(study, scores),
        "grips": moves.grips(d),
        "carries": moves.carries(d),
        "positions": moves.positions(d),
        "checks": checks,
        "working": working.working(d, checks),
        "first_to_give": first,
        "parts": made.parts(d),
        "totals": made.totals(d, study.currency),
        "room": made.room(d),
        "clearances": made.clearances(d),
        "wear": made.wear(d),
        "fatigue": loads.fatigue(d),
        "service": service.service(d),
        "play": made.play(d),
        "ratio": proof.ratio_mark(d),
        "asks": asks.asks(d, exact),
        "exact": proof.witness(d, exact),
        "doubt": doubt.doubt(d, open_drive(d.space.shelf, build).X),
        "guessed": {"brief": [p.path for p in study.guesses], "drive": list(build.guessed)},
        "models": dict(MODELS),
    }
    return {**table, "cautions": cautions(table)}


def _head(study: Study, build: Build, d: Detail, asked_hash: str | None) -> Table:
    brief = study.brief
    three = len(brief.fingers) == 3
    return {
        "study": study.name,
        "drive": build.name,
        "architecture": build.architecture,
        "architecture_words": words_of(build.architecture),
        "tag": tag(build.architecture),
        "single": d.space.single if three else None,
        "brief_name": brief.name,
        "brief_hash": brief.hash6,
        "brief_hash_of_file": asked_hash,
        "invented": brief.invented,
        "side": brief.side,
        "note": build.note,
        "broke": broke.broke_of(d.space.shelf, build),
        "kept_years": build.kept_years,
        "values": dict(build.values),
    }


def limits(scores: Scores) -> list[Json]:
    """Every limit with its slack in its own unit, in the order of the rules."""
    out: list[Json] = []
    for name, slack in scores.slacks.items():
        rule = BY_ID[name]
        value = float(slack[0])
        out.append(
            {
                "id": name,
                "question": rule.question,
                "slack": None if value == _NO_MATTER else num(value),
                "slack_unit": rule.unit,
                "fits": value >= 0.0,
                "ease": rule.ease,
                "source": rule.source,
            }
        )
    return out


def aims(study: Study, scores: Scores) -> list[Json]:
    """Every score that can be an aim, and which the brief asks for."""
    asked = {a.name: a for a in study.brief.aims}
    out: list[Json] = []
    for name, value in scores.aims.items():
        rule = AIM_BY_NAME[name]
        aim = asked.get(name)
        out.append(
            {
                "name": name,
                "words": rule.words,
                "value": num(value[0]),
                "value_unit": rule.unit,
                "more_is_better": rule.more,
                "asked": aim is not None,
                "enough": None if aim is None else aim.enough,
                "enough_unit": rule.unit,
            }
        )
    return out


def cautions(table: Mapping[str, Json]) -> list[Json]:
    """What to know before believing or cutting."""
    out: list[Json] = ["A design aid for a prototype that is load-tested off the hand first."]
    if table["invented"]:
        out.append("The brief is invented: its numbers are nobody's hand.")
    if table["brief_hash_of_file"]:
        out.append(
            f"The drive file was made for brief {table['brief_hash_of_file']}; "
            f"these are the numbers for brief {table['brief_hash']}."
        )
    exact = table["exact"]
    if isinstance(exact, Mapping) and exact["check_leans"]:
        out.append(_leans(exact))
    for p in _rows(table["positions"]):
        met = [str(f["name"]) for f in _rows(p["fingers"]) if f["stopped"]]
        if met:
            verb = "meets its stop" if len(met) == 1 else "meet their stops"
            out.append(f"{p['name']}: {', '.join(met)} {verb} before the squeeze reserve is drawn.")
    for g in _rows(table["positions"]):
        latched = [str(f["name"]) for f in _rows(g["fingers"]) if f["does"] == "parked closed"]
        if latched and g["kind"] == "grip":
            verb = "is latched and pulls" if len(latched) == 1 else "are latched and pull"
            out.append(
                f"{g['name']}: {', '.join(latched)} {verb} nothing back when the hand opens."
            )
    return out


def _leans(exact: Mapping[str, Json]) -> str:
    if not exact["solved"]:
        return "Check leans: the exact linkage cannot be solved, or goes slack, in some position."
    broken = exact["breaks"]
    if isinstance(broken, list) and broken:
        return f"Check leans: with links at their true lengths it breaks these limits: {', '.join(map(str, broken))}."
    return "Check leans: with links at their true lengths a grip changes by more than 3 %."


def _rows(value: Json) -> list[Mapping[str, Json]]:
    """A list of tables."""
    return [row for row in value if isinstance(row, Mapping)] if isinstance(value, list) else []


def as_json(table: Table) -> str:
    """The table as JSON text; a number that is not finite would be a fault and raises ValueError."""
    return json.dumps(table, allow_nan=False, ensure_ascii=False, indent=1)
