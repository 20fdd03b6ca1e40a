"""Luck with prices: one draw for each customer whose prices vary and each calendar quarter of the measured time.

Nothing on the farm hears it. What it does to a price, and how much prices vary, is worked out where money is.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from farmsim.model.calendar import DAY
from farmsim.model.site import Site
from farmsim.scenario.farm import Farm

FRESH, BLOCKS = "price", "price of blocks"
"""Causes of luck: whoever buys both mushrooms and blocks has luck with each."""
A_QUARTER = 3
"""Months in a quarter."""


def write(site: Site, farm: Farm, start: float) -> None:
    """Write down the luck of every customer whose prices vary in any state of the farm; without any nothing is drawn.

    start: since when time is measured [h]
    """
    states = (farm, *(state for _, state in farm.changes))
    fresh = dict.fromkeys(each.name for state in states for each in state.customer if each.price_varies)
    blocks = dict.fromkeys(each.name for state in states for each in state.block_customer if each.price_varies)
    if not fresh and not blocks:
        return
    for ordinal, when in quarters(farm.farm.start, start, site.end):
        for name in fresh:
            luck = float(site.luck.normals(FRESH, name, ordinal, 1)[0])
            site.journal.price_luck((site.customer_number[name], -1, when, luck))
        for name in blocks:
            luck = float(site.luck.normals(BLOCKS, name, ordinal, 1)[0])
            site.journal.price_luck((-1, site.block_customer_number[name], when, luck))


def quarters(first_day: date, start: float, end: float) -> Iterator[tuple[int, float]]:
    """The calendar quarters of a time: which, counted from the year 0 on, and when each begins, the first before the time.

    first_day: the Monday on which the clock is 0; start, end: of the time [h]
    """
    day = first_day + timedelta(hours=start)
    ordinal = day.year * 4 + (day.month - 1) // A_QUARTER
    while (when := (_first_of(ordinal) - first_day).days * DAY) < end:
        yield ordinal, when
        ordinal += 1


def _first_of(ordinal: int) -> date:
    year, quarter = divmod(ordinal, 4)
    return date(year, 1 + quarter * A_QUARTER, 1)
