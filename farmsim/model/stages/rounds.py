"""Rounds and market days: a van is loaded, people drive out with it, and are back after so many hours.

Steps of a trip: some time before it should leave it asks for its van, then for its people; whoever comes loads and takes
nothing else in hand. It leaves at its hour, or as soon as all are there; then its orders are served, as far as the van has
room. People are away until they are back, and so is the van. Only who can be back in their shift, and the overtime they
may work, go along; a break that falls into the round is taken on the way.

Goes wrong when people or van are not there in time: it leaves late, and after a while not at all.
"""

from __future__ import annotations

from functools import partial
from typing import Final

from farmsim.model.calendar import FOREVER, NAN, TICKS_PER_HOUR, ticks
from farmsim.model.crew import Crew
from farmsim.model.place import WHOLE, Need
from farmsim.model.site import Site
from farmsim.model.total import total
from farmsim.model.trips import Member, Trip
from farmsim.model.work import Pool, Round
from farmsim.record.columns import ROUND_ENDS

DUTY: Final = "deliver"
TICK: Final = 1.0 / TICKS_PER_HOUR
LEAST: Final = 1e-9  # kg: less than this is rounding
WENT, TOO_LATE, NOTHING_THERE, STILL_OUT = range(len(ROUND_ENDS))


class Seats(Pool):
    """The pool of driving: trips that have their van and lack people."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self.heap = site.trips.wanting

    def take(self, most_hours: float) -> Round | None:
        """A seat of the first trip from which somebody with so much time can be back; until when is not known yet."""
        now = self._site.desk.now
        for trip in self._site.trips.wanting:
            assert trip.round is not None
            if most_hours - max(0.0, trip.due - now) >= trip.hours:
                return Round(FOREVER, trip.due - trip.round.called, trip, partial(self._hold, trip))
        return None

    def _hold(self, trip: Trip, crew: Crew, person: int) -> None:
        """Somebody comes to go along."""
        shift, site = crew.shift, self._site
        assert trip.round is not None and shift is not None
        member = Member(crew, person, site.desk.now, shift)
        trip.members.append(member)
        if len(trip.members) == trip.round.people:
            site.trips.wanting.remove(trip)
        last = crew.last_start(site.desk.now, trip.hours, person)
        if last < trip.due + trip.round.late_at_most:
            site.desk.at(ticks(last) + TICK, partial(_too_late_for, site, trip, member))
        leave_if_ready(site, trip)

    def done(self, round_: Round) -> None:
        """Never asked: when somebody is back is settled when the trip leaves."""
        raise AssertionError("a round of driving ends when it is back")


def set_off(site: Site, trip: Trip) -> None:
    """A trip is to come: its people are called so long before it should leave."""
    round_ = next(each for each in site.farm.round if each.name == trip.name)
    site.desk.at(max(site.desk.now, ticks(trip.due - round_.called)), partial(_call, site, trip))


def _call(site: Site, trip: Trip) -> None:
    """Ask for its van. A round that a dated change has struck out meanwhile needs none: its customers come themselves."""
    trip.round = next((each for each in site.farm.round if each.name == trip.name), None)
    if trip.round is None:
        site.desk.at(max(site.desk.now, trip.due), partial(_serve, site, trip))
        return
    site.trips.under_way.append(trip)
    site.desk.at(ticks(max(site.desk.now, trip.due + trip.round.late_at_most)) + TICK, partial(_give_up, site, trip))
    if trip.round.van is None:
        _ask_for_people(site, trip)
        return
    request = site.places.ask(trip.traveller, Need("van", (site.vans[trip.round.van],), WHOLE))
    if request is None:
        _ask_for_people(site, trip)
    else:
        request.then = partial(_ask_for_people, site, trip)


def _ask_for_people(site: Site, trip: Trip) -> None:
    if not trip.goes or trip.round is None:
        return  # it gave up waiting for its van
    trip.goes_with(None if trip.round.van is None else site.farm.van.get(trip.round.van))
    site.trips.wanting.append(trip)
    site.trips.wanting.sort(key=lambda each: (each.due, site.round_number[each.name]))
    site.people.look()
    if trip.due > site.desk.now:
        site.desk.at(trip.due, partial(_its_hour, site, trip))


def _its_hour(site: Site, trip: Trip) -> None:
    """It should leave now; whoever has just the hours that it takes may still come."""
    if trip in site.trips.wanting:
        site.people.look()
    leave_if_ready(site, trip)


def _too_late_for(site: Site, trip: Trip, member: Member) -> None:
    """Somebody who came to go along could not be back in time any more: others are asked."""
    if member in trip.members and trip.left is None:
        trip.members.remove(member)
        _let_go(site, trip, member)
        if trip not in site.trips.wanting:
            _ask_for_people(site, trip)


def leave_if_ready(site: Site, trip: Trip) -> None:
    """It leaves when its hour has come and all are there."""
    now, round_ = site.desk.now, trip.round
    if round_ is None or now < trip.due or len(trip.members) < round_.people:
        return
    if trip.left is not None or not trip.goes:
        return  # it has left, or was called off
    trip.left = now
    _serve(site, trip)
    site.counter.due((2.0,), partial(_drive, site, trip))


def _drive(site: Site, trip: Trip) -> None:
    """All who are on it are served and it is loaded; nobody drives out with nothing."""
    now = back = site.desk.now
    if trip.kg <= LEAST:
        trip.left = None
        _call_off(site, trip, NOTHING_THERE)
        return
    for member in trip.members:
        end, worked, left, overtime = member.crew.away(member.shift, now, trip.hours, member.person)
        if left:
            raise AssertionError(f"{trip.name}: somebody drives who cannot be back in the shift")
        worked += _waited(member, now)
        member.crew.account(member.person, worked, overtime)
        site.desk.at(end, partial(_back, site, trip, member, worked, overtime))
        back = max(back, end)
    site.desk.at(back, partial(_is_back, site, trip))


def _serve(site: Site, trip: Trip) -> None:
    """What waits for it is served at the counter; nothing more is put on this trip."""
    site.trips.coming = {key: each for key, each in site.trips.coming.items() if each is not trip}
    for serve in trip.serve:
        serve(trip)


def _waited(member: Member, until: float) -> float:
    """Working time somebody has waited for the trip to leave: it counts as work [h]."""
    return total([max(0.0, min(end, until) - max(begin, member.since)) for begin, end in member.shift.pieces])


def _let_go(site: Site, trip: Trip, member: Member) -> None:
    """Somebody who came to go along need not, and is free for other work."""
    worked = _waited(member, site.desk.now)
    member.crew.account(member.person, worked, 0.0)
    _back(site, trip, member, worked, 0.0)


def _back(site: Site, trip: Trip, member: Member, worked: float, overtime: float) -> None:
    asked = trip.due - (trip.round.called if trip.round is not None else 0.0)
    row = (min(asked, member.since), member.since, site.desk.now, worked, overtime)
    site.people.set_free(member.crew, member.person, DUTY, row)


def _is_back(site: Site, trip: Trip) -> None:
    if "van" in trip.traveller.stays:
        site.places.leave(trip.traveller, "van")
    site.trips.under_way.remove(trip)
    write(site, trip, site.desk.now, WENT)
    _unload(trip)


def _give_up(site: Site, trip: Trip) -> None:
    """It is too late: it does not go, and what it should have brought is short."""
    if trip.left is not None or not trip.goes:
        return
    _call_off(site, trip, TOO_LATE)
    _serve(site, trip)


def _call_off(site: Site, trip: Trip, why: int) -> None:
    """Everybody goes back to other work, and the van stays."""
    trip.goes = False
    if trip in site.trips.wanting:
        site.trips.wanting.remove(trip)
    for member in trip.members:
        _let_go(site, trip, member)
    trip.members = []
    if "van" in trip.traveller.stays:
        site.places.leave(trip.traveller, "van")
    site.places.give_up(trip.traveller)
    site.trips.under_way.remove(trip)
    write(site, trip, site.desk.now, why)
    _unload(trip)


def _unload(trip: Trip) -> None:
    """What it brings back, as a stall does, is back with it."""
    for follows in trip.after:
        follows()
    trip.after = []


def write(site: Site, trip: Trip, back: float, how: int) -> None:
    """Write down how a trip went; `back` is not a number while it is away."""
    left, people, used = NAN, 0.0, NAN
    if trip.left is not None:
        left, people, used = trip.left, float(len(trip.members)), trip.used
    what = (how, people, trip.crates, trip.kg, trip.behind, used)
    site.journal.rounds((site.round_number[trip.name], trip.due, left, back, *what))
