"""The stock that ships with the program against published tables; what is invented says so."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any

import numpy as np
import pytest

from explorer.brief.read import read_study
from explorer.brief.start import write_study
from explorer.mechanics import fits

RAW: dict[str, Any] = tomllib.loads(
    (files("explorer.brief") / "data" / "default_stock.toml").read_text(encoding="utf-8")
)

# DIN 6799 as published by a ring maker (table read): groove dia -> (shaft least, most, ring thickness, least edge)
DIN_6799 = {
    1.2: (1.4, 2.0, 0.3, 0.6),
    1.5: (2.0, 2.5, 0.4, 0.8),
    1.9: (2.5, 3.0, 0.5, 1.0),
    2.3: (3.0, 4.0, 0.6, 1.0),
    3.2: (4.0, 5.0, 0.6, 1.0),
    4.0: (5.0, 7.0, 0.7, 1.2),
    5.0: (6.0, 8.0, 0.7, 1.2),
}


@pytest.mark.parametrize("ring", RAW["ring"], ids=lambda r: f"ring {r['shaft_mm']}")
def test_rings_are_of_din_6799(ring: dict[str, Any]) -> None:
    """Groove, shaft range, thickness and edge: DIN 6799 table (read at a ring maker's page)."""
    low, high, thickness, edge = DIN_6799[ring["groove_mm"]]
    assert low <= ring["shaft_mm"] <= high
    assert ring["thickness_mm"] == thickness
    assert ring["past_groove_mm"] >= edge


# name in the stock -> (pitch, inner width, pin, least tensile N), and where it was read
CHAINS = {
    "5.0 (03B size, memory)": (5.0, 2.5, None, 2200.0, "DIN 8187/8180 catalogue table, read"),
    "6.35 (04C size, memory)": (
        6.35,
        3.175,
        2.30,
        780 * 4.4482216,
        "ASME B29.1 table (25: .25 in, .0905 in pin, 780 lbf), read",
    ),
}


@pytest.mark.parametrize("name", CHAINS)
def test_standard_chains_are_of_their_tables(name: str) -> None:
    """Pitch exact, inner width within 3 %, pin within 1 %, tensile within 1.2 % (lbf against rounded kN)."""
    chain = next(c for c in RAW["chain"] if c["name"] == name)
    pitch, inner, pin, tensile, _ = CHAINS[name]
    assert chain["pitch_mm"] == pitch
    assert chain["inner_width_mm"] == pytest.approx(inner, rel=0.03)
    assert chain["min_tensile_N"] == pytest.approx(tensile, rel=0.012)
    if pin is not None:
        assert chain["pin_mm"] == pytest.approx(pin, rel=0.01)


# yield, ultimate MPa, density g/mm3, modulus MPa
METALS = {
    # Mott, Machine Elements in Mechanical Design, appendix 9 (503/572); density and E from datasheets
    "7075": (503.0, 572.0, 0.00281, 71_700.0),
    # Mott, appendix 11: Ti-6Al-4V annealed, least values
    "Ti 6-4": (827.0, 896.0, 0.004432, 114_000.0),
}


@pytest.mark.parametrize("name", METALS)
def test_published_metals(name: str) -> None:
    """Least or listed values, to their printed digits."""
    metal = next(m for m in RAW["metal"] if m["name"] == name)
    found = (metal["yield_MPa"], metal["ultimate_MPa"], metal["g_per_mm3"], metal["modulus_MPa"])
    assert found == pytest.approx(METALS[name], rel=2e-3)


def test_stainless_is_stated_as_cold_rolled_and_invented() -> None:
    """304 annealed yields at 205 MPa at least (published); the strip is stronger, and the line says invented."""
    metal = next(m for m in RAW["metal"] if m["name"] == "stainless")
    assert metal["yield_MPa"] > 205.0
    assert "invented" in metal["source"]
    assert metal["g_per_mm3"] == pytest.approx(0.00793, rel=0.005)  # 304: 7930 kg/m3, published


def test_pins_are_weaker_than_the_hardened_dowels_of_the_tables() -> None:
    """ASME B18.8.5M hardened dowels shear at 1050 MPa (table read): 0.577 Sy must not claim more."""
    assert all(0.577 * p["yield_MPa"] < 1050.0 for p in RAW["pin"] if p["hardened"])


@pytest.mark.parametrize("pin", RAW["pin"], ids=lambda p: f"pin {p['d_mm']}")
def test_limits_of_every_stock_pin_by_an_iso_286_library(pin: dict[str, Any]) -> None:
    """Each stock pin's tolerance by the library pressfit (ISO 286), to the micrometre."""
    pressfit = pytest.importorskip(
        "pressfit", reason="pressfit is a test-only package and is absent"
    )
    theirs = pressfit.fit(f"{pin['d_mm']:g} H7/{pin['fit']}")
    ours = fits.limits(np.array(pin["d_mm"]), pin["fit"])
    assert (float(ours.lower_um), float(ours.upper_um)) == (theirs.shaft_ei_um, theirs.shaft_es_um)


def test_every_line_states_its_source() -> None:
    """No number without a source; the file as a whole is marked invented."""
    assert RAW["invented"] is True
    lines = [line for group in RAW.values() if isinstance(group, list) for line in group]
    assert len(lines) > 80
    assert all(line["source"].strip() for line in lines)


def test_the_written_study_carries_this_stock(tmp_path: Any) -> None:  # noqa: ANN401
    """`start` writes the stock that these tests are about."""
    write_study(tmp_path / "left-3")
    stock = read_study(tmp_path / "left-3").stock
    assert [r.groove for r in stock.rings] == [r["groove_mm"] for r in RAW["ring"]]
