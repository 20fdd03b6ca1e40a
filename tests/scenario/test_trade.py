"""The strain sheet and the defaults against what the trade publishes, and against common practice.

Published values name their source. Common practice has none: these are bounds that the sheet keeps, no more than that.
"""

from __future__ import annotations

import math

import pytest

from farmsim import units
from farmsim.scenario.block import dry_weight, efficiency, yield_at
from farmsim.scenario.fields import NEEDED
from farmsim.scenario.forms import RANGE
from farmsim.scenario.lines import Place, Table
from farmsim.scenario.readback import SEVEN_EIGHTHS
from farmsim.scenario.rooms import WalkIn
from farmsim.scenario.sheet import SHEET, SOURCES, with_sheets
from farmsim.scenario.strain import Strain

F = units.parse


def strain(like: str) -> Strain:
    """A strain that is like one of the sheet and gives nothing itself."""
    given = Table({"like": like}, {"like": Place("farm.toml", 1)})
    farm = Table({"strain": Table({"a": given}, {"a": Place("farm.toml", 1)})}, {"strain": Place("farm.toml", 1)})
    filled = with_sheets(farm, faults := [])["strain"]
    assert isinstance(filled, dict)
    read = Strain.read(filled["a"], ("strain", "a"), faults)
    assert not faults
    assert read is not None
    return read


# --- blocks: P1, arithmetic from published figures ----------------------------------------------------


def test_a_block_of_3_5_kg_at_250_g_a_kg_gives_875_g() -> None:
    """3.5 kg, 62.5 % water, 250 g/kg: 875 g, an efficiency of 66.7 % (arithmetic)."""
    assert dry_weight(3.5, 0.625) == 1.3125
    assert 3.5 * 0.250 == 0.875
    assert efficiency(0.875, 3.5, 0.625) == pytest.approx(2 / 3)
    assert yield_at(2 / 3, 3.5, 0.625) == pytest.approx(0.875)


def test_three_flushes_of_shiitake_share_61_25_14() -> None:
    """Mushroom Business no. 128 pp. 49-50."""
    assert strain("shiitake").flushes.share == pytest.approx((0.61, 0.25, 0.14))


EFFICIENCY = {  # suppliers' sheets (S) or published (P2, P3, P4, P5)
    "shiitake": (0.53, 0.80),
    "blue oyster": (0.67, 0.83),
    "king oyster": (0.46, 0.55),
    "lion's mane": (0.70, 0.92),
    "chestnut": (0.60, 0.75),
    "nameko": (0.52, 0.54),
    "maitake": (0.44, 0.47),
    "golden oyster": (0.53, 0.70),
    "pink oyster": (0.53, 0.70),
}


@pytest.mark.parametrize("like", SHEET)
def test_yields_keep_within_what_is_told_of_the_strain(like: str) -> None:
    grown = strain(like)
    low, high = EFFICIENCY[like]
    assert low <= efficiency(grown.yield_.mean, grown.block, grown.water) <= high


DAYS_TO_FIRST_PICK = {  # S, P6, M
    "shiitake": (7, 15),
    "blue oyster": (8, 18),
    "king oyster": (12, 17),
    "lion's mane": (14, 22),
    "chestnut": (12, 20),
    "nameko": (14, 20),
    "maitake": (18, 28),
    "golden oyster": (6, 10),
    "pink oyster": (6, 10),
}


@pytest.mark.parametrize("like", SHEET)
def test_first_picks_keep_within_what_is_told_of_the_strain(like: str) -> None:
    low, high = DAYS_TO_FIRST_PICK[like]
    assert low <= strain(like).first_pick.mean / 24 <= high


def test_a_larger_block_yields_more_at_the_same_efficiency() -> None:
    given = {"like": "shiitake", "block": "10 lb"}
    places = dict.fromkeys(given, Place("farm.toml", 1))
    farm = Table({"strain": Table({"a": Table(given, places)}, {"a": Place("farm.toml", 1)})}, {})
    filled = with_sheets(farm, [])["strain"]
    assert isinstance(filled, dict)
    twice = Strain.read(filled["a"], (), [])
    assert twice is not None
    assert twice.yield_.mean == pytest.approx(2 * strain("shiitake").yield_.mean, rel=1e-4)


def test_a_shiitake_cycle_takes_about_three_months() -> None:
    """Royse & Shen (2005): whole cycle about 3 months; colonising 13-15 d and ripening 70-110 d (suppliers)."""
    grown = strain("shiitake")
    assert 13 <= grown.colonise.mean / 24 <= 15
    assert 70 <= grown.ripen.mean / 24 <= 110


def test_spreads_are_those_of_replicated_trials() -> None:
    """Lots 0.20 (19-36 %, P8, P9), blocks 0.12 (seven treatments of five bags, pooled 12.5 %), first pick 0.13 (P9)."""
    grown = strain("shiitake")
    assert (grown.yield_.cv_lot, grown.yield_.cv_block) == (0.20, 0.12)
    assert grown.first_pick.sd / grown.first_pick.mean == pytest.approx(0.13)


def test_the_usual_block_is_5_lb_at_60_to_63_percent_water() -> None:
    """Cornell Small Farms (2020-21)."""
    assert strain("shiitake").block == pytest.approx(F("5 lb", "kg"))
    assert 0.60 <= strain("shiitake").water <= 0.63


# --- common practice, no source: bounds that the sheet keeps -------------------------------------------


def test_shiitake_fruits_where_common_practice_keeps_it() -> None:
    """Common practice, no source: shiitake near 65-67 degF, general rooms somewhere in 62-72 degF."""
    kept = strain("shiitake").range
    assert kept.low <= F("65 degF", "degC")
    assert F("67 degF", "degC") <= kept.high
    for like in ("shiitake", "blue oyster", "lion's mane"):
        found = strain(like).range
        assert found.low < F("72 degF", "degC")
        assert found.high > F("62 degF", "degC")


def test_shelf_lives_keep_within_common_practice_unless_published() -> None:
    """Common practice, no source: chilled, about a month for shiitake, about two weeks for other specialties.

    King oyster is published: 28 d wrapped at 4 degC (Jitareerat et al. 2018), and stands before the bound.
    """
    assert strain("shiitake").shelf_life <= F("31 d", "h")
    for like in SHEET:
        if like not in ("shiitake", "king oyster"):
            assert strain(like).shelf_life <= F("14 d", "h")
    assert strain("king oyster").shelf_life == F("28 d", "h")


def test_shiitake_is_soaked_overnight_after_a_cold_shock() -> None:
    """Common practice, no source; suppliers: cold 12-24 h, soak 4-18 h, overnight about 12 h."""
    grown = strain("shiitake")
    assert grown.steps.index("cold shock") + 1 == grown.steps.index("soak")
    assert grown.cold_shock is not None
    assert grown.soak is not None
    assert F("12 h", "h") <= grown.cold_shock.usual <= F("24 h", "h")
    assert F("4 h", "h") <= grown.soak.least <= F("12 h", "h") <= grown.soak.most <= F("18 h", "h")


def test_blocks_show_pins_days_before_the_first_pick() -> None:
    """Common practice, no source: blocks four or five days after shelving show pins, so picking comes later."""
    assert all(strain(like).first_pick.mean > F("5 d", "h") for like in SHEET)


def test_a_chilling_delay_costs_more_shelf_life_than_it_lasts() -> None:
    """Common practice, no source: shiitake packed tight in deep bins heats itself."""
    assert all(strain(like).warm_costs > 1 for like in SHEET)


def test_fresh_mushrooms_are_kept_as_cold_as_common_practice_says() -> None:
    """Common practice, no source: 33-39 degF."""
    assert F("33 degF", "degC") <= WalkIn.figures["air"].default <= F("39 degF", "degC")  # type: ignore[operator]


def test_pink_oyster_is_never_put_in_the_cold() -> None:
    """Suppliers: it dies below 8-10 degC."""
    assert "cold shock" not in strain("pink oyster").steps
    assert strain("pink oyster").holds_ripe.cold == 0


# --- people and paces ---------------------------------------------------------------------------------


def test_eight_pickers_pick_1600_kg_in_seven_hours() -> None:
    """Trade magazine, button mushrooms on shelves: 28.5 kg/h, 7 h: 8 pickers for 1,600 kg (never for clusters)."""
    assert pytest.approx(8.02, abs=0.005) == 1600 / (28.5 * 7)
    assert all(strain(like).picking.pace < 28.5 for like in SHEET)


def test_picking_paces_are_those_of_clusters() -> None:
    """From memory: clustered oyster 15-30, shiitake 6-12, lion's mane 15-25 kg/h."""
    assert 6 <= strain("shiitake").picking.pace <= 12
    assert 15 <= strain("blue oyster").picking.pace <= 30
    assert 15 <= strain("lion's mane").picking.pace <= 25


# --- sources ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("like", SHEET)
def test_every_figure_of_the_sheet_is_a_figure_and_has_a_source(like: str) -> None:
    for key, sheet in SHEET[like].items():
        outer, _, inner = key.partition(".")
        figure = next(figure for figure in Strain.figures.values() if figure.name == outer)
        assert (figure.part is not None) == bool(inner)
        if figure.part is not None:
            assert inner in {held.name for held in figure.part.figures.values()}
        assert sheet.source
        for number in range(1, 15):
            assert f"(P{number})" not in sheet.source or f"P{number}" in SOURCES


def test_every_needed_figure_of_a_strain_is_on_every_sheet() -> None:
    for like, sheet in SHEET.items():
        for figure in Strain.figures.values():
            if figure.default is NEEDED and figure.part is None:
                assert figure.name in sheet, like
            elif figure.default is NEEDED:
                assert any(key.startswith(f"{figure.name}.") for key in sheet), like
    assert RANGE.name == "range"


# --- cooling ------------------------------------------------------------------------------------------


def test_packed_mushrooms_cool_by_half_again_and_again() -> None:
    """Half time 2 h, 18 to 3 degC in air at 1 degC: 6.175 h (exact); three half times are seven eighths of the way."""
    assert pytest.approx(6.175, abs=5e-4) == 2 * math.log2((18 - 1) / (3 - 1))
    assert 1 - 0.5**SEVEN_EIGHTHS == 7 / 8


def test_half_cooling_is_a_guess_that_says_so() -> None:
    """Thompson et al. (1998): still air 20-100 h, forced air 1-10 h; which of them a farm's walk-in is, nobody knows."""
    half = WalkIn.figures["half_cooling"]
    assert half.is_guess
    assert F("1 h", "h") <= half.default <= F("10 h", "h")  # type: ignore[operator]


def test_respiration_becomes_heat() -> None:
    """mg CO2 x 61 = kcal/t/day (USDA Agriculture Handbook 66): 100 mg are 295.5 W/t, 70 mg 206.9 W/t."""
    watts = 61 * 4185.5 / 86_400  # W/t for each mg CO2/kg/h
    assert 100 * watts == pytest.approx(295.5, abs=0.05)
    assert 70 * watts == pytest.approx(206.9, abs=0.06)


def test_a_warm_hour_costs_about_what_respiration_grows_by() -> None:
    """Bohling & Hansen (1989): oyster 2,500 J/kg/h at 15 degC, 750 at 3.5: 2.849-fold in 10 degrees (arithmetic)."""
    assert pytest.approx(2.849, abs=5e-4) == (2500 / 750) ** (10 / 11.5)
    assert Strain.figures["warm_costs"].default == round(2.849)
