"""The rules that tie figures together, one function each; all faults are gathered before any is raised.

A rule is given one thing at a time, so that a figure that could not be read silences no more than the rules that
need it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from itertools import pairwise

from farmsim import units
from farmsim.errors import Fault
from farmsim.scenario import (
    averages,
    check_blocks,
    check_books,
    check_customers,
    check_history,
    check_names,
    check_people,
    check_prices,
    check_request,
    check_rounds,
    check_sales,
    check_stress,
    check_year,
)
from farmsim.scenario.farm import Farm
from farmsim.scenario.part import NotKnown
from farmsim.scenario.say import Say
from farmsim.scenario.strain import STEPS, Strain

IMPOSSIBLE = 1.5  # needs beyond this share of what there is can never fit, however the weeks fall


# --- the farm as a whole ------------------------------------------------------------------------------


def start_is_a_monday(farm: Farm) -> Iterator[Fault]:
    """Weeks are counted from Monday."""
    if farm.farm.start.weekday():
        day = farm.farm.start.strftime("%A")
        yield Fault(
            ("farm", "start"), f"{farm.farm.start} is a {day}", "needs a Monday", "Take the Monday of that week."
        )


def lots_are_whole_blocks(farm: Farm) -> Iterator[Fault]:
    """A lot is counted in whole blocks."""
    if farm.farm.lot != int(farm.farm.lot):
        found = f"is {units.number(farm.farm.lot)} blocks"
        yield Fault(("farm", "lot"), found, "needs whole blocks", 'Write it like "50 blocks".')


def a_lot_fits_a_load(farm: Farm) -> Iterator[Fault]:
    """A lot goes into the sterilizer whole."""
    if farm.sterilizer is not None and farm.farm.lot > farm.sterilizer.load:
        found = f"a load takes {_blocks(farm.sterilizer.load)}, a lot is {_blocks(farm.farm.lot)}"
        yield Fault(
            ("sterilizer", "load"), found, "needs room for a whole lot", "Make lots smaller or the load larger."
        )


def a_lot_fits_a_tank(farm: Farm) -> Iterator[Fault]:
    """A tank takes one lot whole."""
    soak = farm.soak
    if soak is None or soak.how != "tank" or not _soaks_anything(farm):
        return
    if soak.tanks < 1:
        found = f"is {soak.tanks}" if "tanks" in soak.given else "is not given"
        yield Fault(("soak", "tanks"), found, "needs at least 1 tank", 'Give it tanks, or soak "in the bag".')
    if farm.farm.lot > soak.tank:
        found = f"a tank takes {_blocks(soak.tank)}, a lot is {_blocks(farm.farm.lot)}"
        yield Fault(("soak", "tank"), found, "needs room for a whole lot", "Make lots smaller or tanks larger.")


def a_lot_fits_the_racks(farm: Farm) -> Iterator[Fault]:
    """The racks hold at least one lot."""
    if farm.farm.lot > farm.incubation.holds:
        found = f"the racks hold {_blocks(farm.incubation.holds)}, a lot is {_blocks(farm.farm.lot)}"
        yield Fault(
            ("incubation", "holds"), found, "needs room for a whole lot", "Make lots smaller or give more racks."
        )


def a_lot_fits_the_cooling_floor(farm: Farm) -> Iterator[Fault]:
    """A load cools in one piece."""
    sterilizer = farm.sterilizer
    if sterilizer is not None and sterilizer.cooling_holds is not None and sterilizer.cooling_holds < sterilizer.load:
        found = f"holds {_blocks(sterilizer.cooling_holds)}, a load is {_blocks(sterilizer.load)}"
        mend = "Give more room to cool, or make loads smaller."
        yield Fault(("sterilizer", "cooling_holds"), found, "needs room for a whole load", mend)


def a_lot_fits_the_cold_shock(farm: Farm) -> Iterator[Fault]:
    """A lot stands through its cold shock in one walk-in."""
    name = farm.cold_shock_room()
    if name is None or not any("cold shock" in strain.steps for strain in farm.strain.values()):
        return
    walk_in = farm.walk_in[name]
    needs = farm.farm.lot * (walk_in.uses.cold_shock or 0.0)
    if needs > walk_in.holds:
        found = f"holds {units.show(walk_in.holds, 'crates')}, a lot takes {units.show(needs, 'crates')} in cold shock"
        yield Fault(
            ("walk_in", name, "holds"), found, "needs room for a whole lot", "Make lots smaller or the walk-in larger."
        )


def making_needs_its_places(farm: Farm) -> Iterator[Fault]:
    """Blocks made here are steamed and inoculated here."""
    if not any(line.made == "here" and line.blocks > 0 for line in farm.start):
        return
    for name, title in (("sterilizer", "sterilizer"), ("clean_bench", "clean bench")):
        if getattr(farm, name) is None:
            found = f"blocks are made here, but there is no {title}"
            mend = f'Add a table [{name}], or start them with made = "bought".'
            yield Fault((name,), found, f"needs a table [{name}]", mend, misses=(name,))


def fresh_needs_a_cooler(farm: Farm) -> Iterator[Fault]:
    """Picked mushrooms go into a walk-in."""
    if farm.start and farm.fresh_room() is None:
        mend = 'Add [walk_in.NAME] with uses = { fresh = "1 crate" }.'
        found, allowed = "no walk-in keeps fresh mushrooms", "needs one with the use fresh"
        yield Fault(("walk_in",), found, allowed, mend, misses=("walk_in",))


def walk_ins_are_used(farm: Farm) -> Iterator[Fault]:
    """A walk-in that is used for nothing is a slip."""
    for name, walk_in in farm.walk_in.items():
        uses = walk_in.uses
        if uses.cold_shock is None and uses.ripe_blocks is None and uses.fresh is None:
            mend = 'Write it like { fresh = "1 crate" }.'
            yield Fault(
                ("walk_in", name, "uses"), "is used for nothing", "needs cold shock, ripe blocks or fresh", mend
            )


def there_is_a_room(farm: Farm) -> Iterator[Fault]:
    """What is started is fruited somewhere."""
    if farm.start and not farm.room:
        mend = "Add a [[room]] with its name, how many blocks it holds and the range it is kept within."
        yield Fault(("room",), "there is no room to fruit in", "needs at least one", mend, misses=("room",))


def the_plan_can_fit(farm: Farm) -> Iterator[Fault]:
    """A plan that needs far more of a place than there is can never fit, however the weeks fall."""
    for need in averages.place_needs(farm):
        if need.share > IMPOSSIBLE:
            yield _never_fits(need, farm)


def the_work_can_be_done(farm: Farm) -> Iterator[Fault]:
    """Work that needs far more hours than the people with the duty have can never be done."""
    hours = averages.duty_hours(farm)
    duties = [([duty], [crew for crew in farm.crew if duty in crew.all_duties]) for duty in hours]
    alone = [
        ([duty for duty, able in zip(hours, duties, strict=True) if able[1] == [crew]], [crew]) for crew in farm.crew
    ]
    told: set[str] = set()
    for names, crews in [*duties, *alone]:
        need, have = sum(hours[duty] for duty in names), sum(averages.crew_hours(crew) for crew in crews)
        if crews and need > IMPOSSIBLE * have and not told & set(names):
            told.update(names)
            path, mend = ("crew", farm.crew.index(crews[0]), "people"), "Start less, or give more people these duties."
            yield _never_fits(averages.Need(", ".join(names), "hours a week", need, have, path, mend=mend), farm)


def _never_fits(need: averages.Need, farm: Farm) -> Fault:
    needed, have, unit = need.told(Say(farm.farm.units, farm.farm.currency))
    found = (
        f"on average the plan needs {units.number(needed, 3)} {unit} ({need.name}), there are {units.number(have, 3)}"
    )
    return Fault(need.path, found, f"needs at most {IMPOSSIBLE:g} times what there is", need.mend)


# --- strains ------------------------------------------------------------------------------------------


def steps_are_in_order(farm: Farm, name: str, strain: Strain) -> Iterator[Fault]:
    """Steps come in the order of the trade, and end with opening and fruiting."""
    for sooner, later in pairwise(strain.steps):
        if STEPS.index(sooner) > STEPS.index(later):
            found = f'"{later}" comes after "{sooner}"'
            yield Fault(
                ("strain", name, "steps"), found, f"needs the order {', '.join(STEPS)}", "Put them in this order."
            )
            break
    for step in ("open", "fruit"):
        if step not in strain.steps:
            mend = f'Add "{step}" to its steps.'
            yield Fault(
                ("strain", name, "steps"), f'"{step}" is missing', "needs every strain to be opened and fruited", mend
            )


def steps_have_their_figures(farm: Farm, name: str, strain: Strain) -> Iterator[Fault]:
    """Cold shock and soak need their times, and times need their step."""
    pairs = (("cold shock", "cold_shock", strain.cold_shock), ("soak", "soak", strain.soak))
    for step, table, given in pairs:
        if step in strain.steps and given is None:
            mend = f"Add {table} = {{ ... }}, or take the step out."
            yield Fault(("strain", name, table), f'"{step}" is one of its steps', f"needs a table {table}", mend)
    if strain.cold_shock is not None and "cold shock" not in strain.steps:
        yield _without_step(name, "cold_shock", "cold shock")
    if strain.soak is not None and "soak" not in strain.steps and not strain.flushes.soak_again:
        yield _without_step(name, "soak", "soak")
    if strain.flushes.soak_again and strain.soak is None:
        mend = "Add soak = { ... }, or leave soak_again out."
        yield Fault(("strain", name, "flushes", "soak_again"), "blocks are soaked again", "needs a table soak", mend)


def _without_step(name: str, table: str, step: str) -> Fault:
    found = f'is given, but "{step}" is not one of its steps'
    return Fault(
        ("strain", name, table), found, f'needs "{step}" among the steps', f'Add "{step}" to steps or take it out.'
    )


def times_have_their_step(farm: Farm, name: str, strain: Strain) -> Iterator[Fault]:
    """Blocks made here take time to colonise; a time without its step is a slip."""
    made_here = any(line.strain == name and line.made == "here" for line in farm.start)
    for step, time in (("colonise", strain.colonise), ("ripen", strain.ripen)):
        if time.mean > 0 and step not in strain.steps:
            yield _without_step(name, step, step)
        if time.mean <= 0 and step in strain.steps and made_here:
            mend = f'Add {step} = "14 d", or take the step out.'
            yield Fault(("strain", name, step), f'"{step}" is one of its steps', "needs a time above 0", mend)


def steps_have_their_places(farm: Farm, name: str, strain: Strain) -> Iterator[Fault]:
    """Cold shock needs a walk-in for it, a soak needs [soak]."""
    if not _is_started(farm, name):
        return
    path = ("strain", name, "steps")
    if "cold shock" in strain.steps and farm.cold_shock_room() is None:
        mend = 'Give a walk-in uses = { "cold shock" = "0.6 crate/block" }.'
        found, allowed = "no walk-in serves cold shock", "needs one for this strain"
        yield Fault(path, found, allowed, mend, misses=("walk_in",))
    if farm.soak is None and ("soak" in strain.steps or strain.flushes.soak_again):
        mend = "Add a table [soak], or take the step out."
        found, allowed = "there is no [soak]", "needs tanks, or soaking in the bag"
        yield Fault(path, found, allowed, mend, misses=("soak",))


def times_are_in_order(farm: Farm, name: str, strain: Strain) -> Iterator[Fault]:
    """Least, usual and most come in this order."""
    shock, soak = strain.cold_shock, strain.soak
    if shock is not None and not shock.least <= shock.usual <= shock.most:
        found = f"least {_time(shock.least)}, usual {_time(shock.usual)}, most {_time(shock.most)}"
        yield Fault(("strain", name, "cold_shock"), found, "needs least <= usual <= most", "Put the three in order.")
    if soak is not None and soak.least > soak.most:
        found = f"least {_time(soak.least)}, most {_time(soak.most)}"
        yield Fault(("strain", name, "soak"), found, "needs least <= most", "Swap the two.")


def grades_add_up(farm: Farm, name: str, strain: Strain) -> Iterator[Fault]:
    """Firsts, seconds and culls are all there is."""
    path = ("strain", name, "picking", "late")
    for at, grades in enumerate(strain.picking.late):
        whole = grades.firsts + grades.seconds + grades.culls
        if abs(whole - 1) > 1e-6:
            found = f"firsts, seconds and culls add up to {units.show(whole, 'fraction')}"
            yield Fault((*path, at), found, "needs 100 %", "Change one of the three.")


def some_room_takes_it(farm: Farm, name: str, strain: Strain) -> Iterator[Fault]:
    """A strain is fruited in a room kept within its range, large enough for a lot."""
    if not _is_started(farm, name) or not farm.room:
        return
    system = farm.farm.units
    accepting = averages.accepting(farm, name)
    if not accepting:
        rooms = ", ".join(f"{room.name} {_range(room.range.low, room.range.high, system)}" for room in farm.room)
        wanted = _range(strain.range.low, strain.range.high, system)
        found, allowed = f"no room is kept within {wanted} ({rooms})", "needs a room kept within its range"
        mend = "Widen the strain's range, narrow a room's, or add a [[room]] for it."
        yield Fault(("strain", name, "range"), found, allowed, mend, misses=("room",))
    elif max(room.holds for room in farm.room if room.name in accepting) < farm.farm.lot:
        at = next(number for number, room in enumerate(farm.room) if room.name in accepting)
        found = f"no room for {name} holds a lot of {_blocks(farm.farm.lot)}"
        yield Fault(("room", at, "holds"), found, "needs room for a whole lot", "Make lots smaller or the room larger.")


def _is_started(farm: Farm, name: str) -> bool:
    return any(line.strain == name for line in farm.start)


def _soaks_anything(farm: Farm) -> bool:
    return any("soak" in strain.steps or strain.flushes.soak_again for strain in farm.strain.values())


def _blocks(number: float) -> str:
    return units.show(number, "blocks")


def _time(hours: float) -> str:
    return units.show(hours, "h")


def _range(low: float, high: float, system: units.System) -> str:
    top = units.show(high, "degC", system, digits=3)
    return f"{units.show(low, 'degC', system, digits=3).split(' ')[0]} to {top}"


# --- gathering ----------------------------------------------------------------------------------------

FARM_RULES = (
    start_is_a_monday,
    lots_are_whole_blocks,
    a_lot_fits_a_load,
    a_lot_fits_a_tank,
    a_lot_fits_the_racks,
    a_lot_fits_the_cooling_floor,
    a_lot_fits_the_cold_shock,
    making_needs_its_places,
    fresh_needs_a_cooler,
    walk_ins_are_used,
    there_is_a_room,
)
STRAIN_RULES = (
    steps_are_in_order,
    steps_have_their_figures,
    times_have_their_step,
    steps_have_their_places,
    times_are_in_order,
    grades_add_up,
    some_room_takes_it,
)
PLAN_RULES = (the_plan_can_fit, the_work_can_be_done)  # only asked of a farm without other faults


def faults(farm: Farm) -> list[Fault]:
    """Every broken rule of a farm; a rule that needs a figure which could not be read says nothing."""
    found: list[Fault] = []
    for check in _checks(farm):
        with suppress(NotKnown):
            found.extend(check)
    return found


def _checks(farm: Farm) -> Iterator[Iterable[Fault]]:
    yield from (rule(farm) for rule in FARM_RULES)
    with suppress(NotKnown):
        for name, strain in farm.strain.items():
            yield from (rule(farm, name, strain) for rule in STRAIN_RULES)
    yield from check_names.checks(farm)
    yield from check_people.checks(farm)
    yield from check_sales.checks(farm)
    yield from check_blocks.checks(farm)
    yield from check_customers.checks(farm)
    yield from check_rounds.checks(farm)
    yield from check_year.checks(farm)
    yield from check_prices.checks(farm)
    yield from check_books.checks(farm)
    yield from check_history.checks(farm)
    yield from check_request.checks(farm)
    yield from check_stress.checks(farm)


def plan_faults(farm: Farm) -> list[Fault]:
    """What can never fit, in a farm that is otherwise sound."""
    return [fault for rule in PLAN_RULES for fault in rule(farm)]
