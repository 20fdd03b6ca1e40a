"""The exact answers the simulated lines are held against give the published tables to the last printed digit.

The tables were computed by other programs than `exact.py`; Erlang B and C are as printed in any telephone-traffic
table, lines without waiting places as in Hillier & Boling (1967), from memory.
"""

from __future__ import annotations

import numpy as np
import pytest

from . import exact

SIX = 5e-7
ERLANG_C = {
    0.5: (0.5, 0.333333, 0.236842, 0.173913, 0.130371, 0.059044, 0.036105),
    0.7: (0.7, 0.576471, 0.492344, 0.428654, 0.377838, 0.270603, 0.221731),
    0.8: (0.8, 0.711111, 0.647191, 0.596432, 0.554113, 0.457645, 0.409180),
    0.9: (0.9, 0.852632, 0.817061, 0.787753, 0.762493, 0.701533, 0.668732),
    0.95: (0.95, 0.925641, 0.907009, 0.891419, 0.877799, 0.844169, 0.825586),
}
WAITS = {
    0.5: (0.333333, 0.157895, 0.052149, 0.007221),
    0.7: (0.960784, 0.547049, 0.251892, 0.073910),
    0.8: (1.777778, 1.078652, 0.554113, 0.204590),
    0.9: (4.263158, 2.723537, 1.524986, 0.668732),
    0.95: (9.256410, 6.046723, 3.511196, 1.651171),
}
ERLANG_B = {
    (2, 1): 0.2, (3, 2): 0.210526, (5, 5): 0.284868, (8, 5): 0.070048, (10, 5): 0.018385,
    (10, 10): 0.214582, (12, 10): 0.119739, (15, 10): 0.036497, (20, 20): 0.158892, (25, 20): 0.050222,
}  # fmt: skip
LINES = {
    2: (0.666667, 0.750000, 0.800000, 0.833333),
    3: (0.564103, 0.670466, 0.734017, 0.776712),
    4: (0.514775, 0.631153, 0.700713, 0.747710),
    5: (0.485798, 0.607583, 0.680489, 0.729948),
}


def test_erlang_tables() -> None:
    for use, row in ERLANG_C.items():
        chances = [exact.erlang_c(c, use * c) for c in (1, 2, 3, 4, 5, 8, 10)]
        np.testing.assert_allclose(chances, row, atol=SIX)
        np.testing.assert_allclose([exact.wait_mmc(c, use) for c in (2, 3, 5, 10)], WAITS[use], atol=SIX)
    np.testing.assert_allclose([exact.erlang_b(*case) for case in ERLANG_B], list(ERLANG_B.values()), atol=SIX)
    inside = [use * (1 + exact.wait_mmc(1, use)) for use in (0.5, 0.7, 0.8, 0.9, 0.95)]
    np.testing.assert_allclose(inside, (1, 2.333333, 4, 9, 19), atol=SIX)


UNEVEN = {
    0.5: (0.5, 0.666667, 0.75, 1, 1.5, 2.5),
    0.8: (2, 2.666667, 3, 4, 6, 10),
    0.9: (4.5, 6, 6.75, 9, 13.5, 22.5),
}
"""Mean waits of M/G/1 for a squared cv of the work of 0, 1/3, 1/2, 1, 2, 4 (Pollaczek 1930, Khinchine 1932)."""


def test_single_stations() -> None:
    for use, row in UNEVEN.items():
        np.testing.assert_allclose([exact.wait_mg1(use, c) for c in (0, 1 / 3, 0.5, 1, 2, 4)], row, atol=SIX)
    shapes = [exact.wait_mg1(0.8, cv2) for cv2 in (0.25, 1 / 24, 1 / 12)]  # lognormal, triangular, uniform
    np.testing.assert_allclose(shapes, (2.5, 2.083333, 2.166667), atol=SIX)
    waits = [exact.wait_dm1(use) for use in (0.5, 0.7, 0.8, 0.9)]
    np.testing.assert_allclose(waits, (0.255001, 0.876160, 1.692731, 4.178659), atol=SIX)
    cases = [exact.limited(*case) for case in ((0.8, 1, 1, 5), (1, 1, 1, 5), (1.5, 1, 2, 6))]
    np.testing.assert_allclose(cases, ((0.088819, 1.868332), (1 / 6, 2.5), (0.060005, 2.245617)), atol=SIX)
    np.testing.assert_allclose(exact.waits_by_class(0.3, 0.5), (1.142857, 5.714286), atol=SIX)
    assert exact.inside_with_groups(0.2, 4) == pytest.approx(10.0)
    down = [
        exact.machines_down(*case) for case in ((4, 1, 0.1, 1), (5, 1, 0.1, 0.5), (6, 2, 0.1, 0.5), (10, 3, 0.05, 0.2))
    ]
    np.testing.assert_allclose(down, (0.466632, 1.424339, 1.115351, 2.259253), atol=SIX)


def test_kingman_is_a_bound_not_an_answer() -> None:
    """Hopp & Spearman's V-U-T equation and its form for parallel machines."""
    assert exact.kingman(0.9, 1, 0.25) == pytest.approx(5.625)
    assert exact.kingman(0.9, 0.25, 0.25) == pytest.approx(2.25)
    for use, bound in ((0.5, 0.5), (0.7, 1.166667), (0.8, 2.0), (0.9, 4.5)):
        assert exact.kingman(use, 0, 1) == pytest.approx(bound, abs=SIX)
        assert bound > exact.wait_dm1(use)
        assert exact.kingman(use, 1, 0.25) == pytest.approx(exact.wait_mg1(use, 0.25))
    assert exact.sakasegawa(2, 0.9) == pytest.approx(4.29185, abs=5e-6)
    assert exact.sakasegawa(5, 0.7) == pytest.approx(0.27683, abs=5e-6)
    assert exact.sakasegawa(5, 0.7) / exact.wait_mmc(5, 0.7) > 1.09


def test_networks() -> None:
    flow, inside = exact.jackson((1, 0, 0), ((0, 0.6, 0.4), (0.1, 0, 0), (0, 0, 0)), (1.5, 0.9, 0.3), (1, 1, 2))
    np.testing.assert_allclose(flow, (1.063830, 0.638298, 0.425532), atol=SIX)
    np.testing.assert_allclose(inside, (2.439024, 2.439024, 2.853962), atol=SIX)
    assert inside.sum() == pytest.approx(7.732011, abs=SIX)
    rounds = [exact.mva((2, 5, 3), lots)[0] for lots in (1, 2, 3, 5, 8)]
    np.testing.assert_allclose(rounds, (0.1, 0.144928, 0.168293, 0.188889, 0.197601), atol=SIX)
    np.testing.assert_allclose(exact.mva((2, 5, 3), 3)[1], (0.45366, 1.75610, 0.79024), atol=5e-6)
    assert [exact.closed(((2, 1), (5, 1), (3, 1)), lots) for lots in (1, 2, 3, 5, 8)] == pytest.approx(rounds)


def test_exponential_lines() -> None:
    for machines, row in LINES.items():
        rates = [exact.saturated_line((1.0,) * machines, (places,) * (machines - 1)) for places in range(4)]
        np.testing.assert_allclose(rates, row, atol=SIX)
    assert list(LINES[2]) == pytest.approx([(places + 2) / (places + 3) for places in range(4)], abs=SIX)
    assert exact.saturated_line((1.0,) * 6, (0,) * 5) == pytest.approx(0.466713, abs=SIX)
    assert exact.saturated_line((1.0,) * 3, (0, 0)) == pytest.approx(22 / 39)
    before = [exact.saturated_line((1.0,) * 3, (places,) * 2, before=True) for places in (1, 2)]
    np.testing.assert_allclose(before, (0.577778, 0.674974), atol=SIX)


def test_lines_run_backward_give_the_same() -> None:
    """Reversibility (Yamazaki & Sakasegawa 1975; Muth 1979), and the bowl: a faster middle gives more."""
    there, back = exact.saturated_line((1.0, 1.2, 0.8), (1, 2)), exact.saturated_line((0.8, 1.2, 1.0), (2, 1))
    assert there == pytest.approx(back, abs=1e-12) and there == pytest.approx(0.679662, abs=SIX)
    bowl = [exact.saturated_line((2 / (3 - m), 1 / m, 2 / (3 - m)), (0, 0)) for m in (1.0, 0.95, 0.9, 0.85, 0.8)]
    np.testing.assert_allclose(bowl, (0.564103, 0.565628, 0.566643, 0.567134, 0.567092), atol=SIX)


GAINS = {
    ((0.97, 1, 1, 1, 1), (1, 1, 1, 1)): (0.604654, (0.753, 1.043, 1.133, 1.008, 0.649), (2.256, 3.288, 3.193, 1.996)),
    ((1, 1, 1, 0.97), (0, 0, 3)): (0.559966, (1.394, 1.707, 1.420, 0.203), (8.055, 8.383, 0.411)),
    ((0.95, 1, 1, 1), (3, 0, 0)): (0.559372, (0.230, 1.412, 1.694, 1.383), (0.459, 8.335, 7.975)),
    ((1, 0.9, 1), (4, 0)): (0.624526, (0.284, 2.458, 2.026), (0.477, 11.129)),
}

USE = {
    (0.97, 1, 1, 1, 1): (0.6234, *(0.6047,) * 4),
    (1, 1, 1, 0.97): (*(0.56,) * 3, 0.5773),
    (0.95, 1, 1, 1): (0.5888, *(0.5594,) * 3),
    (1, 0.9, 1): (0.6245, 0.6939, 0.6245),
}
"""Share of time in which each of these machines works."""


@pytest.mark.parametrize(("line", "known"), GAINS.items())
def test_the_busiest_machine_is_not_the_one_to_improve(line: tuple, known: tuple) -> None:
    """Gain in percent by 5 % more speed of each machine, and by one more waiting place in each gap."""
    rates, waiting = line
    now = exact.saturated_line(rates, waiting)
    faster = [exact.saturated_line(changed(rates, i, rates[i] * 1.05), waiting) for i in range(len(rates))]
    roomier = [exact.saturated_line(rates, changed(waiting, i, waiting[i] + 1)) for i in range(len(waiting))]
    assert now == pytest.approx(known[0], abs=SIX)
    np.testing.assert_allclose([now / rate for rate in rates], USE[rates], atol=6e-5)
    np.testing.assert_allclose([100 * (rate / now - 1) for rate in faster], known[1], atol=6e-4)
    np.testing.assert_allclose([100 * (rate / now - 1) for rate in roomier], known[2], atol=6e-4)
    assert max(roomier) > max(faster)
    if len(rates) > 3:
        assert int(np.argmax(faster)) != int(np.argmin(rates))


def changed(values: tuple, place: int, value: float) -> tuple:
    return (*values[:place], value, *values[place + 1 :])


def test_penny_lines() -> None:
    """Hopp & Spearman's laws; practical worst is exact for single exponential machines, else no lower bound."""
    table = {1: (0.125, 0.125), 2: (0.25, 0.2), 4: (0.5, 0.2857), 8: (0.5, 0.3636)}
    for lots, row in table.items():
        np.testing.assert_allclose((exact.best(0.5, 8, lots), exact.practical_worst(0.5, 8, lots)), row, atol=5e-5)
        assert exact.closed(((2, 1),) * 4, lots) == pytest.approx(exact.practical_worst(0.5, 8, lots))
    second = ((2, 1), (5, 2), (10, 6), (3, 2))
    row = [exact.closed(second, lots) for lots in (1, 2, 4, 8, 12, 20)]
    np.testing.assert_allclose(row, (0.05, 0.09901, 0.18818, 0.31022, 0.36323, 0.39357), atol=5e-6)
    worse = [exact.practical_worst(0.4, 20, lots) for lots in (1, 2, 4, 8, 12, 20)]
    np.testing.assert_allclose(worse, (0.05, 0.0889, 0.1455, 0.2133, 0.2526, 0.2963), atol=5e-5)
    ideal = [exact.best(0.4, 20, lots) for lots in (1, 2, 4, 8, 12, 20)]
    np.testing.assert_allclose(ideal, (0.05, 0.1, 0.2, 0.4, 0.4, 0.4), atol=1e-12)
    assert (exact.worst(8), exact.worst(20)) == (0.125, 0.05)


def test_breakdowns_and_spoilage() -> None:
    cases = ((0.4, 1, 0.02, 0.1), (0.6, 1, 0.01, 0.1), (0.3, 0.5, 0.1, 1))
    wall = [exact.inside_with_breakdowns(*case, working=False) for case in cases]
    np.testing.assert_allclose(wall, (2.205128, 3.545455, 2.021390), atol=SIX)
    work = [exact.inside_with_breakdowns(*case, working=True) for case in cases]
    np.testing.assert_allclose(work, (1.538462, 3.0, 1.994118), atol=SIX)
    known = ((0.218764, 0.296887, 0.599325), (1 / 3, 1 / 3, 0.25), (0.398487, 0.097730, 0.974842))
    cases = ((0.9, 1, 2), (1, 1, 1), (1.5, 1, 2))
    np.testing.assert_allclose([exact.spoiling(*case) for case in cases], known, atol=SIX)


def test_stock() -> None:
    demand = exact.poisson_demand(20)
    profits = [exact.newsvendor(demand, q, buy=4, sell=10, scrap=1) for q in (21, 22, 23)]
    np.testing.assert_allclose(profits, (104.977810, 105.184531, 104.699029), atol=SIX)
    cases = ((5, 8), (5, 10), (10, 16), (10, 20))
    known = ((0.320519, 0.122109), (0.766709, 0.022188), (0.298516, 0.054738), (1.087788, 0.002778))
    np.testing.assert_allclose([exact.two_days(*case) for case in cases], known, atol=SIX)
    fills = [exact.base_stock_fill(*case) for case in ((2, 3, 8), (2, 3, 10), (5, 1, 7))]
    np.testing.assert_allclose(fills, (0.743980, 0.916076, 0.762183), atol=SIX)


def test_the_naive_desk_is_another_model() -> None:
    """One person, two stages: moved first, a lot goes straight on, so stage 2 never holds more than the one in work."""
    moved, naive = (exact.shared_crew(0.4, (1.0, 1.0), 1, at_once) for at_once in (False, True))
    assert moved[1] == pytest.approx(0.4)
    assert naive[1] > 1.25 * moved[1]
