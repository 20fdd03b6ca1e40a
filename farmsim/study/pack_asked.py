"""What is asked of a lender: uses and sources, the loan with its payments, the past years of the farm's own books."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from farmsim.money.loan import schedule
from farmsim.money.ratios import Year
from farmsim.scenario.capital import CASH, OWNER
from farmsim.scenario.farm import Farm
from farmsim.scenario.loans import A_YEAR, Loan
from farmsim.scenario.request import PastYear, Request
from farmsim.study.books_answers import LoanTold
from farmsim.study.pack_answers import Asked, PastTold
from farmsim.study.pack_beside import new_items
from farmsim.units import cents_of

CONTINGENCY, WORKING = "Contingency", "Working money until it earns"
PAYERS = {CASH: "Farm's cash", OWNER: "Owner's money"}
"""How those who pay are called that are no loans."""
Sums = tuple[tuple[str, float], ...]


def asked(request: Request, base: Farm, expanded: Farm, loans: Sequence[LoanTold]) -> Asked:
    """What is asked for.

    loans: of the farm with the expansion, as its books tell them
    """
    per = cents_of(expanded.farm.currency)
    loan = next(each for each in expanded.loan if each.name == request.loan)
    sources = _sources(base, expanded, per)
    uses = _uses(base, expanded, per, round(per * sum(much for _, much in sources)))
    whole = sum(much for _, much in sources)
    of_owner = sum(much for name, much in sources if name in PAYERS.values())
    return Asked(
        purpose=request.purpose,
        why=request.why or "",
        prepared_by=request.prepared_by or "",
        prepared_on="" if request.prepared_on is None else request.prepared_on.isoformat(),
        loan=next(each for each in loans if each.name == loan.name),
        a_year=_a_year(loan, per),
        security=loan.security or "",
        security_worth=loan.security_worth,
        uses=uses,
        sources=sources,
        owner_share=of_owner / whole if whole else 0.0,
        needed=request.needs,
        needed_ratio=request.needs_of,
        needed_from=_told(request.terms_from, request.terms_of),
        opens=request.opens.isoformat(),
    )


def _uses(base: Farm, expanded: Farm, per: int, paid: int) -> Sums:
    """What the money is spent on: each item, then what is set aside for what nobody foresaw, then working money.

    paid: what all who pay bring [cents]; parts of a cent that prices and shares leave go with the contingency
    """
    items, loans = new_items(base, expanded), _new_loans(base, expanded)
    uses = [(item.name, item.cost) for item in items]
    working = sum(loan.working_money for loan in loans)
    for_items = (paid - round(working * per)) / per
    rest = for_items - sum(round(item.cost * per) for item in items) / per
    aside = sum(item.spent - item.cost for item in items)
    assert abs(rest - aside) * per <= len(items) + len(loans) + len(PAYERS)
    uses.append((CONTINGENCY, rest))
    uses.append((WORKING, working))
    return _not_nothing(uses, per)


def _sources(base: Farm, expanded: Farm, per: int) -> Sums:
    """Who pays for it: loans by name, that which is asked for first, then the farm's cash and the owner."""
    paid = {loan.name: loan.working_money for loan in _new_loans(base, expanded)}
    for item in new_items(base, expanded):
        for name, much in item.payers.items():
            paid[name] = paid.get(name, 0.0) + much
    order = [*(name for name in paid if name not in PAYERS), *(name for name in PAYERS if name in paid)]
    return _not_nothing([(PAYERS.get(name, name), paid[name]) for name in order], per)


def _new_loans(base: Farm, expanded: Farm) -> list[Loan]:
    """Loans that the farm has not, or not so, without the expansion; that which is asked for comes first."""
    new = [loan for loan in expanded.loan if loan not in base.loan]
    wanted = "" if expanded.request is None else expanded.request.loan
    return sorted(new, key=lambda loan: loan.name != wanted)


def _not_nothing(sums: list[tuple[str, float]], per: int) -> Sums:
    """Sums in whole cents, those of nothing left out."""
    return tuple((name, cents / per) for name, much in sums if (cents := round(much * per)))


def _a_year(loan: Loan, per: int) -> float:
    """All payments of the first year with principal, that of a usual year where payments are level [currency]."""
    payments = schedule(loan, per)[loan.interest_only :][: A_YEAR[loan.every]]
    return sum(each.whole for each in payments) / per


def _told(who: str | None, day: date | None) -> str:
    """Who said so and when: "a bank, of 2026-11-20"."""
    return ", ".join(each for each in (who or "", "" if day is None else f"of {day}") if each)


# --- past years -------------------------------------------------------------------------------------------------------

OF_PAST = (
    "sales",
    "operating_income",
    "net_farm_income",
    "off_farm_income",
    "taxes",
    "family_living",
    "interest",
    "depreciation",
    "paid_interest",
    "paid_principal",
)


def past(farm: Farm) -> Iterator[PastTold]:
    """The past years from the farm's own books, the oldest first; a ratio only where all of it was given."""
    for each in sorted(farm.past_year, key=lambda year: year.ends):
        lines: dict[str, float | None] = {name: getattr(each, name) for name in OF_PAST}
        year = _whole_year(each)
        has_payments = each.paid_interest is not None and each.paid_principal is not None
        has_simple = has_payments and each.operating_income is not None
        has_capacity = None not in [value for name, value in lines.items() if name not in ("sales", "operating_income")]
        lines["payments"] = year.payments if has_payments else None
        lines["capital_debt_repayment_capacity"] = year.capacity if has_capacity else None
        yield PastTold(
            each.ends.isoformat(),
            lines,
            year.simple_coverage if has_simple else None,
            year.coverage if has_capacity else None,
            each.books_from or "",
        )


def _whole_year(past_year: PastYear) -> Year:
    """A past year for its ratios; what was not given counts as nothing, and no ratio is told that hears it."""
    return Year(
        operating=past_year.operating_income or 0.0,
        net_income=past_year.net_farm_income or 0.0,
        off_farm=past_year.off_farm_income or 0.0,
        taxes=past_year.taxes or 0.0,
        living=past_year.family_living or 0.0,
        interest=past_year.interest or 0.0,
        depreciation=past_year.depreciation or 0.0,
        paid_interest=past_year.paid_interest or 0.0,
        paid_principal=past_year.paid_principal or 0.0,
    )
