"""A drive of twice the size, for a hand of twice the size: lengths double, forces, angles and counts stay.

Every formula has to agree with its units for that.  Left out: running fits, which follow a table of
sizes, and the masses of toothed wheels, whose rollers do;
the limit of gears is the least of lengths and teeth.
"""

from __future__ import annotations

import numpy as np
import pytest

from explorer.drives.assemble import ARCHITECTURES
from tests.drives.lever_drives import all_arrays, work
from tests.drives.twice import doubled, space, twice, vectors
from tests.factories import make_brief, make_stock, make_wrist
from tests.outside.second.cases import USEFUL

# the last word of an array's name -> power of a millimetre
SAME = """load swing count minutes price sy sy_pin sy_fork sy_mid metal wear_k tensile modulus direction
half_angle stock_index teeth parity tilt transmission wrap pins ends end"""
DOUBLE = """moment d d_fork d_mid t t_fork t_mid wear_t gap edge w length pitch bearing_t x y px py qx qy cx
cy r r_hub x0 x1 y0 y1 z0 z1 thickness thin strand turned web hole depth pin_size"""
POWER = {**dict.fromkeys(SAME.split(), 0), **dict.fromkeys(DOUBLE.split(), 1), "mass": 3}
TOOTHED = ("chain wheel", "input wheel", "winder")
HANDS = [(2, True), (3, False)]


def left_out(name: str) -> bool:
    if name.startswith("play "):
        return not name.endswith(("chain", "chains", "strands"))
    toothed = name.startswith(TOOTHED)
    shaped = name.endswith((" mass", "shape r", "number 2"))
    return "clearance" in name or (toothed and shaped) or name.endswith((" 9 pin_size", " gears"))


def powers(before: np.ndarray, after: np.ndarray) -> set[int]:
    """Powers of two by which an array may have grown."""
    return {p for p in (0, 1, 2, 3) if np.allclose(after, before * 2.0**p, rtol=1e-9, atol=1e-9)}


@pytest.mark.parametrize(("fingers", "reverses"), HANDS)
@pytest.mark.parametrize("architecture", ARCHITECTURES)
def test_twice_the_size(architecture: str, fingers: int, reverses: bool) -> None:
    strut = "strut" if reverses else "none"
    brief = make_brief(fingers, wrist=make_wrist(reverses=reverses, input_strut=strut))
    small = space(brief, make_stock(), architecture)
    big = space(twice(brief), twice(make_stock()), architecture)
    X = vectors(small, 6, np.random.default_rng(fingers), USEFUL)
    one, two = all_arrays(work(small, X)), all_arrays(work(big, doubled(small, X)))
    assert one.keys() == two.keys()
    for name, before in one.items():
        if left_out(name) or not np.any(before):
            continue
        found = powers(before, two[name])
        field = name.split()[-1]
        if " number " in name:  # what a part number is made of: words, lengths, areas
            assert found & {0, 1, 2}, name
        elif name.startswith("play "):
            assert 1 in found, name
        else:
            assert POWER[field] in found, (name, before[0], two[name][0])
