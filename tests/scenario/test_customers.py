"""Customers for fresh mushrooms in a farm's file: faults told, read back, counted in the averages, changed on a date."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from farmsim.errors import ScenarioFault
from farmsim.scenario.assumed import assumed
from farmsim.scenario.averages import duty_hours
from farmsim.scenario.check_page import page
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import drying_hours, flow, fresh_hours, longest_gap, promised_fresh, stalls_sell
from farmsim.scenario.outlook import promises, second_looks
from farmsim.scenario.read import load
from farmsim.scenario.readback import read_back
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.scenario.stall import usually_sold
from farmsim.scenario.vary import MeanCv
from farmsim.units import HOURS_A_DAY

from .farms import HERE, SMALL, change, faults_of, small

ALL = HERE / "all_customers.toml"
LB = 0.45359237
D = HOURS_A_DAY
CASES = tomllib.loads((HERE / "broken_customers.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_a_broken_customer_is_told_what_is_wrong_and_how_to_mend_it(
    case: dict[str, object], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    find, put = str(case["find"]), str(case["put"])
    assert SMALL.count(find) == 1
    Path("farm.toml").write_text(SMALL.replace(find, put), encoding="utf-8")
    assert faults_of("farm.toml") == case["says"]


# --- read back ------------------------------------------------------------------------------------------------------


def test_every_kind_of_customer_is_read_back() -> None:
    assert dict(read_back(load(ALL)))["PROMISED"] == [
        "bistro is promised 40 lb of blue-oyster a delivery, on Tue and Thu, leaving by 10:00; orders vary by 15 %; what "
        "is short is lost. When blue-oyster is short it takes king-oyster. Its orders are "
        "signed. After 3 short deliveries in a row (less than 90 % of what it ordered) it orders no more.",
        "caterer calls on 60 % of its days for 20 lb of lions-mane a delivery, on Wed and Fri, leaving by 09:00; orders "
        "vary by 40 %; what is short follows the next day. Its orders are known 2 d before. It has given a letter of "
        "intent.",
        "co-op is promised 30 lb mixed (at least 2 of blue-oyster, lions-mane and king-oyster, whatever there is most "
        "of, varying by 20 %) a delivery, on Mon and Thu, leaving by 10:00; what is short is lost. It goes short first. "
        "It is only hoped for. After 6 short deliveries in a row (less than 90 % of what it ordered) it orders no more.",
        "saturday market is a market stall that takes 40 lb of blue-oyster and 20 lb of lions-mane along, on Sat, "
        "leaving by 07:00, and is asked for blue-oyster (30 lb on average, spread by 40 %) and lions-mane (5 to 30 lb, "
        "likeliest 15 lb); the rest is back at 14:00 and has lost 10 h of shelf life on top of the hours away.",
        "fair is a market stall that takes 10 lb of king-oyster along, on Sun, leaving by 08:00, and is asked for king-oyster "
        "(9 lb on average, as in the 3 measured); what it does not sell is lost.",
        "dryer takes any seconds, and firsts with at most 2 d of shelf life left, on Mon and Wed, leaving by 12:00. They "
        "are dried: 9 lb fresh make 1 lb; one person lays out 20 lb/h.",
        "soup kitchen takes any seconds, on Fri, leaving by 12:00.",
    ]


def test_who_is_served_first_and_what_is_kept_back_is_read_back() -> None:
    rules = dict(read_back(load(ALL)))["RULES"]
    assert "Customers are served the firmest first (signed, by habit, letter, hoped for)." in rules
    assert "What is known to be ordered is kept back from those who go short before it." in rules


def test_other_wishes_are_read_back(tmp_path: Path) -> None:
    find = 'leave_by = "08:30"'
    goes = 'goes_short = "in turn"\nmixed = { of = ["shiitake", "oyster"], at_least = 2, amount = "5 lb a delivery" }'
    said = dict(read_back(small(tmp_path, find, f'{find}\nleaves_after = 1\nshort_below = "80 %"\n{goes}')))[
        "PROMISED"
    ][0]
    assert "and 5 lb mixed (shiitake and oyster, whatever there is most of) a delivery" in said
    assert (
        "It goes short in turn. After one short delivery (less than 80 % of what it ordered) it orders no more." in said
    )
    dries = 'takes    = "anything"\ndries    = {}'
    said = dict(read_back(small(tmp_path, 'takes    = "anything"', dries)))["PROMISED"][1]
    assert said.endswith("They are dried: 10 lb fresh make 1 lb; no work is counted.")


# --- averages -------------------------------------------------------------------------------------------------------


def kg(pounds: float) -> float:
    return pounds * LB


def test_call_offs_count_as_often_as_they_call_and_mixed_orders_for_all_their_strains_alike() -> None:
    farm = load(ALL)
    mixed = 2 * 30 / 3
    assert promised_fresh(farm, "blue-oyster") == pytest.approx(kg(2 * 40 + mixed))
    assert promised_fresh(farm, "lions-mane") == pytest.approx(kg(2 * 0.6 * 20 + mixed))
    assert promised_fresh(farm, "king-oyster") == pytest.approx(kg(mixed))


def test_stalls_count_with_what_they_sell_on_average() -> None:
    farm = load(ALL)
    assert stalls_sell(farm, "blue-oyster") == pytest.approx(usually_sold(kg(40), MeanCv(kg(30), 0.4)))
    assert stalls_sell(farm, "king-oyster") == pytest.approx(kg((4 + 8 + 10) / 3))
    rows = {promise.name: promise.promised for promise in promises(farm)}
    wanted = promised_fresh(farm, "king-oyster") + stalls_sell(farm, "king-oyster")
    assert rows["king-oyster, with stalls"] == pytest.approx(wanted)
    assert "shiitake, with stalls" not in rows


def test_the_months_count_for_call_offs_mixed_orders_and_stalls() -> None:
    plain = load(ALL)
    farm = plain.but(months=Months(orders=(8.0, 6.0, *AS_USUAL[2:])))  # twice as much on average over the year
    for name in plain.strain:
        assert promised_fresh(farm, name) == pytest.approx(2 * promised_fresh(plain, name))
        assert stalls_sell(farm, name) == pytest.approx(2 * stalls_sell(plain, name))


def with_customers(farm: Farm, *names: str) -> Farm:
    return farm.but(customer=tuple(each for each in farm.customer if each.name in names))


def test_how_long_a_crate_waits_by_the_days_that_are_certain() -> None:
    farm = load(ALL)
    assert longest_gap(with_customers(farm, "caterer"), "lions-mane") == 5 * D  # Friday to Wednesday, if it calls
    both = with_customers(farm, "caterer", "saturday market")
    assert longest_gap(both, "lions-mane") == 7 * D  # the stall's Saturdays are certain, the calls are not
    always = both.but(
        customer=tuple(each.but(calls=1.0) if each.kind == "call-off" else each for each in both.customer)
    )
    assert longest_gap(always, "lions-mane") == 4 * D + 2.0  # Saturday 07:00 to Wednesday 09:00
    assert fresh_hours(with_customers(farm, "co-op"), "king-oyster") == (3 * 3 + 4 * 4) * D * D / (2 * 7 * D)
    assert longest_gap(with_customers(farm, "dryer"), "king-oyster") == 0.0


def test_drying_is_work_on_average_for_the_seconds_of_its_days() -> None:
    farm = load(ALL)
    seconds = sum(usual.saleable - usual.firsts for usual in (flow(farm, name) for name in farm.strain))
    assert duty_hours(farm)["dry"] == pytest.approx(seconds * 2 / 3 / kg(20))
    assert drying_hours(with_customers(farm, "bistro"), seconds) == 0.0
    unpaid = farm.customer[5].but(dries=farm.customer[5].dries.but(pace=None))  # type: ignore[union-attr]
    assert drying_hours(farm.but(customer=(unpaid,)), seconds) == 0.0


# --- second looks and assumptions -----------------------------------------------------------------------------------


def test_a_farm_that_begins_empty_may_lose_its_customers_before_the_first_pick() -> None:
    farm = load(ALL)
    empty = farm.but(farm=farm.farm.but(begin="empty"))
    said = (
        "The farm begins empty, and bistro leaves after 3 short deliveries: it may be gone before the first pick. A change "
        "on a date can bring it later."
    )
    assert said in second_looks(empty)
    assert second_looks(farm) == []


def test_a_stall_whose_day_costs_all_there_is_left() -> None:
    farm = load(ALL)
    name = "blue-oyster"
    brief = farm.but(strain={**farm.strain, name: farm.strain[name].but(shelf_life=17.0)})
    assert (
        "blue-oyster keeps 17 h; a day at saturday market costs 17 h of it, so none of it comes back."
        in second_looks(brief)
    )


def test_orders_and_stalls_together_that_are_more_than_the_plan_brings() -> None:
    farm = load(ALL)
    fair = farm.customer[4].but(takes={"king-oyster": 50.0}, sells={"king-oyster": MeanCv(50.0, 0.2)})
    stalls = (*farm.customer[:4], fair, *farm.customer[5:])
    said = "king-oyster, with stalls: orders and what the stalls sell on average come to more than the plan brings."
    assert said in second_looks(farm.but(customer=stalls))


def test_keeping_back_without_notice_has_no_effect_and_says_so() -> None:
    farm = load(ALL)
    said = "What is known to be ordered is kept back, but no customer gives notice: nothing is known before its day."
    assert said in second_looks(with_customers(farm, "bistro", "dryer"))


def test_only_figures_that_have_a_say_are_among_the_assumptions() -> None:
    found = {".".join(each.path[1:]): each.source for each in assumed(load(ALL)) if each.path[0] == "customer"}
    assert found["caterer.calls"] == "the farm's file"
    assert found["co-op.short_below"] == "placeholder"
    stall = {name.partition(".")[2] for name in found if name.startswith("saturday market.")}
    assert {"sells", "unsold", "comes_back_older", "back_at"} <= stall
    assert not stall & {"calls", "short_below", "varies", "unfilled", "substitutes"}
    assert not found.keys() & {"fair.comes_back_older", "bistro.calls", "bistro.sells"}
    assert found["dryer.dries.ratio"] == "the farm's file"


# --- changes --------------------------------------------------------------------------------------------------------

FILE = """based_on = "small.toml"
[change.customer.shop]
kind = "call-off"
calls = "40 %"
leaves_after = 4
firm = "letter"
substitutes = { shiitake = ["oyster"] }
mixed = { of = ["shiitake", "oyster"], amount = "10 lb a delivery" }
[add.customer.market]
kind = "market stall"
takes = { oyster = "20 lb a market day" }
sells = { oyster = { mean = "15 lb a market day", cv = 0.3 } }
days = ["sat"]
leave_by = "07:00"
back_at = "13:00"
[[phase]]
name = "market grows"
from = 2027-03-01
[phase.change.customer.market]
sells = { oyster = "18 lb a market day" }
comes_back_older = "6 h"
[phase.change.customer.shop]
mixed = { amount = "12 lb a delivery" }
substitutes = { oyster = ["shiitake"] }
[phase.change.customer.outlet]
dries = { ratio = 8 }
"""


def test_a_change_set_changes_what_it_writes_and_is_read_back(tmp_path: Path) -> None:
    farm = change(tmp_path, FILE)
    shop, _, market = farm.customer
    assert (shop.kind, shop.calls, shop.leaves_after, shop.firm) == ("call-off", 0.4, 4, "letter")
    assert market.sells["oyster"] == MeanCv(kg(15), 0.3)
    later = farm.changes[0][1]
    assert later.customer[0].substitutes == {"shiitake": ("oyster",), "oyster": ("shiitake",)}
    assert later.customer[0].mixed is not None
    assert (later.customer[0].mixed.of, later.customer[0].mixed.amount) == (
        ("shiitake", "oyster"),
        pytest.approx(kg(12)),
    )
    (said,) = [line for line in dict(read_back(farm))["PHASES"] if line.startswith("2. market grows")]
    assert said.partition(": ")[2].removesuffix(".").split("; ") == [
        "customer shop, mixed, amount 10 lb a delivery -> 12 lb a delivery",
        "customer shop, substitutes oyster for shiitake -> oyster for shiitake and shiitake for oyster",
        "customer outlet, dries not given -> ratio 8, pace not given",
        "customer market, sells oyster 15 lb a delivery on average, spread by 30 % -> oyster 18 lb a delivery",
        "customer market, comes back older 10 h -> 6 h",
    ]
    assert "market is a market stall" in page(farm)


def test_a_change_that_leaves_a_figure_of_another_kind_is_told(tmp_path: Path) -> None:
    with pytest.raises(ScenarioFault) as told:
        change(
            tmp_path,
            'based_on = "small.toml"\n[change.customer.outlet]\nkind = "standing"\ntakes = { oyster = "2 lb a delivery" }\n',
        )
    assert [fault.found for fault in told.value.faults] == ["is given for a standing order"]
