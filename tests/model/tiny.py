"""A farm so small that its whole log fits on a page, and the log itself.

The farm fruits one lot of 8 bought blocks a week in one shed, begins empty and knows no luck. Its figures are round:

    delivered and ripe on Monday 08:00, opened in 1 h, first pick 2 days after the day of shelving, 4 kg,
    looked over in 30 min and picked in 30 min, packed in 30 min, cleared in 1 h; the owner is there from 6 to 18.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from farmsim.model.run import run
from farmsim.record.columns import GRADES, ROOM_DAYS, ROUND_ENDS, WHATS, WHY_SHORT, WHYS
from farmsim.record.tables import Record
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.people import Crew
from farmsim.scenario.rooms import CleanBench, Incubation, Mix, Opening, Room, Soak, Sterilizer, Uses, WalkIn
from farmsim.scenario.sales import BlockCustomer, Customer, Start
from farmsim.scenario.strain import (
    ColdShock,
    Contaminated,
    Flushes,
    Grades,
    HoldsRipe,
    Open,
    Overripe,
    Picking,
    SoakTimes,
    Strain,
    Yield,
)
from farmsim.scenario.values import DAYS, PerWeek, Range, Shift
from farmsim.scenario.vary import Fixed

H, D, W = 1.0, 24.0, 168.0
BLOCKS = 8
LATE = (
    Grades(firsts=1.0, seconds=0.0, culls=0.0),
    Grades(firsts=0.5, seconds=0.5, culls=0.0),
    Grades(firsts=0.0, seconds=0.5, culls=0.5),
)
OYSTER = Strain(
    steps=("open", "fruit"),
    holds_ripe=HoldsRipe(on_the_rack=14 * D),
    overripe=Overripe(loses=0.25, trim=1 / 16, thrown_out_after=2 * D),
    contaminated=Contaminated(mean=0.0, clusters="none", shows=Fixed(3 * D)),
    open=Open(pace=8.0, strip_takes=0.0, flip_takes=0.0),
    first_pick=Fixed(2 * D),
    spread=0.0,
    next_pick=Fixed(2 * D),
    yield_=Yield(mean=0.5, cv_lot=0.0, cv_block=0.0),
    flushes=Flushes(share=(1.0,), rest=1 * D),
    picking=Picking(look=1 / 16, pace=8.0, window=1 * D, gain=0.25, late=LATE),
    pack=8.0,
    crate=1.0,
    shelf_life=7 * D,
    warm_costs=1.0,
    range=Range(10.0, 20.0),
    clear=8.0,
)
SHIITAKE = OYSTER.but(
    steps=("cold shock", "soak", "open", "fruit"),
    cold_shock=ColdShock(least=12.0, usual=24.0, most=48.0, loses=0.5),
    soak=SoakTimes(least=10.0, most=18.0, load=8.0, unload=8.0, loses=0.25),
)
FRIDGE = WalkIn(holds=100.0, uses=Uses(fresh=1.0))
COLD = WalkIn(holds=100.0, uses=Uses(cold_shock=1.0, ripe_blocks=1.0))
SHED = Room(name="Shed", holds=16.0, range=Range(14.0, 16.0))
OWNER = Crew(
    name="owner",
    people=1,
    days=DAYS,
    hours=dict.fromkeys(DAYS, Shift(6.0, 18.0)),
    duties=("mix", "inoculate", "pick", "pack", "open", "soak", "clear", "clean", "inspect"),
)
LINE = Start(name="A", strain="oyster", blocks=8.0, days=("mon",), made="bought")
MADE = LINE.but(made="here")
ABOUT = About(name="Tiny", start=datetime.date(2027, 1, 4), weeks=1, lot=8.0, begin="empty")
OVEN = Sterilizer(load=16.0, cycle=4.0, cool=12.0)
BENCH = CleanBench(people=1, pace=8.0)
MIX = Mix(pace=16.0)
TANKS = Soak(how="tank", tanks=1, tank=8.0)
SHOP = Customer(name="shop", takes={"oyster": 3.0}, days=("wed",), leave_by=9.0)
OUTLET = Customer(name="outlet", kind="outlet", takes="anything", days=("wed",), leave_by=9.0)
GROWER = BlockCustomer(name="grower", takes={"oyster": 4.0}, notice=2 * D, days=("wed",), leave_by=9.0)
FIVE_DAYS = PerWeek(5)


def farm(strain: Strain | dict[str, Strain] = OYSTER, about: dict[str, object] | None = None, **parts: object) -> Farm:
    """The tiny farm with some parts changed; `strain` is the oyster's sheet, or all strains by name."""
    given: dict[str, object] = {
        "incubation": Incubation(holds=1000.0),
        "walk_in": {"fridge": FRIDGE},
        "opening": Opening(benches=1),
        "room": (SHED,),
        "crew": (OWNER,),
        "start": (LINE,),
        **parts,
    }
    strains = strain if isinstance(strain, dict) else {"oyster": strain}
    return Farm(farm=ABOUT.but(**(about or {})), strain=strains, **given)


def of_crew(*duties: str, start: float = 6.0, end: float = 18.0, days: Iterable[str] = DAYS, **figures: object) -> Crew:
    """The owner with other duties and hours."""
    hours = {day: Shift(start, end) for day in days}
    return OWNER.but(duties=duties or OWNER.duties, days=tuple(days), hours=hours, **figures)


def tiny_racks(holds: float) -> Incubation:
    """Racks of a size."""
    return Incubation(holds=holds)


def seen(*args: object, weeks: int | None = None, seed: int = 1, **parts: object) -> Record:
    """What is seen in one run of the tiny farm."""
    return run(farm(*args, **parts), seed, 0, weeks)  # type: ignore[arg-type]


# --- the log --------------------------------------------------------------------------------------------------------


def clock(hour: float | None) -> str:
    """An hour as day and time; weeks after the first have their number."""
    if hour is None or hour == float("inf"):
        return "never"
    minutes = round(hour * 60)
    week, rest = divmod(minutes, 7 * 24 * 60)
    day, of_day = divmod(rest, 24 * 60)
    return f"{DAYS[day]}{week + 1 if week else ''} {of_day // 60:02d}:{of_day % 60:02d}"


def short(key: str) -> str:
    """A lot's key without the date: A/2027-01-04/00 is A0, the lot of the week after A0'."""
    line, date, position, *part = key.split("/")
    week = (datetime.date.fromisoformat(date) - ABOUT.start).days // 7
    place = position if position.startswith("L") else str(int(position))
    return f"{line}{place}" + "'" * week + "".join(f"/{piece}" for piece in part)


def log(record: Record, *tables: str) -> list[str]:
    """Everything that happened, in time order, one sentence each; only of some tables when they are named."""
    lines: list[tuple[float, int, str]] = []
    for turn, (table, tell) in enumerate(_TELL.items()):
        if not tables or table in tables:
            for row in record.rows(table):
                lines += [(when, turn, f"{clock(when)}  {text}") for when, text in tell(*row)]
    return [text for _, _, text in sorted(lines)]


def lines(text: str) -> list[str]:
    """A log as it is written in a test, one sentence a line."""
    return [line.strip() for line in text.strip().splitlines()]


Told = Iterable[tuple[float, str]]


def _lots(key, line, strain, monday, position, started, blocks, load) -> Told:
    if key.count("/") == 3:
        yield started, f"{short(key)} was part of its lot, {blocks:g} blocks"


def _who(lot: str, place: str) -> str:
    return short(lot) if lot else "crates" if "walk-in" in place else "a load"


def _stays(lot, place, flush, amount, asked, came, ready, left) -> Told:
    who = _who(lot, place)
    if came is None:
        yield float("inf"), f"{who} waits for {place} since {clock(asked)}"
        return
    waited = f", asked {clock(asked)}" if asked != came else ""
    yield came, f"{who} comes to {place}{waited}"
    if left is not None:
        done = f", done {clock(ready)}" if ready != left else ""
        yield left, f"{who} leaves {place} ({amount / 1000:g}){done}"


def _freed(lot, place, when, amount) -> Told:
    yield when, f"{_who(lot, place)} gives back {amount / 1000:g} of {place}"


def _waits(lot, place, flush, asked, given_up) -> Told:
    yield given_up, f"{_who(lot, place)} gives up asking for {place}, asked {clock(asked)}"


def _tasks(crew, person, duty, lot, flush, asked, began, ended, worked, overtime) -> Told:
    what = f" {short(lot)}" if lot else ""
    over = f", {overtime:g} h overtime" if overtime else ""
    pause = "" if worked == ended - began else f", {worked:g} h worked"
    yield ended, f"{crew} {person} ends {duty}{what}, begun {clock(began)}{pause}{over}"


def _picks(lot, flush, room, when, late, firsts, seconds, culls) -> Told:
    grades = " + ".join(f"{kg:g} {name}" for name, kg in zip(GRADES, (firsts, seconds), strict=True))
    yield when, f"picked {grades} + {culls:g} culls from {short(lot)}, flush {flush}, {late} late"


def _packs(strain, when, kg) -> Told:
    yield when, f"packed {kg:g} of {strain}"


def _crates(strain, picked, warm_until, firsts, seconds, in_, place) -> Told:
    yield in_, f"{firsts:g} + {seconds:g} of {strain} put in {place or 'stock'}"


def _stock_out(strain, grade, why, customer, picked, dies, when, kg) -> Told:
    to = f" to {customer}" if customer else ""
    yield when, f"{kg:g} {GRADES[grade]} of {strain} {WHYS[why]}{to}, good until {clock(dies)}"


def _orders(customer, strain, due, promised, delivered, carried) -> Told:
    yield due, f"{customer} gets {delivered:g} of {promised:g} {strain}, {carried:g} carried over"


def _substituted(customer, strain, instead, when, kg) -> Told:
    yield when, f"{customer} takes {kg:g} {instead} instead of {strain}"


def _customers_left(customer, when, short_deliveries, a_week) -> Told:
    yield when, f"{customer} leaves after {short_deliveries} short deliveries, {a_week:g} a week lost"


def _not_ordered(customer, strain, due, kg) -> Told:
    yield due, f"{customer} would have ordered {kg:g} {strain}"


def _market_days(customer, strain, out, wanted, brought, asked, sold, came_back, lost, back) -> Told:
    told = f"{sold:g} of {asked:g} asked for sold, {came_back:g} came back, {lost:g} lost"
    yield back, f"{customer} took {brought:g} of {wanted:g} {strain} {clock(out)}: {told}"


def _dried(customer, strain, when, fresh, kg) -> Told:
    yield when, f"{fresh:g} {strain} laid out at {customer}, {kg:g} when dry"


def _packed_orders(customer, strain, due, when, kg) -> Told:
    yield when, f"packed {kg:g} of {strain} to order for {customer}, due {clock(due)}"


def _shorts(customer, strain, due, why, kg, carried) -> Told:
    yield due, f"{customer} is short of {kg:g} {strain}: {WHY_SHORT[why]}"


def _rounds(name, due, left, back, how, people, crates, kg, behind, used) -> Told:
    late = "" if left == due else f", due {clock(due)}"
    if left is None:
        yield (back or float("inf")), f"{name} does not go{late}: {ROUND_ENDS[how]}"
        return
    full = "" if used is None else f" ({100 * used:g} % of the van)"
    over = f", {behind:g} kg left behind" if behind else ""
    yield left, f"{name} leaves{late}: {people:g} with {kg:g} kg in {crates:g} crates{full}{over}"
    if back is not None:
        yield back, f"{name} is back"


def _blocks(lot, strain, what, when, blocks, customer) -> Told:
    to = f" to {customer}" if customer else ""
    yield when, f"{blocks:g} of {short(lot)} {WHATS[what]}{to}"


def _room_days(room, when, what) -> Told:
    yield when, f"{room} {ROOM_DAYS[what]}"


_TELL = {
    "lots": _lots,
    "tasks": _tasks,
    "picks": _picks,
    "packs": _packs,
    "stays": _stays,
    "freed": _freed,
    "waits": _waits,
    "blocks": _blocks,
    "crates": _crates,
    "stock_out": _stock_out,
    "packed_orders": _packed_orders,
    "orders": _orders,
    "substituted": _substituted,
    "customers_left": _customers_left,
    "not_ordered": _not_ordered,
    "market_days": _market_days,
    "dried": _dried,
    "shorts": _shorts,
    "rounds": _rounds,
    "block_orders": _orders,
    "room_days": _room_days,
}
