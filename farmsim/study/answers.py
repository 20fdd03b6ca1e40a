"""What a study hands on: plain numbers and names, nothing to be computed any more.

Two different spreads are kept apart everywhere: how much the farm itself varies from week to week and from run to run (thin,
usual, fat; low, high), and how far a figure may be off because only so many runs were made (`Known.give`).

Inside units: kg, blocks, hours, shares (0 to 1). Hours of the week count from Monday 00:00.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farmsim.study.customer_answers import Firmness, Left, RoundKept, Stall, WhyShort
from farmsim.study.strain_answers import Life, Takes
from farmsim.study.year import Year

if TYPE_CHECKING:
    from farmsim.study.growth_answers import Growth
    from farmsim.study.money_answers import Money
    from farmsim.study.own_year import OwnYear
    from farmsim.study.until import Stopped

FEWEST = 10  # runs, before it can be said where 8 in 10 lie
OFTEN = 0.25
"""Share of the weeks: an hour of the week that is full with lots waiting so often is a bad hour."""


@dataclass(frozen=True)
class Known:
    """A figure and how far off it may be because only so many runs were made; None when one run cannot say."""

    value: float
    give: float | None


@dataclass(frozen=True)
class Week:
    """One measure over all weeks of all runs.

    thin, usual, fat: a tenth, half and nine tenths of all weeks lie below [unit of the measure]
    mean: the average week; only averages add up
    """

    thin: Known
    usual: Known
    fat: Known
    mean: Known


@dataclass(frozen=True)
class Total:
    """One measure over a whole run.

    low, high: eight runs in ten lie between; usual: half of them lie below
    runs: the total of every run, in run order
    low_lies, high_lies: between what each of these two ends surely lies (95 %); None with too few runs to tell
    """

    mean: Known
    low: float
    usual: float
    high: float
    runs: tuple[float, ...]
    low_lies: tuple[float, float] | None = None
    high_lies: tuple[float, float] | None = None


@dataclass(frozen=True)
class Month:
    """The harvest of one calendar month over the runs [kg].

    first: its first measured day, year-month-day
    days: days of it that were measured; whole: all of it or all but a few days
    """

    first: str
    days: int
    whole: bool
    thin: float
    usual: float
    fat: float
    a_week: float


@dataclass(frozen=True)
class Promise:
    """What one customer was promised and got, a week on average [kg or blocks, see unit].

    orders: all the customer is promised for one round [orders/week]; lines: what an order holds of one strain
    """

    customer: str
    unit: str
    promised: float
    delivered: float
    orders: float
    orders_complete: float
    lines: float
    lines_complete: float

    @property
    def kept(self) -> float:
        """Delivered of promised."""
        return _part(self.delivered, self.promised)

    @property
    def orders_kept(self) -> float:
        """Orders of which nothing was missing, of all orders."""
        return _part(self.orders_complete, self.orders)

    @property
    def lines_kept(self) -> float:
        """Order lines of which nothing was missing, of all lines."""
        return _part(self.lines_complete, self.lines)


def _part(some: float, whole: float) -> float:
    return some / whole if whole else 1.0


@dataclass(frozen=True)
class Gap:
    """Where most of what was missing was missing: share of everything that was short, in that unit."""

    customer: str
    strain: str
    weekday: str
    unit: str
    share: float


@dataclass(frozen=True)
class Place:
    """One kind of place and how it was used, as shares of all time.

    staffed: its waiting counts only in the hours with people there to work at it
    full_waiting: full, and lots waiting; full_quiet: full, nothing waits
    done_no_place: room taken by lots that are done there but have no place to go; idle: room nobody was in
    waited: lots that had to wait [lots/week]; wait, long_wait: their average and one-in-ten wait [h]
    hours: share used by hour of the week (168 of them)
    bad: hours of the week that are often full with lots waiting, and how often the worst of them is
    """

    name: str
    kind: str
    unit: str
    capacity: float | None
    staffed: bool
    used: float
    full_waiting: float
    full_quiet: float
    done_no_place: float
    idle: float
    waited: float
    wait: float
    long_wait: float
    busiest: int
    busiest_used: float
    hours: tuple[float | None, ...]
    bad: tuple[int, ...]
    worst: int
    worst_share: float


@dataclass(frozen=True)
class Waits:
    """Lots that had to wait for one of several places [lots/week], and how long on average [h]."""

    lots: float = 0.0
    mean: float = 0.0


@dataclass(frozen=True)
class Crew:
    """One crew, its hours a week and how they were used.

    most_present: people, the most in one shift
    used: share of the rostered hours worked; hours: the same by hour of the week, None when nobody is rostered
    bad: hours of the week at which everybody often has work in hand and more waits, and how often the worst of them is
    """

    name: str
    most_present: float
    rostered: float
    worked: float
    overtime: float
    used: float
    full_waiting: float
    busiest: int
    busiest_used: float
    hours: tuple[float | None, ...]
    bad: tuple[int, ...]
    worst: int
    worst_share: float
    duties: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Loss:
    """What is lost to one cause in a week on average, its share of what it was lost from, and the strain that lost most."""

    cause: str
    unit: str
    a_week: float
    share: float
    of: str
    strain: str = ""
    strain_share: float = 0.0


@dataclass(frozen=True)
class Mushrooms:
    """Mushrooms a week on average [kg]: picked = firsts + seconds + culls, and of it

    saleable = firsts + seconds = sold + stall + outlet + to_dry + past_date + stall_lost + into_stock
    """

    picked: float
    firsts: float
    seconds: float
    culls: float
    saleable: float
    sold: float
    outlet: float
    past_date: float
    into_stock: float
    stall: float = 0.0
    to_dry: float = 0.0
    stall_lost: float = 0.0


@dataclass(frozen=True)
class Flow:
    """Blocks a week on average: made + bought = contaminated + too_old + sold + fruited + more_standing.

    sold_cheap: those among the sold that were surplus
    """

    made: float
    bought: float
    contaminated: float
    too_old: float
    sold: float
    fruited: float
    more_standing: float
    sold_cheap: float = 0.0


@dataclass(frozen=True)
class Drift:
    """A figure that still moves: its mean in the first and in the last quarter of the weeks."""

    first: float
    last: float


@dataclass(frozen=True)
class Settled:
    """Whether the farm was in full swing from the first week that is told.

    verdict: "settled", "slow start", "did not settle", "too short to tell", "starts empty" or "months differ"
    lead_in: weeks simulated before the first measured one
    weeks: first weeks that are still filling up
    series, growth: what goes on growing, and by how much [kg or blocks per week]
    stock, past_date: the stock in the cooler, if it still moves [kg], and then what goes past its date [kg/week]
    """

    verdict: str
    lead_in: int = 0
    weeks: int = 0
    series: str = ""
    growth: Known | None = None
    stock: Drift | None = None
    past_date: Drift | None = None


@dataclass(frozen=True)
class Averages:
    """What the arithmetic of averages says of the plan, before anything is simulated.

    saleable: firsts and seconds [kg/week]
    needs: places and crews with the share of them the plan needs, the fullest first
    over_promised: strains of which more is promised than the plan brings
    """

    saleable: float
    needs: tuple[tuple[str, float], ...]
    over_promised: tuple[str, ...]


@dataclass(frozen=True)
class Change:
    """A dated change of the farm: its day, the measured week it opens (from 1), and the named things that differ."""

    day: str
    week: int
    what: tuple[str, ...]


@dataclass(frozen=True)
class Study:
    """What was simulated.

    weeks: measured weeks of each run
    changes: the farm's dated changes, those beyond the measured weeks included
    before: measured weeks before the last change; a week is told of those after it [weeks]
    """

    farm: str
    system: str
    currency: str
    start: str
    weeks: int
    runs: int
    seed: int
    changes: tuple[Change, ...] = ()
    before: int = 0

    @property
    def told(self) -> int:
        """Weeks of each run that a usual week is told of: all, or those since the last change [weeks]."""
        return self.weeks - self.before

    @property
    def last_change(self) -> Change | None:
        """The last change that falls into the measured weeks."""
        return next((one for one in reversed(self.changes) if one.week <= self.weeks), None)


@dataclass(frozen=True)
class Answers:
    """Everything `farmsim run` has to tell.

    tight: names of the places and crews that look tight, the worst first
    rooms: those among them that are rooms, together
    guesses: figures that nothing stands behind, each with how many times the farm uses it
    money: what is taken in and paid; None of a farm without prices
    growth: the phases of a farm that grows; own_year: the farm's own months beside the model's
    stopped: how the number of runs was found, where a precision was asked for
    lives, takes: strain by strain; of_nobody: hours of work that are no one strain's [h/week]
    nobody_buys: whether the farm has no customer at all in the weeks told
    """

    study: Study
    settled: Settled
    weeks: Mapping[str, Week]
    totals: Mapping[str, Total]
    months: tuple[Month, ...]
    promises: tuple[Promise, ...]
    gap: Gap | None
    block_gap: Gap | None
    places: tuple[Place, ...]
    crews: tuple[Crew, ...]
    tight: tuple[str, ...]
    rooms: Waits
    losses: tuple[Loss, ...]
    mushrooms: Mushrooms
    flow: Flow
    averages: Averages
    guesses: tuple[tuple[str, int], ...]
    year: Year
    lives: tuple[Life, ...]
    takes: tuple[Takes, ...]
    of_nobody: float
    money: Money | None = None
    growth: Growth | None = None
    own_year: OwnYear | None = None
    stalls: tuple[Stall, ...] = ()
    left: tuple[Left, ...] = ()
    rounds: tuple[RoundKept, ...] = ()
    why_short: WhyShort | None = None
    firmness: tuple[Firmness, ...] = ()
    stopped: Stopped | None = None
    nobody_buys: bool = False

    @property
    def guessed(self) -> int:
        """Figures of this farm that are guesses."""
        return sum(times for _, times in self.guesses)
