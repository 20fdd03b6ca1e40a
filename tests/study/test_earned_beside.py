"""What each strain earns, beside the same farm changed: pairs of runs, and how it is told."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

import farmsim
from farmsim.report.compare import answer, earned
from farmsim.scenario.farm import Farm
from farmsim.study import earns
from farmsim.study.compare import Compared, Comparison, Difference, EarnedBeside, compare
from farmsim.study.frames import frames
from farmsim.study.pool import Where
from farmsim.study.precision import half_width
from farmsim.study.trials import Brief, Case, Trials

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
QUICK = Brief(weeks=6, where=Where(1))
WEEK = 168.0


@pytest.fixture(scope="module")
def tiny() -> Farm:
    return farmsim.load(SCENARIOS / "tiny.toml")


@pytest.fixture(scope="module")
def priced(tiny: Farm) -> Farm:
    shop, outlet = tiny.customer
    return tiny.but(customer=(shop.but(price=22.0), outlet.but(price=3.0)))


@pytest.fixture(scope="module")
def dearer(priced: Farm) -> Farm:
    shop, outlet = priced.customer
    return priced.but(customer=(shop.but(price=24.2), outlet))


@pytest.fixture(scope="module")
def fewer(priced: Farm) -> Farm:
    """Without the second strain's starts."""
    return priced.but(start=tuple(line for line in priced.start if line.strain == "blue-oyster"))


@pytest.fixture(scope="module")
def compared(priced: Farm, dearer: Farm, fewer: Farm) -> Compared:
    return compare(priced, {"dearer": dearer, "fewer": fewer}, 4, QUICK)


def of_runs(farm: Farm, base: Farm) -> dict[str, earns.ByRun]:
    with Trials(base, QUICK) as trials:
        found = trials.take([Case(farm, number) for number in range(4)], (earns.TABLE,))
    return earns.by_run(frames(found)[earns.TABLE], 6)


def line(one: Comparison, strain: str, figure: str) -> Difference:
    (found,) = [
        each
        for beside in one.earned or ()
        if beside.strain == strain
        for each in beside.differences
        if each.name == figure
    ]
    return found


def test_every_figure_of_every_strain_is_compared_run_by_run_and_the_risk_shared_over_all(
    compared: Compared, priced: Farm, dearer: Farm
) -> None:
    before, after = (of_runs(farm, priced) for farm in (priced, dearer))
    told = sum(len(beside.differences) for one in compared.comparisons for beside in one.earned or ())
    assert told > 12
    for strain in ("blue-oyster", "lions-mane"):
        for name, (said, unit) in earns.SAID.items():
            if name == "block_sold":
                continue
            ours, theirs = getattr(before[strain], name), getattr(after[strain], name)
            found = line(compared.comparisons[0], strain, said)
            assert (found.unit, found.base, found.mean) == (
                unit, pytest.approx(ours.mean()), pytest.approx((theirs - ours).mean()),
            )  # fmt: skip
            assert found.give == pytest.approx(half_width(theirs - ours, 1 - 0.05 / told))
    assert line(compared.comparisons[0], "blue-oyster", "a year").verdict == "more"


def test_a_strain_that_is_given_up_earns_nothing_a_year_and_has_no_earnings_a_block(compared: Compared) -> None:
    gone = line(compared.comparisons[1], "lions-mane", "a year")
    assert gone.change == 0.0 and gone.base > 0.0 and gone.mean == pytest.approx(-gone.base)
    (beside,) = [each for each in compared.comparisons[1].earned or () if each.strain == "lions-mane"]
    assert [each.name for each in beside.differences] == ["a year"]


def test_a_block_that_nobody_buys_earns_nothing_sold(compared: Compared) -> None:
    every = [each.name for one in compared.comparisons for beside in one.earned or () for each in beside.differences]
    assert "a block fruited" in every and "a block sold" not in every


def test_it_stands_in_the_csv_the_json_and_on_the_screen(compared: Compared) -> None:
    given = answer(compared, ["base.toml", "dearer.toml", "fewer.toml"])
    table, plain = given.tables["earned"], compared.as_plain["changes"]
    assert list(table)[:4] == ["change", "strain", "figure", "unit"]
    row = table[(table["change"] == "dearer") & (table["strain"] == "blue-oyster") & (table["figure"] == "an hour")]
    assert len(row) == 1 and row["unit"].iloc[0] == "currency/h"
    assert isinstance(plain, dict)
    strains = plain["dearer"]["earned_by_strain"]
    assert [each["strain"] for each in strains] == ["blue-oyster", "lions-mane"]
    assert strains[0]["figures"][0]["figure"] == "a year"
    assert strains[0]["figures"][0]["difference"] == line(compared.comparisons[0], "blue-oyster", "a year").mean
    text = " ".join(given.text.split())
    assert "By strain, before wages: blue-oyster" in text and "USD a year more, surely over" in text
    assert "What strains earn (takings less what is bought for them) is told as surely, all of that by itself." in text


def test_a_farm_without_prices_is_told_as_before(tiny: Farm) -> None:
    more = tiny.but(start=(tiny.start[0].but(blocks=61.0), *tiny.start[1:]))
    found = compare(tiny, {"more": more}, 2, QUICK)
    given = answer(found, ["base.toml", "more.toml"])
    assert found.comparisons[0].earned == () and "earned" not in given.tables
    assert "earned_by_strain" not in str(found.as_plain)
    assert "strain" not in given.text and "What strains earn" not in given.text


def test_with_prices_on_one_side_only_strains_are_not_told(tiny: Farm, priced: Farm) -> None:
    assert compare(tiny, {"priced": priced}, 2, QUICK).comparisons[0].earned == ()


def test_when_dated_changes_part_the_weeks_it_is_said_that_strains_cannot_be_told(priced: Farm, dearer: Farm) -> None:
    dated = priced.but(changes=((3 * WEEK, dearer),))
    later = priced.but(changes=((3 * WEEK, priced.but(start=priced.start[:1])),))
    found = compare(priced, {"dated": dated}, 2, QUICK)
    assert found.comparisons[0].earned is None and not len(found.earned_table)
    text = " ".join(answer(found, ["base.toml", "dated.toml"]).text.split())
    assert (
        "What each strain earns is not put side by side: a farm's strains are told since its own last dated change, the base's "
        "from week 1 on, this farm's from week 4 on. farmsim money tells those of each; with the same last date in both they "
        "can be compared." in text
    )
    told = found.as_plain["changes"]["dated"]  # type: ignore[index]
    assert told["earned_by_strain"] is None
    assert told["earned_not_told"] == {"why": "weeks differ", "base_from_week": 1, "changed_from_week": 4}
    assert compare(dated, {"later": later}, 2, QUICK).comparisons[0].earned


def test_the_screen_names_three_strains_at_most_those_of_most_money_first() -> None:
    def strain(name: str, mean: float, give: float) -> EarnedBeside:
        return EarnedBeside(name, (Difference("a year", "currency/year", 1000.0, 1000.0 + mean, mean, give, None),))

    four = (strain("a", 100.0, 10.0), strain("b", -4000.0, 55.4), strain("c", 300.0, 20.0), strain("d", 200.0, 20.0))
    one = Comparison("change", 6, 0, (), (*four, strain("unsure", 9000.0, 9999.0)))
    assert earned(one.earned, "USD") == (
        "By strain, before wages: b 4,000 USD a year less, surely over 3,944; c 300 USD a year more, surely over 280; "
        "d 200 USD a year more, surely over 180; 1 more in earned.csv."
    )
    none = replace(one, earned=(strain("unsure", 9000.0, 9999.0),))
    assert earned(none.earned, "USD") == "By strain, before wages: none surely earns more or less (earned.csv)."


def test_earnings_by_hand() -> None:
    """Two runs of two weeks: of 100 blocks 60 are fruited and 30 sold, materials 180 are 2 a block; then all 20 are lost."""
    columns = {
        "run": [1, 2], "strain": ["oyster", "oyster"], "mushrooms": [600.0, 0.0], "blocks": [240.0, 0.0],
        "spent_blocks": [6.0, 0.0], "block_materials": [180.0, 50.0], "packaging": [30.0, 0.0], "block_boxes": [15.0, 0.0],
        "disposal": [12.0, 0.0], "kg_sold": [30.0, 0.0], "blocks_in": [100.0, 20.0], "blocks_away": [30.0, 0.0],
        "blocks_fruited": [60.0, 0.0], "shelf_weeks": [120.0, 0.0], "rack_weeks": [300.0, 10.0], "hours": [40.0, 2.0],
    }  # fmt: skip
    found = earns.by_run(pd.DataFrame(columns), 2)["oyster"]
    fruited, sold = 600 + 6 - 30 - 12 - 120, 240 - 15 - 60
    assert found.a_year[0] == pytest.approx((fruited + sold) * 365 / 14)
    assert [values[0] for values in found[1:]] == pytest.approx(
        [fruited / 60, sold / 30, fruited / 120, (fruited + sold) / 300, (fruited + sold) / 40]
    )
    assert [bool(np.isnan(values[1])) for values in found] == [False, True, True, True, False, False]
    (told,) = earns.earns(pd.DataFrame(columns), 2)
    assert told.block_fruited is None and told.rack_week is not None and told.rack_week.runs[1] == -5.0
    assert told.a_year.runs[1] == pytest.approx(-50 * 365 / 14)
