"""What stands on the farm at a Monday 00:00, as plain data: listed at the end of one run, and another begins from it.

The list holds everything that the next hour depends on: lots with the step they are in and since when, loads, crates,
what is picked and not packed, tasks not done, orders known and not delivered, rooms being emptied. Luck is not in it:
it is found by name. With the same luck the rest of the journal is the same as if the run had gone on.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from farmsim.errors import FarmsimError
from farmsim.model.boxes import ToBox
from farmsim.model.calendar import WEEK
from farmsim.model.heaps import Picked
from farmsim.model.looker import Looker
from farmsim.model.lot import Crates, Load, Lot, Memory, Traveller
from farmsim.model.promised import Piece
from farmsim.model.site import Site
from farmsim.model.stages import chill, chores, clear_out, deliver, fruit, make_blocks, outlet, sell_blocks
from farmsim.model.steps import walk
from farmsim.model.stock import Key as StockKey
from farmsim.model.stock import Parcel
from farmsim.model.to_order import Key, Part, ToPack
from farmsim.model.work import Task

_OF_A_LOT = (
    "at", "since", "flush", "rank", "blocks", "top", "parts", "load", "bad", "colonised_at", "ripe_at", "is_overripe",
    "overripe", "filled", "room", "vigour", "shelved", "crop", "ripe", "mornings", "look",
)  # fmt: skip


class Held(NamedTuple):
    """A stay: in which place (its number), how much, and its hours."""

    place: int
    amount: int
    asked: float
    came: float
    ready: float


@dataclass(frozen=True)
class Stands:
    """A lot, a load or crates: who it is, what it keeps, what it waits for."""

    key: str
    started: float
    held: Mapping[str, Held]
    waits: Memory | None
    state: Mapping[str, object] = field(default_factory=dict)
    line: str = ""
    strain: str = ""
    monday: int = 0
    position: int = 0
    is_ripe: bool = False
    lots: tuple[Stands, ...] = ()
    parcel: tuple[StockKey, float, float, float, str, int] | None = None  # key, kg, picked, dies, strain, grade
    life: tuple[float, float | None] = (0.0, None)  # since when, and how long it could be kept from then on


class OrderToPack(NamedTuple):
    """An order that is packed to order, and what of which crates (by the key of their parcel) is packed for it [kg]."""

    key: Key
    form: str
    wanted: float
    leaves: float
    since: float
    turn: tuple[float, ...]
    parts: tuple[tuple[StockKey, float], ...]


@dataclass(frozen=True)
class Standing:
    """Everything on the farm at one moment."""

    when: float
    lots: tuple[Stands, ...]
    loads: tuple[Stands, ...]
    crates: tuple[Stands, ...]
    unpacked: tuple[tuple[str, float, float, float], ...]  # strain, when it was picked, firsts, seconds
    chilled_until: float
    inspections: tuple[tuple[tuple[str, ...], Memory], ...]
    cleaning: Mapping[int, Memory]
    chores: Mapping[str, Memory]
    room_due: Mapping[int, float]
    room_closed: Mapping[int, str]
    block_orders: Mapping[tuple[int, float], Mapping[str, tuple[Piece, ...]]]
    owed_blocks: Mapping[tuple[int, str], int]
    boxed: Mapping[tuple[int, str], int]
    to_box: tuple[ToBox, ...]
    carried: Mapping[tuple[int, float], Mapping[str, float]]
    short_in_a_row: Mapping[int, int]
    gone: Mapping[int, float]
    drying: Mapping[str, Memory]
    to_pack: tuple[OrderToPack, ...] = ()


# --- listing --------------------------------------------------------------------------------------------------------


def list_standing(site: Site) -> Standing:
    """List what stands on the farm now. Goes wrong when it is no Monday 00:00, or somebody is at work."""
    now = site.desk.now
    if now % WEEK != 0.0:
        raise FarmsimError(f"The farm can be listed on a Monday at 00:00 only; it is hour {now:g}. Choose a Monday.")
    at_work = [crew.name for crew in site.people.crews if crew.busy or (crew.shift and crew.shift.end > now)]
    if at_work:
        raise FarmsimError(
            f"The farm can be listed only while nobody is at work; on Monday at 00:00 there are {', '.join(at_work)}. "
            "Let their Sunday shift end by midnight."
        )
    waiting = sorted(trip.name for trip in site.trips.under_way)
    if waiting:
        raise FarmsimError(
            f"The farm can be listed only while no round waits to leave; on Monday at 00:00 there waits "
            f"{', '.join(waiting)}. Choose another Monday."
        )
    tasks = {task.lot: task for duty in site.people.duty.values() for task in (*duty.queue, *duty.in_hand)}
    return Standing(
        when=now,
        lots=tuple(_lot(site, lot, tasks) for lot in site.lots.values()),
        loads=tuple(_load(site, load, tasks) for load in site.loads.values()),
        crates=tuple(_crates(crates) for crates in site.crates.values()),
        unpacked=tuple(picked.told() for picked in site.unpacked.waiting),
        chilled_until=site.chilled_until,
        inspections=tuple(
            (tuple(lot.key for lot in looker.group), _of_task(tasks[looker])) for looker in site.inspections
        ),
        cleaning={number: _of_task(tasks[cleaner]) for number, cleaner in site.cleaners.items()},
        chores={key: _of_task(tasks[doer]) for key, doer in site.chores.items()},
        room_due=dict(site.room_due),
        room_closed=dict(site.room_closed),
        block_orders={
            key: {strain: tuple(pieces) for strain, pieces in orders.items()}
            for key, orders in site.block_orders.items()
        },
        owed_blocks=dict(site.owed_blocks),
        boxed=dict(site.boxed),
        to_box=tuple(site.to_box),
        carried={key: dict(short) for key, short in site.carried.items()},
        short_in_a_row=dict(site.short_in_a_row),
        gone=dict(site.gone),
        drying={key: _of_task(tasks[doer]) for key, doer in site.drying.items()},
        to_pack=tuple(_to_pack(order) for order in site.to_pack.known.values()),
    )


def _held(traveller: Traveller) -> dict[str, Held]:
    return {
        purpose: Held(stay.place.index, stay.amount, stay.asked, stay.came, stay.ready)
        for purpose, stay in traveller.stays.items()
    }


def _of_task(task: Task) -> Memory:
    return Memory(task.asked, task.left, task.in_hand)


def _waits(traveller: Traveller, tasks: Mapping[Traveller, Task]) -> Memory | None:
    if traveller.request is not None:
        return Memory(traveller.request.asked)
    return _of_task(tasks[traveller]) if traveller in tasks else None


def _lot(site: Site, lot: Lot, tasks: Mapping[Traveller, Task]) -> Stands:
    state = {name: _copied(getattr(lot, name)) for name in _OF_A_LOT}
    is_ripe = lot in site.ripe.lots[lot.strain]
    return Stands(
        lot.key, lot.started, _held(lot), _waits(lot, tasks), state,
        line=lot.line, strain=lot.strain, monday=lot.monday, position=lot.position, is_ripe=is_ripe,
    )  # fmt: skip


def _copied(value: object) -> object:
    return list(value) if isinstance(value, list) else value


def _load(site: Site, load: Load, tasks: Mapping[Traveller, Task]) -> Stands:
    state = {"at": load.at, "since": load.since}
    lots = tuple(_lot(site, lot, tasks) for lot in load.lots)
    return Stands(load.key, load.started, _held(load), _waits(load, tasks), state, strain=load.strain, lots=lots)


def _crates(crates: Crates) -> Stands:
    parcel = crates.parcel
    told = (parcel.key, parcel.kg, parcel.picked, parcel.dies, parcel.strain, parcel.grade)
    return Stands(
        crates.key, parcel.picked, _held(crates), _waits(crates, {}), parcel=told, life=(parcel.since, parcel.life)
    )


def _to_pack(order: ToPack) -> OrderToPack:
    parts = tuple((parcel.key, kg) for parcel, kg in order.parts)
    return OrderToPack(order.key, order.form, order.wanted, order.leaves, order.since, order.turn, parts)


# --- beginning from the list ----------------------------------------------------------------------------------------


def first_monday(standing: Standing) -> float:
    """The Monday of the oldest lot, from which on luck is needed [h]."""
    lots = [*standing.lots, *(lot for load in standing.loads for lot in load.lots)]
    return min([standing.when, *(lot.monday * WEEK for lot in lots)])


def put_in_place(site: Site, standing: Standing) -> None:
    """Put everything of the list where it stood, in an empty site whose clock is at the list's hour."""
    site.chilled_until = standing.chilled_until
    site.short_in_a_row, site.gone = dict(standing.short_in_a_row), dict(standing.gone)
    site.room_due, site.room_closed = dict(standing.room_due), dict(standing.room_closed)
    for number in site.room_closed:
        clear_out.close(site, number, True)
    loads = [_make_load(site, stands) for stands in standing.loads]
    lots = [_make_lot(site, stands) for stands in standing.lots]
    for lot in lots:
        site.lots[lot.key] = lot
    for picked in standing.unpacked:
        site.unpacked.waiting.append(Picked(*picked))
    for stands in standing.crates:
        _put_crates(site, stands)
    _take_up_orders(site, standing)
    parcels = {crates.parcel.key: crates.parcel for crates in site.crates.values()}
    for told in standing.to_pack:
        _take_up_packing(site, told, parcels)
    for walker in (*loads, *lots):
        walk(site, walker, since=walker.since)
    _take_up_work(site, standing)


def _hold(site: Site, traveller: Traveller, held: Mapping[str, Held]) -> None:
    for purpose, stay in held.items():
        place = site.places.all[stay.place]
        site.places.occupy(traveller, purpose, place, stay.amount, stay.asked, stay.came).ready = stay.ready


def _make_lot(site: Site, stands: Stands) -> Lot:
    lot = make_blocks.known_lot(site, stands.key, stands.line, stands.strain, stands.monday, stands.position)
    lot.started = stands.started
    for name, value in stands.state.items():
        setattr(lot, name, _copied(value))
    numbers = site.line_number[lot.line], site.strain_number[lot.strain]
    row = (lot.key, *numbers, lot.monday * WEEK, lot.position, lot.started, float(lot.blocks), lot.load)
    lot.number = site.journal.lot(row)
    _hold(site, lot, stands.held)
    lot.memory = stands.waits
    if "rack" in lot.stays:
        site.racked.add(lot)
    if stands.is_ripe:
        site.ripe.add(lot)
    if lot.mornings:
        site.crop.expect(lot, lot.crop[-lot.mornings :])
    if lot.ripe:
        site.crop.put_back(lot)
    if lot.steps[lot.at].name == fruit.PICKED and site.house.promises_shelves:
        fruit.promise_shelf(site, lot)
    return lot


def _make_load(site: Site, stands: Stands) -> Load:
    lots = [_make_lot(site, lot) for lot in stands.lots]
    load = Load(stands.key, stands.started, site.steps_load, stands.strain, lots)
    load.number = site.journal.nameless()
    for name, value in stands.state.items():
        setattr(load, name, value)
    _hold(site, load, stands.held)
    load.memory = stands.waits
    site.loads[load.key] = load
    return load


def _put_crates(site: Site, stands: Stands) -> None:
    if stands.parcel is None:
        raise AssertionError(f"{stands.key}: crates without a parcel")
    key, kg, picked, dies, strain, grade = stands.parcel
    crates = Crates(Parcel(key, kg, picked, dies, strain, grade), site.journal.nameless())
    crates.parcel.number = crates.number
    crates.parcel.since, crates.parcel.life = stands.life
    site.crates[crates.number] = crates
    site.stock[strain, grade].add(crates.parcel)
    _hold(site, crates, stands.held)
    if stands.waits is not None:
        crates.memory = stands.waits
        chill.ask_for_room(site, crates)


def _take_up_orders(site: Site, standing: Standing) -> None:
    blocks_to = {site.block_customer_number[customer.name]: customer for customer in site.farm.block_customer}
    site.boxed = dict(standing.boxed)
    site.to_box[:] = standing.to_box
    sell_blocks.owe(site, standing.owed_blocks)
    for (number, due), orders in standing.block_orders.items():
        if number in blocks_to:
            known = {strain: list(pieces) for strain, pieces in orders.items()}
            sell_blocks.promise(site, blocks_to[number], due, known)
    fresh_to = {site.customer_number[customer.name]: customer for customer in site.farm.customer}
    for (number, due), short in standing.carried.items():
        if number in fresh_to:
            deliver.carry(site, fresh_to[number], number, dict(short), due)


def _take_up_packing(site: Site, told: OrderToPack, parcels: Mapping[StockKey, Parcel]) -> None:
    order = ToPack(told.key, told.form, told.wanted, told.leaves, told.since, told.turn)
    stock = site.to_pack.of_strain(order)
    for key, kg in told.parts:
        parcel = parcels[key]
        stock.keep(parcel, kg)
        order.parts.append(Part(parcel, kg))
    site.to_pack.add(order)


def _take_up_work(site: Site, standing: Standing) -> None:
    for keys, memory in standing.inspections:
        group = _still_there(site, keys)
        looker = Looker(site, keys[0], memory.asked, group)
        looker.memory = memory
        looker.ask(memory.left)
    for number, memory in standing.cleaning.items():
        clear_out.clean(site, number, memory)
    for key, memory in standing.chores.items():
        chores.ask(site, key, memory)
    for key, memory in standing.drying.items():
        outlet.dry(site, key, memory)


def _still_there(site: Site, keys: Iterable[str]) -> list[Lot]:
    """Lots of an inspection round; those sold or called meanwhile need no look."""
    return [site.lots[key] for key in keys if key in site.lots]
