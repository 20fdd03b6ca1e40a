"""What is told of each strain and of the year, worked out by hand."""

from datetime import date
from pathlib import Path

import pandas as pd
import pytest

import farmsim
from farmsim.record.measures.strains import NOBODY
from farmsim.scenario.farm import Farm
from farmsim.scenario.seasons import Months, Shut
from farmsim.scenario.values import MONTHS
from farmsim.study import strains
from farmsim.study.strain_answers import Step
from farmsim.study.year import Factors, Open, Still, Year, year

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
FARM: Farm = farmsim.load(SCENARIOS / "tiny.toml")
SEASON = (*(1.0,) * 11, 1.6)


def test_ratios_of_a_strain_are_those_of_its_sums() -> None:
    one = {"strain": "oyster", "blocks_fruited": 60.0, "blocks_sold": 20.0, "shelf_weeks": 240.0, "picked_kg": 33.0,
           "firsts_kg": 25.0, "seconds_kg": 5.0}  # fmt: skip
    table = pd.DataFrame([{"run": 1, **one}, {"run": 2, **one}])
    hours = pd.DataFrame(
        [(1, "oyster", "mix", 8.0), (2, "oyster", "mix", 8.0), (1, "oyster", "pick", 6.0), (1, NOBODY, "clean", 3.0)],
        columns=["run", "strain", "duty", "strain_hours"],
    )
    (found,) = strains.takes(table, hours, 2)
    assert (found.saleable, found.fruited, found.shelf_weeks) == (30.0, 60.0, 240.0)
    assert (found.kg_a_shelf_week, found.shelf_weeks_a_block, found.shelf_weeks_a_kg) == (30 / 240, 4.0, 8.0)
    assert found.block_hours_a_block == 8.0 / 80.0
    assert found.hours_a_kg == pytest.approx((8.0 * 60 / 80 + 3.0) / 30.0)
    assert found.hours_a_fruited_block == pytest.approx((8.0 * 60 / 80 + 3.0) / 60.0)
    assert [(work.duty, work.a_week, work.a_kg) for work in found.work] == [("mix", 8.0, 0.2), ("pick", 3.0, 0.1)]
    assert strains.of_nobody(hours, 2) == 1.5


def test_a_strain_whose_blocks_are_all_sold_has_no_shelf_and_no_weight_to_divide_by() -> None:
    table = pd.DataFrame([{"run": 1, "strain": "oyster", "blocks_fruited": 0.0, "blocks_sold": 40.0, "shelf_weeks": 0.0,
                           "picked_kg": 0.0, "firsts_kg": 0.0, "seconds_kg": 0.0}])  # fmt: skip
    hours = pd.DataFrame([(1, "oyster", "mix", 8.0)], columns=["run", "strain", "duty", "strain_hours"])
    (found,) = strains.takes(table, hours, 1)
    assert (found.kg_a_shelf_week, found.shelf_weeks_a_block, found.hours_a_kg) == (None, None, None)
    assert found.block_hours_a_block == 0.2


def test_a_life_is_told_step_after_step_each_run_counting_as_often_as_it_saw_lots() -> None:
    rows = [(1, "oyster", "start to ripe", 1.0, 10.0, 14.0), (1, "oyster", "first pick of flush 2 to 3", 1.0, 9.0, 9.0),
            (1, "oyster", "start to first pick", 1.0, 20.0, 20.0), (1, "oyster", "start to cleared", 1.0, 40.0, 44.0),
            (2, "oyster", "start to ripe", 3.0, 14.0, 18.0), (2, "oyster", "first pick of flush 1 to 2", 3.0, 8.0, 8.0),
            (2, "oyster", "first pick of the last flush to cleared", 3.0, 2.0, 3.0)]  # fmt: skip
    days = pd.DataFrame(rows, columns=["run", "strain", "span", "n", "p50", "p90"])
    (life,) = strains.lives(days)
    assert [step.name for step in life.steps] == [
        "start to ripe",
        "first pick of flush 1 to 2",
        "first pick of flush 2 to 3",
        "first pick of the last flush to cleared",
    ]
    assert life.steps[0] == Step("start to ripe", 13.0, 17.0, 4.0)
    assert life.whole == Step("start to cleared", 40.0, 44.0, 1.0)


def test_a_farm_whose_months_are_alike_has_a_plain_year() -> None:
    assert year(FARM, FARM, 52) == Year()
    assert year(FARM, FARM, 52).is_plain


def test_every_monthly_figure_that_differs_is_in_the_strip_whatever_it_is_called() -> None:
    attributes = list(Months.figures)
    varied = FARM.but(months=FARM.months.but(**dict.fromkeys(attributes, SEASON)))
    found = year(varied, varied, 52).factors
    assert [one.what for one in found] == [Months.figures[each].name.replace("_", " ") for each in attributes]
    assert {"orders", "block orders", "yield", "days"} <= {one.what for one in found}
    assert found[0] == Factors("orders", Months.figures["orders"].meaning, SEASON, pytest.approx(1.05))  # type: ignore[arg-type]


def test_months_of_a_line_and_rests_of_a_room_are_in_the_strip() -> None:
    room, line = FARM.room[0].but(rests=("jan", "dec")), FARM.start[0].but(months=MONTHS[:6])
    quiet = FARM.but(room=(room, *FARM.room[1:]), start=(line, *FARM.start[1:]))
    found = year(quiet, quiet, 52)
    assert found.lines == (Open(line.name, "started", (True,) * 6 + (False,) * 6),)
    assert found.rooms == (Open(room.name, "rests", (True, *(False,) * 10, True)),)


def test_only_days_of_standstill_that_meet_the_simulated_weeks_are_told_in_order() -> None:
    shut = (
        Shut(name="inventory", first=date(2027, 1, 10), stops=("work",)),
        Shut(name="new year", first=date(2026, 12, 30), last=date(2027, 1, 4)),
        Shut(name="long before", first=date(2026, 12, 1), last=date(2027, 1, 3)),
        Shut(name="after the end", first=date(2027, 2, 1)),
    )
    found = year(FARM, FARM.but(shut=shut), 4)  # 4 January to 31 January 2027
    assert found.still == (
        Still("new year", "2026-12-30", "2027-01-04", ("starts", "deliveries", "work")),
        Still("inventory", "2027-01-10", "2027-01-10", ("work",)),
    )
