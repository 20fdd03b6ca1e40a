"""Chilling: limited pull-down, crates that stand warm before a full cooler, and what warm hours cost."""

from __future__ import annotations

from math import log as ln

import pytest

from farmsim.record import balance

from ..tiny import DAYS, FRIDGE, LINE, OYSTER, SHED, SHOP, D, lines, log, of_crew, seen

BIG = SHED.but(holds=100.0)
WARM = OYSTER.but(warm_costs=4.0)  # an hour warm costs 4 h of shelf life, that hour included
TWO = {"start": (LINE.but(blocks=16.0),), "room": (BIG,)}


def fridge(**figures: object) -> dict[str, object]:
    return {"walk_in": {"fridge": FRIDGE.but(**figures)}}


def dates(**parts: object) -> list[tuple[float, float]]:
    """Of each parcel sold on Friday: (picked, until when it is good) [h]."""
    shop = SHOP.but(days=("fri",), takes={"oyster": 99.0})
    record = seen(**{"strain": WARM, **parts}, customer=(shop,))
    return [(row[4], row[5]) for row in record.rows("stock_out")]


def test_crates_go_into_the_cooler_when_they_are_packed() -> None:
    assert log(seen(), "stays", "crates")[5:] == lines("""
        mon 09:00  A0 leaves opening benches (1)
        wed 07:30  crates comes to walk-in
        wed 07:30  4 + 0 of oyster put in walk-in
        wed 08:30  A0 leaves Shed (8), done wed 07:00
        wed 08:30  A0 leaves Shed, promised (8)
    """)


def test_warm_hours_are_counted_until_packed_and_along_the_cooling_curve() -> None:
    # Picked 07:00, in the cooler 07:30; the warmth left then counts for half / ln 2 hours.
    ((picked, good_until),) = dates(**fridge(half_cooling=2.0))
    warm = 0.5 + 2.0 / ln(2.0)
    assert picked == 2 * D + 7.0
    assert good_until == pytest.approx(picked + 7 * D - (4.0 - 1.0) * warm, abs=1e-6)


def test_a_slow_cooler_keeps_the_second_parcel_warm_until_its_turn() -> None:
    # 4 kg at 2 kg/h: the first parcel is pulled down from 07:30 to 09:30, the second, packed at 09:00, until 11:30.
    picker, packer = of_crew("pick", "open"), of_crew("pack", name="packers")
    (first, good_1), (second, good_2) = dates(**fridge(chills=2.0, half_cooling=ln(2.0)), crew=(picker, packer), **TWO)
    assert (first, second) == (2 * D + 7.0, 2 * D + 8.0)
    assert good_1 == pytest.approx(first + 7 * D - 3.0 * (2.5 + 1.0), abs=1e-6)
    assert good_2 == pytest.approx(second + 7 * D - 3.0 * (3.5 + 1.0), abs=1e-6)


def test_a_cooler_that_has_caught_up_begins_at_once() -> None:
    picker, packer = of_crew("pick", "open"), of_crew("pack", name="packers")
    fast = dates(**fridge(chills=8.0, half_cooling=ln(2.0)), crew=(picker, packer), **TWO)
    assert [good - picked for picked, good in fast] == pytest.approx([7 * D - 3.0 * (0.5 + 0.5 + 1.0)] * 2, abs=1e-6)


# --- a full cooler --------------------------------------------------------------------------------------------------

FULL = {"walk_in": {"fridge": FRIDGE.but(holds=4.0, half_cooling=ln(2.0))}, **TWO}
PEOPLE = (of_crew("pick", "open"), of_crew("pack", name="packers"))


STRAINS = {"cold": WARM, "oyster": WARM}
COLD_FIRST = FULL | {"strain": STRAINS, "start": (LINE.but(name="A", strain="cold"), LINE.but(name="B"))}
"""The cold strain, picked and packed first, fills the cooler; the oyster, packed at 08:30, stands warm before it."""


def test_crates_that_find_no_room_stand_warm_until_there_is_some() -> None:
    shop = SHOP.but(takes={"cold": 4.0})
    record = seen(**COLD_FIRST, crew=PEOPLE, customer=(shop,))
    assert log(record, "packs", "stays", "crates", "stock_out")[-7:] == lines("""
        wed 07:30  crates comes to walk-in
        wed 07:30  4 + 0 of cold put in walk-in
        wed 08:30  packed 4 of oyster
        wed 09:00  crates comes to walk-in, asked wed 08:30
        wed 09:00  crates leaves walk-in (4)
        wed 09:00  4 + 0 of oyster put in walk-in
        wed 09:00  4 firsts of cold sold to shop, good until wed2 02:30
    """)


def test_a_full_cooler_holds_no_people() -> None:
    record = seen(WARM, crew=PEOPLE, **FULL)
    assert log(record, "tasks", "waits")[2:] == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:30  packers 0 ends pack, begun wed 07:00
        wed 08:00  owner 0 ends pick, begun wed 07:00
        wed 08:30  packers 0 ends pack, begun wed 08:00
        sat 00:00  crates gives up asking for walk-in, asked wed 08:30
    """)


def test_warm_crates_may_be_sold_from_where_they_stand_when_their_date_comes_first() -> None:
    # The warm parcel is good for a quarter of the shelf life only, so it goes first; it gives up its wish for room.
    shop = SHOP.but(leave_by=9.0, takes={"oyster": 4.0})
    record = seen(WARM, crew=PEOPLE, customer=(shop,), **FULL)
    assert log(record, "waits", "stock_out") == lines("""
        wed 09:00  crates gives up asking for walk-in, asked wed 08:30
        wed 09:00  4 firsts of oyster sold to shop, good until fri 02:00
    """)


def test_warm_crates_sold_in_part_ask_for_less_room() -> None:
    # 3 of 4 cold crates are sold on Wednesday 09:00: not room enough for 4. At 12:00 one warm crate goes: now it is.
    early, noon = SHOP.but(takes={"cold": 3.0}), SHOP.but(name="noon", leave_by=12.0, takes={"oyster": 1.0})
    record = seen(**COLD_FIRST, crew=PEOPLE, customer=(early, noon))
    assert log(record, "stays", "freed", "stock_out")[-7:] == lines("""
        mon 09:00  B0 leaves racks (8), done mon 08:00
        mon 10:00  B0 leaves opening benches (1)
        wed 07:30  crates comes to walk-in
        wed 09:00  crates gives back 3 of walk-in
        wed 09:00  3 firsts of cold sold to shop, good until wed2 02:30
        wed 12:00  crates comes to walk-in, asked wed 08:30
        wed 12:00  1 firsts of oyster sold to noon, good until fri 02:00
    """)


def test_warm_crates_lose_shelf_life_and_are_thrown_out_early() -> None:
    short = WARM.but(shelf_life=2 * D)
    record = seen(short, crew=PEOPLE, **FULL)
    assert log(record, "stock_out", "waits") == lines("""
        thu 00:00  crates gives up asking for walk-in, asked wed 08:30
        thu 00:00  4 firsts of oyster past date, good until wed 20:00
        sat 00:00  4 firsts of oyster past date, good until fri 02:30
    """)


def test_without_a_cooler_crates_are_always_warm() -> None:
    record = seen(WARM, walk_in={}, customer=(SHOP.but(days=("fri",)),))
    assert log(record, "crates", "stock_out") == lines("""
        wed 07:30  4 + 0 of oyster put in stock
        fri 09:00  4 firsts of oyster past date, good until fri 01:00
    """)


def test_the_cooler_is_never_overfull() -> None:
    shop = SHOP.but(days=("wed", "thu", "fri"), takes={"oyster": 1.3})
    record = seen(WARM, crew=PEOPLE, customer=(shop,), **{**FULL, "start": (LINE.but(blocks=40.0),)})
    assert balance.faults(record) == []


def test_a_slow_cooler_is_never_worse_than_none() -> None:
    """Crates that wait long for their turn to be cooled keep at least as long as crates that stay warm."""
    strain = OYSTER.but(warm_costs=3.0)
    start = (LINE.but(days=DAYS, blocks=56.0),)
    slow = seen(strain, start=start, walk_in={"fridge": FRIDGE.but(chills=0.02)}, about={"weeks": 2}, weeks=2)
    lives = [row[5] - row[4] for row in slow.rows("stock_out")]
    assert min(lives) == pytest.approx(strain.shelf_life / 3.0)
