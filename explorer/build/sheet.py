"""The build sheet: A4, two sides, black on white.  Front: make.  Back: prove, off the hand."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import tostring

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from explorer.build.chains import Chain
from explorer.build.fits import Joint
from explorer.build.next_study import Described
from explorer.build.parts import Part
from explorer.build.plan import plan_sheet
from explorer.build.prove import Bench, bench_of, care_of, sizes_to_hold
from explorer.build.sizes import mm
from explorer.build.steps import entry_side, steps_of, warnings_of
from explorer.drives.checks import CheckName
from explorer.mechanics.types import Floats
from explorer.scoring.score import Detail

CAUTIONS = (
    "A design aid: prove this drive off the hand, on the bench, before anybody wears it.",
    "Local rules for medical devices and for custom-made ones apply to what you make.",
    "Fit and use belong to a licensed prosthetist and a hand therapist.",
    "Left out: impact beyond the overload factor, elasticity, most out-of-plane effects, corrosion.",
)
TICKS = (
    "moves by hand, no stick",
    "every stop reached",
    "neighbours at opposite ends",
    "no rub, watch mount on",
    "rings seated",
    "edges broken",
    "weak part as listed",
)
OF_CHAINS = ("chain slack in limits",)
CARE_ROWS = 6
_SEEN = {
    "pin": "the pin bends or marks; the joint grows loose; a ring leaves its groove",
    "bearing": "the hole grows long; the joint grows loose",
    "eye": "the eye stretches or cracks beside its hole",
    "bending": "the plate stays bent and its tip rubs",
    "drive pins": "the two parts turn against each other; pins show shiny edges",
    "chain": "a link opens or parts at a pin",
    "shaft": "the shaft runs out of true",
    "tooth": "a tooth chips; the turn is felt in steps",
    "strut": "the input rod bows sideways",
}


def sheet_html(
    d: Detail,
    X: Floats,
    drive: Described,
    parts: Sequence[Part],
    joints: Sequence[Joint],
    chains: Sequence[Chain],
) -> str:
    """The whole page."""
    brief = d.space.shelf.brief
    bench = bench_of(d)
    plan = plan_sheet(d.pieces, parts, brief, f"{drive.name}: assembly", to_scale=False)
    view_box = plan.get("viewBox", "0 0 100 100").split()
    plan.attrib.pop("width")
    plan.attrib.pop("height")
    rows = len(parts) + len(joints) + len(chains)
    e = d.envelope.box
    size = " x ".join(mm(float(b[0] - a[0])) for a, b in ((e.x0, e.x1), (e.y0, e.y1), (e.z0, e.z1)))
    return _page().render(
        drive=drive,
        side=brief.side,
        letter={"left": "L", "right": "R"}[brief.side],
        invented=brief.invented,
        size=size,
        plan=Markup(tostring(plan, encoding="unicode")),  # noqa: S704 - an element tree, escaped by it
        plan_ratio=float(view_box[2]) / float(view_box[3]),
        parts=parts,
        joints=joints,
        chains=chains,
        crowded=rows > 30,
        steps=steps_of(d, parts, joints, chains),
        warnings=warnings_of(parts, chains, brief.side),
        sizes=sizes_to_hold(d, X),
        bench=bench,
        overload=brief.strength.overload,
        seen=_seen(d, bench),
        lost=float(d.play[0]),
        ticks=(*TICKS, *(OF_CHAINS if chains else ())),
        care=care_of(d, CARE_ROWS),
        cautions=CAUTIONS,
        entry=entry_side(d),
        pieces=sum(p.count for p in parts),
        mass=float(d.tally.mass[0]),
        mm=mm,
        zip=zip,
    )


def _page() -> Template:
    loader = PackageLoader("explorer.build")
    env = Environment(
        loader=loader,
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return env.get_template("sheet.html")


def _seen(d: Detail, bench: Bench) -> str:
    """What one would see when the weakest part begins to give."""
    if bench.first is None:
        return ""
    name: CheckName = next(
        c for c in d.checks.names if c.key == bench.first.key and c.way == bench.first.way
    )
    return _SEEN.get(name.group, "")
