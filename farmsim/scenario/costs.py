"""What the farm pays besides hours and energy: materials, packaging, fixed costs, what goes to the owner and in taxes."""

from __future__ import annotations

import datetime

from farmsim.scenario import forms
from farmsim.scenario.date_forms import DATE
from farmsim.scenario.fields import FARM, figure
from farmsim.scenario.part import Part
from farmsim.scenario.price_form import PRICES, Prices


class Materials(Part):
    """Prices of what a block, and what comes of it, uses up: each for all strains or by strain."""

    substrate: Prices | None = figure(
        "currency/block",
        None,
        form=PRICES,
        meaning="substrate and supplement of a block made here; left out: not counted",
    )
    spawn: Prices | None = figure(
        "currency/block", None, form=PRICES, meaning="spawn of a block made here; left out: not counted"
    )
    bag: Prices | None = figure(
        "currency/block", None, form=PRICES, meaning="bag and filter of a block made here; left out: not counted"
    )
    bought: Prices | None = figure(
        "currency/block", None, form=PRICES, meaning="price of a block that is bought in; left out: not counted"
    )
    packaging: Prices | None = figure(
        "currency/kg",
        None,
        form=PRICES,
        meaning="packaging of fresh mushrooms, by weight packed; left out: not counted",
    )
    crate: Prices | None = figure(
        "currency/crate",
        None,
        form=PRICES,
        meaning="packaging of a crate of fresh mushrooms, by crates packed; left out: not counted",
    )
    block_box: Prices | None = figure(
        "currency/block", None, form=PRICES, meaning="packaging of a block that is sold; left out: not counted"
    )
    spent: Prices | None = figure(
        "currency/block",
        None,
        form=PRICES,
        meaning="disposal of a block cleared away or thrown out; left out: not counted",
    )
    spent_brings: Prices | None = figure(
        "currency/block", None, form=PRICES, meaning="what a block brings that is cleared away spent; left out: nothing"
    )
    paid_after: float = figure(
        "h", "0 d", most=8766, meaning="how long after they are used bills for all these are paid", source=FARM
    )
    prices_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day these prices are of"
    )
    prices_from: str | None = figure(default=None, form=forms.TEXT, meaning="where these prices stand")


class FixedCost(Part):
    """A cost that comes whether anything grows or not: rent, insurance, repairs, van, books."""

    name: str = figure(form=forms.TEXT, meaning="its name")
    a_month: float = figure("currency/month", meaning="what it costs in a month, spread over its days")
    costs_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day on which the cost was told"
    )
    costs_from: str | None = figure(
        default=None, form=forms.TEXT, meaning="who told the cost, such as a contract or the books"
    )


class Costs(Part):
    """What goes with wages, what goes to the owner's family, and taxes."""

    on_costs: float = figure(
        "fraction", "0 %", most=2, meaning="on top of wages: payroll taxes, insurance, benefits", source=FARM
    )
    overtime_more: float = figure(
        "fraction", "0 %", most=3, meaning="on top of the wage for hours paid as overtime", source=FARM
    )
    owner_draw: float = figure(
        "currency/month",
        0.0,
        meaning="what the owner takes out of the farm, spread over the days of a month",
        source=FARM,
    )
    family_living: float | None = figure(
        "currency/month",
        None,
        meaning="what the family lives on, counted by lenders in its capacity to repay; left out: the owner's draw",
    )
    off_farm_income: float = figure(
        "currency/month",
        0.0,
        meaning="income from elsewhere, counted by lenders; none of it comes to the farm",
        source=FARM,
    )
    taxes: float = figure(
        "currency/month",
        0.0,
        meaning="income and self-employment taxes that the farm pays, spread over the days of a month; as given, not "
        "worked out from income",
        source=FARM,
    )
    replaces: float = figure(
        "fraction",
        "100 %",
        most=3,
        meaning="share of depreciation that has to be spent to replace what wears out, counted by lenders",
        source="Farm Financial Standards Council: replacement allowance; its share is the farm's own",
    )
    books_of: datetime.date | None = figure(
        default=None, form=DATE, least=1900, most=2200, meaning="day these figures are of"
    )
    books_from: str | None = figure(default=None, form=forms.TEXT, meaning="where these figures stand")


class Drift(Part):
    """How money changes from year to year: a step on each anniversary of the start, none in the first year."""

    prices: float = figure(
        "fraction/year",
        "0 % a year",
        least=-0.5,
        most=1,
        also=("fraction",),
        meaning="of what customers pay",
        source=FARM,
    )
    wages: float = figure(
        "fraction/year", "0 % a year", least=-0.5, most=1, also=("fraction",), meaning="of wages", source=FARM
    )
    energy: float = figure(
        "fraction/year", "0 % a year", least=-0.5, most=1, also=("fraction",), meaning="of power and fuel", source=FARM
    )
    materials: float = figure(
        "fraction/year",
        "0 % a year",
        least=-0.5,
        most=1,
        also=("fraction",),
        meaning="of materials, blocks bought in, packaging and disposal",
        source=FARM,
    )
    fixed: float = figure(
        "fraction/year", "0 % a year", least=-0.5, most=1, also=("fraction",), meaning="of fixed costs", source=FARM
    )
    family: float = figure(
        "fraction/year",
        "0 % a year",
        least=-0.5,
        most=1,
        also=("fraction",),
        meaning="of the owner's draw, family living, taxes and income from elsewhere",
        source=FARM,
    )
