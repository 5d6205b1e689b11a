"""Default wear rates beside published ones of like pairs, sliding dry.

k = K/(3 H) by Holm and Wikipedia's worked example; other texts print K/H with the same table, so a
published pair is a band.  Our joints are greased or lined, for which a decade less is usual (common
practice, no source): a default may lie in the band or up to a decade under it, never above.
Not here, with the reason: PTFE, polythene (no plain plastic pairs), brass and mild steel (not on the
shelf); 7075 and Ti 6-4 on steel have no published row.
"""

from dataclasses import dataclass

import pytest

from explorer.brief.schema_factors import WearTable

TABLE = "6.13: en.wikipedia.org/wiki/Wear_coefficient, K of tool steel, stainless and Cu-Be, dry"
DEFAULT = WearTable()


@dataclass(frozen=True)
class Pair:
    """A default k [mm^2/N] beside K [-] and the hardness H [MPa] of the like metal (memory)."""

    words: str
    k: float
    K: float
    H: float
    greased: bool


PAIRS = (
    # 700 HV
    Pair("hard on hard", DEFAULT.hard_pair_mm2_per_N, 1.3e-4, 6900.0, greased=True),
    Pair("chain joint", DEFAULT.chain_joint_mm2_per_N, 1.3e-4, 6900.0, greased=True),
    # 200 HV
    Pair("bare in stainless", DEFAULT.bare_mm2_per_N["stainless"], 1.7e-5, 2000.0, greased=False),
    # 370 HV, the copper alloy of the table that is nearest to a bush
    Pair("bushed", DEFAULT.bushed_mm2_per_N, 3.7e-5, 3600.0, greased=True),
)


@pytest.mark.parametrize("pair", PAIRS, ids=lambda p: p.words)
def test_default_wear_is_that_of_a_like_pair(pair: Pair) -> None:
    """Within the published band, or up to a decade under it where the joint is greased or lined."""
    low, high = pair.K / (3.0 * pair.H), pair.K / pair.H
    assert (low / 10.0 if pair.greased else low) <= pair.k <= high, TABLE


def test_default_wear_ranks_as_the_pairs_do() -> None:
    """A bush wears least, then hard pairs; soft bare plates most; stainless less than light metals."""
    bare = DEFAULT.bare_mm2_per_N
    assert DEFAULT.bushed_mm2_per_N < DEFAULT.hard_pair_mm2_per_N < bare["stainless"]
    assert bare["stainless"] < min(bare["7075"], bare["Ti 6-4"])
