"""What luck has in store for a lot: times, bad blocks in clusters, and what ripens on which morning."""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.fate import Fates
from farmsim.model.luck import Luck
from farmsim.model.plan import week_of
from farmsim.scenario.sales import Start
from farmsim.scenario.strain import Contaminated, Flushes, Grades, Strain, Yield
from farmsim.scenario.vary import MeanCv, Triangular

from .tiny import LINE, MADE, OYSTER, D, Fixed

MONDAYS = range(-3, 400)
LOT = 10
VARIED = OYSTER.but(
    colonise=Triangular(10 * D, 12 * D, 16 * D),
    ripen=MeanCv(5 * D, 0.2),
    contaminated=Contaminated(mean=0.1, clusters="by load", cv=1.0, shows=Triangular(2 * D, 4 * D, 9 * D)),
    first_pick=MeanCv(6 * D, 0.15),
    next_pick=MeanCv(5 * D, 0.15),
    spread=20.0,
    yield_=Yield(mean=0.6, cv_lot=0.2, cv_block=0.12),
    flushes=Flushes(share=(0.6, 0.4), rest=1 * D),
)


FOUR_LOTS = MADE.but(blocks=40.0)


def fates(strain: Strain = VARIED, line: Start = FOUR_LOTS, load: int = 20, seed: int = 1) -> Fates:
    return Fates(Luck(seed, 0), line, strain, week_of(line, LOT, load), MONDAYS, LOT)


def all_rows(one: Fates) -> list[int]:
    return [one.row(monday, slot.position) for monday in MONDAYS for slot in one.slots]


def test_blocks_made_here_colonise_then_ripen() -> None:
    one = fates(VARIED.but(colonise=Fixed(3 * D), ripen=Fixed(2 * D)))
    assert {one.of(row).until_ripe for row in all_rows(one)} == {5 * D}


def test_bought_blocks_have_a_time_of_their_own_or_are_ripe_at_delivery() -> None:
    def times(**figures: object) -> set[float]:
        one = fates(line=FOUR_LOTS.but(made="bought", **figures))
        return {one.of(row).until_ripe for row in all_rows(one)}

    assert times(ripe_in=Fixed(2 * D)) == {2 * D}
    assert len(times(ripe_in=MeanCv(2 * D, 0.3))) > 1000
    assert LINE.ripe_in is None


def test_times_are_whole_ticks() -> None:
    one = fates()
    ripe = np.array([one.of(row).until_ripe for row in all_rows(one)]) * 2.0**30
    assert (ripe == np.rint(ripe)).all()


def test_the_share_of_bad_blocks_is_the_one_given_with_clusters_or_without() -> None:
    for clusters in ("by load", "none"):
        one = fates(VARIED.but(contaminated=VARIED.contaminated.but(clusters=clusters, cv=0.5)))
        rows = all_rows(one)
        bad = sum(len(one.of(row).bad) for row in rows)
        assert abs(bad / (len(rows) * LOT) - 0.1) < 0.01


def test_bad_blocks_come_together_by_load() -> None:
    def spread(clusters: str) -> tuple[float, float]:
        one = fates(VARIED.but(contaminated=VARIED.contaminated.but(clusters=clusters)))
        bad = np.array([[len(one.of(one.row(m, p)).bad) for p in range(4)] for m in MONDAYS], dtype=float)
        same, other = np.corrcoef(bad[:, 0], bad[:, 1])[0, 1], np.corrcoef(bad[:, 1], bad[:, 2])[0, 1]
        return float(same), float(other)

    same, other = spread("by load")  # lots 0 and 1 are one load, 2 and 3 the next
    assert same > 0.25
    assert abs(other) < 0.15
    assert abs(spread("none")[0]) < 0.15


def test_a_bad_block_shows_within_its_time_soonest_first() -> None:
    one = fates()
    for row in all_rows(one)[:400]:
        bad = one.of(row).bad
        assert bad == sorted(bad)
        assert all(2 * D <= shows <= 9 * D for shows, _ in bad)
        assert all(not one.is_good(row, block) for _, block in bad)
        assert sum(one.is_good(row, block) for block in range(LOT)) == LOT - len(bad)


def test_blocks_a_small_lot_does_not_have_are_neither_good_nor_bad() -> None:
    one = fates(line=MADE.but(blocks=13.0))
    row = one.row(0, 1)  # 3 blocks
    assert not any(one.is_good(row, block) for block in range(3, LOT))
    assert all(block < 3 for _, block in one.of(row).bad)


def test_what_ripens_in_all_flushes_is_the_yield_of_the_good_blocks() -> None:
    one = fates(VARIED.but(yield_=Yield(mean=0.6, cv_lot=0.0, cv_block=0.0)))
    for row in all_rows(one)[:200]:
        good = sum(one.is_good(row, block) for block in range(LOT))
        flushes = [sum(kg for _, kg in one.crop(row, flush, LOT)) for flush in range(2)]
        assert flushes == pytest.approx([0.6 * good * 0.6, 0.6 * good * 0.4])


def test_culls_come_on_top_of_what_is_saleable() -> None:
    picking = VARIED.picking.but(late=(Grades(firsts=0.7, seconds=0.1, culls=0.2), *VARIED.picking.late[1:]))
    plain, culled = fates(), fates(VARIED.but(picking=picking))
    for row in all_rows(plain)[:50]:
        whole = sum(kg for _, kg in plain.crop(row, 0, LOT))
        assert sum(kg for _, kg in culled.crop(row, 0, LOT)) == pytest.approx(whole / 0.8)


def test_the_mean_yield_is_the_one_given() -> None:
    one = fates(VARIED.but(contaminated=OYSTER.contaminated))
    rows = all_rows(one)
    lots = np.array([sum(kg for flush in range(2) for _, kg in one.crop(row, flush, LOT)) for row in rows]) / LOT
    assert abs(lots.mean() - 0.6) < 4 * lots.std() / len(rows) ** 0.5
    assert lots.std() / lots.mean() == pytest.approx((0.2**2 + 0.12**2 / LOT) ** 0.5, rel=0.1)


def test_mornings_lie_round_the_first_pick_and_never_on_the_day_of_shelving() -> None:
    one = fates(VARIED.but(first_pick=Fixed(1 * D), spread=48.0))
    mornings = [morning for row in all_rows(one)[:400] for morning, _ in one.crop(row, 0, LOT)]
    assert min(mornings) == 1
    assert max(mornings) > 3


def test_mornings_come_soonest_first_and_each_once() -> None:
    one = fates()
    for row in all_rows(one)[:200]:
        mornings = [morning for morning, _ in one.crop(row, 0, LOT)]
        assert mornings == sorted(set(mornings))


def test_blocks_sold_from_the_end_take_their_own_yield_with_them() -> None:
    one = fates()
    for row in all_rows(one)[:100]:
        whole, part = dict(one.crop(row, 0, LOT)), dict(one.crop(row, 0, 6))
        assert set(part) <= set(whole)
        assert all(part[morning] <= whole[morning] + 1e-12 for morning in part)
        assert one.crop(row, 0, 0) == []


def test_the_plan_of_other_weeks_does_not_matter() -> None:
    line = FOUR_LOTS
    few = Fates(Luck(1, 0), line, VARIED, week_of(line, LOT, 20), range(5, 9), LOT)
    many = fates()
    for position in range(4):
        here, there = few.row(7, position), many.row(7, position)
        assert few.of(here).told() == many.of(there).told()
        assert few.crop(here, 1, LOT) == many.crop(there, 1, LOT)
