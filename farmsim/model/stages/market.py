"""The market stall: it takes mushrooms along, sells what the day asks for, and brings the rest back older.

Steps of a market day: when it leaves, what is to be taken there is loaded, the oldest date first, as far as the stock
goes; at the stall the oldest is sold first, as much as is asked for; at the stated hour the rest is back and goes into
the cooler with so much less shelf life, or is thrown out if that is used up; or the rest is lost at the stall.

How much to bring is the newsvendor's question: one pound more is sold, or comes back older.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import NamedTuple

from farmsim.model.calendar import DAY, ticks
from farmsim.model.site import Site
from farmsim.model.stock import Parcel
from farmsim.model.stock_out import FIRSTS, LOST_AT_STALL, NOBODY, PAST_DATE, STALL, carry_out, throw_out, write_down
from farmsim.model.total import total
from farmsim.model.trips import Trip
from farmsim.model.wants import Order, Turn, brings, spare, turn
from farmsim.scenario.sales import Customer

PutBack = Callable[[Site, Parcel, float, float], None]


class Day(NamedTuple):
    """One strain on one market day [h, kg]."""

    out: float
    wanted: float
    brought: float
    asked: float
    sold: float


def week(site: Site, monday: int, put_back: PutBack) -> None:
    """Set the week's market days."""
    for stall in site.farm.customer:
        if stall.kind == "market stall":
            for out, wanted, asked in brings(site, stall, monday):
                site.trips.leave(stall.name, out, partial(_due, site, stall, wanted, asked, put_back))


def _due(site: Site, stall: Customer, wanted: Order, asked: Order, put_back: PutBack, trip: Trip | None) -> None:
    place = turn(site, stall, total(wanted.values()))
    site.counter.due(place, partial(load, site, stall, wanted, asked, place, put_back, trip))


def load(
    site: Site, stall: Customer, wanted: Order, asked: Order, place: Turn, put_back: PutBack, trip: Trip | None
) -> None:
    """Load what there is, as far as its van has room; what will be sold is known to luck, and written down as gone."""
    throw_out(site)
    for strain, kg in wanted.items():
        number, crate = site.customer_number[stall.name], site.goods[strain].crate
        room = kg if trip is None else min(kg, trip.room(crate))
        there = min(kg, site.stock[strain, FIRSTS].free, spare(site, strain, place))
        parts = carry_out(site, strain, FIRSTS, min(room, there))
        brought = total([part for _, part in parts])
        if trip is not None:
            trip.load(brought, crate)
            trip.behind += max(0.0, there - brought) if trip.goes else 0.0
        day = Day(site.desk.now, kg, brought, asked[strain], min(brought, asked[strain]))
        rest = _sell(site, parts, day.sold, number)
        if stall.unsold == "lost" or stall.back_at is None:
            _lose(site, number, strain, day, rest)
        else:
            back = ticks(day.out // DAY * DAY + stall.back_at)
            comes = partial(_come_back, site, stall, strain, day, rest, put_back)
            if trip is None:
                site.desk.at(back, comes)
            elif trip.goes:
                trip.after.append(partial(_when_the_round_is_back, site, back, comes))
            else:
                comes()


def _when_the_round_is_back(site: Site, back: float, comes: Callable[[], None]) -> None:
    """At the stall's own hour, but not before its round is back."""
    site.desk.at(max(back, site.desk.now), comes)


def _sell(site: Site, parts: list[tuple[Parcel, float]], sold: float, number: int) -> list[tuple[Parcel, float]]:
    """The oldest is sold first; returns what is left: (parcel, how much of it)."""
    rest = []
    for parcel, part in parts:
        kg = min(part, sold)
        sold -= kg
        if kg > 0.0:
            write_down(site, parcel, kg, parcel.dies, STALL, number)
        if part > kg:
            rest.append((parcel, part - kg))
    return rest


def _lose(site: Site, number: int, strain: str, day: Day, rest: list[tuple[Parcel, float]]) -> None:
    for parcel, kg in rest:
        write_down(site, parcel, kg, parcel.dies, LOST_AT_STALL, NOBODY)
    lost = total([kg for _, kg in rest])
    site.journal.market_days((number, site.strain_number[strain], *day, 0.0, lost, site.desk.now))


def _come_back(
    site: Site, stall: Customer, strain: str, day: Day, rest: list[tuple[Parcel, float]], put_back: PutBack
) -> None:
    number, now, lost, back = site.customer_number[stall.name], site.desk.now, 0.0, 0.0
    for parcel, kg in rest:
        life = parcel.dies - stall.comes_back_older - now
        if life > 0.0:
            put_back(site, parcel, kg, life)
            back += kg
        else:
            write_down(site, parcel, kg, ticks(now + life), PAST_DATE, NOBODY)
            lost += kg
    site.journal.market_days((number, site.strain_number[strain], *day, back, lost, now))
