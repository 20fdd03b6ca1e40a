"""A small farm's two weeks, written into a journal by hand: three lots, a room, a tank, two crews, a few crates.

The clock is 0 on Monday 25 January 2027, so the second week is the first of February. What happened:

- lot A (shiitake, 50 blocks, made ten days before) loses 3 blocks, 10 are sold as A/1, 37 go by the tank to the shelf
- lot B (oyster, 40 blocks, made at hour 0) loses 4, ripens for the rest of the time and waits for the shelf to the end
- lot C (oyster, 30 blocks, bought before) comes to the tank after A; 20 of its blocks are cleared
- the round to town leaves twice, the second time an hour late; the market is missed once, has nothing to sell once, and is
  on its way at the end
"""

from farmsim.record.columns import WHATS
from farmsim.record.journal import Journal
from farmsim.record.names import Names

NAN = float("nan")
END = 336.0
A, B, C, A1 = range(4)
RACKS, PROMISED, TANK, NORTH = range(4)
SHIITAKE, OYSTER = range(2)
PICKERS, LAB = range(2)
PICK, PACK = range(2)
WHAT = {name: number for number, name in enumerate(WHATS)}

NAMES = Names(
    places=(
        ("racks", "racks", "blocks"),
        ("North, promised", "booked", "blocks"),
        ("tank", "soak tanks", "tanks"),
        ("North", "shelf", "blocks"),
    ),
    crews=("pickers", "lab"),
    duties=("pick", "pack"),
    strains=("shiitake", "oyster"),
    lines=("monday",),
    rooms=("North",),
    customers=("restaurants", "stall"),
    block_customers=("growers",),
    rounds=("town", "market"),
)


def write_lots(journal: Journal) -> None:
    journal.lot(("monday/2027-01-11/01", 0, SHIITAKE, -336.0, 1, -240.0, 50.0, "monday/2027-01-11/L1"))
    journal.lot(("monday/2027-01-25/01", 0, OYSTER, 0.0, 1, 0.0, 40.0, ""))
    journal.lot(("monday/2027-01-18/01", 0, OYSTER, -168.0, 1, -100.0, 30.0, ""))
    journal.lot(("monday/2027-01-11/01/1", 0, SHIITAKE, -336.0, 1, -240.0, 10.0, ""))
    for row in (
        (A, SHIITAKE, WHAT["made"], -240.0, 50.0, -1),
        (C, OYSTER, WHAT["bought"], -100.0, 30.0, -1),
        (B, OYSTER, WHAT["made"], 0.0, 40.0, -1),
        (A, SHIITAKE, WHAT["contaminated"], 12.0, 3.0, -1),
        (A1, SHIITAKE, WHAT["sold"], 24.0, 10.0, 0),
        (A, SHIITAKE, WHAT["opened"], 100.0, 37.0, -1),
        (B, OYSTER, WHAT["too old"], 200.0, 4.0, -1),
        (C, OYSTER, WHAT["cleared"], 250.0, 20.0, -1),
        (A, SHIITAKE, WHAT["cleared"], 330.0, 37.0, -1),
    ):
        journal.blocks(row)
    for row in ((SHIITAKE, 50.0, 0.0), (OYSTER, 30.0, 0.0), (SHIITAKE, 0.0, END), (OYSTER, 46.0, END)):
        journal.inside(row)


def write_places(journal: Journal) -> None:
    for place, thousandths in ((RACKS, 100_000), (PROMISED, 60_000), (TANK, 1_000), (NORTH, 60_000)):
        journal.capacity((place, -336.0, thousandths))
    journal.freed((A, RACKS, 12.0, 3_000))
    journal.freed((A, RACKS, 24.0, 10_000))
    journal.freed((B, RACKS, 200.0, 4_000))
    for row in (
        (A, RACKS, 0, 37_000, -240.0, -240.0, 48.0, 76.0),
        (A, TANK, 0, 1_000, 76.0, 76.0, 90.0, 96.0),
        (C, TANK, 0, 1_000, 80.0, 96.0, 100.0, 110.0),
        (A, NORTH, 1, 37_000, 96.0, 100.0, 290.0, 300.0),
        (A, PROMISED, 1, 37_000, 48.0, 70.0, 300.0, 300.0),
        (B, RACKS, 0, 36_000, 0.0, 0.0, NAN, NAN),
        (B, PROMISED, 0, 36_000, 200.0, NAN, NAN, NAN),
    ):
        journal.stays(row)
    journal.waits((B, TANK, 0, 105.0, 112.0))


def write_people(journal: Journal) -> None:
    for shift in ((LAB, -2.0, 1.0, 8.0), (PICKERS, 6.0, 2.0, 8.0), (LAB, 166.0, 1.0, 8.0), (PICKERS, 174.0, 1.0, 8.0)):
        journal.rostered(shift)
    for task in (
        (LAB, 0, PACK, A, 1, -2.0, -1.0, 1.0, 2.0, 0.0),
        (PICKERS, 0, PICK, -1, 0, 5.0, 6.0, 10.0, 4.0, 0.0),
        (PICKERS, 0, PACK, -1, 0, 9.0, 10.0, 12.0, 2.0, 0.0),
        (PICKERS, 1, PICK, A, 1, 8.0, 8.0, 15.0, 7.0, 1.0),
        (LAB, 0, PACK, B, 0, 160.0, 170.0, 172.0, 2.0, 0.0),
        (PICKERS, 0, PACK, -1, 0, 174.0, 175.0, 177.0, 2.0, 0.0),
    ):
        journal.tasks(task)


def write_mushrooms(journal: Journal) -> None:
    for pick in (
        (C, 1, 0, -5.0, 0, 3.0, 0.0, 0.0),
        (A, 1, 0, 150.0, 0, 5.0, 1.0, 0.5),
        (A, 1, 0, 172.0, 1, 4.0, 2.0, 1.0),
        (A, 2, 0, 290.0, 0, 2.0, 0.0, 0.0),
    ):
        journal.picks(pick)
    for strain, when, kg in ((OYSTER, -4.0, 3.0), (SHIITAKE, 151.0, 6.0), (SHIITAKE, 173.0, 6.0)):
        journal.packs((strain, when, kg))
        journal.crates((strain, when - 1.0, when + 3.0, kg, 0.0, when, -1))
    for row in (
        (OYSTER, 1, 2, 1, -5.0, 90.0, 50.0, 1.0),
        (OYSTER, 0, 0, 0, -5.0, 90.0, 80.0, 1.0),
        (OYSTER, 0, 1, -1, -5.0, 90.0, 100.0, 1.0),
        (SHIITAKE, 0, 0, 0, 150.0, 400.0, 152.0, 4.0),
        (SHIITAKE, 0, 0, 0, 150.0, 400.0, 176.0, 3.0),
    ):
        journal.stock_out(row)
    for row in ((OYSTER, 0, 3.0, 0.0), (SHIITAKE, 0, 2.0, END), (SHIITAKE, 1, 3.0, END), (SHIITAKE, 2, 2.0, END)):
        journal.left_over(row)


def write_orders(journal: Journal) -> None:
    for row in (
        (0, OYSTER, 80.0, 1.0, 1.0, 0.0),
        (0, SHIITAKE, 152.0, 5.0, 4.0, 1.0),
        (1, OYSTER, 152.0, 2.0, 0.0, 0.0),
        (0, SHIITAKE, 176.0, 3.0, 3.0, 0.0),
    ):
        journal.orders(row)
    journal.block_orders((0, SHIITAKE, 24.0, 12.0, 10.0, 2.0))
    journal.block_orders((0, SHIITAKE, 48.0, 2.0, 0.0, 0.0))
    journal.block_claims((0, SHIITAKE, 24.0, 3.0, 1.0, 2.0))
    journal.unboxed((0, SHIITAKE, 24.0, 2.0))


def write_rounds(journal: Journal) -> None:
    for row in (
        (0, 80.0, 80.0, 84.0, 0, 1.0, 2.0, 1.0, 0.0, 0.5),
        (0, 152.0, 153.0, 157.0, 0, 1.0, 3.0, 4.0, 1.5, 1.0),
        (1, 200.0, NAN, 202.0, 1, 0.0, 0.0, 0.0, 0.0, NAN),
        (1, 310.0, NAN, 310.0, 2, 0.0, 0.0, 0.0, 0.0, NAN),
        (1, 330.0, 330.0, NAN, 3, 2.0, 1.0, 1.0, 0.0, NAN),
        (0, 335.0, NAN, NAN, 3, 0.0, 0.0, 0.0, 0.0, NAN),
    ):
        journal.rounds(row)
    journal.shorts((0, SHIITAKE, 152.0, 0, 1.0, 1.0))  # carried to the next day: never short
    journal.shorts((1, OYSTER, 152.0, 1, 1.5, 0.0))


def two_weeks() -> Journal:
    """The two weeks as they were written down."""
    written = Journal(NAMES)
    for write in (write_lots, write_places, write_people, write_mushrooms, write_orders, write_rounds):
        write(written)
    return written
