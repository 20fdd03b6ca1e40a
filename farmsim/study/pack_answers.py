"""What the study of an expansion hands on for the lender's pack: plain numbers, nothing to be computed any more."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import pandas as pd

from farmsim.study.answers import FEWEST, Known, Total
from farmsim.study.books_answers import Kept, LoanTold
from farmsim.study.own_year import OwnYear
from farmsim.study.pack_days import Arrival, Hired
from farmsim.study.tight import Seen


@dataclass(frozen=True)
class Asked:
    """What is asked for, of whom it is asked on which terms, and where the rest comes from [currency].

    a_month, a_year: usual payment, and all payments of a usual year; every: how often one is due
    uses, sources: by name, both with the same sum; contingency and working money are uses of their own
    owner_share: part of the sources that the farm's cash and the owner bring [1]
    needed: what the lender asks of `needed_ratio`, "simple debt-service coverage" or "term debt coverage"; None when not said
    needed_from: who said so and when; opens: day on which the new part takes its first blocks
    """

    purpose: str
    why: str
    prepared_by: str
    prepared_on: str
    loan: LoanTold
    a_year: float
    security: str
    security_worth: float | None
    uses: tuple[tuple[str, float], ...]
    sources: tuple[tuple[str, float], ...]
    owner_share: float
    needed: float | None
    needed_ratio: str
    needed_from: str
    opens: str


@dataclass(frozen=True)
class Buyer:
    """A customer in the last whole year told.

    firm: "signed", "by habit", "letter", "hoped for", "outlet"
    is_new: comes with the expansion; unit: "kg" or "blocks"
    a_week, before_a_week: brought to it with the expansion and without [unit a week]
    a_year: what it pays, on average [currency]; share: of all sales [1]
    since: day from which it buys, "" of one from the start
    """

    name: str
    kind: str
    firm: str
    is_new: bool
    unit: str
    a_week: float
    before_a_week: float
    a_year: float
    share: float
    since: str


@dataclass(frozen=True)
class Largest:
    """Who pays most in a year, for mushrooms and blocks together [currency]; share: of all sales [1]."""

    name: str
    a_year: float
    share: float


def largest(buyers: Iterable[Buyer]) -> Largest | None:
    """Who pays most for all it buys; None when nobody pays anything."""
    found: dict[str, Largest] = {}
    for each in buyers:
        had = found.get(each.name, Largest(each.name, 0.0, 0.0))
        found[each.name] = Largest(each.name, had.a_year + each.a_year, had.share + each.share)
    return max((each for each in found.values() if each.a_year > 0), key=lambda each: each.a_year, default=None)


@dataclass(frozen=True)
class Level:
    """How much of one place, or of one crew's rostered hours, a week takes.

    capacity: places, or hours a week, at most those that its people may be at work
    usual: in a usual week; bad: one week in ten takes more [share of capacity]
    waiting: share of the hours in which it is full and lots wait; None of crews
    """

    capacity: float
    usual: float
    bad: float
    waiting: float | None


@dataclass(frozen=True)
class Headroom:
    """A place or a crew in the last whole year told, without the expansion and with it; None where it is not there."""

    name: str
    kind: str
    unit: str
    before: Level | None
    after: Level | None


@dataclass(frozen=True)
class OverAsked:
    """A crew of which the plan with the expansion asks, on averages, more hours than its people are there.

    share: of their hours [1]; helpers: crews that have duties of it too; overtime: whether its people may work longer
    """

    name: str
    share: float
    helpers: tuple[str, ...]
    overtime: bool


@dataclass(frozen=True)
class Beside:
    """A line of a year's books: average without the expansion, what it brings, and with it; the first two add up to the third.

    difference: how far off the average difference may be stands in its `give` (paired runs, Student's t)
    """

    year: int
    line: str
    base: float
    difference: Known
    expanded: float


@dataclass(frozen=True)
class Stressed:
    """One blow, simulated again: what its worst year comes to.

    told: in words, as a row of a table: "Prices 5 % lower"
    year: of which coverages and margin are: that with the lowest usual coverage, of those the lender looks at, from the year
    on in which the new part is to open
    simulated: False when only money differs, so that the same simulated years are put in money anew
    coverage, simple: term debt coverage and simple debt-service coverage of that year; None where a run has nothing to cover
    margin: capital debt repayment margin of that year [currency]; short_in: runs in which it is below nothing
    lowest: lowest cash over all years, what is owed on the credit line taken off [currency]
    line_most: the most owed on the credit line in a usual run; missing: the most that neither cash nor line cover in a
    usual run; missing_in: runs in which something is missing at all
    by_year, simple_by_year: the two coverages of every year, None where a run has nothing to cover
    planned_coverage, planned_simple: those of the plan in the same year, over the same runs
    """

    key: str
    told: str
    year: int
    runs: int
    simulated: bool
    coverage: Total | None
    simple: Total | None
    margin: Total
    short_in: int
    lowest: Total
    line_most: float
    missing: float
    missing_in: int
    by_year: tuple[Total | None, ...] = ()
    simple_by_year: tuple[Total | None, ...] = ()
    planned_coverage: Total | None = None
    planned_simple: Total | None = None


@dataclass(frozen=True)
class Worth:
    """What the expansion is worth to the owner, from average yearly differences [currency, years, share].

    flows: today what is bought more than without it, then what each year brings before debt payments, in the last with
    `book_value`, what the farm's equipment is then worth more in the books; present value and rate hear it
    payback: years until what was spent has come back from what the years bring, without the book value, which is no money
    rate, payback: None where nothing more is bought, and where it never makes up for what it costs
    discount: what the owner wants money to earn in a year; None where that is not given, and then no present value is told
    """

    discount: float | None
    flows: tuple[float, ...]
    present_value: float | None
    rate: float | None
    payback: float | None
    book_value: float = 0.0


@dataclass(frozen=True)
class Step:
    """Something that happens on a day: a phase, a purchase, a loan, a customer, people hired, starts raised."""

    day: str
    what: str


@dataclass(frozen=True)
class PastTold:
    """A past year from the farm's own books [currency]; None where it was not given. coverage: term debt coverage."""

    ends: str
    lines: Mapping[str, float | None]
    simple: float | None
    coverage: float | None
    source: str


@dataclass(frozen=True)
class Grown:
    """One year of the farm in pounds and people, without the expansion and with it.

    lines: name, unit, base, expanded (averages a week): picked, sold, blocks made, fruited and sold, delivered of promised,
    paid hours ...; people: crew by crew how many work in its last week, without and with
    """

    year: int
    lines: tuple[tuple[str, str, float, float], ...]
    people: tuple[tuple[str, float, float], ...]


@dataclass(frozen=True)
class Matters:
    """A figure that moves net operating income most, as it was found by moving all guesses; the first matter most.

    moves: what moving it from its low to its high end does [currency a week]; give: how far off that may be
    """

    name: str
    meaning: str
    now: str
    low: str
    high: str
    source: str
    moves: float
    give: float
    is_guess: bool


@dataclass(frozen=True)
class Unmoved:
    """A guess that could not be moved, so that nobody knows whether it moves the answer, and why it could not."""

    name: str
    meaning: str
    why: str


@dataclass(frozen=True)
class Met:
    """Whether the coverage that the lender asks for is met in a year of the books; None where that is not known.

    usual: in a usual run; poor: in one of ten that lies lowest; hoped: in a usual run without those who are only hoped for
    Coverages are held against what is asked as they are, not as they are printed.
    """

    year: int
    usual: bool | None
    poor: bool | None
    hoped: bool | None


COLUMNS = {"term debt coverage": "term_debt_coverage", "simple debt-service coverage": "simple_debt_service_coverage"}
"""The line of the books of what a lender asks for."""


def _is_met(coverage: float | None, needed: float) -> bool | None:
    return None if coverage is None else coverage >= needed


def _of(one: Stressed, ratio: str) -> tuple[Total | None, ...]:
    """One of the two coverages, year by year."""
    return one.by_year if COLUMNS[ratio] == "term_debt_coverage" else one.simple_by_year


@dataclass(frozen=True)
class Pack:
    """Everything the lender's pack tells.

    base, expanded: the books without the expansion and with it, over the same runs; told_year: that
    of sentences which name one year only
    alone: by year what the expansion alone earns (capacity to repay) for each unit of its own payments; None without any
    hoped: as Stressed, if customers who are only hoped for never come; None where there is none such
    matter: guesses that move the answer most; of_matter: how many surely move it, those that are not told too
    why_none_matters: in words why there is none; "" when it was not asked; unmoved: guesses that could not be moved
    tight_before, tight_after: what looks tight in all weeks since each farm's last dated change, the worst first
    counts: how many figures are "own", the farm's own; "published"; "common practice"; "placeholder"; "as usual": choices that
    the farm left as they usually are
    cautions: topics of safety that the plan touches, as they are called in `pack_given.TOPICS`
    planned: the plan itself over the runs of the stress rows, to hold them against
    warnings: what to bear in mind about this plan and its figures, in sentences
    over_asked: crews that on averages have too little time for their duties with the expansion
    tight_weeks: weeks since the farm last changed, without the expansion and with it, of which it is told what looks tight
    seen: what was seen in these weeks, without the expansion and with it
    hired, arrivals: people and customers who come with the expansion, in the order of their days
    lives_on_draw: whether family living is not given, so that the owner's draw is counted as that
    """

    purpose: str
    base_name: str
    expanded_name: str
    system: str
    currency: str
    start: str
    years: int
    weeks: int
    runs: int
    stress_runs: int
    seed: int
    lead_in: int
    asked: Asked
    base: Kept
    expanded: Kept
    told_year: int
    beside: tuple[Beside, ...]
    alone: tuple[Total | None, ...]
    grown: tuple[Grown, ...]
    buyers: tuple[Buyer, ...]
    stress: tuple[Stressed, ...]
    hoped: Stressed | None
    worth: Worth
    steps: tuple[Step, ...]
    headroom: tuple[Headroom, ...]
    tight_before: tuple[str, ...]
    tight_after: tuple[str, ...]
    past: tuple[PastTold, ...]
    history: OwnYear | None
    matter: tuple[Matters, ...]
    assumptions: pd.DataFrame
    counts: Mapping[str, int]
    cautions: tuple[str, ...]
    marks: Mapping[str, str]
    planned: Stressed | None = None
    warnings: tuple[str, ...] = ()
    over_asked: tuple[OverAsked, ...] = ()
    tight_weeks: tuple[int, int] = (0, 0)
    of_matter: int = 0
    why_none_matters: str = ""
    unmoved: tuple[Unmoved, ...] = ()
    seen: tuple[Seen, Seen] | None = None
    hired: tuple[Hired, ...] = ()
    arrivals: tuple[Arrival, ...] = ()
    lives_on_draw: bool = False

    @property
    def met(self) -> tuple[Met, ...]:
        """Whether the coverage that the lender asks for is met, year by year; nothing where none is asked for."""
        needed, line = self.asked.needed, COLUMNS[self.asked.needed_ratio]
        if needed is None:
            return ()
        hoped = {} if self.hoped is None else dict(enumerate(_of(self.hoped, self.asked.needed_ratio), 1))
        return tuple(
            Met(
                year.number,
                _is_met(usual.usual if (usual := year.lines.get(line)) else None, needed),
                _is_met(usual.low if usual and self.runs >= FEWEST else None, needed),
                _is_met(each.usual if (each := hoped.get(year.number)) else None, needed),
            )
            for year in self.expanded.years
        )

    @property
    def placeholders_that_matter(self) -> int:
        """How many of the figures that matter most are placeholders still."""
        return sum(each.is_guess for each in self.matter)

    @property
    def largest(self) -> Largest | None:
        """Who pays most in the last year of the books, as the blow of its loss means it."""
        return largest(self.buyers)
