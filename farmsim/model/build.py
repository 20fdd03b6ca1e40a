"""Building the site: places, people, stocks and luck, from the farm as it is at first and as it will be."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta
from math import log

from farmsim.model.calendar import WEEK
from farmsim.model.counter import Counter
from farmsim.model.crew import People
from farmsim.model.crop import Crop, Grading
from farmsim.model.desk import Desk
from farmsim.model.fate import Fates
from farmsim.model.goods import Goods
from farmsim.model.heaps import Racked, Ripe, Unpacked
from farmsim.model.house import House
from farmsim.model.luck import Luck
from farmsim.model.place import WHOLE, Moves, Need, Place
from farmsim.model.places import Places
from farmsim.model.plan import Slot, week_of
from farmsim.model.resettle import resettle
from farmsim.model.rota import CrewRota
from farmsim.model.site import Site
from farmsim.model.terms import Homeward, TermedCrew, has_terms
from farmsim.model.to_order import PackingList
from farmsim.model.trips import Trips
from farmsim.model.year import Year, shut_days
from farmsim.record.columns import ROOM_ENOUGH
from farmsim.record.journal import Journal
from farmsim.record.names import Names
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import DUTIES, IN_THE_ROOMS, Crew
from farmsim.scenario.rooms import RoomEmptied
from farmsim.scenario.rules import CLEAN_BENCH
from farmsim.scenario.sales import Start
from farmsim.scenario.strain import Strain

LOG_2 = log(2.0)
UNLIMITED = ROOM_ENOUGH / 1000


def build(farm: Farm, luck: Luck, begin: float, end: float, luck_from: float | None = None) -> Site:
    """A site with nothing on it yet.

    begin, end: where its clock stands, and until when it is to be run [h]
    luck_from: the Monday from which on lots need luck, if before `begin` [h]
    """
    site = Site()
    site.farm, site.changes, site.end = farm, farm.changes, end
    site.luck, site.year = luck, Year(farm.farm.start)
    site.desk = Desk(begin)
    states = [farm, *(state for _, state in farm.changes)]
    _number_names(site, states)
    site.journal = Journal(_names(site, states))
    site.places = Places(site.desk, site.journal)
    site.counter = Counter(site.desk)
    site.people = People(site.desk, site.journal, DUTIES)
    site.crop = Crop(site.desk)
    _lay_out(site, states)
    _stock_up(site, states)
    _hire(site, states)
    weeks = range(int((begin if luck_from is None else luck_from) // WEEK), int(-(-end // WEEK)) + 1)
    site.mondays = {monday: (farm.farm.start + timedelta(weeks=monday)).isoformat() for monday in weeks}
    site.fates = {name: _fates(site, name, weeks) for name in site.line_number}
    come_into_force(site, farm, begin if luck_from is None else luck_from)
    return site


# --- names ----------------------------------------------------------------------------------------------------------


def _number_names(site: Site, states: list[Farm]) -> None:
    site.strain_number = _numbered(name for state in states for name in state.strain)
    site.line_number = _numbered(line.name for state in states for line in state.start)
    site.room_number = _numbered(room.name for state in states for room in state.room)
    site.customer_number = _numbered(customer.name for state in states for customer in state.customer)
    site.round_number = _numbered(each.name for state in states for each in state.round)
    site.block_customer_number = _numbered(c.name for state in states for c in state.block_customer)


def _numbered(names: Iterable[str]) -> dict[str, int]:
    return {name: number for number, name in enumerate(dict.fromkeys(names))}


def _crew_names(states: list[Farm]) -> list[str]:
    return list(dict.fromkeys(crew.name for state in states for crew in state.crew))


def place_list(states: list[Farm], rooms: Iterable[str]) -> list[tuple[str, str, str]]:
    """Name, kind and unit of every place in the order of the farm's stages; later ones are served first."""
    places = []
    if any(state.sterilizer for state in states):
        places += [("sterilizer", "sterilizer", "loads"), ("cooling floor", "cooling", "blocks")]
    if any(state.clean_bench for state in states):
        places.append(("clean benches", "clean bench", "benches"))
    places.append(("racks", "racks", "blocks"))
    places += [(f"{room}, promised", "booked", "blocks") for room in rooms]
    walk_ins = dict.fromkeys(name for state in states for name in state.walk_in)
    places += [(f"walk-in {name}" if len(walk_ins) > 1 else "walk-in", "walk-in", "crates") for name in walk_ins]
    if any(state.soak is not None and state.soak.how == "tank" for state in states):
        places.append(("soak tanks", "soak tanks", "tanks"))
    places.append(("opening benches", "opening benches", "benches"))
    places += [(room, "shelf", "blocks") for room in rooms]
    vans = dict.fromkeys(name for state in states for name in state.van)
    places += [(f"van {name}" if len(vans) > 1 else "van", "van", "vans") for name in vans]
    return places


def _names(site: Site, states: list[Farm]) -> Names:
    return Names(
        places=tuple(place_list(states, site.room_number)),
        crews=tuple(_crew_names(states)),
        duties=DUTIES,
        strains=tuple(site.strain_number),
        lines=tuple(site.line_number),
        rooms=tuple(site.room_number),
        customers=tuple(site.customer_number),
        block_customers=tuple(site.block_customer_number),
        rounds=tuple(site.round_number),
    )


# --- places ---------------------------------------------------------------------------------------------------------


def _lay_out(site: Site, states: list[Farm]) -> None:
    """Every place there is in any state of the farm, empty and of no size: `come_into_force` gives it its size."""
    by_kind: dict[str, list[Place]] = {}
    site.calls = Moves()
    for name, kind, _ in place_list(states, site.room_number):
        place = site.places.add(name, 0, site.calls if kind == "booked" else None)
        by_kind.setdefault(kind, []).append(place)
    site.sterilizer = _only(by_kind, "sterilizer")
    site.cooling = _only(by_kind, "cooling")
    site.clean_bench = _only(by_kind, "clean bench")
    site.racks = by_kind["racks"][0]
    site.soak_tanks = _only(by_kind, "soak tanks")
    site.benches = by_kind["opening benches"][0]
    site.shelves = by_kind.get("shelf", [])
    site.booked = by_kind.get("booked", [])
    names = dict.fromkeys(name for state in states for name in state.walk_in)
    site.walk_ins = dict(zip(names, by_kind.get("walk-in", []), strict=True))
    vans = dict.fromkeys(name for state in states for name in state.van)
    site.vans = dict(zip(vans, by_kind.get("van", []), strict=True))
    site.one_clean_bench = _one(site.clean_bench, "clean bench")
    site.one_tank = _one(site.soak_tanks, "tank")
    site.one_bench = Need("bench", (site.benches,), WHOLE)


def _one(place: Place | None, purpose: str) -> Need | None:
    return None if place is None else Need(purpose, (place,), WHOLE)


def _only(by_kind: dict[str, list[Place]], kind: str) -> Place | None:
    return by_kind[kind][0] if kind in by_kind else None


def _sizes(site: Site, farm: Farm) -> dict[int, float]:
    """How many each place holds in this state of the farm, by the place's number."""
    sizes = {place.index: 0.0 for place in site.places.all}
    if site.sterilizer is not None and site.cooling is not None and farm.sterilizer is not None:
        sizes[site.sterilizer.index] = farm.sterilizer.count
        holds = farm.sterilizer.cooling_holds
        sizes[site.cooling.index] = UNLIMITED if holds is None else holds
    if site.clean_bench is not None and farm.clean_bench is not None:
        sizes[site.clean_bench.index] = farm.clean_bench.people
    sizes[site.racks.index] = farm.incubation.holds
    if site.soak_tanks is not None and farm.soak is not None and farm.soak.how == "tank":
        sizes[site.soak_tanks.index] = farm.soak.tanks
    sizes[site.benches.index] = farm.opening.benches
    for name, walk_in in farm.walk_in.items():
        sizes[site.walk_ins[name].index] = walk_in.holds
    for name, van in farm.van.items():
        sizes[site.vans[name].index] = van.count
    for room in farm.room:
        number = site.room_number[room.name]
        sizes[site.shelves[number].index] = sizes[site.booked[number].index] = room.holds
    return sizes


# --- people, stock, luck --------------------------------------------------------------------------------------------


def _hire(site: Site, states: list[Farm]) -> None:
    site.rotas = []
    since = [-float("inf"), *(when for when, _ in site.changes)]
    begins = 0 if site.farm.farm.begin == "empty" else None
    for name in _crew_names(states):
        crews = [_crew(state, name) for state in states]
        shut = [shut_days(state)["work"] for state in states]
        rota = CrewRota(name, list(zip(since, crews, strict=True)), site.luck, shut, begins)
        site.rotas.append(rota)
        first = crews[0]
        if any(crew is not None and has_terms(crew) for crew in crews):
            site.people.take_on(TermedCrew(site.people, name, rota))
        else:
            site.people.add(name, rota, first.duties if first else (), first.fits if first else ())
    may_go = [crew for crew in site.people.crews if isinstance(crew, TermedCrew) and crew.may_ever_go]
    site.people.homeward = Homeward(site.desk, may_go) if may_go else None


def _crew(farm: Farm, name: str) -> Crew | None:
    return next((crew for crew in farm.crew if crew.name == name), None)


def _stock_up(site: Site, states: list[Farm]) -> None:
    packs_to_order = any(customer.form != "any" for state in states for customer in state.customer)
    site.lots, site.loads = {}, {}
    site.ripe = Ripe(list(site.strain_number), site.places)
    site.racked, site.unpacked = Racked(), Unpacked()
    site.goods = {strain: Goods(strain, number, packs_to_order) for strain, number in site.strain_number.items()}
    site.stock = {
        (name, grade): stock for name, goods in site.goods.items() for grade, stock in enumerate(goods.stocks)
    }
    site.crates, site.to_pack, site.trips = {}, PackingList(site.stock), Trips(site.desk)
    site.promised_blocks = dict.fromkeys(site.strain_number, 0.0)
    site.block_orders, site.owed_blocks, site.claims, site.carried = {}, {}, {}, {}
    site.boxed, site.in_boxing, site.to_box = {}, {}, []
    site.short_in_a_row, site.gone, site.drying = {}, {}, {}
    site.chilled_until = -float("inf")
    site.inspections, site.chores = [], {}
    site.room_due, site.room_closed, site.cleaners = {}, {}, {}


def _fates(site: Site, line: str, weeks: range) -> list[tuple[int, Fates]]:
    """The line's luck, one piece for each stretch of weeks with the same plan: (first Monday, luck)."""
    found: list[tuple[int, Fates]] = []
    states = [(weeks.start, site.farm), *((int(when // WEEK), farm) for when, farm in site.changes)]
    before: tuple[Start, Strain, int, list[Slot]] | None = None
    spells: list[tuple[int, Farm]] = []
    for monday, farm in states:
        plan = _plan(farm, line)
        if plan != before:
            spells.append((monday, farm))
        before = plan
    for (monday, farm), stop in zip(spells, [*(m for m, _ in spells[1:]), weeks.stop], strict=True):
        plan = _plan(farm, line)
        if plan is not None and monday < stop:
            start, strain, lot, slots = plan
            found.append((monday, Fates(site.luck, start, strain, slots, range(monday, stop), lot)))
    return found


def _plan(farm: Farm, line: str) -> tuple[Start, Strain, int, list[Slot]] | None:
    """A line, its strain, and the lots of its week: while they are the same, so is the plan."""
    start = next((start for start in farm.start if start.name == line), None)
    if start is None:
        return None
    lot = round(farm.farm.lot)
    load = None if start.made == "bought" or farm.sterilizer is None else round(farm.sterilizer.load)
    return start, farm.strain[start.strain], lot, week_of(start, lot, load)


# --- a state of the farm --------------------------------------------------------------------------------------------


def come_into_force(site: Site, farm: Farm, since: float | None = None) -> None:
    """From now on the farm is like this. What grows in a block was settled when it was started; how it is handled was not.

    since: when it came to be like this, if that was before the run began [h]
    """
    when = site.desk.now if since is None else since
    was_pushed = site.farm.rules.call_in == "push"
    site.farm, site.strains = farm, {**getattr(site, "strains", {}), **farm.strain}
    sizes = _sizes(site, farm)
    for place in site.places.all:
        holds = sizes[place.index]
        if holds != place.holds / 1000:
            site.places.resize(place, holds)
            site.journal.capacity((place.index, when, place.holds))
    site.spans, site.ordered, site.shut = {}, {}, shut_days(farm)
    site.places.forget_hours()
    site.ages_matter = any(customer.age is not None for customer in farm.block_customer)
    for name in site.strain_number:
        site.ripe.count_again(name)
    site.long_enough, site.house = farm.farm.round, House(farm.rules)
    for name, strain in farm.strain.items():
        site.crop.grading[name] = Grading(strain)
        site.goods[name].be_handled_as(strain)
    _assign_walk_ins(site, farm)
    site.tanks = site.soak_tanks if farm.soak is not None and farm.soak.how == "tank" else None
    _accept(site, farm)
    for crew, rota in zip(site.people.crews, site.rotas, strict=True):
        if isinstance(crew, TermedCrew):
            crew.take_up_duties(site.desk.now)
        else:
            site.people.reassign(crew, rota.duties(site.desk.now), rota.begun_if_fits(site.desk.now))
    apart = farm.rules.clean_bench != CLEAN_BENCH[0]
    site.people.keep_apart(IN_THE_ROOMS if apart else (), ("inoculate",) if apart else ())
    _plan_cleaning(site, farm)
    site.trips.plan(farm)
    resettle(site, was_pushed)


def _plan_cleaning(site: Site, farm: Farm) -> None:
    """Rooms that are emptied to be cleaned are due one after the other, not all on one day."""
    every = [(room.name, room.clean.every) for room in farm.room if isinstance(room.clean, RoomEmptied)]
    for number, (name, hours) in enumerate(every):
        site.room_due.setdefault(site.room_number[name], site.desk.now + hours * (number + 1) / len(every))


def _assign_walk_ins(site: Site, farm: Farm) -> None:
    shock, ripe, fresh = farm.cold_shock_room(), farm.ripe_block_room(), farm.fresh_room()
    site.cold_room = site.walk_ins[shock] if shock is not None else None
    site.ripe_room = site.walk_ins[ripe] if ripe is not None else None
    site.cooler = site.walk_ins[fresh] if fresh is not None else None
    site.chills = (farm.walk_in[fresh].chills or 0.0) if fresh is not None else 0.0
    site.stays_warm = farm.walk_in[fresh].half_cooling / LOG_2 if fresh is not None else 0.0
    site.cold_crates = (farm.walk_in[shock].uses.cold_shock or 0.0) if shock is not None else 0.0
    site.ripe_crates = (farm.walk_in[ripe].uses.ripe_blocks or 0.0) if ripe is not None else 0.0
    site.fresh_crates = (farm.walk_in[fresh].uses.fresh or 0.0) if fresh is not None else 0.0


def _accept(site: Site, farm: Farm) -> None:
    """Which rooms take which strain: those kept within the temperatures it fruits well in."""
    site.rooms_for = dict.fromkeys(site.strain_number, ())
    site.booked_for, site.shelves_for = dict.fromkeys(site.strain_number, ()), dict.fromkeys(site.strain_number, ())
    for name, strain in site.strains.items():
        site.rooms_for[name] = tuple(
            site.room_number[room.name]
            for room in farm.room
            if strain.range.low <= room.range.low and room.range.high <= strain.range.high
        )
        site.booked_for[name] = tuple(site.booked[number] for number in site.rooms_for[name])
        site.shelves_for[name] = tuple(site.shelves[number] for number in site.rooms_for[name])
