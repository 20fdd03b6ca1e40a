"""Figures of a farm over values: every value on the same luck, what is not possible told, nothing better than it surely is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.errors import ScenarioFault
from farmsim.scenario.costs import Materials
from farmsim.scenario.figure_at import Figures, NoSuchFigure
from farmsim.study import sweep as room
from farmsim.study.compare import compare, difference
from farmsim.study.headlines import SOLD
from farmsim.study.pool import Where
from farmsim.study.sweep import Swept, grid, sweep
from farmsim.study.trials import Brief, NotComparable

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
QUICK = Brief(weeks=6, where=Where(1))


@pytest.fixture(scope="module")
def tiny() -> Figures:
    return Figures(SCENARIOS / "tiny.toml")


@pytest.fixture(scope="module")
def swept(tiny: Figures) -> Swept:
    return sweep(grid(tiny, ["start.oyster.blocks=45:60:5"]), 6, QUICK)


def test_values_are_told_with_what_the_farm_has(swept: Swept) -> None:
    (axis,) = swept.axes
    assert (axis.said, axis.numbers, axis.unit) == (("45", "50", "55", "60"), (45.0, 50.0, 55.0, 60.0), "blocks a week")
    assert (axis.own, axis.own_said, swept.base, swept.is_own) == (3, "60 blocks a week", 3, True)


def test_the_table_says_in_which_unit_values_are(swept: Swept) -> None:
    assert list(swept.table.columns[:3]) == ["start.oyster.blocks", "start.oyster.blocks unit", "base"]
    assert set(swept.table["start.oyster.blocks unit"]) == {"blocks a week"}


def test_a_point_is_the_comparison_with_that_farm(tiny: Figures, swept: Swept) -> None:
    fewer = tiny.farm.but(start=(tiny.farm.start[0].but(blocks=50.0), tiny.farm.start[1]))
    (found,) = compare(tiny.farm, {"fewer": fewer}, 6, QUICK).comparisons
    by_name = {line.name: line for line in swept.points[1].differences}
    for line in found.differences:
        assert (by_name[line.name].mean, by_name[line.name].base) == (line.mean, line.base)


def test_the_risk_is_shared_out_over_figures_points_and_pairs(swept: Swept) -> None:
    lines, points = len(swept.points[0].differences), len(swept.points)
    assert swept.intervals == lines * (points - 1) + len(swept.best) * points * (points - 1) // 2
    sold = swept.figures.groupby("start.oyster.blocks")["sold to orders [kg/week]"]
    expected = difference(SOLD, list(sold.get_group("60")), list(sold.get_group("50")), swept.intervals)
    found = next(line for line in swept.points[1].differences if line.name == "sold to orders")
    assert (found.mean, found.give) == (expected.mean, expected.give)


def test_more_blocks_sell_more_and_all_are_needed(swept: Swept) -> None:
    best = next(one for one in swept.best if one.name == "sold to orders")
    assert 0 not in best.unbeaten and 3 in best.unbeaten
    assert best.gained is not None and best.gained.verdict == "more"


def test_money_is_less_all_that_is_paid_where_every_value_has_it(tiny: Figures) -> None:
    """At 22 a kg more blocks bring more than their wages; bought at 90 each they do not."""
    shop, outlet = tiny.farm.customer
    priced = tiny.farm.but(customer=(shop.but(price=22.0), outlet.but(price=1.0)))
    dear = priced.but(materials=Materials(bought=90.0))
    for farm, name, best in ((priced, "left for all else", 60.0), (dear, "net operating income", 45.0)):
        line = next(line for line in farm.start if line.name == "oyster")
        farms = tuple(farm.but(start=(line.but(blocks=blocks), farm.start[1])) for blocks in (45.0, 60.0))
        found = sweep(replace(grid(tiny, ["start.oyster.blocks=45:60:15"]), base=farm, farms=farms), 4, QUICK)
        assert found.best[0].name == name
        assert found.best[0].means.index(max(found.best[0].means)) == (45.0, 60.0).index(best)


def test_any_number_of_workers_finds_the_same(tiny: Figures, swept: Swept) -> None:
    again = sweep(grid(tiny, ["start.oyster.blocks=45:60:5"]), 6, Brief(weeks=6, where=Where(2)))
    assert again.as_plain == swept.as_plain


def test_where_no_more_is_gained_is_judged_by_every_pair() -> None:
    luck = np.random.default_rng(3)
    common = luck.normal(0, 50, 12)
    means = {0: 100.0, 1: 120.0, 2: 140.0, 4: 140.0, 5: 90.0}  # the fourth is not possible
    values = {at: (mean + common + luck.normal(0, 1, 12)).tolist() for at, mean in means.items()}
    best = room._best(SOLD, values, 6, 10)
    assert best.unbeaten == (2, 4)
    assert best.gained is not None and best.gained.mean == pytest.approx(40, abs=2)
    assert 0 < best.open < 5 and np.isnan(best.means[3])


def test_equal_farms_are_called_better_no_more_often_than_told() -> None:
    """400 sweeps over five values that do not matter: in at most 5 of 100 anything is called surely better."""
    luck, wrong = np.random.default_rng(8), 0
    for _ in range(400):
        values = {at: luck.normal(10, 2, 8).tolist() for at in range(5)}
        wrong += len(room._best(SOLD, values, 5, 10).unbeaten) < 5
    assert wrong / 400 < 0.05 + 3 * (0.05 * 0.95 / 400) ** 0.5


def test_without_the_farms_own_value_the_first_is_the_base(tiny: Figures) -> None:
    found = sweep(grid(tiny, ["start.oyster.blocks=50,55"]), 2, QUICK)
    assert (found.base, found.is_own, found.axes[0].own) == (0, False, None)
    assert {line.verdict for line in found.points[0].differences} == {"the same"}


def test_two_figures_are_swept_together(tiny: Figures) -> None:
    found = sweep(grid(tiny, ["room.Shed.holds=300,340", "start.oyster.blocks=50:60:10"]), 2, QUICK)
    assert [found.said(at) for at in range(4)] == [("300", "50"), ("300", "60"), ("340", "50"), ("340", "60")]
    assert (found.base, found.is_own) == (3, True)


def test_a_value_the_rules_forbid_is_told_and_the_others_stand(tiny: Figures) -> None:
    found = sweep(grid(tiny, ["crew.owner.people=0:2:1"]), 2, QUICK)
    assert found.possible == [1, 2] and found.base == 1
    assert "crew.owner.people = 0" in found.points[0].fault and "needs 1 to 10,000" in found.points[0].fault
    assert found.points[0].differences == () and found.table["fault"].iloc[0] == found.points[0].fault


def test_a_value_at_which_a_run_cannot_go_on_is_told(tiny: Figures, monkeypatch: pytest.MonkeyPatch) -> None:
    from farmsim.errors import RunStuck
    from farmsim.study import trials

    def one_run(farm: farmsim.Farm, seed: int, weeks: int, number: int) -> object:
        if farm.crew[0].people == 3:
            raise RunStuck("nothing moves any more", ["a lot"])
        return whole(farm, seed, weeks, number)

    whole = trials.one_run
    monkeypatch.setattr(trials, "one_run", one_run)
    found = sweep(grid(tiny, ["crew.owner.people=1:3:1"]), 2, QUICK)
    assert [point.fault for point in found.points] == ["", "", "nothing moves any more"]


def test_what_cannot_be_swept_is_told(tiny: Figures) -> None:
    with pytest.raises(ScenarioFault, match=r"crew.owner.people = 0\.5.*needs a whole number"):
        grid(tiny, ["crew.owner.people=0.5:0.7:0.1"])
    with pytest.raises(NotComparable, match=r"only 1 of 2 farms can be run.*needs 1 to 10,000"):
        sweep(grid(tiny, ["crew.owner.people=0,1"]), 2, QUICK)
    with pytest.raises(NoSuchFigure, match="one or two figures are swept at once, not 3"):
        grid(tiny, ["crew.owner.people=1,2"] * 3)
    with pytest.raises(NoSuchFigure, match=r"crew\.owner\.people is swept twice"):
        grid(tiny, ["crew.owner.people=1,2", "crew.owner.people=2,3"])
    with pytest.raises(NoSuchFigure, match="40 x 3 values make 120 farms; at most 100 are tried"):
        grid(tiny, ["room.Shed.holds=301:340:1", "crew.owner.people=1:3:1"])
