"""How much a farm carries, where arithmetic knows it; what fails first there; and what cannot be asked."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import cast

import numpy as np
import pytest

import farmsim
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.people import Crew
from farmsim.scenario.rooms import Incubation, Opening, Room, Sterilizer, Uses, WalkIn
from farmsim.scenario.sales import Customer, Start
from farmsim.scenario.strain import (
    Contaminated,
    Flushes,
    Grades,
    HoldsRipe,
    Open,
    Overripe,
    Picking,
    Strain,
    Yield,
)
from farmsim.scenario.values import DAYS, Range, Shift
from farmsim.scenario.vary import Fixed
from farmsim.study import tight
from farmsim.study.answers import Waits
from farmsim.study.bounds import NotAllowed
from farmsim.study.ceiling import Asked, _Shop, ceiling, more_lots, worst_first
from farmsim.study.ceiling_answers import Ceiling
from farmsim.study.climb import Rung
from farmsim.study.pool import Where
from farmsim.study.targets import NoTarget, read_all
from farmsim.study.trials import Brief, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
D = 24.0
OPENED = 7 * 4 * 8  # blocks a week that one person opens: 4 h a day at 8 blocks/h, every day
ONE = Brief(weeks=4, where=Where(1))

# --- a farm without luck of which all is known ------------------------------------------------------------------------

OYSTER = Strain(
    steps=("open", "fruit"),
    holds_ripe=HoldsRipe(on_the_rack=D),
    overripe=Overripe(loses=0.0, trim=0.0, thrown_out_after=D / 2),
    contaminated=Contaminated(mean=0.0, clusters="none", shows=Fixed(3 * D)),
    open=Open(pace=8.0, strip_takes=0.0, flip_takes=0.0),
    first_pick=Fixed(2 * D),
    spread=0.0,
    next_pick=Fixed(2 * D),
    yield_=Yield(mean=0.5, cv_lot=0.0, cv_block=0.0),
    flushes=Flushes(share=(1.0,), rest=D),
    picking=Picking(
        look=1e-4, pace=1e3, window=3 * D, gain=0.0, late=(Grades(firsts=1.0, seconds=0.0, culls=0.0),) * 4
    ),
    pack=1e3,
    crate=1.0,
    shelf_life=7 * D,
    range=Range(10.0, 20.0),
    clear=1e3,
)


def crew(name: str, *duties: str, end: float, people: int) -> Crew:
    return Crew(name=name, people=people, days=DAYS, hours=dict.fromkeys(DAYS, Shift(6.0, end)), duties=duties)


def known(blocks: float = 200.0) -> Farm:
    """Blocks come in ripe every day; one person opens so many of them, and there is more than enough of all else."""
    return Farm(
        farm=About(name="Known", start=datetime.date(2027, 1, 4), weeks=12, lead_in=6, lot=2.0),
        strain={"oyster": OYSTER},
        incubation=Incubation(holds=1e5),
        walk_in={"fridge": WalkIn(holds=1e5, uses=Uses(fresh=1.0))},
        opening=Opening(benches=50),
        room=(Room(name="Shed", holds=1e5, range=Range(14.0, 16.0)),),
        crew=(
            crew("openers", "open", end=10.0, people=1),
            crew("others", "pick", "pack", "clear", "inspect", end=18.0, people=50),
        ),
        start=(Start(name="A", strain="oyster", blocks=blocks, days=DAYS, made="bought"),),
        customer=(Customer(name="shop", takes={"oyster": blocks * 0.5 / 7}, days=DAYS, leave_by=20.0),),
    )


def asked(*targets: str, runs: int = 14, **more: object) -> Asked:
    return Asked(read_all(targets), runs=runs, **more)  # type: ignore[arg-type]


@pytest.fixture(scope="module")
def found() -> Ceiling:
    return ceiling(known(), asked("delivered 95 %"), ONE)


def test_the_ceiling_is_what_arithmetic_says(found: Ceiling) -> None:
    """So many blocks are opened and no more: of N, 224/N are delivered, and 95 % of 235.8 are 224."""
    assert (found.low, found.high, found.range.step) == (234, 236, 2)
    assert found.guess == int(OPENED / 0.95)
    for level in found.levels:
        a_lot = 2 / level.blocks / found.weeks  # more or less in all the weeks
        assert level.kept[0].mean == pytest.approx(min(1.0, OPENED / level.blocks), abs=a_lot)
    assert found.sure == 0.95 and found.now == 200 and found.breaks_now == ()


def test_what_fails_first_is_told_with_what_was_seen_there(found: Ceiling) -> None:
    why = found.why
    assert why is not None and (why.failing, why.below, why.also) == (236, 234, ())
    assert (why.first.target.name, why.first.verdict) == ("delivered", "broken")
    assert "openers" in why.seen.tight and "others" not in why.seen.tight and "Shed" not in why.seen.tight


def test_a_farm_that_breaks_its_target_already_is_searched_downward() -> None:
    found = ceiling(known(280), asked("delivered 95 %"), ONE)
    assert [kept.target.name for kept in found.breaks_now] == ["delivered"]
    assert found.low is not None and found.high is not None
    assert found.low <= OPENED / 0.95 < found.high and found.high - found.low <= 2
    assert found.guess == int(OPENED / 0.95)


def test_with_orders_as_they_are_more_blocks_harm_no_delivery_but_waste_more() -> None:
    """Nothing is missing of 100 kg a week, whatever is started; blocks that nobody opens in time are thrown out."""
    found = ceiling(known(), asked("delivered 95 %", "blocks lost 10 %", orders_grow=False), ONE)
    assert found.why is not None and found.why.first.target.name == "blocks lost"
    assert all(level.kept[0].mean == 1.0 for level in found.levels)
    assert found.low is not None and found.high is not None
    assert found.low <= OPENED / 0.90 < found.high and not found.grow


def test_a_target_that_nothing_meets_has_a_closest_level() -> None:
    found = ceiling(known(), asked("paid hours 1 h", low=100, high=200), ONE)
    assert (found.low, found.guess) == (None, None) and found.high == 100
    assert [found.levels[0].verdict, found.levels[-1].verdict] == ["broken", "broken"]
    assert found.closest.blocks == 200  # all alike: as many as may be


def test_a_range_in_which_all_is_kept_ends_at_its_top() -> None:
    found = ceiling(known(), asked("delivered 95 %", low=50, high=220), ONE)
    assert (found.low, found.high, found.guess, found.why) == (220, None, None, None)
    assert found.range.fault_above == ""


def test_levels_that_no_farm_may_have_are_not_looked_at() -> None:
    """More than half again what can be opened is a fault of a farm's file."""
    farm = known()
    found = ceiling(farm, asked("blocks lost 90 %"), ONE)
    assert found.low == found.range.high and 1.45 * OPENED < found.range.high <= 1.5 * OPENED
    assert "needs at most 1.5 times what there is" in found.range.fault_above
    with pytest.raises(NotAllowed) as caught:
        ceiling(farm, asked("blocks lost 90 %", low=400, high=500), ONE)
    assert str(caught.value).startswith("at 400 blocks a week the farm cannot be simulated: crew 1, people: ")


# --- with luck ------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


def test_usual_targets_that_a_farm_has_no_figure_for_are_named(tiny: Farm) -> None:
    found = ceiling(tiny, Asked(runs=5, low=78, high=90), Brief(weeks=3, where=Where(1)))
    assert found.usual and found.unknown == ("blocks delivered",)
    assert [each.name for each in found.targets] == ["delivered", "thrown out", "blocks lost", "overtime share"]


def test_any_number_of_workers_finds_the_same(tiny: Farm) -> None:
    one, two = (
        ceiling(tiny, asked("delivered 80 %", low=78, high=84), Brief(weeks=3, where=Where(workers)))
        for workers in (1, 2)
    )
    assert one.as_plain == two.as_plain and one.table.equals(two.table)


def test_of_a_farm_that_changes_all_states_are_scaled_and_the_last_is_told(tiny: Farm) -> None:
    bigger = tiny.but(
        start=tuple(line.but(blocks=2 * line.blocks) for line in tiny.start), room=(tiny.room[0].but(holds=700.0),)
    )
    farm = tiny.but(changes=((2 * 168.0, bigger),))
    found = ceiling(farm, asked("delivered 1 %", low=100, high=160), Brief(weeks=5, where=Where(1)))
    assert (found.now, found.states, found.before) == (160, 2, 2)


# --- what cannot be asked --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"low": 90, "high": 60}, "from is 90 blocks a week and to is 60; needs from below to. Swap the two"),
        ({"low": 3}, "from is 3 blocks a week; needs at least 4, below that a line would have no block"),
        ({"low": 0}, "from is 0; needs a whole number from 1 to 1,000,000"),
        ({"high": 2_000_000}, "to is 2000000; needs a whole number from 1 to 1,000,000"),
        ({"high": 3}, "to is 3 blocks a week; needs at least 4, below that a line would have no block"),
        ({"runs": 4}, "runs is 4; needs a whole number from 5 to 10,000"),
    ],
)
def test_a_range_that_is_none_is_told(tiny: Farm, given: dict[str, int], told: str) -> None:
    with pytest.raises(NotAllowed) as caught:
        ceiling(tiny, Asked(**given), ONE)  # type: ignore[arg-type]
    assert str(caught.value) == told


def test_a_range_of_one_level_is_looked_at(tiny: Farm) -> None:
    found = ceiling(tiny, asked("delivered 1 %", low=70, high=70), Brief(weeks=3, where=Where(1)))
    assert [level.blocks for level in found.levels] == [70] and found.low == 70


def test_a_farm_that_starts_nothing_has_no_ceiling(tiny: Farm) -> None:
    idle = tiny.but(start=tuple(line.but(blocks=0.0) for line in tiny.start))
    with pytest.raises(NotAllowed, match="One shed starts no blocks: there is nothing to scale"):
        ceiling(idle, Asked(), ONE)


def test_a_target_about_what_the_farm_does_not_have(tiny: Farm) -> None:
    told = r"^this farm has no figure for blocks delivered: it has nothing that this is counted or is a share of$"
    with pytest.raises(NoTarget, match=told):
        ceiling(tiny, asked("blocks delivered 90 %"), ONE)


# --- pieces ---------------------------------------------------------------------------------------------------------


def test_lots_that_are_cut_anew_are_counted() -> None:
    """Four days share 800 blocks in 4 lots of 50 each, one load of 200 a day; one block more is a lot and a load more."""
    farm = farmsim.load(SCENARIOS / "four-rooms.toml")
    lines = [farm.start[0].but(blocks=blocks) for blocks in (800.0, 801.0)]
    before, after = (farm.but(start=(line, *farm.start[1:])) for line in lines)
    (found,) = more_lots(before, after)
    assert (found.line, found.lots, found.loads, found.smallest) == ("shiitake", (16, 17), (4, 5), 1)
    assert more_lots(after, before) == ()
    bought = [each.but(sterilizer=None, start=(each.start[0].but(made="bought"),)) for each in (before, after)]
    assert more_lots(*bought)[0].loads is None
    assert isinstance(farm.sterilizer, Sterilizer)


def test_what_got_worst_stands_first(found: Ceiling) -> None:
    assert found.why is not None
    seen = found.why.seen
    place, person = seen.places[0], next(one for one in seen.crews if one.name == "openers")
    places = tuple(
        tight.Place(**{**vars(place), "name": name, "waited": waited, "wait": 2.0})
        for name, waited in (("racks", 5.0), ("tanks", 9.0))
    )
    before = tight.Seen(
        tuple(tight.Place(**{**vars(one), "waited": 5.0 if one.name == "racks" else 0.0}) for one in places),
        (person,), (), Waits(),
    )  # fmt: skip
    after = tight.Seen(places, (person,), ("openers", "racks", "tanks"), Waits())
    assert worst_first(before, after).tight == ("tanks", "racks", "openers")


def test_customers_who_left_before_the_last_change_are_not_counted() -> None:
    shop = _Shop(known(), 200, True, cast(Trials, None), 2)
    week = np.array([1.0, 2.0, 3.0, 4.0])
    lost = (np.array([5.0, 1.0, 1.0, 0.0]), np.array([3.0, 0.0, 0.0, 2.0]))
    shop._runs[200] = [{"weekly": {"week": week, "customers_left": each}} for each in lost]
    assert shop.level(Rung(200, 2, ())).left == 1.5
