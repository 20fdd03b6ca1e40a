"""The books as a workbook a bookkeeper can go on with: numbers as numbers, a statement a sheet, the same bytes each time."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from farmsim.report.books import BALANCE, CASH, INCOME, NO_ADVICE
from farmsim.study.books_answers import Kept

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

LONG_AGO = (1980, 1, 1, 0, 0, 0)  # the date of every file in the workbook, so that the same books are the same bytes
WIDE, NARROW = 30, 14
MONEY, PLAIN, RATIO = "#,##0.00;[Red]-#,##0.00", "General", "0.00"
COSTS = (
    ("Substrate", "substrate"), ("Spawn", "spawn"), ("Bags", "bags"), ("Blocks bought in", "blocks_bought"),
    ("Packaging", "packaging"), ("Block boxes", "block_boxes"), ("Disposal", "disposal"), ("Wages", "shift_wages"),
    ("Overtime wages", "overtime_wages"), ("Overtime on top", "overtime_on_top"), ("On-costs", "on_costs"),
    ("Power and fuel", "energy"), ("Fixed costs", "fixed_costs"),
)  # fmt: skip
"""Operating costs line by line, as a bookkeeper books them."""


def write(kept: Kept, path: Path) -> None:
    """Write the workbook."""
    from openpyxl import Workbook

    book = Workbook()
    about = book.active
    assert about is not None
    _about(about, kept)
    months = kept.months
    heads = [str(name) for name in months["month"]]
    income = [*(each for each in INCOME[:4]), *((f"  {label}", name, -1) for label, name in COSTS), *INCOME[8:]]
    _statement(book, "Income by month", heads, [(label, _of(months, name, sign)) for label, name, sign in income])
    _statement(book, "Cash by month", heads, [(label, _of(months, name, sign)) for label, name, sign in CASH])
    balance = [(label, _of(months, f"end_{name}", 1)) for label, name, _ in BALANCE]
    _statement(book, "Owned and owed by month", heads, balance)
    _years(book, kept)
    _table(book, "Loan payments", kept.loans_table, MONEY)
    _table(book, "Strains", kept.strains_table, MONEY)
    _table(book, "Every line by year", kept.years_table, PLAIN)
    _table(book, "Every run by year", kept.runs_years, PLAIN)
    _save(book, path)


def _of(table: Any, name: str, sign: int) -> list[float]:
    return [sign * float(value) for value in table[name]]


def _about(sheet: Worksheet, kept: Kept) -> None:
    sheet.title = "About"
    rows: Iterable[Sequence[object]] = (
        (kept.farm,),
        (f"Books in {kept.currency} from {kept.start}, averages of {kept.runs} simulated runs unless said otherwise.",),
        ("What is earned and spent is told when it happens; cash follows when customers pay and bills are paid.",),
        ("Costs and what goes out have a minus. Averages add up to the cent.",),
        (NO_ADVICE,),
        (),
        ("Not in it", ", ".join(kept.gaps) or "nothing is missing that the program knows of"),
        (),
        ("Figures of the farm's file", "where they come from"),
        *kept.sources,
    )
    for row in rows:
        sheet.append([_text(cell) for cell in row])
    sheet["A1"].font = _bold()
    sheet.column_dimensions["A"].width = WIDE
    sheet.column_dimensions["B"].width = 2 * WIDE


def _text(cell: object) -> object:
    """A text that begins like a formula stays a text."""
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in ("=", "+", "@") else cell


def _statement(book: Workbook, name: str, heads: Sequence[str], rows: Sequence[tuple[str, Sequence[float]]]) -> None:
    """One row for each line, one column for each period; sums stand out."""
    sheet = book.create_sheet(name)
    sheet.append(["", *heads])
    for label, values in rows:
        sheet.append([label.strip(), *(round(value, 2) for value in values)])
        for cell in sheet[sheet.max_row][1:]:
            cell.number_format = MONEY
        if not label.startswith(" "):
            for cell in sheet[sheet.max_row]:
                cell.font = _bold()
    _laid_out(sheet, len(heads) + 1)


def _years(book: Workbook, kept: Kept) -> None:
    """The statements by year, with a usual and a poor year of what lenders look at."""
    heads = [f"year {year.number}" for year in kept.years]
    rows = [
        (label, [sign * year.lines[name].mean.value for year in kept.years]) for label, name, sign in (*INCOME, *CASH)
    ]
    rows += [(label, [year.lines[f"end_{name}"].mean.value for year in kept.years]) for label, name, _ in BALANCE]
    _statement(book, "By year", heads, rows)
    sheet = book.create_sheet("Lenders")
    sheet.append(["", *(f"{head}, {what}" for head in heads for what in ("usual", "poor (1 in 10)"))])
    for label, name in RATIOS:
        lines = [year.lines.get(name) for year in kept.years]
        sheet.append([label, *(None if one is None else value for one in lines for value in _both(one))])
        for cell in sheet[sheet.max_row][1:]:
            cell.number_format = RATIO if "coverage" in name or "ratio" in name or "to_assets" in name else MONEY
    _laid_out(sheet, 2 * len(heads) + 1)


def _both(one: Any) -> tuple[float | None, float | None]:
    return (None, None) if one is None else (round(one.usual, 6), round(one.low, 6))


RATIOS = (
    ("Principal and interest of all loans", "payments"),
    ("Simple debt-service coverage: net operating income / principal and interest", "simple_debt_service_coverage"),
    ("Capital debt repayment capacity (Farm Financial Standards Council)", "capital_debt_repayment_capacity"),
    ("Capital debt repayment margin", "capital_debt_repayment_margin"),
    ("Term debt coverage: capacity / principal and interest", "term_debt_coverage"),
    ("Replacement margin", "replacement_margin"),
    ("Replacement margin coverage", "replacement_margin_coverage"),
    ("Term debt coverage, only customers who have signed", "term_debt_coverage_signed_only"),
    ("Current ratio at the end", "end_current_ratio"),
    ("Working capital at the end", "end_working_capital"),
    ("Debt to assets at the end", "end_debt_to_assets"),
)


def _table(book: Workbook, name: str, table: Any, form: str) -> None:
    sheet = book.create_sheet(name)
    sheet.append([str(column) for column in table.columns])
    for row in table.itertuples(index=False):
        sheet.append([_text(_cell(value)) for value in row])
        for cell in sheet[sheet.max_row]:
            if isinstance(cell.value, float):
                cell.number_format = form
    _laid_out(sheet, len(table.columns))


def _cell(value: Any) -> object:
    """A plain value; one that is not a number is an empty cell."""
    plain = value.item() if hasattr(value, "item") else value
    return None if isinstance(plain, float) and plain != plain else plain


def _laid_out(sheet: Worksheet, columns: int) -> None:
    from openpyxl.utils import get_column_letter

    sheet.freeze_panes = "B2"
    for cell in sheet[1]:
        cell.font = _bold()
    for at in range(1, columns + 1):
        sheet.column_dimensions[get_column_letter(at)].width = WIDE if at == 1 else NARROW


def _bold() -> Any:
    from openpyxl.styles import Font

    return Font(bold=True)


def _save(book: Workbook, path: Path) -> None:
    """Write it with the same bytes each time: no day of writing stands in it."""
    book.properties.created = datetime(*LONG_AGO[:3])
    book.properties.creator = "farmsim"
    raw = io.BytesIO()
    book.save(raw)
    with zipfile.ZipFile(raw) as found, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as out:
        for name in sorted(found.namelist()):
            content = found.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>1980-01-01T00:00:00Z", content)
            out.writestr(zipfile.ZipInfo(name, LONG_AGO), content, zipfile.ZIP_DEFLATED)
