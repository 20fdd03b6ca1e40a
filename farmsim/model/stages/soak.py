"""Soaking, in a tank or in the bag: work before, a night without hands, work in the morning.

Steps: it waits for a tank, which is filled only if the morning shift begins within the soak's most; people load it; it
lies at least its least, until the morning shift begins; people take it out. A tank takes one lot whole. A stay past
the most is recorded and costs yield, it is never cut short. In later flushes the lot keeps its shelf meanwhile.

Goes wrong when tanks are few: lots wait cold, past their most.
"""

from __future__ import annotations

from functools import partial

from farmsim.model import blocks
from farmsim.model.calendar import DAY, NEVER, ticks
from farmsim.model.desk import Wait
from farmsim.model.hours import LOOK_AHEAD_DAYS, next_open, soak_from
from farmsim.model.lot import Lot
from farmsim.model.place import Gate
from farmsim.model.site import Site
from farmsim.model.steps import Step, stage


def take_tank(site: Site, lot: Lot) -> Wait | None:
    if site.tanks is None or site.one_tank is None:
        return _hands_for_the_bag(site, lot)
    return site.places.ask(lot, site.one_tank, gate=_Filling(site, lot), group="soak " + lot.strain)


def be_in_the_tank(site: Site, lot: Lot) -> None:
    if "shelf" in lot.stays:
        return
    if "cold" in lot.stays:
        _charge_for_cold(site, lot)
    if site.tanks is None:
        blocks.be_taken(site, lot)  # it is soaked where it stands
        return
    blocks.leave_store(site, lot)
    if "cold" in lot.stays:
        site.places.leave(lot, "cold")


def load(site: Site, lot: Lot) -> Wait | None:
    soak = site.strains[lot.strain].soak
    return site.people.do(lot, "soak", lot.blocks / soak.load) if soak is not None else None


def lie_overnight(site: Site, lot: Lot) -> Wait | None:
    soak = site.strains[lot.strain].soak
    lot.filled = lot.since
    if soak is None:
        return None
    least = ticks(lot.since + soak.least)
    morning = next_open(site, "soak", least)
    return site.desk.until(morning if morning < least + 7 * DAY else least)


def unload(site: Site, lot: Lot) -> Wait | None:
    soak = site.strains[lot.strain].soak
    return site.people.do(lot, "soak", lot.blocks / soak.unload) if soak is not None else None


def be_soaked(site: Site, lot: Lot) -> None:
    soak = site.strains[lot.strain].soak
    if soak is not None:
        late = max(0.0, site.desk.now - lot.filled - soak.most)
        lot.vigour *= max(0.0, 1.0 - soak.loses * late)
    if "tank" in lot.stays:
        site.places.ready(lot, "tank")
        if "shelf" in lot.stays:
            site.places.leave(lot, "tank")


STEPS: tuple[Step, ...] = stage(5, "soak", take_tank, be_in_the_tank, load, lie_overnight, unload, be_soaked)
AGAIN: tuple[Step, ...] = stage(5, "soak again", take_tank, be_in_the_tank, load, lie_overnight, unload, be_soaked)


def _hands_for_the_bag(site: Site, lot: Lot) -> Wait | None:
    """Soaked in the bag it waits for an hour from which the morning comes in time; worked out again when rotas change."""
    opens = soak_from(site, site.strains[lot.strain], lot.blocks, lot.since)
    until = ticks(opens) if opens < NEVER else lot.since + LOOK_AHEAD_DAYS * DAY
    change = next((when for when, _ in site.changes if when > site.desk.now), NEVER)
    if until < change:
        return site.desk.until(until)
    # It looks again when the change is in force, which is the same instant: what comes up now comes after that.
    site.desk.at(change, lambda: site.desk.happen(Wait(partial(_look_again, lot))))
    return Wait()


def _look_again(lot: Lot) -> None:
    lot.at -= 1
    lot.follow()


class _Filling(Gate):
    """The gate of the tank; asked again tomorrow when nobody comes in time on any day to be seen."""

    def __init__(self, site: Site, lot: Lot) -> None:
        self._site, self._lot = site, lot

    def opens(self, now: float) -> float:
        site, lot = self._site, self._lot
        opens = soak_from(site, site.strains[lot.strain], lot.blocks, now)
        return ticks(opens) if opens < NEVER else (now // DAY + 1) * DAY


def _charge_for_cold(site: Site, lot: Lot) -> None:
    shock = site.strains[lot.strain].cold_shock
    if shock is not None:
        late = max(0.0, site.desk.now - lot.stays["cold"].came - shock.most)
        lot.vigour *= max(0.0, 1.0 - shock.loses * late / DAY)
