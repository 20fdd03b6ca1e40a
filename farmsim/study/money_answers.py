"""What a study hands on about money: plain numbers in the farm's currency, nothing to be computed any more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from farmsim.study.answers import Known, Total, Week


@dataclass(frozen=True)
class Paid:
    """What one customer is brought and pays, a week on average.

    priced, not_priced: brought at a stated price, and brought though no price is given for it [kg or blocks, see unit]
    """

    customer: str
    unit: str
    priced: float
    not_priced: float
    brought: Known


@dataclass(frozen=True)
class Money:
    """What is taken in and paid. Names in `weeks` and `totals` are the columns of money.csv.

    weeks: a thin, usual, fat and average week since the last change; totals: whole runs
    no_price, no_wage: for whom prices and wages are missing; has_energy: whether energy is known
    """

    currency: str
    weeks: Mapping[str, Week]
    totals: Mapping[str, Total]
    customers: tuple[Paid, ...]
    no_price: tuple[str, ...]
    no_wage: tuple[str, ...]
    has_energy: bool
