"""Every wrong value gets exit code 2, its file, line, key path, what is allowed and how to mend it."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import pytest

if TYPE_CHECKING:
    from tests.brief.conftest import Bench


class Slip(NamedTuple):
    """What is typed instead of what, and what the one message about it has to say."""

    old: str
    new: str
    path: str
    says: tuple[str, ...]
    file: str = "brief.toml"
    near_miss: str | None = None  # a value just inside, which must pass


ARM = "arm_mm = 25.0"
SLIPS = {
    "nan": Slip(ARM, "arm_mm = nan", "wrist.arm_mm", ("must be finite", "a finite number")),
    "inf": Slip(ARM, "arm_mm = inf", "wrist.arm_mm", ("must be finite",)),
    "minus inf": Slip(ARM, "arm_mm = -inf", "wrist.arm_mm", ("must be finite",)),
    "1e999": Slip(ARM, "arm_mm = 1e999", "wrist.arm_mm", ("must be finite",)),
    "minus zero length": Slip(ARM, "arm_mm = -0.0", "wrist.arm_mm", ("5 to 120 mm",)),
    "zero arm": Slip(
        ARM, "arm_mm = 0", "wrist.arm_mm", ("5 to 120 mm", "too small"), near_miss="arm_mm = 20"
    ),
    "negative length": Slip(ARM, "arm_mm = -25.0", "wrist.arm_mm", ("must not be negative",)),
    "negative torque": Slip(
        "torque_peak_Nm = 7.0", "torque_peak_Nm = -7.0", "wrist.torque_peak_Nm", ("negative",)
    ),
    "negative friction": Slip(
        "bushed = 0.10",
        "bushed = -0.10",
        "friction.bushed",
        ("negative", "0 to 1"),
        near_miss="bushed = 0.0",
    ),
    "friction 5": Slip(
        "bushed = 0.10", "bushed = 5", "friction.bushed", ("0 to 1",), near_miss="bushed = 1"
    ),
    "efficiency over 1": Slip(
        "efficiency = 0.95",
        "efficiency = 1.01",
        "finger.index.efficiency",
        ("more than 0 up to 1",),
        near_miss="efficiency = 1.0",
    ),
    "share over 1": Slip(
        "drive_pins_sharing = 0.5", "drive_pins_sharing = 1.5", "strength.drive_pins_sharing", ()
    ),
    "true for a number": Slip(
        ARM, "arm_mm = true", "wrist.arm_mm", ("true or false, not a number", "5 to 120 mm")
    ),
    "number in quotes": Slip(
        ARM, 'arm_mm = "25.0"', "wrist.arm_mm", ("Take the quotes away: 25.0",)
    ),
    "comma in quotes": Slip(ARM, 'arm_mm = "25,4"', "wrist.arm_mm", ("25.4",)),
    "other digits": Slip(ARM, 'arm_mm = "\uff12\uff15"', "wrist.arm_mm", ("text, not a number",)),
    "digits in a date": Slip(ARM, "arm_mm = 1979-05-27", "wrist.arm_mm", ("wrong kind",)),
    "huge whole number": Slip(
        ARM, f"arm_mm = 0x{'f' * 3000}", "wrist.arm_mm", ("far too large", "12000 bits")
    ),
    "metres": Slip(ARM, "arm_mm = 0.025", "wrist.arm_mm", ("Metres? (25)",)),
    "centimetres": Slip(ARM, "arm_mm = 2.5", "wrist.arm_mm", ("Centimetres? (25)",)),
    "N mm": Slip(
        "torque_peak_Nm = 7.0", "torque_peak_Nm = 7000", "wrist.torque_peak_Nm", ("N·mm? (7)",)
    ),
    "radians": Slip(
        "travel_deg = 62.0", "travel_deg = 1.0821", "wrist.travel_deg", ("Radians? (62",)
    ),
    "400 deg": Slip(
        "q1_max_deg = 85.0", "q1_max_deg = 400", "finger.index.q1_max_deg", ("10 to 130 deg",)
    ),
    "tilt limit 90": Slip(
        "largest_tilt_deg = 35.0",
        "largest_tilt_deg = 90",
        "limits.largest_tilt_deg",
        ("5 to 75 deg",),
        near_miss="largest_tilt_deg = 75",
    ),
    "cavity 3.8 mm high": Slip(
        "z_mm = [0.0, 30.0] # mm, from and to: the height",
        "z_mm = [0.0, 3.8]",
        "cavity.z_mm",
        ("cavity height 3.8 mm is smaller than your thinnest chain (5.2)", "Centimetres? (38)"),
    ),
    "low over high": Slip("x_mm = [-42.0, 42.0]", "x_mm = [42.0, -42.0]", "cavity.x_mm", ("from",)),
    "low is high": Slip("x_mm = [-42.0, 42.0]", "x_mm = [42.0, 42.0]", "cavity.x_mm", ("from",)),
    "three limits": Slip(
        "x_mm = [-42.0, 42.0]", "x_mm = [-42.0, 0.0, 42.0]", "cavity.x_mm", ("exactly 2",)
    ),
    "unknown key": Slip(
        "grips_per_day = 400", "grips_pr_day = 400", "use.grips_pr_day", ("grips_per_day",)
    ),
    "unknown section": Slip("[friction]", "[frictoin]", "frictoin", ('"friction"',)),
    "unknown side": Slip('side = "left"', 'side = "lfet"', "side", ('Did you mean "left"?',)),
    "later version": Slip("schema = 1", "schema = 2", "schema", ("version",)),
    "no version": Slip("schema = 1\n", "\n", "schema", ("is missing",)),
    "missing value": Slip("travel_deg = 62.0", "", "wrist.travel_deg", ("is missing", "deg = ")),
    "no such finger": Slip(
        'engaged = ["index", "middle"]\nparked',
        'engaged = ["index", "middel"]\nparked',
        "grip.card.engaged[2]",
        ('Did you mean "middle"?', "index, middle, ring, little"),
    ),
    "no finger engaged": Slip(
        'engaged = ["index", "middle"]\nparked',
        'engaged = []\nfree = ["index", "middle"]\nparked',
        "grip.card.engaged",
        ("at least one",),
    ),
    "finger not named": Slip(
        'parked_closed = ["ring", "little"]',
        'parked_closed = ["ring"]',
        "grip.card",
        ("little is not named",),
    ),
    "finger named twice": Slip(
        'parked_closed = ["ring", "little"]',
        'parked_closed = ["ring", "little", "index"]',
        "grip.card",
        ("index is named 2 times",),
    ),
    "no such post": Slip('post = "thumb"', 'post = "thumbb"', "grip.card.post", ('"thumb"',)),
    "powered without a width": Slip(
        "width_mm = 28.0", "", "grip.handle.width_mm", ("is missing", "width_mm = ")
    ),
    "carry with a width": Slip(
        "carry_kg = 10.0", "carry_kg = 10.0\nwidth_mm = 20.0", "grip.bag.width_mm", ("no meaning",)
    ),
    "carry without a load": Slip("carry_kg = 10.0", "", "grip.bag", ("carry_kg or carry_N",)),
    "wished list too short": Slip(
        "need_N = 36.0", "need_N = 36.0\nwished = [0.5, 0.5]", "grip.handle.wished", ("4 shares",)
    ),
    "every grip one name": Slip('name = "bottle"', 'name = "handle"', "grip[2].name", ("twice",)),
    "two fingers one name": Slip(
        'name = "middle"\nsame_as', 'name = "index"\nsame_as', "finger[2].name", ("twice",)
    ),
    "same_as nobody": Slip(
        'same_as = "index" # as the index finger, but for:\nknuckle_x_mm = 30.0',
        'same_as = "indx"\nknuckle_x_mm = 30.0',
        "finger.little.same_as",
        ('Did you mean "index"?',),
    ),
    "fingers out of order": Slip(
        "knuckle_x_mm = 10.0", "knuckle_x_mm = -20.0", "finger.ring.knuckle_x_mm", ("x rising",)
    ),
    "stop before rest": Slip(
        "q1_rest_deg = 0.0", "q1_rest_deg = 88.0", "finger.index.q1_max_deg", ("q1_rest_deg",)
    ),
    "crank without psi": Slip(
        ", psi_deg = -40.0", "", "finger.little.drive", ("a crank needs psi_deg",)
    ),
    "pad past the tip": Slip(
        "pad_to_mm = 40.0", "pad_to_mm = 41.0", "finger.index.pad_distance_mm", ("rising",)
    ),
    "facing nowhere": Slip("facing = [0.0, -1.0]", "facing = [0.0, 0.0]", "post.palm.facing", ()),
    "often over comfortable": Slip(
        "torque_often_Nm = 1.3", "torque_often_Nm = 3.0", "wrist.torque_often_Nm", ("exchanged",)
    ),
    "torque and pull": Slip(
        "torque_often_Nm = 1.3", "pull_often_N = 52.0", "wrist", ("not a mixture",)
    ),
    "all travel lost": Slip(
        "travel_deg = 62.0 # deg of usable swing\narm_mm = 25.0",
        "travel_deg = 6.0\narm_mm = 10.0",
        "wrist.lost_motion_mm",
        ("the whole stroke",),
    ),
    "unknown aim": Slip('name = "pieces"', 'name = "peices"', "aim.peices.name", ('"pieces"',)),
    "repeated aim": Slip('name = "pieces"', 'name = "grip"', "aim[2].name", ("twice",)),
    "no such source": Slip(
        "\n[source]", '\n[source]\nwrist = "measurd"', "source.wrist", ("measured",)
    ),
    "source of nothing": Slip(
        "\n[source]", '\n[source]\nwirst = "measured"', "source.wirst", ("no number has this key",)
    ),
    "single finger of four": Slip(
        'side = "left"', 'side = "left"\nsingle_finger = "index side"', "single_finger", ("three",)
    ),
    "metal without wear": Slip(
        "[shop]\n",
        "[wear.bare_mm2_per_N]\nstainless = 4e-9\n7075 = 1e-8\n[shop]\n",
        "wear.bare_mm2_per_N",
        ('"Ti 6-4"',),
    ),
}
STOCK_SLIPS = {
    "stock: two of one name": Slip(
        "module_mm = 0.5", "module_mm = 0.4", "gear[2]", ("twice",), "stock.toml"
    ),
    "stock: no such metal": Slip(
        'metal = "stainless"', 'metal = "stainles"', "plate[1].metal", ('"stainless"',), "stock.toml"
    ),
    "stock: GPa": Slip(
        "yield_MPa = 500.0", "yield_MPa = 0.5", "metal.stainless.yield_MPa", ("GPa? (500)",),
        "stock.toml",
    ),
    "stock: kg per m3": Slip(
        "g_per_mm3 = 0.0079", "g_per_mm3 = 7900", "metal.stainless.g_per_mm3", ("0.0079",),
        "stock.toml",
    ),
    "stock: zero diameter": Slip(
        "d_mm = 1.5", "d_mm = 0.0", "pin[1].d_mm", ("0.5 to 25 mm",), "stock.toml"
    ),
    "stock: no size in inches": Slip(
        "d_mm = 1.5", 'd_in = "1/0"', "pin[1].d_in", ("inches",), "stock.toml"
    ),
    "stock: mm and inches": Slip(
        "d_mm = 1.5", 'd_mm = 1.5\nd_in = "1/16"', "pin[1].d_in", ("not both",), "stock.toml"
    ),
    "stock: bore over outside": Slip(
        "outside_mm = 2.5", "outside_mm = 1.5", "bush[1].outside_mm", ("more than 1.5",),
        "stock.toml",
    ),
    "stock: never had": Slip(
        'have = "own"\nprice', 'have = "owned"\nprice', "plate[1].have", ('"own"',), "stock.toml"
    ),
    "stock: unknown key": Slip(
        "plate_height_mm", "plate_hight_mm", "chain.fine 3.75 (invented).plate_hight_mm",
        ("plate_height_mm",), "stock.toml",
    ),
}  # fmt: skip
ALL = SLIPS | STOCK_SLIPS


@pytest.mark.parametrize("name", ALL)
def test_one_slip_one_message(bench: Bench, name: str) -> None:
    slip = ALL[name]
    line = bench.swap(slip.old, slip.new, slip.file)
    problem = bench.one_error()
    words = str(bench.refused())
    assert problem.path == slip.path
    assert problem.file == slip.file
    for part in slip.says:
        assert part in words
    assert problem.mend or problem.allowed
    assert len(problem.value) <= 60
    assert problem.line is None or abs(problem.line - line) <= 25


@pytest.mark.parametrize("name", [n for n, s in ALL.items() if s.near_miss])
def test_near_miss_still_passes(bench: Bench, name: str) -> None:
    slip = ALL[name]
    bench.swap(slip.old, str(slip.near_miss), slip.file)
    assert bench.read().brief.name == "made-up hand"


@pytest.mark.parametrize("name", ["nan", "metres", "true for a number", "radians", "friction 5"])
def test_the_line_is_the_line(bench: Bench, name: str) -> None:
    line = bench.swap(ALL[name].old, ALL[name].new)
    assert bench.one_error().line == line
    assert f"brief.toml line {line}  " in str(bench.refused())


def test_five_typical_slips_five_messages_at_most(bench: Bench) -> None:
    bench.swap("torque_peak_Nm = 7.0", "torque_peak_Nm = 7000")
    bench.swap("travel_deg = 62.0", "travel_deg = 1.08")
    bench.swap("z_mm = [0.0, 30.0] # mm, from and to: the height", "z_mm = [0.0, 3.8]")
    bench.swap("grips_per_day = 400", "grips_pr_day = 400")
    bench.swap('engaged = ["index", "middle"]\nparked', 'engaged = ["index", "middel"]\nparked')
    words = str(bench.refused()).splitlines()
    assert words[-1].startswith("5 errors")
    assert len(words) == 6
    for part in ("N·mm? (7)", "Radians?", "3.8 mm", "grips_per_day", '"middle"'):
        assert any(part in w for w in words)


def test_first_cause_first(bench: Bench) -> None:
    bench.swap('post = "thumb"', 'post = "thumbb"')
    bench.swap("width_mm = 28.0", "width_mm = 0.028")
    bench.swap("grips_per_day", "grips_pr_day")
    order = [p.path for p in bench.refused().problems]
    assert order.index("use.grips_pr_day") < order.index("grip.handle.width_mm")


def test_the_same_slip_four_times_is_one_line(bench: Bench) -> None:
    for length in ("43.0", "47.0", "44.0", "36.0"):
        bench.swap(f"L1_mm = {length}", f"L1_mm = {float(length) / 1000.0}")
    words = str(bench.refused()).splitlines()
    assert len(bench.refused().problems) == 4
    assert len(words) <= 5


def test_a_slip_in_the_first_finger_is_told_once(bench: Bench) -> None:
    line = bench.swap("q2_rest_deg = 15.0", "q2_rest_deg = 400.0")
    assert bench.one_error().line == line


def test_a_missing_section_is_named(bench: Bench) -> None:
    text = bench.text()
    bench.write(text[: text.index("[use]")] + text[text.index("[shop]") :])
    problem = bench.one_error()
    assert problem.path == "use"
    assert "[use]" in problem.mend


def test_one_aim_alone_is_fine(bench: Bench) -> None:
    text = bench.text()
    start, end = text.index('[[aim]]\nname = "pieces"'), text.index("# --- what you know better")
    bench.write(text[:start] + text[end:])
    assert [a.name for a in bench.read().brief.aims] == ["grip"]
