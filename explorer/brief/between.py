"""What must agree between the values of a brief: names, orders, sums.  One small rule, one function."""

from __future__ import annotations

from typing import TYPE_CHECKING

from explorer.brief.between_grips import grip_problems
from explorer.brief.between_hand import joint_problems, selector_problems
from explorer.brief.explain import nearest
from explorer.brief.schema_brief import AIM_NAMES, SPREADS, BriefTable
from explorer.brief.tell import Teller, repeated
from explorer.brief.units import plain, slip

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from explorer.brief.errors import Problem
    from explorer.brief.parse import Parsed
    from explorer.brief.schema_brief import FingerTable, WristTable
    from explorer.brief.schema_stock import StockTable
    from explorer.brief.toml_lines import Loc

# Share of the most that harness users can repeat all day without tiring: Hichert, Vardy,
# Plettenburg 2018, Prosthet Orthot Int 42(1) 84-92.
FATIGUE_FREE_SHARE = 0.20


def disagreements(
    brief: BriefTable, parsed: Parsed, stock: StockTable | None, unread: Collection[str] = ()
) -> list[Problem]:
    """Every error and warning between values, leaving alone the sections that could not be read."""
    tell = Teller(parsed)
    names = [f.name for f in brief.finger]
    if len(set(names)) < len(names):
        unread = {*unread, "grip"}  # who is meant cannot be told
    rules: list[tuple[tuple[str, ...], Iterator[Problem]]] = [
        (("wrist",), _wrist(brief.wrist, tell)),
        (("finger",), _fingers(brief.finger, tell)),
        (("finger",), repeated(names, ("finger",), tell)),
        (("finger", "single_finger"), _single(brief, tell)),
        (("grip",), repeated([g.name for g in brief.grip], ("grip",), tell)),
        (("grip", "finger", "post", "strength"), grip_problems(brief, tell)),
        (("post",), _posts(brief, tell)),
        (("cavity",), _boxes(brief, tell, stock)),
        (("cavity",), _keepout_names(brief, tell)),
        (("selector", "grip"), selector_problems(brief, tell)),
        (("wrist_joint",), joint_problems(brief, stock, tell)),
        (("aim",), _aims(brief, tell)),
        (("spread",), _spreads(brief, tell)),
        (("wear",), _wear_metals(brief, stock, tell)),
    ]
    return [
        problem for needs, rule in rules if not any(s in unread for s in needs) for problem in rule
    ]


def _keepout_names(brief: BriefTable, tell: Teller) -> Iterator[Problem]:
    yield from repeated([k.name for k in brief.cavity.keepout], ("cavity", "keepout"), tell)


def _wrist(wrist: WristTable, tell: Teller) -> Iterator[Problem]:
    levels = ("often", "comfortable", "peak")
    torques = [getattr(wrist, f"torque_{w}_Nm") for w in levels]
    pulls = [getattr(wrist, f"pull_{w}_N") for w in levels]
    if all(t is not None for t in torques) == all(p is not None for p in pulls) or (
        any(t is not None for t in torques) and any(p is not None for p in pulls)
    ):
        yield tell.wrong(
            ("wrist",),
            None,
            "needs three torques, or three pulls by spring scale, not a mixture.",
            allowed="torque_often_Nm, torque_comfortable_Nm, torque_peak_Nm or pull_often_N, ...",
            mend="Write the missing ones, or take the others out.",
        )
        return
    by_torque = torques[0] is not None
    values = torques if by_torque else pulls
    keys = [f"torque_{w}_Nm" if by_torque else f"pull_{w}_N" for w in levels]
    yield from _rising_effort(values, keys, tell)
    yield from _stroke(wrist, tell)
    yield from _torque_angles(wrist, tell)


def _rising_effort(values: list[float], keys: list[str], tell: Teller) -> Iterator[Problem]:
    for low, high, low_key, high_key in zip(values, values[1:], keys, keys[1:], strict=False):
        if low > high:
            yield tell.wrong(
                ("wrist", low_key),
                low,
                f"is more than {high_key} ({plain(high)}).",
                allowed="often at most comfortable, comfortable at most peak",
                mend="Are two of them exchanged?",
            )
    share = values[0] / values[2]
    if share > FATIGUE_FREE_SHARE * (1.0 + 1e-9):
        yield tell.advice(
            ("wrist", keys[0]),
            f"often is {share:.0%} of peak; what is repeated all day is usually kept under 20 %.".replace(
                "%", " %", 1
            ),
        )


def _stroke(wrist: WristTable, tell: Teller) -> Iterator[Problem]:
    stroke = wrist.arm_mm * wrist.travel_deg * 0.017453292519943295
    if wrist.lost_motion_mm >= stroke:
        yield tell.wrong(
            ("wrist", "lost_motion_mm"),
            wrist.lost_motion_mm,
            "takes up the whole stroke.",
            allowed=f"less than arm x travel = {plain(stroke)} mm",
            mend="Look at arm_mm and travel_deg.",
        )


def _torque_angles(wrist: WristTable, tell: Teller) -> Iterator[Problem]:
    angles = [t.angle_deg for t in wrist.torque_at]
    for index, angle in enumerate(angles):
        if angle > wrist.travel_deg or (index and angle <= angles[index - 1]):
            yield tell.wrong(
                ("wrist", "torque_at", index, "angle_deg"),
                angle,
                "is out of order or past the travel.",
                allowed=f"rising angles from 0 to travel_deg ({plain(wrist.travel_deg)})",
                mend="Sort them, counted from the start of the travel.",
            )
    if len(angles) == 1:
        yield tell.wrong(
            ("wrist", "torque_at"),
            None,
            "one angle says nothing of how the torque changes.",
            allowed="none, or 2 to 9",
            mend="Add another angle, or take it out.",
        )


def _fingers(fingers: Sequence[FingerTable], tell: Teller) -> Iterator[Problem]:
    for index, f in enumerate(fingers):
        if index and f.knuckle_x_mm <= fingers[index - 1].knuckle_x_mm:
            yield tell.wrong(
                ("finger", index, "knuckle_x_mm"),
                f.knuckle_x_mm,
                f"is not past that of {fingers[index - 1].name}.",
                allowed="x rising from index to little, on either hand",
                mend="List the index side first; give each finger its own knuckle_x_mm.",
            )
        yield from _finger(index, f, tell)


def _finger(index: int, f: FingerTable, tell: Teller) -> Iterator[Problem]:
    if f.q1_max_deg <= f.q1_rest_deg:
        yield tell.wrong(
            ("finger", index, "q1_max_deg"),
            f.q1_max_deg,
            "the closed stop is not past the open rest.",
            allowed=f"more than q1_rest_deg ({plain(f.q1_rest_deg)})",
            mend="Are the two exchanged?",
        )
    pad_to = f.L2_mm if f.pad_to_mm is None else f.pad_to_mm
    if not f.pad_from_mm <= f.pad_distance_mm <= pad_to <= f.L2_mm:
        yield tell.wrong(
            ("finger", index, "pad_distance_mm"),
            f.pad_distance_mm,
            f"pad from {plain(f.pad_from_mm)} to {plain(pad_to)}, bone {plain(f.L2_mm)}: no order.",
            allowed="pad_from_mm, pad_distance_mm, pad_to_mm, L2_mm rising",
            mend="All four are measured from the middle joint.",
        )
    if (f.drive.kind == "crank") != (f.drive.psi_deg is not None):
        crank = f.drive.kind == "crank"
        yield tell.wrong(
            ("finger", index, "drive"),
            None,
            "a crank needs psi_deg." if crank else "a sector has no psi_deg.",
            allowed="psi_deg with a crank only",
            mend="Add psi_deg = ..." if crank else "Take psi_deg out.",
        )


def _posts(brief: BriefTable, tell: Teller) -> Iterator[Problem]:
    for name, post in brief.post.items():
        size = (post.facing[0] ** 2 + post.facing[1] ** 2) ** 0.5
        if not 0.9 <= size <= 1.1:
            yield tell.wrong(
                ("post", name, "facing"),
                None,
                f"is a direction of length {plain(size)}.",
                allowed="length 1, as in [0.0, -1.0]",
                mend="Divide both numbers by their length.",
            )


def _boxes(brief: BriefTable, tell: Teller, stock: StockTable | None) -> Iterator[Problem]:
    places: list[Loc] = [("cavity",)]
    places += [("cavity", "keepout", n) for n in range(len(brief.cavity.keepout))]
    for loc, box in zip(places, [brief.cavity, *brief.cavity.keepout], strict=True):
        for key in ("x_mm", "y_mm", "z_mm"):
            low, high = getattr(box, key)
            if low >= high:
                yield tell.wrong(
                    (*loc, key),
                    None,
                    f"runs from {plain(low)} to {plain(high)}.",
                    allowed="from less to more",
                    mend="Exchange the two.",
                )
    yield from _cavity_sizes(brief, tell, stock)


def _cavity_sizes(brief: BriefTable, tell: Teller, stock: StockTable | None) -> Iterator[Problem]:
    c = brief.cavity
    chains = [line.overall_width_mm for line in stock.chain] if stock else []
    thinnest = min(chains, default=3.0)
    what = f"your thinnest chain ({plain(thinnest)})" if chains else "any pin with its heads"
    for word, key, least in (
        ("width", "x_mm", 15.0),
        ("length", "y_mm", 15.0),
        ("height", "z_mm", thinnest),
    ):
        low, high = getattr(c, key)
        size = high - low
        if 0.0 < size < least:
            reason = f"is smaller than {what}" if key == "z_mm" else "is less than any drive needs"
            yield tell.wrong(
                ("cavity", key),
                None,
                f"cavity {word} {plain(size)} mm {reason}.",
                allowed=f"at least {plain(least)} mm",
                mend=slip("mm", size, max(least, 10.0), 200.0),
            )


def _aims(brief: BriefTable, tell: Teller) -> Iterator[Problem]:
    names = [a.name for a in brief.aim]
    for index, name in enumerate(names):
        if name not in AIM_NAMES:
            yield tell.wrong(
                ("aim", index, "name"),
                name,
                "is no aim.",
                allowed=", ".join(AIM_NAMES),
                mend=nearest(name, AIM_NAMES) or "Take one of them.",
            )
    yield from repeated(names, ("aim",), tell)


def _spreads(brief: BriefTable, tell: Teller) -> Iterator[Problem]:
    keys = [s.key for s in brief.spread]
    for index, key in enumerate(keys):
        if key not in SPREADS:
            yield tell.wrong(
                ("spread", index, "key"),
                key,
                "cannot be doubted.",
                allowed=", ".join(SPREADS),
                mend=nearest(key, list(SPREADS)) or "Take one of them.",
            )
        if key in keys[:index]:
            yield tell.wrong(("spread", index, "key"), key, "is there twice.", mend="Take one out.")


def _single(brief: BriefTable, tell: Teller) -> Iterator[Problem]:
    if brief.single_finger != "search" and len(brief.finger) != 3:
        yield tell.wrong(
            ("single_finger",),
            brief.single_finger,
            f"means something for three fingers only; here are {len(brief.finger)}.",
            allowed='"search"',
            mend="Take it out.",
        )


def _wear_metals(brief: BriefTable, stock: StockTable | None, tell: Teller) -> Iterator[Problem]:
    if stock is None:
        return
    used = {p.metal for p in stock.plate}
    for metal in stock.metal:
        if metal.name in used and metal.name not in brief.wear.bare_mm2_per_N:
            yield tell.wrong(
                ("wear", "bare_mm2_per_N"),
                None,
                f'says nothing of "{metal.name}", which the stock has plates of.',
                allowed="one number for each metal",
                mend=f'Add a line under [wear.bare_mm2_per_N]: "{metal.name}" = ...',
            )
