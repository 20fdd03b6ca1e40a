"""What each blow makes of a farm: by hand, in every dated state, and nothing else; opening late, and who is lost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

import pytest

from farmsim.errors import ScenarioFault
from farmsim.scenario import check, stressed
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import Loan
from farmsim.scenario.part import Part
from farmsim.scenario.read import load
from farmsim.scenario.readback import read_back
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer
from farmsim.scenario.seasons import AS_USUAL
from farmsim.scenario.strain import Yield
from farmsim.scenario.stress import Stress
from farmsim.scenario.stressed import (
    Blow,
    blows,
    cheaper,
    dearer_energy,
    dearer_money,
    dearer_wages,
    in_every_state,
    later,
    more_contaminated,
    poorer_yield,
    without_customer,
    without_hoped,
)
from farmsim.units import parse

from .farms import written
from .test_books import TEXT

A_POUND = parse("1 lb", "kg")
WEEK = 168.0
PHASE = """
[[loan]]
name   = "old loan"
amount = "$3,000"
rate   = "5 %"
from   = 2026-06-01
years  = 3

[van.van]

[[round]]
name      = "town"
customers = ["shop", "outlet"]
takes     = "1 h"
van       = "van"

[[phase]]
name = "second bench"
from = 2027-02-15

[phase.change.opening]
benches = 2
"""
BASE = TEXT.replace('duties   = ["pick", ', 'duties   = ["pick", "deliver", ') + PHASE
CHANGE = """
based_on = "base.toml"
name     = "annex"

[add.capital.annex]
cost   = "$20,000"
bought = 2027-02-15
life   = 20
paid   = { "annex loan" = "$20,000" }

[add.loan."annex loan"]
amount = "$20,000"
rate   = "8 %"
from   = 2027-02-15
years  = 10

[[phase]]
name = "building"
from = 2027-02-08

[phase.change.room.North]
holds = "700 shelf places"

[[phase]]
name = "annex opens"
from = 2027-03-01

[phase.change.room.North]
holds = "800 shelf places"

[phase.add.room.Annex]
holds = "300 shelf places"
range = "62 to 66 degF"

[phase.add.customer.school]
takes    = { oyster = "10 lb a delivery" }
days     = ["wed"]
leave_by = "09:00"
firm     = "hoped for"
price    = "$8/lb"

[phase.change.round.town]
customers = ["shop", "outlet", "school"]

[[phase]]
name = "inn"
from = 2027-04-05

[phase.add.customer.inn]
takes    = { oyster = "8 lb a delivery" }
days     = ["thu"]
leave_by = "09:00"
firm     = "letter"
price    = "$8/lb"

[phase.change.energy]
a_week  = "$500 a week"
by_room = { Annex = "$60 a week" }
"""


def both(folder: Path, find: str = "", put: str = "") -> tuple[Farm, Farm]:
    """The farm without the annex and with it, one stretch of the change set replaced."""
    assert not find or CHANGE.count(find) == 1, find
    base = written(folder, BASE, "base.toml")
    return base, written(folder, CHANGE.replace(find, put) if find else CHANGE, "change.toml")


@pytest.fixture
def expanded(tmp_path: Path) -> Farm:
    return both(tmp_path)[1]


def states(farm: Farm) -> tuple[Farm, ...]:
    return (farm, *(state for _, state in farm.changes))


def told(value: object, path: str = "") -> Iterator[tuple[str, object]]:
    """Every figure of a farm under its path."""
    if isinstance(value, Part):
        for name in type(value).figures:
            yield from told(getattr(value, name), f"{path}.{name}")
    elif isinstance(value, Mapping):
        for name, inner in value.items():
            yield from told(inner, f"{path}.{name}")
    elif isinstance(value, tuple) and value and isinstance(value[0], Part):
        for at, inner in enumerate(value):
            yield from told(inner, f"{path}.{getattr(inner, 'name', at)}")
    else:
        yield path, value


def factors(before: Farm, after: Farm) -> list[dict[str, object]]:
    """By state, every figure that differs: how many times as large it is, rounded; as it is where it is no number."""
    assert [hour for hour, _ in before.changes] == [hour for hour, _ in after.changes] and before.phases == after.phases
    found = []
    for was, now in zip(states(before), states(after), strict=True):
        old, new = (dict(told(state.but(changes=(), phases=()))) for state in (was, now))
        assert old.keys() == new.keys()
        pairs = {path: (old[path], value) for path, value in new.items() if old[path] != value}
        found.append({path[1:]: round(now / was, 6) for path, (was, now) in pairs.items()})  # type: ignore[operator]
    return found


def is_sound(farm: Farm) -> bool:
    """Whether every state of a farm keeps all rules and can be read back."""
    return all(not check.faults(state) and not check.plan_faults(state) for state in states(farm)) and bool(
        read_back(farm)
    )


# --- money and crop ---------------------------------------------------------------------------------------------------


def test_prices_are_lower_in_every_state_and_nothing_else_is(expanded: Farm) -> None:
    other = cheaper(expanded, 0.05)
    assert other.customer[0].price == pytest.approx({"shiitake": 0.95 * 9 / A_POUND, "oyster": 0.95 * 7.5 / A_POUND})
    assert other.block_customer[0].price == pytest.approx(0.95 * 9)
    now = dict.fromkeys(
        ("customer.shop.price.shiitake", "customer.shop.price.oyster", "customer.outlet.price",
         "customer.outlet.price_of_seconds", "block_customer.growers.price"), 0.95
    )  # fmt: skip
    school, inn = {"customer.school.price": 0.95}, {"customer.inn.price": 0.95}
    assert factors(expanded, other) == [now, now, now, {**now, **school}, {**now, **school, **inn}]
    assert is_sound(other)


def test_a_customer_without_a_price_still_has_none(expanded: Farm) -> None:
    free = expanded.but(customer=tuple(each.but(price=None, price_of_seconds=None) for each in expanded.customer))
    assert cheaper(free, 0.05).customer == free.customer


def test_wages_are_higher_and_owners_are_not_paid(expanded: Farm) -> None:
    other = dearer_wages(expanded, 0.1)
    assert [crew.wage for crew in other.crew] == [pytest.approx(19.8), None]
    assert factors(expanded, other) == [{"crew.makers.wage": 1.1}] * 5
    assert is_sound(other)


def test_power_is_dearer_for_the_whole_farm_and_for_rooms_told_apart(expanded: Farm) -> None:
    other = dearer_energy(expanded, 0.3)
    whole, annex = {"energy.a_week": 1.3}, {"energy.by_room.Annex": 1.3}
    assert factors(expanded, other) == [whole, whole, whole, whole, {**whole, **annex}]
    assert other.changes[-1][1].energy.in_all == pytest.approx(1.3 * 560)
    none = in_every_state(expanded, lambda state: state.but(energy=None))
    assert dearer_energy(none, 0.3) == none


def test_interest_is_higher_on_new_loans_and_the_credit_line_and_old_ones_keep_theirs(expanded: Farm) -> None:
    other = dearer_money(expanded, 0.02)
    rates = {each.name: each.rate for each in other.loan}
    assert rates == pytest.approx({"bank": 0.1025, "old loan": 0.05, "annex loan": 0.1})
    assert other.credit_line is not None and other.credit_line.rate == pytest.approx(0.11)
    changed = {
        "credit_line.rate": round(11 / 9, 6),
        "loan.bank.rate": round(10.25 / 8.25, 6),
        "loan.annex loan.rate": 1.25,
    }
    assert factors(expanded, other) == [changed] * 5
    assert is_sound(other)


def test_a_loan_of_the_first_day_is_new_and_no_rate_is_above_what_a_rate_may_be(expanded: Farm) -> None:
    start = expanded.farm.start
    dear = Loan(name="dear", amount=1.0, rate=0.9, from_=start, years=1.0)
    farm = expanded.but(loan=(dear, dear.but(name="before", from_=date(2027, 1, 3))), credit_line=None)
    assert [each.rate for each in dearer_money(farm, 0.2).loan] == [1.0, 0.9]


def test_every_strain_yields_less_in_every_state(expanded: Farm) -> None:
    other = poorer_yield(expanded, 0.1)
    assert other.strain["shiitake"].yield_.mean == pytest.approx(0.9 * 1.15 * A_POUND)
    assert factors(expanded, other) == [{"strain.shiitake.yield_.mean": 0.9, "strain.oyster.yield_.mean": 0.9}] * 5
    assert is_sound(other)


def test_no_strain_yields_less_than_a_yield_may_be(expanded: Farm) -> None:
    least = Yield.figures["mean"].least
    assert least is not None and least > 0
    assert {strain.yield_.mean for strain in poorer_yield(expanded, 1.0).strain.values()} == {least}


def test_who_is_lost_before_the_start_is_lost_on_its_first_day(expanded: Farm) -> None:
    assert without_customer(expanded, "shop", -5 * WEEK) == without_customer(expanded, "shop", 0.0)


def test_more_blocks_are_contaminated_and_never_more_than_may_be(expanded: Farm) -> None:
    other = more_contaminated(expanded, 0.5)
    assert other.strain["shiitake"].contaminated.mean == pytest.approx(0.06)
    each = {f"strain.{name}.contaminated.mean": 1.5 for name in ("shiitake", "oyster")}
    assert factors(expanded, other) == [each] * 5
    assert is_sound(other)
    assert all(strain.contaminated.mean == 0.9 for strain in more_contaminated(expanded, 60.0).strain.values())


# --- opening late -----------------------------------------------------------------------------------------------------


def test_all_phases_of_the_change_set_move_and_those_of_the_farm_stay(tmp_path: Path) -> None:
    _, expanded = both(tmp_path)
    other = later(tmp_path / "change.toml", 4)
    assert expanded.phases == (
        (0.0, "at first"), (5 * WEEK, "building"), (6 * WEEK, "second bench"), (8 * WEEK, "annex opens"), (13 * WEEK, "inn")
    )  # fmt: skip
    assert other.phases == (
        (0.0, "at first"), (6 * WEEK, "second bench"), (9 * WEEK, "building"), (12 * WEEK, "annex opens"), (17 * WEEK, "inn")
    )  # fmt: skip
    assert other.but(changes=(), phases=()) == expanded.but(changes=(), phases=())  # with the same loans and purchases
    bench, building = other.changes[0][1], other.changes[1][1]
    assert bench.opening.benches == 2 and bench.room[0].holds == 800 and building.room[0].holds == 700
    assert other.changes[-1][1] == expanded.changes[-1][1]
    assert is_sound(other)


def test_what_comes_after_the_simulated_weeks_never_comes_unless_more_are_run(tmp_path: Path) -> None:
    base, expanded = both(tmp_path)
    path = tmp_path / "change.toml"
    assert [name for _, name in later(path, 6).phases] == ["at first", "second bench", "building", "annex opens", "inn"]
    assert [name for _, name in later(path, 7).phases] == ["at first", "second bench", "building", "annex opens"]
    longer = later(path, 7, simulates=21)
    assert longer.phases[-1] == (20 * WEEK, "inn") and longer.farm == expanded.farm
    never = later(path, 15)
    assert never.phases == base.phases and [state.room for state in states(never)] == [base.room] * 2
    assert [each.name for each in never.loan] == [each.name for each in expanded.loan]


def test_a_change_set_of_which_nothing_is_left_is_the_farm_it_is_based_on(tmp_path: Path) -> None:
    base = written(tmp_path, BASE, "base.toml")
    text = 'based_on = "base.toml"\n[[phase]]\nname = "more"\nfrom = 2027-03-01\n[phase.change.opening]\nbenches = 3\n'
    written(tmp_path, text, "change.toml")
    assert later(tmp_path / "change.toml", 20) == base


def test_a_change_set_with_one_date_moves_as_a_whole(tmp_path: Path) -> None:
    base = written(tmp_path, BASE, "base.toml")
    text = 'based_on = "base.toml"\nfrom = 2027-03-01\n[change.opening]\nbenches = 3\n'
    written(tmp_path, text, "change.toml")
    other = later(tmp_path / "change.toml", 2)
    assert [(hour, state.opening.benches) for hour, state in other.changes] == [(6 * WEEK, 2), (10 * WEEK, 3)]
    assert later(tmp_path / "change.toml", 20) == base


def test_a_phase_on_the_first_day_is_how_it_begins_and_stays(tmp_path: Path) -> None:
    first = '[[phase]]\nname = "as it is"\nfrom = 2027-01-04\n\n[[phase]]\nname = "building"'
    both(tmp_path, '[[phase]]\nname = "building"', first)
    assert later(tmp_path / "change.toml", 4).phases[:3] == (
        (0.0, "as it is"), (6 * WEEK, "second bench"), (9 * WEEK, "building")
    )  # fmt: skip


def test_a_phase_on_the_first_day_stays_however_late_the_others_come(tmp_path: Path) -> None:
    first = '[[phase]]\nname = "as it is"\nfrom = 2027-01-04\n\n[[phase]]\nname = "building"'
    both(tmp_path, '[[phase]]\nname = "building"', first)
    never = later(tmp_path / "change.toml", 200)
    assert never.phases == ((0.0, "as it is"), (6 * WEEK, "second bench"))


def test_the_phases_of_a_farm_that_is_no_change_set_move_too(tmp_path: Path) -> None:
    written(tmp_path, BASE, "base.toml")
    assert later(tmp_path / "base.toml", 1).phases == ((0.0, "at first"), (7 * WEEK, "second bench"))


ASKED = '[add.request]\npurpose = "an annex"\nloan = "annex loan"\nopens = 2027-03-01\n\n[add.capital.annex]'


def test_the_building_begins_on_its_day_and_lasts_longer(tmp_path: Path) -> None:
    """It takes room until the annex opens; who is told of a row reads what else comes later."""
    _, expanded = both(tmp_path, "[add.capital.annex]", ASKED)
    other = later(tmp_path / "change.toml", 4)
    assert other.phases == (
        (0.0, "at first"), (5 * WEEK, "building"), (6 * WEEK, "second bench"), (12 * WEEK, "annex opens"), (17 * WEEK, "inn")
    )  # fmt: skip
    assert [state.room[0].holds for state in states(other)][1:] == [700, 700, 800, 800]
    late = next(each for each in blows(tmp_path / "change.toml", expanded, None, 0.0) if each.key == "late")
    assert late.told == 'Opening 17 weeks late (and every phase after "building")' and is_sound(other)


def test_blocks_are_not_started_ahead_of_a_room_that_is_late(tmp_path: Path) -> None:
    first = '[[phase]]\nname = "more blocks"\nfrom = 2027-01-25\n[phase.change.start.oyster]\nblocks = "160 blocks a week"\n'
    both(tmp_path, "[add.capital.annex]", ASKED)
    path = tmp_path / "change.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("[[phase]]", first + "[[phase]]", 1), encoding="utf-8")
    assert later(path, 4).phases[1:4] == ((6 * WEEK, "second bench"), (7 * WEEK, "more blocks"), (9 * WEEK, "building"))


def test_every_change_set_of_the_expansion_moves_down_to_the_farm_without_it(tmp_path: Path) -> None:
    both(tmp_path, "[add.capital.annex]", ASKED)
    text = 'based_on = "change.toml"\nname = "asked"\n[add.stress]\nlate = 3\n'
    expanded = written(tmp_path, text, "asked.toml")
    path, base = tmp_path / "asked.toml", tmp_path / "base.toml"
    assert later(path, 3) == expanded  # on top of the annex nothing has a date
    other = later(path, 3, base=base)
    assert other.phases == later(tmp_path / "change.toml", 3).phases != expanded.phases
    assert other.request is not None and other.request.opens == date(2027, 3, 22) and other.stress.late == 3
    found = blows(path, expanded, None, 0.0, base=base)
    assert next(each.farm for each in found if each.key == "late").phases == other.phases


def test_the_day_on_which_it_opens_moves_along_even_past_the_simulated_weeks(tmp_path: Path) -> None:
    """In every state; but not where nothing in the change set has a date."""
    asked = '[add.request]\npurpose = "an annex"\nloan = "annex loan"\nopens = 2027-03-01\n\n[add.capital.annex]'
    both(tmp_path, "[add.capital.annex]", asked)
    other = later(tmp_path / "change.toml", 4)
    assert [state.request.opens for state in states(other) if state.request] == [date(2027, 3, 29)] * 5
    late = later(tmp_path / "change.toml", 17)
    assert late.request is not None and late.request.opens == date(2027, 6, 28) and is_sound(other)
    text = CHANGE.replace("[add.capital.annex]", asked)[
        : CHANGE.index("[[phase]]") + len(asked) - len("[add.capital.annex]")
    ]
    undated = written(tmp_path, text.replace("opens = 2027-03-01", "opens = 2027-02-15"), "undated.toml")
    assert later(tmp_path / "undated.toml", 4) == undated and undated.request is not None


def test_a_phase_that_cannot_come_so_late_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The third bench is there before the farm's own phase takes it away; afterwards the two are the same."""
    monkeypatch.chdir(tmp_path)
    Path("base.toml").write_text(BASE, encoding="utf-8")
    text = 'based_on = "base.toml"\n[[phase]]\nname = "bench"\nfrom = 2027-02-01\n[phase.change.opening]\nbenches = 2\n'
    Path("change.toml").write_text(text, encoding="utf-8")
    load("change.toml")
    with pytest.raises(ScenarioFault) as raised:
        later(Path("change.toml"), 3)
    assert str(raised.value) == (
        "change.toml:6, phase bench, change, opening, benches: changes nothing: it is 2 already (with its dates 3 weeks "
        "later); needs a figure that changes. Change it or take it out."
    )


# --- who buys ---------------------------------------------------------------------------------------------------------


def test_a_customer_is_gone_from_an_hour_on_and_from_its_round(expanded: Farm) -> None:
    other = without_customer(expanded, "shop", 9.5 * WEEK)
    assert [hour / WEEK for hour, _ in other.changes] == [5, 6, 8, 10, 13]
    assert states(other)[:4] == states(expanded.but(changes=other.changes, phases=other.phases))[:4]
    assert other.changes[:3] == expanded.changes[:3]
    then, last = other.changes[3][1], other.changes[4][1]
    assert [each.name for each in then.customer] == ["outlet", "school"]
    assert [each.name for each in last.customer] == ["outlet", "school", "inn"]
    assert then.round[0].customers == ("outlet", "school") and then.van == expanded.van
    was = expanded.changes[2][1]
    assert then.but(customer=was.customer, round=was.round) == was
    assert is_sound(other) and other.phases == expanded.phases


def test_a_state_that_begins_on_the_day_is_the_one_without(expanded: Farm) -> None:
    other = without_customer(expanded, "outlet", 8 * WEEK)
    assert [hour for hour, _ in other.changes] == [hour for hour, _ in expanded.changes]
    assert [len(state.customer) for state in states(other)] == [2, 2, 2, 2, 3]
    assert is_sound(other)


def test_who_is_lost_before_coming_never_comes(expanded: Farm) -> None:
    other = without_customer(expanded, "inn", 9 * WEEK)
    assert all(each.name != "inn" for state in states(other) for each in state.customer)
    assert is_sound(other)


def test_a_round_that_serves_nobody_any_more_goes_and_its_van_stays(expanded: Farm) -> None:
    farm = expanded.but(changes=(), phases=())
    other = without_customer(without_customer(farm, "shop", 0.0), "outlet", 0.0)
    assert other.changes[0][0] == 0.0 and other.customer == farm.customer
    assert (other.changes[0][1].round, other.changes[0][1].van) == ((), farm.van)
    assert other.changes[0][1].months == farm.months.but(prices=AS_USUAL)


def test_a_block_customer_is_lost_alike_and_nobody_misses_whom_nobody_knows(expanded: Farm) -> None:
    other = without_customer(expanded, "growers", 2 * WEEK)
    assert [hour / WEEK for hour, _ in other.changes] == [2, 5, 6, 8, 13]
    assert other.block_customer and not any(state.block_customer for _, state in other.changes)
    assert is_sound(other)  # though blocks had prices by the month
    nobody = without_customer(expanded, "nobody", 8 * WEEK)
    assert nobody == expanded


def test_surplus_blocks_are_not_sold_cheap_to_nobody(expanded: Farm) -> None:
    yard = BlockCustomer(name="yard", kind="outlet", takes="anything", days=("mon",), price=2.0)
    farm = in_every_state(
        expanded,
        lambda state: state.but(block_customer=(*state.block_customer, yard), rules=Rules(surplus_blocks="sell cheap")),
    )
    assert is_sound(farm)
    other = without_customer(farm, "yard", 5 * WEEK)
    assert other.rules.surplus_blocks == "sell cheap" and other.changes[0][1].rules.surplus_blocks == "hold cold"
    assert is_sound(other)


def test_customers_who_are_only_hoped_for_never_come(tmp_path: Path) -> None:
    base, expanded = both(tmp_path)
    other = without_hoped(base, expanded)
    assert other is not None and is_sound(other)
    assert [[each.name for each in state.customer] for state in states(other)][2:] == [
        ["shop", "outlet"], ["shop", "outlet"], ["shop", "outlet", "inn"]
    ]  # fmt: skip
    assert other.changes[2][1].round[0].customers == ("shop", "outlet")
    assert without_hoped(expanded, expanded) is None  # whom it has anyway is no hope of the expansion


def test_who_only_hopes_for_blocks_never_gets_them_and_a_namesake_for_mushrooms_does(tmp_path: Path) -> None:
    base, expanded = both(tmp_path)
    inn = base.block_customer[0].but(name="inn", firm="hoped for")
    grown = in_every_state(expanded, lambda state: state.but(block_customer=(*state.block_customer, inn)))
    other = without_hoped(base, grown)
    assert other is not None and {each.name for state in states(other) for each in state.block_customer} == {"growers"}
    assert [each.name for each in other.changes[-1][1].customer] == ["shop", "outlet", "inn"]
    signed = inn.but(firm="signed")
    kept = in_every_state(expanded, lambda state: state.but(block_customer=(*state.block_customer, signed)))
    left = without_hoped(base, kept)
    assert left is not None and left.changes[-1][1].block_customer == (*base.block_customer, signed)


def test_how_firm_somebody_is_when_first_served_decides_who_is_only_hoped_for(tmp_path: Path) -> None:
    """The school is hoped for and signs later: it never comes. The inn is known by a letter and doubted later: it comes."""
    base, expanded = both(tmp_path)
    since, last = expanded.changes[-1]
    firm = {"school": "signed", "inn": "hoped for"}
    turned = last.but(customer=tuple(each.but(firm=firm.get(each.name, each.firm)) for each in last.customer))
    other = without_hoped(base, expanded.but(changes=(*expanded.changes, (since + 4 * WEEK, turned))))
    assert other is not None
    assert [each.name for each in other.changes[-1][1].customer] == ["shop", "outlet", "inn"]


def test_where_nobody_is_only_hoped_for_there_is_no_such_farm(tmp_path: Path) -> None:
    base, expanded = both(tmp_path, 'firm     = "hoped for"', 'firm     = "signed"')
    assert without_hoped(base, expanded) is None


# --- all of them ------------------------------------------------------------------------------------------------------


def all_blows(tmp_path: Path, stress: Stress | None = None, largest: str | None = "shop") -> tuple[Farm, list[Blow]]:
    _, expanded = both(tmp_path)
    if stress is not None:
        expanded = in_every_state(expanded, lambda state: state.but(stress=stress))
    return expanded, blows(tmp_path / "change.toml", expanded, largest, 8 * WEEK)


def test_every_blow_is_a_row_of_a_table_with_its_farm(tmp_path: Path) -> None:
    expanded, found = all_blows(tmp_path)
    assert [(each.key, each.told) for each in found] == [
        ("prices", "Prices 5 % lower"),
        ("yield", "Yield 10 % lower"),
        ("contaminated", "Half as many blocks again contaminated"),
        ("wages", "Wages 10 % higher"),
        ("energy", "Power and fuel 30 % dearer"),
        ("interest", "Interest 2 points higher"),
        ("late", "Opening 17 weeks late"),
        ("largest_customer", "Largest customer lost (shop)"),
        ("prices+yield", "Prices 5 % and yield 10 % lower"),
    ]
    farms = {each.key: each.farm for each in found}
    assert farms == {
        "prices": cheaper(expanded, 0.05),
        "yield": poorer_yield(expanded, 0.1),
        "contaminated": more_contaminated(expanded, 0.5),
        "wages": dearer_wages(expanded, 0.1),
        "energy": dearer_energy(expanded, 0.3),
        "interest": dearer_money(expanded, 0.02),
        "late": later(tmp_path / "change.toml", 17),
        "largest_customer": without_customer(expanded, "shop", 8 * WEEK),
        "prices+yield": poorer_yield(cheaper(expanded, 0.05), 0.1),
    }
    assert all(is_sound(farm) for farm in farms.values())


def test_blows_are_of_the_size_the_file_gives_and_opening_late_comes_first_in_a_combination(tmp_path: Path) -> None:
    none = {"prices": 0.0, "contaminated": 0.0, "energy": 0.0, "interest": 0.0}
    stress = Stress(yield_=0.2, wages=0.05, late=4, together=(("yield", "late", "largest_customer"),), **none)
    _, found = all_blows(tmp_path, stress)
    assert [each.key for each in found] == ["yield", "wages", "late", "largest_customer", "yield+late+largest_customer"]
    assert found[-1].told == "Yield 20 % lower, opening 4 weeks late and largest customer lost (shop)"
    late = found[2].farm
    assert late.phases == later(tmp_path / "change.toml", 4).phases
    assert found[-1].farm == without_customer(poorer_yield(late, 0.2), "shop", 8 * WEEK)


def test_the_files_are_read_once_however_often_the_opening_is_late(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In three rows, and not again where the farm that opens late is known already."""
    read: list[Path] = []

    def counted(change: Path, *how: object) -> Farm:
        read.append(change)
        return later(change, *how)  # type: ignore[arg-type]

    monkeypatch.setattr(stressed, "later", counted)
    stress = Stress(together=(("prices", "late"), ("late", "yield")))
    expanded, found = all_blows(tmp_path, stress)
    late = {each.key: each for each in found}
    assert {"late", "prices+late", "late+yield"} <= late.keys() and len(read) == 1
    again = blows(tmp_path / "change.toml", expanded, "shop", 8 * WEEK, late=late["late"].farm)
    assert again == found and len(read) == 1


def test_every_row_says_of_a_late_opening_what_else_is_late(tmp_path: Path) -> None:
    _, expanded = both(tmp_path, "[add.capital.annex]", ASKED)
    stress = Stress(together=(("yield", "late"), ("late", "prices")))
    expanded = in_every_state(expanded, lambda state: state.but(stress=stress))
    told = [each.told for each in blows(tmp_path / "change.toml", expanded, None, 0.0) if "late" in each.key]
    assert told == [
        'Opening 17 weeks late (and every phase after "building")',
        'Yield 10 % lower and opening 17 weeks late (and every phase after "building")',
        'Opening 17 weeks late (and every phase after "building") and prices 5 % lower',
    ]


def test_without_a_largest_customer_none_is_lost(tmp_path: Path) -> None:
    stress = Stress(together=(("prices", "largest_customer"), ("prices", "wages")))
    keys = [each.key for each in all_blows(tmp_path, stress, None)[1]]
    assert "prices+wages" in keys and not [key for key in keys if "largest_customer" in key]


def test_what_changes_nothing_is_no_row(tmp_path: Path) -> None:
    """Nothing in the change set has a date, nobody pays for power, no loan is new."""
    written(tmp_path, BASE, "base.toml")
    undated = written(tmp_path, 'based_on = "base.toml"\n[change.opening]\nbenches = 3\n', "change.toml")
    stress = Stress(together=(("late", "wages"), ("wages", "energy"), ("prices", "wages")))
    poor = in_every_state(undated, lambda state: state.but(energy=None, loan=(), credit_line=None, stress=stress))
    keys = [each.key for each in blows(tmp_path / "change.toml", poor.but(stress=Stress(late=0)), None, 0.0)]
    assert keys == ["prices", "yield", "contaminated", "wages", "prices+yield"]
    given = in_every_state(undated, lambda state: state.but(stress=stress))
    found = blows(tmp_path / "change.toml", given, None, 0.0)
    assert [each.key for each in found if "late" in each.key] == []
    assert [each.key for each in found if "+" in each.key] == ["wages+energy", "prices+wages"]


def test_a_farm_called_otherwise_and_run_longer_keeps_both_when_it_opens_late(tmp_path: Path) -> None:
    _, expanded = both(tmp_path)
    renamed = in_every_state(expanded, lambda state: state.but(farm=state.farm.but(name="X", weeks=30, lead_in=2)))
    late = next(each.farm for each in blows(tmp_path / "change.toml", renamed, None, 0.0) if each.key == "late")
    assert {state.farm for state in states(late)} == {renamed.farm}
    assert late.phases[-2:] == ((22 * WEEK, "building"), (25 * WEEK, "annex opens"))
    longer = blows(tmp_path / "change.toml", renamed, None, 0.0, simulates=31)
    assert next(each.farm for each in longer if each.key == "late").phases[-1] == (30 * WEEK, "inn")
