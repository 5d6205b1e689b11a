"""The sketch of the brief: to scale, mirrored for a left hand, safe with any name."""

from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from explorer.brief.demand_build import build_demand
from explorer.brief.records import Brief, Side
from explorer.brief.sketch import hand_sketch
from tests.factories import make_brief, make_cavity

SVG = "{http://www.w3.org/2000/svg}"


def drawn(brief: Brief) -> ET.Element:
    return ET.fromstring(hand_sketch(brief, build_demand(brief)))  # noqa: S314 - our own


def number(element: ET.Element, key: str) -> float:
    return float(element.attrib[key])


def place_of(svg: ET.Element, words: str) -> float:
    return next(number(t, "x") for t in svg.iter(f"{SVG}text") if t.text == words)


@pytest.mark.parametrize("n", [2, 3, 4])
def test_lengths_on_the_sheet_are_those_of_the_brief(n: int) -> None:
    brief = make_brief(n)
    svg = drawn(brief)
    radii = {number(c, "r") for c in svg.iter(f"{SVG}circle")}
    assert {14.0, 36.0} <= radii  # the 28 mm handle and the 72 mm apple
    boxes = [r for r in svg.iter(f"{SVG}rect") if r.attrib.get("stroke")]
    assert [(number(b, "width"), number(b, "height")) for b in boxes] == [(84.0, 88.0)]
    width, height = (float(x) for x in svg.attrib["viewBox"].split()[2:])
    assert svg.attrib["width"] == f"{width:g}mm"
    assert svg.attrib["height"] == f"{height:g}mm"


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_left_palm_is_the_mirror_image(side: Side) -> None:
    svg = drawn(replace(make_brief(), side=side))
    index_is_left_on_the_sheet = place_of(svg, "index") < place_of(svg, "little")
    assert index_is_left_on_the_sheet is (side == "right")


def test_everything_lies_on_the_sheet() -> None:
    svg = drawn(make_brief())
    width, height = (float(x) for x in svg.attrib["viewBox"].split()[2:])
    for line in svg.iter(f"{SVG}polyline"):
        for point in line.attrib["points"].split():
            x, y = (float(v) for v in point.split(","))
            assert 0.0 <= x <= width
            assert 0.0 <= y <= height
    for text in svg.iter(f"{SVG}text"):
        assert 0.0 <= number(text, "y") <= height


def test_every_grip_that_is_on_has_its_view() -> None:
    brief = make_brief()
    off = replace(brief.grips[1], on=False)
    brief = replace(brief, grips=(brief.grips[0], off, *brief.grips[2:]))
    words = {t.text for t in drawn(brief).iter(f"{SVG}text")}
    assert {"lopper handle", "twine", "pruning knife", "fruit crate", "pail"} <= words
    assert "apple" not in words


def test_a_hand_without_keepouts_or_grips_is_still_drawn() -> None:
    brief = make_brief(cavity=replace(make_cavity(), keepouts=()), grips=())
    assert "No keep-outs." in {t.text for t in drawn(brief).iter(f"{SVG}text")}


def test_a_name_stays_a_name() -> None:
    name = '<script>alert(1)</script> & "friends"'
    svg = drawn(make_brief(name=name))
    assert not list(svg.iter(f"{SVG}script"))
    assert name in {t.text for t in svg.iter(f"{SVG}text")}
