"""What luck makes of a customer's prices, quarter by quarter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from farmsim.money.states import States
from farmsim.record.tables import Figures, Numbers, Record
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import BlockCustomer, Customer


def by_luck(
    record: Record,
    states: States,
    of: Literal["customer", "block_customer"],
    names: Sequence[str],
    who: Numbers,
    when: Figures,
) -> Figures:
    """The factor of each delivery's price; 1 where prices do not vary, and before the measured time.

    of: which customers, as the column of the record's table is called; names: of all of them
    who, when: to whom each delivery went, and when [h]
    """
    found, luck = np.ones(len(when)), record.figures("price_luck", "luck")
    whose, begins = record.numbers("price_luck", of), record.figures("price_luck", "when")

    def spread(farm: Farm, name: str) -> list[float] | None:
        customers: tuple[Customer | BlockCustomer, ...] = getattr(farm, of)
        return next(([each.price_varies] for each in customers if each.name == name), None)

    for number in np.unique(whose[whose >= 0]):
        kept, drawn = np.flatnonzero(who == number), np.flatnonzero(whose == number)
        at = np.searchsorted(begins[drawn], when[kept], side="right") - 1
        cv = states.values([names[number]], spread)[0, states.at(when[kept]), 0]
        found[kept] = np.where(at >= 0, factor(cv, luck[drawn][at]), 1.0)
    return found


def factor(cv: Figures, luck: Figures) -> Figures:
    """Luck turned into a factor: lognormal, so never below nothing, with a mean of 1.

    cv: standard deviation over mean [1]; luck: standard normal [1]
    """
    log_variance = np.log1p(np.square(cv))
    found: Figures = np.exp(np.sqrt(log_variance) * luck - log_variance / 2)
    return found
