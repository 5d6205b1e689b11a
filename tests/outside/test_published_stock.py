"""Lines of the stock that ships against the printed tables that they are said to follow."""

from __future__ import annotations

from typing import Any

import pytest

from tests.outside.published import Row, check_row, params
from tests.outside.test_default_stock import DIN_6799, METALS, RAW

RING_MAKER = "DIN 6799 table at a ring maker's page, thickness of the ring"
RING_IDS = {
    1.2: "7.17",
    1.5: "7.18",
    1.9: "7.19",
    2.3: "7.20",
    3.2: "7.21",
    4.0: "7.22",
    5.0: "7.23",
}
LBF = 4.4482216


def line(kind: str, key: str, value: object) -> dict[str, Any]:
    """The one line of the stock file with this value."""
    found = [x for x in RAW[kind] if x[key] == value]
    return dict(found[0])


def metal(name: str) -> tuple[float, ...]:
    found = line("metal", "name", name)
    return found["yield_MPa"], found["ultimate_MPa"], found["g_per_mm3"], found["modulus_MPa"]


CHAIN_25 = "6.35 (04C size, memory)"
CHAINS = [
    Row(
        "4.01",
        "ASME B29.1 table, chain 25: 780 lbf; the stock follows ISO's 3.5 kN",
        lambda: line("chain", "name", CHAIN_25)["min_tensile_N"] / 1000,
        780 * LBF / 1000,
        0.012,
        what="least tensile strength of the stock's 6.35 chain, kN",
    ),
    Row(
        "4.06",
        "ASME B29.1 table, chain 25: pin 0.0905 in",
        lambda: line("chain", "name", CHAIN_25)["pin_mm"],
        0.0905 * 25.4,
        0.01,
        what="pin of the stock's 6.35 chain, mm",
    ),
    Row(
        "4.10",
        "DIN 8187/8180 catalogue table, chain 03B: breaking load 2200 N",
        lambda: line("chain", "name", "5.0 (03B size, memory)")["min_tensile_N"] / 1000,
        2.2,
        0,
    ),
    Row(
        "4.15",
        "ISO 606, chain 03B-1: least tensile strength",
        lambda: line("chain", "name", "5.0 (03B size, memory)")["min_tensile_N"] / 1000,
        2.2,
        0,
        memory=True,
    ),
    Row(
        "4.21",
        "chain 04C of a maker's table, largest pin",
        lambda: line("chain", "name", CHAIN_25)["pin_mm"],
        2.31,
        0.01,
        memory=True,
    ),
]
RINGS = [
    Row(
        RING_IDS[groove],
        RING_MAKER,
        lambda groove=groove: line("ring", "groove_mm", groove)["thickness_mm"],
        DIN_6799[groove][2],
        0,
        what=f"thickness of the stock's ring for a groove of {groove:g}, mm",
    )
    for groove in DIN_6799
]
METAL_ROWS = [
    Row(
        "9.05",
        "Mott, Machine Elements, appendix 11, least values of Ti-6Al-4V, annealed",
        lambda: metal("Ti 6-4"),
        METALS["Ti 6-4"],
        2e-3,
        what="yield, ultimate, density, modulus of the stock's Ti 6-4: MPa, MPa, g/mm3, MPa",
    ),
    Row(
        "9.06",
        "Mott, Machine Elements, appendix 9, 7075-T6; density and modulus from datasheets",
        lambda: metal("7075"),
        METALS["7075"],
        2e-3,
        what="yield, ultimate, density, modulus of the stock's 7075: MPa, MPa, g/mm3, MPa",
    ),
]


@pytest.mark.parametrize("row", params([*CHAINS, *RINGS, *METAL_ROWS]))
def test_the_stock_follows_its_tables(row: Row) -> None:
    check_row(row)
