"""Luck goes by name: a line that grows, a line above, a longer lead-in leave the fate of every other lot as it was."""

from __future__ import annotations

import pytest

from farmsim.model.build import build
from farmsim.model.luck import Luck
from farmsim.model.run import run
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew
from farmsim.scenario.rooms import Opening, Sterilizer
from farmsim.scenario.sales import Start
from farmsim.scenario.values import DAYS, Shift

from .farms import QUICK, SMALL, everything

WEEK = 168.0
Fates = dict[str, tuple[object, ...]]

ALWAYS = Crew(
    name="many",
    people=40,
    days=DAYS,
    hours=dict.fromkeys(DAYS, Shift(0.0, 24.0)),
    duties=("mix", "inoculate", "inspect", "soak", "open", "pick", "pack", "clear", "clean"),
)
ROOMY = SMALL.but(
    farm=SMALL.farm.but(round=0.01, begin="full swing", lead_in=2),
    crew=(ALWAYS,),
    opening=Opening(benches=50),
    sterilizer=Sterilizer(count=50, load=20.0, cycle=6.0, cool=12.0),
    clean_bench=SMALL.clean_bench.but(people=50),
    incubation=SMALL.incubation.but(holds=9000.0, inspect=None),
    room=(SMALL.room[0].but(holds=9000.0),),
    walk_in={"main": SMALL.walk_in["main"].but(holds=9000.0, chills=None)},
    soak=SMALL.soak.but(tanks=50),
    block_customer=(),
    customer=(),
)
"""A farm on which nobody ever waits for anybody: what a lot does is its own affair."""


def growing(farm: Farm, blocks: float) -> Farm:
    """The farm with so many blocks a week in line A, all started on Monday in lots of 10, two to a load."""
    return farm.but(start=(farm.start[0].but(blocks=blocks, days=("mon",)), *farm.start[1:]))


TEN, TWELVE = growing(ROOMY, 100.0), growing(ROOMY, 120.0)
ABOVE = Start(name="Z", strain="quick", blocks=50.0, days=("mon", "tue"))
FARMS = {
    "a line that grows from 10 to 12 lots": TWELVE,
    "a line inserted above": TEN.but(start=(ABOVE, *TEN.start)),
    "a line added below": TEN.but(start=(*TEN.start, ABOVE)),
    "lines in another order": TEN.but(start=tuple(reversed(TEN.start))),
    "a longer lead-in": TEN.but(farm=TEN.farm.but(lead_in=4)),
    "a longer run": TEN.but(farm=TEN.farm.but(weeks=9)),
    "another strain added above": TEN.but(strain={"new": QUICK, **TEN.strain}),
    "other rooms and people": TEN.but(room=SMALL.room, crew=SMALL.crew),
}


def fates(farm: Farm, weeks: int = 5) -> Fates:
    """By lot: until it is ripe, its bad blocks, and what ripens in each flush."""
    lead_in = farm.farm.lead_in or 0
    site = build(farm, Luck(7, 3), -WEEK * lead_in, WEEK * weeks)
    found: Fates = {}
    for line, pieces in site.fates.items():
        ((_, luck),) = pieces
        for monday in range(-lead_in, weeks):
            for slot in luck.slots:
                row = luck.row(monday, slot.position)
                crops = tuple(tuple(luck.crop(row, flush, slot.blocks)) for flush in range(luck.flushes))
                found[f"{line}/{monday}/{slot.position}"] = (slot.blocks, *luck.of(row).told(), crops)
    return found


BASE_FATES = fates(TEN)


@pytest.mark.parametrize("other", FARMS)
def test_the_fate_of_every_other_lot_stays_as_it_was(other: str) -> None:
    found = fates(FARMS[other])
    assert {lot: found[lot] for lot in BASE_FATES} == BASE_FATES


def test_lots_have_different_fates() -> None:
    per_line = {lot: fate for lot, fate in BASE_FATES.items() if lot.startswith("A/")}
    assert len({fate[1] for fate in per_line.values()}) == len(per_line)


def test_another_run_has_other_fates_and_another_name_too() -> None:
    renamed = TEN.but(start=(TEN.start[0].but(name="X"), *TEN.start[1:]))
    here, there = BASE_FATES["A/0/3"], fates(renamed)["X/0/3"]
    assert here != there


def test_a_line_spread_over_days_keeps_times_and_yields_when_it_grows() -> None:
    spread = ROOMY.but(start=(ROOMY.start[0].but(blocks=100.0),))
    more = ROOMY.but(start=(ROOMY.start[0].but(blocks=120.0),))
    few, many = fates(spread), fates(more)
    assert {lot: fate[1] for lot, fate in few.items()} == {lot: many[lot][1] for lot in few}


# --- where nothing is shared, the whole journal ---------------------------------------------------------------------


def of_lots(record: Record, lots: set[str]) -> dict[str, list[tuple[object, ...]]]:
    """The rows of these lots, without who did the work."""
    told = everything(record)
    keep = {"stays": 0, "freed": 0, "tasks": 3, "picks": 0, "blocks": 0, "lots": 0}
    found = {}
    for table, column in keep.items():
        rows = [row for row in told[table] if row[column] in lots]
        if table == "tasks":
            rows = [(row[0], *row[2:]) for row in rows]
        found[table] = rows
    return found


def keys(record: Record, since: float = 0.0) -> set[str]:
    """Lots started at `since` or later."""
    return {str(row[0]) for row in record.rows("lots") if row[3] >= since}


BASE = run(TEN, 7, 3, 2)


@pytest.mark.parametrize("other", [name for name in FARMS if name not in ("other rooms and people", "a longer run")])
def test_where_nothing_is_shared_the_journal_of_every_other_lot_stays_as_it_was(other: str) -> None:
    record = run(FARMS[other], 7, 3, 2)
    lots = keys(BASE)
    assert len(lots) > 30
    assert of_lots(record, lots) == of_lots(BASE, lots)


def test_and_something_is_told_of_them() -> None:
    told = of_lots(BASE, keys(BASE))
    assert all(told.values())
    assert {row[1] for row in told["picks"]} >= {0, 1}
