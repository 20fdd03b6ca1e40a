"""One natural step more of every place and crew of a farm: what it is called, and the farm that has it.

A step is what one would really add: a cart of rack places, a soak tank, a shelf bay for one lot, a person on the crew's
days. It is taken in every state of the farm that has the place or the crew, also in those after a dated change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from math import ceil

from farmsim import units
from farmsim.scenario.check import faults
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew, PerWeek
from farmsim.scenario.rooms import Room, WalkIn
from farmsim.scenario.say import days_said
from farmsim.scenario.values import DAYS

SHELF = 20.0  # crates on one more shelf of a walk-in; placeholder: four tiers of five
STACKS = 10.0  # crates more in a van; placeholder: two stacks
LOAD = 50.0  # kg more in a van that is limited by weight alone; placeholder
LONGER = 1.0  # hours that a shift is longer
MORE = 0.05  # of all blocks started, or of all orders; placeholder: small enough to be had, large enough to be seen
PLACE, CREW, OUTSIDE = "place", "crew", "outside"
ORDERS, STARTS, BOTH = "more is asked for", "more blocks are started", "both"

Alter = Callable[[Farm], Farm]


@dataclass(frozen=True)
class Step:
    """One step more of something.

    where: the place or crew as a run's tables call it; of what is no place of the farm, what it stands for
    kind: "place", "crew", or "outside" for what decides how much is there to be done at all: blocks started, orders
    more: what is added, as one says it: "one more soak tank"
    farm: the farm with it; None when the farm's own rules do not allow it
    why_not: the rule that does not allow it
    """

    where: str
    kind: str
    more: str
    farm: Farm | None
    why_not: str = ""

    @property
    def name(self) -> str:
        """The step with its place where the words alone would not tell it: "pickers: one more person, Mon to Fri"."""
        return self.more if self.where in self.more or self.kind == OUTSIDE else f"{self.where}: {self.more}"


def one_more(farm: Farm, when: float | None = None) -> tuple[Step, ...]:
    """Every step, places in the order of a lot's way, then crews as in the file, then what is no place of the farm.

    when: only of places and crews that are there at that moment of a farm that changes [h]; None: of all there ever are
    """
    there = None if when is None else _state_at(farm, when)
    found = [*_places(farm), *_crews(farm), *_outside()]
    return tuple(
        _taken(farm, where, kind, more, alter)
        for where, kind, more, alter in found
        if there is None or kind == OUTSIDE or alter(there) != there
    )


def _state_at(farm: Farm, when: float) -> Farm:
    """The farm as it is then, by itself."""
    return [farm, *(state for since, state in farm.changes if since <= when)][-1].but(changes=())


def _taken(farm: Farm, where: str, kind: str, more: str, alter: Alter) -> Step:
    """The step taken in every state of the farm; a rule that it breaks, and that was kept before, tells why it cannot be."""
    taken = alter(farm).but(changes=tuple((since, alter(state)) for since, state in farm.changes))
    for before, after in zip(_states(farm), _states(taken), strict=True):
        known = {fault.path for fault in faults(before)}
        for fault in faults(after):
            if fault.path not in known:
                return Step(where, kind, more, None, str(fault))
    return Step(where, kind, more, taken)


def _states(farm: Farm) -> tuple[Farm, ...]:
    return (farm, *(state for _, state in farm.changes))


# --- places -----------------------------------------------------------------------------------------------------------

Asked = tuple[str, str, str, Alter]


def _places(farm: Farm) -> Iterator[Asked]:
    """Places of any state, named as in the tables of a run (`model/build.py`)."""
    states = _states(farm)
    lot = units.number(farm.farm.lot)
    if any(state.sterilizer for state in states):
        yield "sterilizer", PLACE, "one more sterilizer", _sterilizer
    if any(state.sterilizer is not None and state.sterilizer.cooling_holds for state in states):
        yield "cooling floor", PLACE, "room for one more load to cool", _cooling
    if any(state.clean_bench for state in states):
        yield "clean benches", PLACE, "one more clean bench", _clean_bench
    yield "racks", PLACE, f"{lot} more places", _racks
    walk_ins = dict.fromkeys(name for state in states for name in state.walk_in)
    for name in walk_ins:
        where = f"walk-in {name}" if len(walk_ins) > 1 else "walk-in"
        yield where, PLACE, f"a shelf for {units.number(SHELF)} crates more", partial(_walk_in, name)
    if any(state.soak is not None and state.soak.how == "tank" for state in states):
        yield "soak tanks", PLACE, "one more soak tank", _soak
    yield "opening benches", PLACE, "one more opening bench", _opening
    for name in dict.fromkeys(room.name for state in states for room in state.room):
        yield name, PLACE, f"a bay of {lot} shelf places more", partial(_room, name)
    yield from _vans(states)


def _vans(states: tuple[Farm, ...]) -> Iterator[Asked]:
    vans = {name: van for state in states for name, van in state.van.items()}
    for name, van in vans.items():
        where = f"van {name}" if len(vans) > 1 else "van"
        if van.holds is not None:
            yield where, PLACE, f"room for {units.number(STACKS)} crates more", partial(_van, name)
        elif van.carries is not None:
            yield where, PLACE, f"{units.number(LOAD)} kg more to carry", partial(_van, name)
        else:
            yield where, PLACE, "one more van", partial(_van, name)


def _sterilizer(farm: Farm) -> Farm:
    has = farm.sterilizer
    return farm if has is None else farm.but(sterilizer=has.but(count=has.count + 1))


def _cooling(farm: Farm) -> Farm:
    has = farm.sterilizer
    if has is None or has.cooling_holds is None:
        return farm
    return farm.but(sterilizer=has.but(cooling_holds=has.cooling_holds + has.load))


def _clean_bench(farm: Farm) -> Farm:
    has = farm.clean_bench
    return farm if has is None else farm.but(clean_bench=has.but(people=has.people + 1))


def _racks(farm: Farm) -> Farm:
    return farm.but(incubation=farm.incubation.but(holds=farm.incubation.holds + farm.farm.lot))


def _walk_in(name: str, farm: Farm) -> Farm:
    def larger(walk_in: WalkIn) -> WalkIn:
        return walk_in.but(holds=walk_in.holds + SHELF)

    return farm.but(walk_in={key: larger(each) if key == name else each for key, each in farm.walk_in.items()})


def _soak(farm: Farm) -> Farm:
    has = farm.soak
    return farm if has is None or has.how != "tank" else farm.but(soak=has.but(tanks=has.tanks + 1))


def _opening(farm: Farm) -> Farm:
    return farm.but(opening=farm.opening.but(benches=farm.opening.benches + 1))


def _room(name: str, farm: Farm) -> Farm:
    def larger(room: Room) -> Room:
        return room.but(holds=room.holds + farm.farm.lot)

    return farm.but(room=tuple(larger(each) if each.name == name else each for each in farm.room))


def _van(name: str, farm: Farm) -> Farm:
    has = farm.van.get(name)
    if has is None:
        return farm
    if has.holds is not None:
        share = 1.0 + STACKS / has.holds
        more = has.but(holds=has.holds + STACKS, carries=None if has.carries is None else has.carries * share)
    elif has.carries is not None:
        more = has.but(carries=has.carries + LOAD)
    else:
        more = has.but(count=has.count + 1)
    return farm.but(van={**farm.van, name: more})


# --- people -----------------------------------------------------------------------------------------------------------


def _crews(farm: Farm) -> Iterator[Asked]:
    states = _states(farm)
    crews = {crew.name: crew for state in reversed(states) for crew in state.crew}
    for name in dict.fromkeys(crew.name for state in states for crew in state.crew):
        yield name, CREW, f"one more person, {worked(crews[name])}", partial(_crew, name, _person)
        yield name, CREW, "an hour a day longer", partial(_crew, name, _longer)


def worked(crew: Crew) -> str:
    """On which days somebody of the crew works, as one says it: Mon to Fri; Sat to Wed; 4 days a week in turn."""
    if isinstance(crew.days, PerWeek):
        return f"{crew.days.days} days a week in turn"
    at = [DAYS.index(day) for day in crew.days]
    first = [day for day in at if (day - 1) % 7 not in at]
    if len(first) == 1 and 2 < len(at) < 7:
        return f"{DAYS[first[0]].title()} to {DAYS[(first[0] + len(at) - 1) % 7].title()}"
    return days_said(crew.days)


def _crew(name: str, larger: Callable[[Crew], Crew], farm: Farm) -> Farm:
    return farm.but(crew=tuple(larger(each) if each.name == name else each for each in farm.crew))


def _person(crew: Crew) -> Crew:
    return crew.but(people=crew.people + 1)


def _longer(crew: Crew) -> Crew:
    """Every shift ends an hour later; those whose hours a week have an end may work as much longer in the week."""
    hours = {day: replace(shift, end=shift.end + LONGER) for day, shift in crew.hours.items()}
    days = crew.days.days if isinstance(crew.days, PerWeek) else len(crew.days)
    most = crew.at_most_hours
    return crew.but(hours=hours, at_most_hours=None if most is None else most + days * LONGER)


# --- what is no place of the farm -------------------------------------------------------------------------------------


def _outside() -> Iterator[Asked]:
    share = f"{100 * MORE:.0f} %"
    yield ORDERS, OUTSIDE, f"{share} more asked for by everybody", _asked
    yield STARTS, OUTSIDE, f"{share} more blocks of every line started", _started
    yield BOTH, OUTSIDE, f"both, {share} more started and asked for", lambda farm: _asked(_started(farm))


def _asked(farm: Farm) -> Farm:
    """Every order and market day is larger, month by month."""
    months = farm.months
    more = {
        name: tuple((1.0 + MORE) * factor for factor in getattr(months, name)) for name in ("orders", "block_orders")
    }
    return farm.but(months=months.but(**more))


def _started(farm: Farm) -> Farm:
    """Every line starts more, a whole block more at least; a line at rest stays so."""

    def larger(blocks: float) -> float:
        return float(ceil(round(blocks * (1.0 + MORE), 6)))

    return farm.but(start=tuple(line.but(blocks=larger(line.blocks)) for line in farm.start))
