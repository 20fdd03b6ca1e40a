"""The plan as averages see it: what each strain brings in a usual week, and how long its blocks stand where.

No waiting, no clusters, no Mondays: what a spreadsheet would say. The simulation shows where that goes wrong.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import fmean as mean

from farmsim.scenario.block_sales import BlockCustomer
from farmsim.scenario.farm import Farm
from farmsim.scenario.fresh_sales import Customer
from farmsim.scenario.sales import Start
from farmsim.scenario.stall import usually_sold
from farmsim.scenario.strain import Strain
from farmsim.scenario.values import DAYS, MONTHS
from farmsim.units import HOURS_A_DAY, HOURS_A_WEEK

SOAK_AND_SHELVE = 24.0  # a night under water with the work round it [h]
LAST_OF_A_LOT = 2.25  # standard deviations from the mean to the last of about 50 blocks


@dataclass(frozen=True, slots=True)
class Flow:
    """One strain in a usual week; everything is picked in time."""

    strain: str
    made: float  # blocks a week
    bought: float  # blocks a week
    bad: float  # blocks a week lost to mould
    promised: float  # blocks a week promised ready to fruit
    sold: float  # blocks a week of them there to be sold
    fruited: float  # blocks a week fruited here
    picked: float  # kg a week, culls included
    saleable: float  # kg a week, firsts and seconds
    firsts: float  # kg a week

    @property
    def started(self) -> float:
        """Blocks a week, made and bought."""
        return self.made + self.bought


def a_week(line: Start) -> float:
    """Blocks a line starts in a week of the average year [blocks]; days on which the farm stands still are not counted."""
    return line.blocks * len(line.months) / len(MONTHS)


def flow(farm: Farm, name: str) -> Flow:
    """The usual week of one strain."""
    strain = farm.strain[name]
    lines = [line for line in farm.start if line.strain == name]
    made = sum(a_week(line) for line in lines if line.made == "here")
    bought = sum(a_week(line) for line in lines if line.made == "bought")
    bad = (made + bought) * strain.contaminated.mean
    good = made + bought - bad
    promised = sum(blocks for _, blocks in block_orders(farm, name))
    sold = min(promised, good)
    fruited = good - sold
    saleable = fruited * strain.yield_.mean * mean(farm.months.yield_)
    picked = saleable / strain.picking.saleable
    firsts = picked * strain.picking.late[0].firsts
    return Flow(name, made, bought, bad, promised, sold, fruited, picked, saleable, firsts)


def block_orders(farm: Farm, name: str) -> Iterator[tuple[BlockCustomer, float]]:
    """What each block customer is promised of a strain in a week of the average year [blocks]; failed ones replaced."""
    for customer in farm.block_customer:
        replaced = 1 / (1 - min(customer.fails, 0.99)) if customer.made_good == "replacement" else 1.0
        usual = customer.promised.get(name, 0.0) * replaced
        if usual:
            yield customer, usual * customer.share_of_year(farm.months.block_orders)


def flows(farm: Farm) -> list[Flow]:
    """The usual week of every strain that is started."""
    started = {line.strain for line in farm.start}
    return [flow(farm, name) for name in farm.strain if name in started]


def rack_hours(farm: Farm, line: Start) -> float:
    """How long a block of a line stands on the racks until it is ripe [h]; bad ones until they are found."""
    strain = farm.strain[line.strain]
    ripe = line.ripe_in.mean if line.ripe_in is not None else 0.0
    good = ripe if line.made == "bought" else strain.colonise.mean + strain.ripen.mean
    inspect = farm.incubation.inspect
    found = good if inspect is None else strain.contaminated.shows.mean + HOURS_A_WEEK / len(inspect.days) / 2
    share = strain.contaminated.mean
    return (1 - share) * good + share * min(good, found)


def rack_hours_spared(farm: Farm, name: str) -> float:
    """Hours on the racks that buyers spare who finish the ripening, in a week [block h].

    They take a block as soon as it is of the age they take and the carrier comes, never before it is colonised.
    """
    usual = flow(farm, name)
    sold = usual.sold / usual.promised if usual.promised else 0.0
    ripens = ripening(farm, name)
    spared = 0.0
    for customer, blocks in block_orders(farm, name):
        if customer.age is not None and customer.takes_unripe:
            wait = HOURS_A_WEEK / len(customer.days) / 2
            early = min(-customer.age.low, ripens) - wait
            spared += blocks * sold * max(early, min(-customer.age.high, ripens), 0.0)
    return spared


def ripening(farm: Farm, name: str) -> float:
    """From colonised until ripe on the farm's racks [h], the mean of the lines of a strain."""
    lines = [line for line in farm.start if line.strain == name]
    hours = [
        (line.ripe_in.mean if line.ripe_in is not None else 0.0)
        if line.made == "bought"
        else farm.strain[name].ripen.mean
        for line in lines
    ]
    started = sum(a_week(line) for line in lines)
    return sum(a_week(line) * each for line, each in zip(lines, hours, strict=True)) / started if started else 0.0


def before_the_shelf(strain: Strain) -> float:
    """From the call to the shelf: cold shock and soak, the shelf already kept for the lot [h]."""
    shock = strain.cold_shock.usual if "cold shock" in strain.steps and strain.cold_shock is not None else 0.0
    return shock + (SOAK_AND_SHELVE if "soak" in strain.steps else 0.0)


def shelf_hours(strain: Strain) -> float:
    """How long a lot stands on its shelf, from opening to clearing [h]."""
    later = len(strain.flushes.share) - 1
    tail = LAST_OF_A_LOT * strain.spread
    again = strain.flushes.rest + (SOAK_AND_SHELVE if strain.flushes.soak_again else 0.0) + strain.next_pick.mean + tail
    return strain.first_pick.mean + tail + later * again + HOURS_A_DAY / 2


def life(strain: Strain, until_ripe: float) -> float:
    """From start to clearing [h]."""
    return until_ripe + before_the_shelf(strain) + shelf_hours(strain)


def life_sd(strain: Strain) -> float:
    """How far lives spread [h], standard deviation."""
    later = len(strain.flushes.share) - 1
    squares = [strain.colonise.sd**2, strain.ripen.sd**2, strain.first_pick.sd**2, later * strain.next_pick.sd**2]
    return math.sqrt(math.fsum(squares))


def mornings_looked_over(strain: Strain, blocks: float) -> float:
    """Mornings of one flush on which something ripens on a lot: each is a walk along all its blocks."""
    if strain.spread <= 0.0 or blocks <= 1:
        return 1.0
    days = strain.spread / HOURS_A_DAY
    reach = math.ceil(6 * days) + 1
    shares = [_normal((day + 0.5) / days) - _normal((day - 0.5) / days) for day in range(-reach, reach + 1)]
    return math.fsum(1 - math.pow(1 - share, blocks) for share in shares)


def _normal(z: float) -> float:
    return (1 + math.erf(z / math.sqrt(2))) / 2


def promised_fresh(farm: Farm, name: str) -> float:
    """Fresh mushrooms of a strain promised in a usual week [kg]; call-offs as often as they call."""
    return mean(farm.months.orders) * sum(
        _ordered(customer, name) * customer.days_asked for customer in farm.customer if customer.orders
    )


def _ordered(customer: Customer, name: str) -> float:
    """Of a strain, in one usual order [kg]; a mixed order is taken to be made up of all its strains alike."""
    kg = 0.0 if isinstance(customer.takes, str) else customer.takes.get(name, 0.0)
    if customer.mixed is not None and name in customer.mixed.of:
        kg += customer.mixed.amount / len(customer.mixed.of)
    return kg


def stalls_sell(farm: Farm, name: str) -> float:
    """Fresh mushrooms of a strain that stalls sell in a usual week, with all there that is to be brought [kg]."""
    return mean(farm.months.orders) * sum(
        usually_sold(stall.takes.get(name, 0.0), stall.sells[name]) * len(stall.days)
        for stall in farm.customer
        if stall.kind == "market stall" and not isinstance(stall.takes, str) and name in stall.sells
    )


def fresh_hours(farm: Farm, name: str) -> float:
    """How long a crate waits for the next delivery of its strain [h], picked at any hour of the week."""
    gaps = _gaps(farm, name)
    return sum(gap * gap for gap in gaps) / (2 * HOURS_A_WEEK) if gaps else farm.strain[name].shelf_life


def longest_gap(farm: Farm, name: str) -> float:
    """The longest time between two deliveries of a strain [h]; 0 when nobody is promised any."""
    return max(_gaps(farm, name), default=0.0)


def _gaps(farm: Farm, name: str) -> list[float]:
    """Between the deliveries that are certain; between the days of call-offs where there are no others."""
    certain, perhaps = (sorted(set(_deliveries(farm, name, sure))) for sure in (True, False))
    hours = certain or perhaps
    return [
        later - sooner
        for sooner, later in zip(hours, [*hours[1:], *(hour + HOURS_A_WEEK for hour in hours[:1])], strict=True)
    ]


def _deliveries(farm: Farm, name: str, is_certain: bool) -> Iterator[float]:
    for customer in farm.customer:
        comes = customer.kind != "call-off" or customer.calls >= 1.0
        if _ordered(customer, name) > 0 and comes is is_certain:
            yield from (DAYS.index(day) * HOURS_A_DAY + customer.leave_by for day in customer.days)


def drying_hours(farm: Farm, seconds: float) -> float:
    """Hours a week to lay out those seconds [h/week]; firsts near their date come on top."""
    outlets = [each for each in farm.customer if each.kind == "outlet"]
    days = sum(len(each.days) for each in outlets)
    return sum(
        seconds * len(each.days) / days / each.dries.pace
        for each in outlets
        if each.dries is not None and each.dries.pace is not None
    )
