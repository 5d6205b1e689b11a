"""In every position the pieces of a joint meet: pins stand in the ends of what they join, chains reach them."""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.envelope import clearances
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion
from explorer.drives.pieces import Pair, Piece
from explorer.drives.pulls import shares, strength_pulls
from explorer.mechanics.outline import Sector, Stadium
from tests.drives.spaces import space, vectors
from tests.factories import make_brief, make_stock, make_wrist
from tests.outside.second.cases import USEFUL

HANDS = [(2, True), (3, False), (4, True), (4, False)]
Point = np.ndarray  # complex, (N,P)


class Laid:
    """Drives laid out in every position."""

    def __init__(self, architecture: str, fingers: int, reverses: bool) -> None:
        brief = make_brief(fingers, wrist=make_wrist(reverses=reverses))
        self.space: Space = space(brief, make_stock(), architecture)
        self.X = vectors(self.space, 8, np.random.default_rng(fingers), USEFUL)
        self.drive: Drive = self.space.build(self.X)
        self.motion: Motion = self.space.move(self.drive)
        self.zero = 0.0 * self.motion.Y
        self.pieces: dict[str, Piece] = {
            p.key: p for p in self.space.pieces(self.drive, self.motion)
        }

    def ends(self, key: str) -> tuple[Point, Point]:
        """Both ends of an outline's axis; of a disc or sector its centre twice."""
        s = self.pieces[key].shape
        if isinstance(s, Sector):
            c = s.cx + 1j * s.cy + self.zero
            return c, c
        assert isinstance(s, Stadium)
        return s.px + 1j * s.py + self.zero, s.qx + 1j * s.qy + self.zero

    def at(self, key: str) -> Point:
        return self.ends(key)[0]

    def finger(self, i: int) -> Point:
        d = self.space.shelf.demand
        return d.pin_x[i] + 1j * (d.pin_y[i] - d.draw[:, i]) + self.zero

    def far(self, key: str) -> np.ndarray:
        """Distance of the piece's two end holes (N,1)."""
        a, b = self.pieces[key].holes[0], self.pieces[key].holes[1]
        return np.asarray(np.hypot(b.x - a.x, b.y - a.y))


def check_meet(a: Point, b: Point, what: str) -> None:
    np.testing.assert_allclose(a, b, atol=1e-9, err_msg=what)


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("first", ["linked_lever", "chain_winder", "chain_differential"])
def test_chain_carriers_meet_their_axles_forks_and_fingers(
    first: str, fingers: int, reverses: bool
) -> None:
    d = Laid(f"{first}+chain", fingers, reverses)
    for k in d.space.pairs:
        name = f"carrier {'ab'[k]}"
        axle = d.motion.carrier_x[k] + 1j * (d.drive.carriers[k].y - d.motion.carrier_y[k])
        check_set(d, name, axle)
        for i, sign in zip(d.space.groups[k], (-1.0, 1.0), strict=True):
            check_end(d, f"finger end {i}", d.finger(i), axle, sign, f"{name} wheel")
        i = d.space.groups[k][0]
        p, q = d.ends(f"{name} chain")
        check_meet(q, d.finger(i), "chain drawn to its finger")
        check_meet(p.imag + 0j, axle.imag + 0j, "chain drawn from the wheel's side")
        assert (p.real < axle.real).all()


def check_set(d: Laid, name: str, axle: Point) -> None:
    """A wheel, its fork, axle, spacers and fork pin."""
    p, q = d.ends(f"{name} fork")
    for key in ("wheel", "axle", "spacers"):
        check_meet(d.at(f"{name} {key}"), axle, key)
    check_meet(p, axle, "fork")
    check_meet(q, d.at(f"{name} fork pin"), "fork pin")
    np.testing.assert_allclose(np.abs(p - q), d.far(f"{name} fork") + d.zero, atol=1e-9)
    assert (q.imag < p.imag).all()  # the pin is on the wrist's side


def check_end(d: Laid, key: str, pin: Point, axle: Point, sign: float, wheel: str) -> None:
    """An end piece from its pin toward the tangent of its own side of the wheel."""
    p, q = d.ends(key)
    check_meet(p, pin, key)
    piece = d.pieces[wheel]
    index = piece.stock_index
    assert index is not None
    pitch = d.space.shelf.chains.pitch[index.astype(int)]
    teeth = piece.number[1]
    tangent = axle + sign * pitch * teeth / (2.0 * np.pi)
    way = (tangent - p) / np.abs(tangent - p)
    check_meet(q, p + way * np.abs(q - p), f"{key} points at the wheel")
    np.testing.assert_allclose(np.abs(q - p)[:, :1], d.far(key), atol=1e-9)


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("second", ["bar", "chain"])
def test_a_winders_chain_ends_where_what_it_pulls_is_pinned(
    second: str, fingers: int, reverses: bool
) -> None:
    d = Laid(f"chain_winder+{second}", fingers, reverses)
    shaft = d.at("winder shaft")
    for key in ("winder input track", "winder output track", "winder", "winder drive pins"):
        check_meet(d.at(key), shaft, key)
    for key in ("cheek at the output track", "cheek at the input track"):
        check_meet(d.at(key), shaft, key)
        foot = d.ends(key)[1] - shaft
        side = d.motion.exit_x - shaft.real
        assert (foot.real * side < 0.0).all()  # away from the output chain
    held = (
        "first stage fork pin"
        if fingers > 2
        else ("carrier a fork pin", "carrier a centre pin")[second == "bar"]
    )
    p, q = d.ends("output chain end")
    check_meet(p, d.at(held), "end of the output chain")
    start, end = d.ends("output chain")
    check_meet(end, p, "output chain")
    check_meet(start, d.motion.exit_x + 1j * shaft.imag, "output chain at the shaft")
    check_meet((q - p) / np.abs(q - p), (start - p) / np.abs(start - p), "end in line")
    a, b = d.ends("input chain")
    check_meet(a.imag + 0j, shaft.imag + 0j, "input chain at the shaft")
    away = (b - a).imag * (1.0 if reverses else -1.0)
    rest = away[:, :1] - d.motion.X[:, :1]
    np.testing.assert_allclose(away - d.motion.X, rest + d.zero, atol=1e-9)  # it draws X
    assert (rest > 0.0).all()
    same = (a.real - shaft.real) * (d.motion.exit_x - shaft.real) > 0.0
    assert np.all(same != reverses)
    np.testing.assert_allclose(np.abs(a - shaft), d.motion.a1_0 + d.zero, rtol=1e-9)
    if fingers == 2:
        return
    axle = d.at("first stage axle")
    check_set(d, "first stage", axle)
    for k, sign in ((0, -1.0), (1, 1.0)):
        name = f"carrier {'ab'[k]}"
        group = d.space.groups[k]
        if len(group) == 1:
            pin = d.finger(group[0])
        else:
            pin = d.at(f"{name} centre pin" if second == "bar" else f"{name} fork pin")
        check_end(d, f"carrier strand end {'ab'[k]}", pin, axle, sign, "first stage wheel")
    pin = d.ends("carrier strand end a")[0]
    p, q = d.ends("first stage chain")
    check_meet(q, pin, "first chain drawn to carrier a")
    check_meet(p.imag + 0j, axle.imag + 0j, "first chain")
    assert (p.real < axle.real).all()


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("second", ["bar", "chain"])
def test_levers_meet_at_their_pins(second: str, fingers: int, reverses: bool) -> None:
    d = Laid(f"linked_lever+{second}", fingers, reverses)
    pivot = d.at("rocker pivot pin")
    for key in ("frame cheeks", "rocker pivot spacer", "rocker plate", "rocker plate arm"):
        check_meet(d.at(key), pivot, key)
    check_meet(d.ends("rocker plate")[1], d.at("rocker out pin"), "out pin")
    check_meet(d.ends("rocker plate arm")[1], d.at("rocker in pin"), "in pin")
    p, q = d.ends("exit link plate")
    check_meet(p, d.at("rocker out pin"), "exit link")
    names = ["a", "b"][: len(d.space.groups)]
    if fingers > 2:
        check_meet(q, d.at("first lever centre pin"), "exit link at the lever")
        check_meet(d.at("first lever plate"), q, "lever")
        check_meet(d.at("first lever plate arm"), q, "lever's other arm")
        check_meet(d.ends("first lever plate")[1], d.at("first lever end a pin"), "end a")
        check_meet(d.ends("first lever plate arm")[1], d.at("first lever end b pin"), "end b")
    for k, n in enumerate(names):
        key = f"carrier link {n} plate" if fingers > 2 else "exit link plate"
        p, q = d.ends(key)
        if fingers > 2:
            check_meet(p, d.at(f"first lever end {n} pin"), key)
        group = d.space.groups[k]
        if len(group) == 1:
            check_meet(q, d.finger(group[0]), key)
        elif second == "bar":
            check_meet(q, d.at(f"carrier {n} centre pin"), key)
        else:  # in line with the fork, which continues it to the axle
            fork, axle = d.far(f"carrier {n} fork") + d.zero, d.at(f"carrier {n} axle")
            np.testing.assert_allclose(np.abs(axle - q), fork, atol=1e-9)
            check_meet((axle - q) / fork, (axle - p) / np.abs(axle - p), "in line")


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("first", ["linked_lever", "chain_winder", "chain_differential"])
def test_bars_meet_their_links(first: str, fingers: int, reverses: bool) -> None:
    d = Laid(f"{first}+bar", fingers, reverses)
    for k in d.space.pairs:
        name = f"carrier {'ab'[k]}"
        centre = d.motion.carrier_x[k] + 1j * (d.drive.carriers[k].y - d.motion.carrier_y[k])
        check_meet(d.at(f"{name} centre pin"), centre, "centre")
        for arm, side, i in zip(("plate", "plate arm"), "ab", d.space.groups[k], strict=True):
            a, b = d.ends(f"{name} {arm}")
            check_meet(a, centre, arm)
            check_meet(b, d.at(f"{name} end {side} pin"), arm)
            p, q = d.ends(f"finger link {i} plate")
            check_meet(p, b, "finger link")
            check_meet(q, d.finger(i), "finger")


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("second", ["bar", "chain"])
def test_a_differentials_strands_reach_their_carriers(
    second: str, fingers: int, reverses: bool
) -> None:
    d = Laid(f"chain_differential+{second}", fingers, reverses)
    y, z = d.drive.y_ratio + d.zero, d.space.shelf.z
    for k, n in enumerate(["a", "b"][: len(d.space.groups)]):
        start, last = d.ends(f"strand {n}")
        p, q = d.ends(f"strand {n} end")
        group = d.space.groups[k]
        if len(group) == 1:
            check_meet(p, d.finger(group[0]), "lone finger")
        elif second == "bar":
            check_meet(p, d.at(f"carrier {n} centre pin"), "bar")
        else:
            axle, fork = d.at(f"carrier {n} axle"), d.far(f"carrier {n} fork") + d.zero
            np.testing.assert_allclose(np.abs(axle - p), fork, atol=1e-9)
            check_meet((axle - p) / fork, (axle - start) / np.abs(axle - start), "in line")
        check_meet(last, q, "strand at its end piece")
        check_meet(start.imag + 0j, y + 0j, "strand at the shaft")
        wheel = d.pieces[f"chain wheel {n}"].shape
        assert ((start.real > wheel.x0) & (start.real < wheel.x1)).all()
        check_meet((q - p) / np.abs(q - p), (start - p) / np.abs(start - p), "end in line")
        piece = d.pieces[f"strand {n}"]
        assert (piece.z0 <= z).all()
        assert (piece.z1 >= z).all()
        # cut long enough: one link more than reaches from the shaft to the end piece at rest
        chains = d.space.shelf.chains
        pitch = chains.pitch[piece.number[0].astype(int)]
        free = np.abs(last - start)[:, :1]
        lean = np.abs((last - start).imag)[:, :1]
        assert (piece.number[1] * pitch >= lean - 1e-6).all()
        assert (piece.number[1] * pitch <= free + 2.0 * pitch + 1e-6).all()
    a, b = d.ends("input chain")
    check_meet(a.imag + 0j, y + 0j, "input chain at the shaft")
    away = (b - a).imag * (1.0 if reverses else -1.0)
    X = np.maximum(d.motion.X, 0.0)
    np.testing.assert_allclose(away - X, away[:, :1] - X[:, :1] + d.zero, atol=1e-9)
    assert (away[:, :1] > 0.0).all()


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("first", ["chain_winder", "chain_differential"])
def test_two_chain_ends_lie_a_gap_off_the_bar_between_them(
    first: str, fingers: int, reverses: bool
) -> None:
    """Whichever plate is the thicker; a single end lies so between doubled bars."""
    d = Laid(f"{first}+bar", fingers, reverses)
    gap = d.space.shelf.brief.shop.gap
    for k in d.space.pairs:
        n = "ab"[k]
        names = (f"carrier strand end {n}", f"strand {n} end", "output chain end")
        end, bar = d.pieces[next(q for q in names if q in d.pieces)], d.pieces[f"carrier {n} plate"]
        two = end.count > 1.0
        inner, outer = np.where(two, bar.z1, end.z1), np.where(two, end.z1, bar.z1)
        room = outer - np.where(two, end.thickness, bar.thickness) - inner
        np.testing.assert_allclose(room, gap + 0.0 * room, atol=1e-12)


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_outlines_are_as_wide_as_what_they_show(
    architecture: str, fingers: int, reverses: bool
) -> None:
    """Plates as wide as their eyes; chains by their plates, of a shaft along x by their width."""
    d = Laid(architecture, fingers, reverses)
    pulls = strength_pulls(
        d.motion, shares(d.drive, d.motion), d.space.shelf.demand, d.space.shelf.brief
    )
    wide = {e.key: e.w for e in d.space.loads(d.drive, d.motion, pulls).eyes}
    for key, eye in PLATES.items():
        if key in d.pieces and eye in wide:
            np.testing.assert_allclose(
                2.0 * d.pieces[key].shape.r, wide[eye], rtol=1e-12, err_msg=key
            )
    chains = d.space.shelf.chains
    for p in d.pieces.values():
        if p.what == "chain":
            i = p.number[0].astype(int)
            along_x = architecture.startswith("chain_differential") and p.stage == "first"
            across, high = (
                (chains.width, chains.height) if along_x else (chains.height, chains.width)
            )
            np.testing.assert_allclose(2.0 * p.shape.r, across[i], rtol=1e-12, err_msg=p.key)
            tall = p.z1 - p.z0
            assert (tall >= high[i] - 1e-9).all() if along_x else np.allclose(tall, high[i]), p.key


PLATES = {
    "rocker plate": "rocker pivot eye",
    "rocker plate arm": "rocker in eye",
    "frame cheeks": "frame cheeks eye",
    "exit link plate": "exit link wrist end eye",
    "first lever plate": "first lever end a eye",
    "first lever plate arm": "first lever end b eye",
    "carrier link a plate": "carrier link a wrist end eye",
    "carrier link b plate": "carrier link b wrist end eye",
    "carrier a plate": "carrier a end a eye",
    "carrier b plate arm": "carrier b end b eye",
    "carrier a fork": "carrier a fork at axle",
    "first stage fork": "first stage fork at pin",
    "output chain end": "output chain end",
    "carrier strand end a": "carrier strand end a",
    "carrier strand end b": "carrier strand end b",
    "strand a end": "strand a end",
    "strand b end": "strand b end",
    **{f"finger link {i} plate": f"finger link {i} finger end eye" for i in range(4)},
    **{f"finger end {i}": f"finger end {i}" for i in range(4)},
}


@pytest.mark.parametrize(("second", "fingers", "reverses"), [
    ("chain", 2, True), ("chain", 3, False), ("bar", 4, True), ("chain", 4, False),
])  # fmt: skip
def test_one_piece_winders_clear_what_joined_tracks_would(
    second: str, fingers: int, reverses: bool
) -> None:
    """The same outlines: the limit of one piece is the least gap of the joined tracks' own pieces."""
    d = Laid(f"chain_winder+{second}", fingers, reverses)
    near = (
        ("first stage wheel", "first stage fork")
        if fingers > 2
        else ("carrier a wheel", "carrier a fork")
    )
    tracks = ("winder input track", "winder output track")
    one = [v.key for v in d.space.variables].index("one_piece")
    X = d.X.copy()
    X[:, one] = 0.0
    drive = d.space.build(X)
    motion = d.space.move(drive)
    pieces = d.space.pieces(drive, motion)
    pairs = [Pair(t, o) for t in tracks for o in near]
    must = np.array([p.must for p in d.space.shelf.demand.positions])
    gaps = [
        np.broadcast_to(g, motion.Y.shape)[:, must].min(axis=1)
        for _, g in clearances(pieces, pairs)
    ]
    X[:, one] = 1.0
    whole = d.space.build(X)
    found = d.space.first.limits(d.space.shelf, whole, d.space.move(whole))
    (slack,) = [m.slack for m in found if m.id == "clearance"]
    least = np.min(gaps, axis=0) - d.space.shelf.brief.cavity.clearance
    np.testing.assert_allclose(slack, least, atol=1e-9)
