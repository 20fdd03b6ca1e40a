"""Schedules of repayment, and what rows of sums are worth, against figures in print and by hand."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as any_

from farmsim.money.loan import level_payment, principal_part, schedule
from farmsim.money.worth import internal_rate, net_present_value, payback_years
from farmsim.scenario.loans import A_YEAR, EVERY, KINDS, MOST_YEARS, Loan

START = datetime.date(2027, 1, 31)


def loan(**terms: object) -> Loan:
    return Loan(**{"name": "room", "amount": 100_000.0, "rate": 0.06, "from_": START, "years": 10.0, **terms})


# --- in print ---------------------------------------------------------------------------------------------------------


def test_a_level_payment_is_that_of_the_library_s_documentation() -> None:
    """200,000 at 7.5 % over 15 years, monthly (numpy-financial, documentation of pmt); first interest 1,250.00."""
    assert level_payment(200_000, 0.075 / 12, 180) == pytest.approx(1854.0247200054619, abs=1e-9)
    first = schedule(loan(amount=200_000.0, rate=0.075, years=15.0))[0]
    assert (first.interest, first.whole) == (125_000, 185_402)


def test_the_principal_part_of_the_first_payment_is_that_of_the_exercise() -> None:
    """100,000 at 8.5 % over 12 years, monthly: a published exercise."""
    assert principal_part(100_000, 0.085 / 12, 144, 1) == pytest.approx(401.72223098117627, abs=1e-9)
    assert schedule(loan(rate=0.085, years=12.0))[0].principal == 40_172


def test_seven_yearly_payments_leave_what_they_should() -> None:
    """100,000 at 4.625 %, seven years: recomputed by hand."""
    found = schedule(loan(rate=0.04625, years=7.0, every="year"))
    assert found[0].whole == 1_704_786
    assert [each.left for each in found] == [8_757_714, 7_457_973, 6_098_118, 4_675_370, 3_186_820, 1_629_425, 0]


def test_worth_of_sums_is_as_in_print() -> None:
    """The library's documentation of irr and npv; Schaum's Financial Management, recomputed (26.132 %, not 26.875 %)."""
    assert internal_rate([-250_000, 100_000, 150_000, 200_000, 250_000, 300_000]) == pytest.approx(0.5672303344358536)
    assert net_present_value(0.281, [-100, 39, 59, 55, 20]) == pytest.approx(-0.0084785916384548798, abs=1e-12)
    book = [-31_000, 10_000, 20_000, 10_000, 10_000, 5_000]
    assert payback_years(book) == pytest.approx(2.1)
    assert round(net_present_value(0.14, book), 2) == 8_428.64
    assert internal_rate(book) == pytest.approx(0.26132, abs=5e-6)


@pytest.mark.parametrize(
    ("sums", "years"), [([0.0, 5.0], 0.0), ([-10.0, 5.0, 5.0], 2.0), ([-10.0, 4.0], None), ([], None)]
)
def test_what_is_paid_back_when(sums: list[float], years: float | None) -> None:
    assert payback_years(sums) == years


@pytest.mark.parametrize("sums", [[1.0, 2.0], [-1.0, -2.0], []])
def test_without_spending_or_earning_there_is_no_rate(sums: list[float]) -> None:
    assert internal_rate(sums) is None


# --- by hand ----------------------------------------------------------------------------------------------------------


def test_payments_fall_on_the_same_day_or_the_last_of_a_short_month() -> None:
    days = [each.due for each in schedule(loan(years=0.5))]
    assert [(day.month, day.day) for day in days] == [(2, 28), (3, 31), (4, 30), (5, 31), (6, 30), (7, 31)]
    quarters = schedule(loan(years=1.0, every="quarter", first_payment=datetime.date(2027, 3, 15)))
    assert [each.due.isoformat() for each in quarters] == ["2027-03-15", "2027-06-15", "2027-09-15", "2027-12-15"]


def test_equal_principal_pays_less_interest_every_time() -> None:
    """1,000 at 12 % over four months: 250 each; interest 10.00, 7.50, 5.00, 2.50."""
    found = schedule(loan(amount=1_000.0, rate=0.12, years=4 / 12, kind="equal principal"))
    assert [(each.interest, each.principal) for each in found] == [
        (1000, 25_000),
        (750, 25_000),
        (500, 25_000),
        (250, 25_000),
    ]


def test_interest_only_at_first_then_level() -> None:
    """1,200 at 10 % for four years, two of them of interest only: 120, 120, then 691.43 twice."""
    found = schedule(loan(amount=1_200.0, rate=0.10, years=4.0, every="year", interest_only=2))
    assert [each.whole for each in found] == [12_000, 12_000, 69_143, 69_143]
    assert [each.left for each in found] == [120_000, 120_000, 62_857, 0]


def test_a_balloon_is_paid_with_the_last_payment() -> None:
    """1,000 at 10 %, two years, 400 left: (1000 x 1.1^2 - 400) x 0.1 / (1.1^2 - 1) = 385.71, and 400 more at the end."""
    found = schedule(loan(amount=1_000.0, rate=0.10, years=2.0, every="year", balloon=400.0))
    assert [each.whole for each in found] == [38_571, 78_572]
    equal = schedule(loan(amount=1_000.0, rate=0.10, years=2.0, every="year", balloon=400.0, kind="equal principal"))
    assert [each.principal for each in equal] == [30_000, 70_000]


def test_payments_reckoned_over_more_years_leave_the_rest_for_the_last() -> None:
    """100,000 at 6 % as if over 20 years, due after 10: 716.43 a month, and what is left of it with the last."""
    found = schedule(loan(as_over=20.0))
    assert len(found) == 120 and found[0].whole == 71_643
    assert found[-1].principal == found[-2].left and abs(found[-2].left - 6_470_150) < 60_000 and found[-1].left == 0


def test_without_interest_it_is_repaid_in_equal_parts() -> None:
    assert [each.whole for each in schedule(loan(amount=100.0, rate=0.0, years=0.25))] == [3333, 3334, 3333]


@given(
    amount=any_.integers(100, 10**8), rate=any_.floats(0, 0.3), payments=any_.integers(1, 120), every=any_.sampled_from(EVERY),
    kind=any_.sampled_from(KINDS), at_first=any_.integers(0, 20), balloon=any_.floats(0, 0.9),
)  # fmt: skip
def test_every_schedule_repays_all_to_the_cent(
    amount: int, rate: float, payments: int, every: str, kind: str, at_first: int, balloon: float
) -> None:
    payments = min(payments, MOST_YEARS * A_YEAR[every])
    terms = loan(
        amount=amount / 100, rate=rate, years=payments / A_YEAR[every], every=every, kind=kind,
        interest_only=min(at_first, payments - 1), balloon=amount * balloon / 100,
    )  # fmt: skip
    left, found = amount, schedule(terms)
    assert len(found) == payments
    for each in found:
        assert each.interest == pytest.approx(left * rate / A_YEAR[every], abs=1.6) and each.principal >= 0
        left -= each.principal
        assert each.left == left >= 0
    assert left == 0
