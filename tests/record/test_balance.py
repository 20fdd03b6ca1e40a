"""A sound record has no faults; each broken invariant is named in plain words."""

from collections.abc import Callable

import pytest
from two_weeks import A1, END, LAB, NAN, NORTH, OYSTER, PICK, PICKERS, RACKS, SHIITAKE, TANK, WHAT, A, B, C

from farmsim.record.balance import LOOKS, faults
from farmsim.record.journal import Journal
from farmsim.record.tables import Record

Read = Callable[[Journal], Record]


def test_the_two_weeks_are_sound(record: Record) -> None:
    assert faults(record) == []


def _stay(journal: Journal, *row: float) -> None:
    journal.stays(row)  # type: ignore[arg-type]


BROKEN: dict[str, tuple[Callable[[Journal], object], str]] = {
    "blocks vanish": (
        lambda j: j.blocks((C, OYSTER, WHAT["cleared"], 300.0, 5.0, -1)),
        "oyster: blocks that came less those sold, lost, cleared or still inside are -5 blocks, not 0",
    ),
    "mushrooms vanish": (
        lambda j: j.picks((A, 2, 0, 310.0, 0, 2.0, 0.5, 9.0)),
        "shiitake: mushrooms picked to be sold less those sold, thrown out or still there are 2.5 kg, not 0",
    ),
    "delivered from nowhere": (
        lambda j: j.orders((0, SHIITAKE, 200.0, 8.0, 8.0, 0.0)),
        "shiitake: mushrooms that left the stock for orders less those delivered are -8 kg, not 0",
    ),
    "blocks delivered from nowhere": (
        lambda j: j.block_orders((0, OYSTER, 200.0, 3.0, 3.0, 0.0)),
        "oyster: blocks sold less those delivered to block orders are -3 blocks, not 0",
    ),
    "a lot gives too much": (
        lambda j: j.blocks((A1, SHIITAKE, WHAT["contaminated"], 99.0, 1.0, -1)),
        "lot monday/2027-01-11/01: 51 blocks left it, but only 50 came",
    ),
    "left before it came": (
        lambda j: _stay(j, B, TANK, 0, 0, 150.0, 152.0, 151.0, 153.0),
        "tank: lot monday/2027-01-25/01 ready at hour 151, before it came at hour 152",
    ),
    "came before it asked": (
        lambda j: _stay(j, B, TANK, 0, 0, 155.0, 152.0, 152.5, 153.0),
        "tank: lot monday/2027-01-25/01 came at hour 152, before it asked at hour 155",
    ),
    "gave up before it asked": (
        lambda j: j.waits((B, RACKS, 0, 155.0, 152.0)),
        "racks: lot monday/2027-01-25/01 given up at hour 152, before it asked at hour 155",
    ),
    "a task ends before it begins": (
        lambda j: j.tasks((LAB, 0, PICK, B, 0, 170.0, 173.0, 172.5, 0.0, 0.0)),
        "lab: lot monday/2027-01-25/01 ended at hour 172.5, before it began at hour 173",
    ),
    "gave back what it did not hold": (
        lambda j: j.freed((C, NORTH, 150.0, 1_000)),
        "lot monday/2027-01-18/01 gave back places it did not hold (North, hour 150)",
    ),
    "less than nothing": (
        lambda j: j.packs((SHIITAKE, 150.0, -2.0)),
        "packs: kg is -2 in row 4; it can never be less than 0",
    ),
    "above capacity": (
        lambda j: _stay(j, B, TANK, 0, 1_000, 92.0, 92.0, 93.0, 94.0),
        "tank: 2 places taken at hour 92, but there are only 1",
    ),
    "sold past its date": (
        lambda j: j.stock_out((OYSTER, 0, 2, 0, 0.0, 120.0, 120.0, 0.0)),
        "oyster: sold at hour 120, past its date (hour 120)",
    ),
    "more than promised": (
        lambda j: j.orders((0, SHIITAKE, 200.0, 1.0, 0.0, 2.0)),
        "orders: 2 kg delivered or carried over at hour 200, but only 1 promised",
    ),
    "a stall loses count": (
        lambda j: j.market_days((1, OYSTER, 100.0, 9.0, 8.0, 4.0, 4.0, 3.0, 0.5, 107.0)),
        "stall: 8 kg brought of 9 kg wanted, but 4 kg sold, 3 kg back and 0.5 kg lost",
    ),
    "a stall brings too much": (
        lambda j: j.market_days((1, OYSTER, 100.0, 7.0, 8.0, 4.0, 4.0, 4.0, 0.0, 107.0)),
        "stall: 8 kg brought of 7 kg wanted, but 4 kg sold, 4 kg back and 0 kg lost",
    ),
    "given instead from nowhere": (
        lambda j: j.substituted((0, SHIITAKE, OYSTER, 152.0, 1.5)),
        "shiitake: mushrooms that left the stock for orders less those delivered are 1.5 kg, not 0",
    ),
    "more blocks than promised": (
        lambda j: j.block_orders((0, SHIITAKE, 200.0, 1.0, 0.0, 2.0)),
        "block_orders: 2 blocks delivered or carried over at hour 200, but only 1 promised",
    ),
    "more credited than failed": (
        lambda j: j.block_claims((0, SHIITAKE, 200.0, 1.0, 2.0, 0.0)),
        "block_claims: 2 blocks credited in row 2, but only 1 failed",
    ),
    "more told as short than missing": (
        lambda j: j.shorts((1, OYSTER, 152.0, 2, 0.75, 0.0)),
        "stall: 0.25 kg more told as short than missing (hour 152)",
    ),
    "left before its hour": (
        lambda j: j.rounds((0, 90.0, 89.0, 91.0, 0, 1.0, 1.0, 1.0, 0.0, NAN)),
        "town: left at hour 89, due at hour 90",
    ),
    "back before it left": (
        lambda j: j.rounds((1, 90.0, 92.0, 91.0, 0, 1.0, 1.0, 1.0, 0.0, NAN)),
        "market: back at hour 91, left at 92",
    ),
    "more in the van than it holds": (
        lambda j: j.rounds((0, 90.0, 90.0, 91.0, 0, 1.0, 9.0, 9.0, 0.0, 1.5)),
        "town: took 150 % of what the van has room for (hour 90)",
    ),
    "worked more than was there": (
        lambda j: j.tasks((PICKERS, 0, PICK, -1, 0, 177.0, 177.0, 190.0, 10.0, 3.0)),
        "pickers: 9 h worked in the shift from hour 174, overtime left out, but only 8 h rostered",
    ),
    "at work after going home": (
        lambda j: j.attended((PICKERS, 0, 174.0, 8.0, 2.0, 0.0, 2.0, 0.0, 0.0, 176.0)),
        "pickers: person 1 at work until hour 177, but gone home at hour 176",
    ),
    "worked longer than they were there": (
        lambda j: j.attended((LAB, 0, 166.0, 8.0, 1.5, 0.0, 1.5, 0.0, 0.0, NAN)),
        "lab: 2 h worked by somebody who was there 1.5 h of the 8 h from hour 166 on, overtime left out",
    ),
    "overtime that nobody worked": (
        lambda j: j.attended((PICKERS, 0, 6.0, 8.0, 8.0, 0.5, 8.5, 0.5, 0.0, 14.5)),
        "pickers: 0.5 h of overtime told of somebody in the shift from hour 6, but 0 h worked",
    ),
    "worked before any shift": (
        lambda j: j.tasks((PICKERS, 0, PICK, -1, 0, 1.0, 2.0, 3.0, 1.0, 0.0)),
        "pickers: at work at hour 2, before any shift",
    ),
    "two tasks at once": (
        lambda j: j.tasks((LAB, 0, PICK, -1, 0, 170.0, 171.0, 173.0, 1.0, 0.0)),
        "lab: person 1 began a task at hour 171 with another in hand until hour 172",
    ),
    "worked longer than it lasted": (
        lambda j: j.tasks((LAB, 0, PICK, -1, 0, 172.0, 172.0, 173.0, 1.5, 0.0)),
        "lab: 1.5 h worked in a task of 1 h (hour 172)",
    ),
    "one key twice": (
        lambda j: j.lot(("monday/2027-01-25/01", 0, OYSTER, 0.0, 1, 0.0, 0.0, "")),
        "lot monday/2027-01-25/01 came to be twice",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_invariant_is_named(journal: Journal, read: Read, name: str) -> None:
    breaks, text = BROKEN[name]
    breaks(journal)
    assert text in faults(read(journal))


def test_every_look_has_a_broken_case(journal: Journal, read: Read) -> None:
    for breaks, _ in BROKEN.values():
        breaks(journal)
    record = read(journal)
    assert [look.__name__ for look in LOOKS if not list(look(record))] == []


def test_only_the_first_culprit_is_named_with_how_many_more_there_are(journal: Journal, read: Read) -> None:
    for hour in (200.0, 201.0, 202.0):
        journal.freed((C, NORTH, hour, 1_000))
    (fault,) = faults(read(journal))
    assert fault == "lot monday/2027-01-18/01 gave back places it did not hold (North, hour 200) (and 2 more)"


def test_who_gave_back_places_without_a_number_is_not_looked_for(journal: Journal, read: Read) -> None:
    journal.freed((-1, NORTH, 150.0, 1_000))
    assert faults(read(journal)) == []


def test_a_place_may_hold_more_after_it_became_smaller_but_nobody_may_come(journal: Journal, read: Read) -> None:
    journal.capacity((RACKS, 180.0, 20_000))
    assert faults(read(journal)) == []


def test_coming_into_a_place_that_became_too_small_is_a_fault(journal: Journal, read: Read) -> None:
    journal.capacity((RACKS, 180.0, 20_000))
    journal.stays((C, RACKS, 0, 1_000, 190.0, 190.0, NAN, NAN))
    assert faults(read(journal)) == ["racks: 41 places taken at hour 190, but there are only 20"]


def test_what_is_left_at_the_end_must_be_written_down(journal: Journal, read: Read) -> None:
    lost = Journal(journal.names)
    lost.lot(("monday/2027-01-25/01", 0, OYSTER, 0.0, 1, 0.0, 40.0, ""))
    lost.blocks((0, OYSTER, WHAT["made"], 0.0, 40.0, -1))
    lost.picks((0, 1, 0, END - 1.0, 0, 1.0, 0.0, 0.0))
    found = faults(read(lost))
    assert found[:2] == [
        "it is not written down how many blocks are left at the end",
        "it is not written down how many mushrooms are left at the end",
    ]


def test_rounding_of_many_weights_is_no_fault(journal: Journal, read: Read) -> None:
    journal.picks((A, 2, 0, 310.0, 0, 1e-7, 0.0, 0.0))
    assert faults(read(journal)) == []
