"""The whole farm, frozen."""

from __future__ import annotations

import datetime
from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.balance import Balance
from farmsim.scenario.capital import Capital
from farmsim.scenario.costs import Costs, Drift, FixedCost, Materials
from farmsim.scenario.date_forms import DATE
from farmsim.scenario.delivery import Round, Van
from farmsim.scenario.fields import PLACEHOLDER, figure, many, named, one
from farmsim.scenario.history import History
from farmsim.scenario.loans import CreditLine, Loan
from farmsim.scenario.part import Part
from farmsim.scenario.people import Chore, Crew
from farmsim.scenario.prices import Energy
from farmsim.scenario.request import PastYear, Request
from farmsim.scenario.rooms import CleanBench, Incubation, Mix, Opening, Room, Soak, Sterilizer, WalkIn
from farmsim.scenario.rules import Rules
from farmsim.scenario.sales import BlockCustomer, Customer, Start
from farmsim.scenario.seasons import Months, Shut
from farmsim.scenario.strain import Strain
from farmsim.scenario.stress import Stress
from farmsim.scenario.values import MONTHS
from farmsim.units import CURRENCIES


class About(Part):
    """What is simulated, and how it is shown."""

    name: str = figure(form=forms.TEXT, meaning="the farm's name")
    units: Literal["us", "metric"] = figure(
        default="us", form=forms.WORD, choices=("us", "metric"), meaning="units in which answers are shown"
    )
    currency: str = figure(default="USD", form=forms.WORD, choices=CURRENCIES, meaning="currency of prices and wages")
    start: datetime.date = figure(form=DATE, least=1900, most=2200, meaning="first day of the simulated time, a Monday")
    weeks: int = figure("weeks", 52, form=forms.COUNT, least=1, most=520, meaning="weeks simulated")
    lot: float = figure("blocks", "50 blocks", least=1, meaning="blocks that travel together on one cart")
    begin: Literal["full swing", "empty"] = figure(
        default="full swing",
        form=forms.WORD,
        choices=("full swing", "empty"),
        meaning="whether the farm is already running or starts with empty rooms",
    )
    lead_in: int | None = figure(
        "weeks",
        None,
        form=forms.COUNT,
        most=520,
        meaning="weeks run before the start, to fill the farm; left out: worked out",
    )
    round: float = figure(
        "h", "1 h", least=0.01, most=24, meaning="how often pickers and packers carry crates away", source=PLACEHOLDER
    )


class Farm(Part):
    """What the farm is."""

    farm: About = one(About, meaning="the farm as a whole")
    mix: Mix | None = one(Mix, None, meaning="mixing and bagging")
    sterilizer: Sterilizer | None = one(Sterilizer, None, meaning="sterilizer or steamer")
    clean_bench: CleanBench | None = one(CleanBench, None, meaning="clean bench")
    incubation: Incubation = one(Incubation, meaning="racks to colonise and ripen on")
    walk_in: dict[str, WalkIn] = named(WalkIn, {}, meaning="walk-in cold rooms")
    soak: Soak | None = one(Soak, None, meaning="soaking")
    opening: Opening = one(Opening, meaning="opening benches")
    room: tuple[Room, ...] = many(Room, (), meaning="fruiting rooms")
    crew: tuple[Crew, ...] = many(Crew, (), meaning="crews")
    chore: tuple[Chore, ...] = many(Chore, (), meaning="fixed work by weekday")
    strain: dict[str, Strain] = named(Strain, {}, meaning="strains")
    start: tuple[Start, ...] = many(Start, (), meaning="blocks started each week")
    customer: tuple[Customer, ...] = many(Customer, (), meaning="customers for fresh mushrooms")
    block_customer: tuple[BlockCustomer, ...] = many(BlockCustomer, (), meaning="customers for blocks ready to fruit")
    energy: Energy | None = one(Energy, None, meaning="power and fuel")
    materials: Materials | None = one(Materials, None, meaning="what blocks and packaging cost")
    fixed_cost: tuple[FixedCost, ...] = many(FixedCost, (), meaning="costs that come whether anything grows or not")
    costs: Costs | None = one(Costs, None, meaning="on-costs of wages, the owner's draw, family living, taxes")
    drift: Drift | None = one(Drift, None, meaning="how money changes from year to year")
    capital: tuple[Capital, ...] = many(Capital, (), meaning="rooms, machines and vehicles, owned or to be bought")
    loan: tuple[Loan, ...] = many(Loan, (), meaning="loans, old and new")
    credit_line: CreditLine | None = one(CreditLine, None, meaning="the credit line")
    balance: Balance | None = one(Balance, None, meaning="the opening balance sheet; with it the books are kept")
    van: dict[str, Van] = named(Van, {}, meaning="vans")
    round: tuple[Round, ...] = many(Round, (), meaning="delivery rounds and market days")
    months: Months = one(Months, Months(), meaning="what differs from month to month")
    shut: tuple[Shut, ...] = many(Shut, (), meaning="days on which the farm stands still")
    rules: Rules = one(Rules, Rules(), meaning="house rules")
    history: History | None = one(History, None, meaning="twelve months of the farm's own books, to compare with")
    request: Request | None = one(Request, None, meaning="what is asked of a lender, for the lender's pack")
    past_year: tuple[PastYear, ...] = many(PastYear, (), meaning="past years of the farm's books")
    stress: Stress = one(Stress, Stress(), meaning="what may go wrong, for the lender's pack: how hard each blow is")
    changes: tuple[tuple[float, Farm], ...] = figure(
        default=(), form=forms.INSIDE, meaning="later states of the farm, each from a Monday 00:00 on [h]"
    )
    phases: tuple[tuple[float, str], ...] = figure(
        default=(), form=forms.INSIDE, meaning="phases in which the farm grows: when each begins [h] and its name"
    )

    @property
    def has_customers(self) -> bool:
        """Whether anybody buys: mushrooms or blocks, by order, at a stall, or as an outlet."""
        return bool(self.customer or self.block_customer)

    @property
    def differs_by_month(self) -> bool:
        """Whether anything that is grown, ordered or done differs from month to month; money is no matter of this."""
        rests = any(room.rests for room in self.room)
        return (
            self.months.of_the_crop != Months() or rests or any(len(line.months) < len(MONTHS) for line in self.start)
        )

    def cold_shock_room(self) -> str | None:
        """The walk-in that serves cold shock: the first that lists it."""
        return next((name for name, walk_in in self.walk_in.items() if walk_in.uses.cold_shock is not None), None)

    def fresh_room(self) -> str | None:
        """The walk-in that keeps fresh mushrooms: the first that lists them."""
        return next((name for name, walk_in in self.walk_in.items() if walk_in.uses.fresh is not None), None)

    def ripe_block_room(self) -> str | None:
        """The walk-in that keeps ripe blocks back: the first that lists them."""
        return next((name for name, walk_in in self.walk_in.items() if walk_in.uses.ripe_blocks is not None), None)
