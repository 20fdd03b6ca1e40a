"""Who stood where and who asked for what, place by place: the journal's stays made ready for `course`."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from farmsim.record.measures.course import FOREVER, NOTHING, Asks, Course, Holds, Steps, course, usual_of
from farmsim.record.measures.cuts import added
from farmsim.record.tables import Figures, Flags, Numbers, Record, once

BOOKED = "booked"
SHELF = "shelf"
NOBODY_ASKS = Asks(NOTHING, NOTHING, NOTHING)


class Standing(NamedTuple):
    """All holds and asks of a record, each with its place; sorted by place."""

    place: Numbers
    holds: Holds
    asks_place: Numbers
    asks: Asks


def courses(
    record: Record, since: float = -FOREVER, until: float = FOREVER, taken_only: bool = False
) -> dict[int, Course]:
    """The course of every place, by its number; promised shelf places are part of the course of their room.

    since, until: between which it must be right; what was over before or came later is left out [h]
    taken_only: only how much is taken and there, which takes less time: nobody waits and nobody is done
    """
    standing = read_standing(record, since, until)
    booked_of = _booked_of(record)
    found = {}
    for number in range(len(record.names.places)):
        if number not in booked_of.values():
            booked = booked_of.get(number, -1)
            holds = _holds_of(standing, number)
            promised, there = _holds_of(standing, booked), capacity(record, number)
            if taken_only:
                found[number] = course(holds._replace(ready=holds.left), promised, there, NOBODY_ASKS)
            else:
                found[number] = course(holds, promised, there, _asks_of(standing, number, holds))
    return found


def courses_measured(record: Record) -> dict[int, Course]:
    """The course of every place, right in the measured time; worked out once for the record."""
    if record.cut.courses is None:
        record.cut.courses = courses(record, record.start, record.end)
    return record.cut.courses


def courses_before(record: Record) -> dict[int, Course]:
    """The course of every place until the measured time begins: how much was taken and there."""
    return courses(record, until=record.start, taken_only=True)


def read_standing(record: Record, since: float, until: float = FOREVER) -> Standing:
    """Holds and asks from stays, from parts given back before, and from places asked for and never taken."""
    place, holds, asks_place, asks = _standing(record)
    rows = np.flatnonzero((holds.left > since) & (holds.came <= until))
    turn = np.flatnonzero((asks.until > since) & (asks.asked <= until))
    return Standing(
        place[rows], Holds(*(part[rows] for part in holds)), asks_place[turn], Asks(*(part[turn] for part in asks))
    )


@once
def _standing(record: Record) -> Standing:
    """All there ever were."""
    of_freed = stay_of_freed(record)
    place, holds = _all_holds(record, of_freed)
    asks_place, asks = _all_asks(record, of_freed)
    rows, turn = (np.argsort(each.astype(np.int16), kind="stable") for each in (place, asks_place))
    edges = np.searchsorted(asks_place[turn], np.arange(len(record.names.places) + 1))
    for first, last in pairwise(edges.tolist()):  # by who was first, which then is soon found in whatever is cut out
        at = turn[first:last]
        turn[first:last] = at[np.lexsort((asks.until[at], asks.asked[at]))]
    return Standing(
        place[rows], Holds(*(part[rows] for part in holds)), asks_place[turn], Asks(*(part[turn] for part in asks))
    )


@once
def capacity(record: Record, place: int) -> Steps:
    """Places there are, as steps."""
    rows = np.flatnonzero(record.numbers("capacity", "place") == place)
    rows = rows[np.argsort(record.figures("capacity", "when")[rows], kind="stable")]
    amount = record.figures("capacity", "amount")[rows]
    return Steps(record.figures("capacity", "when")[rows], np.diff(amount, prepend=0.0))


@once
def stay_of_freed(record: Record) -> Numbers:
    """Row in "stays" of the stay each row of "freed" gave part of back: the one that ends next; -1 if there is none."""
    places = len(record.names.places) + 1
    of_stay = (record.numbers("stays", "lot") + 1) * places + record.numbers("stays", "place")
    of_freed = (record.numbers("freed", "lot") + 1) * places + record.numbers("freed", "place")
    rows = np.flatnonzero(_is_among(of_stay, of_freed))
    left = _or_never(record.figures("stays", "left")[rows])
    found = _next_of_same(of_freed, record.figures("freed", "when"), of_stay[rows], left)
    return np.append(rows, -1)[found]


def _is_among(keys: Numbers, wanted: Numbers) -> Flags:
    """Which of the keys are among those wanted. The keys lie close together, so they are looked up in a table."""
    if not len(keys) or not len(wanted):
        return np.zeros(len(keys), dtype=np.bool_)
    low = min(int(keys.min()), int(wanted.min()))
    table = np.zeros(max(int(keys.max()), int(wanted.max())) - low + 1, dtype=np.bool_)
    table[wanted - low] = True
    return table[keys - low]


def _next_of_same(key: Numbers, when: Figures, of_key: Numbers, of_when: Figures) -> Numbers:
    """For each moment of a key, the row of the first other moment of that key that is not before it; -1 for none."""
    is_other = np.arange(len(key) + len(of_key)) >= len(key)
    mixed = np.lexsort((is_other, np.concatenate([when, of_when]), np.concatenate([key, of_key])))
    others_before = np.empty(len(mixed), dtype=np.int64)
    others_before[mixed] = np.cumsum(is_other[mixed])
    in_turn = np.append(np.lexsort((of_when, of_key)), -1)
    found = in_turn[others_before[: len(key)]]
    return np.where(np.append(of_key, -1)[found] == key, found, -1)


def _all_holds(record: Record, of: Numbers) -> tuple[Numbers, Holds]:
    """Every stay, and every part of one given back as a stay of its own that ended then."""
    came, amount = record.figures("stays", "came"), record.figures("stays", "amount")
    ready, left = _or_never(record.figures("stays", "ready")), _or_never(record.figures("stays", "left"))
    part = np.flatnonzero(of >= 0)
    whole = np.flatnonzero((came == came) & (amount > 0))
    rows = np.concatenate([whole, of[part]])
    holds = Holds(
        came[rows],
        ready[rows],
        np.concatenate([left[whole], record.figures("freed", "when")[part]]),
        np.concatenate([amount[whole], record.figures("freed", "amount")[part]]),
    )
    return record.numbers("stays", "place")[rows], holds


def _all_asks(record: Record, of: Numbers) -> tuple[Numbers, Asks]:
    """Lots that did not come at once, with what they wanted; of one that gave up it is not known (not a number)."""
    asked, came = record.figures("stays", "asked"), _or_never(record.figures("stays", "came"))
    late = came_late(record)
    part = np.flatnonzero(of >= 0)
    given = added(of[part], record.figures("freed", "amount")[part], len(asked))
    gave_up = record.figures("waits", "given_up")
    asks = Asks(
        np.concatenate([asked[late], record.figures("waits", "asked")]),
        np.concatenate([came[late], gave_up]),
        np.concatenate([(record.figures("stays", "amount") + given)[late], np.full(len(gave_up), np.nan)]),
    )
    place = np.concatenate([record.numbers("stays", "place")[late], record.numbers("waits", "place")])
    lot = np.concatenate([record.numbers("stays", "lot")[late], record.numbers("waits", "lot")])
    return _at_every_room(record, place, lot, asks)


@once
def came_late(record: Record) -> Numbers:
    """Rows of "stays" of those that did not come at once or still ask.

    A lot that has booked its shelf is left out there: there is room for it, it waits for a bench.
    """
    lot, place = record.numbers("stays", "lot"), record.numbers("stays", "place")
    late = _or_never(record.figures("stays", "came")) > record.figures("stays", "asked")
    kinds = np.array([kind for _, kind, _ in record.names.places])
    has_booked = np.zeros(len(record.tables["lots"]["key"]) + 1, dtype=bool)
    has_booked[np.maximum(lot[np.isin(place, np.flatnonzero(kinds == BOOKED))], -1)] = True
    has_booked[-1] = False
    at_shelf = np.isin(place, np.flatnonzero(kinds == SHELF))
    return np.flatnonzero(late & ~(at_shelf & has_booked[np.maximum(lot, -1)]))


def _at_every_room(record: Record, place: Numbers, lot: Numbers, asks: Asks) -> tuple[Numbers, Asks]:
    """Repeat what waits for a shelf at all rooms that took the strain; who asks to book a shelf asks for the shelf."""
    rooms = [number for number, (_, kind, _) in enumerate(record.names.places) if kind == SHELF]
    if not len(place) or not rooms:
        return place, asks
    strain, lot = np.append(record.numbers("lots", "strain"), -1), np.maximum(lot, -1)
    shelf = to_shelf(record)
    place = shelf[place]
    takes = np.zeros((len(record.names.strains) + 1, len(record.names.places)), dtype=bool)
    takes[strain[np.maximum(record.numbers("stays", "lot"), -1)], shelf[record.numbers("stays", "place")]] = True
    for_shelf = np.isin(place, rooms)
    places, rows = [place], [np.arange(len(place))]
    for room in rooms:
        also = np.flatnonzero(for_shelf & (place != room) & takes[strain[lot], room])
        places.append(np.full(len(also), room))
        rows.append(also)
    chosen = np.concatenate(rows)
    return np.concatenate(places), Asks(*(part[chosen] for part in asks))


@once
def to_shelf(record: Record) -> Numbers:
    """Every place's own number, but a booked place has that of its shelf."""
    shelf_of = {booked: shelf for shelf, booked in _booked_of(record).items()}
    return np.array([shelf_of.get(number, number) for number in range(len(record.names.places))], dtype=np.int64)


@once
def _booked_of(record: Record) -> dict[int, int]:
    """Which place counts the promised shelf places of which room."""
    kinds = [kind for _, kind, _ in record.names.places]
    shelves = [number for number, kind in enumerate(kinds) if kind == SHELF]
    booked = [number for number, kind in enumerate(kinds) if kind == BOOKED]
    return dict(zip(shelves, booked, strict=False))


def _holds_of(standing: Standing, place: int) -> Holds:
    first, last = np.searchsorted(standing.place, (place, place + 1))
    return Holds(*(part[first:last] for part in standing.holds))


def _asks_of(standing: Standing, place: int, holds: Holds) -> Asks:
    """What was asked for here; a lot that gave up is taken to have wanted what a lot usually takes."""
    first, last = np.searchsorted(standing.asks_place, (place, place + 1))
    asks = Asks(*(part[first:last] for part in standing.asks))
    usual = usual_of(holds.amount, 1.0) if np.isnan(asks.amount).any() else 1.0
    return asks._replace(amount=np.where(np.isnan(asks.amount), usual, asks.amount))


def _or_never(when: Figures) -> Figures:
    """Times, with those that have not come set to never."""
    return np.where(np.isnan(when), FOREVER, when)
