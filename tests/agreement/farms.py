"""Farms to compare runs of: the shipped ones, cut short, and small random ones with everything in them."""

from __future__ import annotations

import datetime
from pathlib import Path

from hypothesis import strategies as st

import farmsim
from farmsim.record.columns import TABLES
from farmsim.record.tables import Record
from farmsim.scenario.delivery import Round, Van
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.fresh_sales import Dries, Mixed
from farmsim.scenario.people import Chore, Crew, FromHour, NewHands, Overtime
from farmsim.scenario.read import load
from farmsim.scenario.rooms import (
    CleanBench,
    Incubation,
    Inspect,
    Mix,
    Opening,
    Room,
    RoomEmptied,
    Soak,
    Sterilizer,
    Uses,
    WalkIn,
)
from farmsim.scenario.rules import (
    CALL_IN,
    CLEAN_BENCH,
    CLEAR_OUT,
    KEEP_BACK,
    PICK_FIRST,
    RIPE_BLOCKS,
    SERVED_FIRST,
    SOLD_FIRST,
    SURPLUS,
    Rules,
)
from farmsim.scenario.sales import BlockCustomer, Customer, Start
from farmsim.scenario.seasons import Months, Shut
from farmsim.scenario.strain import (
    ColdShock,
    Contaminated,
    Flushes,
    HoldsRipe,
    Overripe,
    Picking,
    SoakTimes,
    Strain,
    Yield,
)
from farmsim.scenario.values import DAYS, MONTHS, PerWeek, Range, Shift
from farmsim.scenario.vary import Fixed, MeanCv, Triangular

D = 24.0
UNLIKE = (0.5, 1.5, *(1.0,) * 9, 1.25)  # January, February and December, in which these farms are looked at
EPIPHANY = Shut(name="Epiphany", first=datetime.date(2027, 1, 6))
WEEKEND = Shut(name="a long weekend", first=datetime.date(2027, 1, 15), last=datetime.date(2027, 1, 18))
SCENARIOS = sorted((Path(farmsim.__file__).parent.parent / "scenarios").glob("*.toml"))
EVERY_TABLE = tuple(layout.name for layout in TABLES)


def shipped(path: Path, lead_in: int = 3) -> Farm:
    """A shipped farm with a short lead-in."""
    farm = load(path)
    return farm.but(farm=farm.farm.but(lead_in=lead_in))


def everything(record: Record, before: float | None = None) -> dict[str, list[tuple[object, ...]]]:
    """The canonical rows of every table."""
    return {table: record.rows(table, before) for table in EVERY_TABLE}


# --- a small farm with everything in it -----------------------------------------------------------------------------

QUICK = Strain(
    steps=("colonise", "open", "fruit"),
    colonise=Triangular(2 * D, 3 * D, 5 * D),
    holds_ripe=HoldsRipe(on_the_rack=3 * D, cold=3 * D),
    overripe=Overripe(thrown_out_after=2 * D),
    contaminated=Contaminated(mean=0.1, clusters="by load", shows=Triangular(1 * D, 2 * D, 6 * D)),
    first_pick=MeanCv(4 * D, 0.2),
    spread=20.0,
    next_pick=MeanCv(4 * D, 0.2),
    yield_=Yield(mean=0.6),
    flushes=Flushes(share=(0.7, 0.3), rest=1 * D),
    picking=Picking(look=0.01, pace=10.0, window=1 * D),
    pack=12.0,
    pack_forms={"caps": 4.0},
    crate=2.0,
    shelf_life=5 * D,
    range=Range(12.0, 20.0),
)
SOAKED = QUICK.but(
    steps=("colonise", "ripen", "cold shock", "soak", "open", "fruit"),
    ripen=MeanCv(2 * D, 0.3),
    cold_shock=ColdShock(least=12.0, usual=24.0, most=48.0),
    soak=SoakTimes(least=10.0, most=18.0),
    flushes=Flushes(share=(0.6, 0.3, 0.1), rest=1 * D, soak_again=True),
)
GROWERS = Crew(
    name="growers",
    people=2,
    days=PerWeek(5),
    hours=dict.fromkeys(DAYS, Shift(6.0, 14.0)),
    break_=0.5,
    duties=("soak", "open", "pick", "clear", "inoculate", "mix", "inspect", "clean", "box"),
    absence=0.05,
    overtime=Overtime(at_most=1.0),
)
PICKERS = GROWERS.but(
    name="pickers",
    days=DAYS[:6],
    duties=("deliver", "pick", "pack", "pack orders", "open", "clear"),
    absence=0.1,
    shortest_shift=4.0,
)
SMALL = Farm(
    farm=About(name="Small", start=datetime.date(2027, 1, 4), weeks=3, lot=10.0, lead_in=3),
    mix=Mix(pace=40.0),
    sterilizer=Sterilizer(load=40.0, cycle=6.0, cool=12.0, cooling_holds=80.0),
    clean_bench=CleanBench(people=2, pace=30.0),
    incubation=Incubation(holds=400.0, inspect=Inspect(days=("tue", "fri"), pace=200.0)),
    walk_in={"main": WalkIn(holds=60.0, uses=Uses(cold_shock=0.5, ripe_blocks=0.5, fresh=1.0), chills=20.0)},
    soak=Soak(how="tank", tanks=3, tank=10.0),
    opening=Opening(benches=1),
    room=(
        Room(name="East", holds=60.0, range=Range(14.0, 16.0)),
        Room(name="West", holds=50.0, range=Range(15.0, 18.0), clean=RoomEmptied(every=21 * D, takes=3.0)),
    ),
    crew=(GROWERS, PICKERS),
    strain={"quick": QUICK, "soaked": SOAKED},
    start=(
        Start(name="A", strain="quick", blocks=60.0, days=("mon", "thu")),
        Start(name="B", strain="soaked", blocks=40.0, days=("tue",)),
        Start(name="C", strain="quick", blocks=20.0, days=("wed",), made="bought", ripe_in=MeanCv(1 * D, 0.5)),
    ),
    customer=(
        Customer(
            name="shop",
            takes={"quick": 5.0, "soaked": 3.0},
            varies=0.2,
            days=("tue", "fri"),
            leave_by=9.0,
            price={"quick": 8.0, "soaked": 9.0},
            form="caps",
        ),
        Customer(
            name="stall", takes={"quick": 4.0}, days=("fri", "sat"), leave_by=7.0, unfilled="next day", varies=0.1
        ),
        Customer(
            name="kitchen", kind="outlet", takes="anything", days=("sat",), leave_by=12.0, takes_firsts_left=1 * D
        ),
    ),
    van={"van": Van(holds=3.0)},
    round=(Round(name="town", customers=("shop", "stall"), takes=1.5, van="van"),),
    block_customer=(
        BlockCustomer(
            name="grower", takes={"quick": 20.0, "soaked": 5.0}, varies=0.3, days=("mon", "tue"), unfilled="next day"
        ),
        BlockCustomer(
            name="kits",
            takes={"quick": 6.0, "soaked": 6.0},
            varies=0.2,
            notice=4 * D,
            days=("wed", "fri"),
            leave_by=9.0,
            age=Range(-1 * D, 4 * D),
            part_deliveries=False,
            patience=6 * D,
            boxing=4.0,
            boxed_from=2.0,
            fails=0.2,
            made_good="replacement",
        ),
    ),
)

STALL = Customer(
    name="market",
    kind="market stall",
    takes={"quick": 6.0, "soaked": 2.0},
    sells={"quick": MeanCv(4.0, 0.6), "soaked": Triangular(0.0, 1.0, 4.0)},
    days=("wed", "sat"),
    leave_by=7.0,
    back_at=13.5,
    comes_back_older=20.0,
)
EVERY_KIND = (
    SMALL.customer[0].but(
        name="bistro",
        takes={"quick": 1.0, "soaked": 6.0},
        form="any",
        leaves_after=8,
        substitutes={"soaked": ("quick",)},
        firm="signed",
    ),
    SMALL.customer[1].but(kind="call-off", calls=0.5, notice=3 * D, goes_short="last", leaves_after=3),
    Customer(
        name="co-op",
        mixed=Mixed(of=("quick", "soaked"), at_least=2, amount=6.0, varies=0.3),
        days=("mon", "tue", "fri"),
        leave_by=9.0,
        unfilled="next day",
        notice=7 * D,
        firm="hoped for",
        leaves_after=4,
    ),
    STALL,
    STALL.but(
        name="fair", sells={"quick": Fixed(3.0), "soaked": Fixed(0.0)}, days=("sun",), unsold="lost", back_at=None
    ),
    SMALL.customer[2].but(days=("tue", "sat"), dries=Dries(ratio=10.0, pace=0.7)),
    SMALL.customer[0].but(takes={"quick": 2.0}),
)
"""Customers of every kind, with every wish there is."""


def _some(values: tuple[object, ...]) -> st.SearchStrategy[object]:
    return st.sampled_from(values)


@st.composite
def farms(draw: st.DrawFn) -> Farm:
    """A small farm with some figures changed, from roomy to far too tight."""
    strains = {name: _a_strain(draw, strain) for name, strain in SMALL.strain.items()}
    walk_in = SMALL.walk_in["main"].but(holds=draw(_some((12.0, 30.0, 200.0))), chills=draw(_some((None, 1.0, 20.0))))
    how = draw(_some(("tank", "in the bag")))
    farm = _with_a_year(draw)
    return farm.but(
        farm=SMALL.farm.but(begin=draw(_some(("empty", "full swing"))), round=draw(_some((0.25, 1.0, 4.0)))),
        incubation=SMALL.incubation.but(holds=draw(_some((40.0, 120.0, 400.0)))),
        sterilizer=SMALL.sterilizer.but(cooling_holds=draw(_some((None, 40.0)))),
        walk_in={"main": walk_in},
        soak=SMALL.soak.but(how=how, tanks=draw(st.integers(1, 4))),
        opening=Opening(benches=draw(st.integers(1, 2))),
        room=tuple(
            room.but(holds=draw(_some((20.0, 60.0, 150.0))), rests=draw(_some(((), ("jan",))))) for room in SMALL.room
        ),
        crew=tuple(_a_crew(draw, crew) for crew in farm.crew),
        strain=strains,
        **_a_delivery(draw),
        rules=Rules(
            ripe_blocks=draw(_some(RIPE_BLOCKS)),
            sold_first=draw(_some(SOLD_FIRST)),
            surplus_blocks=draw(_some(SURPLUS)),
            surplus_left=draw(_some((1 * D, 4 * D))),
            call_in=draw(_some(CALL_IN)),
            moving_days=draw(_some((("mon", "thu"), ("sat",), DAYS))),
            clean_bench=draw(_some(CLEAN_BENCH)),
            clear_out=draw(_some(CLEAR_OUT)),
            small_flush=draw(_some((0.25, 0.6))),
            pick_first=draw(_some(PICK_FIRST)),
            served_first=draw(_some(SERVED_FIRST)),
            keep_back=draw(_some(KEEP_BACK)),
        ),
    )


def _with_a_year(draw: st.DrawFn) -> Farm:
    """The small farm, perhaps with months that differ, holidays and fixed work."""
    chore = Chore(name="books", days=("mon", "thu"), begin=6.0, takes=draw(_some((0.5, 5.0))), people=2)
    crew = tuple(crew.but(duties=(*crew.duties, "chores", "dry")) for crew in SMALL.crew)
    lines = tuple(line.but(months=draw(_some((MONTHS, MONTHS[:11])))) for line in SMALL.start)
    return SMALL.but(
        months=draw(_some((Months(), Months(orders=UNLIKE, block_orders=UNLIKE, yield_=UNLIKE, days=UNLIKE)))),
        shut=draw(_some(((), (EPIPHANY,), (EPIPHANY, WEEKEND)))),
        chore=draw(_some(((), (chore,)))),
        customer=draw(_some((SMALL.customer, EVERY_KIND))),
        start=lines,
        crew=crew,
    )


def _a_delivery(draw: st.DrawFn) -> dict[str, object]:
    """Nothing of the kind; or two of the customers on a round, one of them with an order that is packed to order."""
    shop, stall, *others = SMALL.customer
    if draw(st.booleans()):
        return {"customer": (shop.but(form="any"), stall, *others), "round": (), "van": {}}
    shop = shop.but(form=draw(_some(("any", "caps"))), unfilled=draw(_some(("lost", "next day"))))
    round_ = Round(
        name="town",
        customers=("shop", "stall", "kitchen"),
        takes=draw(_some((0.5, 2.0))),
        people=draw(st.integers(1, 2)),
        van=draw(_some((None, "van"))),
        late_at_most=draw(_some((0.0, 3.0))),
    )
    van = Van(holds=draw(_some((None, 2.0, 6.0))), carries=draw(_some((None, 5.0))))
    return {"customer": (shop, stall, *others), "round": (round_,), "van": {"van": van}}


def _a_strain(draw: st.DrawFn, strain: Strain) -> Strain:
    flushes = draw(st.integers(1, 3))
    return strain.but(
        contaminated=strain.contaminated.but(
            mean=draw(_some((0.0, 0.1, 0.6))), clusters=draw(_some(("by load", "none")))
        ),
        holds_ripe=HoldsRipe(on_the_rack=draw(_some((0.0, 2 * D, 9 * D))), cold=draw(_some((0.0, 4 * D)))),
        flushes=strain.flushes.but(share=(0.5, 0.3, 0.2)[:flushes]),
        shelf_life=draw(_some((1 * D, 5 * D))),
    )


def _a_crew(draw: st.DrawFn, crew: Crew) -> Crew:
    start = draw(_some((0.0, 6.0, 15.0, 22.0)))
    hours = draw(_some((2.0, 8.0)))
    days = draw(_some((DAYS, DAYS[:5], ("mon", "thu"), PerWeek(4))))
    return crew.but(
        people=draw(st.integers(1, 3)),
        days=days,
        hours=dict.fromkeys(DAYS, Shift(start, start + hours)),
        duties=draw(st.permutations(crew.duties)),
        fits=draw(_some(((), ("open", "clear")))),
        absence=draw(_some((0.0, 0.3))),
        **_some_rules(draw, crew, start),
    )


def _some_rules(draw: st.DrawFn, crew: Crew, start: float) -> dict[str, object]:
    """Rules by the person, each perhaps without a say."""
    later = FromHour(from_=(start + 1.5) % 24.0, duties=tuple(draw(st.permutations(crew.duties))))
    overtime = (crew.overtime, Overtime(at_most=2.0, at_most_a_week=2.5), Overtime(at_most=1.0, after=10.0))
    hired = {"leaves": 4.0, "replaced_after": draw(st.integers(0, 2)), "new_hands": NewHands(pace=(0.5, 0.7))}
    owned = {"paid": "as owner", "at_most_hours": draw(_some((None, 3.0, 20.0)))}
    home = {"may_go": "when nothing waits", "stay": draw(st.integers(0, 2))}
    return {
        "overtime": draw(_some(overtime)),
        "by_hour": draw(_some(((), (later,)))),
        "called": draw(_some(("in turn", "last"))),
        "shortest_shift": draw(_some((0.0, 1.0, 4.0))),
        **draw(_some(({}, hired))),
        **draw(_some(({}, owned))),
        **draw(_some(({}, home))),
    }


def with_ties(farm: Farm) -> Farm:
    """The farm without luck, and with lines that do the same at the same hours: full of ties."""
    a, b, c = farm.start
    return farm.but(
        strain={name: _plain(strain) for name, strain in farm.strain.items()},
        start=(a, a.but(name="A2"), b, c.but(ripe_in=Fixed(D)), c.but(name="C2", ripe_in=Fixed(D))),
        crew=tuple(crew.but(absence=0.0, leaves=0.0) for crew in farm.crew),
        customer=tuple(customer.but(varies=0.0) for customer in farm.customer),
        block_customer=tuple(customer.but(varies=0.0) for customer in farm.block_customer),
    )


def _plain(strain: Strain) -> Strain:
    return strain.but(
        colonise=Fixed(2 * D),
        ripen=Fixed(D if "ripen" in strain.steps else 0.0),
        contaminated=strain.contaminated.but(mean=0.0),
        first_pick=Fixed(3 * D),
        spread=0.0,
        next_pick=Fixed(2 * D),
        yield_=Yield(mean=0.5, cv_lot=0.0, cv_block=0.0),
    )
