"""Rules about packing to order, rounds and vans."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario.delivery import Round
from farmsim.scenario.farm import Farm
from farmsim.scenario.forms import listed, nearest, shown
from farmsim.scenario.part import NotKnown
from farmsim.scenario.round_plan import can_go, days_of, leaves, served
from farmsim.scenario.sales import Customer
from farmsim.units import HOURS_A_DAY

Path = tuple[str | int, ...]


def a_round_serves_customers(farm: Farm, round_: Round, path: Path) -> Iterator[Fault]:
    """A round is for customers the farm has."""
    names = [customer.name for customer in farm.customer]
    if not round_.customers:
        mend = "Name whom it serves, or take the round out."
        yield Fault((*path, "customers"), "is an empty list", "needs at least one customer", mend)
    for at, name in enumerate(round_.customers):
        if name not in names:
            allowed = f"needs one of {listed(names)}" if names else "needs a customer of this farm"
            found, mend = f"{shown(name)} is no customer of this farm", nearest(str(name), names, "Add a [[customer]].")
            yield Fault((*path, "customers", at), found, allowed, mend, misses=("customer", str(name)))


def a_customer_is_on_one_round(farm: Farm, round_: Round, path: Path) -> Iterator[Fault]:
    """Who is on two rounds would not know which to wait for."""
    before = farm.round[: int(path[1])]
    for at, name in enumerate(round_.customers):
        other = next((each.name for each in before if name in each.customers), None)
        if other is not None:
            found, mend = f'"{name}" is on the round "{other}" already', "Take it out of one of the two."
            yield Fault((*path, "customers", at), found, "needs each customer on one round only", mend)


def a_round_has_its_van(farm: Farm, round_: Round, path: Path) -> Iterator[Fault]:
    """The van a round goes with is one of the farm's."""
    if round_.van is not None and round_.van not in farm.van:
        known = list(farm.van)
        allowed = f"needs one of {listed(known)}" if known else "needs a van of this farm"
        found, mend = f'"{round_.van}" is no van of this farm', nearest(round_.van, known, f"Add [van.{round_.van}].")
        yield Fault((*path, "van"), found, allowed, mend, misses=("van", round_.van))


def a_round_leaves_in_time(farm: Farm, round_: Round, path: Path) -> Iterator[Fault]:
    """A round leaves no later than any of those it serves needs it to."""
    for customer in served(farm, round_) if round_.leave_by is not None else []:
        if round_.leave_by is not None and round_.leave_by > customer.leave_by:
            ours, theirs = units.show_clock(round_.leave_by), units.show_clock(customer.leave_by)
            found, allowed = (
                f"is {ours}, but {customer.name} is to leave by {theirs}",
                "needs the earliest of their hours",
            )
            yield Fault((*path, "leave_by"), found, allowed, "Make it earlier, or leave it out.")
            return


def people_can_be_back(farm: Farm, round_: Round, path: Path) -> Iterator[Fault]:
    """On each of its days enough people with the duty can come in time and be back in their shift."""
    if not any("deliver" in crew.all_duties for crew in farm.crew):
        return  # that somebody must have the duty is told already
    for day in days_of(farm, round_):
        found = can_go(farm, round_, day)
        if found < round_.people:
            hour, takes = units.show_clock(leaves(farm, round_, day)), units.show(round_.takes, "h")
            who = (
                f"only {found} people who deliver"
                if found > 1
                else "only 1 person who delivers"
                if found
                else "nobody who delivers"
            )
            told = f"on {day.title()} {who} can leave by {hour}, or as much later as it may, and be back in their shift"
            allowed = f"needs {round_.people}, each with {takes} of the shift left"
            mend = 'Give more people "deliver", a longer shift or overtime, or make the round shorter.'
            yield Fault((*path, "takes"), told, allowed, mend)
            return


def a_stall_is_back_on_its_day(farm: Farm, round_: Round, path: Path) -> Iterator[Fault]:
    """What a stall did not sell is back before midnight, however late its round may leave."""
    brings = [one for one in served(farm, round_) if one.kind == "market stall" and one.unsold == "comes back"]
    for day in days_of(farm, round_) if brings else []:
        back = leaves(farm, round_, day) + round_.late_at_most + round_.takes
        if back >= HOURS_A_DAY:
            found = f"{brings[0].name} may be back only {units.show(back - HOURS_A_DAY, 'h')} after midnight"
            allowed, mend = "needs to be back on its day", "Let it leave sooner, be shorter, or be less late."
            yield Fault((*path, "takes"), found, allowed, mend)
            return


def a_form_has_its_pace(farm: Farm, customer: Customer, path: Path) -> Iterator[Fault]:
    """A form that is wanted of a strain has its pace there."""
    if customer.form == "any":
        if "pack_ahead" in customer.given:
            mend = "Leave it out, or say in which form it wants them."
            yield Fault((*path, "pack_ahead"), "is given, but any form will do", "needs a form of its own", mend)
        return
    if isinstance(customer.takes, str):
        mend = "Leave the form out, or name strains with amounts."
        yield Fault((*path, "form"), 'is given, but it takes "anything"', "needs strains that are promised", mend)
        return
    what = _not_packed_to_order(customer)
    if what:
        mend = "Leave the form out, or make two customers of it."
        yield Fault((*path, "form"), f"is given, but {what}", "needs an order whose strains are known beforehand", mend)
        return
    for name in customer.takes:
        if name in farm.strain and customer.form not in farm.strain[name].pack_forms:
            found = f"{customer.name} wants {customer.form} of it, and there is no pace for them"
            mend = f'Add pack_forms = {{ "{customer.form}" = "{units.SPOKEN["kg/h"].us}" }}.'
            yield Fault(("strain", name, "pack_forms"), found, "needs a pace for each form that is wanted", mend)


def is_packed_to_order(customer: Customer) -> bool:
    """Whether it wants a form of its own and what it wants in it is known beforehand."""
    return customer.form != "any" and not isinstance(customer.takes, str) and not _not_packed_to_order(customer)


def _not_packed_to_order(customer: Customer) -> str:
    """Why nobody knows beforehand what is to be packed for a customer; nothing when it is known."""
    if not customer.orders:
        return f"it is no order ({customer.kind})"
    if customer.mixed is not None:
        return "a mixed order is made up when it leaves"
    return "what it takes instead is known only when it leaves" if customer.substitutes else ""


ROUND_RULES = (
    a_round_serves_customers,
    a_customer_is_on_one_round,
    a_round_has_its_van,
    a_round_leaves_in_time,
    people_can_be_back,
    a_stall_is_back_on_its_day,
)


def checks(farm: Farm) -> Iterator[Iterator[Fault]]:
    """Every rule about packing to order, rounds and vans."""
    with suppress(NotKnown):
        for at, round_ in enumerate(farm.round):
            yield from (rule(farm, round_, ("round", at)) for rule in ROUND_RULES)
    with suppress(NotKnown):
        for at, customer in enumerate(farm.customer):
            yield a_form_has_its_pace(farm, customer, ("customer", at))
