"""Drawings read back by another reader agree with the vector that was scored."""

import io
import re
from dataclasses import replace
from itertools import product
from math import cos, hypot, pi, radians, sin
from xml.etree import ElementTree as ET

import ezdxf
import pytest
from ezdxf.document import Drawing as Document

from explorer.build.drawing import BAR, Drawing, drawing_of
from explorer.build.dxf import LAYERS, dxf_text
from explorer.build.parts import Part, parts_of
from explorer.build.plan import plan_svg
from explorer.build.svg import SVG, svg_text
from tests.build.conftest import Drive

NEAR = 0.005  # mm
HOSTILE = "</text><script>alert(1)</script> \\P%%d ]]> & \u2028 ="


def parse(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314 - our own text, that is what is tested


def drawn(drive: Drive) -> list[tuple[Part, Drawing]]:
    return [
        (p, drawing_of(p, drive.build.name, drive.study.brief.hash6, drive.study.brief.side))
        for p in drive.parts
        if p.file
    ]


def pinned_plates(drive: Drive) -> bool:
    """Whether it has plates on three pins: rocker, lever or bars."""
    return drive.build.architecture not in {"chain_winder+chain", "chain_differential+chain"}


def flat(drive: Drive) -> list[tuple[Part, Drawing]]:
    """Those that are cut from sheet."""
    return [(p, drawing) for p, drawing in drawn(drive) if p.blank is not None]


def read(text: str) -> Document:
    return ezdxf.read(io.StringIO(text))


def area_of(doc: Document) -> float:
    """Area inside OUTLINE less HOLES, mm2: arcs and lines chained end to end, Green's theorem."""
    total = 0.0
    for e in doc.modelspace().query('*[layer=="OUTLINE"]'):
        if e.dxftype() == "CIRCLE":
            total += pi * e.dxf.radius**2
        elif e.dxftype() == "LINE":
            a, b = e.dxf.start, e.dxf.end
            total += (a.x * b.y - b.x * a.y) / 2.0
        else:
            c, r = e.dxf.center, e.dxf.radius
            s, t = radians(e.dxf.start_angle), radians(e.dxf.end_angle)
            t = t if t > s else t + 2.0 * pi
            across = c.x * (sin(t) - sin(s)) - c.y * (cos(t) - cos(s))
            total += r * (r * (t - s) + across) / 2.0
    holes = doc.modelspace().query('CIRCLE[layer=="HOLES"]')
    return total - sum(pi * h.dxf.radius**2 for h in holes)


def test_every_dxf_passes_the_audit_in_millimetres_with_true_arcs(drive: Drive) -> None:
    for part, drawing in drawn(drive):
        doc = read(dxf_text(drawing))
        audit = doc.audit()
        assert not audit.errors, part.number
        assert not audit.fixes, part.number
        assert doc.units == ezdxf.units.MM
        assert set(LAYERS) <= {layer.dxf.name for layer in doc.layers}
        kinds = {e.dxftype() for e in doc.modelspace()}
        assert kinds <= {"LINE", "ARC", "CIRCLE", "TEXT"}


def test_outline_area_times_thickness_times_density_is_the_reported_mass(drive: Drive) -> None:
    density = {m.name: m.density for m in drive.study.stock.metals}
    steel = 0.00785  # g/mm3, of wheels
    for part, drawing in flat(drive):
        rho = density[part.material] if part.material else steel
        mass = area_of(read(dxf_text(drawing))) * part.thickness * rho
        assert mass == pytest.approx(part.mass, rel=1e-9), part.number


def test_holes_read_back_where_the_scored_piece_has_them(drive: Drive) -> None:
    pieces = {p.key: p for p in drive.detail.pieces}
    over = -1.0 if drive.study.brief.side == "left" else 1.0
    for part, drawing in flat(drive):
        holes = read(dxf_text(drawing)).modelspace().query('CIRCLE[layer=="HOLES"]')
        asked = [h for h in pieces[part.keys[0]].holes if h.d[0, 0] > 0.0]
        assert len(holes) == len(asked)
        for found, h in zip(holes, asked, strict=True):
            assert found.dxf.center.x == pytest.approx(h.x[0, 0], abs=NEAR)
            assert found.dxf.center.y == pytest.approx(over * h.y[0, 0], abs=NEAR)
            assert 2.0 * found.dxf.radius == pytest.approx(h.d[0, 0], abs=NEAR)


def test_hole_distances_are_the_vectors_own_lengths(drive: Drive) -> None:
    """Arms and links by the drive's values, not by the pieces: another way to the same numbers."""
    cols = {k: float(v[0, 0]) for k, v in drive.detail.drive.columns.items()}
    apart = {
        key: sorted(
            (b.at - a.at).length for a, b in product(part.blank.bores, repeat=2) if a is not b
        )
        for part in drive.parts
        if part.blank is not None
        for key in part.keys
    }
    floats = drive.build.architecture.endswith("+chain")
    if drive.build.architecture.startswith("linked_lever"):
        assert apart["exit link plate"][0] == pytest.approx(cols["exit_link_mm"], abs=NEAR)
        arms = [cols["input_arm_mm"], cols["output_arm_mm"]]
        for arm in arms:
            assert min(abs(x - arm) for x in apart["rocker plate"]) < NEAR
        span = cols["lever_arm_a_mm"] + cols["lever_arm_b_mm"]
        assert apart["first lever plate"][-1] == pytest.approx(span, abs=NEAR)
        side = hypot(cols["lever_arm_a_mm"], cols["lever_offset_mm"])
        assert min(abs(x - side) for x in apart["first lever plate"]) < NEAR
    elif not floats:
        for k, c in enumerate(drive.detail.drive.carriers):
            span = float(c.body.l_a[0, 0] + c.body.l_b[0, 0])
            assert apart[f"carrier {'ab'[k]} plate"][-1] == pytest.approx(span, abs=NEAR)
    if "cage_pin_radius_mm" in cols:
        circle = cols["cage_pin_radius_mm"]
        plate = next(p for p in drive.parts if "cage plate b" in p.keys)
        radii = [b.at.length for b in plate.blank.bores]
        assert min(abs(r - circle) for r in radii) < NEAR


def test_a_bent_plates_third_hole_lies_at_the_end_of_its_other_arm(drive: Drive) -> None:
    """The plan's two stadiums and the drawing's three holes are made by different formulas."""
    pieces = {p.key: p for p in drive.detail.pieces}
    arms = [p for p in pieces.values() if p.outline_only and p.what == "plate"]
    assert bool(arms) == pinned_plates(drive)
    for arm in arms:
        p = pieces[arm.key.removesuffix(" arm")]
        s, t = p.shape, arm.shape
        ax, ay = (float((s.qx - s.px)[0, 0]), float((s.qy - s.py)[0, 0]))
        bx, by = (float((t.qx - t.px)[0, 0]), float((t.qy - t.py)[0, 0]))
        r = hypot(ax, ay)
        along, across = (ax * bx + ay * by) / r, (ax * by - ay * bx) / r
        assert p.holes[2].x[0, 0] == pytest.approx(along, abs=1e-9)
        assert p.holes[2].y[0, 0] == pytest.approx(across, abs=1e-9)


def test_each_svg_is_in_millimetres_with_a_bar_of_exactly_a_hundred(drive: Drive) -> None:
    for _, drawing in drawn(drive):
        root = parse(svg_text(drawing))
        box = [float(v) for v in root.get("viewBox").split()]
        assert root.get("width") == f"{box[2]:g}mm" or float(root.get("width")[:-2]) == box[2]
        assert float(root.get("height").removesuffix("mm")) == box[3]
        bar = root.find(f".//{{{SVG}}}line[@class='bar']")
        assert float(bar.get("x2")) - float(bar.get("x1")) == BAR == 100.0
        holes = root.findall(f".//{{{SVG}}}circle[@class='hole']")
        assert len(holes) == len(drawing.blank.bores)
        for a, b in zip(holes[1:], drawing.blank.bores[1:], strict=True):
            dx = float(a.get("cx")) - float(holes[0].get("cx"))
            dy = float(a.get("cy")) - float(holes[0].get("cy"))
            first = drawing.blank.bores[0].at
            assert dx == pytest.approx(b.at.x - first.x, abs=NEAR)
            assert -dy == pytest.approx(b.at.y - first.y, abs=NEAR)
        path = root.find(f".//{{{SVG}}}path[@class='outline']").get("d")
        assert set(re.findall("[A-Za-z]", path)) <= set("MLAZ")
        assert "A" in path


def test_nothing_on_a_drawing_leaves_its_sheet(drive: Drive) -> None:
    for part, drawing in drawn(drive):
        root = parse(svg_text(drawing))
        _, _, width, height = (float(v) for v in root.get("viewBox").split())
        span = drawing.high.x - drawing.low.x, drawing.high.y - drawing.low.y
        assert span[0] <= width, part.number
        assert span[1] <= height, part.number
        for t in root.iter(f"{{{SVG}}}text"):
            assert 0.0 <= float(t.get("x")) <= width
            assert 0.0 <= float(t.get("y")) <= height


def test_hostile_names_stay_words(drive: Drive) -> None:
    part = next(p for p in drive.parts if p.blank is not None)
    drawing = drawing_of(replace(part, name=HOSTILE, material=HOSTILE), HOSTILE, "abc123", "left")
    root = parse(svg_text(drawing))
    assert not list(root.iter(f"{{{SVG}}}script"))
    assert any("<script>alert(1)</script>" in (t.text or "") for t in root.iter(f"{{{SVG}}}text"))
    doc = read(dxf_text(drawing))
    assert not doc.audit().errors
    said = [t.dxf.text for t in doc.modelspace().query("TEXT")]
    assert not any("%%" in s or "\\" in s for s in said)


def test_left_and_right_are_mirror_images(drive: Drive) -> None:
    left, right = parts_of(drive.detail, left=True), parts_of(drive.detail, left=False)
    assert [p.number for p in left] == [p.number for p in right]
    handed = 0
    for a, b in zip(left, right, strict=True):
        if a.blank is None:
            continue
        assert a.handed == b.handed
        handed += a.handed
        for p, q in zip(a.blank.bores, b.blank.bores, strict=True):
            assert (p.at.x, p.at.y, p.d, p.fit) == (q.at.x, -q.at.y, q.d, q.fit)
        assert a.blank.area == pytest.approx(b.blank.area, rel=1e-12)
    assert bool(handed) == pinned_plates(drive)


def places(text: str, kind: str) -> list[tuple[float, ...]]:
    """Numbers of the paths of one kind of piece."""
    root = parse(text)
    found = root.findall(f".//{{{SVG}}}path[@class='{kind}']")
    return [tuple(float(v) for v in re.findall(r"-?[\d.]+", f.get("d"))) for f in found]


def test_the_plan_of_a_left_hand_is_the_right_hands_mirrored_in_x(drive: Drive) -> None:
    """Middles of the pins: the same heights, and mirrored in x about one line."""
    brief = drive.study.brief
    both = []
    for side in ("left", "right"):
        text = plan_svg(drive.detail.pieces, drive.parts, replace(brief, side=side), "plan")
        rows = places(text, "plate")
        both.append([(min(r[0::1]), r) for r in rows])
    assert len(both[0]) == len(both[1]) > 0
    left = [middle(r) for _, r in both[0]]
    right = [middle(r) for _, r in both[1]]
    sums = [a[0] + b[0] for a, b in zip(left, right, strict=True)]
    assert max(sums) - min(sums) < 1e-3
    assert [a[1] for a in left] == pytest.approx([b[1] for b in right], abs=1e-3)


def middle(numbers: tuple[float, ...]) -> tuple[float, float]:
    """Middle of a stadium's path: M x y, then A r r 0 large sweep x y and L x y."""
    ends = [numbers[0:2]]
    rest = list(numbers[2:])
    while rest:
        if rest[2:3] == [0.0] and len(rest) >= 7 and rest[3] in (0.0, 1.0) and rest[4] == 0.0:
            ends.append(tuple(rest[5:7]))
            rest = rest[7:]
        else:
            ends.append(tuple(rest[0:2]))
            rest = rest[2:]
    ends = list(dict.fromkeys(ends))
    return (sum(e[0] for e in ends) / len(ends), sum(e[1] for e in ends) / len(ends))
