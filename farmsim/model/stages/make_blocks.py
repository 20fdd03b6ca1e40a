"""Making blocks: mix and bag, sterilizer, cooling, clean bench. Blocks bought in come to the racks as they are delivered.

Steps of a load: people mix and bag it; it waits for a sterilizer; a cycle of steam; it waits for room to cool, keeping
the sterilizer until there is some; it cools; its lots go to the clean bench, each on its own cart.
Steps of a lot: it waits for a bench, where it cooled; people inoculate it; it waits for the racks, keeping the bench.

Goes wrong when the racks are full: benches, cooling floor and sterilizer then fill up behind them.
"""

from __future__ import annotations

from functools import partial

from farmsim.model import blocks
from farmsim.model.calendar import DAY, WEEK, ticks
from farmsim.model.desk import Wait
from farmsim.model.fate import Fates
from farmsim.model.lot import Load, Lot
from farmsim.model.place import WHOLE, Need
from farmsim.model.plan import Slot
from farmsim.model.site import Site
from farmsim.model.steps import Step, stage, walk
from farmsim.scenario.sales import Start
from farmsim.scenario.values import MONTHS

# --- a load ---------------------------------------------------------------------------------------------------------


def mix_and_bag(site: Site, load: Load) -> Wait | None:
    mix = site.farm.mix
    return site.people.do(load, "mix", load.blocks / mix.pace) if mix is not None else None


def take_sterilizer(site: Site, load: Load) -> Wait | None:
    return site.places.ask(load, Need("sterilizer", (site.sterilizer,), WHOLE)) if site.sterilizer else None


def steam(site: Site, load: Load) -> Wait | None:
    sterilizer = site.farm.sterilizer
    return site.desk.until(ticks(load.since + sterilizer.cycle)) if sterilizer is not None else None


def be_steamed(site: Site, load: Load) -> None:
    if site.sterilizer:
        site.places.ready(load, "sterilizer")


def take_cooling(site: Site, load: Load) -> Wait | None:
    if site.cooling is None:
        return None
    return site.places.ask(load, Need("cooling", (site.cooling,), load.blocks * WHOLE))


def leave_sterilizer(site: Site, load: Load) -> None:
    if site.sterilizer:
        site.places.leave(load, "sterilizer")


def cool(site: Site, load: Load) -> Wait | None:
    sterilizer = site.farm.sterilizer
    return site.desk.until(ticks(load.since + sterilizer.cool)) if sterilizer is not None else None


def go_to_the_bench(site: Site, load: Load) -> None:
    for lot in load.lots:
        if "cooling" in load.stays:
            site.places.hand_over(load, lot, "cooling", lot.blocks * WHOLE)
            site.places.ready(lot, "cooling")
        site.lots[lot.key] = lot
        walk(site, lot)
    if "cooling" in load.stays:
        site.places.leave(load, "cooling")
    del site.loads[load.key]


LOAD: tuple[Step, ...] = stage(
    1, "make", mix_and_bag, take_sterilizer, steam, be_steamed, take_cooling, leave_sterilizer, cool, go_to_the_bench
)

# --- a lot ----------------------------------------------------------------------------------------------------------


def take_bench(site: Site, lot: Lot) -> Wait | None:
    return site.places.ask(lot, site.one_clean_bench) if site.one_clean_bench is not None else None


def leave_cooling(site: Site, lot: Lot) -> None:
    if "cooling" in lot.stays:
        site.places.leave(lot, "cooling")


def inoculate(site: Site, lot: Lot) -> Wait | None:
    bench = site.farm.clean_bench
    return site.people.do(lot, "inoculate", lot.blocks / bench.pace) if bench is not None else None


def be_inoculated(site: Site, lot: Lot) -> None:
    if "clean bench" in lot.stays:
        site.places.ready(lot, "clean bench")


def take_rack(site: Site, lot: Lot) -> Wait | None:
    return site.places.ask(lot, Need("rack", (site.racks,), lot.blocks * WHOLE))


def be_made(site: Site, lot: Lot) -> None:
    if "clean bench" in lot.stays:
        site.places.leave(lot, "clean bench")
    blocks.note(site, lot, "made", lot.blocks)
    be_on_the_rack(site, lot)


def be_bought(site: Site, lot: Lot) -> None:
    blocks.note(site, lot, "bought", lot.blocks)
    be_on_the_rack(site, lot)


def be_on_the_rack(site: Site, lot: Lot) -> None:
    """From now on its clocks run: until ripe, and until bad blocks show."""
    if lot.fates is None:
        raise AssertionError(f"{lot.key} has no fate")
    now = site.desk.now
    fate = lot.fates.of(lot.row)
    days = site.farm.months.days[site.year.month(now)]
    lot.colonised_at = now + ticks(fate.until_colonised * days)
    lot.ripe_at = now + ticks(fate.until_ripe * days)
    lot.bad = [(now + shows, block) for shows, block in fate.bad]
    site.racked.add(lot)


HERE: tuple[Step, ...] = stage(2, "bench", take_bench, leave_cooling, inoculate, be_inoculated, take_rack, be_made)
BOUGHT: tuple[Step, ...] = stage(2, "delivery", take_rack, be_bought)

# --- what is started in a week --------------------------------------------------------------------------------------


def week(site: Site, monday: int) -> None:
    """Set the week's starts: each line's loads on its days, deliveries of bought blocks at their hour."""
    for line in site.farm.start:
        fates = _fates_of(site, line.name, monday)
        for weekday, loads in fates.by_day:
            if _is_started(site, line, monday * 7 + weekday):
                _set_day(site, line, fates, monday, weekday, loads)


def _is_started(site: Site, line: Start, day: int) -> bool:
    """Whether the line is started in the month of this day, and the farm does not stand still on it."""
    return MONTHS[site.year.month(day * DAY)] in line.months and day not in site.shut["starts"]


def _set_day(site: Site, line: Start, fates: Fates, monday: int, weekday: int, loads: list[list[Slot]]) -> None:
    day = monday * WEEK + weekday * DAY
    if line.made == "bought":
        when, slots = ticks(day + line.arrives), [slot for load in loads for slot in load]
        site.desk.at(when, partial(_deliver, site, line, fates, monday, slots))
        return
    for load in loads:
        site.desk.at(day, partial(_start, site, line, fates, monday, load))


def _start(site: Site, line: Start, fates: Fates, monday: int, slots: list[Slot]) -> None:
    key = f"{_week_of(site, line.name, monday)}/L{two_digits(slots[0].load)}"
    lots = _lots(site, line, fates, monday, slots, key)
    load = Load(key, site.desk.now, site.steps_load, line.strain, lots)
    load.number = site.journal.nameless()
    site.loads[key] = load
    walk(site, load)


def _deliver(site: Site, line: Start, fates: Fates, monday: int, slots: list[Slot]) -> None:
    for lot in _lots(site, line, fates, monday, slots, ""):
        site.lots[lot.key] = lot
        walk(site, lot)


def _lots(site: Site, line: Start, fates: Fates, monday: int, slots: list[Slot], load: str) -> list[Lot]:
    """Lots of the plan, with their luck, written into the journal; `load` names the one they are mixed and steamed in."""
    when, name, strain, of_week = site.desk.now, line.name, line.strain, _week_of(site, line.name, monday)
    steps = _way_of(site, strain, monday, fates)
    number, strain_number = site.line_number[name], site.strain_number[strain]
    lots = []
    for slot in slots:
        position, count = slot.position, slot.blocks
        lot = Lot(f"{of_week}/{two_digits(position)}", when, steps, name, strain, monday, position)
        lot.fates, lot.row = fates, fates.row(monday, position)
        lot.blocks, lot.top, lot.load = count, count, load
        row = (lot.key, number, strain_number, monday * WEEK, position, when, float(count), load)
        lot.number = site.journal.lot(row)
        lots.append(lot)
    return lots


def known_lot(site: Site, key: str, line: str, strain: str, monday: int, position: int) -> Lot:
    """A lot by its names, on its way and with its luck."""
    fates = _fates_of(site, line, monday)
    lot = Lot(key, 0.0, _way_of(site, strain, monday, fates), line, strain, monday, position)
    lot.fates, lot.row = fates, fates.row(monday, position)
    return lot


def _fates_of(site: Site, line: str, monday: int) -> Fates:
    return next(fates for first, fates in reversed(site.fates[line]) if first <= monday)


def _way_of(site: Site, strain: str, monday: int, fates: Fates) -> tuple[Step, ...]:
    """The steps of lots that are started in a week."""
    way = [way for way in site.ways[strain] if way.since <= monday][-1]
    return way.bought if fates.are_bought else way.here


def _week_of(site: Site, line: str, monday: int) -> str:
    """How the keys of all lots and loads begin that a line starts in a week."""
    return f"{line}/{site.mondays[monday]}"


def two_digits(number: int) -> str:
    """A number as it stands in a key."""
    return f"0{number}" if number < 10 else str(number)
