"""The tables of the journal and their columns, in the order in which a row is written: one declaration each.

`ended` names the column that tells when the thing written down was over: it decides what happened "before a date".
"""

from farmsim.record.layout import Column, Layout, count, kg, moment, named

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

_LOT = named("lot", "lots", "lot; less than 0: a load or crates, each with a number of its own; -1: not told which")
_PLACE = named("place", "places", "place")
_CREW = named("crew", "crews", "crew")
_STRAIN = named("strain", "strains", "strain")
_FLUSH = count("flush", "number", "flush, 0 before the first")
_WHEN = moment("when", "moment")

LOTS = Layout(
    "lots",
    "a lot, once, when it comes to be",
    (
        Column("key", "text", "line / Monday / position; a part sold adds /1", "", "str"),
        named("line", "lines", "line it was started by"),
        _STRAIN,
        moment("monday", "Monday of its start week"),
        count("position", "number", "position in the week"),
        moment("started", "inoculated or delivered"),
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
            count("amount", "thousandths", "places held when it left; `freed` has what it gave back before", "i8"),
            moment("asked", "asked for the place"),
            moment("came", "came in"),
            moment("ready", "done there: from here on it only keeps the place"),
            moment("left", "left"),
        ),
        "left",
    ),
    Layout(
        "freed",
        "part of a stay given back before the lot left (blocks thrown out)",
        (_LOT, _PLACE, _WHEN, count("amount", "thousandths", "places given back", "i8")),
        "when",
    ),
    Layout(
        "waits",
        "a place asked for and never taken",
        (_LOT, _PLACE, _FLUSH, moment("asked", "asked for the place"), moment("given_up", "gave up asking")),
        "given_up",
    ),
    Layout(
        "tasks",
        "one stretch of work of one person",
        (
            _CREW,
            count("person", "number", "person in the crew"),
            named("duty", "duties", "duty"),
            named("lot", "lots", "lot worked on; -1: several"),
            _FLUSH,
            moment("asked", "work was there to be done"),
            moment("began", "stretch began"),
            moment("ended", "stretch ended"),
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
            named("room", "rooms", "fruiting room"),
            _WHEN,
            count("late", "days", "whole days past the picking window; 0 in the window"),
            kg("firsts", "firsts"),
            kg("seconds", "seconds"),
            kg("culls", "culls"),
        ),
        "when",
    ),
    Layout("packs", "mushrooms packed", (_STRAIN, _WHEN, kg("kg", "packed")), "when"),
    Layout(
        "crates",
        "a parcel put in stock",
        (
            _STRAIN,
            moment("picked", "picked"),
            moment("warm_until", "cold from then on"),
            kg("firsts", "firsts"),
            kg("seconds", "seconds"),
            moment("in_", "put in stock"),
            named("place", "places", "where it stands; -1 nowhere cold"),
        ),
        "in_",
    ),
    Layout(
        "stock_out",
        "mushrooms that leave the stock",
        (
            _STRAIN,
            count("grade", "number", f"counts in {GRADES}"),
            count("why", "number", f"counts in {WHYS}"),
            named("customer", "customers", "customer; -1 none"),
            moment("picked", "picked"),
            moment("dies", "first moment at which it may no longer be sold"),
            _WHEN,
            kg("kg", "weight"),
        ),
        "when",
    ),
    Layout(
        "orders",
        "one order line for mushrooms, when its round leaves",
        (
            named("customer", "customers", "customer"),
            _STRAIN,
            moment("due", "round leaves"),
            kg("promised", "promised for this round, with what was carried into it"),
            kg("delivered", "delivered"),
            kg("carried", "missing and carried to the next day"),
        ),
        "due",
    ),
    Layout(
        "substituted",
        "one strain delivered instead of another that was short; the order line of the other counts it",
        (
            named("customer", "customers", "customer"),
            _STRAIN,
            named("instead", "strains", "strain that was delivered instead"),
            _WHEN,
            kg("kg", "delivered instead"),
        ),
        "when",
    ),
    Layout(
        "customers_left",
        "a customer orders no more",
        (
            named("customer", "customers", "customer"),
            _WHEN,
            count("short", "deliveries", "short deliveries in a row after which it left"),
            kg("a_week", "usually ordered in a week"),
        ),
        "when",
    ),
    Layout(
        "not_ordered",
        "what a customer that has left would have ordered",
        (
            named("customer", "customers", "customer"),
            _STRAIN,
            moment("due", "round would have left"),
            kg("kg", "not ordered"),
        ),
        "due",
    ),
    Layout(
        "market_days",
        "one strain on one day of a market stall",
        (
            named("customer", "customers", "market stall"),
            _STRAIN,
            moment("out", "left the farm"),
            kg("wanted", "was to be taken there"),
            kg("brought", "was taken there"),
            kg("asked", "asked for at the stall"),
            kg("sold", "sold there"),
            kg("came_back", "put in stock again"),
            kg("lost", "not sold, and lost or past its date when it came back"),
            moment("back", "the day is over"),
        ),
        "back",
    ),
    Layout(
        "dried",
        "mushrooms laid out to dry",
        (
            named("customer", "customers", "outlet that dries them"),
            _STRAIN,
            _WHEN,
            kg("fresh", "fresh"),
            kg("kg", "dried"),
        ),
        "when",
    ),
    Layout(
        "packed_orders",
        "a stretch of packing to order",
        (
            named("customer", "customers", "customer it is packed for"),
            _STRAIN,
            moment("due", "hour the order is due"),
            _WHEN,
            kg("kg", "packed"),
        ),
        "when",
    ),
    Layout(
        "shorts",
        "part of an order line that was short for another reason than that it was not there",
        (
            named("customer", "customers", "customer"),
            _STRAIN,
            moment("due", "round leaves, or is given up: as in `orders`"),
            count("why", "number", f"counts in {WHY_SHORT}"),
            kg("kg", "missing for this reason"),
            kg("carried", "of it, carried to the next day"),
        ),
        "due",
    ),
    Layout(
        "rounds",
        "a round on one of its days",
        (
            named("round", "rounds", "round"),
            moment("due", "should leave"),
            moment("left", "left; not a number when it did not go"),
            moment("back", "was back, or was given up; not a number while it is away or waits"),
            count("how", "number", f"counts in {ROUND_ENDS}"),
            Column("people", "people", "went along"),
            Column("crates", "crates", "taken, each line's last crate counted whole"),
            kg("kg", "taken"),
            kg("behind", "of orders, and of what a stall was to take: left behind for want of room"),
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
            count("what", "number", f"counts in {WHATS}"),
            _WHEN,
            Column("blocks", "blocks", "how many"),
            named("customer", "block_customers", "block customer; -1 none"),
        ),
        "when",
    ),
    Layout(
        "block_orders",
        "one order line for blocks ready to fruit, when its round leaves",
        (
            named("customer", "block_customers", "block customer"),
            _STRAIN,
            moment("due", "round leaves"),
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
            named("customer", "block_customers", "block customer"),
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
            named("customer", "block_customers", "block customer"),
            _STRAIN,
            moment("when", "the delivery left"),
            Column("failed", "blocks", "of the delivery, those that fail later"),
            Column("credited", "blocks", "of those that fail, credited; the others are owed with the next order"),
            Column("replaced", "blocks", "of the delivery, those given in place of blocks that had failed"),
        ),
        "when",
    ),
    Layout(
        "price_luck",
        "luck with what a customer pays in a calendar quarter, of customers whose prices vary",
        (
            named("customer", "customers", "customer; -1: one for blocks"),
            named("block_customer", "block_customers", "block customer; -1: one for mushrooms"),
            moment("when", "the quarter begins"),
            Column(
                "luck", "standard deviations", "drawn from a standard normal; what it does to a price is money's matter"
            ),
        ),
        "when",
    ),
    Layout(
        "room_days",
        "a room is emptied for cleaning",
        (named("room", "rooms", "fruiting room"), _WHEN, count("what", "number", f"counts in {ROOM_DAYS}")),
        "when",
    ),
    Layout(
        "capacity",
        "places there are, from a moment on",
        (_PLACE, _WHEN, count("amount", "thousandths", f"places there are; {ROOM_ENOUGH}: never short", "i8")),
        "when",
    ),
    Layout(
        "rostered",
        "people present for a shift",
        (
            _CREW,
            moment("when", "shift begins"),
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
            count("person", "number", "person in the crew"),
            moment("when", "shift begins"),
            Column("hours", "h", "working hours of the shift, break left out"),
            Column("stayed", "h", "of these, hours there; less than all: sent home"),
            Column("overtime", "h", "worked past the end of the shift"),
            Column(
                "paid", "h", "hours paid by the hour: those there and overtime, or the shortest shift; none of an owner"
            ),
            Column("extra", "h", "of these, paid as overtime"),
            Column("owned", "h", "hours at work of the owner or family, not paid by the hour"),
            moment("gone", "goes home; not a number: still there at the end of the run"),
        ),
        "gone",
    ),
    Layout("inside", "blocks on the farm", (_STRAIN, Column("blocks", "blocks", "how many"), _WHEN), "when"),
    Layout(
        "left_over",
        "mushrooms picked and not yet gone",
        (_STRAIN, count("grade", "number", f"counts in {LEFT}"), kg("kg", "weight"), _WHEN),
        "when",
    ),
)
"""Every table, in the order in which they are shown."""
