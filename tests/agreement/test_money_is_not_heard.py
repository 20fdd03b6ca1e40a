"""A run hears nothing of money: the farm without any of it is run alike, row for row."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from copy import copy
from pathlib import Path
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, given, settings

from farmsim.errors import RunStuck
from farmsim.model.run import run
from farmsim.record.measures import summarise
from farmsim.record.tables import Record
from farmsim.scenario.balance import Balance
from farmsim.scenario.capital import Capital
from farmsim.scenario.costs import Costs, Drift, FixedCost, Materials
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.heard import VARIES, as_simulated, only_money
from farmsim.scenario.loans import CreditLine, Loan
from farmsim.scenario.part import UNKNOWN, NotKnown, Part
from farmsim.scenario.prices import Energy
from farmsim.scenario.seasons import Months
from farmsim.scenario.values import MONTHS

from .farms import EVERY_KIND, SCENARIOS, SMALL, UNLIKE, everything, farms, shipped

Kind = TypeVar("Kind", bound=Part)
WEEKS = 2
IN_FILES = [path for path in SCENARIOS if path.stem in ("four-rooms-books", "growth", "one-more-picker")]


def with_money(farm: Farm) -> Farm:
    """The farm with a figure in every place that is only money."""
    terms = {
        "price_months": UNLIKE,
        "pays_after": 336.0,
        "prices_of": datetime.date(2026, 1, 1),
        "prices_from": "bills",
    }
    paid = {"price": {"quick": 8.0, "soaked": 9.0}, **terms}
    outlets = ("outlet",)
    return farm.but(
        customer=tuple(
            each.but(**paid, price_of_seconds=2.0 if each.kind in outlets else None) for each in farm.customer
        ),
        block_customer=tuple(each.but(**paid) for each in farm.block_customer),
        crew=tuple(each.but(wage=17.0) for each in farm.crew),
        months=farm.months.but(prices=UNLIKE, block_prices=UNLIKE, energy=UNLIKE),
        energy=Energy(a_week=450.0, by_room={"East": 30.0}),
        materials=Materials(substrate=1.0, spawn={"quick": 0.5}, packaging=0.2),
        fixed_cost=(FixedCost(name="rent", a_month=900.0),),
        costs=Costs(on_costs=0.12, owner_draw=200.0),
        drift=Drift(prices=0.02, wages=0.03),
        capital=(Capital(name="oven", cost=9_000.0, bought=datetime.date(2024, 5, 1), life=10.0),),
        loan=(Loan(name="bank", amount=5_000.0, rate=0.08, from_=datetime.date(2026, 12, 1), years=5.0),),
        credit_line=CreditLine(limit=5_000.0, rate=0.09),
        balance=Balance(cash=2_000.0),
    )


def grows(farm: Farm) -> Farm:
    """The farm with a later state in which prices, wages and rooms are others."""
    east, *others = farm.room
    state = with_money(farm).but(room=(east.but(holds=90.0), *others))
    dearer = tuple(each.but(price=20.0) for each in state.customer)
    return farm.but(changes=((168.0, state.but(customer=dearer)),))


def deaf(farm: Farm) -> Farm:
    """The farm with nothing readable in the place of whatever is only money: to read any of it goes wrong."""
    other = _deaf(farm)
    other.__dict__["changes"] = tuple((since, _deaf(state)) for since, state in farm.changes)
    return other


def _deaf(part: Kind) -> Kind:
    other = copy(part)
    other.__dict__.update(dict(_unreadable(part)))
    return other


def _unreadable(part: Part) -> Iterator[tuple[str, object]]:
    for name, figure in part.figures.items():
        value = part.__dict__[name]
        if name in only_money(type(part)):
            yield name, UNKNOWN
        elif figure.part is not None:
            yield name, _within(value)


def _within(value: object) -> object:
    if isinstance(value, Part):
        return _deaf(value)
    if isinstance(value, tuple):
        return tuple(_within(each) for each in value)
    return {name: _within(each) for name, each in value.items()} if isinstance(value, dict) else value


def outcome(farm: Farm) -> dict[str, list[tuple[object, ...]]] | str:
    """Every row, or why the run cannot go on."""
    try:
        return everything(run(farm, 1, 0, WEEKS))
    except RunStuck as stuck:
        return str(stuck)


@pytest.mark.parametrize("path", IN_FILES, ids=lambda path: path.stem)
def test_a_shipped_farm_without_its_money_is_run_alike(path: Path) -> None:
    farm = shipped(path, lead_in=2)
    assert outcome(as_simulated(farm)) == outcome(farm)


def test_nothing_that_is_only_money_is_read_on_the_farm() -> None:
    for farm in (SMALL, SMALL.but(customer=EVERY_KIND), grows(SMALL)):
        full = with_money(farm).but(changes=farm.changes)
        plain = outcome(full)
        assert isinstance(plain, dict) and plain["stock_out"]
        assert outcome(deaf(full)) == outcome(as_simulated(full)) == plain


@given(farms())
@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
def test_nor_on_any_farm_whatever_its_rules(farm: Farm) -> None:
    full = with_money(farm)
    plain = full.but(rules=full.rules.but(pick_first="ripest"))
    assert outcome(deaf(plain)) == outcome(plain)
    assert outcome(as_simulated(full)) == outcome(full)


def test_the_measures_of_the_farm_are_the_same_without_its_money() -> None:
    """All but those of money; a pace or how firm a customer is still stands where they look for it."""
    full = grows(with_money(SMALL.but(customer=(SMALL.customer[0].but(firm="signed"), *SMALL.customer[1:]))))
    record = run(full, 1, 0, WEEKS)
    other = Record(record.names, record.tables, record.first_day, record.end, record.start, as_simulated(full))
    assert repr(summarise(other)) == repr(summarise(record))
    assert "signed" in summarise(other)["firmness"]["firm"]


def test_how_firm_it_is_that_blocks_are_bought_is_not_heard_and_of_mushrooms_it_is() -> None:
    """The firmest may be served first of those who buy mushrooms."""
    blocks, fresh = (getattr(SMALL, name)[0] for name in ("block_customer", "customer"))
    assert as_simulated(SMALL.but(block_customer=(blocks.but(firm="signed"),))) == as_simulated(
        SMALL.but(block_customer=(blocks.but(firm="hoped for"),))
    )
    firm = [as_simulated(SMALL.but(customer=(fresh.but(firm=each),))) for each in ("signed", "hoped for")]
    assert firm[0] != firm[1]


def test_whoever_reads_money_all_the_same_is_found_out() -> None:
    dearest = with_money(SMALL).but(rules=SMALL.rules.but(pick_first="dearest"))
    with pytest.raises(NotKnown):
        run(deaf(dearest), 1, 0, WEEKS)


# --- what is left of the farm ---------------------------------------------------------------------------------------------


def figures(part: Part) -> Iterator[tuple[type[Part], str, object]]:
    """Every figure of a part and of those within it."""
    for name, value in part.__dict__.items():
        yield type(part), name, value
        inner = [value] if isinstance(value, Part) else list(value.values()) if isinstance(value, dict) else value
        for each in inner if isinstance(inner, list | tuple) else ():
            if isinstance(each, Part):
                yield from figures(each)


def test_no_amount_of_money_is_left() -> None:
    full = grows(with_money(SMALL))
    heard = as_simulated(full)
    states = [heard, *(state for _, state in heard.changes)]
    left = {
        (part.__name__, name): value
        for state in states
        for part, name, value in figures(state)
        if "currency" in part.figures[name].unit and value
    }
    assert left == {}
    assert any("currency" in part.figures[name].unit and value for part, name, value in figures(full))
    assert heard.changes[0][1].room == full.changes[0][1].room and heard.start == full.start


def test_a_farm_without_any_money_is_left_as_it_is() -> None:
    bare = SMALL.but(customer=tuple(each.but(price=None) for each in SMALL.customer))
    assert as_simulated(bare) == bare == as_simulated(with_money(SMALL))


def test_prices_are_heard_where_the_dearest_is_picked_first_in_any_state() -> None:
    full = with_money(SMALL)
    later = full.but(rules=full.rules.but(pick_first="dearest"))
    heard = as_simulated(full.but(changes=((168.0, later),)))
    assert [each.price for each in heard.customer] == [each.price for each in full.customer]
    assert heard.customer[2].price_of_seconds is None and heard.balance is None and heard.crew[0].wage is None
    assert heard.block_customer[0].price is None


def test_whether_prices_vary_is_heard_but_not_how_much() -> None:
    def varies(shop: float, grower: float) -> Farm:
        return SMALL.but(
            customer=(SMALL.customer[0].but(price_varies=shop), *SMALL.customer[1:]),
            block_customer=(SMALL.block_customer[0].but(price=9.0, price_varies=grower), SMALL.block_customer[1]),
        )

    assert VARIES == "price_varies"
    assert as_simulated(varies(0.1, 0.0)) == as_simulated(varies(0.3, 0.0)) != as_simulated(varies(0.0, 0.0))
    assert as_simulated(varies(0.0, 0.1)) == as_simulated(varies(0.0, 1.0)) != as_simulated(varies(0.0, 0.0))


def test_every_name_among_what_is_not_heard_is_a_figure_of_its_part() -> None:
    for part in (About, Farm, type(SMALL.customer[0]), type(SMALL.block_customer[0]), Months):
        assert only_money(part) <= part.figures.keys() and only_money(part)
        assert not any(part.figures[name].is_needed for name in only_money(part))
    assert len(MONTHS) == len(UNLIKE)
