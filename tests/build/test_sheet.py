"""The build sheet's numbers are the scorer's, its names exist, and nothing in it runs."""

import re
from dataclasses import replace
from html.parser import HTMLParser
from math import floor

import numpy as np
import pytest

from explorer.build.chains import chains_of
from explorer.build.fits import hole_limits, joints_of
from explorer.build.next_study import described
from explorer.build.prove import bench_of, care_of, sizes_to_hold
from explorer.build.sheet import CAUTIONS, sheet_html
from explorer.build.sizes import mm
from explorer.drives.bodies import Wheel
from explorer.drives.values import values_of
from explorer.show.service import service as show_service
from tests.build.conftest import Drive

HOSTILE = '</title><script>alert(1)</script><img src=x onerror="alert(2)">{{ 7*7 }}'


def page(drive: Drive, name: str = "") -> str:
    d, parts = drive.detail, drive.parts
    values = values_of(drive.opened.space, drive.opened.X[0])
    told = described(drive.study, drive.build, values)
    told = replace(told, name=name) if name else told
    return sheet_html(d, drive.opened.X, told, parts, joints_of(d, parts), chains_of(d, parts))


class Seen(HTMLParser):
    """Tags and text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        assert not [a for a, _ in attrs if a.startswith("on")]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_the_sheet_has_two_sides_and_every_caution(drive: Drive) -> None:
    text = page(drive)
    seen = Seen(text)
    assert seen.tags.count("section") == 2
    said = " ".join(seen.words)
    for caution in CAUTIONS:
        assert caution in said
    assert "Stop if" in said
    assert text.index("Content-Security-Policy") < text.index("<title>")
    assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")


def test_chains_are_spoken_of_where_the_drive_has_any(drive: Drive) -> None:
    """Levers with bars have none; the step that takes up slack and the tick for it are told by what is there."""
    said = " ".join(Seen(page(drive)).words)
    chained = drive.build.architecture != "linked_lever+bar"
    assert ("chain slack in limits" in said) == chained
    assert ("set the chains and connectors without slack" in said) == chained
    assert ("set the connectors without slack" in said) == (not chained)


def test_a_hostile_name_is_shown_and_runs_nothing(drive: Drive) -> None:
    seen = Seen(page(drive, HOSTILE))
    assert "script" not in seen.tags
    assert "img" not in seen.tags
    assert any(HOSTILE in w for w in seen.words)


def test_every_part_number_in_the_sheet_is_a_part(drive: Drive) -> None:
    numbers = {p.number for p in drive.parts}
    said = " ".join(Seen(page(drive)).words)
    named = set(re.findall(r"\bP\d\d\b", said))
    assert named == numbers


def test_expected_pulls_are_the_scorers_at_the_same_pull(drive: Drive) -> None:
    """At the comfortable pull the high sides are those that wear is counted with."""
    d, demand = drive.detail, drive.detail.space.shelf.demand
    bench = bench_of(d)
    p = next(i for i, q in enumerate(demand.positions) if q.name == bench.position)
    assert d.delivered.ratio[0].min() == d.delivered.ratio[0][list(d.delivered.at).index(p)]
    overload = d.space.shelf.brief.strength.overload
    factors = [r.wrist / demand.pull_peak for r in bench.pulls]
    assert factors == pytest.approx([0.25, 0.5, 0.75, 1.0, overload])
    for row in bench.pulls:
        scale = row.wrist / d.everyday.F_in[0, p]
        for f, strand in enumerate(row.strands):
            assert strand.high == pytest.approx(d.everyday.finger[f][0, p] * scale, rel=1e-12)
            assert strand.low <= strand.expect <= strand.high
        out = sum(s.expect for s in row.strands)
        assert out == pytest.approx(d.everyday.F_out[0, p] * scale, rel=1e-12)
        assert row.stroke == d.motion.X[0, p]
    text = page(drive)
    for row in bench.pulls:
        assert f"<strong>{row.wrist:.0f}</strong>" in text
        for s in row.strands:
            assert f"{s.expect:.0f} <small>({s.low:.0f}–{s.high:.0f})</small>" in text


def test_first_to_give_is_the_lowest_rung(drive: Drive) -> None:
    bench = bench_of(drive.detail)
    gives = bench.first.gives
    used = drive.detail.checks.utilisation()[0]
    assert gives > 0.0
    assert bench.first.allowed <= gives
    assert used.max() > 0.0
    assert f"{gives:.0f} N" in page(drive)


def test_the_three_sizes_move_grip_and_stroke_most(drive: Drive) -> None:
    found = sizes_to_hold(drive.detail, drive.opened.X, 99)
    effects = [s.effect for s in found]
    assert effects == sorted(effects, reverse=True)
    assert effects[0] > 0.0
    reals = {v.key for v in drive.opened.space.variables if v.kind == "real"}
    assert {s.key for s in found} == reals


def test_every_joint_of_pinned_plates_has_both_sides(drive: Drive) -> None:
    """Found again by coordinates: a pin stands where holes of two members lie, one of them fixed."""
    joints = joints_of(drive.detail, drive.parts)
    pins = {p.key for p in drive.detail.pieces if p.what in ("pin", "shaft") and p.count[0, 0] > 0}
    assert {k for j in joints for k in j.keys} == pins
    counts = {p.key: p.count[0, 0] for p in drive.detail.pieces}
    for j in joints:
        assert j.count == sum(counts[k] for k in j.keys)
        hidden = ("output", "cage", "planet", "shaft")
        if not j.keys[0].startswith(hidden):
            assert j.fixed is not None, j.keys
            assert j.running is not None, j.keys


def test_hole_limits_are_the_standards() -> None:
    """ISO 286-2: 3 H7 is 0 to +10 um, 4 F8 is +10 to +28 um."""
    assert hole_limits(3.0, "H7") == "3.000 to 3.010"
    assert hole_limits(4.0, "F8") == "4.010 to 4.028"


def test_chains_recounted_from_the_plans_coordinates(drive: Drive) -> None:
    """Straights from last pin to tangent, and half a wheel: whole pitches again.

    The plan's straights lean, so they are longer than the counted ones by less than half a pitch.
    """
    chains = {c.key: c for c in chains_of(drive.detail, drive.parts)}
    assert all(c.links == int(c.links) > 0 for c in chains.values())
    pieces = {p.key: p for p in drive.detail.pieces}
    for k, c in enumerate(drive.detail.drive.carriers):
        if not isinstance(c.body, Wheel):
            continue
        wheel, R = pieces[f"carrier {'ab'[k]} wheel"].shape, float(c.body.D[0, 0]) / 2.0
        total = np.pi * R
        for i, side in zip(c.fingers, (-R, R), strict=True):
            end = pieces[f"finger end {i}"].shape
            dx = float(end.qx[0, 0] - wheel.cx[0, 0]) - side
            total += float(np.hypot(dx, end.qy[0, 0] - wheel.cy[0, 0]))
        chain = chains[f"carrier {'ab'[k]} chain"]
        assert round(total / chain.pitch) == chain.links
        assert chain.free is not None
    for chain in chains.values():
        assert chain.length == chain.links * chain.pitch


def test_care_is_asked_at_least_once_a_year(drive: Drive) -> None:
    for c in care_of(drive.detail, 6):
        assert 1 <= c.look <= 52
        assert c.change >= 1
        assert c.spares >= 1


def test_care_says_what_show_says(drive: Drive) -> None:
    told = {str(r["part"]): r for r in show_service(drive.detail)["joints"]}
    for c in care_of(drive.detail, 6):
        row = told[c.part]
        assert c.look == max(1, min(52, floor(row["look_weeks"])))
        assert c.change == max(1, min(520, floor(row["change_weeks"])))
        assert c.spares == row["spares_count"]


def test_millimetres_in_words() -> None:
    assert [mm(v) for v in (12.0, 0.05, 3.456, -0.001)] == ["12", "0.05", "3.46", "0"]
