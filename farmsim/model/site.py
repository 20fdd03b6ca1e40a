"""The site: everything the stages share, as plain attributes. It has no behaviour of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from farmsim.model.boxes import ToBox
    from farmsim.model.counter import Counter
    from farmsim.model.crew import People
    from farmsim.model.crop import Crop
    from farmsim.model.desk import Desk
    from farmsim.model.fate import Fates
    from farmsim.model.goods import Goods
    from farmsim.model.heaps import Racked, Ripe, Unpacked
    from farmsim.model.hours import Spans
    from farmsim.model.house import House
    from farmsim.model.looker import Looker
    from farmsim.model.lot import Crates, Load, Lot, Traveller
    from farmsim.model.luck import Luck
    from farmsim.model.place import Moves, Need, Place
    from farmsim.model.places import Places
    from farmsim.model.promised import Claim, Piece
    from farmsim.model.rota import CrewRota
    from farmsim.model.steps import Step, Way
    from farmsim.model.stock import Stock
    from farmsim.model.to_order import PackingList
    from farmsim.model.trips import Trips
    from farmsim.model.year import Shut, Year
    from farmsim.record.journal import Journal
    from farmsim.scenario.farm import Farm
    from farmsim.scenario.strain import Strain


class Site:
    """What there is on the farm, in one place. Filled by `build.py`; `close.take_apart` empties it."""

    __deletable__ = ("claims", "crop", "inspections", "racked", "ripe", "trips")  # machine code wants to be told

    # the engine
    desk: Desk
    journal: Journal
    places: Places
    people: People
    luck: Luck
    rotas: list[CrewRota]
    spans: dict[str, Spans]  # by duty: when somebody is there, by the rotas in force

    # the farm as it is now, and what it becomes on which Monday
    farm: Farm
    strains: dict[str, Strain]
    changes: Sequence[tuple[float, Farm]]
    end: float
    long_enough: float  # a round of picking, packing or boxing that has so much work takes no more [h]
    house: House
    year: Year
    shut: Shut  # as the farm is now
    mondays: dict[int, str]  # ordinal of a Monday: its date, as in lot keys

    # numbers of names in the journal
    strain_number: dict[str, int]
    customer_number: dict[str, int]
    block_customer_number: dict[str, int]
    line_number: dict[str, int]
    room_number: dict[str, int]
    round_number: dict[str, int]

    # places
    sterilizer: Place | None
    cooling: Place | None
    clean_bench: Place | None
    racks: Place
    cold_room: Place | None  # for cold shock
    ripe_room: Place | None  # for ripe blocks held back
    cooler: Place | None  # for fresh crates
    chills: float  # what the cooler cools down in an hour; 0: as much as comes in [kg/h]
    stays_warm: float  # warm hours of a crate while it is cooled down [h]
    tanks: Place | None  # None: blocks are soaked in the bag
    soak_tanks: Place | None  # whether they are used at present or not
    benches: Place
    walk_ins: dict[str, Place]
    vans: dict[str, Place]
    shelves: list[Place]
    booked: list[Place]
    one_clean_bench: Need | None
    one_tank: Need | None
    one_bench: Need
    calls: Moves  # of lots to rooms: `booked` places taken and given back
    rooms_for: dict[str, tuple[int, ...]]  # by strain: numbers of the rooms that take it
    booked_for: dict[str, tuple[Place, ...]]  # the same as `booked` places
    shelves_for: dict[str, tuple[Place, ...]]  # and as shelves
    cold_crates: float  # crate places a block takes in cold shock
    ripe_crates: float  # crate places a ripe block takes that is held back
    fresh_crates: float  # crate places a crate takes

    # what stands where
    fates: dict[str, list[tuple[int, Fates]]]
    lots: dict[str, Lot]
    loads: dict[str, Load]
    racked: Racked
    ripe: Ripe
    crop: Crop
    unpacked: Unpacked
    counter: Counter
    trips: Trips
    to_pack: PackingList
    goods: dict[str, Goods]  # by strain
    stock: dict[tuple[str, int], Stock]  # by strain and grade: the same as in `goods`
    crates: dict[int, Crates]  # by number
    promised_blocks: dict[str, float]  # by strain: known orders that are not due yet
    block_orders: dict[tuple[int, float], dict[str, list[Piece]]]  # (customer, due): pieces by strain, oldest first
    owed_blocks: dict[tuple[int, str], int]  # (customer, strain): blocks that failed and are to be replaced
    ages_matter: bool  # some block customer takes blocks of some ages only
    claims: dict[str, tuple[tuple[float, ...], list[Claim]]]  # by strain, as last worked out
    boxed: dict[tuple[int, str], int]  # (customer, strain): blocks that stand boxed
    in_boxing: dict[tuple[int, str], int]  # the same in somebody's hands
    to_box: list[ToBox]  # still to be boxed, the round that leaves first before the others
    ordered: dict[
        tuple[int, int], list[tuple[float, dict[str, float]]]
    ]  # (customer, Monday): orders of the week, if asked
    carried: dict[tuple[int, float], dict[str, float]]  # (customer, due): kg by strain, short the day before
    short_in_a_row: dict[int, int]  # by number of the customer: short deliveries in a row
    gone: dict[int, float]  # customers that order no more, and since when [h]
    drying: dict[str, Traveller]  # by key: what is to be laid out to dry
    chilled_until: float  # the cooler is busy pulling down until then [h]
    chores: dict[str, Traveller]  # by key: fixed work that is not done yet
    inspections: list[Looker]  # what is still to be looked over in the round that goes on
    room_due: dict[int, float]  # when a room is next to be emptied and cleaned [h]
    room_closed: dict[int, str]  # "emptying", "cleaning" or "resting", by number of the room
    cleaners: dict[int, Traveller]

    # the way of lots and loads, by strain
    ways: dict[str, list[Way]]  # in the order of their Mondays
    steps_load: tuple[Step, ...]
