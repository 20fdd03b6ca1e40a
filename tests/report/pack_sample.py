"""A lender's pack whose every figure is made up and easy to follow with a pencil: three years, one room more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd

from farmsim.study.answers import Known, Total
from farmsim.study.books_answers import Kept, LoanTold, Lowest, YearTold
from farmsim.study.own_year import Beside as OwnBeside
from farmsim.study.own_year import Compared, OwnYear
from farmsim.study.pack_answers import (
    Asked,
    Beside,
    Buyer,
    Grown,
    Headroom,
    Level,
    Matters,
    Pack,
    PastTold,
    Step,
    Stressed,
    Worth,
)

POUND = 0.45359237  # kg, exact by definition
STARTS = ("2027-01-04", "2028-01-04", "2029-01-04")
ENDS = ("2028-01-03", "2029-01-03", "2030-01-03")
OLD, NEW = 14_849.0, (13_200.0, 23_549.0, 23_549.0)  # payments of the old loan and of the new one, by year


def total(usual: float, low: float | None = None, give: float = 10.0) -> Total:
    """A figure over runs, its average like the usual one."""
    low = usual if low is None else low
    return Total(Known(usual, give), low, usual, 2 * usual - low, (low, usual, 2 * usual - low))


def lines(mushrooms: float, people: float, payments: float, cash: float, poor: float = 20_000.0) -> dict[str, Total]:
    """A year of the books: blocks bring 40,000, other costs come to 205,000, wear 15,000, taxes 12,000, living 30,000.

    people: wages; payments: half of them interest; cash: at the beginning; poor: how much less a poor year brings
    """
    sales, interest = mushrooms + 42_000.0, payments / 2
    operating = sales - people - 205_000.0
    net = operating - 15_000.0 - interest
    capacity = operating - 42_000.0
    end = cash + operating - payments - 12_000.0 - 30_000.0
    assets, debts = end + 400_000.0, 200_000.0
    plain = {
        "days": 365.0, "mushrooms": mushrooms, "blocks": 40_000.0, "spent_blocks": 2_000.0, "sales": sales,
        "materials": 120_000.0, "people": people, "energy": 35_000.0, "fixed_costs": 50_000.0,
        "operating_costs": people + 205_000.0, "operating_income": operating, "depreciation": 15_000.0,
        "interest": interest, "net_farm_income": net, "begin_cash": cash, "received": sales,
        "paid_costs": people + 205_000.0, "paid_interest": interest, "paid_principal": payments - interest,
        "paid_taxes": 12_000.0, "owner_draw": 30_000.0, "bought": 0.0, "borrowed": 0.0, "owner_brought": 0.0,
        "line_taken_up": 0.0, "line_paid_back": 0.0, "end_cash": end, "end_overdrawn": 0.0, "end_receivables": 20_000.0,
        "end_stocks": 5_000.0, "end_equipment": 175_000.0, "end_land": 200_000.0, "end_assets": assets,
        "end_payables": 5_000.0, "end_line_owed": 0.0, "end_interest_owed": 1_000.0,
        "end_loans_within_a_year": payments - interest, "end_loans_later": 194_000.0 - (payments - interest),
        "end_other_debts": 0.0, "end_debts": debts, "end_equity": assets - debts, "end_current_ratio": 1.8,
        "end_working_capital": 30_000.0, "end_debt_to_assets": debts / assets, "off_farm_income": 0.0,
        "family_living": 30_000.0, "term_interest": interest, "term_interest_paid": interest, "payments": payments,
        "kg_sold": 36_000.0, "blocks_fruited": 68_000.0, "replacement_margin": capacity - payments - 15_000.0,
    }  # fmt: skip
    found = {name: total(value) for name, value in plain.items()}
    found |= {"operating_income": total(operating, operating - poor)}
    found |= {"capital_debt_repayment_capacity": total(capacity, capacity - poor)}
    found |= {"capital_debt_repayment_margin": total(capacity - payments, capacity - payments - poor)}
    if payments:
        found |= {"simple_debt_service_coverage": total(operating / payments, (operating - poor) / payments)}
        found |= {"term_debt_coverage": total(capacity / payments, (capacity - poor) / payments)}
        after = payments + 15_000.0
        found |= {"replacement_margin_coverage": total(capacity / after, (capacity - poor) / after)}
        fall = (capacity - payments) / sales
        found |= {"prices_may_fall": total(fall, fall - poor / sales), "harvest_may_fall": total(fall)}
    return found


def years(*told: Mapping[str, Total]) -> tuple[YearTold, ...]:
    """Years after one another."""
    return tuple(YearTold(at + 1, STARTS[at], ENDS[at], True, each, ()) for at, each in enumerate(told))


LOAN = LoanTold(
    "room loan", 160_000.0, 0.0, 0.0825, 10.0, "month", "2027-02-01", True, "level", 1_962.44, "a bank, 2026-11-02"
)
OLD_LOAN = LoanTold("old loan", 60_000.0, 40_000.0, 0.07, 5.0, "year", "2024-06-01", False, "level", OLD, "")


def kept(name: str, told: tuple[YearTold, ...], loans: tuple[LoanTold, ...]) -> Kept:
    """Books over 20 runs."""
    opening = {
        "cash": 60_000.0, "receivables": 18_000.0, "stocks": 5_000.0, "equipment": 150_000.0, "land": 200_000.0,
        "assets": 433_000.0, "payables": 5_000.0, "line_owed": 0.0, "overdrawn": 0.0, "interest_owed": 1_000.0,
        "loans_within_a_year": 12_000.0, "loans_later": 28_000.0, "other_debts": 0.0, "debts": 46_000.0,
        "equity": 387_000.0, "current_ratio": 4.6, "working_capital": 65_000.0, "debt_to_assets": 0.106,
    }  # fmt: skip
    first = {line: value.mean.value / 12 for line, value in told[0].lines.items()}
    months = pd.DataFrame(
        [
            {"month": f"2027-{at + 1:02d}", **first, "end_cash": 11_000.0 + at, "lowest_cash": 9_000.0 + at,
             "lowest_cash_usual": 10_000.0 + at,
             "lowest_cash_poor": -4_000.0 + at, "lowest_cash_good": 15_000.0}
            for at in range(12)
        ]
    )  # fmt: skip
    rows = [
        (loan.name, at + 1, f"{2027 + at}-06-01", 3_000.0 - at, 5_000.0 + at, 8_000.0, 30_000.0 - 5_000.0 * at)
        for loan in loans
        for at in range(4)
    ]
    columns = ["loan", "payment", "due", "interest", "principal", "paid", "left"]
    lowest = Lowest(total(11_200.0, -4_300.0), "2027-07", 14, 4, 6_000.0, 0, 0.0)
    none = pd.DataFrame()
    return Kept(
        name, "us", "USD", STARTS[0], 20, 1, 20, told, opening, lowest, 25_000.0, 2_000.0, loans, 1, (), None,
        ("prices of dried mushrooms",), months, none, pd.DataFrame(rows, columns=columns), none, none, none,
        (("loan room loan", "a bank, 2026-11-02"),),
    )  # fmt: skip


def base_books() -> Kept:
    """Without the room."""
    cash, told = 60_000.0, []
    for at in range(3):
        told.append(lines(648_000.0, 387_000.0 + 1_000 * at, OLD, cash))
        cash = told[-1]["end_cash"].usual
    return kept("Four rooms", years(*told), (OLD_LOAN,))


def expanded_books() -> Kept:
    """With the room."""
    cash, told = 60_000.0, []
    for at, (sold, wages) in enumerate(((666_000.0, 377_000.0), (749_000.0, 432_000.0), (802_000.0, 464_000.0))):
        told.append(lines(sold, wages, OLD + NEW[at], cash, 18_000.0 + 3_000 * at))
        cash = told[-1]["end_cash"].usual
    return kept("Four rooms: a fifth", years(*told), (OLD_LOAN, LOAN))


def beside(base: Kept, expanded: Kept) -> tuple[Beside, ...]:
    """All lines of both, the difference between them known to 900."""
    found = []
    for one, other in zip(base.years, expanded.years, strict=True):
        for line, value in one.lines.items():
            if line in other.lines:
                now, then = value.mean.value, other.lines[line].mean.value
                found.append(Beside(one.number, line, now, Known(then - now, 900.0), then))
    return tuple(found)


def stressed(key: str, told: str, coverage: float, margin: float, **more: object) -> Stressed:
    """A blow that is simulated again, told of year 3."""
    one = Stressed(
        key, told, 3, 10, True, total(coverage, coverage - 0.3), total(coverage + 1, coverage + 0.7),
        total(margin, margin - 20_000.0), 2, total(3_000.0, -9_000.0), 0.0, 0.0, 0,
        planned_coverage=total(1.77), planned_simple=total(2.77),
    )  # fmt: skip
    return replace(one, **more)  # type: ignore[arg-type]


ASKED = Asked(
    purpose="Fifth fruiting room",
    why="Today the rooms limit us: we turned away orders in 31 of the last 52 weeks (own order book).",
    prepared_by="",
    prepared_on="",
    loan=LOAN,
    a_year=23_549.0,
    security="room equipment",
    security_worth=90_000.0,
    uses=(
        ("Room shell, floor, drains", 96_000.4), ("Shelving and carts", 31_000.4), ("Cooling, heating, air", 34_000.4),
        ("Soak tank", 6_000.4), ("Contingency", 16_700.2), ("Working money until it earns", 26_300.2),
    ),
    sources=(("This loan", 160_000.0), ("Owner's cash", 35_001.0), ("Equipment already owned", 15_001.0)),
    owner_share=0.238,
    needed=1.25,
    needed_ratio="term debt coverage",
    needed_from="a bank, 2 Nov 2026",
    opens="2027-06-07",
)  # fmt: skip
BUYERS = (
    Buyer("distributor", "standing", "signed", False, "kg", 330 * POUND, 180 * POUND, 96_000.0, 0.114, ""),
    Buyer("restaurants", "standing", "by habit", False, "kg", 700 * POUND, 700 * POUND, 400_000.0, 0.474, ""),
    Buyer("hotel", "standing", "letter", True, "kg", 120 * POUND, 0.0, 60_000.0, 0.07, "2027-06-14"),
    Buyer("co-op", "standing", "hoped for", True, "kg", 150 * POUND, 0.0, 70_000.0, 0.083, "2027-09-06"),
    Buyer("neighbours", "outlet", "outlet", False, "kg", 90 * POUND, 90 * POUND, 9_000.0, 0.011, ""),
    Buyer("home growers", "standing", "by habit", False, "blocks", 200.0, 200.0, 40_000.0, 0.047, ""),
)
STRESS = (
    stressed("prices", "Prices 5 % lower", 1.47, 18_000.0),
    stressed("yield", "Yield 10 % lower", 1.36, 14_000.0),
    stressed("largest_customer", "Largest customer lost (restaurants)", 0.9, -3_900.0, line_most=8_000.0),
    stressed("late", "Opening 17 weeks late", 1.03, 900.0, year=1),
    stressed("prices+yield", "Prices 5 % and yield 10 % lower", 0.54, -17_900.0, missing=12_300.0, missing_in=9,
             line_most=25_000.0),
)  # fmt: skip


def own_year() -> OwnYear:
    """A farm that picked 80,600 lb in the months for which the model says 81,900."""
    months = tuple(OwnBeside(6_700 * POUND, 6_825 * POUND, 6_500 * POUND, 7_100 * POUND, "inside") for _ in range(12))
    whole = OwnBeside(80_600 * POUND, 81_900 * POUND, 79_400 * POUND, 84_100 * POUND, "inside")
    picked = Compared("picked", "kg", whole, months, 1.2, 3)
    return OwnYear(tuple(f"2026-{at:02d}" for at in range(1, 13)), 20, False, "2025-12-29", (picked,))


def pack() -> Pack:
    """The whole."""
    base, expanded = base_books(), expanded_books()
    grown = tuple(
        Grown(
            at,
            (("picked", "kg", 1_590 * POUND, (1_590 + 140 * at) * POUND),
             ("sold", "kg", 1_395 * POUND, (1_395 + 140 * at) * POUND), ("blocks made", "blocks", 1_900.0, 2_100.0)),
            (("pickers", 3.0, 3.0 + (at > 1)), ("helper", 0.0, 1.0)),
        )
        for at in (1, 2, 3)
    )  # fmt: skip
    past = tuple(
        PastTold(
            f"{year}-12-31",
            {"sales": 600_000.0 + 10_000.0 * at, "operating_income": 90_000.0, "net_farm_income": 70_000.0,
             "payments": 14_849.0, "capital_debt_repayment_capacity": 48_000.0, "taxes": None},
            6.06, 3.23, "own books",
        )
        for at, year in enumerate((2024, 2025, 2026))
    )  # fmt: skip
    full = Level(2_000.0, 0.92, 0.99, 0.31)
    headroom = (
        Headroom("sterilizer", "sterilizer", "loads", Level(1, 0.4, 0.5, 0.0), Level(1, 0.45, 0.56, 0.01)),
        Headroom("racks", "racks", "blocks", Level(18_000.0, 0.75, 0.81, 0.0), Level(18_000.0, 0.86, 0.94, 0.0)),
        Headroom("soak tanks", "soak tanks", "tanks", Level(7, 0.35, 0.5, 0.1), Level(8, 0.41, 0.55, 0.08)),
        Headroom("North", "shelf", "blocks", full, replace(full, usual=0.85, bad=0.95, waiting=0.12)),
        Headroom("Annex", "shelf", "blocks", None, replace(full, capacity=1_500.0, usual=0.8, bad=0.93)),
        Headroom("pickers", "crew", "h", Level(100.0, 0.77, 0.95, None), Level(133.0, 0.7, 0.9, None)),
        Headroom("helper", "crew", "h", None, Level(40.0, 0.5, 0.7, None)),
    )
    matter = tuple(
        Matters(f"figure.{at}", f"made-up figure {at}", "2 h", "1 h", "3 h", "placeholder" if at < 2 else "own", 90.0 - at,
                12.0, at < 2)
        for at in range(8)
    )  # fmt: skip
    assumptions = pd.DataFrame(
        [
            ("crew.pickers.pace", "26 lb/h", "how quickly people pick", "placeholder", "yes"),
            ("strain.shiitake.yield", "2.2 lb", "saleable mushrooms of a block", "P1: Royse & Shen (2005)", "no"),
            ("room.North.holds", "2,000 blocks", "shelf places", "the farm's file", "no"),
        ],
        columns=["figure", "value", "meaning", "source", "guess"],
    )
    return Pack(
        purpose="Fifth fruiting room", base_name="Four rooms", expanded_name="Four rooms: a fifth", system="us",
        currency="USD", start=STARTS[0], years=3, weeks=157, runs=20, stress_runs=10, seed=1, lead_in=20, asked=ASKED,
        base=base, expanded=expanded, told_year=3, beside=beside(base, expanded),
        alone=(total(0.2), total(0.9, 0.5), total(1.49, 1.1)), grown=grown, buyers=BUYERS, stress=STRESS,
        hoped=stressed("hoped", "Those only hoped for never come", 1.6, 23_000.0),
        worth=Worth(0.08, (-183_700.0, 0.0, 40_000.0, 190_000.0), 1_500.0, 0.084, 2.9),
        steps=(Step("2027-02-01", "loan paid out: room loan, $160,000"), Step("2027-03-01", "shiitake: 900 instead of 700 "
                                        "blocks a week"),
               Step("2027-06-07", "the room opens: 1,500 shelf places"), Step("2027-06-14", "hotel begins to buy")),
        headroom=headroom, tight_before=("North",), tight_after=("pickers",), past=past, history=own_year(), matter=matter,
        assumptions=assumptions, counts={"own": 14, "published": 11, "common practice": 6, "placeholder": 7},
        cautions=("steam", "lifting"), marks={"base": "a" * 40, "expanded": "b" * 40, "farmsim": "1.0 (abcdefgh)"},
    )  # fmt: skip
