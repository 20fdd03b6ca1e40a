"""The two penny lines of Hopp & Spearman, Factory Physics: best, worst and practical worst case, and what is exact.

Line 1: four single machines of 2 h. Line 2: 1 of 2 h, 2 of 5 h, 6 of 10 h, 2 of 3 h. The lots inside are capped; a lot
that goes out lets the next one in.
"""

from __future__ import annotations

import numpy as np
import pytest

from farmsim.model.line import Arrivals, Line, Stage, run
from farmsim.model.line_plan import Times
from farmsim.model.luck import Exponential

from . import exact
from .judge import SEED, agrees, over_runs

FIRST = ((2.0, 1),) * 4
SECOND = ((2.0, 1), (5.0, 2), (10.0, 6), (3.0, 2))
RATE = {FIRST: 0.5, SECOND: 0.4}
CAPS = [(FIRST, lots) for lots in (1, 2, 4, 8)] + [(SECOND, lots) for lots in (1, 2, 4, 8, 12, 20)]
BALANCED = ((2.5, 1),) * 8  # as many hours and the same rate as the second line, on single machines
AMONG = len(CAPS) + 6


def penny(machines: tuple[tuple[float, int], ...], lots: int, times: list[Times], case: str) -> Line:
    """So many lots inside, one more let in for each that goes out."""
    stages = [
        Stage(f"station {i + 1}", hours, places=count)
        for i, (hours, (_, count)) in enumerate(zip(times, machines, strict=True))
    ]
    return Line(f"penny line, {case}, {lots} lots", (Arrivals(saturated=True),), tuple(stages), at_most=lots)


def raw(machines: tuple[tuple[float, int], ...]) -> float:
    return sum(hours for hours, _ in machines)


@pytest.mark.parametrize(("machines", "lots"), CAPS)
def test_best_case_is_exact_when_nothing_varies(machines: tuple[tuple[float, int], ...], lots: int) -> None:
    """After the first rounds the line repeats itself; 840 h hold whole rounds of every case."""
    line = penny(machines, lots, [hours for hours, _ in machines], "best")
    seen = run(line, SEED, hours=1_680.5)
    assert seen.out(since=840.25, until=1_680.25) == pytest.approx(
        840 * exact.best(RATE[machines], raw(machines), lots)
    )


@pytest.mark.parametrize("lots", [1, 2, 4, 8])
def test_worst_case_is_exact_when_one_lot_holds_up_all(lots: int) -> None:
    """One lot of each W takes W times as long, the others no time: the same mean, but all go in one heap."""
    line = penny(FIRST, lots, [(2.0 * lots, *(0.0,) * (lots - 1))] * 4, "worst")
    seen = run(line, SEED, hours=20 * 8.0 * lots + 0.5)
    round_ = 8.0 * lots
    assert seen.out(since=round_ + 0.25, until=11 * round_ + 0.25) / (10 * round_) == exact.worst(8.0)


@pytest.mark.parametrize("lots", [1, 2, 4, 8, 12, 20])
def test_worst_case_of_the_second_line_is_one_cart_for_all(lots: int) -> None:
    """Where machines stand side by side the heap is a cart: one machine works on its lots one after the other."""
    line = penny(SECOND, 1, [hours * lots for hours, _ in SECOND], f"worst, carts of {lots}")
    carts = run(line, SEED, hours=10 * 20.0 * lots + 0.5).out()
    assert carts * lots / (10 * 20.0 * lots) == exact.worst(20.0)


@pytest.mark.parametrize(("machines", "lots"), CAPS)
def test_exponential_times(machines: tuple[tuple[float, int], ...], lots: int) -> None:
    """Line 1 gives exactly the practical worst case; line 2 more, because its machines stand side by side.

    Started empty with all lots at station 1; 10 rounds of all lots are cut off.
    """
    line = penny(machines, lots, [Exponential(hours) for hours, _ in machines], f"random, {raw(machines)} h")
    cut = 10 * raw(machines) * max(1.0, lots / RATE[machines] / raw(machines))
    hours = 600 / exact.closed(machines, lots)

    def watch(number: int) -> tuple[float]:
        return (run(line, SEED, number, hours=cut + hours).rate(since=cut),)

    rate = over_runs(watch)[:, 0]
    agrees(rate, exact.closed(machines, lots), AMONG, sees=0.08)
    practical = exact.practical_worst(RATE[machines], raw(machines), lots)
    if machines is FIRST:
        assert exact.closed(machines, lots) == pytest.approx(practical)
    elif lots > 1:
        assert np.mean(rate) > practical


@pytest.mark.parametrize("lots", [1, 2, 4, 8, 12, 20])
def test_practical_worst_case_of_the_second_line(lots: int) -> None:
    """It is the rate of another line: the same hours and the same rate, but balanced single machines, all random."""
    line = penny(BALANCED, lots, [Exponential(hours) for hours, _ in BALANCED], "balanced")
    known = exact.practical_worst(RATE[SECOND], raw(SECOND), lots)
    assert exact.closed(BALANCED, lots) == pytest.approx(known)
    cut = 10 * raw(BALANCED) * max(1.0, lots / RATE[SECOND] / raw(BALANCED))

    def watch(number: int) -> tuple[float]:
        return (run(line, SEED, number, hours=cut + 250 / known).rate(since=cut),)

    agrees(over_runs(watch)[:, 0], known, AMONG, sees=0.08)
