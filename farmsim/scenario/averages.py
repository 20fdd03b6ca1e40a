"""The arithmetic of averages: what the plan needs in every place and of every crew, against what there is.

By Little's law a place holds, on average, what comes in an hour times how long it stays. Below 100 % it fits on
average; waiting, clusters and weekends come on top of that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from farmsim import units
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import (
    a_week,
    before_the_shelf,
    block_orders,
    drying_hours,
    flow,
    flows,
    fresh_hours,
    life,
    life_sd,
    mornings_looked_over,
    rack_hours,
    rack_hours_spared,
    shelf_hours,
)
from farmsim.scenario.people import DUTIES, Crew, PerWeek
from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.round_plan import days_of, packed_to_order, usual_load
from farmsim.scenario.sales import Start
from farmsim.scenario.say import Say
from farmsim.scenario.staffing import duty_hours_of, filled_share, pace_share, turn_for
from farmsim.scenario.values import DAYS, Shift
from farmsim.units import HOURS_A_DAY, HOURS_A_WEEK

WEIGHT = "kg/week"  # the one need that is a weight: shown in lb or kg


@dataclass(frozen=True, slots=True)
class Need:
    """What the plan needs of one place or crew, against what there is."""

    name: str
    unit: str  # as said after the number: "rack places", "hours a week"; or a unit that is declared: "kg/week"
    need: float
    have: float
    path: tuple[str | int, ...]
    note: str = ""
    mend: str = "Start less, or give it more."  # what to do when it can never fit
    too_much: str = "lots or work pile up"  # what comes of needing more than there is
    uneven: str = "lots or work wait"  # and of anything uneven when it is nearly full

    @property
    def share(self) -> float:
        """Need over what there is; a need of nothing is 0 whatever there is."""
        if self.need <= 0:
            return 0.0
        return self.need / self.have if self.have > 0 else math.inf

    def told(self, say: Say) -> tuple[float, float, str]:
        """What is needed, what there is, and their unit, as this farm says them: weights in lb or kg."""
        if self.unit not in (WEIGHT, "kg"):
            return self.need, self.have, self.unit
        (need, unit), (have, _) = say.plain(self.need, self.unit), say.plain(self.have, self.unit)
        return need, have, unit


# --- people -------------------------------------------------------------------------------------------


def worked_hours(crew: Crew, shift: Shift) -> float:
    """Hours one person works in a shift, the break left out [h]."""
    return max(0.0, shift.end - shift.start - crew.break_)


def days_worked(crew: Crew) -> tuple[str, ...]:
    """Days of the week on which somebody of the crew is there."""
    return tuple(day for day in DAYS if day in crew.hours and (isinstance(crew.days, PerWeek) or day in crew.days))


def crew_hours(crew: Crew) -> float:
    """Hours a week the crew is there, all people together: absence, empty places and slow first weeks taken off [h/week].

    An hour of somebody who is slow counts as the part of it that somebody at full pace would need.
    """
    shifts = [worked_hours(crew, crew.hours[day]) for day in days_worked(crew)]
    share = min(1.0, crew.days.days / len(shifts)) if isinstance(crew.days, PerWeek) and shifts else 1.0
    each = sum(shifts) * share * (1 - crew.absence)
    if crew.at_most_hours is not None:
        each = min(each, crew.at_most_hours)
    return crew.people * each * filled_share(crew) * pace_share(crew)


def duty_hours(farm: Farm) -> dict[str, float]:
    """Hours of work a week by duty [h/week]."""
    hours = dict.fromkeys(DUTIES, 0.0)
    for duty, amount in _work(farm):
        hours[duty] += amount
    return hours


def _work(farm: Farm) -> Iterator[tuple[str, float]]:
    """Pieces of work a week: (duty, hours)."""
    made = sum(a_week(line) for line in farm.start if line.made == "here")
    if farm.mix is not None:
        yield "mix", made / farm.mix.pace
    if farm.clean_bench is not None:
        yield "inoculate", made / farm.clean_bench.pace
    inspect = farm.incubation.inspect
    if inspect is not None:
        yield "inspect", rack_need(farm) * len(inspect.days) / inspect.pace
    for room in farm.room:
        if isinstance(room.clean, RoomEmptied):
            yield "clean", room.clean.takes * HOURS_A_WEEK / room.clean.every
    for chore in farm.chore:
        yield "chores", chore.takes * chore.people * len(chore.days)
    for round_ in farm.round:
        yield "deliver", (round_.takes + round_.called) * round_.people * len(days_of(farm, round_))
    for strain, form, kg in packed_to_order(farm):
        yield "pack orders", kg / farm.strain[strain].pack_forms[form]
    for each in flows(farm):
        yield from _work_on(farm, each.strain)
        yield "dry", drying_hours(farm, each.saleable - each.firsts)


def _work_on(farm: Farm, name: str) -> Iterator[tuple[str, float]]:
    """Work a week on the blocks and mushrooms of one strain."""
    strain, usual = farm.strain[name], flow(farm, name)
    blocks = usual.fruited
    sold = usual.sold / usual.promised if usual.promised else 0.0
    for customer, wanted in block_orders(farm, name):
        if customer.boxing is not None:
            yield "box", wanted * sold / customer.boxing
    if strain.soak is not None:
        yield "soak", soaks_a_week(farm, name) * (1 / strain.soak.load + 1 / strain.soak.unload)
    opened = (
        1 / strain.open.pace + strain.open.strip * strain.open.strip_takes + strain.open.flip * strain.open.flip_takes
    )
    yield "open", blocks * opened
    walks = mornings_looked_over(strain, farm.farm.lot) * len(strain.flushes.share)
    yield "pick", usual.picked / strain.picking.pace + blocks * walks * strain.picking.look
    yield "pack", usual.saleable / strain.pack
    yield "clear", blocks / strain.clear


def soaks_a_week(farm: Farm, name: str) -> float:
    """Blocks put under water a week, later flushes counted again [blocks/week]."""
    strain = farm.strain[name]
    again = len(strain.flushes.share) - 1 if strain.flushes.soak_again else 0
    return flow(farm, name).fruited * (("soak" in strain.steps) + again)


def first_for(farm: Farm, duty: str) -> Crew | None:
    """The crew a duty goes to: none that is called last, the one that names it earliest, then the earlier in the file."""
    crews = [crew for crew in farm.crew if duty in crew.all_duties]
    return min(crews, key=lambda crew: turn_for(crew, duty), default=None)


def crew_needs(farm: Farm) -> list[Need]:
    """What the plan asks of each crew, every duty given to the crew that names it earliest."""
    hours = duty_hours(farm)
    needs = []
    for at, crew in enumerate(farm.crew):
        own = [duty for duty in crew.all_duties if first_for(farm, duty) is crew]
        helps = [duty for duty in crew.all_duties if duty not in own]
        note = ", ".join(f"{duty} {hours[duty]:.0f}" for duty in own if hours[duty])
        note += f"; helps with {', '.join(helps)}" if helps else ""
        need = sum(hours[duty] for duty in own)
        needs.append(Need(crew.name, "hours a week", need, crew_hours(crew), ("crew", at), note))
    return needs


def open_hours(farm: Farm, duty: str) -> float:
    """Hours a week in which somebody with the duty is there [h/week]."""
    crews = [crew for crew in farm.crew if duty in crew.all_duties]
    total = 0.0
    for day in DAYS:
        spans = sorted(span for crew in crews if day in days_worked(crew) for span in duty_hours_of(crew, day, duty))
        reached = 0.0
        for start, end in spans:
            total += max(0.0, end - max(start, reached))
            reached = max(reached, end)
    return total


# --- places -------------------------------------------------------------------------------------------


def rack_need(farm: Farm) -> float:
    """Rack places taken on average [blocks]."""
    stood = sum(a_week(line) * rack_hours(farm, line) for line in farm.start)
    spared = sum(rack_hours_spared(farm, usual.strain) for usual in flows(farm))
    return max(0.0, stood - spared) / HOURS_A_WEEK


def loads_a_week(farm: Farm) -> float:
    """Sterilizer loads a week; a line's blocks of one day share loads, lines do not [loads/week]."""
    if farm.sterilizer is None:
        return 0.0
    return sum(_loads_a_day(farm, line) * len(line.days) for line in farm.start if line.made == "here")


def _loads_a_day(farm: Farm, line: Start) -> int:
    assert farm.sterilizer is not None
    lots = math.ceil(line.blocks / len(line.days) / farm.farm.lot)
    return math.ceil(lots / max(1, int(farm.sterilizer.load // farm.farm.lot)))


def making_needs(farm: Farm) -> Iterator[Need]:
    """Sterilizer, cooling floor, clean benches and racks."""
    made = sum(a_week(line) for line in farm.start if line.made == "here")
    sterilizer, loads = farm.sterilizer, loads_a_week(farm)
    if sterilizer is not None:
        hours = loads * sterilizer.cycle
        note = f"{loads:.0f} loads of {sterilizer.cycle:g} h"
        yield Need("Sterilizer", "hours a week", hours, sterilizer.count * HOURS_A_WEEK, ("sterilizer",), note)
        if sterilizer.cooling_holds is not None:
            cooling = made * sterilizer.cool / HOURS_A_WEEK
            yield Need("Cooling floor", "blocks", cooling, sterilizer.cooling_holds, ("sterilizer", "cooling_holds"))
    if farm.clean_bench is not None and made:
        have = farm.clean_bench.people * open_hours(farm, "inoculate")
        yield Need("Clean benches", "bench hours a week", made / farm.clean_bench.pace, have, ("clean_bench",))
    yield Need(
        "Racks",
        "rack places",
        rack_need(farm),
        farm.incubation.holds,
        ("incubation",),
        "waiting for a shelf not counted",
    )


def walk_in_needs(farm: Farm) -> Iterator[Need]:
    """Each walk-in, its uses together; and its chilling."""
    for name, walk_in in farm.walk_in.items():
        shock = _shock_crates(farm) if farm.cold_shock_room() == name else 0.0
        fresh = _fresh_crates(farm) if farm.fresh_room() == name else 0.0
        notes = [f"cold shock {shock:.0f}"] * (shock > 0) + [f"fresh {fresh:.0f}"] * (fresh > 0)
        title = "Walk-in" if len(farm.walk_in) == 1 else f"Walk-in {name}"
        yield Need(title, "crate places", shock + fresh, walk_in.holds, ("walk_in", name), ", ".join(notes))
        if walk_in.chills is not None and farm.fresh_room() == name:
            kg = sum(each.saleable for each in flows(farm))
            have = walk_in.chills * HOURS_A_WEEK
            yield Need(f"{title}, chilling", WEIGHT, kg, have, ("walk_in", name, "chills"))


def _shock_crates(farm: Farm) -> float:
    room = farm.cold_shock_room()
    each = (farm.walk_in[room].uses.cold_shock or 0.0) if room is not None else 0.0
    return sum(
        flow(farm, name).fruited * strain.cold_shock.usual / HOURS_A_WEEK * each
        for name, strain in farm.strain.items()
        if strain.cold_shock is not None and "cold shock" in strain.steps
    )


def _fresh_crates(farm: Farm) -> float:
    room = farm.fresh_room()
    each = (farm.walk_in[room].uses.fresh or 0.0) if room is not None else 0.0
    return sum(
        usual.saleable / farm.strain[usual.strain].crate * fresh_hours(farm, usual.strain) / HOURS_A_WEEK * each
        for usual in flows(farm)
    )


def opening_needs(farm: Farm) -> Iterator[Need]:
    """Soak tanks and opening benches."""
    soaked = sum(soaks_a_week(farm, usual.strain) for usual in flows(farm)) / farm.farm.lot
    if farm.soak is not None and farm.soak.how == "tank":
        nights = farm.soak.tanks * soaking_nights(farm)
        note, path = "one lot a tank a night", ("soak", "tanks")
        yield Need("Soak tanks", "tank nights a week", soaked, nights, path, note, _mend_by_lot(farm, farm.soak.tank))
    have = farm.opening.benches * open_hours(farm, "open")
    yield Need("Opening benches", "bench hours a week", duty_hours(farm)["open"], have, ("opening",))


def _mend_by_lot(farm: Farm, holds: float) -> str:
    """What to do when a place that takes one lot at a time, whatever its size, can never do."""
    if holds < 2 * farm.farm.lot:
        return "Start less, or give it more."
    return f"Start less, give it more, or make lots larger: a tank takes {units.show(holds, 'blocks')}."


def soaking_nights(farm: Farm) -> int:
    """Nights a week that begin and end with somebody there to soak."""
    days = {day for crew in farm.crew for day in days_worked(crew) if duty_hours_of(crew, day, "soak")}
    return sum(day in days and DAYS[(at + 1) % 7] in days for at, day in enumerate(DAYS))


def accepting(farm: Farm, name: str) -> frozenset[str]:
    """The rooms that take a strain: those kept within its range."""
    wanted = farm.strain[name].range
    return frozenset(room.name for room in farm.room if room.range.inside(wanted))


def room_needs(farm: Farm) -> Iterator[Need]:
    """Shelf places: each set of rooms that some strains cannot do without, then all rooms."""
    wanted = {usual.strain: shelf_places(farm, usual.strain) for usual in flows(farm)}
    rooms = {name: accepting(farm, name) for name in wanted}
    every = frozenset(room.name for room in farm.room)
    groups = sorted(
        {group for group in rooms.values() if group != every}, key=lambda group: (len(group), sorted(group))
    )
    for group in groups:
        bound = [name for name in wanted if rooms[name] <= group]
        yield _room_need(farm, group, bound, wanted)
    if every:
        yield _room_need(farm, every, list(wanted), wanted)


def _room_need(farm: Farm, group: frozenset[str], strains: list[str], wanted: dict[str, float]) -> Need:
    at = [number for number, room in enumerate(farm.room) if room.name in group]
    names = ", ".join(farm.room[number].name for number in at)
    title = "All rooms" if len(at) == len(farm.room) > 1 else f"{'Rooms' if len(at) > 1 else 'Room'} {names}"
    have = sum(farm.room[number].holds for number in at)
    need = sum(wanted[name] for name in strains)
    note = "" if len(strains) == len(wanted) else f"for {', '.join(strains)} alone"
    return Need(title, "shelf places", need, have, ("room", at[0], "holds"), note)


def shelf_places(farm: Farm, name: str) -> float:
    """Shelf places a strain keeps on average, from the call into cold shock until cleared [blocks]."""
    strain = farm.strain[name]
    return flow(farm, name).fruited * (before_the_shelf(strain) + shelf_hours(strain)) / HOURS_A_WEEK


def van_needs(farm: Farm) -> Iterator[Need]:
    """Room in the van on each round's fullest day."""
    for round_ in farm.round:
        if round_.van is None or not (days := days_of(farm, round_)):
            continue
        van, loads = farm.van[round_.van], {day: usual_load(farm, round_, day) for day in days}
        for at, unit, name, have in ((0, "crates", "holds", van.holds), (1, "kg", "carries", van.carries)):
            if have is not None:
                day = max(days, key=lambda day: loads[day][at])
                yield Need(
                    f"{round_.name}, van" + " load" * at, unit, loads[day][at], have, ("van", round_.van, name),
                    f"usual orders on {day.title()}", "Take a larger van, or put customers on another round.",
                    "some of it stays at the farm", "some of it stay at the farm",
                )  # fmt: skip


def place_needs(farm: Farm) -> list[Need]:
    """What the plan needs of every place, in the order of the farm's stages."""
    topics: tuple[Callable[[Farm], Iterator[Need]], ...] = (
        making_needs,
        walk_in_needs,
        opening_needs,
        room_needs,
        van_needs,
    )
    return [need for topic in topics for need in topic(farm)]


def needs(farm: Farm) -> list[Need]:
    """Every place, then every crew."""
    return place_needs(farm) + crew_needs(farm)


# --- filling the farm ---------------------------------------------------------------------------------


def lead_in_weeks(farm: Farm) -> int:
    """Weeks to run before the start until the farm is as full as it will be [weeks].

    The longest life of a block from start to clearing, mean and two standard deviations, and two weeks more.
    """
    if farm.farm.begin == "empty":
        return 0
    if farm.farm.lead_in is not None:
        return farm.farm.lead_in
    longest = max((_long_life(farm, line) for line in farm.start), default=0.0)
    return math.ceil(longest / HOURS_A_WEEK) + 2


def _long_life(farm: Farm, line: Start) -> float:
    strain = farm.strain[line.strain]
    if line.made == "bought":
        ripe = line.ripe_in.mean + 2 * line.ripe_in.sd if line.ripe_in is not None else 0.0
        return life(strain, ripe) + 2 * life_sd(strain)
    making = HOURS_A_DAY * 2
    return making + life(strain, strain.colonise.mean + strain.ripen.mean) + 2 * life_sd(strain)
