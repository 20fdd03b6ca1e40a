"""Columns of the books and of what each strain earns, for the page that explains every column."""

from __future__ import annotations

Columns = tuple[tuple[str, str, str], ...]

STRAINS: Columns = (
    ("mushrooms", "currency", "what customers pay for fresh mushrooms of the strain"),
    ("blocks", "currency", "what customers pay for its blocks ready to fruit"),
    ("spent_blocks", "currency", "what its spent blocks bring"),
    ("block_materials", "currency", "substrate, spawn and bags of its blocks, or the price of those bought in"),
    ("packaging", "currency", "packaging of its mushrooms"),
    ("block_boxes", "currency", "packaging of its blocks that are sold"),
    ("disposal", "currency", "disposal of its blocks cleared away or thrown out"),
    ("kg_sold", "kg", "mushrooms brought to customers, whether a price is given for them or not"),
    ("blocks_in", "blocks", "blocks made here or bought in"),
    ("blocks_away", "blocks", "blocks sold ready to fruit, surplus to an outlet too"),
    ("blocks_fruited", "blocks", "blocks placed on a fruiting shelf for their first flush"),
    ("shelf_weeks", "block weeks", "weeks on the shelves of fruiting rooms, block by block"),
    ("rack_weeks", "block weeks", "weeks on the racks, block by block"),
    ("hours", "h", "hours of work for the strain, as in strain_hours.csv"),
)

INCOME: Columns = (
    ("days", "days", "days of the stretch that the books cover"),
    ("mushrooms", "currency", "earned with fresh mushrooms, by the day of the delivery, whenever they are paid for"),
    ("blocks", "currency", "earned with blocks ready to fruit"),
    ("spent_blocks", "currency", "earned with spent blocks"),
    ("sales", "currency", "these three"),
    ("substrate", "currency", "substrate of blocks made"),
    ("spawn", "currency", "spawn of blocks made"),
    ("bags", "currency", "bags of blocks made"),
    ("blocks_bought", "currency", "blocks bought in"),
    ("packaging", "currency", "packaging of fresh mushrooms, by weight and by crate"),
    ("block_boxes", "currency", "packaging of blocks that are sold"),
    ("disposal", "currency", "disposal of blocks cleared away or thrown out"),
    ("shift_wages", "currency", "wages for the hours of shifts"),
    ("overtime_wages", "currency", "wages for overtime, without what is paid on top"),
    ("energy", "currency", "power and fuel"),
    ("overtime_on_top", "currency", "what overtime costs on top of its wage"),
    ("on_costs", "currency", "payroll taxes, insurance and benefits on all wages"),
    ("fixed_costs", "currency", "fixed costs"),
    ("materials", "currency", "everything from substrate to disposal"),
    ("people", "currency", "shift_wages + overtime_wages + overtime_on_top + on_costs"),
    ("operating_costs", "currency", "materials + people + energy + fixed_costs"),
    ("operating_income", "currency", "net operating income: sales - operating_costs"),
    ("depreciation", "currency", "capital items worn out in equal parts over their life"),
    ("interest", "currency", "interest on loans and the credit line, as it comes up"),
    ("net_farm_income", "currency", "operating_income - depreciation - interest; before taxes and the owner's draw"),
)

CASH: Columns = (
    ("received", "currency", "paid by customers, opening receivables too"),
    ("paid_costs", "currency", "operating costs paid, opening bills too"),
    ("paid_interest", "currency", "interest paid on loans and the credit line"),
    ("paid_principal", "currency", "principal of loans paid"),
    ("paid_taxes", "currency", "taxes paid, as given"),
    ("owner_draw", "currency", "taken out by the owner"),
    ("bought", "currency", "paid for capital items, contingency included"),
    ("owner_brought", "currency", "brought in by the owner for capital items"),
    ("borrowed", "currency", "loans paid out to the farm"),
    ("line_taken_up", "currency", "drawn on the credit line"),
    ("line_paid_back", "currency", "paid back on the credit line"),
)

BALANCE: Columns = (
    ("cash", "currency", "cash and what is on the account"),
    ("receivables", "currency", "what customers owe"),
    ("stocks", "currency", "stocks, as in the opening balance sheet"),
    ("equipment", "currency", "capital items less what is worn out"),
    ("land", "currency", "land and what else keeps its worth"),
    ("assets", "currency", "all of these"),
    ("payables", "currency", "bills not paid yet"),
    ("line_owed", "currency", "owed on the credit line"),
    ("overdrawn", "currency", "what neither cash nor the credit line covers"),
    ("interest_owed", "currency", "interest that has come up and is not due yet"),
    ("loans_within_a_year", "currency", "principal of loans that is due within twelve months"),
    ("loans_later", "currency", "principal of loans that is due later"),
    ("other_debts", "currency", "other debts, as in the opening balance sheet"),
    ("debts", "currency", "all of these"),
    (
        "equity",
        "currency",
        "carried on: net farm income and what the owner brings, less draw and taxes; is assets - debts",
    ),
)

RATIOS: Columns = (
    ("current_ratio", "ratio", "cash, receivables and stocks over what is owed within twelve months"),
    ("working_capital", "currency", "cash, receivables and stocks less what is owed within twelve months"),
    ("debt_to_assets", "share", "debts over assets"),
)

_AT_ENDS: Columns = (
    ("begin_cash", "currency", "cash on the evening before the stretch"),
    ("lowest_cash", "currency", "least cash of an evening, what is owed on the credit line taken off"),
    ("lowest_cash_day", "day", "when that was"),
    ("line_most", "currency", "the most that was owed on the credit line on an evening"),
    ("not_covered", "currency", "the most that neither cash nor the credit line covered on an evening"),
)

ENDS: Columns = tuple((f"end_{name}", unit, f"at the end: {meaning}") for name, unit, meaning in BALANCE)
MONTHS: Columns = (("month", "year-month", "calendar month"), *INCOME, *CASH, *ENDS, *_AT_ENDS)

YEARS: Columns = (
    ("year", "number", "year from the start, from 1"),
    ("whole", "number", "1 for twelve months, 0 for the weeks of a run that is shorter"),
    *INCOME,
    *CASH,
    *ENDS,
    *_AT_ENDS,
    *((f"end_{name}", unit, f"at the end: {meaning}") for name, unit, meaning in RATIOS),
    ("signed_sales", "currency", "of sales, those to customers who have signed, for mushrooms or blocks"),
    ("off_farm_income", "currency", "income from elsewhere, as given; it does not come to the farm"),
    ("family_living", "currency", "what the family lives on, as given"),
    ("term_interest", "currency", "interest on loans as it comes up, that on the credit line left out"),
    ("term_interest_paid", "currency", "interest on loans that was paid"),
    ("kg_sold", "kg", "mushrooms brought to customers, whether a price is given for them or not"),
    ("blocks_fruited", "blocks", "blocks placed on a fruiting shelf for their first flush"),
    ("payments", "currency", "debt payments: term_interest_paid + paid_principal"),
    ("simple_debt_service_coverage", "ratio", "net operating income over payments"),
    (
        "capital_debt_repayment_capacity",
        "currency",
        "after the Farm Financial Standards Council: net farm income + income from elsewhere - taxes + interest on loans "
        "+ depreciation - family living",
    ),
    ("capital_debt_repayment_margin", "currency", "capacity - payments"),
    ("term_debt_coverage", "ratio", "capacity over payments"),
    ("replacement_margin", "currency", "margin - the share of depreciation that is spent to replace what wears out"),
    ("replacement_margin_coverage", "ratio", "capacity over payments and that share of depreciation"),
    (
        "prices_may_fall",
        "share",
        "how far all prices may fall before capacity no longer covers payments: margin over sales",
    ),
    (
        "harvest_may_fall",
        "share",
        "how far mushrooms sold may fall before that, packaging falling with them: margin over mushrooms - packaging",
    ),
    ("term_debt_coverage_signed_only", "ratio", "capacity over payments if only customers paid who have signed"),
)
OPENING: Columns = (*BALANCE, *RATIOS)
