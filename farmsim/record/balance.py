"""What can never be: every broken invariant of a run in plain words. A sound record has none."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np

from farmsim.record.columns import WHATS, WHYS
from farmsim.record.measures.blocks import INTO, OUT_OF
from farmsim.record.measures.course import Course
from farmsim.record.measures.crews import person_shift_of_tasks
from farmsim.record.measures.cuts import added
from farmsim.record.measures.levels import written
from farmsim.record.measures.residuals import residuals
from farmsim.record.measures.standing import courses_before, courses_measured, stay_of_freed
from farmsim.record.tables import Flags, Numbers, Record

ROUNDING = 1e-9
"""Sums of weights may be off by this share of what moved, and no more."""
TINY = 1e-6
"""Less than this is rounding, in kg, blocks or hours."""
NOT_TOLD = -1
"""Number of a load or of crates that have none of their own."""
SUMS = {
    "blocks_residual": "blocks that came less those sold, lost, cleared or still inside are {left}",
    "mushrooms_residual": "mushrooms picked to be sold less those sold, thrown out or still there are {left}",
    "delivered_residual": "mushrooms that left the stock for orders less those delivered are {left}",
    "blocks_delivered_residual": "blocks sold less those delivered to block orders are {left}",
}


def faults(record: Record) -> list[str]:
    """Every kind of broken invariant in a run, with the first culprit and how many more there are."""
    return [fault for look in LOOKS for fault in look(record)]


def adds_up(record: Record) -> Iterator[str]:
    """Blocks and kg that came are where they should be."""
    for seen, table, amount, what in (
        ("blocks", "inside", "blocks", "blocks"),
        ("picks", "left_over", "kg", "mushrooms"),
    ):
        if len(record.figures(seen, "when")) and written(record, table, amount, record.end) is None:
            yield f"it is not written down how many {what} are left at the end"
    for each in residuals(record):
        if abs(each.left) > TINY + ROUNDING * each.moved:
            yield f"{each.strain}: {SUMS[each.check].format(left=f'{each.left:g} {each.unit}')}, not 0"


def no_more_than_there_was(record: Record) -> Iterator[str]:
    """No lot gives away more blocks than it was made with; a part that was sold counts with the lot it came from."""
    what, amount = record.numbers("blocks", "what"), record.figures("blocks", "blocks")
    lot, lots = whole_lot(record)[record.numbers("blocks", "lot")], len(record.tables["lots"]["key"])
    into, out = (np.isin(what, [WHATS.index(name) for name in names]) for names in (INTO, OUT_OF))
    came, went = added(lot[into], amount[into], lots), added(lot[out], amount[out], lots)
    keys = record.tables["lots"]["key"]
    yield from _culprits(
        (came > 0) & (went > came + TINY),
        lambda at: f"lot {keys[at]}: {went[at]:g} blocks left it, but only {came[at]:g} came",
    )


def times_in_order(record: Record) -> Iterator[str]:
    """Nothing ends before it begins: asked, came, ready, left; asked, began, ended."""
    ways = (("stays", ("asked", "came", "ready", "left")), ("tasks", ("asked", "began", "ended")))
    for table, steps in (*ways, ("stays", ("came", "left")), ("waits", ("asked", "given_up"))):
        for step, following in pairwise(steps):
            first, then = record.figures(table, step), record.figures(table, following)
            yield from _culprits(then < first, _out_of_order(record, table, step, following))


def given_back_was_held(record: Record) -> Iterator[str]:
    """Only who holds places can give some back."""
    yield from _culprits(
        (stay_of_freed(record) < 0) & (record.numbers("freed", "lot") != NOT_TOLD),
        lambda at: (
            f"{_lot_at(record, 'freed', at)} gave back places it did not hold "
            f"({_place_at(record, 'freed', at)}, hour {record.figures('freed', 'when')[at]:g})"
        ),
    )


def nothing_negative(record: Record) -> Iterator[str]:
    """Amounts, weights and hours are 0 or more."""
    for table, columns in NEVER_NEGATIVE.items():
        for column in columns:
            yield from _negative(record, table, column)


def within_capacity(record: Record) -> Iterator[str]:
    """Nobody comes into a full place. More may be used than there is only after places were taken away.

    Left out: places where it is not told who gave some back, for then it is not known since when they were held.
    """
    not_told = record.numbers("freed", "place")[record.numbers("freed", "lot") == NOT_TOLD]
    before = courses_before(record)
    for number, seen in courses_measured(record).items():
        if number not in not_told:
            yield from _too_full(record.names.places[number][0], before[number], seen, record.start)


def nothing_sold_past_its_date(record: Record) -> Iterator[str]:
    """What is sold is sold before its date."""
    when, dies = record.figures("stock_out", "when"), record.figures("stock_out", "dies")
    sold = record.numbers("stock_out", "why") != WHYS.index("past date")
    strain = record.numbers("stock_out", "strain")
    yield from _culprits(
        sold & (when >= dies),
        lambda at: f"{record.names.strains[strain[at]]}: sold at hour {when[at]:g}, past its date (hour {dies[at]:g})",
    )


def no_more_than_promised(record: Record) -> Iterator[str]:
    """Nobody is delivered more than was promised, nor owed more than is missing."""
    yield from _over_promise(record, "orders", "kg")
    yield from _over_promise(record, "block_orders", "blocks")


def no_more_credited_than_failed(record: Record) -> Iterator[str]:
    """Only blocks that failed are credited."""
    failed, credited = record.figures("block_claims", "failed"), record.figures("block_claims", "credited")
    yield from _culprits(
        credited > failed,
        lambda at: f"block_claims: {credited[at]:g} blocks credited in row {at + 1}, but only {failed[at]:g} failed",
    )


def stalls_add_up(record: Record) -> Iterator[str]:
    """What a stall brought was sold, came back or was lost; and it brought no more than it was to."""
    brought, sold, back, lost, wanted = (
        record.figures("market_days", name) for name in ("brought", "sold", "came_back", "lost", "wanted")
    )
    names, customer = record.names.customers, record.numbers("market_days", "customer")
    yield from _culprits(
        (np.abs(brought - sold - back - lost) > TINY) | (brought > wanted + TINY),
        lambda at: (
            f"{names[customer[at]]}: {brought[at]:g} kg brought of {wanted[at]:g} kg wanted, but {sold[at]:g} kg sold, "
            f"{back[at]:g} kg back and {lost[at]:g} kg lost"
        ),
    )


def no_more_short_than_missing(record: Record) -> Iterator[str]:
    """What is told as short for a reason is missing in its order."""
    missing: dict[tuple[int, int, float], float] = {}
    names = ("customer", "strain", "due")
    for sign, table, amount in ((1.0, "orders", "promised"), (-1.0, "orders", "delivered"), (-1.0, "shorts", "kg")):
        if len(record.figures("shorts", "kg")):
            rows = zip(*(record.figures(table, name).tolist() for name in (*names, amount)), strict=True)
            for customer, strain, due, kg in rows:
                key = (int(customer), int(strain), due)
                missing[key] = missing.get(key, 0.0) + sign * kg
    for (customer, _, due), left in missing.items():
        if left < -TINY:
            yield f"{record.names.customers[customer]}: {-left:g} kg more told as short than missing (hour {due:g})"
            return


def rounds_are_in_order(record: Record) -> Iterator[str]:
    """No round leaves before its hour, is back before it left, or takes more than the van has room for."""
    due, left, back = (record.figures("rounds", name) for name in ("due", "left", "back"))
    names, which, used = record.names.rounds, record.numbers("rounds", "round"), record.figures("rounds", "used")
    yield from _culprits(
        left < due, lambda at: f"{names[which[at]]}: left at hour {left[at]:g}, due at hour {due[at]:g}"
    )
    yield from _culprits(back < left, lambda at: f"{names[which[at]]}: back at hour {back[at]:g}, left at {left[at]:g}")
    yield from _culprits(
        used > 1 + TINY,
        lambda at: f"{names[which[at]]}: took {100 * used[at]:g} % of what the van has room for (hour {left[at]:g})",
    )


def hours_within_shifts(record: Record) -> Iterator[str]:
    """In no shift do people work more than they are there, but for the overtime that is written down."""
    shift, names = record.shift_of_tasks, record.names.crews
    crew, when = record.numbers("rostered", "crew"), record.figures("rostered", "when")
    there = record.figures("rostered", "people") * record.figures("rostered", "hours")
    within = record.figures("tasks", "worked") - record.figures("tasks", "overtime")
    kept = shift >= 0
    worked = added(shift[kept], within[kept], len(there))
    yield from _culprits(
        worked > there + TINY,
        lambda at: (
            f"{names[crew[at]]}: {worked[at]:g} h worked in the shift from hour {when[at]:g}, "
            f"overtime left out, but only {there[at]:g} h rostered"
        ),
    )
    of_task = record.numbers("tasks", "crew")
    yield from _culprits(
        ~kept & np.isin(of_task, crew),
        lambda at: f"{names[of_task[at]]}: at work at hour {record.figures('tasks', 'began')[at]:g}, before any shift",
    )


def nobody_works_after_going_home(record: Record) -> Iterator[str]:
    """Whoever has gone home does nothing more in that shift."""
    of_task, names = person_shift_of_tasks(record), record.names.crews
    crew, person = record.numbers("tasks", "crew"), record.numbers("tasks", "person")
    ended, gone = record.figures("tasks", "ended"), np.append(record.figures("attended", "gone"), np.nan)[of_task]
    yield from _culprits(
        ended > gone + TINY,
        lambda at: (
            f"{names[crew[at]]}: person {person[at] + 1} at work until hour {ended[at]:g}, "
            f"but gone home at hour {gone[at]:g}"
        ),
    )


def people_were_there(record: Record) -> Iterator[str]:
    """Nobody works longer in a shift than they were there, but for the overtime that is written down."""
    of_task = person_shift_of_tasks(record)
    kept = of_task >= 0
    told = {name: record.figures("attended", name) for name in ("when", "hours", "stayed", "overtime")}
    overtime, worked = record.figures("tasks", "overtime")[kept], record.figures("tasks", "worked")[kept]
    within = added(of_task[kept], worked - overtime, len(told["when"]))
    over = added(of_task[kept], overtime, len(told["when"]))
    crew, names = record.numbers("attended", "crew"), record.names.crews
    yield from _culprits(
        (within > told["stayed"] + TINY) | (told["stayed"] > told["hours"] + TINY),
        lambda at: (
            f"{names[crew[at]]}: {within[at]:g} h worked by somebody who was there {told['stayed'][at]:g} h of the "
            f"{told['hours'][at]:g} h from hour {told['when'][at]:g} on, overtime left out"
        ),
    )
    yield from _culprits(
        np.abs(over - told["overtime"]) > TINY,
        lambda at: (
            f"{names[crew[at]]}: {told['overtime'][at]:g} h of overtime told of somebody in the shift from hour "
            f"{told['when'][at]:g}, but {over[at]:g} h worked"
        ),
    )


def one_task_at_a_time(record: Record) -> Iterator[str]:
    """Nobody does two tasks at once, nor works longer than the task lasted."""
    crew, person = record.numbers("tasks", "crew"), record.numbers("tasks", "person")
    began, ended = record.figures("tasks", "began"), record.figures("tasks", "ended")
    who = crew * (1 + int(person.max(initial=0))) + person
    order = np.lexsort((ended, began, who))
    same = np.diff(who[order]) == 0
    names = record.names.crews
    yield from _culprits(
        same & (began[order][1:] < ended[order][:-1] - TINY),
        lambda at: (
            f"{names[crew[order[at]]]}: person {person[order[at]] + 1} began a task at hour "
            f"{began[order[at + 1]]:g} with another in hand until hour {ended[order[at]]:g}"
        ),
    )
    worked = record.figures("tasks", "worked")
    yield from _culprits(
        worked > ended - began + TINY,
        lambda at: (
            f"{names[crew[at]]}: {worked[at]:g} h worked in a task of {ended[at] - began[at]:g} h (hour {began[at]:g})"
        ),
    )


def every_lot_once(record: Record) -> Iterator[str]:
    """No two lots have one key."""
    keys = record.tables["lots"]["key"]
    again = np.zeros(len(keys), dtype=bool)
    if len(set(keys.tolist())) < len(keys):
        again[:] = True
        again[np.unique(keys, return_index=True)[1]] = False
    yield from _culprits(again, lambda at: f"lot {keys[at]} came to be twice")


LOOKS: tuple[Callable[[Record], Iterator[str]], ...] = (
    adds_up,
    no_more_than_there_was,
    times_in_order,
    given_back_was_held,
    nothing_negative,
    within_capacity,
    nothing_sold_past_its_date,
    no_more_than_promised,
    no_more_credited_than_failed,
    stalls_add_up,
    no_more_short_than_missing,
    rounds_are_in_order,
    hours_within_shifts,
    nobody_works_after_going_home,
    people_were_there,
    one_task_at_a_time,
    every_lot_once,
)
NEVER_NEGATIVE = {
    "stays": ("amount",),
    "freed": ("amount",),
    "tasks": ("worked", "overtime"),
    "picks": ("firsts", "seconds", "culls"),
    "packs": ("kg",),
    "crates": ("firsts", "seconds"),
    "stock_out": ("kg",),
    "orders": ("promised", "delivered", "carried"),
    "substituted": ("kg",),
    "customers_left": ("short", "a_week"),
    "not_ordered": ("kg",),
    "market_days": ("wanted", "brought", "asked", "sold", "came_back", "lost"),
    "dried": ("fresh", "kg"),
    "blocks": ("blocks",),
    "block_orders": ("promised", "delivered", "carried"),
    "unboxed": ("blocks",),
    "block_claims": ("failed", "credited", "replaced"),
    "packed_orders": ("kg",),
    "shorts": ("kg", "carried"),
    "rounds": ("people", "crates", "kg", "behind"),
    "capacity": ("amount",),
    "rostered": ("people", "hours"),
    "attended": ("hours", "stayed", "overtime", "paid", "extra", "owned"),
    "inside": ("blocks",),
    "left_over": ("kg",),
}


def whole_lot(record: Record) -> Numbers:
    """The lot each lot is a part of: key/1 belongs to key; a lot that was never split to itself."""
    keys: list[str] = record.tables["lots"]["key"].tolist()
    own = range(len(keys))
    number, wholes = dict(zip(keys, own, strict=True)), [key.rpartition("/")[0] for key in keys]
    return np.array(list(map(number.get, wholes, own)), dtype=np.int64)


def _negative(record: Record, table: str, column: str) -> Iterator[str]:
    amount = record.figures(table, column)
    yield from _culprits(
        amount < 0, lambda at: f"{table}: {column} is {amount[at]:g} in row {at + 1}; it can never be less than 0"
    )


def _over_promise(record: Record, table: str, unit: str) -> Iterator[str]:
    promised, due = record.figures(table, "promised"), record.figures(table, "due")
    given = record.figures(table, "delivered") + record.figures(table, "carried")
    yield from _culprits(
        given > promised + TINY,
        lambda at: (
            f"{table}: {given[at]:g} {unit} delivered or carried over at hour {due[at]:g}, "
            f"but only {promised[at]:g} promised"
        ),
    )


def _too_full(name: str, before: Course, seen: Course, start: float) -> Iterator[str]:
    """Of a place whose course until the start, and from then on, is known."""
    parts = (
        (before, _grew_too_full(before) & (before.when <= start)),
        (seen, _grew_too_full(seen) & (seen.when > start)),
    )
    when, taken, there = (
        np.concatenate([getattr(course, name)[full] for course, full in parts]) for name in ("when", "taken", "there")
    )
    yield from _culprits(
        np.ones(len(when), dtype=np.bool_),
        lambda at: (
            f"{name}: {taken[at] / 1000:g} places taken at hour {when[at]:g}, but there are only {there[at] / 1000:g}"
        ),
    )


def _grew_too_full(seen: Course) -> Flags:
    """Instants after which more is taken than there is, and more than before the instant."""
    if seen.never_short:
        return np.zeros(len(seen.when), dtype=bool)
    taken = seen.taken
    last = np.append(np.diff(seen.when) > 0, True)
    at = np.flatnonzero(last)
    grew = np.zeros(len(taken), dtype=bool)
    grew[at] = np.diff(taken[at], prepend=0.0) > 0
    return grew & (taken > seen.there)


def _culprits(broken: Flags, say: Callable[[int], str]) -> Iterator[str]:
    """The first that broke a rule, and how many more did."""
    found = np.flatnonzero(broken)
    if len(found):
        more = f" (and {len(found) - 1} more)" if len(found) > 1 else ""
        yield say(int(found[0])) + more


def _out_of_order(record: Record, table: str, step: str, following: str) -> Callable[[int], str]:
    def say(at: int) -> str:
        first, then = record.figures(table, step)[at], record.figures(table, following)[at]
        where = (
            record.names.crews[record.numbers(table, "crew")[at]] if table == "tasks" else _place_at(record, table, at)
        )
        said = following.replace("_", " ")
        return f"{where}: {_lot_at(record, table, at)} {said} at hour {then:g}, before it {step} at hour {first:g}"

    return say


def _lot_at(record: Record, table: str, row: int) -> str:
    lot = int(record.numbers(table, "lot")[row])
    return f"lot {record.tables['lots']['key'][lot]}" if lot >= 0 else "a load"


def _place_at(record: Record, table: str, row: int) -> str:
    return record.names.places[int(record.numbers(table, "place")[row])][0]
