"""Rules about prices and what is paid for energy: each must have something to act on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress

from farmsim.errors import Fault
from farmsim.scenario.check_customers import SAID
from farmsim.scenario.farm import Farm
from farmsim.scenario.forms import listed, nearest
from farmsim.scenario.part import NotKnown
from farmsim.scenario.price_form import Prices
from farmsim.scenario.prices import blocks_are_paid, fresh_is_paid
from farmsim.scenario.sales import BlockCustomer, Customer
from farmsim.scenario.seasons import AS_USUAL

Path = tuple[str | int, ...]


def a_price_is_of_what_is_taken(farm: Farm, customer: Customer | BlockCustomer, path: Path) -> Iterator[Fault]:
    """A price for a strain that the farm has not, or the customer does not take, brings nothing."""
    yield from _of_taken(farm, customer, customer.price, (*path, "price"))
    if isinstance(customer, Customer):
        yield from _of_taken(farm, customer, customer.price_of_seconds, (*path, "price_of_seconds"))


def _of_taken(farm: Farm, customer: Customer | BlockCustomer, prices: Prices | None, path: Path) -> Iterator[Fault]:
    if not isinstance(prices, dict):
        return
    yield from of_strains(farm, prices, path)
    for name in prices:
        if name in farm.strain and not isinstance(customer.takes, str) and name not in customer.may_take:
            found = f"{customer.name} takes no {name}"
            yield Fault((*path, name), found, "needs a strain that is taken", "Take it out, or add it to takes.")


def of_strains(farm: Farm, prices: Prices | None, path: Path) -> Iterator[Fault]:
    """A price by strain is of a strain that there is."""
    for name in prices if isinstance(prices, dict) else ():
        if name not in farm.strain:
            found, mend = f'"{name}" is no strain of this farm', nearest(name, list(farm.strain), "Take it out.")
            allowed = f"needs one of {listed(list(farm.strain))}"
            yield Fault((*path, name), found, allowed, mend, misses=("strain", name))


def seconds_are_taken(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """All but outlets are brought firsts."""
    if customer.kind != "outlet" and customer.price_of_seconds is not None:
        mend = 'Leave it out, or write kind = "outlet".'
        yield Fault((*path, "price_of_seconds"), f"is given for {SAID[customer.kind]}", "needs an outlet", mend)


def prices_by_month_have_prices(farm: Farm) -> Iterator[Fault]:
    """Factors of prices where nobody pays a stated price change nothing."""
    for key, factors, who, priced in (
        ("prices", farm.months.prices, "customer", fresh_is_paid),
        ("block_prices", farm.months.block_prices, "block customer", blocks_are_paid),
    ):
        if factors != AS_USUAL and not priced(farm):
            found, mend = f"no {who} has a price", f"Give a {who} a price, or leave it out."
            yield Fault(("months", key), found, "needs prices that differ by month", mend)


def energy_by_month_has_energy(farm: Farm) -> Iterator[Fault]:
    """Factors of energy where none is paid for change nothing."""
    if farm.months.energy != AS_USUAL and farm.energy is None:
        mend = 'Add [energy] with a_week = "$450 a week", or leave it out.'
        yield Fault(("months", "energy"), "there is no [energy]", "needs what energy costs in an average week", mend)


def own_months_have_a_price(customer: Customer | BlockCustomer, path: Path) -> Iterator[Fault]:
    """Factors of prices of a customer who pays none change nothing."""
    if customer.price_months != AS_USUAL and customer.price is None:
        found, mend = f"{customer.name} has no price", "Give it a price, or leave price_months out."
        yield Fault((*path, "price_months"), found, "needs a price that differs by month", mend)


def own_spread_has_a_price(customer: Customer | BlockCustomer, path: Path) -> Iterator[Fault]:
    """A spread of prices of a customer who pays none changes nothing."""
    if customer.price_varies and customer.price is None:
        found, mend = f"{customer.name} has no price", "Give it a price, or leave price_varies out."
        yield Fault((*path, "price_varies"), found, "needs a price that varies", mend)


def energy_is_of_rooms(farm: Farm) -> Iterator[Fault]:
    """Energy of a room that the farm has not is a slip."""
    rooms = [room.name for room in farm.room]
    for name in () if farm.energy is None else farm.energy.by_room:
        if name not in rooms:
            allowed = f"needs one of {listed(rooms)}" if rooms else "needs a room of this farm"
            found, mend = f'"{name}" is no room of this farm', nearest(name, rooms, "Take it out.")
            yield Fault(("energy", "by_room", name), found, allowed, mend, misses=("room", name))


def checks(farm: Farm) -> Iterator[Iterable[Fault]]:
    """Every rule, asked of every customer and of the year; what needs a figure that could not be read is left out."""
    with suppress(NotKnown):
        for at, customer in enumerate(farm.customer):
            yield a_price_is_of_what_is_taken(farm, customer, ("customer", at))
            yield seconds_are_taken(farm, customer, ("customer", at))
            yield own_months_have_a_price(customer, ("customer", at))
            yield own_spread_has_a_price(customer, ("customer", at))
    with suppress(NotKnown):
        for at, block_customer in enumerate(farm.block_customer):
            yield a_price_is_of_what_is_taken(farm, block_customer, ("block_customer", at))
            yield own_months_have_a_price(block_customer, ("block_customer", at))
            yield own_spread_has_a_price(block_customer, ("block_customer", at))
    yield prices_by_month_have_prices(farm)
    yield energy_by_month_has_energy(farm)
    yield energy_is_of_rooms(farm)
