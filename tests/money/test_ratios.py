"""Ratios against a case in print."""

import pytest

from farmsim.money.ratios import Year


def test_the_purdue_case() -> None:
    """Langemeier, Purdue (2020), after the Farm Financial Standards Council; the first line in print, the rest recomputed."""
    year = Year(
        operating=0.0, net_income=78_853, off_farm=0, taxes=49_769, living=105_863, interest=72_218, depreciation=263_567,
        paid_interest=72_218, paid_principal=59_534, replaces=1.15,
    )  # fmt: skip
    assert (year.capacity, year.margin) == (259_006, 127_254)
    assert year.coverage == pytest.approx(1.96586, abs=5e-6)
    assert year.margin_after_replacement == pytest.approx(-175_848, abs=0.5)
    assert year.coverage_after_replacement == pytest.approx(0.5956, abs=5e-5)


def test_the_two_coverages_are_not_the_same() -> None:
    year = Year(150.0, 60.0, 0.0, 10.0, 40.0, 20.0, 70.0, 20.0, 30.0)
    assert (year.simple_coverage, year.coverage) == (3.0, 2.0)


def test_without_payments_there_is_no_coverage() -> None:
    year = Year(150.0, 60.0, 0.0, 10.0, 40.0, 0.0, 0.0, 0.0, 0.0)
    assert (year.simple_coverage, year.coverage, year.coverage_after_replacement, year.margin) == (
        None,
        None,
        None,
        10.0,
    )
