"""One run of the farm. This is the place to begin reading.

    blocks are made (or bought)  ->  colonise and ripen on racks  ->  sold ready to fruit, or
    cold shock  ->  soak  ->  opening  ->  fruiting, flush after flush  ->  cleared
                                              |
                               picked  ->  packed  ->  chilled  ->  delivered

Lots take these steps one after the other (`way.py`); everything that goes by the calendar is set at midnight here.
Places and people are given at the end of every instant (`desk.py`).
"""

from __future__ import annotations

from functools import partial

from farmsim.model.build import build, come_into_force
from farmsim.model.calendar import DAY, WEEK
from farmsim.model.close import close, count_standing, take_apart
from farmsim.model.hours import look_who_left
from farmsim.model.luck import Luck
from farmsim.model.site import Site
from farmsim.model.stages import (
    box_blocks,
    chill,
    chores,
    clear_out,
    deliver,
    incubate,
    make_blocks,
    market,
    outlet,
    pack,
    pack_orders,
    pick,
    rounds,
    sell_blocks,
)
from farmsim.model.standing import Standing, first_monday, list_standing, put_in_place
from farmsim.model.stuck import look_for_circles
from farmsim.model.sweep import no_sweeping
from farmsim.model.way import lay_ways
from farmsim.record.tables import Record
from farmsim.scenario.averages import lead_in_weeks
from farmsim.scenario.farm import Farm


def run(farm: Farm, seed: int, number: int = 0, weeks: int | None = None, standing: Standing | None = None) -> Record:
    """Run the farm once and return what was seen.

    seed: the study's seed [whole number]
    number: which run of the study [whole number]
    weeks: measured weeks; the farm's own when left out [weeks]
    standing: begin with these lots, at their hour, instead of with a lead-in
    Goes wrong when lots wait for one another in a circle: `RunStuck` names them.
    """
    with no_sweeping():
        return _run(farm, seed, number, weeks, standing)


def _run(farm: Farm, seed: int, number: int, weeks: int | None, standing: Standing | None) -> Record:
    site = set_up(farm, seed, number, weeks, standing)
    if site.desk.now < 0.0:
        site.desk.run(until=0.0)
    start = site.desk.now
    count_standing(site)
    site.desk.run(until=site.end)
    record = close(site, farm, start)
    take_apart(site)
    return record


def standing_at(farm: Farm, seed: int, number: int, when: float) -> Standing:
    """Run the farm until `when`, a Monday 00:00 [h], and list what stands there."""
    with no_sweeping():
        return _standing_at(farm, seed, number, when)


def _standing_at(farm: Farm, seed: int, number: int, when: float) -> Standing:
    site = set_up(farm, seed, number, max(1, int(when // WEEK) + 1))
    site.desk.run(until=when)
    standing = list_standing(site)
    take_apart(site)
    return standing


def set_up(farm: Farm, seed: int, number: int, weeks: int | None, standing: Standing | None = None) -> Site:
    """The site, its people and its calendar, before the first moment."""
    end = WEEK * (weeks if weeks is not None else farm.farm.weeks)
    begin = -WEEK * lead_in(farm) if standing is None else standing.when
    site = build(farm, Luck(seed, number), begin, end, None if standing is None else first_monday(standing))
    lay_ways(site, farm)
    site.people.duty["pick"].take_from(pick.Beds(site))
    site.people.duty["pack"].take_from(pack.Table(site, hand_on=chill.put_by))
    site.people.duty["box"].take_from(box_blocks.Boxes(site))
    site.people.duty["pack orders"].take_from(pack_orders.Wrapping(site))
    site.people.duty["deliver"].take_from(rounds.Seats(site))
    site.trips.begin(site.journal.nameless, partial(rounds.set_off, site))
    for when, state in farm.changes:
        if when < begin:
            come_into_force(site, state, when)
    site.desk.at(begin, partial(midnight, site, int(begin // DAY)))
    if standing is not None:
        put_in_place(site, standing)
    return site


def lead_in(farm: Farm) -> int:
    """Weeks the farm runs before it is measured, so that it is in full swing [weeks]."""
    if farm.farm.begin == "empty":
        return 0
    return lead_in_weeks(farm) if farm.farm.lead_in is None else farm.farm.lead_in


def midnight(site: Site, day: int) -> None:
    """Set what goes by the calendar: first the week's, on Mondays, then the day's."""
    if day % 7 == 0:
        new_week(site, day // 7)
    site.crop.dawn()
    incubate.day(site)
    box_blocks.day(site)
    deliver.day(site)
    clear_out.day(site)
    chores.day(site)
    site.people.look()
    if (day + 1) * DAY < site.end:
        site.desk.at((day + 1) * DAY, partial(midnight, site, day + 1))


def new_week(site: Site, monday: int) -> None:
    """A change of the farm that is due, then the week's starts, inspections, rounds and orders."""
    for when, state in site.changes:
        if when == monday * WEEK:
            come_into_force(site, state)
    look_who_left(site)
    make_blocks.week(site, monday)
    incubate.week(site, monday)
    deliver.week(site, monday)
    market.week(site, monday, chill.take_back)
    outlet.week(site, monday)
    pack_orders.week(site, monday, deliver.known)
    sell_blocks.week(site, monday)
    look_for_circles(site)
