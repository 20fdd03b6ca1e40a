"""What differs between the states of a farm is on the time line, whatever it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import copy
from functools import partial
from pathlib import Path
from typing import Any

import farmsim
from farmsim.scenario.assumed import has_a_say
from farmsim.scenario.part import Part
from farmsim.study.pack_comes import arrivals, hired
from farmsim.study.pack_days import Hired
from farmsim.study.pack_given import assumptions
from farmsim.study.pack_steps import steps

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"


def test_hours_prices_energy_and_costs_of_later_states_are_told_with_both_figures() -> None:
    farm = farmsim.load(SCENARIOS / "four-rooms-books.toml")
    packers = next(crew for crew in farm.crew if crew.name == "packers")
    cost, shop = farm.fixed_cost[0], farm.customer[0]
    strain = next(iter(farm.strain))
    assert farm.energy is not None and farm.costs is not None and packers.wage is not None
    then = farm.but(
        crew=tuple(crew.but(wage=20.0) if crew is packers else crew for crew in farm.crew),
        fixed_cost=(cost.but(a_month=900.0, costs_from="another quotation"), *farm.fixed_cost[1:]),
        energy=farm.energy.but(by_room={"North": 10.0}),
        costs=farm.costs.but(taxes=1.0),
        customer=(shop.but(pays_after=24.0), *farm.customer[1:]),
        strain={**farm.strain, strain: farm.strain[strain].but(crate=2.0)},
    )
    told = [step.what for step in steps(farm, farm.but(changes=((168.0, then),)))]
    assert f"crew packers, wage: $20/h instead of ${packers.wage:g}/h" in told
    assert f"fixed cost {cost.name}: $900 a month instead of ${cost.a_month:,.0f} a month" in told
    assert f"costs, taxes: $1 a month instead of ${farm.costs.taxes:,.0f} a month" in told
    assert any(each.startswith("energy, by room: $10 a week from North instead of ") for each in told)
    assert any(each.startswith(f"customer {shop.name}, pays after: 24 h instead of ") for each in told)
    assert any(each.startswith(f"strain {strain}, crate: ") and "4.409 lb" in each for each in told)
    assert len(told) == 6


def test_no_figure_that_is_heard_can_differ_without_being_told() -> None:
    """Every figure of every section, moved by itself, is a step of the time line."""
    farm = farmsim.load(SCENARIOS / "four-rooms-books.toml")
    moved = 0
    for section, figure in type(farm).figures.items():
        if figure.form.name == "inside" or section in ("request", "past_year", "stress", "history", "capital", "loan"):
            continue
        for put, part in _parts(getattr(farm, section)):
            for attribute, value in part.__dict__.items():
                wanted = isinstance(value, float | bool) and has_a_say(part, attribute)
                if wanted and attribute not in ("weeks", "lead_in"):
                    other = _but(part, attribute, not value if isinstance(value, bool) else value + 0.125)
                    then = _but(farm, section, put(other))
                    moved += 1
                    assert steps(farm, _but(farm, "changes", ((168.0, then),))), (section, attribute)
    assert moved > 100


def _parts(things: Any) -> Iterator[tuple[Callable[[Any], Any], Any]]:
    """The parts of a section, each with what puts another one in its place."""
    if isinstance(things, Part):
        yield (lambda other: other), things
    elif isinstance(things, dict):
        yield from ((partial(_of_name, things, name), part) for name, part in things.items())
    elif isinstance(things, tuple):
        yield from ((partial(_of_row, things, at), part) for at, part in enumerate(things))


def _of_name(things: dict[str, Any], name: str, other: Any) -> dict[str, Any]:
    return {**things, name: other}


def _of_row(things: tuple[Any, ...], at: int, other: Any) -> tuple[Any, ...]:
    return (*things[:at], other, *things[at + 1 :])


def _but(part: Any, attribute: str, value: object) -> Any:
    """Another value, its rules not asked."""
    other = copy(part)
    other.__dict__[attribute] = value
    return other


def test_people_and_customers_of_the_expansion_are_told_with_terms_and_source() -> None:
    """A crew that grows with how new hands learn, a grocer with its contract, a stall by the market day."""
    base, grown = (farmsim.load(SCENARIOS / name) for name in ("four-rooms-books.toml", "fifth-room-loan.toml"))
    growers, packers = hired(base, grown)
    assert growers == Hired(
        "2027-06-28", "growers", 4, 3, "4 days a week each, days off in turn, 06:00 to 14:00, 30 min of it break", "$19/h",
        "60 % and 80 % in the first 2 weeks",
    )  # fmt: skip
    assert (packers.day, packers.crew, packers.people, packers.before) == ("2027-08-30", "packers", 3, 2)
    found = {each.name: each for each in arrivals(base, grown)}
    assert list(found) == ["grocer", "more kitchens", "second market"]
    grocer, stall = found["grocer"], found["second market"]
    assert (grocer.days, grocer.firm, grocer.source) == ("Tue and Fri", "signed", "contract, of 2026-11-24")
    assert grocer.takes.startswith("32 lb a delivery of shiitake") and grocer.pays.endswith("lions-mane, 30 d later")
    assert (
        stall.firm == "hoped for"
        and "34 lb a market day of shiitake" in stall.takes
        and not stall.pays.endswith("later")
    )


def test_who_comes_anyway_is_not_told_and_who_takes_more_is_told_with_both_amounts() -> None:
    shed = farmsim.load(SCENARIOS.parent / "tests" / "study" / "shed-with-books.toml")
    (owner,), (shop, outlet) = shed.crew, shed.customer
    two = shed.but(crew=(owner.but(people=2),))
    base = shed.but(changes=((168.0, two),))
    more = two.but(customer=(shop.but(takes={"blue-oyster": 40.0}), outlet), crew=(owner.but(people=3, wage=None),))
    grown = base.but(changes=((168.0, two), (336.0, more)))
    (one,), (taken,) = hired(base, grown), arrivals(base, grown)
    assert (one.day, one.people, one.before, one.pays) == ("2027-01-18", 3, 2, "the owner's own hours, not paid")
    assert taken.before.startswith("66 lb a delivery of blue-oyster") and taken.takes.startswith("88.18 lb a delivery")
    assert (taken.firm, taken.source) == ("signed", "invoices, of 2026-11-30")
    assert hired(base, base) == arrivals(base, base) == ()


def test_what_a_stall_takes_is_a_market_day_and_new_hands_are_told() -> None:
    base, grown = (farmsim.load(SCENARIOS / name) for name in ("four-rooms-books.toml", "fifth-room-loan.toml"))
    told = [step.what for step in steps(base, grown)]
    stall = next(each for each in told if each.startswith("second market begins to buy"))
    assert "34 lb a market day of shiitake" in stall and "delivery" not in stall
    listed = assumptions(grown).set_index("figure")["value"]
    assert "34 lb a market day of shiitake" in listed["customer.second market.takes"]
    assert "delivery" in listed["customer.grocer.takes"] and "market day" not in listed["customer.grocer.takes"]
    grocer = next(each for each in told if each.startswith("grocer begins to buy"))
    assert "32 lb a delivery of shiitake" in grocer
    assert "crew growers, new hands: pace 60 %, 80 % (not given before)" in told
    assert {"fixed cost building site comes: $850 a month", "fixed cost building site ends"} <= {*told}
    assert "crew owner and family, at most hours: 28 h a week instead of 20 h a week" in told
    assert all("instead of ," not in each and not each.endswith("instead of ") for each in told)
