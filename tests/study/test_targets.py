"""What has to be kept is read as it is typed, and a farm keeps it surely, breaks it surely, or it cannot be told."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import beta
from scipy.stats import t as student

from farmsim.report import targets as words
from farmsim.scenario.fields import PLACEHOLDER
from farmsim.study.headlines import DELIVERED, OVERTIME, OVERTIME_SHARE, of_run
from farmsim.study.precision import ALIKE_RUNS
from farmsim.study.targets import FIGURES, USUAL, USUAL_SOURCE, Kept, NoTarget, Target, judge, read, read_all

NAMES = "delivered, whole orders, blocks delivered, thrown out, blocks lost, overtime, overtime share, paid hours"
AT_LEAST = Target("delivered", DELIVERED, "at least", 0.95)
AT_MOST = Target("overtime", OVERTIME, "at most", 10.0)


@pytest.mark.parametrize(
    ("typed", "name", "bound"),
    [
        ("delivered 95 %", "delivered", 0.95),
        ("delivered=95%", "delivered", 0.95),
        ("  Blocks   Delivered 90 percent", "blocks delivered", 0.90),
        ("whole orders 0.9", "whole orders", 0.9),
        ("thrown out 8 %", "thrown out", 0.08),
        ("blocks lost 100 %", "blocks lost", 1.0),
        ("overtime 10 h", "overtime", 10.0),
        ("overtime 600 min", "overtime", 10.0),
        ("overtime 10 h a week", "overtime", 10.0),
        ("overtime 2 h a day", "overtime", 14.0),
        ("overtime share 5 %", "overtime share", 0.05),
        ("paid hours 1,200 h", "paid hours", 1200.0),
        ("overtime 0 h", "overtime", 0.0),
    ],
)
def test_a_target_is_read_as_it_is_typed(typed: str, name: str, bound: float) -> None:
    target = read(typed)
    assert (target.name, target.bound) == (name, pytest.approx(bound))
    assert (target.figure, target.side) == FIGURES[name]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("deliverd 95 %", f'"deliverd 95 %" is no target; write one of {NAMES} and a bound, such as "delivered 95 %". '
                          'Did you mean "delivered"?'),
        ("hours 40 h", f'"hours 40 h" is no target; write one of {NAMES} and a bound, such as "delivered 95 %". '
                       'Did you mean "paid hours"?'),
        ("95 %", f'"95 %" is no target; write one of {NAMES} and a bound, such as "delivered 95 %".'),
        ("", f'"" is no target; write one of {NAMES} and a bound, such as "delivered 95 %".'),
        ("delivered", '"delivered" is no target: it has no bound. Write it like "delivered 95 %"'),
        ("thrown out", '"thrown out" is no target: it has no bound. Write it like "thrown out 8 %"'),
        ("paid hours", '"paid hours" is no target: it has no bound. Write it like "paid hours 10 h"'),
        ("delivered 95", '"delivered 95" is no target: the bound needs 0 % to 100 %'),
        ("delivered 950 %", '"delivered 950 %" is no target: the bound needs 0 % to 100 %'),
        ("overtime -3 h", '"overtime -3 h" is no target: the bound needs 0 h or more'),
        ("overtime 10", '"overtime 10" is no target: the bound "10" has no unit; needs hours per week, such as '
                        '"6 h a week". Write it like "6 h a week".'),
        ("overtime 5 %", '"overtime 5 %" is no target: the bound "5 %" is a share; needs hours per week, such as '
                         '"6 h a week". Write it like "6 h a week". For a share of all paid hours write '
                         '"overtime share 5 %"'),
        ("paid hours 40 lb", '"paid hours 40 lb" is no target: the bound "40 lb" is a weight; needs hours per week, '
                             'such as "6 h a week". Write it like "6 h a week".'),
        ("delivered 1,5 %", '"delivered 1,5 %" is no target: the bound "1,5 %" has a comma in its number; needs a share, '
                            'such as "4 %". Write decimals with a point: "1.5".'),
        ("overtime ten h", '"overtime ten h" is no target: the bound "ten h" does not begin with a number; needs hours '
                           'per week, such as "6 h a week". Write it like "6 h a week".'),
    ],
)  # fmt: skip
def test_what_cannot_be_understood_is_told_with_its_mend(typed: str, told: str) -> None:
    with pytest.raises(NoTarget) as caught:
        read(typed)
    assert str(caught.value) == told
    assert caught.value.exit_code == 2


def test_a_figure_has_one_bound() -> None:
    assert [each.name for each in read_all(("delivered 95 %", "overtime 10 h"))] == ["delivered", "overtime"]
    with pytest.raises(
        NoTarget, match=r'^"delivered 90 %" is a second target for delivered; give each figure one bound$'
    ):
        read_all(("delivered 95 %", "delivered 90 %"))


def test_what_is_usual_is_a_placeholder_and_about_figures_that_can_be_asked_for() -> None:
    assert USUAL_SOURCE == PLACEHOLDER
    assert all(FIGURES[each.name] == (each.figure, each.side) for each in USUAL)


@pytest.mark.parametrize(
    ("target", "values", "verdict"),
    [
        (AT_LEAST, [0.97, 0.975, 0.97, 0.972], "kept"),
        (AT_LEAST, [0.90, 0.91, 0.905, 0.9], "broken"),
        (AT_LEAST, [0.90, 0.99, 0.95, 0.97], "not sure"),
        (AT_MOST, [4.0, 5.0, 4.5], "kept"),
        (AT_MOST, [14.0, 15.0, 14.5], "broken"),
        (AT_MOST, [4.0, 15.0, 10.5], "not sure"),
        (AT_LEAST, [1.0] * 10, "not sure"),  # alike, and too few to say that others are rare
        (AT_LEAST, [1.0] * 13, "not sure"),
        (AT_LEAST, [1.0] * 14, "kept"),
        (AT_LEAST, [1.0] * 7 + [0.99, 0.98, 0.97], "not sure"),
        (AT_LEAST, [1.0] * 5 + [0.99, 0.98, 0.97, 0.985, 0.975], "kept"),
        (AT_LEAST, [0.5] * 13, "not sure"),
        (AT_LEAST, [0.5] * 14, "broken"),
        (AT_LEAST, [0.95] * 14, "kept"),  # on the bound is kept
        (AT_LEAST, [0.1 + 0.85, 0.95 - 1e-12] * 7, "kept"),
    ],
)
def test_verdicts(target: Target, values: list[float], verdict: str) -> None:
    assert judge(target, values).verdict == verdict


def test_a_verdict_is_one_sided_by_students_t() -> None:
    """At the very edge: a mean that lies one critical value away from the bound is kept, a little nearer is not sure."""
    values = np.array([0.01, -0.01, 0.02, -0.02, 0.0])
    edge = student.ppf(0.99, 4) * values.std(ddof=1) / 5**0.5
    found = judge(AT_LEAST, (0.95 + edge + 1e-6 + values).tolist(), 0.99)
    assert (found.verdict, found.give) == ("kept", pytest.approx(edge))
    assert judge(AT_LEAST, (0.95 + edge - 1e-6 + values).tolist(), 0.99).verdict == "not sure"
    assert judge(AT_LEAST, (0.95 - edge - 1e-6 + values).tolist(), 0.99).verdict == "broken"


def test_it_is_told_that_runs_are_alike_and_a_search_may_go_by_the_spread() -> None:
    alike = judge(AT_LEAST, [1.0] * 10)
    assert (alike.verdict, alike.too_few_alike, alike.mean, alike.give) == ("not sure", True, 1.0, 0.0)
    assert judge(AT_LEAST, [1.0] * 10, by_spread=True) == Kept(AT_LEAST, 1.0, 0.0, "kept", True)
    assert not judge(AT_LEAST, [1.0] * 14).too_few_alike
    assert not judge(AT_LEAST, [0.95, 0.96, 0.94] * 3).too_few_alike


def test_fourteen_alike_are_the_fewest_that_say_that_eight_of_ten_are() -> None:
    """The lower end of Clopper and Pearson's interval, 14 of 14 and 13 of 13, by the beta distribution."""
    assert beta.ppf(0.05, ALIKE_RUNS, 1) >= 0.8 > beta.ppf(0.05, ALIKE_RUNS - 1, 1)
    assert ALIKE_RUNS == 14


def test_a_rare_bad_run_is_seldom_overlooked() -> None:
    """Of farms of which 3 runs in 10 are bad, and the mean below the bound, 1 in 20 at most are judged kept."""
    luck = np.random.default_rng(9)
    runs = np.where(luck.random((2_000, 14)) < 0.3, 0.8, 1.0)
    assert sum(judge(AT_LEAST, each.tolist()).verdict == "kept" for each in runs) / 2_000 <= 0.05
    # by the spread alone they are more, and of 5 runs nothing is said
    few = [judge(AT_LEAST, each[:5].tolist(), by_spread=True).verdict for each in runs]
    assert few.count("kept") / 2_000 > 0.1
    assert {judge(AT_LEAST, each[:5].tolist()).verdict for each in runs} == {"not sure"}


def test_a_farm_on_its_bound_is_seldom_judged_wrongly() -> None:
    """Of 2,000 farms whose true figure is the bound, 1 in 20 is judged kept and 1 in 20 broken, within three errors."""
    luck = np.random.default_rng(8)
    verdicts = [judge(AT_MOST, luck.normal(10.0, 2.0, 8).tolist(), 0.95).verdict for _ in range(2_000)]
    for each in ("kept", "broken"):
        assert abs(verdicts.count(each) / 2_000 - 0.05) < 3 * (0.05 * 0.95 / 2_000) ** 0.5


def test_overtime_is_told_as_a_share_of_paid_hours() -> None:
    weekly = {"week": [1, 2], "overtime_h": [2.0, 4.0], "paid_h": [40.0, 60.0]}
    assert of_run(OVERTIME_SHARE, {"weekly": {name: np.array(each) for name, each in weekly.items()}}) == 0.06
    weekly["paid_h"] = [0.0, 0.0]  # all work as owner: a share of nothing
    assert of_run(OVERTIME_SHARE, {"weekly": {name: np.array(each) for name, each in weekly.items()}}) is None


# --- in words -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("target", "figure", "told"),
    [
        (AT_LEAST, 0.88, "88 %"),
        (AT_LEAST, 0.9496, "94.96 %"),  # never rounded onto the bound that it misses
        (AT_LEAST, 0.9504, "95.04 %"),
        (AT_LEAST, 0.95, "95 %"),
        (AT_MOST, 10.02, "10.02 h a week"),
        (AT_MOST, 123.4, "123 h a week"),
    ],
)  # fmt: skip
def test_a_figure_is_never_rounded_over_its_bound(target: Target, figure: float, told: str) -> None:
    assert words.value(target, figure) == told


def test_targets_in_words() -> None:
    assert words.rules((AT_LEAST, AT_MOST), False) == "delivered at least 95 % and overtime at most 10 h a week"
    assert words.rules((AT_LEAST,), True) == "delivered at least 95 % (placeholder: give your own with --target)"
    assert words.instead(Kept(AT_LEAST, 0.88, 0.01, "broken")) == "delivered 88 % instead of 95 %"
    assert words.instead(Kept(AT_MOST, 14.2, 0.1, "broken")) == "overtime 14 h a week instead of 10 h a week at most"
