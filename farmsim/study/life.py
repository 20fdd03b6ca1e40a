"""The life of one lot, read from the record of a run: what happened to it, when, where, by whom, after which wait.

Times are hours since Monday 00:00 of the farm's first week, negative in the lead-in; weights are kg.
"""

from __future__ import annotations

from collections.abc import Container, Iterator
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from math import isfinite, nan

import numpy as np

from farmsim.record.columns import WHATS
from farmsim.record.tables import Record
from farmsim.study.changes import in_force
from farmsim.study.lot_rows import Row, Seen, Task, rows_of, see, tasks_of

ORDER = (
    *("started", "delivered", "mixed", "steamed", "cooled", "inoculated", "racked", "ripe", "held", "never called"),
    *("called", "cold", "soaked", "unsoaked", "opened", "bad", "shelved", "picked", "flush over", "cleared"),
    *("too old", "sold", "part sold", "sold cheap", "part sold cheap"),
)
"""What can happen to a lot; of what happens at one moment, the one named first here is told first."""
WAITED_FOR = ("booked", "walk-in", "soak tanks", "opening benches", "clean bench", "racks")
"""Kinds of places a lot can be found waiting for at the end of a run."""
STANDS = ("opening benches", "shelf", "soak tanks", "walk-in", "racks", "clean bench", "cooling")
"""Kinds of places a lot can be found in at the end of a run; the first it holds is where it is."""


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to the lot.

    when: when it was done [h]; since: when work on it began [h]
    waited: for the place [h]; hands: then for people [h]; took: work in it, or time spent there [h]
    late: most mornings past the picking window [mornings]; late_kg: of the weight, what was late [kg]
    more: another flush followed, or the same after this
    """

    when: float
    what: str
    where: str = ""
    who: tuple[str, ...] = ()
    blocks: float = 0.0
    waited: float = 0.0
    hands: float = 0.0
    took: float = 0.0
    since: float = nan
    flush: int = 0
    firsts: float = 0.0
    seconds: float = 0.0
    culls: float = 0.0
    late: int = 0
    late_kg: float = 0.0
    more: bool = False

    @property
    def late_share(self) -> float:
        """Of the weight, what was late."""
        return self.late_kg / max(1e-12, self.firsts + self.seconds + self.culls)


@dataclass(frozen=True, slots=True)
class Brought:
    """What a lot has brought [kg]; a_block: what is saleable, by the block, once its life is over [kg/block]."""

    firsts: float
    seconds: float
    culls: float
    saleable: float
    a_block: float | None


@dataclass(frozen=True, slots=True)
class Life:
    """One lot from its start to its end, or to the end of the run.

    first_day: the day on which the clock is 0; end: the end of the run [h]
    part_of: the lot it was taken from, when it is a part that was sold
    blocks_left: blocks at the end of the run, 0 when its life is over [blocks]
    stands, kind: the place where it is at the end, and its kind; waits, asked: the kind it waits for, since when [h]
    """

    key: str
    line: str
    strain: str
    blocks: float
    first_day: date
    end: float
    events: tuple[Event, ...]
    part_of: str = ""
    blocks_left: float = 0.0
    stands: str = ""
    kind: str = ""
    waits: str = ""
    asked: float = nan

    @property
    def waiting(self) -> float:
        """How long it has waited when the run ends [h]."""
        return self.end - self.asked

    @property
    def brought(self) -> Brought | None:
        """What all flushes together have brought; None if it was never picked."""
        picks = [event for event in self.events if event.what == "picked"]
        firsts, seconds = sum(event.firsts for event in picks), sum(event.seconds for event in picks)
        shelved = sum(event.blocks for event in self.events if event.what == "shelved")
        a_block = (firsts + seconds) / shelved if shelved and self.blocks_left <= 0 else None
        culls = sum(event.culls for event in picks)
        return Brought(firsts, seconds, culls, firsts + seconds, a_block) if picks else None


@dataclass(frozen=True, slots=True)
class Choice:
    """A lot one could follow."""

    key: str
    strain: str
    blocks: float
    started: float


def nearest(record: Record, key: str) -> list[str]:
    """Keys of lots that look like the one that was asked for, the nearest first."""
    return get_close_matches(key, record.texts("lots", "key").tolist(), n=4, cutoff=0.5)


def choices(record: Record) -> list[Choice]:
    """One lot of each line, started around the middle; lots that were picked and cleared before others."""
    keys, line = record.texts("lots", "key").tolist(), record.numbers("lots", "line")
    started = record.figures("lots", "started")
    known, over = set(keys), _with_blocks(record, "cleared")
    found = []
    for number in range(len(record.names.lines)):
        lots = [row for row in np.flatnonzero(line == number).tolist() if not _parent(known, keys[row])]
        if not lots:
            continue
        middle = float(np.median([started[row] for row in lots]))
        best = min(lots, key=lambda row: (row not in over, abs(started[row] - middle), row))
        strain = record.names.strains[int(record.numbers("lots", "strain")[best])]
        found.append(Choice(keys[best], strain, float(record.figures("lots", "blocks")[best]), float(started[best])))
    return found


def read_life(record: Record, key: str) -> Life | None:
    """The life of the lot of this key; None when there was no such lot."""
    keys = record.texts("lots", "key").tolist()
    if key not in keys:
        return None
    lot = keys.index(key)
    seen = see(record, lot, key)
    parent = _parent(keys, key)
    events = sorted(_events(seen, parent), key=lambda event: (event.when, ORDER.index(event.what)))
    blocks = float(record.figures("lots", "blocks")[lot])
    left = blocks - sum(event.blocks for event in events if event.what in LESS)
    where = _at_the_end(seen) if left > 0 else ("", "", "", nan)
    line = record.names.lines[int(record.numbers("lots", "line")[lot])]
    strain = record.names.strains[int(record.numbers("lots", "strain")[lot])]
    return Life(key, line, strain, blocks, record.first_day, record.end, tuple(events), parent, left, *where)


LESS = ("bad", "too old", "sold", "part sold", "sold cheap", "part sold cheap", "cleared")
"""Events after which a lot has fewer blocks."""


def _parent(keys: Container[str], key: str) -> str:
    """The key of the lot this one is a part of; parts carry one number more."""
    above = key.rpartition("/")[0]
    return above if above in keys else ""


def _with_blocks(record: Record, what: str) -> set[int]:
    rows = record.numbers("blocks", "what") == WHATS.index(what)
    return set(record.numbers("blocks", "lot")[rows].tolist())


def _events(seen: Seen, parent: str) -> Iterator[Event]:
    if parent:
        yield from _sold(seen)
        return
    yield from _made(seen)
    yield from _ripened(seen)
    yield from _prepared(seen)
    yield from _picked(seen)
    yield from _lost(seen)
    yield from _sold(seen)
    yield from _parts(seen)


def _name(seen: Seen, row: Row) -> str:
    return seen.record.names.places[int(row["place"])][0]


def _room(seen: Seen, booking: Row) -> str:
    """The room a booking is for: bookings are listed in the order of the rooms."""
    places = seen.record.names.places
    booked = [number for number, (_, kind, _) in enumerate(places) if kind == "booked"]
    return seen.record.names.rooms[booked.index(int(booking["place"]))]


def _stay(seen: Seen, what: str, row: Row, flush: int = 0) -> Event:
    """An event told at the moment the lot came in."""
    left = min(row["left"], seen.record.end) if isfinite(row["left"]) else nan
    took = left - row["came"]
    return Event(row["came"], what, _name(seen, row), waited=row["came"] - row["asked"], took=took, flush=flush)


def _done(what: str, task: Task, waited: float = 0.0, when: float | None = None) -> Event:
    """An event told at the moment the work on it was done."""
    ended = task.ended if when is None else when
    hands, since = task.began - task.asked, task.began
    return Event(ended, what, who=task.who, waited=waited, hands=hands, took=task.worked, since=since, flush=task.flush)


def _made(seen: Seen) -> Iterator[Event]:
    record = seen.record
    started, blocks = (float(record.figures("lots", name)[seen.lot]) for name in ("started", "blocks"))
    load = str(record.texts("lots", "load")[seen.lot])
    yield Event(started, "started" if load else "delivered", load, blocks=blocks)
    cooling, bench, rack = seen.first("cooling"), seen.first("clean bench"), seen.first("racks")
    if cooling is not None:
        yield from _steamed(seen, cooling)
        yield Event(cooling["came"], "cooled", _name(seen, cooling), took=cooling["left"] - cooling["came"])
    work = seen.work("inoculate")
    if work and bench is not None and isfinite(bench["ready"]):
        yield _done("inoculated", work[0], bench["came"] - bench["asked"])
    if rack is not None:
        yield _stay(seen, "racked", rack)


def _steamed(seen: Seen, cooling: Row) -> Iterator[Event]:
    """The sterilizer load the lot came from: the one whose cooling was over when this lot's blocks were told apart.

    Two loads that cool down at the same moment cannot be told apart; then nothing is said.
    """
    record = seen.record
    lot, left = record.numbers("stays", "lot"), record.figures("stays", "left")
    same = (lot < 0) & (left == cooling["came"]) & (record.numbers("stays", "place") == int(cooling["place"]))
    loads = np.unique(lot[same]).tolist()
    if len(loads) == 1:
        for task in tasks_of(record, loads[0])[:1]:
            yield _done("mixed", task)
        for row in rows_of(record, "stays", loads[0]):
            if record.names.places[int(row["place"])][1] == "sterilizer":
                yield _stay(seen, "steamed", row)


def _ripened(seen: Seen) -> Iterator[Event]:
    booked, rack = [row for row in seen.stays.get("booked", []) if isfinite(row["came"])], seen.first("racks")
    if rack is not None and isfinite(rack["ready"]) and not _ended_at(seen, rack["ready"]):
        wait = booked[0]["came"] - rack["ready"] if booked else nan
        yield Event(rack["ready"], "ripe", _name(seen, rack), took=rack["ready"] - rack["came"], waited=wait)
    for row in booked:
        ask = row["asked"] if row is not booked[0] or rack is None else rack["ready"]
        yield Event(row["came"], "called", _room(seen, row), waited=row["came"] - ask)
    for row in rows_of(seen.record, "waits", seen.lot):
        if seen.record.names.places[int(row["place"])][1] == "booked":
            yield Event(row["given_up"], "never called", waited=row["given_up"] - row["asked"])


def _ended_at(seen: Seen, when: float) -> bool:
    """Whether the lot was thrown out on the rack just then, which is no ripening."""
    lost = [*seen.blocks.get("contaminated", []), *seen.blocks.get("too old", [])]
    rack = seen.first("racks")
    return rack is not None and rack["left"] == when and any(row["when"] == when for row in lost)


def _prepared(seen: Seen) -> Iterator[Event]:
    for row in seen.stays.get("walk-in", []):
        if isfinite(row["came"]):
            yield _stay(seen, "held" if row["ready"] == row["came"] else "cold", row)
    for flush in sorted({task.flush for task in seen.work("soak")}):
        work, tank = seen.work("soak", flush), seen.first("soak tanks", flush)
        yield _done("soaked", work[0], tank["came"] - tank["asked"] if tank is not None else 0.0)
        for task in work[1:]:
            yield replace(_done("unsoaked", task), took=task.began - work[0].ended)
    bench, shelf = seen.first("opening benches"), seen.first("shelf")
    for task in seen.work("open"):
        if bench is not None and isfinite(bench["left"]):
            yield _done("opened", task, bench["came"] - bench["asked"], bench["left"])
    for row in seen.blocks.get("opened", []):
        yield Event(row["when"], "shelved", _name(seen, shelf) if shelf is not None else "", blocks=row["blocks"])


def _picked(seen: Seen) -> Iterator[Event]:
    rows = rows_of(seen.record, "picks", seen.lot)
    shelf = seen.first("shelf")
    spent = shelf is not None and isfinite(shelf["ready"])
    later = [row["flush"] for rows in seen.stays.values() for row in rows] + [row["flush"] for row in rows]
    last = int(max(later, default=0))
    for flush in sorted({int(row["flush"]) for row in rows}):
        picks = [row for row in rows if row["flush"] == flush]
        for when in sorted({row["when"] for row in picks}):
            yield _sum(seen, [row for row in picks if row["when"] == when], "picked")
        if flush < last or spent:
            total = _sum(seen, picks, "flush over")
            yield replace(total, more=flush < last, took=_rest(seen, total.when) if flush < last else 0.0)


def _rest(seen: Seen, when: float) -> float:
    """Rest between flushes by the state of the farm in force when a flush is over [h]."""
    if seen.record.farm is None:
        return 0.0
    farm = in_force(seen.record.farm, when)
    name = seen.record.names.strains[int(seen.record.numbers("lots", "strain")[seen.lot])]
    return farm.strain[name].flushes.rest if name in farm.strain else 0.0


def _sum(seen: Seen, rows: list[Row], what: str) -> Event:
    """Picks added up."""
    firsts, seconds, culls = (sum(row[grade] for row in rows) for grade in ("firsts", "seconds", "culls"))
    late = [row for row in rows if row["late"] > 0]
    late_kg = sum(row["firsts"] + row["seconds"] + row["culls"] for row in late)
    most = int(max((row["late"] for row in late), default=0))
    when, flush, room = max(row["when"] for row in rows), int(rows[0]["flush"]), int(rows[0]["room"])
    where = seen.record.names.rooms[room] if room >= 0 else ""
    picked = Event(when, what, where, flush=flush, firsts=firsts, seconds=seconds, culls=culls)
    return replace(picked, late=most, late_kg=late_kg)


def _lost(seen: Seen) -> Iterator[Event]:
    bench = seen.first("opening benches")
    opened = bench["left"] if bench is not None else nan
    for row in seen.blocks.get("contaminated", []):
        where = "bench" if row["when"] == opened else "racks"
        yield Event(row["when"], "bad", where, blocks=row["blocks"])
    for row in seen.blocks.get("too old", []):
        yield Event(row["when"], "too old", blocks=row["blocks"])
    for row in seen.blocks.get("cleared", []):
        work = seen.work("clear")
        done = _done("cleared", work[0], when=row["when"]) if work else Event(row["when"], "cleared")
        yield replace(done, blocks=row["blocks"])


def _sold(seen: Seen, part: str = "", key: str = "") -> Iterator[Event]:
    names = seen.record.names.block_customers
    for what in ("sold", "sold cheap"):
        for row in seen.blocks.get(what, []):
            who = (names[int(row["customer"])],) if row["customer"] >= 0 else ()
            yield Event(row["when"], part + what, key, who, row["blocks"])


def _parts(seen: Seen) -> Iterator[Event]:
    """Parts sold off the lot; each is a lot of its own in the record."""
    keys = seen.record.texts("lots", "key").tolist()
    for number, key in enumerate(keys):
        if key.startswith(f"{seen.key}/"):
            yield from _sold(see(seen.record, number, key), "part ", key)


def _at_the_end(seen: Seen) -> tuple[str, str, str, float]:
    """Where a lot is when the run ends and the kind of that place, the kind of place it waits for, and since when."""
    standing = {
        kind: row
        for kind, rows in seen.stays.items()
        for row in rows
        if isfinite(row["came"]) and not isfinite(row["left"])
    }
    kind = next((kind for kind in STANDS if kind in standing), "")
    stands = _name(seen, standing[kind]) if kind else ""
    for waits in WAITED_FOR:
        for row in seen.stays.get(waits, []):
            if not isfinite(row["came"]):
                return stands, kind, waits, row["asked"]
    return stands, kind, "", nan
