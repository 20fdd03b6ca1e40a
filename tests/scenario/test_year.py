"""The year: how months are written, the strip of twelve months, and what averages make of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.errors import QuantityFault
from farmsim.scenario import flow
from farmsim.scenario.check_page import page
from farmsim.scenario.date_forms import months_in
from farmsim.scenario.seasons import AS_USUAL, Months
from farmsim.scenario.values import MONTHS

from .farms import small

YEAR = """
[months]
orders = [0.8, 0.8, 0.9, 1.0, 1.1, 1.1, 1.0, 1.0, 1.1, 1.1, 1.1, 1.2]
yield  = [0.9, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]

[[shut]]
name  = "midwinter"
first = 2027-12-24
last  = 2027-12-26

[[shut]]
name  = "fair"
first = 2027-05-01
stops = ["deliveries"]

[rules]"""


@pytest.mark.parametrize(
    ("text", "months"),
    [
        ("mar", ("mar",)),
        ("sep-nov", ("sep", "oct", "nov")),
        ("nov-feb", ("nov", "dec", "jan", "feb")),
        ("every month", MONTHS),
    ],
)
def test_months_are_one_or_several_over_the_turn_of_the_year_too(text: str, months: tuple[str, ...]) -> None:
    assert months_in(text) == months


def test_a_word_that_is_no_month_is_told() -> None:
    with pytest.raises(QuantityFault, match='"spring" names no month'):
        months_in("spring")


def test_a_file_that_says_nothing_of_the_year_has_a_year_of_ones(tmp_path: Path) -> None:
    farm = small(tmp_path)
    assert farm.months == Months(orders=AS_USUAL, block_orders=AS_USUAL, yield_=AS_USUAL, days=AS_USUAL)
    assert farm.shut == ()
    assert "YEAR" not in page(farm)
    ones = small(tmp_path, "[rules]", f"[months]\norders = {[1] * 12}\n\n[rules]")
    assert ones == farm


def test_the_year_is_a_strip_of_twelve_months_then_the_days_of_standstill(tmp_path: Path) -> None:
    farm = small(tmp_path, "[rules]", YEAR)
    rest = farm.but(
        room=(farm.room[0].but(rests=("jul", "aug")), *farm.room[1:]),
        start=(farm.start[0].but(months=MONTHS[:6]), *farm.start[1:]),
    )
    told = page(rest).split("YEAR")[1].split("ON AVERAGES")[0].rstrip().splitlines()
    assert [line[14:].rstrip() if at else line.strip() for at, line in enumerate(told)] == [
        "Jan  Feb  Mar  Apr  May  Jun  Jul  Aug  Sep  Oct  Nov  Dec  year",
        "fresh orders, %        80   80   90  100  110  110  100  100  110  110  110  120 101.7",
        "yield, %               90  100  100  100  100  100  100  100  100  100  100  100  99.2",
        f"{rest.start[0].name + ' starts':<20}  yes  yes  yes  yes  yes  yes    -    -    -    -    -    -",
        "North rests             -    -    -    -    -    -  yes  yes    -    -    -    -",
        "From 24 Dec 2027 to 26 Dec 2027 (midwinter): no block is started or bought in, nothing",
        "is delivered, nobody works.",
        "On 1 May 2027 (fair): nothing is delivered.",
    ]


def test_averages_are_those_of_the_year(tmp_path: Path) -> None:
    farm = small(tmp_path)
    name = farm.start[0].strain
    usual, promised = flow.flow(farm, name), flow.promised_fresh(farm, name)
    year = farm.but(
        months=Months(orders=(2.0, *AS_USUAL[1:]), yield_=(0.4, *AS_USUAL[1:]), block_orders=(0.0, *AS_USUAL[1:])),
        start=tuple(line.but(months=MONTHS[:9]) for line in farm.start),
    )
    other = flow.flow(year, name)
    assert other.started == pytest.approx(usual.started * 9 / 12)
    assert flow.promised_fresh(year, name) == pytest.approx(promised * 13 / 12)
    assert other.promised == pytest.approx(usual.promised * 11 / 12)
    assert other.saleable == pytest.approx(other.fruited * farm.strain[name].yield_.mean * 11.4 / 12)
