"""Income, cash and balance sheet, averages over all runs; without the expansion, with it, and what it brings; the ratios."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from farmsim.report.document import Part, Picture, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack import headings, printed
from farmsim.report.pack.said import Told, whole, year_columns
from farmsim.report.words import month, plural
from farmsim.study.answers import FEWEST
from farmsim.study.books_answers import Kept
from farmsim.study.pack_answers import Pack

Row = tuple[str, str, int]
INCOME: tuple[Row, ...] = (
    ("Mushrooms", "mushrooms", 1),
    ("Blocks", "blocks", 1),
    ("Spent blocks", "spent_blocks", 1),
    ("= Sales", "sales", 1),
    ("Materials and packaging", "materials", -1),
    ("Wages and what is on top", "people", -1),
    ("Power and fuel", "energy", -1),
    ("Fixed costs", "fixed_costs", -1),
    ("= Net operating income", "operating_income", 1),
    ("Wear (depreciation)", "depreciation", -1),
    ("Interest", "interest", -1),
    ("= Net farm income", "net_farm_income", 1),
)
CASH: tuple[Row, ...] = (
    ("Cash at the beginning", "begin", 1),
    ("From customers", "received", 1),
    ("Costs paid", "paid_costs", -1),
    ("Interest paid", "paid_interest", -1),
    ("Principal paid", "paid_principal", -1),
    ("Taxes paid", "paid_taxes", -1),
    ("Owner's draw", "owner_draw", -1),
    ("Capital items bought", "bought", -1),
    ("Borrowed", "borrowed", 1),
    ("Brought by the owner", "owner_brought", 1),
    ("Credit line drawn", "line_taken_up", 1),
    ("Credit line paid back", "line_paid_back", -1),
    ("= Cash at the end", "end", 1),
)
BALANCE: tuple[Row, ...] = (
    ("Cash", "cash", 1),
    ("Owed by customers", "receivables", 1),
    ("Stocks", "stocks", 1),
    ("Capital items", "equipment", 1),
    ("Land and other", "land", 1),
    ("= Assets", "assets", 1),
    ("Bills", "payables", 1),
    ("Credit line", "line_owed", 1),
    ("Not covered by cash or line", "overdrawn", 1),
    ("Interest not due yet", "interest_owed", 1),
    ("Loans, due within a year", "loans_within_a_year", 1),
    ("Loans, due later", "loans_later", 1),
    ("Other debts", "other_debts", 1),
    ("= Debts", "debts", 1),
    ("= Equity (assets less debts)", "equity", 1),
)
ADDS_UP = (
    "Averages over {runs}, which add up; the first page tells usual runs, half of which lie below, so it may differ a little. "
    "In the tables of income and cash, by month and by year, what is paid or taken out has a minus sign; in all other tables, "
    "such as those of loans and past years, it has none. A line with = is the sum above it."
)
MONTHS: tuple[Row, ...] = (
    ("from customers", "received", 1),
    ("costs paid", "paid_costs", -1),
    ("interest", "paid_interest", -1),
    ("principal", "paid_principal", -1),
    ("taxes", "paid_taxes", -1),
    ("owner's draw", "owner_draw", -1),
    ("capital items", "bought", -1),
    ("borrowed", "borrowed", 1),
    ("owner brings", "owner_brought", 1),
    ("cash at the end", "end_cash", 1),
    ("owed on the line then", "end_line_owed", 1),
    ("not covered then", "end_overdrawn", 1),
    ("lowest evening", "lowest_cash", 1),
)
LOWEST_POOR = "lowest_cash_poor"
A_YEAR = 12


def parts(pack: Pack) -> Iterator[Part]:
    """Income, cash and balance sheet."""
    yield headings.STATEMENTS
    yield Words(ADDS_UP.format(runs=plural(pack.runs, "run")))
    yield headings.INCOME
    yield from (Sheet(each) for each in incomes(pack))
    yield from cash(pack)
    yield from balance(pack)


def incomes(pack: Pack) -> list[Table]:
    """With the expansion, without it, and the difference: line by line the first is the sum of the other two."""
    base, more = ([printed.income(year) for year in kept.years] for kept in (pack.base, pack.expanded))
    brings = [{name: two[name] - one[name] for name in two} for one, two in zip(base, more, strict=True)]
    columns = (Column(f"in {pack.currency}"), *year_columns(pack))
    every = [*base, *more]
    return [
        Table(caption, columns, tuple(rows(INCOME, told, every)), summed=True)
        for caption, told in (
            ("Income with the expansion", more),
            ("Income without it", base),
            ("What the expansion brings: with it less without it", brings),
        )
    ]


def rows(
    wanted: Sequence[Row], told: Sequence[printed.Printed], every: Sequence[printed.Printed]
) -> Iterator[tuple[str, ...]]:
    """Labels and figures; a line that is nothing everywhere is left out unless it is a sum."""
    for label, name, sign in wanted:
        if label.startswith("=") or printed.anything(every, name):
            yield (label, *(whole(sign * each[name]) for each in told))


def cash(pack: Pack) -> Iterator[Part]:
    """Month by month in the first year, then by year; the picture of lowest cash."""
    from farmsim.report.figures import cash as picture

    yield headings.CASH
    first = months(pack)
    if first.rows:
        yield Sheet(first, is_wide=True)
    told = printed.cash(pack.expanded)
    columns = (Column(f"in {pack.currency}"), *year_columns(pack))
    note = "Cash at the end, less what neither cash nor the credit line covers"
    by_year = Table("Cash by year, with the expansion", columns, tuple(rows(CASH, told, told)), summed=True, note=note)
    yield Sheet(by_year, is_wide=bool(first.rows))  # beside the months, which leave room on their page
    spread = ", with the range of eight runs in ten" if pack.expanded.runs >= FEWEST else ""
    yield Picture(
        "cash",
        lambda: picture.draw(pack.expanded),
        "Cash at its lowest, month by month",
        f"A line of the lowest evening of each month over all years{spread}.",
        f"Cash is lowest in {month(f'{pack.expanded.lowest.month}-01')} in most runs.",
    )


def months(pack: Pack) -> Table:
    """The first twelve months, one a row; lines that are nothing are left out."""
    found = pack.expanded.months.to_dict("records")[:A_YEAR]
    lines = [row for row in MONTHS if any(round(float(of.get(row[1], 0.0))) for of in found)]
    told = [(month(f"{of['month']}-01"), *(whole(sign * float(of[line])) for _, line, sign in lines)) for of in found]
    columns = [Column("month"), *(Column(head, f"{pack.currency}, average") for head, _, _ in lines)]
    if Told(pack).has_poor:
        columns.append(Column("lowest evening", f"{pack.currency}, 1 run in 10"))
        told = [(*row, whole(float(of[LOWEST_POOR]))) for row, of in zip(told, found, strict=True)]
    note = (
        "From the lowest evening what is owed on the credit line and what nothing covers are taken off. The first and the last "
        "month of the year may be a part of a month"
    )
    return Table("Cash by month in the first year, with the expansion", tuple(columns), tuple(told), note=note)


def balance(pack: Pack) -> Iterator[Part]:
    """At the start and at the end of every year with it; beside it the last year without."""
    yield headings.BALANCE
    yield Sheet(sheet(pack, pack.expanded, "Owned and owed, with the expansion"))
    yield Sheet(sheet(pack, pack.base, "Owned and owed, without it"))


def sheet(pack: Pack, kept: Kept, caption: str) -> Table:
    """The balance sheet the evening before the start, and at the end of every year."""
    exact = [{**dict.fromkeys(("overdrawn",), 0.0), **kept.opening}, *(printed.at_end(year) for year in kept.years)]
    told = [printed.balance(each) for each in exact]
    columns = (Column(f"in {pack.currency}"), Column("start", "evening before"), *year_columns(pack, kept))
    return Table(caption, columns, tuple(rows(BALANCE, told, told)), summed=True)
