"""Making blocks: mix and bag, sterilizer, cooling, clean bench, racks; or blocks bought in."""

from __future__ import annotations

from farmsim.record.measures.standing import courses

from ..tiny import BENCH, LINE, MADE, MIX, OVEN, OYSTER, D, Fixed, farm, lines, log, of_crew, run, seen, tiny_racks

MAKES = {"mix": MIX, "sterilizer": OVEN, "clean_bench": BENCH, "start": (MADE,)}
SLOW = OYSTER.but(colonise=Fixed(30 * D))


def test_a_load_is_mixed_steamed_and_cooled_and_its_lots_are_inoculated_one_after_the_other() -> None:
    # Loads take 16 blocks: two lots and one. 16 blocks/h mixed, 4 h of steam, 12 h of cooling, 8 blocks/h inoculated.
    assert log(seen(SLOW, **{**MAKES, "start": (MADE.but(blocks=24.0),)})) == lines("""
        mon 07:00  owner 0 ends mix, begun mon 06:00
        mon 07:00  a load comes to sterilizer
        mon 07:30  owner 0 ends mix, begun mon 07:00
        mon 11:00  a load comes to cooling floor
        mon 11:00  a load comes to sterilizer, asked mon 07:30
        mon 11:00  a load leaves sterilizer (1)
        mon 15:00  a load comes to cooling floor
        mon 15:00  a load leaves sterilizer (1)
        mon 23:00  A0 comes to clean benches
        mon 23:00  A0 comes to cooling floor
        mon 23:00  A0 leaves cooling floor (8)
        mon 23:00  A1 comes to cooling floor
        mon 23:00  a load leaves cooling floor (0)
        mon 23:00  a load gives back 8 of cooling floor
        mon 23:00  a load gives back 8 of cooling floor
        tue 03:00  A2 comes to cooling floor
        tue 03:00  a load leaves cooling floor (0)
        tue 03:00  a load gives back 8 of cooling floor
        tue 07:00  owner 0 ends inoculate A0, begun tue 06:00
        tue 07:00  A0 comes to racks
        tue 07:00  A0 leaves clean benches (1)
        tue 07:00  A1 comes to clean benches, asked mon 23:00
        tue 07:00  A1 leaves cooling floor (8), done mon 23:00
        tue 07:00  8 of A0 made
        tue 08:00  owner 0 ends inoculate A1, begun tue 07:00
        tue 08:00  A1 comes to racks
        tue 08:00  A1 leaves clean benches (1)
        tue 08:00  A2 comes to clean benches, asked tue 03:00
        tue 08:00  A2 leaves cooling floor (8), done tue 03:00
        tue 08:00  8 of A1 made
        tue 09:00  owner 0 ends inoculate A2, begun tue 08:00
        tue 09:00  A2 comes to racks
        tue 09:00  A2 leaves clean benches (1)
        tue 09:00  8 of A2 made
    """)


def test_a_full_cooling_floor_keeps_the_next_load_in_the_sterilizer() -> None:
    makes = {**MAKES, "start": (MADE.but(blocks=24.0),), "sterilizer": OVEN.but(cooling_holds=16.0)}
    assert log(seen(SLOW, **makes), "stays") == lines("""
        mon 07:00  a load comes to sterilizer
        mon 11:00  a load comes to cooling floor
        mon 11:00  a load comes to sterilizer, asked mon 07:30
        mon 11:00  a load leaves sterilizer (1)
        mon 23:00  A0 comes to clean benches
        mon 23:00  A0 comes to cooling floor
        mon 23:00  A0 leaves cooling floor (8)
        mon 23:00  A1 comes to cooling floor
        mon 23:00  a load comes to cooling floor, asked mon 15:00
        mon 23:00  a load leaves cooling floor (0)
        mon 23:00  a load leaves sterilizer (1), done mon 15:00
        tue 07:00  A0 comes to racks
        tue 07:00  A0 leaves clean benches (1)
        tue 07:00  A1 comes to clean benches, asked mon 23:00
        tue 07:00  A1 leaves cooling floor (8), done mon 23:00
        tue 08:00  A1 comes to racks
        tue 08:00  A1 leaves clean benches (1)
        tue 11:00  A2 comes to clean benches
        tue 11:00  A2 comes to cooling floor
        tue 11:00  A2 leaves cooling floor (8)
        tue 11:00  a load leaves cooling floor (0)
        tue 12:00  A2 comes to racks
        tue 12:00  A2 leaves clean benches (1)
    """)


def test_full_racks_keep_the_bench_and_the_cooling_floor() -> None:
    makes = {**MAKES, "start": (MADE.but(blocks=24.0),), "incubation": tiny_racks(8.0)}
    assert log(seen(SLOW, **makes), "stays", "blocks") == lines("""
        mon 07:00  a load comes to sterilizer
        mon 11:00  a load comes to cooling floor
        mon 11:00  a load comes to sterilizer, asked mon 07:30
        mon 11:00  a load leaves sterilizer (1)
        mon 15:00  a load comes to cooling floor
        mon 15:00  a load leaves sterilizer (1)
        mon 23:00  A0 comes to clean benches
        mon 23:00  A0 comes to cooling floor
        mon 23:00  A0 leaves cooling floor (8)
        mon 23:00  A1 comes to cooling floor
        mon 23:00  a load leaves cooling floor (0)
        tue 03:00  A2 comes to cooling floor
        tue 03:00  a load leaves cooling floor (0)
        tue 07:00  A0 comes to racks
        tue 07:00  A0 leaves clean benches (1)
        tue 07:00  A1 comes to clean benches, asked mon 23:00
        tue 07:00  A1 leaves cooling floor (8), done mon 23:00
        tue 07:00  8 of A0 made
        never  A1 waits for racks since tue 08:00
        never  A2 waits for clean benches since tue 03:00
    """)


def test_the_rack_that_comes_free_is_taken_by_the_lot_at_the_bench() -> None:
    makes = {**MAKES, "start": (MADE.but(blocks=16.0),), "incubation": tiny_racks(8.0)}
    assert log(seen(OYSTER.but(colonise=Fixed(1 * D)), **makes), "stays", "blocks") == lines("""
        mon 07:00  a load comes to sterilizer
        mon 11:00  a load comes to cooling floor
        mon 11:00  a load leaves sterilizer (1)
        mon 23:00  A0 comes to clean benches
        mon 23:00  A0 comes to cooling floor
        mon 23:00  A0 leaves cooling floor (8)
        mon 23:00  A1 comes to cooling floor
        mon 23:00  a load leaves cooling floor (0)
        tue 07:00  A0 comes to racks
        tue 07:00  A0 leaves clean benches (1)
        tue 07:00  A1 comes to clean benches, asked mon 23:00
        tue 07:00  A1 leaves cooling floor (8), done mon 23:00
        tue 07:00  8 of A0 made
        wed 07:00  A0 comes to Shed
        wed 07:00  A0 comes to Shed, promised
        wed 07:00  A0 comes to opening benches
        wed 07:00  A0 leaves racks (8)
        wed 07:00  A1 comes to racks, asked tue 08:00
        wed 07:00  A1 leaves clean benches (1), done tue 08:00
        wed 07:00  8 of A1 made
        wed 08:00  A0 leaves opening benches (1)
        wed 08:00  8 of A0 opened
        thu 07:00  A1 comes to Shed
        thu 07:00  A1 comes to Shed, promised
        thu 07:00  A1 comes to opening benches
        thu 07:00  A1 leaves racks (8)
        thu 08:00  A1 leaves opening benches (1)
        thu 08:00  8 of A1 opened
        fri 07:30  crates comes to walk-in
        fri 08:30  A0 leaves Shed (8), done fri 07:00
        fri 08:30  A0 leaves Shed, promised (8)
        fri 08:30  8 of A0 cleared
        sat 07:30  crates comes to walk-in
        sat 08:30  A1 leaves Shed (8), done sat 07:00
        sat 08:30  A1 leaves Shed, promised (8)
        sat 08:30  8 of A1 cleared
    """)


def test_two_sterilizers_steam_two_loads_at_once() -> None:
    makes = {**MAKES, "start": (MADE.but(blocks=32.0),), "sterilizer": OVEN.but(count=2)}
    assert log(seen(SLOW, **makes), "stays")[:4] == lines("""
        mon 07:00  a load comes to sterilizer
        mon 08:00  a load comes to sterilizer
        mon 11:00  a load comes to cooling floor
        mon 11:00  a load leaves sterilizer (1)
    """)


def test_two_benches_need_two_people() -> None:
    makes = {**MAKES, "start": (MADE.but(blocks=16.0),), "clean_bench": BENCH.but(people=2)}
    one = log(seen(SLOW, **makes), "tasks")
    two = log(seen(SLOW, **makes, crew=(of_crew(people=2),)), "tasks")
    assert one == lines("""
        mon 07:00  owner 0 ends mix, begun mon 06:00
        tue 07:00  owner 0 ends inoculate A0, begun tue 06:00
        tue 08:00  owner 0 ends inoculate A1, begun tue 07:00
    """)
    assert two == lines("""
        mon 07:00  owner 0 ends mix, begun mon 06:00
        tue 07:00  owner 0 ends inoculate A0, begun tue 06:00
        tue 07:00  owner 1 ends inoculate A1, begun tue 06:00
    """)


def test_each_line_has_loads_of_its_own() -> None:
    makes = {**MAKES, "start": (MADE, MADE.but(name="B")), "strain": SLOW}
    record = seen(**makes)
    assert [(row[0], row[-1]) for row in record.rows("lots")] == [
        ("A/2027-01-04/00", "A/2027-01-04/L00"),
        ("B/2027-01-04/00", "B/2027-01-04/L00"),
    ]
    assert log(record, "stays")[:4] == lines("""
        mon 06:30  a load comes to sterilizer
        mon 10:30  a load comes to cooling floor
        mon 10:30  a load comes to sterilizer, asked mon 07:00
        mon 10:30  a load leaves sterilizer (1)
    """)


def test_blocks_are_spread_over_the_days_of_their_line() -> None:
    record = seen(SLOW, **{**MAKES, "start": (MADE.but(blocks=33.0, days=("mon", "wed", "fri")),)})
    assert [(row[0], row[4], row[5], row[6]) for row in record.rows("lots")] == [
        ("A/2027-01-04/00", 0, 0.0, 8.0),
        ("A/2027-01-04/01", 1, 0.0, 3.0),
        ("A/2027-01-04/02", 2, 48.0, 8.0),
        ("A/2027-01-04/03", 3, 48.0, 3.0),
        ("A/2027-01-04/04", 4, 96.0, 8.0),
        ("A/2027-01-04/05", 5, 96.0, 3.0),
    ]


def test_without_mixing_a_load_goes_straight_to_the_sterilizer() -> None:
    assert log(seen(SLOW, **{**MAKES, "mix": None}), "stays", "tasks")[:3] == lines("""
        mon 00:00  a load comes to sterilizer
        mon 04:00  a load comes to cooling floor
        mon 04:00  a load leaves sterilizer (1)
    """)


def test_bought_blocks_come_to_the_racks_at_their_hour() -> None:
    bought = LINE.but(arrives=10.0, ripe_in=Fixed(30 * D), days=("mon", "thu"), blocks=16.0)
    assert log(seen(start=(bought,))) == lines("""
        mon 10:00  A0 comes to racks
        mon 10:00  8 of A0 bought
        thu 10:00  A1 comes to racks
        thu 10:00  8 of A1 bought
    """)


def test_bought_blocks_wait_for_a_free_rack() -> None:
    bought = LINE.but(blocks=16.0, ripe_in=Fixed(1 * D))
    assert log(seen(start=(bought,), incubation=tiny_racks(8.0)), "stays", "blocks")[:8] == lines("""
        mon 08:00  A0 comes to racks
        mon 08:00  8 of A0 bought
        tue 08:00  A0 comes to Shed
        tue 08:00  A0 comes to Shed, promised
        tue 08:00  A0 comes to opening benches
        tue 08:00  A0 leaves racks (8)
        tue 08:00  A1 comes to racks, asked mon 08:00
        tue 08:00  8 of A1 bought
    """)


def test_a_line_that_starts_nothing_makes_nothing() -> None:
    assert log(run(farm(start=(LINE.but(blocks=0.0),)), 1)) == []


def test_the_cooling_floor_is_taken_from_the_sterilizer_to_the_bench() -> None:
    # 24 blocks from Monday 11:00 and 15:00; the lots leave for the bench on Monday 23:00, Tuesday 07:00 and 08:00.
    makes = {**MAKES, "start": (MADE.but(blocks=24.0),), "sterilizer": OVEN.but(cooling_holds=24.0)}
    record = seen(SLOW, **makes)
    number = [name for name, _, _ in record.names.places].index("cooling floor")
    taken = courses(record)[number]
    by_hour = dict(zip(taken.when.tolist(), taken.taken.tolist(), strict=True))
    assert {when: blocks for when, blocks in by_hour.items() if when > 0.0} == {
        11.0: 16_000.0,
        15.0: 24_000.0,
        23.0: 16_000.0,
        27.0: 16_000.0,
        31.0: 8_000.0,
        32.0: 0.0,
    }
