"""Each house rule that says who may do what keeps its word over weeks of a whole farm, and changes something."""

from __future__ import annotations

from collections.abc import Callable
from statistics import fmean

import pytest

from farmsim.model.run import run
from farmsim.record.balance import faults
from farmsim.record.columns import WHATS
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import IN_THE_ROOMS
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer

from .farms import EVERY_KIND, SMALL, D, everything

WEEKS = 6
APART = SMALL.but(rules=SMALL.rules.but(clean_bench="nobody from a fruiting room"))


def from_the_rooms_to_the_bench(record: Record) -> int:
    """How often somebody begins to inoculate who has been in a fruiting room on the same day."""
    rows = sorted(record.rows("tasks"), key=lambda row: row[6])
    in_rooms: set[tuple[object, ...]] = set()
    found = 0
    for crew, person, duty, _, _, _, began, *_ in rows:
        day = began // 24.0
        found += duty == "inoculate" and (crew, person, day) in in_rooms
        if duty in IN_THE_ROOMS:
            in_rooms.add((crew, person, day))
    return found


def test_nobody_goes_from_a_fruiting_room_to_the_clean_bench_on_one_day() -> None:
    plain, apart = run(SMALL, 1, 0, WEEKS), run(APART, 1, 0, WEEKS)
    assert from_the_rooms_to_the_bench(plain) > 10
    assert from_the_rooms_to_the_bench(apart) == 0
    assert faults(apart) == []
    assert everything(apart) != everything(plain)


# --- every rule changes something, and what it is for ----------------------------------------------------------------

OUTLET = BlockCustomer(name="yard", kind="outlet", takes="anything", days=("tue", "sat"))
INN = SMALL.customer[0].but(name="inn", takes={"quick": 12.0})  # wants more than the shop at the same hour
GROWER = SMALL.block_customer[0].but(unfilled="lost", notice=3 * D)
TIGHT = SMALL.but(room=(SMALL.room[0].but(holds=30.0),), block_customer=(GROWER, OUTLET))
ROOMY = SMALL.but(
    room=tuple(room.but(holds=300.0) for room in SMALL.room),
    soak=SMALL.soak.but(tanks=20),
    customer=(*SMALL.customer, INN),
    block_customer=(GROWER.but(takes={"quick": 70.0, "soaked": 25.0}, days=("mon",), notice=6 * D), OUTLET),
)


def blocks(record: Record, what: str) -> float:
    """Blocks to which one thing happened."""
    return sum(row[4] for row in record.rows("blocks") if row[2] == WHATS.index(what))


def called_on(record: Record) -> set[int]:
    """Days of the week on which lots are called."""
    kinds = {name: kind for name, kind, _ in record.names.places}
    return {int(row[5] // D) % 7 for row in record.rows("stays") if kinds[row[1]] == "booked" and row[5] is not None}


def days_ripe_when_sold(record: Record) -> float:
    """How long lots that were sold had stood ripe, on average [days]."""
    kinds = {name: kind for name, kind, _ in record.names.places}
    racks = {row[0]: row[6] for row in record.rows("stays") if kinds[row[1]] == "racks" and row[6] is not None}
    sold = [
        row[3] - racks[lot]
        for row in record.rows("blocks")
        if row[2] == WHATS.index("sold") and (lot := whole(row[0])) in racks
    ]
    return fmean(sold) / D


def whole(key: str) -> str:
    """The lot a part is of."""
    return "/".join(key.split("/")[:3])


Shows = Callable[[Record, Record], bool]
SHOWS: dict[tuple[str, str], tuple[Farm, Shows]] = {
    ("ripe_blocks", "own rooms first"): (ROOMY, lambda plain, other: blocks(other, "sold") < blocks(plain, "sold")),
    ("sold_first", "freshest first"): (
        TIGHT,
        lambda plain, other: days_ripe_when_sold(other) < days_ripe_when_sold(plain),
    ),
    ("surplus_blocks", "wait on the rack"): (
        TIGHT,
        lambda plain, other: blocks(other, "too old") > blocks(plain, "too old"),
    ),
    ("surplus_blocks", "fruit"): (
        ROOMY,
        lambda plain, other: blocks(other, "sold") < blocks(plain, "sold") and was_opened(other) > was_opened(plain),
    ),
    ("surplus_blocks", "sell cheap"): (
        TIGHT,
        lambda plain, other: blocks(other, "sold cheap") > blocks(plain, "sold cheap") == 0,
    ),
    ("call_in", "on moving days"): (
        ROOMY.but(block_customer=()),
        lambda plain, other: called_on(other) == {0, 3} < called_on(plain),
    ),
}
"""What a rule is for, and on which farm it is seen against the same farm under the rules as they stand."""


def was_opened(record: Record) -> float:
    return blocks(record, "opened")


@pytest.mark.parametrize(("rule", "choice"), SHOWS)
def test_a_rule_on_ripe_blocks_does_what_it_is_for(rule: str, choice: str) -> None:
    farm, shows = SHOWS[rule, choice]
    base = farm.but(rules=Rules(surplus_left=1 * D))
    plain, other = run(base, 1, 0, 8), run(base.but(rules=base.rules.but(**{rule: choice})), 1, 0, 8)
    assert shows(plain, other)
    assert faults(other) == []


CHOICES = [(name, choice) for name, each in Rules.figures.items() for choice in each.choices if choice != each.default]


@pytest.mark.parametrize(("rule", "choice"), CHOICES)
def test_every_choice_of_every_house_rule_changes_what_happens(rule: str, choice: str) -> None:
    alone = {"round": (), "van": {}}  # where everybody leaves at the hour, who comes first matters
    for farm in (ROOMY, TIGHT, TIGHT.but(customer=EVERY_KIND[2::-1], **alone)):
        base = farm.but(rules=Rules(small_flush=0.4))
        other = run(base.but(rules=base.rules.but(**{rule: choice})), 1, 0, 8)
        assert faults(other) == []
        if everything(other) != everything(run(base, 1, 0, 8)):
            return
    raise AssertionError(f"{rule} changes nothing when it is {choice}")


@pytest.mark.parametrize(
    "rules",
    [
        (Rules(surplus_blocks="fruit", surplus_left=1 * D), Rules(surplus_blocks="fruit", surplus_left=3 * D)),
        (
            Rules(surplus_blocks="sell cheap", surplus_left=1 * D),
            Rules(surplus_blocks="sell cheap", surplus_left=3 * D),
        ),
        (Rules(call_in="on moving days"), Rules(call_in="on moving days", moving_days=("tue", "sat"))),
        (
            Rules(clear_out="when a fresh lot waits and the next flush is small", small_flush=0.1),
            Rules(clear_out="when a fresh lot waits and the next flush is small", small_flush=0.4),
        ),
    ],
)
def test_the_figure_of_a_rule_changes_what_happens_under_it(rules: tuple[Rules, Rules]) -> None:
    farm = ROOMY if rules[0].surplus_blocks == "fruit" else TIGHT
    one, other = (everything(run(farm.but(rules=each), 1, 0, 8)) for each in rules)
    assert one != other
