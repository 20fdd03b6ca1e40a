"""What averages say of the promises, and what deserves a second look before anything is simulated."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from farmsim.scenario import averages
from farmsim.scenario.farm import Farm
from farmsim.scenario.flow import flows, longest_gap, promised_fresh, ripening, stalls_sell
from farmsim.scenario.round_plan import at_once
from farmsim.scenario.rules import KEEP_BACK
from farmsim.scenario.say import Say, days_said
from farmsim.scenario.values import DAYS

TIGHT = 0.95  # of what there is: above this, waiting soon grows without end
WARMEST = 4.0  # degC: shelf lives in suppliers' sheets and papers are for 0-4 degC


@dataclass(frozen=True, slots=True)
class Promise:
    """What is promised of a strain in a usual week, against what the plan brings."""

    name: str
    unit: str  # a declared unit: "kg" or "blocks"
    promised: float
    brings: float


def promises(farm: Farm) -> list[Promise]:
    """Firsts and blocks by strain; mushrooms picked late bring fewer firsts than this."""
    found = []
    for usual in flows(farm):
        fresh, stalls = promised_fresh(farm, usual.strain), stalls_sell(farm, usual.strain)
        if fresh or usual.firsts:
            found.append(Promise(f"{usual.strain}, firsts", "kg", fresh, usual.firsts))
        if stalls:
            found.append(Promise(f"{usual.strain}, with stalls", "kg", fresh + stalls, usual.firsts))
        if usual.promised:
            found.append(Promise(f"{usual.strain}, blocks", "blocks", usual.promised, usual.started - usual.bad))
    return found


def second_looks(farm: Farm) -> list[str]:
    """Sentences on what is allowed but may not be meant."""
    say = Say(farm.farm.units, farm.farm.currency)
    topics = (
        _full(farm),
        _over_promised(farm),
        _unpicked_days(farm),
        _dates(farm, say),
        _unripe_takers(farm),
        _without_effect(farm, say),
        _customers(farm, say),
        _warm(farm, say),
    )
    return [sentence for topic in topics for sentence in topic]


def _full(farm: Farm) -> Iterator[str]:
    for need in averages.needs(farm):
        if need.share > 1:
            yield f"{need.name}: the plan needs more than there is, so {need.too_much}."
        elif need.share > TIGHT:
            yield f"{need.name}: nearly full on average, so anything uneven makes {need.uneven}."


def _over_promised(farm: Farm) -> Iterator[str]:
    for promise in promises(farm):
        if promise.promised > promise.brings and promise.name.endswith(", with stalls"):
            yield f"{promise.name}: orders and what the stalls sell on average come to more than the plan brings."
        elif promise.promised > promise.brings:
            yield f"{promise.name}: more is promised than the plan brings on average."


def _unpicked_days(farm: Farm) -> Iterator[str]:
    picked = {day for crew in farm.crew if "pick" in crew.all_duties for day in averages.days_worked(crew)}
    free = [day for day in DAYS if day not in picked]
    if farm.start and free:
        yield f"Nobody picks on {days_said(free)}: what ripens then waits and loses grade."


def _dates(farm: Farm, say: Say) -> Iterator[str]:
    for usual in flows(farm):
        gap, life = longest_gap(farm, usual.strain), farm.strain[usual.strain].shelf_life
        if gap > life:
            keeps, waits = say.amount(life, "h"), say.amount(gap, "h")
            yield f"{usual.strain} keeps {keeps}, but up to {waits} lie between two deliveries of it."
        if gap == 0.0 and usual.saleable:
            yield f"{usual.strain} is promised to nobody: all of it goes to the outlet or past its date."


def _unripe_takers(farm: Farm) -> Iterator[str]:
    started = {line.strain for line in farm.start}
    for customer in farm.block_customer:
        for name in customer.promised:
            if customer.takes_unripe and name in started and ripening(farm, name) == 0.0:
                yield f"{customer.name} would finish the ripening of {name}, but it is ripe as soon as it is colonised."


def _without_effect(farm: Farm, say: Say) -> Iterator[str]:
    if farm.ripe_block_room() is None:
        for name, strain in farm.strain.items():
            if strain.holds_ripe.cold:
                cold = say.amount(strain.holds_ripe.cold, "h")
                yield f"{name} would hold {cold} more in the cold, but no walk-in takes ripe blocks."
    for day, out, waits in at_once(farm):
        while_out = f"wants the van {out.van} while it is out with {out.name}"
        yield f"On {day.title()} {waits.name} {while_out}: it leaves late, or not at all."
    driven = {round_.van for round_ in farm.round}
    yield from (f"Van {name} goes on no round." for name in farm.van if name not in driven)
    used = {line.strain for line in farm.start}
    for name in farm.strain:
        if name not in used:
            yield f"{name} is described but not started."


def _customers(farm: Farm, say: Say) -> Iterator[str]:
    for customer in farm.customer:
        if farm.farm.begin == "empty" and customer.leaves_after is not None:
            yield (
                f"The farm begins empty, and {customer.name} leaves after {customer.leaves_after} short deliveries: it may "
                "be gone before the first pick. A change on a date can bring it later."
            )
        if customer.kind == "market stall" and customer.unsold == "comes back" and customer.back_at is not None:
            costs = customer.comes_back_older + customer.back_at - customer.leave_by
            for name in customer.sells:
                if (keeps := farm.strain[name].shelf_life) <= costs:
                    cost, life = say.amount(costs, "h"), say.amount(keeps, "h")
                    yield f"{name} keeps {life}; a day at {customer.name} costs {cost} of it, so none of it comes back."
    if farm.rules.keep_back != KEEP_BACK[0] and not any(each.notice for each in farm.customer):
        yield "What is known to be ordered is kept back, but no customer gives notice: nothing is known before its day."


def _warm(farm: Farm, say: Say) -> Iterator[str]:
    room = farm.fresh_room()
    if room is not None and farm.walk_in[room].air > WARMEST:
        air, most = say.amount(farm.walk_in[room].air, "degC"), say.amount(WARMEST, "degC")
        yield f"Walk-in {room} is kept at {air}; published shelf lives hold up to {most} only."
