"""How large the places and crews of a new farm are: what the averages need, and some room for uneven weeks.

A first draft of the farm has room for everything; by Little's law it tells what every place and crew needs, and what
was not answered is then sized so that it is about four fifths full on average.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from farmsim.errors import QuantityFault
from farmsim.scenario import averages
from farmsim.scenario.answer_forms import IN_THE_BAG, soaked
from farmsim.scenario.answers import Answers
from farmsim.scenario.crews import CREWS, SHARED_BY, CrewShape
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import flow
from farmsim.scenario.say import days_said
from farmsim.scenario.strain_page import of_sheet, slug
from farmsim.scenario.values import DAYS, Range
from farmsim.units import HOURS_A_WEEK, System, show

FULL: Final = 0.85  # of racks and shelf places, and some more on top
BUSY: Final = 0.80  # of people, benches and sterilizers
WALK_IN: Final = 0.55  # on average, since it is fullest before a delivery
WAIT: Final = 0.5  # weeks for which ripe blocks may wait for a shelf; those that are sold wait a week for their day
SOAKED: Final = 0.60  # of tank nights: lots come when shelves fall free, not evenly
ROOMY: Final = 1_000_000  # places of a draft, on which nothing depends
MANY: Final = 10_000
USUAL_LOT, LARGE_LOT = 50, 100  # most blocks on one cart
LOTS_FOR_IT = 4  # the large cart only if every strain fills so many a week
SMALLEST = 0.6  # of the most: carts are made smaller than could be if they are fuller then
ROUND_NUMBER = 0.04  # how much less full they may be for a number that is easily remembered
LARGEST_LOAD, LARGEST_ROOM, MOST_ROOMS = 600, 3_000, 8  # rooms at one temperature
STARTS_A_WEEK: Final = 10  # loads a week, shared out over the strains by their blocks
LEAST_RANGE: Final = 2.0  # degC: what a room's temperatures may well vary by
CYCLE: Final = 9.0  # hours of a sterilizer load
CRATES_A_BLOCK: Final = 0.6


@dataclass(frozen=True, slots=True)
class Line:
    """Blocks of one strain started every week."""

    like: str
    blocks: int
    days: tuple[str, ...]

    @property
    def strain(self) -> str:
        """Its name as a key."""
        return slug(self.like)


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperatures that suit some strains together [degC]."""

    range: Range
    strains: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RoomSize:
    """A fruiting room."""

    name: str
    holds: int
    range: Range


@dataclass(frozen=True, slots=True)
class CrewSize:
    """A crew and its people."""

    shape: CrewShape
    people: int
    days: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sizes:
    """Everything about a new farm that is a number of places or people."""

    lot: int
    lines: tuple[Line, ...]
    rooms: tuple[RoomSize, ...]
    crews: tuple[CrewSize, ...]
    load: int
    sterilizers: int = MANY
    benches: int = MANY
    racks: int = ROOMY
    tanks: int = MANY
    crates: int = ROOMY
    opening: int = MANY


# --- what follows from the answers alone --------------------------------------------------------------------


def roomy(answers: Answers, crews: int) -> Sizes:
    """A draft with room for everything, and so many crews.

    Goes wrong when a strain gets no whole block, or no night lies between two days of those who soak: QuantityFault.
    """
    blocks = shared_out(answers.blocks, list(answers.strains.values()))
    lot = _lot(answers, blocks)
    lines = _lines(answers, blocks, lot)
    largest = max(math.ceil(line.blocks / len(line.days)) for line in lines)
    load = lot * max(1, math.ceil(min(largest, LARGEST_LOAD) / lot))
    rooms = tuple(RoomSize(f"Room {at}", ROOMY, warmth.range) for at, warmth in enumerate(warmths(answers), 1))
    shapes = CREWS[answers.made][crews - 1]
    sizes = tuple(CrewSize(shape, MANY, _days_of(shape, answers)) for shape in shapes)
    _see_that_tanks_can_be_emptied(answers, sizes)
    return Sizes(lot, lines, rooms, sizes, load)


def _see_that_tanks_can_be_emptied(answers: Answers, crews: Sequence[CrewSize]) -> None:
    if answers.soak == IN_THE_BAG or not any(soaked(like) for like in answers.strains):
        return
    days = {day for crew in crews if "soak" in crew.shape.duties for day in crew.days}
    if not any(day in days and DAYS[(at + 1) % len(DAYS)] in days for at, day in enumerate(DAYS)):
        found = f"those who soak come on {days_said(sorted(days, key=DAYS.index))}"
        mend = "Add a day beside one of them."
        raise QuantityFault(found, "needs two days in a row: tanks are left overnight", mend, ("work_days",))


def shared_out(whole: int, shares: Sequence[float]) -> list[int]:
    """Whole blocks by shares that add up to 1, the largest fractions rounded up."""
    exact = [whole * share for share in shares]
    counts = [math.floor(each + 1e-9) for each in exact]
    rest = sorted(range(len(exact)), key=lambda at: counts[at] - exact[at])
    for at in rest[: whole - sum(counts)]:
        counts[at] += 1
    return counts


def _lot(answers: Answers, blocks: Sequence[int]) -> int:
    """Blocks on one cart: as many as every strain can fill and every room can take, the carts as full as can be.

    A cart that is not full takes a whole soak tank all the same.
    """
    fewest = min(blocks)
    if fewest < 1:
        likes = [like for like, count in zip(answers.strains, blocks, strict=True) if count < 1]
        found = f"of {show(answers.blocks, 'blocks')} a week none is left for {likes[0]}"
        mend = "Start more blocks or fewer strains."
        raise QuantityFault(found, "needs at least one block of each strain", mend, ("strains",))
    largest = LARGE_LOT if fewest >= LARGE_LOT * LOTS_FOR_IT else USUAL_LOT
    most = min(fewest, largest, *(holds for _, holds in answers.rooms or ()))
    sizes = range(max(1, math.ceil(most * SMALLEST)), most + 1)
    return max(sizes, key=lambda lot: (_fill(answers, blocks, lot) + ROUND_NUMBER * (lot % 5 == 0), lot))


def _fill(answers: Answers, blocks: Sequence[int], lot: int) -> float:
    """How full the carts of a week are with lots of this size [1]."""
    times = [_times(answers, count, lot) for count in blocks]
    carts = sum(_carts(count, each, lot) for count, each in zip(blocks, times, strict=True))
    return sum(blocks) / (carts * lot)


def _carts(blocks: int, times: int, lot: int) -> int:
    """Carts that a week's blocks take when they are started on so many days."""
    each, over = divmod(blocks, times)
    return over * math.ceil((each + 1) / lot) + (times - over) * math.ceil(each / lot)


def _times(answers: Answers, blocks: int, lot: int) -> int:
    """On how many days of the week a strain is started: so that carts are full, and about ten loads are made in all."""
    deserved = max(1, min(len(answers.work_days), round(STARTS_A_WEEK * blocks / answers.blocks)))
    most = min(len(answers.work_days), deserved + 1, blocks)
    return min(range(1, most + 1), key=lambda times: (_carts(blocks, times, lot), abs(times - deserved)))


def _lines(answers: Answers, blocks: Sequence[int], lot: int) -> tuple[Line, ...]:
    """Each strain on some of the working days, every day as full as the others."""
    full = dict.fromkeys(answers.work_days, 0.0)
    lines = []
    for like, count in zip(answers.strains, blocks, strict=True):
        times = _times(answers, count, lot)
        days = sorted(full, key=lambda day: (full[day], DAYS.index(day)))[:times]
        for day in days:
            full[day] += count / times
        lines.append(Line(like, count, tuple(sorted(days, key=DAYS.index))))
    return tuple(lines)


def _days_of(shape: CrewShape, answers: Answers) -> tuple[str, ...]:
    wanted = {
        "work": answers.work_days,
        "pick": answers.pick_days,
        "both": (*answers.work_days, *answers.pick_days),
    }[shape.comes]
    return tuple(day for day in DAYS if day in wanted)


def warmths(answers: Answers) -> list[Warmth]:
    """As few temperatures as suit all strains, the coolest first."""
    ranges = {slug(like): of_sheet(like).range for like in answers.strains}
    left = sorted(ranges, key=lambda name: (ranges[name].high, ranges[name].low))
    found = []
    while left:
        shared, together = ranges[left[0]], [left[0]]
        for name in left[1:]:
            both = Range(max(shared.low, ranges[name].low), min(shared.high, ranges[name].high))
            if both.high - both.low >= LEAST_RANGE:
                shared = both
                together.append(name)
        found.append(Warmth(shared, tuple(together)))
        left = [name for name in left if name not in together]
    return found


# --- what follows from the draft ----------------------------------------------------------------------------


def crews_wanted(answers: Answers, draft: Farm) -> int:
    """How many crews share the work: as many as answered, else more the more work there is."""
    if answers.people is not None:
        return len(answers.people)
    each = averages.crew_hours(draft.crew[0]) / draft.crew[0].people
    people = sum(averages.duty_hours(draft).values()) / (each * BUSY)
    most = len(CREWS[answers.made])
    return min(most, 1 + sum(people > shared for shared in SHARED_BY))


def worked_out(answers: Answers, sizes: Sizes, draft: Farm) -> Sizes:
    """The sizes of a draft with room for everything, brought down to what its averages need.

    Goes wrong when there are fewer rooms than temperatures that are needed: QuantityFault.
    """
    hours = averages.duty_hours(draft)
    return Sizes(
        lot=sizes.lot,
        lines=sizes.lines,
        rooms=_rooms(answers, sizes.lot, draft),
        crews=_crews(answers, sizes.crews, draft),
        load=sizes.load,
        sterilizers=_at_least_one(averages.loads_a_week(draft) * CYCLE / (HOURS_A_WEEK * BUSY)),
        benches=_at_least_one(_use(hours["inoculate"], averages.open_hours(draft, "inoculate"))),
        racks=_tens(averages.rack_need(draft) / FULL + answers.blocks * (WAIT + answers.sold) + 2 * sizes.lot),
        tanks=answers.soak if isinstance(answers.soak, int) else _tanks(sizes, draft),
        crates=answers.walk_in if answers.walk_in is not None else _crates(sizes.lot, draft),
        opening=_at_least_one(_use(hours["open"], averages.open_hours(draft, "open"))),
    )


def _use(need: float, have: float) -> float:
    """How many of a thing are wanted that is there for so many hours; 1 when nobody ever is: that is told elsewhere."""
    return need / (have * BUSY) if have > 0 else 1.0


def _at_least_one(wanted: float) -> int:
    return max(1, math.ceil(wanted - 1e-9))


def _tens(wanted: float) -> int:
    return 10 * _at_least_one(wanted / 10)


def _tanks(sizes: Sizes, draft: Farm) -> int:
    """Soak tanks, each of which takes one cart a night, full or not."""
    soaks, nights = 0.0, averages.soaking_nights(draft)
    for line in sizes.lines:
        fruited = flow(draft, line.strain).fruited
        times = averages.soaks_a_week(draft, line.strain) / fruited if fruited else 0.0
        soaks += times * _carts(line.blocks, len(line.days), sizes.lot)
    return _at_least_one(soaks / (nights * SOAKED) if nights else 1.0)


def _crates(lot: int, draft: Farm) -> int:
    """Crate places: room for what is there on average, and for one lot in cold shock beside a full crate of each strain."""
    need = sum(need.need for need in averages.walk_in_needs(draft))
    shocked = any(strain.cold_shock is not None for strain in draft.strain.values())
    return _tens(max(need / WALK_IN, 2 * CRATES_A_BLOCK * lot * shocked + len(draft.strain)))


def _crews(answers: Answers, crews: Sequence[CrewSize], draft: Farm) -> tuple[CrewSize, ...]:
    sized = []
    for at, (crew, need) in enumerate(zip(crews, averages.crew_needs(draft), strict=True)):
        each = averages.crew_hours(draft.crew[at]) / draft.crew[at].people
        people = answers.people[at] if answers.people is not None else _at_least_one(_use(need.need, each))
        sized.append(CrewSize(crew.shape, people, crew.days))
    return tuple(sized)


def _rooms(answers: Answers, lot: int, draft: Farm) -> tuple[RoomSize, ...]:
    suited = warmths(answers)
    needs = [sum(averages.shelf_places(draft, name) for name in warmth.strains) for warmth in suited]
    if answers.rooms is not None:
        return _given_rooms(answers.rooms, suited, needs, answers.units)
    rooms = []
    for warmth, need, title in zip(suited, needs, _titles(len(suited)), strict=True):
        wanted = need / FULL + lot
        many = min(MOST_ROOMS, _at_least_one(wanted / LARGEST_ROOM))
        names = [title] if many == 1 else [f"{title} {at}" for at in range(1, many + 1)]
        rooms += [RoomSize(name, _tens(wanted / many), warmth.range) for name in names]
    return tuple(rooms)


def _titles(many: int) -> list[str]:
    named: Mapping[int, list[str]] = {1: ["Main"], 2: ["Cool", "Warm"], 3: ["Cool", "Mild", "Warm"]}
    return named.get(many) or [f"Room {chr(ord('A') + at)}" for at in range(many)]


def _given_rooms(
    given: Sequence[tuple[str, int]], suited: Sequence[Warmth], needs: Sequence[float], system: System
) -> tuple[RoomSize, ...]:
    """The farm's own rooms, the largest for the strains that need most; those left over go where most is wanting."""
    if len(given) < len(suited):
        groups = "; ".join(_told(warmth, system) for warmth in suited)
        found = f"{len(given)} for strains that need {len(suited)} temperatures ({groups})"
        mend = "Name more rooms, or grow fewer strains."
        raise QuantityFault(found, f"needs at least {len(suited)} rooms", mend, ("rooms",))
    have, kept = [0.0] * len(suited), {}
    for name, holds in sorted(given, key=lambda room: -room[1]):
        at = max(range(len(suited)), key=lambda at: (have[at] == 0, needs[at] - have[at]))
        have[at] += holds
        kept[name] = suited[at].range
    return tuple(RoomSize(name, holds, kept[name]) for name, holds in given)


def _told(warmth: Warmth, system: System) -> str:
    low, high = (show(each, "degC", system, digits=3) for each in (warmth.range.low, warmth.range.high))
    return f"{low.split(' ')[0]} to {high}: {', '.join(warmth.strains)}"
