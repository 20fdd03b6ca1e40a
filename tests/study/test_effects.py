"""What moves an answer is found where it is known: Ishigami's function, Sobol's g; what is only luck is not ranked."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from farmsim.study.effects import FEWEST_ROWS, Design, _steps, crossed, effects, screening, shares, without

Places = NDArray[np.float64]


def ishigami(places: Places, a: float = 7.0, b: float = 0.1) -> Places:
    """sin x1 + a sin^2 x2 + b x3^4 sin x1, each x from -pi to pi (Ishigami and Homma 1990)."""
    x = -np.pi + 2 * np.pi * places
    value: Places = np.sin(x[:, 0]) + a * np.sin(x[:, 1]) ** 2 + b * x[:, 2] ** 4 * np.sin(x[:, 0])
    return value


ISHIGAMI = (0.313905, 0.442411, 0.0), (0.557589, 0.442411, 0.243684)
"""Shares alone and in total for a = 7, b = 0.1, exact."""

G = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])
G_ALONE = (0.7162, 0.1790, 0.0237, 0.0072, 0.0001, 0.0001, 0.0001, 0.0001)
G_TOTAL = (0.7871, 0.2422, 0.0343, 0.0105, 0.0001, 0.0001, 0.0001, 0.0001)


def sobol_g(places: Places) -> Places:
    """Product of (|4x - 2| + a) / (1 + a) (Saltelli and Sobol 1995)."""
    value: Places = np.prod((np.abs(4 * places - 2) + G) / (1 + G), axis=1)
    return value


def exact(design: Design, function: object = ishigami) -> list[Places]:
    value = function(design.places)  # type: ignore[operator]
    return [value, value]


@pytest.mark.parametrize("seed", [0, 1, 7])
def test_shares_of_ishigami(seed: int) -> None:
    design = crossed(3, 1024, seed)
    found = shares(design, ishigami(design.places), 6, seed)
    for one, alone, total in zip(found, *ISHIGAMI, strict=True):
        assert abs(one.alone - alone) <= one.alone_give < 0.15
        assert abs(one.total - total) <= one.total_give < 0.15
    assert [one.is_found for one in found] == [True, True, True]
    assert [one.is_alone_found for one in found] == [True, True, False]  # x3 does nothing by itself


@pytest.mark.parametrize("seed", [0, 3])
def test_shares_of_sobols_g(seed: int) -> None:
    design = crossed(8, 1024, seed)
    found = shares(design, sobol_g(design.places), 16, seed)
    for one, alone, total in zip(found, G_ALONE, G_TOTAL, strict=True):
        assert abs(one.alone - alone) <= one.alone_give + 5e-5  # the values are rounded to four digits
        assert abs(one.total - total) <= one.total_give + 5e-5
    assert found[0].is_alone_found and found[1].is_alone_found
    assert not any(one.is_alone_found for one in found[4:])


def test_shares_of_mere_luck_are_hardly_ever_ranked_though_some_come_out_below_nothing() -> None:
    luck, wrong, below = np.random.default_rng(5), 0, 0
    design = crossed(3, FEWEST_ROWS, 1)
    for _ in range(60):
        found = shares(design, luck.normal(size=len(design.places)).tolist(), 6, 1)
        below += any(one.alone < 0 for one in found)  # as happens with few rows
        wrong += any(one.is_alone_found for one in found)
    assert below > 20 and wrong / 60 < 0.05 + 3 * (0.05 * 0.95 / 60) ** 0.5


def test_an_answer_that_never_moves_has_no_shares() -> None:
    design = crossed(2, 16, 1)
    assert [(one.total, one.is_found) for one in shares(design, [3.0] * len(design.places), 2, 1)] == [(0.0, False)] * 2


@pytest.mark.parametrize("levels", [4, 8])
def test_screening_of_ishigami_finds_all_three_in_their_order(levels: int) -> None:
    """With 8 levels their sizes are about 8.30, 3.29 and 5.93."""
    design = screening(3, 500, 1, levels)
    found = effects(design, exact(design), 3, 1, levels)
    if levels == 8:
        assert sorted(range(3), key=lambda at: -found[at].size) == [0, 2, 1]
    assert all(one.is_found for one in found)
    assert found[0].kind != "no effect found" and found[2].kind == "both ways"


def test_sizes_of_ishigami_with_eight_levels() -> None:
    """The published sizes are of 500 starts with one seed; other seeds lie about them."""
    for seed, near in ((1, 0.005), (4, 0.9)):
        design = screening(3, 500, seed, 8)
        sizes = [one.size for one in effects(design, exact(design), 3, seed, 8)]
        assert sizes == pytest.approx([8.30, 3.29, 5.93], abs=near)


def test_steps_are_those_of_salib() -> None:
    from SALib.analyze import morris

    design = screening(4, 10, 2)
    values = sobol_g(np.hstack([design.places, np.zeros((len(design.places), 4))]))
    problem = {"num_vars": 4, "names": list("abcd"), "bounds": [[0.0, 1.0]] * 4}
    theirs = morris.analyze(problem, design.places, values, num_levels=4)
    ours = _steps(design, values)
    assert ours.mean(axis=0) == pytest.approx(theirs["mu"])
    assert np.abs(ours).mean(axis=0) == pytest.approx(theirs["mu_star"])


def test_a_straight_line_is_its_slope_over_the_whole_range() -> None:
    design = screening(3, 6, 1)
    value = design.places @ np.array([10.0, -4.0, 0.0])
    up, down, none = effects(design, [value, value], 3, 1)
    assert (up.kind, up.mean) == ("more", pytest.approx(10.0)) and (down.kind, down.mean) == (
        "less",
        pytest.approx(-4.0),
    )
    assert (none.kind, none.size) == ("no effect found", pytest.approx(0.0, abs=1e-12))


def test_luck_alone_is_hardly_ever_called_an_effect() -> None:
    """300 screenings of 8 figures that do nothing: in at most 5 of 100 any is found, though all have some size."""
    luck, wrong = np.random.default_rng(11), 0
    design = screening(8, 6, 1)
    for _ in range(300):
        values = [luck.normal(size=len(design.places)).tolist() for _ in range(2)]
        found = effects(design, values, 8, 1)
        assert all(one.size > 0 for one in found)
        wrong += any(one.is_found for one in found)
    assert wrong / 300 < 0.05 + 3 * (0.05 * 0.95 / 300) ** 0.5


def test_a_plain_effect_is_found_through_luck() -> None:
    luck = np.random.default_rng(2)
    design = screening(8, 6, 3)
    values = [design.places[:, 5] * 10 + luck.normal(size=len(design.places)) for _ in range(2)]
    found = effects(design, values, 8, 1)
    assert [at for at, one in enumerate(found) if one.is_found] == [5]


def test_blocks_that_were_not_possible_are_left_out_whole() -> None:
    design = screening(3, 5, 1)
    kept = without(design, [1, 4])
    assert kept.blocks == 3 and kept.block == 4
    assert kept.places.tolist() == design.places[[0, 1, 2, 3, 8, 9, 10, 11, 12, 13, 14, 15]].tolist()
