"""A change at a date leaves everything before it as it was: every row that ended before, and all that stands there."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import pytest

from farmsim.model.run import run, set_up
from farmsim.model.site import Site
from farmsim.record import balance
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import PerWeek
from farmsim.scenario.rooms import Opening
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer, Customer, Start
from farmsim.scenario.seasons import AS_USUAL, Months, Shut
from farmsim.scenario.strain import Flushes
from farmsim.scenario.values import DAYS, Range, Shift

from .farms import GROWERS, PICKERS, QUICK, SMALL, SOAKED, everything

WEEK = 168.0
HOLIDAY = datetime.date(2027, 1, 21)  # a Thursday of the third week
CHANGED_AT = 2 * WEEK
WEEKS = 6  # long enough for every change to be seen in what comes after it
NEW_CREW = PICKERS.but(
    name="students", people=2, days=("sat",), hours={"sat": Shift(8.0, 12.0)}, duties=("pick", "pack")
)


def with_strain(farm: Farm, name: str, **figures: object) -> Farm:
    return farm.but(strain={**farm.strain, name: farm.strain[name].but(**figures)})


CHANGES: dict[str, Callable[[Farm], Farm]] = {
    "more pickers": lambda farm: farm.but(crew=(GROWERS, PICKERS.but(people=4))),
    "fewer growers": lambda farm: farm.but(crew=(GROWERS.but(people=1), PICKERS)),
    "a new crew": lambda farm: farm.but(crew=(*farm.crew, NEW_CREW)),
    "other hours": lambda farm: farm.but(crew=(GROWERS.but(hours=dict.fromkeys(DAYS, Shift(9.0, 17.0))), PICKERS)),
    "other days": lambda farm: farm.but(crew=(GROWERS, PICKERS.but(days=PerWeek(4)))),
    "other duties": lambda farm: farm.but(crew=(GROWERS.but(duties=tuple(reversed(GROWERS.duties))), PICKERS)),
    "a new room": lambda farm: farm.but(room=(*farm.room, farm.room[0].but(name="North", holds=40.0))),
    "a smaller room": lambda farm: farm.but(room=(farm.room[0].but(holds=20.0), farm.room[1])),
    "another temperature": lambda farm: farm.but(room=(farm.room[0], farm.room[1].but(range=Range(25.0, 28.0)))),
    "a bigger walk-in": lambda farm: farm.but(walk_in={"main": farm.walk_in["main"].but(holds=500.0)}),
    "a second walk-in": lambda farm: farm.but(walk_in={**farm.walk_in, "annex": farm.walk_in["main"]}),
    "more tanks": lambda farm: farm.but(soak=farm.soak.but(tanks=6)),
    "soaking in the bag": lambda farm: farm.but(soak=farm.soak.but(how="in the bag")),
    "another bench": lambda farm: farm.but(opening=Opening(benches=2)),
    "more racks": lambda farm: farm.but(incubation=farm.incubation.but(holds=900.0)),
    "no inspection": lambda farm: farm.but(incubation=farm.incubation.but(inspect=None)),
    "fewer flushes": lambda farm: with_strain(
        farm, "soaked", flushes=Flushes(share=(0.7, 0.3), rest=24.0, soak_again=True)
    ),
    "more flushes": lambda farm: with_strain(farm, "quick", flushes=Flushes(share=(0.5, 0.3, 0.2), rest=24.0)),
    "smaller loads": lambda farm: farm.but(sterilizer=farm.sterilizer.but(load=20.0)),
    "no second soak": lambda farm: with_strain(farm, "soaked", flushes=SOAKED.flushes.but(soak_again=False)),
    "soaked without a cold shock": lambda farm: with_strain(
        farm, "soaked", steps=("colonise", "ripen", "soak", "open", "fruit"), cold_shock=None
    ),
    "soaked as well": lambda farm: with_strain(
        farm, "quick", steps=("colonise", "soak", "open", "fruit"), soak=SOAKED.soak
    ),
    "a month without orders": lambda farm: farm.but(months=Months(orders=(1.0, 0.0, *AS_USUAL[2:]))),
    "a month of poor yields": lambda farm: farm.but(months=Months(yield_=(0.5, 0.5, *AS_USUAL[2:]))),
    "a month of slow blocks": lambda farm: farm.but(months=Months(days=(1.5, 1.5, *AS_USUAL[2:]))),
    "a line that pauses": lambda farm: farm.but(start=(farm.start[0].but(months=("mar",)), *farm.start[1:])),
    "a room that rests": lambda farm: farm.but(room=(farm.room[0].but(rests=("jan", "feb")), farm.room[1])),
    "a holiday": lambda farm: farm.but(shut=(Shut(name="fair", first=HOLIDAY),)),
    "better blocks": lambda farm: with_strain(farm, "quick", yield_=QUICK.yield_.but(mean=0.9)),
    "a new customer": lambda farm: farm.but(
        customer=(Customer(name="hotel", takes={"quick": 9.0}, days=("mon", "wed"), leave_by=10.0), *farm.customer)
    ),
    "a lost customer": lambda farm: farm.but(customer=farm.customer[1:]),
    "a new block customer": lambda farm: farm.but(
        block_customer=(
            BlockCustomer(name="school", takes={"quick": 10.0}, days=("wed",), notice=24.0),
            *farm.block_customer,
        )
    ),
    "other terms for blocks": lambda farm: farm.but(
        block_customer=(
            farm.block_customer[0].but(age=Range(-24.0, 96.0), patience=72.0, fails=0.2, boxing=20.0),
            farm.block_customer[1].but(part_deliveries=True, made_good="credit", boxing=None, age=None),
        )
    ),
    "nobody who takes boxes": lambda farm: farm.but(block_customer=farm.block_customer[:1]),
    "surplus sold cheap": lambda farm: farm.but(
        rules=Rules(surplus_blocks="sell cheap"),
        block_customer=(
            *farm.block_customer,
            BlockCustomer(name="yard", kind="outlet", takes="anything", days=("tue", "sat")),
        ),
    ),
    "surplus fruited": lambda farm: farm.but(rules=Rules(surplus_blocks="fruit", sold_first="freshest first")),
    "moving days": lambda farm: farm.but(rules=Rules(call_in="on moving days")),
    "more blocks started": lambda farm: farm.but(start=(farm.start[0].but(blocks=90.0), *farm.start[1:])),
    "other days of start": lambda farm: farm.but(start=(farm.start[0].but(days=("fri",)), *farm.start[1:])),
    "a new line": lambda farm: farm.but(
        start=(Start(name="D", strain="quick", blocks=20.0, days=("mon",)), *farm.start)
    ),
    "a line less": lambda farm: farm.but(start=farm.start[1:]),
    "other house rules": lambda farm: farm.but(rules=Rules(ripe_blocks="own rooms first", pick_first="dearest")),
}


def standing(site: Site) -> dict[str, object]:
    """All that stands on the site, by name."""
    walkers = {**site.lots, **site.loads}
    return {
        "lots": {
            key: (
                walker.steps[walker.at].name,
                walker.since,
                walker.blocks,
                {
                    purpose: (stay.place.name, stay.amount, stay.came, stay.ready)
                    for purpose, stay in walker.stays.items()
                },
                walker.request.asked if walker.request is not None else None,
            )
            for key, walker in walkers.items()
        },
        "beds": {(bed.room, bed.strain): [lot.key for lot in bed.lots] for bed in site.crop.beds},
        "stock": {kind: [(p.dies, p.kg) for p in stock] for kind, stock in site.stock.items()},
        "places": {place.name: place.used for place in site.places.all if place.used},
        "rooms": dict(site.room_closed),
    }


def stands_at(farm: Farm, when: float) -> dict[str, object]:
    site = set_up(farm, 1, 0, WEEKS)
    site.desk.run(until=when)
    told = standing(site)
    return {key: repr(value).replace("walk-in main", "walk-in") for key, value in told.items()}


def before(record: Record, when: float = CHANGED_AT) -> dict[str, list[tuple[object, ...]]]:
    """Every row that ended before an hour; a part of a lot is known from its sale on, though it was started before.

    The only walk-in is called "walk-in" until there is a second one.
    """
    told = everything(record, before=when)
    sold = {row[0] for row in told["blocks"]}
    told["lots"] = [row for row in told["lots"] if row[0].count("/") < 3 or row[0] in sold]
    return {
        table: [tuple("walk-in" if cell == "walk-in main" else cell for cell in row) for row in rows]
        for table, rows in told.items()
    }


BASE = run(SMALL, 1, 0, WEEKS)
BASE_BEFORE = before(BASE)
BASE_STANDING = stands_at(SMALL, CHANGED_AT)


@pytest.mark.parametrize("change", CHANGES)
def test_everything_before_the_date_stays_as_it_was(change: str) -> None:
    changed = SMALL.but(changes=((CHANGED_AT, CHANGES[change](SMALL)),))
    record = run(changed, 1, 0, WEEKS)
    assert before(record) == BASE_BEFORE
    assert stands_at(changed, CHANGED_AT) == BASE_STANDING
    assert balance.faults(record) == []
    assert everything(record) != everything(BASE)  # and something changed after it


def test_a_change_to_the_same_farm_changes_nothing() -> None:
    assert everything(run(SMALL.but(changes=((CHANGED_AT, SMALL),)), 1, 0, WEEKS)) == everything(BASE)


def test_a_change_after_the_end_changes_nothing() -> None:
    late = SMALL.but(changes=((9 * WEEK, CHANGES["more pickers"](SMALL)),))
    assert everything(run(late, 1, 0, WEEKS)) == everything(BASE)


def test_two_changes_come_into_force_one_after_the_other() -> None:
    first, second = CHANGES["more pickers"](SMALL), CHANGES["more tanks"](CHANGES["more pickers"](SMALL))
    one = run(SMALL.but(changes=((WEEK, first),)), 1, 0, WEEKS)
    both = run(SMALL.but(changes=((WEEK, first), (CHANGED_AT, second))), 1, 0, WEEKS)
    assert before(both, WEEK) == before(BASE, WEEK)
    assert before(both) == before(one)


def test_a_farm_that_changes_on_its_first_monday_starts_from_the_same_lead_in() -> None:
    changed = SMALL.but(changes=((0.0, CHANGES["a new room"](SMALL)),))
    assert before(run(changed, 1, 0, 2), 0.0) == before(BASE, 0.0)
