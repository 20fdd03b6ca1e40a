"""Money of the tiny farm, worked out by hand. 4 January 2027 is a Monday; the farm's weeks run to 2 January 2028.

Each Wednesday morning 4 kg of firsts are picked; the shop takes 3 kg at 09:00. The owner is there 12 h a day, all week.
"""

from __future__ import annotations

import numpy as np
import pytest
from model.tiny import GROWER, LINE, OUTLET, OWNER, OYSTER, SHOP, D, W, farm, of_crew, seen
from model.tiny import Fixed as Always

from farmsim.model.run import run
from farmsim.money.ledger import ledger
from farmsim.money.tables import summarise
from farmsim.record.columns import WHATS
from farmsim.record.measures import RunTables
from farmsim.record.measures.page import TABLES
from farmsim.record.tables import Record
from farmsim.scenario.costs import FixedCost, Materials
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Overtime
from farmsim.scenario.prices import Energy, not_paid
from farmsim.scenario.rules import Rules
from farmsim.scenario.seasons import Months
from farmsim.scenario.stressed import cheaper, dearer_energy, dearer_wages, poorer_yield, without_customer
from farmsim.scenario.values import MONTHS, Shift

PAID_SHOP = SHOP.but(price=10.0)
MONEY = ("mushrooms", "blocks", "taken", "wages", "overtime_wages", "energy", "left")


def week(tables: RunTables, number: int = 1) -> dict[str, float]:
    """One week of the table by week."""
    return {name: float(tables["money"][name][number - 1]) for name in MONEY}


def in_month(month: str, factor: float) -> tuple[float, ...]:
    return tuple(factor if name == month else 1.0 for name in MONTHS)


def test_a_week_is_what_customers_pay_less_wages_and_energy() -> None:
    """3 kg x 10 = 30; 7 x 12 h x 5 = 420; 70 for energy; 30 - 420 - 70 = -460."""
    record = seen(customer=(PAID_SHOP,), crew=(OWNER.but(wage=5.0),), energy=Energy(a_week=70.0))
    assert week(summarise(record)) == {
        "mushrooms": 30.0, "blocks": 0.0, "taken": 30.0, "wages": 420.0, "overtime_wages": 0.0, "energy": 70.0, "left": -460.0
    }  # fmt: skip


def test_a_blow_costs_what_it_says_and_leaves_what_happens_as_it_was() -> None:
    """5 % off 30 are 28.50; 10 % on 420 are 462; 30 % on 70 are 91; 28.50 - 462 - 91 = -524.50."""
    usual = farm(customer=(PAID_SHOP,), crew=(OWNER.but(wage=5.0),), energy=Energy(a_week=70.0))
    hit = run(dearer_energy(dearer_wages(cheaper(usual, 0.05), 0.1), 0.3), 1)
    told = {"mushrooms": 28.5, "wages": 462.0, "energy": 91.0, "left": -524.5}
    assert {name: week(summarise(hit))[name] for name in told} == told
    record = run(usual, 1)
    assert all(hit.rows(table) == record.rows(table) for table in record.tables)


def test_half_the_yield_brings_half_and_a_customer_who_is_lost_pays_no_more() -> None:
    """2 kg instead of 4 are picked, so that the shop gets 2 of its 3 kg: 20 a week; from the third week on it is gone."""
    usual = farm(customer=(PAID_SHOP,), about={"weeks": 4})
    poor, lost = (
        summarise(run(each, 1)) for each in (poorer_yield(usual, 0.5), without_customer(usual, "shop", 2 * W))
    )
    assert [week(poor, number)["mushrooms"] for number in (1, 2, 3, 4)] == [20.0] * 4
    assert [week(lost, number)["mushrooms"] for number in (1, 2, 3, 4)] == [30.0, 30.0, 0.0, 0.0]


def test_a_farm_without_prices_is_told_nothing_of_money() -> None:
    assert summarise(seen(customer=(SHOP,), crew=(OWNER.but(wage=5.0),), energy=Energy(a_week=70.0))) == {}


def test_prices_by_month_are_those_of_the_delivery_and_do_not_touch_what_happens() -> None:
    plain = seen(customer=(PAID_SHOP,))
    half = seen(customer=(PAID_SHOP,), months=Months(prices=in_month("jan", 0.5)))
    assert week(summarise(half))["mushrooms"] == 15.0
    assert week(summarise(seen(customer=(PAID_SHOP,), months=Months(prices=in_month("feb", 0.5)))))["mushrooms"] == 30.0
    assert all(half.rows(table) == plain.rows(table) for table in plain.tables)


def test_monthly_factors_average_to_the_year_as_worked_out_by_hand() -> None:
    """52 Wednesdays of 2027, 4, 4, 5, 4, 4, 5, 4, 4, 5, 4, 4, 5 a month; days measured: 28 in January 2027, 2 in 2028."""
    factors = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6)
    wednesdays = (4, 4, 5, 4, 4, 5, 4, 4, 5, 4, 4, 5)
    days = (28, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    months = Months(prices=factors, energy=factors)
    record = seen(about={"weeks": 52}, customer=(PAID_SHOP,), months=months, energy=Energy(a_week=70.0), weeks=52)
    tables = summarise(record)
    taken = [30.0 * factor * count for factor, count in zip(factors, wednesdays, strict=True)]
    energy = [10.0 * factor * count for factor, count in zip(factors, days, strict=True)]
    assert tables["money_months"]["month"][::12] == ["2027-01", "2028-01"]
    assert list(tables["money_months"]["mushrooms"]) == pytest.approx([*taken, 0.0])
    assert list(tables["money_months"]["energy"]) == pytest.approx([*energy, 2 * 10.0 * 0.5])
    # the factors of 52 Wednesdays add up to 55.0, those of 364 days to 383.7
    assert np.sum(tables["money"]["mushrooms"]) == pytest.approx(30.0 * 55.0)
    assert np.sum(tables["money"]["energy"]) == pytest.approx(10.0 * 383.7)


def test_cents_are_rounded_once_and_add_up() -> None:
    """1 kg a week at a third: 0.33, then 0.67 in all, then 1.00."""
    shop = SHOP.but(takes={"oyster": 1.0}, price=1 / 3)
    tables = summarise(seen(customer=(shop,), about={"weeks": 3}, weeks=3))
    assert list(tables["money"]["mushrooms"]) == [0.33, 0.34, 0.33]
    assert list(tables["money_customers"]["brought"]) == [1.0]


def test_yen_have_no_cents() -> None:
    shop = SHOP.but(takes={"oyster": 1.0}, price=1000.5)
    tables = summarise(seen(customer=(shop,), about={"currency": "JPY", "weeks": 2}, weeks=2))
    assert list(tables["money"]["mushrooms"]) == [1000.0, 1001.0]


def test_an_outlet_pays_its_price_for_firsts_and_another_for_seconds() -> None:
    """Nobody picks before Thursday: 2.5 kg of firsts and 2.5 kg of seconds; firsts go to the outlet near their date."""
    crew = of_crew("open", "pick", "pack", days=("mon", "thu", "fri"))
    outlet = OUTLET.but(days=("fri",), takes_firsts_left=30 * D, price=4.0, price_of_seconds=1.0)
    tables = summarise(seen(customer=(outlet,), crew=(crew,)))
    assert week(tables)["mushrooms"] == 2.5 * 4.0 + 2.5 * 1.0
    same = summarise(seen(customer=(outlet.but(price_of_seconds=None),), crew=(crew,)))
    assert week(same)["mushrooms"] == 5.0 * 4.0


def test_blocks_bring_their_price_by_the_month_they_leave() -> None:
    """The lot ripens two days after Monday 08:00: on Wednesday 09:00 4 of its 8 blocks are sold."""
    grower = GROWER.but(price={"oyster": 9.0})
    parts = {"start": (LINE.but(ripe_in=Always(2 * D)),), "block_customer": (grower,)}
    assert week(summarise(seen(**parts)))["blocks"] == 36.0
    dear = Months(block_prices=in_month("jan", 1.5))
    assert week(summarise(seen(**parts, months=dear)))["blocks"] == 54.0
    assert week(summarise(seen(**parts, months=Months(prices=in_month("jan", 1.5)))))["blocks"] == 36.0


def test_surplus_blocks_bring_the_low_price_of_their_outlet() -> None:
    """No room takes the lot: on Thursday all 8 blocks are surplus and go for 2 each."""
    yard = GROWER.but(name="yard", kind="outlet", takes="anything", days=("thu",), price=2.0)
    cheap = Rules(surplus_blocks="sell cheap", surplus_left=14 * D)
    assert week(summarise(seen(room=(), block_customer=(yard,), rules=cheap)))["blocks"] == 16.0


@pytest.mark.parametrize(("made_good", "column"), [("credit", "credited"), ("replacement", "replaced")])
def test_blocks_that_fail_are_not_paid_for_whether_credited_or_replaced(made_good: str, column: str) -> None:
    """Half the blocks fail, at 9 each: what is credited is taken off, and what is given in place of others brings nothing."""
    grower = GROWER.but(price={"oyster": 9.0}, fails=0.5, made_good=made_good)
    record = seen(block_customer=(grower,), start=(LINE.but(ripe_in=Always(2 * D)),), weeks=4)
    sold = sum(record.figures("blocks", "blocks")[record.numbers("blocks", "what") == WHATS.index("sold")])
    unpaid = sum(record.figures("block_claims", column))
    assert unpaid > 0 and sum(summarise(record)["money"]["blocks"]) == 9.0 * (sold - unpaid)


def test_overtime_is_paid_and_told() -> None:
    """Opening begins on Monday at 08:00 and takes an hour; the shift ends at 08:30, half an hour is overtime."""
    overtime = Overtime(at_most=1.0)
    crew = of_crew("open", "pick", "pack", start=6.0, end=8.5, wage=10.0, overtime=overtime)
    record = seen(customer=(PAID_SHOP,), crew=(crew,))
    hours = sum(row[-1] for row in record.rows("tasks"))
    assert hours == 0.5
    told = week(summarise(record))
    assert (told["wages"], told["overtime_wages"]) == (7 * 2.5 * 10.0 + 5.0, 5.0)


def wages(**terms: object) -> tuple[float, float]:
    """Wages of a week of the owner's 12 h a day at 5 an hour, on some terms; and those for overtime."""
    told = week(summarise(seen(customer=(PAID_SHOP,), crew=(OWNER.but(wage=5.0, **terms),))))
    return told["wages"], told["overtime_wages"]


def test_what_is_above_the_weeks_hours_is_paid_as_overtime() -> None:
    assert wages(overtime=Overtime(after=80.0)) == (84 * 5.0, 4 * 5.0)


def test_whoever_is_sent_home_is_paid_the_hours_there_or_the_shortest_shift() -> None:
    """Nothing waits at 10:00 on any day: one of the two is there 12 h, the other 4 h; paid is a shortest shift of 4 or 5."""
    home = {"people": 2, "may_go": "when nothing waits"}
    assert wages(**home, shortest_shift=4.0) == (7 * 16 * 5.0, 0.0)
    assert wages(people=2, shortest_shift=4.0) == (7 * 24 * 5.0, 0.0)
    assert wages(hours={"mon": Shift(6.0, 9.0)}, days=("mon",), shortest_shift=4.0) == (4 * 5.0, 0.0)


def test_owner_and_family_cost_no_wages_and_none_is_missed() -> None:
    family = OWNER.but(paid="as owner")
    assert week(summarise(seen(customer=(PAID_SHOP,), crew=(family,))))["wages"] == 0.0
    assert not_paid(farm(crew=(family, OWNER.but(name="helper")))) == ["helper"]


def changed(before: Farm, **after: object) -> Record:
    """A run of two weeks; from the second Monday on the farm is another."""
    return run(before.but(changes=((W, before.but(**after)),)), 1, 0, 2)


def test_prices_wages_and_energy_change_on_their_monday() -> None:
    before = farm(customer=(PAID_SHOP,), crew=(OWNER.but(wage=5.0),), energy=Energy(a_week=70.0), about={"weeks": 2})
    record = changed(
        before, customer=(PAID_SHOP.but(price=12.0),), crew=(OWNER.but(wage=6.0),), energy=Energy(a_week=140.0)
    )
    tables = summarise(record)
    assert [week(tables, at)["mushrooms"] for at in (1, 2)] == [30.0, 36.0]
    assert [week(tables, at)["wages"] for at in (1, 2)] == [420.0, 504.0]
    assert [week(tables, at)["energy"] for at in (1, 2)] == [70.0, 140.0]
    since = summarise(record, W)
    assert list(since["money_customers"]["brought"]) == [36.0]
    assert list(since["money"]["mushrooms"]) == [30.0, 36.0]


def test_prices_given_from_a_later_monday_on_count_from_then_on() -> None:
    before = farm(customer=(SHOP,), about={"weeks": 2})
    tables = summarise(changed(before, customer=(PAID_SHOP,)))
    assert [week(tables, at)["mushrooms"] for at in (1, 2)] == [0.0, 30.0]
    assert [float(tables["money_customers"][name][0]) for name in ("priced", "not_priced")] == [3.0, 3.0]


def test_what_has_no_price_is_counted_apart() -> None:
    other = SHOP.but(name="friend", takes={"oyster": 1.0})
    tables = summarise(seen(customer=(PAID_SHOP, other)))
    told = tables["money_customers"]
    assert list(told["customer"]) == ["shop", "friend"]
    assert [list(told[name]) for name in ("priced", "not_priced", "brought")] == [[3.0, 0.0], [0.0, 1.0], [30.0, 0.0]]


def test_every_column_of_money_is_on_the_page_of_measures_and_the_other_way_round() -> None:
    tables = summarise(seen(customer=(PAID_SHOP,), fixed_cost=(FixedCost(name="rent", a_month=100.0),)))
    told = {table.file: {name for name, _, _ in table.columns} - {"run"} for table in TABLES}
    assert {name: set(columns) for name, columns in tables.items()} == {name: told[name] for name in tables}
    assert len(tables) == 8


def test_a_customers_own_months_come_on_top_of_those_of_all() -> None:
    half = (0.5, *(1.0,) * 11)
    shop = PAID_SHOP.but(price_months=in_month("jan", 1.2))
    assert week(summarise(seen(customer=(shop,), months=Months(prices=half))))["mushrooms"] == pytest.approx(18.0)
    grower = GROWER.but(price=9.0, price_months=in_month("jan", 0.5))
    parts = {
        "start": (LINE.but(ripe_in=Always(2 * D)),),
        "block_customer": (grower, GROWER.but(name="other", price=9.0)),
    }
    assert week(summarise(seen(**parts)))["blocks"] == 4 * 4.5 + 4 * 9.0


def test_energy_of_rooms_comes_on_top_of_the_rest() -> None:
    energy = Energy(a_week=70.0, by_room={"Shed": 14.0})
    assert week(summarise(seen(customer=(PAID_SHOP,), energy=energy)))["energy"] == 84.0


def test_what_spent_and_lost_blocks_cost_and_bring() -> None:
    """8 blocks are cleared on Thursday of the first week: 0.10 each to be taken away, 0.25 each from a gardener."""
    materials = Materials(spent=0.10, spent_brings=0.25, block_box=1.0)
    record = seen(customer=(PAID_SHOP,), block_customer=(GROWER.but(price=9.0),), materials=materials, weeks=2)
    cleared = sum(record.figures("blocks", "blocks")[record.numbers("blocks", "what") == WHATS.index("cleared")])
    lines = {line.what: int(line.cents.sum()) for line in ledger(record) if line.what in ("disposal", "spent blocks")}
    assert cleared > 0 and lines == {"disposal": round(10 * cleared), "spent blocks": round(25 * cleared)}


def test_a_strain_that_comes_later_is_packed_in_crates_of_its_own_size() -> None:
    """4 kg a week in crates of 1 kg at 1.00; from the second Monday on 4 kg of another strain in crates of 2 kg too."""
    before = farm(customer=(PAID_SHOP,), materials=Materials(crate=1.0), about={"weeks": 2})
    other = {
        "strain": {"oyster": OYSTER, "mane": OYSTER.but(crate=2.0)},
        "start": (LINE, LINE.but(name="M", strain="mane")),
    }
    assert list(summarise(changed(before, **other))["money"]["other_costs"]) == [4.0, 4.0 + 2.0]


def test_crates_have_the_size_of_their_day() -> None:
    before = farm(customer=(PAID_SHOP,), materials=Materials(crate=1.0), about={"weeks": 2})
    bigger = {"strain": {"oyster": OYSTER.but(crate=4.0)}}
    assert list(summarise(changed(before, **bigger))["money"]["other_costs"]) == [4.0, 1.0]


def test_materials_have_the_price_of_their_strain_and_their_day() -> None:
    """8 blocks a week at 2.00, from the second Monday on at 3.00; packed are 4 kg of a strain without a price."""
    before = farm(
        customer=(PAID_SHOP,), materials=Materials(bought={"oyster": 2.0}, packaging={"enoki": 1.0}), about={"weeks": 2}
    )
    after = {"materials": Materials(bought={"oyster": 3.0})}
    assert list(summarise(changed(before, **after))["money"]["other_costs"]) == [16.0, 24.0]
