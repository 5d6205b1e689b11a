"""Turned and toothed parts: their drawings read back, by another reader, to the columns that were scored."""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from math import atan2, cos, hypot, pi, radians, sin

import ezdxf
import pytest
from ezdxf.document import Drawing as Document
from ezdxf.entities import DXFEntity

from explorer.build.drawing import drawing_of
from explorer.build.dxf import dxf_text
from explorer.build.parts import Part, parts_of
from explorer.build.sizes import mm
from explorer.drives.values import values_of
from explorer.mechanics import tooth
from explorer.scoring.open import open_drive, shelf_for
from explorer.scoring.score import detail
from tests.build.conftest import Drive

NEAR = 0.005  # mm
STEEL = 0.00785  # g/mm3, of bought wheels
CUT = {"plate", "link", "end piece", "bracket", "wheel", "drum", "gear"}
READ: dict[str, tuple[tuple[Drive, Part, Document], ...]] = {}
WINDERS = tuple(product(("joined tracks", "one piece"), ("toothed", "plain")))


def as_made(drive: Drive, how: str, tracks: str) -> Drive:
    """The same winder with other tracks, whether or not it would hold."""
    values = {
        **values_of(drive.opened.space, drive.opened.X[0]),
        "one_piece": how,
        "tracks": tracks,
    }
    build = replace(drive.build, values=values)
    opened = open_drive(shelf_for(drive.study), build)
    d = detail(opened.space, opened.X)
    return Drive(drive.study, build, opened, d, parts_of(d, left=False))


def ways(drive: Drive) -> Iterator[Drive]:
    """The drive itself, and every way of making its winder."""
    yield drive
    if drive.build.architecture.startswith("chain_winder"):
        for how, tracks in WINDERS:
            yield as_made(drive, how, tracks)


def rounds(drive: Drive) -> tuple[tuple[Drive, Part, Document], ...]:
    """Every turned part with its drawing read back; kept, for no test changes them."""
    if drive.build.architecture not in READ:
        READ[drive.build.architecture] = tuple(_rounds(drive))
    return READ[drive.build.architecture]


def _rounds(drive: Drive) -> Iterator[tuple[Drive, Part, Document]]:
    for made in ways(drive):
        for part in made.parts:
            if part.round is not None:
                drawing = drawing_of(part, "XX-01", "abcdef", made.study.brief.side)
                yield made, part, ezdxf.read(io.StringIO(dxf_text(drawing)))


def columns(drive: Drive) -> dict[str, float]:
    return {k: float(v[0, 0]) for k, v in drive.detail.drive.columns.items()}


def ends(e: DXFEntity) -> list[tuple[float, float]]:
    c, r = e.dxf.center, e.dxf.radius
    angles = radians(e.dxf.start_angle), radians(e.dxf.end_angle)
    return [(c.x + r * cos(a), c.y + r * sin(a)) for a in angles]


def enclosed(edges: list[DXFEntity]) -> float:
    """Area of a loop of arcs as they follow one another in the file, each run whichever way joins on."""
    if len(edges) == 1:
        return pi * edges[0].dxf.radius ** 2
    total, last = 0.0, ends(edges[-1])
    here = min(last, key=lambda p: min(hypot(p[0] - q[0], p[1] - q[1]) for q in ends(edges[0])))
    begun = here
    for e in edges:
        a, b = ends(e)
        forward = hypot(a[0] - here[0], a[1] - here[1]) < 1e-6
        assert forward or hypot(b[0] - here[0], b[1] - here[1]) < 1e-6
        here = b if forward else a
        c, r = e.dxf.center, e.dxf.radius
        s, t = radians(e.dxf.start_angle), radians(e.dxf.end_angle)
        t = t if t > s else t + 2.0 * pi
        across = c.x * (sin(t) - sin(s)) - c.y * (cos(t) - cos(s))
        total += (1.0 if forward else -1.0) * r * (r * (t - s) + across) / 2.0
    assert hypot(here[0] - begun[0], here[1] - begun[1]) < 1e-6
    return total


def end_views(doc: Document) -> list[list[DXFEntity]]:
    """Outlines of the end views: split where one loop of arcs does not join the next."""
    out: list[list[DXFEntity]] = []
    for e in doc.modelspace().query('*[layer=="OUTLINE"]'):
        joins = out and e.dxftype() == "ARC" and any(
            hypot(p[0] - q[0], p[1] - q[1]) < 1e-6 for p in ends(e) for q in ends(out[-1][-1])
        )  # fmt: skip
        if joins:
            out[-1].append(e)
        else:
            out.append([e])
    return out


def boxes(doc: Document, layer: str) -> list[tuple[float, float, float, float]]:
    """Each rectangle of a layer: x0, x1, y0, y1; four lines each."""
    lines = list(doc.modelspace().query(f'LINE[layer=="{layer}"]'))
    assert len(lines) % 4 == 0
    out = []
    for k in range(0, len(lines), 4):
        at = [p for e in lines[k : k + 4] for p in (e.dxf.start, e.dxf.end)]
        xs, ys = [p.x for p in at], [p.y for p in at]
        out.append((min(xs), max(xs), min(ys), max(ys)))
    return out


def holes(doc: Document) -> list[tuple[float, float]]:
    """Radius of the place and diameter of each."""
    found = doc.modelspace().query('CIRCLE[layer=="HOLES"]')
    return [(hypot(e.dxf.center.x, e.dxf.center.y), 2.0 * e.dxf.radius) for e in found]


def tip(edges: list[DXFEntity]) -> float:
    """Largest distance of an end of an arc from the middle of all."""
    if len(edges) == 1:
        return float(edges[0].dxf.radius)
    places = [p for e in edges for p in ends(e)]
    middle = sum(p[0] for p in places) / len(places), sum(p[1] for p in places) / len(places)
    return max(hypot(p[0] - middle[0], p[1] - middle[1]) for p in places)


def volume(doc: Document) -> float:
    """By the drawing alone: outlines by their views, lengths and depths by the side view."""
    toothed = {round(tip(v), 4): enclosed(v) for v in end_views(doc) if len(v) > 1}
    side, hidden = boxes(doc, "SIDE"), boxes(doc, "HIDDEN")
    metal = sum((x1 - x0) * toothed.get(round(y1, 4), pi * y1 * y1) for x0, x1, _, y1 in side)
    for place, d in holes(doc):
        x0, x1, *_ = next(
            b for b in hidden
            if abs(b[3] - b[2] - d) < 1e-6 and abs((b[3] + b[2]) / 2.0 - place) < 1e-6
        )  # fmt: skip
        metal -= (x1 - x0) * pi * d * d / 4.0
    return metal


def test_every_part_that_a_machine_makes_is_drawn(drive: Drive) -> None:
    for made in ways(drive):
        what = {p.key: p.what for p in made.detail.pieces}
        drawn = {key for part in made.parts if part.file for key in part.keys}
        there = {p.key for p in made.detail.pieces if p.count[0, 0] > 0 and not p.outline_only}
        assert drawn == {key for key in there if what[key] in CUT}
        assert len({part.file for part in made.parts if part.file}) == sum(
            1 for part in made.parts if part.file
        )


def test_the_drawing_weighs_what_the_list_says(drive: Drive) -> None:
    density = {m.name: m.density for m in drive.study.stock.metals}
    for made, part, doc in rounds(drive):
        rho = density[part.material] if part.material else STEEL
        if part.what == "gear":
            gear = int(columns(made)["gear"])
            rho = float(made.detail.space.shelf.gears.density[gear])
        assert volume(doc) * rho == pytest.approx(part.mass, rel=1e-9), part.name
        audit = doc.audit()
        assert not audit.errors
        assert not audit.fixes


def test_teeth_read_back_to_the_scored_count_and_pitch(drive: Drive) -> None:
    """Seats are the arcs about points of the pitch circle; the chord between neighbours is the pitch."""
    seen = 0
    for made, part, doc in rounds(drive):
        c, chains = columns(made), made.detail.space.shelf.chains
        asked = {
            "chain wheel a": [("output_chain", "wheel_a_teeth")],
            "chain wheel b": [("output_chain", "wheel_b_teeth")],
            "input wheel": [("input_chain", "input_teeth")],
            "winder input track": [("input_chain", "input_teeth")],
            "winder output track": [("output_chain", "output_teeth")],
            "winder": [("input_chain", "input_teeth"), ("output_chain", "output_teeth")],
        }.get(part.keys[0], [])
        views = [v for v in end_views(doc) if len(v) > 1]
        if part.keys[0].startswith("winder") and c["tracks"] > 0.0:
            asked = []
        assert len(views) == len(
            set(asked) if c["input_teeth"] != c.get("output_teeth") else asked[:1]
        )
        for view, (chain, teeth) in zip(views, asked, strict=False):
            p, z = float(chains.pitch[int(c[chain])]), round(c[teeth])
            seat = 0.505 * float(tooth.usual_roller(chains.pitch[int(c[chain])]))
            seats = [e.dxf.center for e in view if abs(e.dxf.radius - seat) < 1e-9]
            assert len(seats) == z
            chord = hypot(seats[0].x - seats[1].x, seats[0].y - seats[1].y)
            assert chord == pytest.approx(p, abs=NEAR)
            assert tip(view) == pytest.approx(
                p * (0.6 + 1.0 / (sin(pi / z) / cos(pi / z))) / 2.0, abs=NEAR
            )
            seen += 1
    assert seen or not drive.build.architecture.startswith(("chain_winder", "chain_differential"))


def test_bores_pins_and_widths_read_back_to_the_scored_columns(drive: Drive) -> None:
    for made, part, doc in rounds(drive):
        c, shelf = columns(made), made.detail.space.shelf
        (at, bore), *pins = holes(doc)
        side = boxes(doc, "SIDE")
        long = max(b[1] for b in side) - min(b[0] for b in side)
        key = part.keys[0]
        assert at == 0.0
        if key not in {"input wheel", "planets a"}:
            assert bore == pytest.approx(shelf.shafts.d[int(c["shaft"])], abs=NEAR)
        stem = ""
        if "track" in key:
            stem = "drive"
            assert long == pytest.approx(part.thickness, abs=NEAR)
        elif key == "winder":
            assert long == pytest.approx(part.thickness, abs=NEAR)
        elif key in {"side gear a", "planets a"}:
            long_asked = c["face_mm"] * (1.0 if key == "side gear a" else 2.0)
            assert long >= long_asked - NEAR
            stem = "output" if key == "side gear a" else ""
        else:
            stem = "cage" if key == "input wheel" and "cage_pin" in c else "output"
        if not stem:
            assert not pins
            continue
        assert len(pins) == round(c[f"{stem}_pins"])
        for r, d in pins:
            assert r == pytest.approx(c[f"{stem}_pin_radius_mm"], abs=NEAR)
            assert d == pytest.approx(shelf.pins.d[int(c[f"{stem}_pin"])], abs=NEAR)
        deep = {round(b[1] - b[0], 6) for b in boxes(doc, "HIDDEN")[1:]}
        asked = min(part.thickness, 1.5 * pins[0][1]) if stem == "drive" else long
        assert deep == {round(asked, 6)}


def test_plain_drums_have_the_scored_cores(drive: Drive) -> None:
    for made, part, doc in rounds(drive):
        c = columns(made)
        if part.keys[0].startswith("winder") and c["tracks"] > 0.0:
            which = [
                w for w in ("input", "output") if part.keys[0] in {f"winder {w} track", "winder"}
            ]
            found = [b[3] for b in boxes(doc, "SIDE")]
            assert found == pytest.approx([c[f"{w}_core_mm"] for w in which], abs=NEAR)


def test_diameters_and_lengths_in_words_are_those_of_the_side_view(drive: Drive) -> None:
    for _, part, doc in rounds(drive):
        said = [t.dxf.text for t in doc.modelspace().query('TEXT[layer=="NOTES"]')]
        side = boxes(doc, "SIDE")
        for n, (x0, x1, _, y1) in enumerate(side, start=1):
            line = next(s for s in said if re.match(rf"{n}  \S", s))
            assert f"Ø {mm(2.0 * y1)}" in line, part.name
            assert re.search(rf", {re.escape(mm(x1 - x0))} (long|wide)$", line), line
        assert len(side) == sum(1 for s in said if re.fullmatch(r"\d", s))


def test_pins_of_both_tracks_meet(drive: Drive) -> None:
    """The holes of two parts that one set of pins joins lie at the same angles."""
    pairs = (
        ("winder input track", "winder output track"),
        ("chain wheel a", "side gear a"),
        ("chain wheel a", "input wheel"),
    )
    for made in ways(drive):
        by_key = {key: part for part in made.parts for key in part.keys}
        for a, b in pairs:
            if (
                a not in by_key
                or b not in by_key
                or (b == "input wheel" and "side gear a" in by_key)
            ):
                continue
            first, second = (
                sorted(round(atan2(h.at.y, h.at.x), 9) for h in by_key[k].round.bores[1:])
                for k in (a, b)
            )
            assert first == second
