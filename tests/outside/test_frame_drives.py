"""Drives of all architectures in a frame solver (PyNite): pins in their plates, levers, both shafts.

Pins are beams through the plates of the parts list, where it draws them; levers are frames through their
pins with each link's force along that link; the shaft of a winder lies in its cheeks under both strands, that of
a differential in its brackets, a planet's pin in the cage plates.  The records of what each carries say
the same.  Drives and hands are random, of stock sizes, under the strength pulls without friction, so that
every lever is in balance.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES, Space
from explorer.drives.bodies import Bar
from explorer.drives.joints import Loads
from explorer.drives.layout import Drive
from explorer.drives.motion import Motion, StageMotion
from explorer.drives.pieces import Piece
from explorer.drives.pulls import Pulls, shares, strength_pulls
from explorer.drives.ratios import Rocker, Spool
from explorer.drives.shelf import Shelf
from explorer.mechanics.pins import fork_moment, single_shear_moment
from tests.drives.differential_twin import Stack, chosen
from tests.drives.wound import frictionless
from tests.outside.frames import Beam, Lever, Place, along, turned
from tests.outside.second.cases import cases

CLOSE = 1e-9
TOOTH = 0.93  # width of a wheel's teeth over its chain's inner width, common practice
SPREAD = 0.02  # of a planet pin's moment: an even load on the planet, or each tooth force on its own face


def one(column: np.ndarray | float) -> float:
    return float(np.ravel(column)[0])


@dataclass(frozen=True)
class Loaded:
    """A drive under its strength pulls, in the position where it pulls most."""

    space: Space
    X: np.ndarray
    drive: Drive
    motion: Motion
    pulls: Pulls
    loads: Loads
    pieces: dict[str, Piece]
    p: int

    def at(self, a: np.ndarray | float) -> float:
        """The value of a column, or of a position, here."""
        flat = np.asarray(a)
        return float(flat[0, self.p if flat.shape[1] > 1 else 0])


@cache
def loaded(seed: int, n: int) -> tuple[Loaded, ...]:
    found = []
    for case in cases(seed, n):
        old = case.space.shelf
        shelf = Shelf(frictionless(old.brief), old.stock, old.demand)
        space = Space(shelf, case.space.architecture, case.space.single)
        drive = space.build(case.X)
        motion = space.move(drive)
        pulls = strength_pulls(motion, shares(drive, motion), shelf.demand, shelf.brief)
        p = int(np.argmax(pulls.F_out[0]))
        found.append(
            Loaded(
                space, case.X, drive, motion, pulls, space.loads(drive, motion, pulls),
                {q.key: q for q in space.pieces(drive, motion)}, p,
            )
        )  # fmt: skip
    return tuple(found)


@pytest.fixture(params=[1, *(pytest.param(s, marks=pytest.mark.long) for s in range(2, 12))])
def drives(request: pytest.FixtureRequest) -> tuple[Loaded, ...]:
    found = loaded(request.param, 18)
    assert {d.drive.architecture for d in found} == set(ARCHITECTURES)
    return found


# ---- pins


def layers(piece: Piece) -> list[Place]:
    """From and to across the palm of one plate, or of the two at the ends of a set."""
    z0, z1 = one(piece.z0), one(piece.z1)
    t = z1 - z0 if piece.thickness is None else one(piece.thickness)
    return [(z0, z1)] if one(piece.count) < 2.0 else [(z0, z0 + t), (z1 - t, z1)]


def side_by_side(piece: Piece) -> list[Place]:
    """The plates of a set in the middle of a fork, face to face; the parts list gives two of them more room."""
    assert piece.thickness is not None
    half = one(piece.count) * one(piece.thickness) / 2.0
    return [(middle(piece) - half, middle(piece) + half)]


def middle(piece: Piece) -> float:
    return (one(piece.z0) + one(piece.z1)) / 2.0


def teeth(d: Loaded, wheel: Piece) -> list[Place]:
    """A wheel's own width, inside its chain's links."""
    assert wheel.stock_index is not None
    half = TOOTH * d.space.shelf.stock.chains[int(one(wheel.stock_index))].inner_width / 2.0
    return [(middle(wheel) - half, middle(wheel) + half)]


def stacks(d: Loaded) -> Iterator[tuple[str, list[Place], list[Place]]]:
    """Pin, plates that hold it, plates or wheel that pull at it."""
    have = d.pieces

    def pair(pin: str, a: str, b: str) -> tuple[str, list[Place], list[Place]]:
        return pin, layers(have[a]), layers(have[b])

    if isinstance(d.drive.ratio, Rocker):
        yield pair("rocker pivot pin", "frame cheeks", "rocker plate")
        yield pair("rocker out pin", "rocker plate", "exit link plate")
        if d.drive.first is not None:
            yield pair("first lever centre pin", "first lever plate", "exit link plate")
            for k in "ab":
                yield pair(
                    f"first lever end {k} pin", "first lever plate", f"carrier link {k} plate"
                )
    if "first stage wheel" in have:
        yield (
            "first stage axle",
            layers(have["first stage fork"]),
            teeth(d, have["first stage wheel"]),
        )
        end = side_by_side(have["output chain end"])
        yield "first stage fork pin", layers(have["first stage fork"]), end
    ends = ("carrier link {} plate", "carrier strand end {}", "strand {} end")
    for k, c in zip("ab", d.drive.carriers, strict=False):
        names = [e.format(k) for e in ends] + ["output chain end", "exit link plate"]
        hold = next(n for n in names if n in have)
        if isinstance(c.body, Bar):
            yield pair(f"carrier {k} centre pin", f"carrier {k} plate", hold)
            for side, f in zip("ab", c.fingers, strict=True):
                pin = f"carrier {k} end {side} pin"
                yield pair(pin, f"carrier {k} plate", f"finger link {f} plate")
        elif c.body is not None:
            fork = layers(have[f"carrier {k} fork"])
            yield f"carrier {k} axle", fork, teeth(d, have[f"carrier {k} wheel"])
            yield f"carrier {k} fork pin", fork, side_by_side(have[hold])


def fits(d: Loaded, held: list[Place], pulling: list[Place]) -> bool:
    """False where plates lie nearer than the shop's gap: too thick for their fork, which a limit refuses."""
    plates = sorted((*held, *pulling))
    gap = d.space.shelf.brief.shop.gap
    return all(b[0] - a[1] > gap - CLOSE for a, b in itertools.pairwise(plates))


def most_bent(held: list[Place], pulling: list[Place], F: float) -> float:
    """Largest moment in a pin: even pressure in all plates, hinges at the ends without load."""
    ends = [z for layer in (*held, *pulling) for z in layer]
    pin = Beam(min(ends), max(ends), (min(ends), max(ends)))
    for group, sign in ((held, 1.0), (pulling, -1.0)):
        for z0, z1 in group:
            pin.spread(sign * F / len(group), z0, z1)
    pin.solve()
    assert pin.reactions() == pytest.approx([0.0, 0.0], abs=CLOSE * F)
    return max(abs(pin.moment(z)) for z in (*ends, (min(ends) + max(ends)) / 2.0))


def test_pins_bend_in_the_plates_of_the_parts_list(drives: tuple[Loaded, ...]) -> None:
    found = 0
    for d in drives:
        records = {r.key: r for r in d.loads.pins}
        for key, held, pulling in stacks(d):
            if not fits(d, held, pulling):
                continue
            found += 1
            r = records[key]
            F = d.at(r.load)
            got = d.at(fork_moment(r.load, r.t_fork, r.gap, r.t_mid))
            assert got == pytest.approx(most_bent(held, pulling, F), rel=CLOSE), key
    assert found > 4 * len(drives)


def test_every_pin_has_its_plates(drives: tuple[Loaded, ...]) -> None:
    """All but the drawbar's pin, whose other half is the wrist's, and what is no pin in a fork."""
    for d in drives:
        others = {"rocker in pin", "planet pin"}
        pins = {r.key for r in d.loads.pins if "bush" not in r.key} - others
        assert pins == {key for key, _, _ in stacks(d)}


def test_drive_pins_bend_as_free_or_guided_cantilevers(drives: tuple[Loaded, ...]) -> None:
    """From plate to plate: the other end free where a plate can tip, kept straight where it cannot."""
    for d in drives:
        for c in d.loads.circles:
            if d.at(c.torque) <= 0.0:
                continue
            F, reach = d.at(c.torque) / d.at(c.r), (d.at(c.t1) + d.at(c.t2)) / 2.0
            pin = Lever([(0.0, 0.0), (reach, 0.0)], [(0, 1)])
            pin.force(1, (0.0, F))
            clamped = d.at(c.clamped) > 0.0
            if clamped:
                pin.guide(1)
            pin.solve()
            got = float(single_shear_moment(np.array(F), d.at(c.t1), d.at(c.t2), np.array(clamped)))
            assert got == pytest.approx(pin.moment(0), rel=CLOSE), c.key


# ---- levers


def bars(
    d: Loaded,
) -> Iterator[tuple[str, Bar, StageMotion, float, list[tuple[float, float, float]]]]:
    """Name, body and motion, pull of what holds it; pull, x of the far pin and length of both its links."""
    drive, m, q = d.drive, d.motion, d.pulls
    if isinstance(drive.first, Bar) and m.first is not None:
        share = d.at(m.first.share_a)
        F = d.at(q.F_out)
        links = [
            (F * c, d.at(m.carrier_x[k]), one(drive.carriers[k].L_in))
            for k, c in enumerate((share, 1.0 - share))
        ]
        yield "first lever", drive.first, m.first, F, links
    for k, (c, s) in enumerate(zip(drive.carriers, m.second, strict=True)):
        if isinstance(c.body, Bar) and s is not None:
            links = [
                (d.at(q.finger[f]), float(d.space.shelf.demand.pin_x[f]), one(L))
                for f, L in zip(c.fingers, c.L_out, strict=True)
            ]
            yield f"carrier {'ab'[k]}", c.body, s, d.at(q.carrier[k]), links


def test_levers_and_bars_bend_as_frames_under_their_links(drives: tuple[Loaded, ...]) -> None:
    seen = 0
    for d in drives:
        flexures, pins = ({r.key: r for r in kind} for kind in (d.loads.flexures, d.loads.pins))
        for name, body, m, pull, links in bars(d):
            phi, e = d.at(m.tilt), one(body.e)
            ends = turned(-one(body.l_a), e, phi), turned(one(body.l_b), e, phi)
            bar = Lever([(0.0, 0.0), *ends], [(0, 1), (0, 2)])
            for pin, (end, (F, x, L)) in enumerate(zip(ends, links, strict=True), start=1):
                force = along(F, x - d.at(m.x) - end[0], L)
                bar.force(pin, force)
                load = d.at(pins[f"{name} end {'ab'[pin - 1]} pin"].load)
                assert load == pytest.approx(np.hypot(*force), rel=CLOSE)
            bar.solve()
            _, held, spare = bar.held()
            assert held == pytest.approx(-pull, rel=CLOSE)
            most = max(bar.moment(0), bar.moment(1))
            assert spare == pytest.approx(0.0, abs=CLOSE * most)
            assert d.at(flexures[f"{name} bending"].moment) == pytest.approx(most, rel=CLOSE)
            seen += 1
    assert seen > len(drives) / 2


def rocker_forces(d: Loaded, r: Rocker) -> tuple[Place, Place, Place, Place]:
    """In pin, out pin, and the forces there: both drawbars along themselves, pushed where it is a strut."""
    theta, side, source = d.at(d.motion.theta), one(r.side), r.source
    out = turned(side * one(r.r2), 0.0, -side * theta)
    into, sign = one(r.input_side), source.sign
    ahead = into if source.reverses else -into  # of the in pin: which way it turns on the way in
    at_in = turned(into * one(r.r1), 0.0, ahead * (theta + one(r.beta)))
    m, drive = d.motion, d.drive
    far = d.at(m.first.x if m.first is not None else m.carrier_x[0])
    F_out = along(d.at(d.pulls.F_out), far - one(r.x_p) - out[0], one(drive.L_exit))
    F_in = d.at(d.pulls.F_in)
    if not source.leans:
        return at_in, out, (0.0, sign * F_in), F_out
    x, y = along(F_in, source.far_x - one(r.x_p) - at_in[0], source.length)
    return at_in, out, ((-x if source.strut else x), sign * y), F_out


def test_rockers_bend_as_frames_under_both_drawbars(drives: tuple[Loaded, ...]) -> None:
    """Reversing they are held at the pivot between both pins; straight, the outer pin bends the inner's section."""
    for d in drives:
        r = d.drive.ratio
        if not isinstance(r, Rocker):
            continue
        at_in, out, F_in, F_out = rocker_forces(d, r)
        if r.source.reverses:
            rocker = Lever([(0.0, 0.0), at_in, out], [(0, 1), (0, 2)])
            forces = (F_in, F_out)
        else:  # from the pivot to the inner pin and on to the outer one
            inner, outer = (out, at_in) if one(r.r1) >= one(r.r2) else (at_in, out)
            rocker = Lever([(0.0, 0.0), inner, outer], [(0, 1), (1, 2)])
            forces = (F_out, F_in) if one(r.r1) >= one(r.r2) else (F_in, F_out)
        for pin, F in enumerate(forces, start=1):
            rocker.force(pin, F)
        rocker.solve()
        x, y, spare = rocker.held()
        most = max(rocker.moment(0), rocker.moment(1)) if r.source.reverses else rocker.moment(1)
        assert spare == pytest.approx(0.0, abs=CLOSE * max(most, np.hypot(x, y)))
        flexure = next(f for f in d.loads.flexures if f.key == "rocker bending")
        assert d.at(flexure.moment) == pytest.approx(most, rel=CLOSE)
        pivot = next(q for q in d.loads.pins if q.key == "rocker pivot pin")
        assert d.at(pivot.load) == pytest.approx(np.hypot(x, y), rel=CLOSE)


# ---- shafts


def test_winder_shafts_bend_in_their_cheeks(drives: tuple[Loaded, ...]) -> None:
    """Strands as vectors in the middle of their tracks, the shaft hinged in the middle of both cheeks."""
    for d in drives:
        r = d.drive.ratio
        if not isinstance(r, Spool) or not r.flat:
            continue
        where = ("output track", "input track")
        cheek_out, cheek_in = (middle(d.pieces[f"cheek at the {k}"]) for k in where)
        x_out, x_in = (middle(d.pieces[f"winder {k}"]) for k in where)
        m, F_in = d.motion, d.at(d.pulls.F_in)
        far = d.at(m.first.x if m.first is not None else m.carrier_x[0])
        F_out = along(d.at(d.pulls.F_out), far - one(r.exits[0]), one(d.drive.L_exit) - d.at(m.Y))
        ends = sorted((cheek_out, cheek_in))
        shaft = Beam(ends[0], ends[1], (cheek_out, cheek_in))
        shaft.point(F_out[0], x_out, "Fz")
        shaft.point(F_out[1], x_out)
        shaft.point(r.source.sign * F_in, x_in)
        shaft.torque(-F_in * one(r.a1), x_in)
        shaft.torque(np.hypot(*F_out) * one(r.a2), x_out)
        shaft.solve()
        loads = np.hypot(shaft.reactions("Fy"), shaft.reactions("Fz"))
        twist = abs(shaft.twist((x_out + x_in) / 2.0))
        pins, sections = ({q.key: q for q in kind} for kind in (d.loads.pins, d.loads.shafts))
        for k, R, x in zip(where, loads, (x_out, x_in), strict=True):
            assert d.at(pins[f"winder bush at the {k}"].load) / 2.0 == pytest.approx(R, rel=CLOSE)
            bent = np.hypot(shaft.moment(x, "Fy"), shaft.moment(x, "Fz"))
            section = sections[f"shaft at the {k}"]
            assert d.at(section.moment) == pytest.approx(bent, rel=CLOSE)
            assert d.at(section.torque) == pytest.approx(twist, rel=CLOSE)


def test_differential_shafts_bend_in_their_brackets(drives: tuple[Loaded, ...]) -> None:
    """Pulls along y; the sideways parts of leaning strands are thrust and left out, as is said."""
    for d in drives:
        r = d.drive.ratio
        if not isinstance(r, Spool) or r.flat:
            continue
        s = Stack(chosen(d.space, d.X[0]))
        places = [s.at_a, s.at_b] if s.two else [s.at_a]
        pulls = [
            min(d.at(q), d.at(d.pulls.F_out) * d.at(c))
            for q, c in zip(d.pulls.carrier, shares(d.drive, d.motion).carrier, strict=True)
        ]
        shaft = Beam(0.0, s.span, (0.0, s.span))
        for x, F in zip(places, pulls, strict=True):
            shaft.point(F, x)
        shaft.point(r.source.sign * d.at(d.pulls.F_in), s.at_in)
        shaft.solve()
        pins = {q.key: q for q in d.loads.pins}
        for k, R in zip("ab", shaft.reactions(), strict=True):
            assert d.at(pins[f"shaft bush {k}"].load) / 2.0 == pytest.approx(abs(R), rel=CLOSE)
        most = max(abs(shaft.moment(x)) for x in (*places, s.at_in))
        assert d.at(d.loads.shafts[0].moment) == pytest.approx(most, rel=CLOSE)


def test_planet_pins_bend_between_the_cage_plates(drives: tuple[Loaded, ...]) -> None:
    """Each tooth force spread over its own face, in two planes; the record spreads both over the planet."""
    seen = 0
    for d in drives:
        pin = next((q for q in d.loads.pins if q.key == "planet pin"), None)
        if pin is None:
            continue
        s = Stack(chosen(d.space, d.X[0]))
        F_t, tan = d.at(d.loads.teeth[0].force), np.tan(np.radians(20.0))
        near, far = s.plate_a + s.t / 2.0, s.plate_b + s.t / 2.0
        found = []
        for hand in (
            1.0,
            -1.0,
        ):  # side gear below, partner across: flanks push apart, circles drive round
            across = np.array([np.cos(s.psi), -np.sin(s.psi)])
            of_side = F_t * np.array([hand, tan])
            of_partner = F_t * (-hand * np.array([-across[1], across[0]]) - tan * across)
            beam = Beam(near, far, (near, far))
            for F, x in ((of_side, s.gear_a), (of_partner, s.middle)):
                beam.spread(float(F[0]), x, x + s.face)
                beam.spread(float(F[1]), x, x + s.face, "Fz")
            beam.solve()
            along_it = np.linspace(near, far, 101)
            bent = max(np.hypot(beam.moment(x), beam.moment(x, "Fz")) for x in along_it)
            found.append((float(np.hypot(*(beam.reactions(k)[0] for k in ("Fy", "Fz")))), bent))
        R, M = max(found)
        assert d.at(pin.load) / 2.0 == pytest.approx(R, rel=CLOSE)
        got = d.at(fork_moment(pin.load, pin.t_fork, pin.gap, pin.t_mid))
        assert got == pytest.approx(M, rel=SPREAD)
        seen += 1
    assert seen > 1
