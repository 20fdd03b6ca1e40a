"""On which weekday a start ripens, by arithmetic: exact without luck, washed out by weeks of ripening."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import farmsim
from farmsim.scenario.farm import Farm
from farmsim.scenario.vary import Fixed, MeanCv, RangeMean, Triangular
from farmsim.study.weekdays import as_started, points, ripe_days, weekdays, with_days

SCENARIOS = Path(farmsim.__file__).parents[1] / "scenarios"
FOUR = farmsim.load(SCENARIOS / "four-rooms.toml")
DAY = 24.0


def fixed(ripen: float, **figures: object) -> Farm:
    """Four rooms with a blue oyster that knows no luck; one flush."""
    oyster = FOUR.strain["blue-oyster"]
    sure = oyster.but(
        colonise=Fixed(ripen * DAY), first_pick=Fixed(11 * DAY), spread=0.0,
        flushes=oyster.flushes.but(share=(1.0,)), **figures,
    )  # fmt: skip
    return FOUR.but(strain={**FOUR.strain, "blue-oyster": sure})


def test_a_start_without_luck_ripens_on_one_weekday() -> None:
    """Mixed on Monday, steamed and cooled for 21 h, on the bench on Tuesday; 14 days, then 11 days: Saturday."""
    farm = fixed(14)
    found = ripe_days(farm, farm.start[1], 0)
    assert found == pytest.approx([0, 0, 0, 0, 0, 1, 0], abs=1e-9)
    assert ripe_days(fixed(15), farm.start[1], 0) == pytest.approx([0, 0, 0, 0, 0, 0, 1], abs=1e-9)


def test_nobody_inoculates_at_the_week_end() -> None:
    """Made on a Friday, it waits for Monday's bench: 14 days to a Monday, and 11 to a Friday."""
    farm = fixed(14)
    assert ripe_days(farm, farm.start[1], 4) == pytest.approx([0, 0, 0, 0, 1, 0, 0], abs=1e-9)


def test_a_later_flush_ripens_after_its_rest() -> None:
    """Saturday's flush is followed after 4 days of rest and 8 days: by Thursday."""
    farm = fixed(14)
    oyster = farm.strain["blue-oyster"]
    two = oyster.but(flushes=oyster.flushes.but(share=(0.6, 0.4)), next_pick=Fixed(8 * DAY))
    farm = farm.but(strain={**farm.strain, "blue-oyster": two})
    assert ripe_days(farm, farm.start[1], 0) == pytest.approx([0, 0, 0, 0.4, 0, 0.6, 0], abs=1e-9)


def test_weeks_of_ripening_wash_the_weekday_out() -> None:
    for one in weekdays(FOUR):
        assert one.now == one.proposed and not one.matters
        if one.strain == "shiitake":
            assert one.uneven < 1.02 and one.spread > 6
            assert one.picks == pytest.approx([1 / 7] * 7, abs=0.002)


def test_proposed_days_are_those_from_which_it_ripens_when_somebody_picks() -> None:
    """Blue oyster is fit for one day; nobody picks on Sundays. Without luck some starts always ripen on a Sunday."""
    farm = fixed(15)
    (one,) = [each for each in weekdays(farm) if each.strain == "blue-oyster"]
    assert one.of(("mon",)).lost > 0.1 and "mon" in one.now and "mon" not in one.proposed
    assert one.matters and one.of(one.proposed).lost < 0.01
    changed = with_days(farm, weekdays(farm))
    assert changed.start[1].days == one.proposed
    told = as_started(changed, farm)[1]
    assert (told.now, told.proposed) == (one.now, one.proposed)


@pytest.mark.parametrize(
    "vary", [Fixed(36.0), MeanCv(240.0, 0.13), Triangular(1.0, 2.0, 6.0), RangeMean(100.0, 140.0, 0.1)]
)
def test_points_of_a_spread_have_its_mean_and_spread(vary: Fixed | MeanCv | Triangular | RangeMean) -> None:
    found = points(vary)
    assert np.mean(found) == pytest.approx(vary.mean, rel=2e-3) and np.std(found) == pytest.approx(vary.sd, rel=2e-2)
