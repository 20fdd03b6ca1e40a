"""What a plan of the starts has to tell: plain numbers and names, nothing to be computed any more."""

from __future__ import annotations

from dataclasses import dataclass

from farmsim.scenario.averages import Need
from farmsim.scenario.farm import Farm
from farmsim.study.compare import Compared, Difference
from farmsim.study.sell_or_fruit import Either
from farmsim.study.start_sheet import Group
from farmsim.study.targets import Kept
from farmsim.study.weekdays import Weekdays


@dataclass(frozen=True)
class Started:
    """A line as it is and as it is planned [blocks/week].

    sold: of its strain's good blocks, those promised ready to fruit, by the plan on averages [share]
    by_day: blocks on Mon ... Sun, by the plan
    """

    line: str
    strain: str
    made: str
    before: float
    blocks: float
    days_before: tuple[str, ...]
    days: tuple[str, ...]
    months: tuple[str, ...]
    sold: float
    by_day: tuple[int, ...]


@dataclass(frozen=True)
class Served:
    """What a customer gets of what it is promised, as the farm is and by the plan; a stall: of what it would sell [share].

    promised: a week [kg or blocks]
    """

    customer: str
    unit: str
    is_stall: bool
    promised: float
    before: float
    after: float


@dataclass(frozen=True)
class Tried:
    """A plan that was tried in a few runs.

    what: which it was, in words; blocks: of each strain a week; figures: those of the targets, by name
    missing: to all targets surely kept, and to each strain getting as much, 0 when nothing is [share]
    thrown_out: culls, past date and lost at stalls [kg/week]
    fills_up: whether more and more blocks stand on the farm
    """

    what: str
    blocks: dict[str, float]
    figures: dict[str, float]
    missing: float
    thrown_out: float
    fills_up: bool


@dataclass(frozen=True)
class Short:
    """Of all that is missing, the customer, weekday and strain that lacks most."""

    customer: str
    weekday: str
    strain: str
    share: float


@dataclass(frozen=True)
class Planned:
    """A plan of the starts beside the farm as it is.

    before, after: the farm as it is and with the plan
    lines, weekdays: line by line, in the order of the file
    days_tried: whether other weekdays were better when tried; None: none were proposed
    targets, targets_before: how the plan, and the farm as it is, stand to what has to be kept
    compared: what the plan changes a week, figure by figure
    tried: all plans that were tried, in turn; stopped: why no more were
    arithmetic: blocks a week by strain as averages alone would have them; refused: of which places and people averages need
    more than there is for what would be wanted
    fills_up: whether more and more blocks stand on the farm under the plan
    tight: what looks tight under the plan; short: where most is missing; keeps_short: strain, its shelf life, and the longest
    time between two deliveries of it, where that is longer [h]
    poorest: the month in which least was delivered of what was promised, and how much [share]
    picks, deliveries: a week's saleable mushrooms by the weekday on which they ripen and leave, Mon to Sun [kg]
    picking_days: on which somebody picks
    sure: all statements about targets hold together so surely [1]
    """

    before: Farm
    after: Farm
    runs: int
    trial_runs: int
    seed: int
    lead_in: int
    weeks: int
    lines: tuple[Started, ...]
    weekdays: tuple[Weekdays, ...]
    days_tried: bool | None
    targets: tuple[Kept, ...]
    targets_before: tuple[Kept, ...]
    served: tuple[Served, ...]
    compared: Compared
    tried: tuple[Tried, ...]
    stopped: str
    arithmetic: dict[str, float]
    refused: tuple[Need, ...]
    fills_up: bool
    tight: tuple[str, ...]
    short: Short | None
    keeps_short: tuple[tuple[str, float, float], ...]
    poorest: tuple[str, float] | None
    either: tuple[Either, ...]
    groups: tuple[Group, ...]
    picks: tuple[float, ...]
    deliveries: tuple[float, ...]
    picking_days: tuple[str, ...]
    sure: float

    @property
    def is_kept(self) -> bool:
        """Whether every target is surely kept, and not only until the farm is full."""
        return not self.fills_up and all(each.verdict == "kept" for each in self.targets)

    @property
    def is_as_before(self) -> bool:
        """Whether the farm as it is was the best that was seen."""
        return self.before == self.after

    def difference(self, name: str) -> Difference | None:
        """What the plan changes of one figure; None when it is not told."""
        return next((line for line in self.compared.comparisons[0].differences if line.name == name), None)

    @property
    def name(self) -> str:
        """The farm's name."""
        return self.before.farm.name
