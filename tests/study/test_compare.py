"""What a change brings is told by pairs of runs on common luck, surely or not at all."""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.study.answers import Settled
from farmsim.study.compare import BASE, Compared, compare, difference
from farmsim.study.headlines import HEADLINES
from farmsim.study.pool import Where
from farmsim.study.precision import half_width, half_width_apart
from farmsim.study.trials import Brief, NotComparable
from farmsim.study.until import Stopped, Until

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
PICKED = HEADLINES[0]


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


def more_starts(tiny: Farm, blocks: float) -> Farm:
    return tiny.but(start=(tiny.start[0].but(blocks=blocks), *tiny.start[1:]))


@pytest.fixture(scope="module")
def compared(tiny: Farm) -> Compared:
    changes = {"half": more_starts(tiny, 30.0), "one more": more_starts(tiny, 61.0)}
    return compare(tiny, changes, 4, Brief(weeks=6, where=Where(1)))


# --- the arithmetic -------------------------------------------------------------------------------------------------

STOCK = [126.97, 124.31, 126.68, 122.66, 127.23], [118.21, 120.22, 122.45, 122.68, 119.40]
"""Law, Simulation Modeling and Analysis, two stock policies compared by pairs; the values are from memory."""


def test_pairs_are_judged_as_in_print() -> None:
    found = difference(PICKED, *STOCK)
    assert found.mean == pytest.approx(-4.978)
    pairs = np.subtract(*STOCK)
    assert (pairs.mean() - half_width(pairs, 0.90), pairs.mean() + half_width(pairs, 0.90)) == pytest.approx(
        (1.649, 8.307), abs=5e-4
    )
    assert found.give == pytest.approx(half_width(pairs))


def test_without_common_luck_it_would_be_judged_as_in_print() -> None:
    """The same two policies, as if their runs had nothing to do with each other (Welch; 7.992 degrees of freedom)."""
    give = half_width_apart(*STOCK, 0.90)
    assert (4.978 - give, 4.978 + give) == pytest.approx((2.661, 7.295), abs=5e-4)
    assert half_width_apart([1.0, 1.0], [2.0, 2.0]) == 0.0
    assert np.isnan(half_width_apart([1.0], [2.0]))


def test_what_common_luck_brings_stands_in_the_table(compared: Compared) -> None:
    picked = compared.table[compared.table["figure"] == "picked"].iloc[0]
    weekly = compared.weekly.groupby(["farm", "run"])["picked_kg"].mean()
    told = sum(len(one.differences) for one in compared.comparisons)
    apart = half_width_apart(weekly[BASE].to_numpy(), weekly["half"].to_numpy(), 1 - 0.05 / told)
    assert picked["give_without_common_luck"] == pytest.approx(apart)


@pytest.mark.parametrize(("comparisons", "critical"), [(1, 1.8331), (2, 2.2622), (4, 2.6850), (9, 3.1841)])
def test_the_risk_is_shared_out_over_comparisons(comparisons: int, critical: float) -> None:
    """Student's t for 10 runs and 90 in 100 over all comparisons (Bonferroni); recomputed with scipy."""
    unit = np.array([1.0, -1.0] * 5) * (9 / 10) ** 0.5 * 10**0.5  # spread so that the mean's standard error is 1
    assert half_width(unit, 1 - 0.1 / comparisons) == pytest.approx(critical, abs=5e-5)


def dealer(order: int, days: int, seed: int) -> list[float]:
    """Daily profit of a news dealer: bought at .33, sold at .50, scrap .05, a sale lost costs .17; good, fair and poor days.

    After Banks and others, Discrete-Event System Simulation; the table of demands is from memory.
    """
    chances = {
        "good": (0.03, 0.05, 0.15, 0.20, 0.35, 0.15, 0.07),
        "fair": (0.10, 0.18, 0.40, 0.20, 0.08, 0.04, 0.00),
        "poor": (0.44, 0.22, 0.16, 0.12, 0.06, 0.00, 0.00),
    }
    luck = np.random.default_rng(seed)
    profits = []
    for _ in range(days):
        kind = ("good", "fair", "poor")[int(luck.choice(3, p=(0.35, 0.45, 0.20)))]
        wanted = 40 + 10 * int(luck.choice(7, p=chances[kind]))
        sold = min(wanted, order)
        profits.append(0.50 * sold - 0.33 * order + 0.05 * (order - sold) - 0.17 * max(0, wanted - order))
    return profits


def test_sixty_papers_or_seventy_cannot_be_told_apart_in_twenty_days() -> None:
    """Expected profits are 6.8486 and 6.8355 a day; 50 papers are told apart from 70 when there are days enough."""
    found = difference(PICKED, dealer(60, 20, 1), dealer(70, 20, 1))
    assert found.verdict == "no difference found"
    many = dealer(60, 20_000, 2)
    error = np.std(many) / 20_000**0.5
    assert abs(np.mean(many) - 6.8486) < 3 * error
    assert difference(PICKED, dealer(50, 2_000, 3), dealer(70, 2_000, 3)).verdict == "more"


def test_intervals_hold_as_often_as_they_say() -> None:
    """2,000 comparisons with a known difference of 1: 95 in 100 hold it, within three standard errors."""
    luck = np.random.default_rng(5)
    held = 0
    for _ in range(2_000):
        base = luck.normal(10.0, 3.0, 8)
        found = difference(PICKED, base.tolist(), (base + luck.normal(1.0, 2.0, 8)).tolist())
        held += found.low <= 1.0 <= found.high
    assert abs(held / 2_000 - 0.95) < 3 * (0.95 * 0.05 / 2_000) ** 0.5


def test_how_many_runs_would_tell_is_the_first_number_that_does() -> None:
    base = [10.0, 11.0, 9.0, 10.5, 9.5]
    found = difference(PICKED, base, [11.0, 10.0, 10.0, 11.5, 9.0])
    assert found.verdict == "no difference found" and found.needed is not None
    pairs = [1.0, -1.0, 1.0, 1.0, -0.5]
    assert half_width(pairs, runs=found.needed) < abs(found.mean) <= half_width(pairs, runs=found.needed - 1)
    assert difference(PICKED, [1.0, 2.0], [2.0, 1.0]).needed is None  # nothing was seen that could be told


def test_what_never_differs_is_the_same() -> None:
    found = difference(PICKED, [1.0, 2.0], [1.0, 2.0])
    assert (found.verdict, found.give, found.mean) == ("the same", None, 0.0)


# --- two farms ------------------------------------------------------------------------------------------------------


def test_half_the_blocks_bring_less_and_the_table_says_so(compared: Compared) -> None:
    half, one_more = compared.comparisons
    by_name = {line.name: line for line in half.differences}
    assert by_name["picked"].verdict == "less"
    assert by_name["paid hours"].verdict == "the same"
    assert {line.name: line for line in one_more.differences}["picked"].verdict in ("more", "no difference found")
    assert list(compared.table["change"].unique()) == ["half", "one more"]
    assert len(compared.table) == sum(len(one.differences) for one in compared.comparisons)


def test_a_pair_has_the_same_luck_and_a_run_is_that_of_the_study(tiny: Farm, compared: Compared) -> None:
    alone = farmsim.run(tiny, runs=4, weeks=6, workers=1).tables["weekly"]
    base = compared.weekly[compared.weekly["farm"] == BASE]
    assert base["picked_kg"].tolist() == alone["picked_kg"].tolist()


def test_any_number_of_workers_finds_the_same(tiny: Farm, compared: Compared) -> None:
    changes = {"half": more_starts(tiny, 30.0), "one more": more_starts(tiny, 61.0)}
    assert compare(tiny, changes, 4, Brief(weeks=6, where=Where(2))).as_plain == compared.as_plain


def test_a_dated_change_is_compared_from_its_day_on(tiny: Farm) -> None:
    later = tiny.but(changes=((2 * 168.0, more_starts(tiny, 30.0)),))
    (found,) = compare(tiny, {"later": later}, 2, Brief(weeks=6, where=Where(1))).comparisons
    assert (found.since, found.weeks) == (2, 4)


def test_both_sides_fill_up_as_long_as_the_base(tiny: Farm) -> None:
    slow = tiny.but(farm=tiny.farm.but(lead_in=30), start=more_starts(tiny, 61.0).start)
    assert compare(tiny, {"slow": slow}, 2, Brief(weeks=2, where=Where(1))).lead_in != 30


@pytest.mark.parametrize(
    ("farm", "told"),
    [
        ({"start": datetime.date(2027, 1, 11)}, "begins on 2027-01-11, One shed on 2027-01-04"),
        ({"begin": "empty"}, 'begins "empty", One shed "full swing". Begin both alike'),
        ({}, "is the same farm as One shed: there is nothing to compare"),
    ],
)
def test_farms_that_cannot_be_put_side_by_side(tiny: Farm, farm: dict[str, object], told: str) -> None:
    with pytest.raises(NotComparable) as caught:
        compare(tiny, {"other": tiny.but(farm=tiny.farm.but(**farm))}, 2, Brief(weeks=2, where=Where(1)))
    assert told in str(caught.value)


def test_money_is_compared_where_there_are_prices_and_what_nobody_has_is_left_out(tiny: Farm) -> None:
    shop, outlet = tiny.customer
    priced = tiny.but(customer=(shop.but(price=20.0), outlet))
    later = priced.but(changes=((2 * 168.0, priced.but(customer=(shop.but(price=30.0), outlet))),))
    (found,) = compare(priced, {"dearer": later}, 3, Brief(weeks=6, where=Where(1))).comparisons
    by_name = {line.name: line for line in found.differences}
    assert "blocks sold" not in by_name and "owner's and family hours" not in by_name
    taken, sold = by_name["taken in"], by_name["sold to orders"]
    assert (sold.verdict, found.since) == ("the same", 2)
    assert taken.change == pytest.approx(1.5 * taken.base, rel=1e-4) and taken.verdict == "more"


def test_money_of_one_farm_alone_is_not_compared(tiny: Farm) -> None:
    shop, outlet = tiny.customer
    priced = tiny.but(customer=(shop.but(price=20.0), outlet))
    (found,) = compare(priced, {"no prices": more_starts(tiny, 61.0)}, 2, Brief(weeks=4, where=Where(1))).comparisons
    assert not {"taken in", "left for all else"} & {line.name for line in found.differences}


def test_the_risk_is_shared_out_over_all_that_is_told_of_all_changes(compared: Compared) -> None:
    told = sum(len(one.differences) for one in compared.comparisons)
    picked = compared.weekly.groupby(["farm", "run"])["picked_kg"].mean()
    pairs = (picked["half"] - picked[BASE]).to_numpy()
    found = next(line for line in compared.comparisons[0].differences if line.name == "picked")
    assert found.give == pytest.approx(half_width(pairs, 1 - 0.05 / told))


# --- whether they had filled up ---------------------------------------------------------------------------------------


def settled(tiny: Farm, change: Farm, weeks: int) -> dict[str, Settled]:
    found = compare(tiny, {"change": change}, 3, Brief(weeks=weeks, where=Where(1)))
    assert found.as_plain["settled"] == {name or "One shed": one.verdict for name, one in found.settled.items()}
    return dict(found.settled)


def test_each_farm_is_judged_by_its_own_runs(tiny: Farm) -> None:
    """A smaller room, racks without end and blocks that keep: more of them stand on the farm from week to week."""
    (room,) = tiny.room
    keeps = {name: one.but(holds_ripe=one.holds_ripe.but(on_the_rack=9_600.0)) for name, one in tiny.strain.items()}
    chokes = tiny.but(room=(room.but(holds=200.0),), incubation=tiny.incubation.but(holds=5_000.0), strain=keeps)
    found = settled(tiny, chokes, 40)
    assert (found[BASE].verdict, found[BASE].lead_in) == ("settled", 8)
    assert (found["change"].verdict, found["change"].series) == ("did not settle", "blocks_inside")
    alone = farmsim.run(tiny, runs=3, weeks=40, workers=1).answers.settled
    assert found[BASE] == alone


def test_a_few_weeks_are_too_short_to_tell_and_a_dated_change_is_judged_after_its_day(tiny: Farm) -> None:
    assert {one.verdict for one in settled(tiny, more_starts(tiny, 61.0), 6).values()} == {"too short to tell"}
    later = tiny.but(changes=((21 * 168.0, more_starts(tiny, 30.0)),))
    found = settled(tiny, later, 40)
    assert (found[BASE].verdict, found["change"].verdict) == ("settled", "too short to tell")


# --- how many at once -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("workers", "changes", "at_once"), [(1, 1, 1), (2, 1, 1), (2, 2, 2), (4, 1, 2), (3, 1, 3)])
def test_no_more_pairs_are_asked_for_than_keep_all_workers_busy(
    tiny: Farm, monkeypatch: pytest.MonkeyPatch, workers: int, changes: int, at_once: int
) -> None:
    """A number of runs is one of each farm: two workers are kept busy by a single pair."""
    asked: list[int] = []

    def seek(until: Until, hands: int, take: object) -> Stopped:
        asked.append(hands)
        raise NotComparable("asked enough")

    monkeypatch.setattr("farmsim.study.compare.seek", seek)
    farms = {f"{blocks} blocks": more_starts(tiny, blocks) for blocks in (30.0, 31.0)[:changes]}
    with pytest.raises(NotComparable, match="asked enough"):
        compare(tiny, farms, Until(0.02), Brief(weeks=4, where=Where(workers)))
    assert asked == [at_once]
