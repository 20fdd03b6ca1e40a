"""Harvest and sales by year, without the expansion and with it, and who buys."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from farmsim.report.document import Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings
from farmsim.report.pack.first_page import FIRM, buyers
from farmsim.report.pack.printed import income
from farmsim.report.pack.said import BLANK, NONE, Told, added_up, average, day_of, of_sales, percent, whole
from farmsim.report.words import Weights, count, dated, rounded_to_add_up, tidy
from farmsim.study.pack_answers import Pack

SOLD = (("Mushrooms", "mushrooms"), ("Blocks", "blocks"), ("Spent blocks", "spent_blocks"))
ROUNDED = 3  # units of money by which a sum of rounded lines may differ
WIDE = 3  # years, beyond which the table wants a page of its own


def parts(pack: Pack) -> Iterator[Part]:
    """Weeks by year, money by year, customers."""
    yield headings.HARVEST
    yield Words("Averages over all runs; what is picked is not yet sold.")
    if pack.grown:
        yield Sheet(weeks(pack), is_wide=len(pack.grown) > WIDE)
    yield Sheet(money(pack), is_wide=len(pack.grown) > WIDE)
    yield headings.CUSTOMERS
    yield Sheet(customers(pack)) if pack.buyers else Words(buyers(pack, Told(pack)))
    if pack.arrivals:
        yield Sheet(arrivals(pack))


def _columns(head: str, pack: Pack) -> tuple[Column, ...]:
    found = [Column(head)]
    for year in pack.expanded.years:
        found += [Column(f"year {year.number}", "without"), Column(f"year {year.number}", "with")]
    return tuple(found)


def weeks(pack: Pack) -> Table:
    """Pounds and blocks a week, year by year."""
    weights = Told(pack).weights
    lines = list(dict.fromkeys((name, unit) for one in pack.grown for name, unit, _, _ in one.lines))
    rows = []
    for name, unit in lines:
        cells: list[str] = []
        for one in pack.grown:
            found = next(((base, more) for line, _, base, more in one.lines if line == name), None)
            cells += ["-", "-"] if found is None else [_figure(value, unit, pack) for value in found]
        shown = "" if unit == "share" else f", {weights.unit if unit == 'kg' else unit}"
        rows.append((f"{tidy(name)}{shown}", *cells))
    columns = (Column("a week"), *_columns("", pack)[1 : 1 + 2 * len(pack.grown)])
    return Table("A week on average, by year", columns, tuple(rows))


def _figure(value: float, unit: str, pack: Pack) -> str:
    if unit == "share":
        return percent(value)
    return count(Told(pack).weights.figure(value)) if unit == "kg" else count(value)


def money(pack: Pack) -> Table:
    """Sales by year, rounded so that each column adds up."""
    both = [(one, other) for one, other in zip(pack.base.years, pack.expanded.years, strict=True)]
    printed = [[income(year) for year in pair] for pair in both]
    rows = [
        (label, *(whole(cells[line]) for pair in printed for cells in pair))
        for label, line in SOLD
        if any(round(average(year, line)) for pair in both for year in pair)
    ]
    total = ("Sales", *(whole(cells["sales"]) for pair in printed for cells in pair))
    return Table("Sales by year", _columns(f"in {pack.currency}", pack), (*rows, total), summed=True)


def customers(pack: Pack) -> Table:
    """Everybody who buys in the last year told."""
    weights = Told(pack).weights
    columns = (
        Column("customer"),
        Column("how firm"),
        Column("buys from"),
        Column("a week", "without"),
        Column("a week", "with"),
        Column("pays a year", pack.currency),
        Column("of all sales", "%"),
    )
    shares, paid = of_sales(pack.buyers), [each.a_year for each in pack.buyers]
    paid = added_up(paid, _all_sales(pack, sum(paid)))
    units = [each.unit for each in pack.buyers]
    before, after = (
        _a_week([getattr(each, which) for each in pack.buyers], units, weights) for which in ("before_a_week", "a_week")
    )
    rows = [
        (
            f"{tidy(each.name)}{' (new)' if each.is_new else ''}",
            FIRM[each.firm],
            day_of(each.since) if each.since else "the start",
            without,
            with_it,
            whole(much),
            f"{share:.0f} %",
        )
        for each, without, with_it, much, share in zip(pack.buyers, before, after, paid, shares, strict=True)
    ]
    note = (
        "Signed: a signed order. By habit: buys now, with nothing signed. Letter: a letter of interest. All days of the year "
        "count here, in the weeks above whole weeks, so they may differ a little. One name may stand for several customers of "
        "a kind, such as all restaurants of a town"
    )
    return Table("Customers in the last year told", columns, tuple(rows), note=note)


def _all_sales(pack: Pack, exact: float) -> float:
    """Sales of the last year told but for spent blocks, as the income statement prints them, where these are the same."""
    of_year = income(pack.expanded.years[-1])
    printed = of_year["sales"] - of_year["spent_blocks"]
    return printed if abs(printed - exact) < ROUNDED else float(round(exact))


def _a_week(amounts: Sequence[float], units: Sequence[str], weights: Weights) -> list[str]:
    """Amounts a week in words, rounded so that those in one unit add up as printed."""
    shown = [weights.figure(each) if unit == "kg" else each for each, unit in zip(amounts, units, strict=True)]
    for unit in dict.fromkeys(units):
        places = [at for at, of in enumerate(units) if of == unit]
        for at, value in zip(places, rounded_to_add_up(shown[at] for at in places)[0][:-1], strict=True):
            shown[at] = value
    return [
        f"{count(value)} {weights.unit}" if unit == "kg" else weights.amount(value, unit)
        for value, unit in zip(shown, units, strict=True)
    ]


def arrivals(pack: Pack) -> Table:
    """Which customers come or take another amount, when, how much, how firm that is."""
    columns = ("from", "customer", "takes", "on", "pays", "how firm", "where that stands")
    rows = [
        (
            day_of(each.day),
            tidy(each.name),
            tidy(f"{each.takes} instead of {each.before}" if each.before else each.takes),
            tidy(each.days) or NONE,
            tidy(each.pays),
            FIRM[each.firm],
            dated(tidy(each.source)) or BLANK,
        )
        for each in pack.arrivals
    ]
    return Table("Who begins to buy, or takes another amount", tuple(map(Column, columns)), tuple(rows))
