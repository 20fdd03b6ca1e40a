"""The books of a farm on one screen: the year, cash, debts and what may fall in sentences, then the statements by year."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date

from farmsim import units
from farmsim.report.answer import Answer
from farmsim.report.loan_words import besides
from farmsim.report.tables import row, section
from farmsim.report.words import Weights, about, count, dated, day, listed, month, plural, shortened, tidy, upper
from farmsim.study.answers import FEWEST, Total
from farmsim.study.books_answers import Kept, LoanTold, YearTold

NAMED = 5  # figures without a source that are told by name
MOST_SHOWN = 5  # years beside one another on the screen; all of them are in the tables
LABEL, FIGURE = 28, 12  # letters of a column of the tables
NO_ADVICE = "A computed plan is not engineering, legal, tax or lending advice."


def answer(kept: Kept, file: str) -> Answer:
    """The books in every form in which they are given; file: name of the farm's file."""
    from farmsim.report.books_plain import plain
    from farmsim.report.figures import cash
    from farmsim.report.workbook import write

    asked = {"books": file, "start": kept.start, "seed": kept.seed, "runs": kept.runs, "years": len(kept.years)}
    tables = {
        "years": kept.years_table,
        "months": kept.months,
        "loans": kept.loans_table,
        "strains": kept.strains_table,
        "books_years": kept.runs_years,
        "books_months": kept.runs_months,
    }
    files = {"books.xlsx": lambda path: write(kept, path)}
    return Answer(screen(kept), plain(kept), asked, tables, {"cash": lambda: cash.draw(kept)}, files=files)


def screen(kept: Kept) -> str:
    """Everything on one screen, as text."""
    span = (
        plural(len(kept.years), "year")
        if kept.years[0].is_whole
        else f"{kept.years[0].lines['days'].mean.value:.0f} days"
    )
    head = f"{shortened(tidy(kept.farm), 50)}: books of {span} from {day(date.fromisoformat(kept.start))}"
    parts = [f"{head}, {plural(kept.runs, 'run')}", ""]
    for heading, sentences in (
        ("THE YEAR", list(_year(kept))),
        ("CASH", list(_cash(kept))),
        ("LOANS", [_loan(loan, kept) for loan in kept.loans]),
        ("DEBT PAYMENTS", list(_debts(kept))),
        ("MAY FALL", list(_may_fall(kept))),
    ):
        parts += section(heading, sentences) if sentences else []
    parts += ["", *_statements(kept), "", *_earned(kept), "", *_footnote(kept)]
    return "\n".join(parts) + "\n"


class Said:
    """Money of a farm as it is said."""

    def __init__(self, currency: str) -> None:
        self._currency = currency

    def money(self, value: float) -> str:
        """To three of its digits: $1,010,000; -$860."""
        size = float(about(abs(value)).replace(",", "")) if abs(value) >= 1000 else round(abs(value))
        return units.show(-size if value < 0 else size, "currency", currency=self._currency, digits=9)

    def fine(self, value: float) -> str:
        """To the cent, as a price."""
        return units.show(round(value, 2), "currency", currency=self._currency, digits=9)


# --- sentences --------------------------------------------------------------------------------------------------------


def _poor(total: Total, kept: Kept, told: Callable[[float], str]) -> str:
    """The figure of a poor year, where there are runs enough to tell one."""
    return f" ({told(total.low)} in a poor year)" if kept.runs >= FEWEST else ""


def _year(kept: Kept) -> Iterator[str]:
    first, said = kept.years[0], Said(kept.currency)
    usual = {name: line.usual for name, line in first.lines.items()}
    what = "a usual year" if first.is_whole else f"{count(first.lines['days'].mean.value)} usual days"
    income = first.lines["net_farm_income"]
    yield (
        f"Sales come to {said.money(usual['sales'])} in {what}. Running the farm costs {said.money(usual['operating_costs'])}, "
        f"wear (depreciation) {said.money(usual['depreciation'])}, interest {said.money(usual['interest'])}."
    )
    yield (
        f"Net farm income, before taxes and the owner's draw: {said.money(income.usual)}"
        f"{_poor(income, kept, said.money)}."
    )


def _cash(kept: Kept) -> Iterator[str]:
    lowest, said = kept.lowest, Said(kept.currency)
    poor = f" and {said.money(lowest.cash.low)} in a poor one (1 in 10)" if kept.runs >= FEWEST else ""
    counted = "" if kept.limit is None else ", what is owed on the credit line taken off"
    yield (
        f"At its lowest cash is {said.money(lowest.cash.usual)} in a usual run{poor}{counted}. "
        f"Most often that is in {month(f'{lowest.month}-01')} ({lowest.in_month} of {plural(kept.runs, 'run')})."
    )
    if kept.limit is not None:
        runs = f"all {kept.runs} runs draw" if lowest.drew == kept.runs else f"{lowest.drew} of {kept.runs} runs draw"
        drew = f"{runs} on it, {said.money(lowest.most_drawn)} at most" if lowest.drew else "no run draws on it"
        yield f"Credit line of {said.money(kept.limit)}: {drew}."
    if lowest.not_covered:
        covers = "cash does not cover" if kept.limit is None else "neither cash nor the line covers"
        yield (
            f"In {lowest.not_covered} of {plural(kept.runs, 'run')} {covers} everything: "
            f"{said.money(lowest.most_missing)} are missing at most."
        )
    else:
        yield "Every payment is covered in every run."


def _loan(loan: LoanTold, kept: Kept) -> str:
    said = Said(kept.currency)
    owed = (
        f"{said.fine(loan.amount)} from {day(date.fromisoformat(loan.first_day))}"
        if loan.is_new
        else f"{said.fine(loan.owed)} owed at the start"
    )
    terms = f" ({dated(loan.terms)})" if loan.terms else " (no source and no day for these terms)"
    fewer = " now, less each time" if loan.kind == "equal principal" else ""
    payment = f"payments of {said.fine(loan.payment)}{fewer}, one every {loan.every}"
    return f"{tidy(loan.name)}: {owed}, {100 * loan.rate:g} % a year, {payment}{besides(loan, said.fine)}{terms}."


def _debts(kept: Kept) -> Iterator[str]:
    first, said = kept.years[0], Said(kept.currency)
    if not first.is_whole:
        yield "What lenders look at is told of whole years only."
        return
    lines = first.lines
    yield f"Principal and interest of all loans: {said.fine(lines['payments'].usual)} in year 1."
    if "term_debt_coverage" not in lines:
        capacity = lines["capital_debt_repayment_capacity"]
        yield (
            f"Nothing has to be covered. Capital debt repayment capacity: {said.money(capacity.usual)}"
            f"{_poor(capacity, kept, said.money)}."
        )
        return
    simple, coverage, margin = (
        lines[name] for name in ("simple_debt_service_coverage", "term_debt_coverage", "capital_debt_repayment_margin")
    )
    year = " in year 1" if len(kept.years) > 1 else ""
    yield (
        f"Simple debt-service coverage (net operating income / principal and interest){year}: {simple.usual:.2f}"
        f"{_poor(simple, kept, _ratio)}."
    )
    yield (
        "Term debt coverage (capital debt repayment capacity after the Farm Financial Standards Council / principal and "
        f"interest): {coverage.usual:.2f}{_poor(coverage, kept, _ratio)}. The two are not the same; ask which one is meant."
    )
    yield f"Capital debt repayment margin: {said.money(margin.usual)}{_poor(margin, kept, said.money)}."
    yield from _weakest(kept)
    yield from _replaced(kept)
    signed = lines["term_debt_coverage_signed_only"]
    alone = f"{signed.usual:.2f}" if signed.usual > 0 else "nothing would be left for payments"
    yield f"Term debt coverage if only customers paid who have signed, costs as they are: {alone}."


def _weakest(kept: Kept) -> Iterator[str]:
    """The year in which debts are covered worst, where it is another than the first."""
    if kept.weakest is None or kept.weakest == 1:
        return
    lines = kept.years[kept.weakest - 1].lines
    simple, coverage = lines["simple_debt_service_coverage"], lines["term_debt_coverage"]
    yield (
        f"Debts are covered worst in year {kept.weakest}: simple debt-service coverage {simple.usual:.2f}"
        f"{_poor(simple, kept, _ratio)}, term debt coverage {coverage.usual:.2f}{_poor(coverage, kept, _ratio)}."
    )


def _replaced(kept: Kept) -> Iterator[str]:
    """What is left when what wears out is replaced too."""
    said, lines = Said(kept.currency), kept.years[0].lines
    margin, coverage = lines["replacement_margin"], lines["replacement_margin_coverage"]
    if lines["depreciation"].mean.value:
        yield (
            f"With what wears out replaced too: replacement margin {said.money(margin.usual)}"
            f"{_poor(margin, kept, said.money)}; replacement margin coverage {coverage.usual:.2f}"
            f"{_poor(coverage, kept, _ratio)}."
        )


def _ratio(value: float) -> str:
    return f"{value:.2f}"


def _may_fall(kept: Kept) -> Iterator[str]:
    first, said = kept.years[0], Said(kept.currency)
    lines, even = first.lines, kept.break_even
    if not first.is_whole or "prices_may_fall" not in lines or "harvest_may_fall" not in lines or even is None:
        return
    prices, harvest = lines["prices_may_fall"], lines["harvest_may_fall"]
    weights = Weights(kept.system)
    if prices.usual <= 0:
        yield "Capacity to repay does not cover the payments in a usual year, so nothing may fall."
    else:
        yield (
            f"Prices may fall {100 * prices.usual:.1f} %{_poor(prices, kept, _percent)}, or the harvest "
            f"{100 * harvest.usual:.1f} %{_poor(harvest, kept, _percent)}, before capacity to repay no longer covers payments."
        )
    price, then = (said.fine(weights.each(value)) for value in (even.price, even.price_then))
    now, at_least = (weights.figure(value) for value in (even.yield_, even.yield_then))
    yield (
        f"Payments are just covered at {then} instead of {price} a {weights.unit} of mushrooms on average, or at "
        f"{at_least:.2f} instead of {now:.2f} {weights.unit} sold of a block fruited; costs as they are."
    )


def _percent(value: float) -> str:
    return f"{100 * value:.1f} %"


# --- tables -----------------------------------------------------------------------------------------------------------

Lines = tuple[tuple[str, str, int], ...]
INCOME: Lines = (
    ("  Mushrooms", "mushrooms", 1),
    ("  Blocks", "blocks", 1),
    ("  Spent blocks", "spent_blocks", 1),
    ("Sales", "sales", 1),
    ("  Materials, packaging", "materials", -1),
    ("  Wages and what is on top", "people", -1),
    ("  Power and fuel", "energy", -1),
    ("  Fixed costs", "fixed_costs", -1),
    ("Net operating income", "operating_income", 1),
    ("  Wear (depreciation)", "depreciation", -1),
    ("  Interest", "interest", -1),
    ("Net farm income", "net_farm_income", 1),
)
CASH: Lines = (
    ("Cash at the beginning", "begin_cash", 1),
    ("  From customers", "received", 1),
    ("  Costs paid", "paid_costs", -1),
    ("  Interest", "paid_interest", -1),
    ("  Principal", "paid_principal", -1),
    ("  Taxes", "paid_taxes", -1),
    ("  Owner's draw", "owner_draw", -1),
    ("  Capital items", "bought", -1),
    ("  Borrowed", "borrowed", 1),
    ("  Brought by the owner", "owner_brought", 1),
    ("  Credit line drawn", "line_taken_up", 1),
    ("  Credit line paid back", "line_paid_back", -1),
    ("Cash at the end", "end_cash", 1),
    ("  not covered by it", "end_overdrawn", -1),
)
BALANCE: Lines = (
    ("  Cash", "cash", 1),
    ("  Owed by customers", "receivables", 1),
    ("  Stocks", "stocks", 1),
    ("  Capital items", "equipment", 1),
    ("  Land and other", "land", 1),
    ("Assets", "assets", 1),
    ("  Bills", "payables", 1),
    ("  Credit line", "line_owed", 1),
    ("  Not covered", "overdrawn", 1),
    ("  Interest not due yet", "interest_owed", 1),
    ("  Loans, within a year", "loans_within_a_year", 1),
    ("  Loans, later", "loans_later", 1),
    ("  Other debts", "other_debts", 1),
    ("Debts", "debts", 1),
    ("Equity", "equity", 1),
)
ALWAYS = ("sales", "operating_income", "net_farm_income", "begin_cash", "end_cash", "cash", "assets", "debts", "equity")


def _statements(kept: Kept) -> list[str]:
    shown = kept.years[:MOST_SHOWN]
    heads = [f"year {year.number}" if year.is_whole else "so far" for year in shown]
    lines = [_row("INCOME, on average", heads, f"in {kept.currency}")]
    lines += _rows(INCOME, shown)
    lines += ["", _row("CASH, on average", heads), *_rows(CASH, shown)]
    lines += ["", _row("OWNED AND OWED, on average", ["start", *heads]), *_balance(kept, shown)]
    if shown[0].is_whole and "payments" in shown[0].lines:
        lines += ["", _row("WHAT LENDERS LOOK AT", heads), *_lenders(kept, shown)]
    if len(kept.years) > MOST_SHOWN:
        lines.append(f"Years {MOST_SHOWN + 1} to {len(kept.years)} are in years.csv and books.xlsx.")
    return lines


def _rows(rows: Lines, shown: Sequence[YearTold]) -> Iterator[str]:
    for label, name, sign in rows:
        values = [year.lines[name].mean.value for year in shown]
        if name in ALWAYS or any(round(value) for value in values):
            yield _row(label, [_whole(sign * value) for value in values])


def _balance(kept: Kept, shown: Sequence[YearTold]) -> Iterator[str]:
    for label, name, _ in BALANCE:
        values = [kept.opening[name], *(year.lines[f"end_{name}"].mean.value for year in shown)]
        if name in ALWAYS or any(round(value) for value in values):
            yield _row(label, [_whole(value) for value in values])
    for label, name, told in (
        ("  Current ratio", "current_ratio", _ratio),
        ("  Working capital", "working_capital", _whole),
        ("  Debt to assets", "debt_to_assets", _percent),
    ):
        ends = [None if (line := year.lines.get(f"end_{name}")) is None else line.mean.value for year in shown]
        yield _row(label, [_told(value, told) for value in (kept.opening[name], *ends)])


def _told(value: float | None, told: Callable[[float], str]) -> str:
    return "-" if value is None or value != value else told(value)


LENDERS = (
    ("Debt payments", "payments", False),
    ("Simple debt-service coverage", "simple_debt_service_coverage", True),
    ("Capacity to repay (FFSC)", "capital_debt_repayment_capacity", False),
    ("Term debt coverage (FFSC)", "term_debt_coverage", True),
    ("Replacement margin", "replacement_margin", False),
)


def _lenders(kept: Kept, shown: Sequence[YearTold]) -> Iterator[str]:
    """Usual years, and below them poor ones, where there are runs enough."""
    for label, name, is_ratio in LENDERS:
        told = _ratio if is_ratio else _whole
        lines = [year.lines.get(name) for year in shown]
        if any(lines):
            cells = [_told(None if line is None else line.usual, told) for line in lines]
            yield _row(label, cells)
        if any(lines) and name != "payments" and kept.runs >= FEWEST:
            cells = [_told(None if line is None else line.low, told) for line in lines]
            yield _row("  a poor year (1 in 10)", cells)


def _row(label: str, cells: Sequence[str], after: str = "") -> str:
    return row(label, cells, after, label_width=LABEL, figure_width=FIGURE)


def _whole(value: float) -> str:
    text = f"{value:,.0f}"
    return "0" if text == "-0" else text


def _earned(kept: Kept) -> list[str]:
    heads = ("a year", "fruited", "sold", "shelf-week", "rack-week", "hour")
    lines = [row("EARNED BY STRAIN", heads, label_width=20, figure_width=13)]
    for each in kept.earns:
        parts = (each.block_fruited, each.block_sold, each.shelf_week, each.rack_week, each.hour)
        cells = [_whole(each.a_year.mean.value), *("-" if one is None else f"{one.mean.value:,.2f}" for one in parts)]
        lines.append(row(f"  {shortened(tidy(each.strain), 17)}", cells, label_width=20, figure_width=13))
    told = (
        f"In {kept.currency} a year, for each block fruited and each sold, for a block's week on a shelf (of what is fruited) "
        "and on a rack, and for an hour of work: takings less materials, packaging and disposal, blocks that are lost borne by "
        "the others. Wages, energy and fixed costs are in no strain's figures."
    )
    return [*lines, *section("", [told])]


# --- the end ----------------------------------------------------------------------------------------------------------


def _footnote(kept: Kept) -> list[str]:
    capacity = kept.years[0].lines["capital_debt_repayment_capacity"].mean
    give = (
        ""
        if capacity.give is None
        else f" (that of capacity to repay is known to +-{Said(kept.currency).money(capacity.give)})"
    )
    filled = f"The farm was given {plural(kept.lead_in, 'week')} to fill up. " if kept.lead_in else ""
    sure = (
        f"{filled}Usual: half of the runs lie below; poor: 1 run in 10 does. Averages of {plural(kept.runs, 'run')} add up to "
        f"the cent in the tables{give}. They hold as far as the farm's file is right."
    )
    lines = section("HOW SURE", [sure])
    if kept.gaps:
        lines += section("NOT IN IT", [f"{upper(listed([tidy(gap) for gap in kept.gaps]))}."])
    unnamed = [tidy(what) for what, source in kept.sources if source.startswith("no source")]
    if unnamed:
        more = len(unnamed) - NAMED
        named = [*unnamed[:NAMED], *([f"{count(more)} more"] if more > 0 else [])]
        lines += section("NO SOURCE", [f"No source and no day is given for {listed(named)} (see books.xlsx)."])
    return [*lines, *section("", [NO_ADVICE])]
