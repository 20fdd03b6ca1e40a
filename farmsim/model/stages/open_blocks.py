"""Opening: a bench, a shelf and people, by cut style; bad and overripe blocks are seen here.

Steps: it waits for a bench and its shelf, all or none, and keeps tank or cold until then; people open it; it is
shelved. If the room it was called to is no more, it waits to be called to another first.
Overripe blocks cost trimming and yield. Bad blocks not found before are found now, and their shelf places are free.
"""

from __future__ import annotations

from farmsim.model import blocks
from farmsim.model.calendar import FOREVER
from farmsim.model.desk import Wait
from farmsim.model.lot import Lot
from farmsim.model.place import WHOLE, Need
from farmsim.model.site import Site
from farmsim.model.steps import Step, stage


def wait_for_another_room(site: Site, lot: Lot) -> Wait | None:
    if lot.room >= 0 or site.house.pushes:
        return None
    return site.places.ask(lot, Need("booked", site.booked_for[lot.strain], lot.blocks * WHOLE))


def be_called(site: Site, lot: Lot) -> None:
    booked = lot.stays.get("booked")
    if booked is not None:
        lot.room = site.booked.index(booked.place)


def take_bench_and_shelf(site: Site, lot: Lot) -> Wait | None:
    shelves = site.shelves_for[lot.strain] if lot.room < 0 else (site.shelves[lot.room],)
    return site.places.ask(lot, site.one_bench, Need("shelf", shelves, lot.blocks * WHOLE))


def be_at_the_bench(site: Site, lot: Lot) -> None:
    lot.room = site.shelves.index(lot.stays["shelf"].place)
    blocks.leave_store(site, lot)
    for purpose in ("tank", "cold"):
        if purpose in lot.stays:
            site.places.leave(lot, purpose)


def open_and_cut(site: Site, lot: Lot) -> Wait | None:
    strain = site.strains[lot.strain]
    cut = strain.open
    each = 1.0 / cut.pace + cut.strip * cut.strip_takes + cut.flip * cut.flip_takes
    if lot.overripe > 0.0:
        each += strain.overripe.trim
    return site.people.do(lot, "open", lot.blocks * each)


def be_shelved(site: Site, lot: Lot) -> None:
    site.places.leave(lot, "bench")
    lot.vigour *= max(0.0, 1.0 - site.strains[lot.strain].overripe.loses * lot.overripe)
    bad = blocks.bad_by(lot, FOREVER)
    if bad:
        blocks.lose(site, lot, "contaminated", bad)
    if not lot.gone:
        blocks.note(site, lot, "opened", lot.blocks)


STEPS: tuple[Step, ...] = stage(
    6, "open", wait_for_another_room, be_called, take_bench_and_shelf, be_at_the_bench, open_and_cut, be_shelved
)
