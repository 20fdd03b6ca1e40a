"""What moves the answer of a farm: what surely does is found and ranked, what does not is said to have no effect found."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import farmsim
from farmsim.errors import RunStuck, ScenarioFault
from farmsim.record.measures import RunTables
from farmsim.scenario.costs import Materials
from farmsim.scenario.figure_at import Figures
from farmsim.study import sensitivity_plan
from farmsim.study.bounds import NotAllowed
from farmsim.study.effects import FEWEST_ROWS, Effect, crossed, effects, screening
from farmsim.study.headlines import LEFT, OPERATING, PICKED, SOLD
from farmsim.study.pool import Where
from farmsim.study.sensitivity import NothingToSense, _Field, _lines, _with_shares, own_luck, sensitivity
from farmsim.study.sensitivity_answers import Mover, Sensed
from farmsim.study.sensitivity_plan import LUCKS, NoTime, Plan, TooShort, plan
from farmsim.study.trials import Brief, Case, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
QUICK = Brief(weeks=4, where=Where(1))
MOST_STARTS = 10
ONE_RUN = sensitivity_plan._one_run  # before it is given a pace
YIELD = "strain.*.yield.mean=1.8:2.4"


@pytest.fixture(scope="module")
def tiny() -> Figures:
    return Figures(SCENARIOS / "tiny.toml")


@pytest.fixture(autouse=True, scope="module")
def _same_pace() -> object:
    """A run takes as long as is said here, so that plans are the same on every machine."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sensitivity_plan, "_one_run", lambda book, brief: 1.0)
        patch.setattr(sensitivity_plan, "MOST_STARTS", MOST_STARTS)
        patch.setattr(sensitivity_plan, "MOST_ENDS", 6)
        patch.setattr(sensitivity_plan, "MOST_ROWS", FEWEST_ROWS)
        yield


def put(book: Figures, *ranges: str, most: int | None = 3, runs: float = 110, brief: Brief = QUICK) -> Plan:
    return plan(book, ranges, most, minutes=runs / 60, brief=brief)


@pytest.fixture(scope="module")
def sensed(tiny: Figures) -> Sensed:
    return sensitivity(put(tiny, YIELD), ("picked", "sold"), QUICK)


def test_a_plan_fits_into_its_time(tiny: Figures) -> None:
    short = put(tiny, YIELD)
    assert (len(short.doubts), short.lucks, short.starts) == (3, 2, 9)  # 0.7 of 110 runs, 8 for each starting point
    assert short.runs <= 110 and short.minutes == pytest.approx(short.runs / 60)
    assert short.rows_for(3, short.left_after(3)) == 0
    long = put(tiny, YIELD, runs=2000)
    assert long.starts == MOST_STARTS and long.runs <= 2000
    assert long.rows_for(3, long.left_after(3)) >= FEWEST_ROWS


def test_a_number_of_runs_is_the_same_plan_however_long_a_run_takes(tiny: Figures) -> None:
    told = plan(tiny, (YIELD,), 3, runs=110, minutes=0.01, brief=Brief(weeks=4, where=Where(2)))
    ours = put(tiny, YIELD)
    assert (told.starts, told.ends_lucks, told.budget) == (ours.starts, ours.ends_lucks, 110)
    assert plan(tiny, (YIELD,), None, runs=138, brief=QUICK).starts == 4  # what is told to be the least is enough


def test_two_hands_have_twice_the_time(tiny: Figures) -> None:
    assert put(tiny, YIELD, brief=Brief(where=Where(2))).budget == 2 * put(tiny, YIELD).budget


def test_a_cluster_is_asked_for_runs_as_nobody_knows_its_pace(tiny: Figures) -> None:
    away = Brief(weeks=4, where=Where(cluster="tcp://127.0.0.1:1"))
    with pytest.raises(NoTime, match=r"how many runs a cluster does in a time is not known here.*say with --runs"):
        plan(tiny, (YIELD,), 3, minutes=3, brief=away)
    told = plan(tiny, (YIELD,), 3, runs=110, brief=away)
    assert (told.starts, told.budget, told.minutes) == (9, 110, None)
    with pytest.raises(TooShort, match=r"^11 figures take at least 138 runs; give more \(--runs 138\), or fewer"):
        plan(tiny, (YIELD,), None, runs=100, brief=away)


def test_only_a_second_run_is_timed(tiny: Figures, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first also loads what all runs need, or connects."""
    clock, took = [0.0], {0: 50.0, 1: 2.0}

    def take(trials: Trials, cases: Sequence[Case]) -> None:
        clock[0] += sum(took[case.number] for case in cases)

    monkeypatch.setattr(Trials, "take", take)
    monkeypatch.setattr(time, "perf_counter", lambda: clock[0])
    assert ONE_RUN(tiny, QUICK) == 2.0


def test_what_is_left_out_is_told(tiny: Figures) -> None:
    three = put(tiny, YIELD)
    assert three.doubts[0].name == "strain.*.yield.mean"
    assert ("only 3 are moved, those of most things first", "--all moves all") in {
        (each.why, each.mend) for each in three.left
    }
    assert len(put(tiny, YIELD, most=None, runs=2000).doubts) == 11
    assert len(put(tiny, YIELD, "room.Shed.holds=320:360", most=1).doubts) == 2  # what is given is always moved


def test_too_short_a_time_is_refused_with_what_it_takes(tiny: Figures) -> None:
    with pytest.raises(TooShort) as caught:
        put(tiny, YIELD, most=None, runs=100)
    assert str(caught.value) == (
        "11 figures take at least 138 runs, about 2.3 min here; give more time (--budget 3 or more, or --runs 138), "
        "or fewer figures (--most 7)"
    )
    with pytest.raises(NotAllowed, match="runs of each farm is 1; needs a whole number from 2 to 100"):
        plan(tiny, (), 3, 1, brief=QUICK)


def test_a_range_that_the_rules_forbid_is_told_at_once(tiny: Figures) -> None:
    with pytest.raises(ScenarioFault, match=r"crew\.owner\.people = 0.*needs 1 to 10,000"):
        put(tiny, "crew.owner.people=0:3")


def test_more_yield_surely_brings_more_to_pick(sensed: Sensed) -> None:
    first = sensed.movers[0]
    assert first.name == "strain.*.yield.mean" and first.things == 2 and not first.is_guess
    picked = first.effects[0]
    assert picked.kind == "more" and picked.mean > picked.give
    low, high = first.ends[0]
    assert low.verdict == "less" and low.mean < high.mean
    assert [asked.name for asked in sensed.answers] == ["picked", "sold to orders"]


def test_what_matters_stands_before_what_does_not(sensed: Sensed) -> None:
    found = [mover.is_found for mover in sensed.movers]
    assert found == sorted(found, reverse=True)
    assert all(not mover.ends for mover in sensed.movers if not mover.is_found)
    assert sensed.as_plain["measure_first"] == [mover.name for mover in sensed.found if mover.is_guess]
    assert len(sensed.table) == len(sensed.movers) * 2


def test_any_number_of_workers_finds_the_same(tiny: Figures, sensed: Sensed) -> None:
    again = sensitivity(put(tiny, YIELD), ("picked", "sold"), Brief(weeks=4, where=Where(2)))
    assert again.as_plain == sensed.as_plain


def test_shares_are_found_when_there_is_time(tiny: Figures) -> None:
    found = sensitivity(put(tiny, YIELD, most=1, runs=700), ("picked",), QUICK)
    assert found.rows == FEWEST_ROWS
    share = found.movers[0].shares[0]
    assert share.is_alone_found and share.alone + share.alone_give > 0.9  # there is no other


def test_what_does_nothing_is_not_ranked(tiny: Figures) -> None:
    """No run reads how cold the air of a walk-in is: it is only read back."""
    found = sensitivity(put(tiny, "walk_in.fridge.air=33:36", most=1), ("picked",), QUICK)
    assert found.found == () and found.movers[0].effects[0].kind == "no effect found"
    assert found.as_plain["measure_first"] == []


def test_starting_points_that_are_not_possible_are_left_out(tiny: Figures, monkeypatch: pytest.MonkeyPatch) -> None:
    from farmsim.study import trials

    whole = trials.one_run

    def one_run(farm: farmsim.Farm, seed: int, weeks: int, number: int) -> object:
        if farm.room[0].holds > limit:
            raise RunStuck("nothing moves any more", ["a lot"])
        return whole(farm, seed, weeks, number)

    monkeypatch.setattr(trials, "one_run", one_run)
    narrow, limit = put(tiny, "room.Shed.holds=340:380", YIELD, most=1), 1000.0
    limit = 341.0
    with pytest.raises(
        NothingToSense, match=r"starting points \d+ lead to farms that are not possible, and 4 are needed"
    ):
        sensitivity(narrow, ("picked",), QUICK)


def test_answers_that_the_farm_does_not_have(tiny: Figures) -> None:
    with pytest.raises(NothingToSense, match="the farm has nothing of left; it has sold, picked, delivered"):
        sensitivity(put(tiny, YIELD, most=1), ("left",), QUICK)


def test_money_is_less_all_that_is_paid_where_the_farm_gives_it(tiny: Figures) -> None:
    shop, outlet = tiny.farm.customer
    priced = tiny.farm.but(customer=(shop.but(price=22.0), outlet))
    costly = priced.but(materials=Materials(packaging=0.5))
    with Trials(priced, QUICK) as trials:
        runs = trials.by_farm([priced, costly, tiny.farm], range(2))
    assert [_lines(each, (), 0)[0] for each in runs] == [LEFT, OPERATING, SOLD]
    assert _lines(runs[1], ("left",), 0) == [OPERATING]


# --- luck, and farms that are not possible ------------------------------------------------------------------------------


class MereLuck:
    """Runs of farms that are mere places: what a figure does to the answer is nothing but luck, alike for all its farms.

    missing: farms whose runs know no answer
    """

    weeks = 1

    def __init__(self, figures: int, answer: int, missing: Callable[[tuple[float, ...]], bool] = lambda place: False):
        self._figures, self._answer, self._missing = figures, answer, missing
        self.asked: list[range] = []

    def by_farm(self, farms: Sequence[tuple[float, ...]], numbers: range) -> list[list[RunTables]]:
        self.asked.append(numbers)
        return [[self._tables(farm, number) for number in numbers] for farm in farms]

    def _tables(self, place: tuple[float, ...], number: int) -> RunTables:
        if self._missing(place):
            return {}
        does = np.random.default_rng([self._answer, number]).normal(size=self._figures)
        return {"weekly": {"week": np.array([1.0]), "picked_kg": np.array([float(does @ place)])}}


class Places:
    """A book whose farms are the places themselves."""

    def __init__(self, book: Figures) -> None:
        self.farm = book.farm

    def farm_with(self, values: Sequence[float]) -> tuple[float, ...]:
        return tuple(values)


class AtItsShare:
    """A doubt whose value is its place."""

    def __init__(self, name: str) -> None:
        self.name = name

    def values(self, share: float) -> list[float]:
        return [share]


def field(book: Figures, figures: int, trials: MereLuck) -> _Field:
    doubts: Any = [AtItsShare(str(at)) for at in range(figures)]
    places: Any = Places(book)
    runs: Any = trials
    return _Field(places, doubts, runs)


def mover(name: str) -> Mover:
    effect = Effect(1.0, 0.5, 1.0, 0.5, "more")
    return Mover(name, name, 1, "0", "1", "0", "placeholder", True, (effect,))


def test_what_is_only_luck_is_called_an_effect_no_oftener_than_promised(tiny: Figures) -> None:
    """Luck that moves the answer alike from everywhere: it must not pass for what the figures do."""
    figures, answers, wrong = 4, 200, 0
    for answer in range(answers):
        tried = screening(figures, 6, 1)
        design, values, _ = field(tiny, figures, MereLuck(figures, answer)).over(
            tried, range(figures), [PICKED], LUCKS, own_luck(LUCKS)
        )
        wrong += any(one.is_found for one in effects(design, values[PICKED], figures, 1))
    assert wrong / answers < 0.05 + 3 * (0.05 * 0.95 / answers) ** 0.5


def test_starting_points_share_no_luck_and_the_ends_have_luck_of_their_own(
    tiny: Figures, monkeypatch: pytest.MonkeyPatch
) -> None:
    short, taken = put(tiny, YIELD), []
    whole = Trials.take

    def take(trials: Trials, cases: Sequence[Case]) -> list[RunTables]:
        taken.append({case.number for case in cases})
        return whole(trials, cases)

    monkeypatch.setattr(Trials, "take", take)
    sensitivity(short, ("picked",), QUICK)
    screened = [each for each in taken if len(each) == LUCKS]
    assert len(screened) == short.starts and sum(map(len, screened)) == len(set.union(*screened))
    ends = [each for each in taken if len(each) != LUCKS]
    assert len(ends) >= 3 and all(each == ends[0] for each in ends)  # as it is, and one figure at both of its ends
    assert not ends[0] & set.union(*screened)


def stuck(farm: farmsim.Farm) -> RunTables:
    raise RunStuck("2 lots can never move", ["a lot"])


def without_picking(farm: farmsim.Farm) -> RunTables:
    return {"weekly": {"week": np.array([1.0])}}


@pytest.mark.parametrize(
    ("at_the_end", "why"),
    [(stuck, "2 lots can never move"), (without_picking, "not every run has a figure for picked")],
)
def test_an_end_that_cannot_be_run_is_left_out_with_the_reason_and_the_other_stands(
    tiny: Figures, monkeypatch: pytest.MonkeyPatch, at_the_end: Callable[[farmsim.Farm], RunTables], why: str
) -> None:
    from farmsim.study import trials

    one = put(tiny, YIELD, most=1)
    whole, low = trials.one_run, tiny.farm_with(one.doubts[0].values(0.0))

    def one_run(farm: farmsim.Farm, seed: int, weeks: int, number: int) -> RunTables:
        at_low = farm.strain == low.strain
        return at_the_end(farm) if at_low and number in one.ends_numbers else whole(farm, seed, weeks, number)

    monkeypatch.setattr(trials, "one_run", one_run)
    found = sensitivity(one, ("picked",), QUICK)
    left, stands = found.movers[0].ends[0]
    assert left == why
    assert not isinstance(stands, str) and stands.verdict == "less"  # the farm itself has more than both
    assert found.table["at_low_verdict"][0] == f"left out: {why}" and found.table["at_high_verdict"][0] == "less"


@pytest.mark.parametrize(("bad", "rows", "dropped"), [(0, 64, 0), (5, 59, 5), (40, 0, 40), (64, 0, 64)])
def test_rows_that_are_not_possible_are_told_and_too_few_rows_give_no_shares(
    tiny: Figures, bad: int, rows: int, dropped: int
) -> None:
    design, movers = crossed(2, 64, 1), [mover("0"), mover("1")]
    gone = {tuple(map(float, design.places[row * design.block])) for row in range(bad)}
    two = field(tiny, 2, MereLuck(2, 1, lambda place: place in gone))
    with_them, used, left_out = _with_shares(two, put(tiny, YIELD), [PICKED], movers, [0, 1], 64, 1)
    assert (used, left_out) == (rows, dropped)
    assert all(bool(each.shares) == bool(rows) for each in with_them)
