"""Packing: what was picked is packed in the order in which it came in, round by round."""

from __future__ import annotations

from ..tiny import DAYS, LINE, OWNER, OYSTER, SHED, lines, log, of_crew, seen

BIG = SHED.but(holds=100.0)
PICKER = of_crew("pick", "open", "clear")


def packer(start: float = 6.0, end: float = 18.0, people: int = 1) -> object:
    return of_crew("pack", start=start, end=end, name="packers", people=people)


def packed(record: object) -> list[str]:
    return [line for line in log(record, "tasks", "packs") if "pack" in line]  # type: ignore[arg-type]


def test_what_is_picked_is_packed_and_put_by() -> None:
    assert log(seen(crew=(PICKER, packer())), "tasks", "picks", "packs", "crates")[1:] == lines("""
        wed 07:00  owner 0 ends pick, begun wed 06:00
        wed 07:00  picked 4 firsts + 0 seconds + 0 culls from A0, flush 0, 0 late
        wed 07:30  packers 0 ends pack, begun wed 07:00
        wed 07:30  packed 4 of oyster
        wed 07:30  4 + 0 of oyster put in walk-in
        wed 08:00  owner 0 ends clear A0, begun wed 07:00
    """)


def test_a_round_of_packing_takes_no_longer_than_an_hour() -> None:
    record = seen(OYSTER.but(pack=2.0), crew=(PICKER, packer()))
    assert packed(record) == lines("""
        wed 08:00  packers 0 ends pack, begun wed 07:00
        wed 08:00  packed 2 of oyster
        wed 09:00  packers 0 ends pack, begun wed 08:00
        wed 09:00  packed 2 of oyster
    """)


def test_what_was_picked_first_is_packed_first() -> None:
    strains = {"oyster": OYSTER.but(pack=4.0), "other": OYSTER.but(pack=4.0)}
    start = (LINE, LINE.but(name="B", strain="other"), LINE.but(name="C"))
    record = seen(strains, start=start, room=(BIG,), crew=(PICKER, packer()))
    assert packed(record) == lines("""
        wed 08:00  packers 0 ends pack, begun wed 07:00
        wed 08:00  packed 4 of oyster
        wed 09:00  packers 0 ends pack, begun wed 08:00
        wed 09:00  packed 4 of other
        wed 10:00  packers 0 ends pack, begun wed 09:00
        wed 10:00  packed 4 of oyster
    """)


def test_a_round_takes_more_of_the_same_strain_until_it_is_long_enough() -> None:
    strains = {"oyster": OYSTER, "other": OYSTER}
    start = (LINE, LINE.but(name="B", strain="other"), LINE.but(name="C"), LINE.but(name="D"))
    late_packers = packer(start=10.0)
    assert packed(seen(strains, start=start, room=(BIG,), crew=(PICKER, late_packers))) == lines("""
        wed 11:00  packers 0 ends pack, begun wed 10:00
        wed 11:00  packed 8 of oyster
        wed 11:30  packers 0 ends pack, begun wed 11:00
        wed 11:30  packed 4 of other
        wed 12:00  packers 0 ends pack, begun wed 11:30
        wed 12:00  packed 4 of oyster
    """)


def test_a_round_takes_only_a_part_of_the_last_it_has_time_for() -> None:
    start = (LINE, LINE.but(name="B"), LINE.but(name="C"))
    record = seen(OYSTER.but(pack=6.0), start=start, room=(BIG,), crew=(PICKER, packer(start=10.0)))
    assert packed(record) == lines("""
        wed 11:00  packers 0 ends pack, begun wed 10:00
        wed 11:00  packed 6 of oyster
        wed 12:00  packers 0 ends pack, begun wed 11:00
        wed 12:00  packed 6 of oyster
    """)


def test_two_packers_share_what_stands_there() -> None:
    record = seen(OYSTER.but(pack=2.0), crew=(PICKER, packer(people=2)))
    assert packed(record) == lines("""
        wed 08:00  packers 0 ends pack, begun wed 07:00
        wed 08:00  packers 1 ends pack, begun wed 07:00
        wed 08:00  packed 2 of oyster
        wed 08:00  packed 2 of oyster
    """)


def test_the_end_of_the_shift_cuts_a_round_and_the_rest_is_packed_the_next_morning() -> None:
    record = seen(crew=(PICKER, packer(start=6.0, end=7.25)))
    assert packed(record) == lines("""
        wed 07:15  packers 0 ends pack, begun wed 07:00
        wed 07:15  packed 2 of oyster
        thu 06:15  packers 0 ends pack, begun thu 06:00
        thu 06:15  packed 2 of oyster
    """)


def test_whoever_picks_before_packing_lets_the_crates_stand() -> None:
    start = (LINE.but(blocks=16.0),)
    pick_first = seen(start=start, crew=(of_crew("pick", "pack", "open", "clear"),))
    pack_first = seen(start=start, crew=(of_crew("pack", "pick", "open", "clear"),))
    assert [row[1] - 48.0 for row in pick_first.rows("packs")] == [9.0]
    assert [row[1] - 48.0 for row in pack_first.rows("packs")] == [7.5, 9.0]


def test_seconds_are_packed_with_the_firsts_and_put_by_apart() -> None:
    late = OWNER.but(days=("mon", "thu"))
    assert log(seen(crew=(late,)), "packs", "crates") == lines("""
        thu 07:45  packed 5 of oyster
        thu 07:45  0 + 2.5 of oyster put in walk-in
        thu 07:45  2.5 + 0 of oyster put in walk-in
    """)


def test_culls_are_not_packed() -> None:
    very_late = OWNER.but(days=("mon", "fri"))
    assert log(seen(crew=(very_late,)), "picks", "packs", "crates") == lines("""
        fri 07:17  picked 0 firsts + 3.125 seconds + 3.125 culls from A0, flush 0, 2 late
        fri 07:40  packed 3.125 of oyster
        fri 07:40  0 + 3.125 of oyster put in walk-in
    """)


def test_what_is_not_packed_at_the_end_is_counted_as_left_over() -> None:
    nobody_packs = seen(crew=(PICKER,))
    assert [row for row in nobody_packs.rows("left_over") if row[2]] == [("oyster", 2, 4.0, 168.0)]
    assert DAYS[0] == "mon"
