"""What lenders look at, each under its full name; two of these are often mixed up.

Simple debt-service coverage is net operating income over principal and interest. Capital debt repayment capacity, its
coverage and its margins are those of the Farm Financial Standards Council (as worked by Langemeier, Purdue University, 2020).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Year:
    """What a year came to [currency].

    operating: sales less operating costs, before interest, depreciation, taxes and the owner's draw
    net_income: net farm income, after interest and depreciation
    interest: on term debt, as it came up; paid_interest, paid_principal: paid on term debt
    """

    operating: float
    net_income: float
    off_farm: float
    taxes: float
    living: float
    interest: float
    depreciation: float
    paid_interest: float
    paid_principal: float
    replaces: float = 1.0

    @property
    def payments(self) -> float:
        """Principal and interest paid on term debt [currency]."""
        return self.paid_interest + self.paid_principal

    @property
    def simple_coverage(self) -> float | None:
        """Simple debt-service coverage: net operating income / (principal + interest)."""
        return _over(self.operating, self.payments)

    @property
    def capacity(self) -> float:
        """Capital debt repayment capacity [currency]."""
        return self.net_income + self.off_farm - self.taxes + self.interest + self.depreciation - self.living

    @property
    def margin(self) -> float:
        """Capital debt repayment margin: capacity less payments [currency]."""
        return self.capacity - self.payments

    @property
    def coverage(self) -> float | None:
        """Term debt coverage: capacity / (principal + interest)."""
        return _over(self.capacity, self.payments)

    @property
    def replacement(self) -> float:
        """Replacement allowance: so much of depreciation [currency]."""
        return self.replaces * self.depreciation

    @property
    def margin_after_replacement(self) -> float:
        """Replacement margin: what is left when what wears out has been replaced too [currency]."""
        return self.margin - self.replacement

    @property
    def coverage_after_replacement(self) -> float | None:
        """Replacement margin coverage: capacity / (principal + interest + replacement allowance)."""
        return _over(self.capacity, self.payments + self.replacement)


def _over(amount: float, payments: float) -> float | None:
    """Without payments there is nothing to cover."""
    return amount / payments if payments > 0 else None
