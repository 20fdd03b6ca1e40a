"""Fixed chores: hours of work on stated weekdays that no lot asks for, such as books, repairs or a walk to the bank.

Steps of a chore: on its day and from its hour on it waits for somebody with the duty, as any other work does. One that is
still not done when it comes up again goes on, and the new one is left out.
"""

from __future__ import annotations

from functools import partial

from farmsim.model.calendar import DAY, ticks
from farmsim.model.lot import Memory, Traveller
from farmsim.model.rota import WEEKDAYS
from farmsim.model.site import Site
from farmsim.scenario.people import Chore


def day(site: Site) -> None:
    """Each midnight: set the day's chores."""
    today = int(site.desk.now // DAY)
    for chore in site.farm.chore:
        if WEEKDAYS[today % 7] in chore.days and today not in site.shut["work"]:
            site.desk.at(ticks(today * DAY + chore.begin), partial(_come_up, site, chore))


def _come_up(site: Site, chore: Chore) -> None:
    for number in range(chore.people):
        key = f"chore/{chore.name}/{number:02d}"
        if key not in site.chores:
            ask(site, key, Memory(site.desk.now, ticks(chore.takes)))


def ask(site: Site, key: str, memory: Memory) -> None:
    """Ask one person to do it."""
    doer = Traveller(key, memory.asked)
    doer.memory = memory
    site.chores[key] = doer
    task = site.people.do(doer, "chores", memory.left)
    task.then = partial(_be_done, site, key)


def _be_done(site: Site, key: str) -> None:
    del site.chores[key]
