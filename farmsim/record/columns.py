"""The tables of the journal and their columns, in the order in which a row is written: one declaration each.

`ended` names the column that tells when the thing written down was over: it decides what happened "before a date".
"""

from typing import NamedTuple

ROOM_ENOUGH = 10**12
"""Capacity of a place that is never short [thousandths]: it has no shares of used and idle."""
WHATS = ("made", "bought", "contaminated", "too old", "sold", "opened", "cleared", "sold cheap")
"""What can happen to blocks; `blocks.what` counts in this list."""
GRADES = ("firsts", "seconds")
"""Grades that can be sold; `stock_out.grade` counts in this list."""
LEFT = ("firsts", "seconds", "firsts not packed", "seconds not packed")
"""What stands at the start and the end of a run; `left_over.grade` counts in this list."""
WHYS = ("sold", "past date", "outlet", "stall", "to dry", "lost at the stall")
"""Why mushrooms leave the stock; `stock_out.why` counts in this list."""
ROOM_DAYS = ("closed", "emptied", "cleaned")
"""What happens to a room that is emptied for cleaning; `room_days.what` counts in this list."""
WHY_SHORT = ("not packed in time", "no room in the van", "the round did not go")
"""Why an order was short although crates were there; `shorts.why` counts in this list."""
ROUND_ENDS = ("went", "people or van came too late", "nothing to bring", "waits or is away")
"""What became of a round on one of its days; `rounds.how` counts in this list."""
KINDS = (
    "sterilizer", "cooling", "clean bench", "racks", "walk-in", "soak tanks", "opening benches", "shelf", "booked", "van"
)  # fmt: skip
"""Kinds of places. "booked" counts shelf places promised, from the call of a lot until it needs the shelf no more. It is no
place of its own on a screen: the first booked place belongs to the first shelf place, and so on."""


class Column(NamedTuple):
    """One column of the journal: what it counts, in which unit, and how it is kept."""

    name: str
    unit: str
    meaning: str
    names: str = ""
    """List in `Names` (or "lots") the number points into; empty for a plain figure."""
    kept: str = "f8"
    """How it is kept: "f8" a figure, "i4" a small whole number, "i8" a large one, "str" a text."""


class Layout(NamedTuple):
    """One table of the journal."""

    name: str
    meaning: str
    columns: tuple[Column, ...]
    ended: str


def _of(name: str, names: str, meaning: str) -> Column:
    return Column(name, "number", meaning, names, "i4")


def _count(name: str, unit: str, meaning: str, kept: str = "i4") -> Column:
    return Column(name, unit, meaning, "", kept)


def _at(name: str, meaning: str) -> Column:
    return Column(name, "h", meaning)


def _kg(name: str, meaning: str) -> Column:
    return Column(name, "kg", meaning)


_LOT = _of("lot", "lots", "lot; less than 0: a load or crates, each with a number of its own; -1: not told which")
_PLACE = _of("place", "places", "place")
_CREW = _of("crew", "crews", "crew")
_STRAIN = _of("strain", "strains", "strain")
_FLUSH = _count("flush", "number", "flush, 0 before the first")
_WHEN = _at("when", "moment")

LOTS = Layout(
    "lots",
    "a lot, once, when it comes to be",
    (
        Column("key", "text", "line / Monday / position; a part sold adds /1", "", "str"),
        _of("line", "lines", "line it was started by"),
        _STRAIN,
        _at("monday", "Monday of its start week"),
        _count("position", "number", "position in the week"),
        _at("started", "inoculated or delivered"),
        Column("blocks", "blocks", "blocks in the lot when it came to be"),
        Column("load", "text", "sterilizer load it came from", "", "str"),
    ),
    "started",
)

TABLES = (
    LOTS,
    Layout(
        "stays",
        "a lot in a place; times that have not come at the end of the run are not a number",
        (
            _LOT,
            _PLACE,
            _FLUSH,
            _count("amount", "thousandths", "places held when it left; `freed` has what it gave back before", "i8"),
            _at("asked", "asked for the place"),
            _at("came", "came in"),
            _at("ready", "done there: from here on it only keeps the place"),
            _at("left", "left"),
        ),
        "left",
    ),
    Layout(
        "freed",
        "part of a stay given back before the lot left (blocks thrown out)",
        (_LOT, _PLACE, _WHEN, _count("amount", "thousandths", "places given back", "i8")),
        "when",
    ),
    Layout(
        "waits",
        "a place asked for and never taken",
        (_LOT, _PLACE, _FLUSH, _at("asked", "asked for the place"), _at("given_up", "gave up asking")),
        "given_up",
    ),
    Layout(
        "tasks",
        "one stretch of work of one person",
        (
            _CREW,
            _count("person", "number", "person in the crew"),
            _of("duty", "duties", "duty"),
            _of("lot", "lots", "lot worked on; -1: several"),
            _FLUSH,
            _at("asked", "work was there to be done"),
            _at("began", "stretch began"),
            _at("ended", "stretch ended"),
            Column("worked", "h", "hours worked in it, breaks left out"),
            Column("overtime", "h", "of these, hours past the end of the shift"),
        ),
        "ended",
    ),
    Layout(
        "picks",
        "one lot picked on one morning",
        (
            _LOT,
            _FLUSH,
            _of("room", "rooms", "fruiting room"),
            _WHEN,
            _count("late", "days", "whole days past the picking window; 0 in the window"),
            _kg("firsts", "firsts"),
            _kg("seconds", "seconds"),
            _kg("culls", "culls"),
        ),
        "when",
    ),
    Layout("packs", "mushrooms packed", (_STRAIN, _WHEN, _kg("kg", "packed")), "when"),
    Layout(
        "crates",
        "a parcel put in stock",
        (
            _STRAIN,
            _at("picked", "picked"),
            _at("warm_until", "cold from then on"),
            _kg("firsts", "firsts"),
            _kg("seconds", "seconds"),
            _at("in_", "put in stock"),
            _of("place", "places", "where it stands; -1 nowhere cold"),
        ),
        "in_",
    ),
    Layout(
        "stock_out",
        "mushrooms that leave the stock",
        (
            _STRAIN,
            _count("grade", "number", f"counts in {GRADES}"),
            _count("why", "number", f"counts in {WHYS}"),
            _of("customer", "customers", "customer; -1 none"),
            _at("picked", "picked"),
            _at("dies", "first moment at which it may no longer be sold"),
            _WHEN,
            _kg("kg", "weight"),
        ),
        "when",
    ),
    Layout(
        "orders",
        "one order line for mushrooms, when its round leaves",
        (
            _of("customer", "customers", "customer"),
            _STRAIN,
            _at("due", "round leaves"),
            _kg("promised", "promised for this round, with what was carried into it"),
            _kg("delivered", "delivered"),
            _kg("carried", "missing and carried to the next day"),
        ),
        "due",
    ),
    Layout(
        "substituted",
        "one strain delivered instead of another that was short; the order line of the other counts it",
        (
            _of("customer", "customers", "customer"),
            _STRAIN,
            _of("instead", "strains", "strain that was delivered instead"),
            _WHEN,
            _kg("kg", "delivered instead"),
        ),
        "when",
    ),
    Layout(
        "customers_left",
        "a customer orders no more",
        (
            _of("customer", "customers", "customer"),
            _WHEN,
            _count("short", "deliveries", "short deliveries in a row after which it left"),
            _kg("a_week", "usually ordered in a week"),
        ),
        "when",
    ),
    Layout(
        "not_ordered",
        "what a customer that has left would have ordered",
        (
            _of("customer", "customers", "customer"),
            _STRAIN,
            _at("due", "round would have left"),
            _kg("kg", "not ordered"),
        ),
        "due",
    ),
    Layout(
        "market_days",
        "one strain on one day of a market stall",
        (
            _of("customer", "customers", "market stall"),
            _STRAIN,
            _at("out", "left the farm"),
            _kg("wanted", "was to be taken there"),
            _kg("brought", "was taken there"),
            _kg("asked", "asked for at the stall"),
            _kg("sold", "sold there"),
            _kg("came_back", "put in stock again"),
            _kg("lost", "not sold, and lost or past its date when it came back"),
            _at("back", "the day is over"),
        ),
        "back",
    ),
    Layout(
        "dried",
        "mushrooms laid out to dry",
        (
            _of("customer", "customers", "outlet that dries them"),
            _STRAIN,
            _WHEN,
            _kg("fresh", "fresh"),
            _kg("kg", "dried"),
        ),
        "when",
    ),
    Layout(
        "packed_orders",
        "a stretch of packing to order",
        (
            _of("customer", "customers", "customer it is packed for"),
            _STRAIN,
            _at("due", "hour the order is due"),
            _WHEN,
            _kg("kg", "packed"),
        ),
        "when",
    ),
    Layout(
        "shorts",
        "part of an order line that was short for another reason than that it was not there",
        (
            _of("customer", "customers", "customer"),
            _STRAIN,
            _at("due", "round leaves, or is given up: as in `orders`"),
            _count("why", "number", f"counts in {WHY_SHORT}"),
            _kg("kg", "missing for this reason"),
            _kg("carried", "of it, carried to the next day"),
        ),
        "due",
    ),
    Layout(
        "rounds",
        "a round on one of its days",
        (
            _of("round", "rounds", "round"),
            _at("due", "should leave"),
            _at("left", "left; not a number when it did not go"),
            _at("back", "was back, or was given up; not a number while it is away or waits"),
            _count("how", "number", f"counts in {ROUND_ENDS}"),
            Column("people", "people", "went along"),
            Column("crates", "crates", "taken, each line's last crate counted whole"),
            _kg("kg", "taken"),
            _kg("behind", "of orders, and of what a stall was to take: left behind for want of room"),
            Column("used", "share", "share of the van's room taken; not a number when its room is not limited"),
        ),
        "back",
    ),
    Layout(
        "blocks",
        "something happens to blocks of a lot",
        (
            _LOT,
            _STRAIN,
            _count("what", "number", f"counts in {WHATS}"),
            _WHEN,
            Column("blocks", "blocks", "how many"),
            _of("customer", "block_customers", "block customer; -1 none"),
        ),
        "when",
    ),
    Layout(
        "block_orders",
        "one order line for blocks ready to fruit, when its round leaves",
        (
            _of("customer", "block_customers", "block customer"),
            _STRAIN,
            _at("due", "round leaves"),
            Column("promised", "blocks", "promised for this round, with what was carried into it"),
            Column("delivered", "blocks", "delivered"),
            Column("carried", "blocks", "missing, and carried to a later round"),
        ),
        "due",
    ),
    Layout(
        "unboxed",
        "blocks that could have left with a round and stayed because they were not boxed",
        (
            _of("customer", "block_customers", "block customer"),
            _STRAIN,
            _WHEN,
            Column("blocks", "blocks", "how many"),
        ),
        "when",
    ),
    Layout(
        "block_claims",
        "blocks of a delivery that fail later, and those delivered in place of such blocks",
        (
            _of("customer", "block_customers", "block customer"),
            _STRAIN,
            _at("when", "the delivery left"),
            Column("failed", "blocks", "of the delivery, those that fail later"),
            Column("credited", "blocks", "of those that fail, credited; the others are owed with the next order"),
            Column("replaced", "blocks", "of the delivery, those given in place of blocks that had failed"),
        ),
        "when",
    ),
    Layout(
        "room_days",
        "a room is emptied for cleaning",
        (_of("room", "rooms", "fruiting room"), _WHEN, _count("what", "number", f"counts in {ROOM_DAYS}")),
        "when",
    ),
    Layout(
        "capacity",
        "places there are, from a moment on",
        (_PLACE, _WHEN, _count("amount", "thousandths", f"places there are; {ROOM_ENOUGH}: never short", "i8")),
        "when",
    ),
    Layout(
        "rostered",
        "people present for a shift",
        (
            _CREW,
            _at("when", "shift begins"),
            Column("people", "people", "present"),
            Column("hours", "h", "working hours of each, break left out"),
        ),
        "when",
    ),
    Layout(
        "attended",
        "one person's shift, in crews that are paid or counted by the person",
        (
            _CREW,
            _count("person", "number", "person in the crew"),
            _at("when", "shift begins"),
            Column("hours", "h", "working hours of the shift, break left out"),
            Column("stayed", "h", "of these, hours there; less than all: sent home"),
            Column("overtime", "h", "worked past the end of the shift"),
            Column(
                "paid", "h", "hours paid by the hour: those there and overtime, or the shortest shift; none of an owner"
            ),
            Column("extra", "h", "of these, paid as overtime"),
            Column("owned", "h", "hours at work of the owner or family, not paid by the hour"),
            _at("gone", "goes home; not a number: still there at the end of the run"),
        ),
        "gone",
    ),
    Layout("inside", "blocks on the farm", (_STRAIN, Column("blocks", "blocks", "how many"), _WHEN), "when"),
    Layout(
        "left_over",
        "mushrooms picked and not yet gone",
        (_STRAIN, _count("grade", "number", f"counts in {LEFT}"), _kg("kg", "weight"), _WHEN),
        "when",
    ),
)
"""Every table, in the order in which they are shown."""
