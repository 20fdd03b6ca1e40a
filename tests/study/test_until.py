"""As many runs as it takes: the rule by itself, the batches, and studies that stop where it says."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.scenario.history import History
from farmsim.study.compare import compare
from farmsim.study.headlines import JUDGED
from farmsim.study.pool import Where
from farmsim.study.precision import half_width, runs_needed
from farmsim.study.replicate import Result, replicate
from farmsim.study.trials import Brief
from farmsim.study.until import (
    AHEAD,
    LEAST,
    Figure,
    NoPrecision,
    Stopped,
    Until,
    Watched,
    ahead_of,
    enough,
    read,
    seek,
)

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
BANK = (1.53, 1.66, 1.24, 2.34, 2.00, 1.69, 2.69, 2.86, 1.70, 2.60)  # Law: average delays of ten days of a bank
PUBLISHED = {3: 0.3617, 4: 0.4381, 5: 0.3018, 6: 0.2301, 7: 0.2460, 8: 0.2416, 9: 0.2149, 10: 0.1958}
"""Half the width of their 95 % interval as part of the mean, by days."""


def watched(*columns: Sequence[float | None]) -> Watched:
    return Watched(tuple(Figure(f"{at}", "kg/week", tuple(each), tuple(each)) for at, each in enumerate(columns)))


def luck(runs: int, spread: float, seed: int = 1) -> tuple[float, ...]:
    return tuple(float(value) for value in np.random.default_rng(seed).normal(100.0, spread, runs))


# --- the rule -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("days", PUBLISHED)
def test_bank_days_are_enough_at_their_published_width(days: int) -> None:
    width = PUBLISHED[days]
    assert enough(watched(BANK[:days]), width + 5e-5, least=days, ahead=0) == days
    assert enough(watched(BANK[:days]), width - 5e-5, least=days, ahead=0) is None


@pytest.mark.parametrize(
    ("within", "ahead", "days"),
    [(0.37, 0, 3), (0.37, 1, 5), (0.25, 0, 6), (0.25, 4, 6), (0.24, 0, 6), (0.24, 1, 9), (0.24, 2, None), (0.2, 0, 10)],
)
def test_looking_ahead_passes_over_an_interval_that_is_narrow_by_chance(
    within: float, ahead: int, days: int | None
) -> None:
    """Three bank days look sure enough and the fourth takes it back; so does the seventh after six."""
    assert enough(watched(BANK), within, least=3, ahead=ahead) == days


def test_the_look_ahead_grows_with_more_than_a_hundred_runs() -> None:
    assert [ahead_of(runs) for runs in (20, 100, 119, 120, 200, 1_000)] == [5, 5, 5, 6, 10, 50]
    assert enough(watched([7.0] * 209), 0.02, least=200) is None
    assert enough(watched([7.0] * 210), 0.02, least=200) == 200


def test_fewer_than_twenty_runs_are_never_enough_nor_those_nothing_is_known_beyond() -> None:
    assert enough(watched([7.0] * (LEAST + AHEAD - 1)), 0.02) is None
    assert enough(watched([7.0] * (LEAST + AHEAD)), 0.02) == LEAST


def test_more_runs_than_needed_change_nothing() -> None:
    values = luck(120, 10.0)
    found = enough(watched(values), 0.03)
    assert found is not None and LEAST < found < 100
    told = [enough(watched(values[:runs]), 0.03) for runs in range(1, 121)]
    assert told == [None] * (found + AHEAD - 1) + [found] * (120 - found - AHEAD + 1)
    within = [
        half_width(values[:runs]) <= 0.03 * np.mean(values[:runs]) for runs in range(found - 1, found + AHEAD + 1)
    ]
    assert within == [False] + [True] * (AHEAD + 1)


def test_the_worst_figure_decides_and_the_risk_is_shared_out() -> None:
    wide, narrow = luck(120, 10.0), luck(120, 1.0, 2)
    found = enough(watched(narrow, wide), 0.03)
    assert found is not None
    assert half_width(wide[:found], 0.975) <= 0.03 * np.mean(wide[:found])
    assert half_width(wide[: found - 1], 0.975) > 0.03 * np.mean(wide[: found - 1])
    alone = enough(watched(wide), 0.03)
    assert alone is not None and alone < found


def test_intervals_that_are_told_besides_take_their_share_of_the_risk() -> None:
    wide = watched(luck(120, 10.0))
    among_ten = enough(Watched(wide.figures, (10,) * 120), 0.03)
    alone = enough(wide, 0.03)
    assert among_ten is not None and alone is not None and among_ten > alone
    values = wide.figures[0].values[:among_ten]
    assert half_width([value or 0.0 for value in values], 0.995) <= 0.03 * np.mean([value or 0.0 for value in values])


def test_a_share_is_known_to_points() -> None:
    shares = tuple(0.1 + value / 10_000 for value in luck(60, 300.0))
    points = Watched((Figure("kept", "share", shares, None),))
    found = enough(points, 0.02)
    assert found is not None and half_width(shares[:found]) <= 0.02
    assert enough(watched(shares), 0.02) is None  # of so small a share itself it would be far off


def test_what_a_change_does_is_known_as_part_of_the_bases_figure() -> None:
    pairs, base = tuple(value - 99.0 for value in luck(60, 2.0)), (100.0,) * 60
    assert enough(Watched((Figure("picked", "kg/week", pairs, base, "change"),)), 0.02) == LEAST
    assert enough(Watched((Figure("picked", "kg/week", pairs, pairs, "change"),)), 0.02) is None


def test_what_a_run_does_not_know_or_nobody_has_is_not_judged() -> None:
    good = luck(30, 1.0)
    unknown = (*luck(10, 90.0), None, *luck(19, 90.0))
    found = seek(Until(0.02), 1, lambda numbers, about: watched(good, unknown, [0.0] * 30))
    assert found.runs == LEAST and [one.name for one in found.figures] == ["0"]


# --- batches --------------------------------------------------------------------------------------------------------


class Workshop:
    """Hands out made-up runs and remembers in which batches they were asked for."""

    def __init__(self, values: Sequence[float]) -> None:
        self.values, self.batches = values, list[range]()
        self.told: list[int] = []

    def take(self, numbers: range, about: int) -> Watched:
        self.batches.append(numbers)
        self.told.append(about)
        return watched(self.values[: numbers.stop])


@pytest.mark.parametrize("spread", [1.0, 5.0, 10.0, 30.0])
def test_the_answer_is_the_same_for_any_number_of_workers(spread: float) -> None:
    values, found = luck(400, spread), []
    for hands in (1, 2, 3, 7, 64):
        shop = Workshop(values)
        found.append(seek(Until(0.02, 250), hands, shop.take))
        ends = [0, *(batch.stop for batch in shop.batches)]
        assert [(batch.start, batch.step) for batch in shop.batches] == [(end, 1) for end in ends[:-1]]
        assert all(len(batch) % hands == 0 or batch.stop == 250 for batch in shop.batches)
        assert shop.batches[-1].stop <= 250
        assert all(
            about >= len(batch) and batch.start + about <= 250
            for about, batch in zip(shop.told, shop.batches, strict=True)
        )
    assert all(each == found[0] for each in found)
    assert found[0].is_enough == (spread < 20)


def test_a_budget_that_ends_first_tells_what_was_reached_and_what_it_would_take() -> None:
    values = luck(40, 30.0)
    found = seek(Until(0.02, 40), 2, Workshop(values).take)
    (one,) = found.figures
    assert (found.runs, found.is_enough, one.is_near) == (40, False, False)
    assert one.part == pytest.approx(half_width(values) / np.mean(values))
    assert one.needed == runs_needed(values, 0.02 * float(np.mean(values))) and one.needed > 500
    assert found.as_plain == {
        "precision": 0.02, "most_runs": 40, "sure": 0.95, "runs": 40, "reached": False,
        "figures": [{"figure": "0", "unit": "kg/week", "known_to": one.part, "reached": False, "runs_needed": one.needed}],
    }  # fmt: skip


def test_what_it_would_take_is_as_sure_as_all_that_is_told_together() -> None:
    values = luck(40, 30.0)
    among_ten = Watched(watched(values).figures, (10,) * 40)
    (one,) = seek(Until(0.05, 40), 40, lambda numbers, about: among_ten).figures
    assert one.needed == runs_needed(values, 0.05 * float(np.mean(values)), 0.995)
    assert one.part == pytest.approx(half_width(values, 0.995) / np.mean(values))


def test_twenty_runs_may_be_all_that_is_allowed() -> None:
    found = seek(Until(0.02, 20), 3, Workshop(luck(20, 1.0)).take)
    assert (found.runs, found.is_enough) == (20, True)


# --- what is asked for ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "value"), [("2%", 0.02), ("2 %", 0.02), ("0.5 percent", 0.005), (" 50% ", 0.5), ("0.1 %", 0.001)]
)
def test_a_precision_as_it_is_typed(text: str, value: float) -> None:
    assert read(text) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("0.02", ' Did you mean "2 %"?'),
        ("2", ' Did you mean "2 %"?'),
        ("0", ""),
        ("60 %", ""),
        ("0.05 %", ""),
        ("-2 %", ""),
        ("2 lb", ""),
        ("2 % a week", ""),
        ("two", ""),
        ("", ""),
    ],
)
def test_what_is_no_precision_is_told_with_what_is_allowed(text: str, mend: str) -> None:
    with pytest.raises(NoPrecision) as told:
        read(text)
    assert str(told.value) == (
        f'"{text}" is no precision: write how far off a figure may be, in percent of it, from 0.1 % to 50 %, such as '
        f'"2 %".{mend}'
    )
    assert told.value.exit_code == 2


def test_what_cannot_be_asked_for_from_python() -> None:
    with pytest.raises(NoPrecision, match=r"precision is 2; needs a share from 0\.001 to 0\.5"):
        Until(2)
    with pytest.raises(NoPrecision, match="judged by 20 runs at least, and only 19 are allowed"):
        Until(0.02, 19)
    with pytest.raises(ValueError, match="runs is 20000; needs a whole number from 1 to 10,000"):
        Until(0.02, 20_000)


# --- studies --------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


UNTIL = Until(0.03)


@pytest.fixture(scope="module")
def result(tiny: Farm) -> Result:
    return replicate(tiny, UNTIL, Brief(weeks=4, where=Where(1)))


def written(result: Result, folder: Path) -> dict[str, bytes]:
    folder.mkdir()
    result.write(folder)
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def stopped_of(result: Result) -> Stopped:
    assert result.answers.stopped is not None
    return result.answers.stopped


def test_a_study_is_that_of_the_runs_it_took(tiny: Farm, result: Result, tmp_path: Path) -> None:
    runs = stopped_of(result).runs
    assert runs > LEAST and stopped_of(result).is_enough
    plain = replicate(tiny, runs, Brief(weeks=4, where=Where(1)))
    assert plain.answers.stopped is None and plain.answers.study.runs == runs
    assert written(result, tmp_path / "until") == written(plain, tmp_path / "plain")


def test_figures_the_farm_has_not_are_not_judged(result: Result) -> None:
    names = [one.name for one in stopped_of(result).figures]
    assert names == [line.name for line in JUDGED if line.name != "blocks sold"]
    week = result.answers.weeks["picked_kg"].mean
    part = next(one.part for one in stopped_of(result).figures if one.name == "picked")
    assert week.give is not None and week.give / week.value < part <= UNTIL.within  # told together they are wider


def test_a_restart_on_other_workers_finds_the_same_and_works_nothing_out_twice(
    tiny: Farm, result: Result, tmp_path: Path
) -> None:
    store = tmp_path / "runs.sqlite"
    replicate(tiny, 9, Brief(weeks=4, where=Where(1), store=store))
    some = Brief(weeks=4, where=Where(2), store=store)
    again = replicate(tiny, UNTIL, some)
    assert stopped_of(again) == stopped_of(result) and again.answers == result.answers
    assert some.tally.stored == 9 and some.tally.done >= stopped_of(result).runs + AHEAD
    all_there = Brief(weeks=4, where=Where(1), store=store)
    assert replicate(tiny, UNTIL, all_there).answers == result.answers
    assert all_there.tally.stored == all_there.tally.done


def test_a_comparison_is_that_of_the_runs_it_took(tiny: Farm) -> None:
    changes = {
        "half": tiny.but(start=(tiny.start[0].but(blocks=30.0), *tiny.start[1:])),
        "fewer": tiny.but(start=(tiny.start[0].but(blocks=50.0), *tiny.start[1:])),
    }
    found = compare(tiny, changes, Until(0.035), Brief(weeks=4, where=Where(1)))
    assert found.stopped is not None and found.stopped.is_enough and found.runs > LEAST
    plain = compare(tiny, changes, found.runs, Brief(weeks=4, where=Where(1)))
    assert found.table.equals(plain.table) and found.weekly.equals(plain.weekly)
    assert {one.change for one in found.stopped.figures} == {"half", "fewer"}
    for one in found.stopped.figures:
        comparison = next(each for each in found.comparisons if each.change == one.change)
        line = next(each for each in comparison.differences if each.name == one.name)
        size = 1.0 if one.unit == "share" else line.base
        assert one.part == pytest.approx((line.give or 0.0) / size)  # the very intervals that are told
    assert found.as_plain["until"] == found.stopped.as_plain and "until" not in plain.as_plain


def test_the_same_is_asked_for_from_python(tiny: Farm, result: Result) -> None:
    assert farmsim.run(tiny, weeks=4, workers=1, precision=UNTIL.within).answers == result.answers
    allowed = stopped_of(farmsim.run(tiny, 20, weeks=1, workers=1, precision=0.001))
    assert (allowed.runs, allowed.until.most, allowed.is_enough) == (20, 20, False)


def test_a_farm_beside_its_own_year_runs_that_as_often() -> None:
    farm = farmsim.load(SCENARIOS / "tiny.toml")
    own = farm.but(history=History(from_="2027-01", paid_hours=(80.0,) * 12))
    brief = Brief(weeks=2, where=Where(1))
    found = replicate(own, Until(0.2), brief)
    assert found.answers.study.runs == LEAST and found.answers.own_year is not None
    assert brief.tally.done == 2 * LEAST + AHEAD
