"""Stalls, customers who have left, and firmness: summed up over runs by hand."""

import pandas as pd

from farmsim.study.customer_answers import Firmness, Left, Stall
from farmsim.study.customers import firmness, left, stalls

STALL = [
    "run",
    "stall",
    "strain",
    "market_days",
    "brought",
    "asked",
    "sold",
    "came_back",
    "lost",
    "days_there",
    "sold_out_days",
]


def test_a_stall_is_told_by_the_week_over_all_runs() -> None:
    rows = [
        (1, "fair", "oyster", 4, 40.0, 30.0, 28.0, 10.0, 2.0, 4, 1),
        (2, "fair", "oyster", 4, 40.0, 50.0, 36.0, 0.0, 4.0, 2, 2),
    ]
    table = pd.DataFrame([*rows, (1, "fair", "nameko", 1, 8.0, 8.0, 8.0, 0.0, 0.0, 1, 0)], columns=STALL)
    assert stalls(table, runs=2, weeks=4) == (
        Stall("fair", "oyster", 10.0, 10.0, 8.0, 1.25, 0.75, 0.5, 0.25),
        Stall("fair", "nameko", 1.0, 1.0, 1.0, 0.0, 0.0, 0.0),
    )


def test_who_left_in_most_runs_is_told_first() -> None:
    columns = ["run", "customer", "date", "week", "short_deliveries", "a_week"]
    rows = [
        (1, "bistro", "2027-01-05", 1, 3, 10.0),
        (1, "cafe", "", 9, 3, 4.0),
        (2, "cafe", "", 12, 3, 4.0),
        (3, "cafe", "", 10, 3, 4.0),
    ]
    assert left(pd.DataFrame(rows, columns=columns)) == (Left("cafe", 3, 10, 4.0), Left("bistro", 1, 1, 10.0))


def test_the_firmest_first() -> None:
    columns = ["run", "firm", "promised", "delivered"]
    rows = [(1, "hoped for", 8.0, 4.0), (1, "signed", 8.0, 8.0), (2, "signed", 16.0, 12.0)]
    found = firmness(pd.DataFrame(rows, columns=columns), runs=2, weeks=2)
    assert found == (Firmness("signed", 6.0, 5.0), Firmness("hoped for", 2.0, 1.0))


def test_of_a_farm_without_any_there_is_nothing_to_tell() -> None:
    assert stalls(pd.DataFrame(columns=STALL), 1, 1) == left(pd.DataFrame(columns=["customer", "week", "a_week"])) == ()
    assert firmness(pd.DataFrame(columns=["firm", "promised", "delivered"]), 1, 1) == ()
