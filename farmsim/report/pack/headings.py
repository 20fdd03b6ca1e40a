"""The chapters by name: where each begins, and how others point at it."""

from __future__ import annotations

from farmsim.report.document import Heading

FARM = Heading("The farm in a picture", "farm")
CAPACITY = Heading("Capacity before and after", "capacity")
TIME_LINE = Heading("Time line", "time-line")
HARVEST = Heading("Harvest and sales", "harvest")
CUSTOMERS = Heading("Who buys it", "customers", 2)
PEOPLE = Heading("People", "people")
STATEMENTS = Heading("Income, cash and what is owned and owed", "statements")
INCOME = Heading("Income statement", "income", 2)
CASH = Heading("Cash flow", "cash", 2)
BALANCE = Heading("Balance sheet before and after", "balance", 2)
RATIOS = Heading("What lenders look at, with formulas", "ratios", 2)
LOANS = Heading("Loans, year by year", "loans")
PAST = Heading("Past years beside the plan", "past")
STRESS = Heading("If things go wrong, in full", "stress")
OWN_MONTHS = Heading("Own months beside the model's", "own-months")
MATTER = Heading("Which figures matter most", "matter")
ASSUMPTIONS = Heading("Every figure and where it comes from", "assumptions")
CAUTIONS = Heading("Cautions", "cautions")
WORDS = Heading("Words", "words")
CHECKED = Heading("Appendix: how the model was checked", "checked")
HELD = Heading("What the tests hold it against", "held-against", 2)
REPORTING = Heading("Reporting checklist", "reporting", 2)
SURE = Heading("How sure the figures of the first page are", "how-sure", 2)
MARKS = Heading("Marks", "marks", 2)


def see(heading: Heading) -> str:
    """Points at a chapter by its name."""
    return f'see "{heading.words}"'
