"""The end of a run: what stands there is counted and written down, and the journal becomes a record."""

from __future__ import annotations

from farmsim.model import price_luck
from farmsim.model.calendar import NAN
from farmsim.model.site import Site
from farmsim.model.stages import rounds
from farmsim.model.terms import TermedCrew
from farmsim.model.total import total
from farmsim.record.tables import Record
from farmsim.scenario.farm import Farm


def count_standing(site: Site) -> None:
    """Write down the blocks and the mushrooms on the farm at this moment."""
    now = site.desk.now
    inside = dict.fromkeys(site.strain_number, 0)
    for lot in site.lots.values():
        if lot.ripe_at < float("inf"):
            inside[lot.strain] += lot.blocks
    for strain, blocks in inside.items():
        site.journal.inside((site.strain_number[strain], float(blocks), now))
    for (strain, grade), stock in site.stock.items():
        unpacked = [picked for picked in (*site.unpacked.waiting, *site.unpacked.in_hand) if picked.strain == strain]
        loose = total([picked.seconds if grade else picked.firsts for picked in unpacked])
        site.journal.left_over((site.strain_number[strain], grade, stock.level, now))
        site.journal.left_over((site.strain_number[strain], grade + 2, loose, now))


def close(site: Site, farm: Farm, start: float = 0.0) -> Record:
    """Write down what is still going on, and hand over the record."""
    count_standing(site)
    out = [trip.traveller for trip in site.trips.under_way]
    for trip in site.trips.under_way:
        rounds.write(site, trip, NAN, rounds.STILL_OUT)
    for traveller in (*site.lots.values(), *site.loads.values(), *site.crates.values(), *out):
        for stay in traveller.stays.values():
            row = (stay.amount, stay.asked, stay.came, stay.ready, NAN)
            site.journal.stays((traveller.number, stay.place.index, traveller.flush, *row))
        request = traveller.request
        if request is not None:
            for need in [need for need in request.needs if need.places]:
                row = (need.amount, request.asked, NAN, NAN, NAN)
                site.journal.stays((traveller.number, need.places[0].index, traveller.flush, *row))
    for crew in site.people.crews:
        if isinstance(crew, TermedCrew):
            crew.close()
    price_luck.write(site, farm, start)
    return Record.read(site.journal, farm.farm.start, site.end, start, farm)


def take_apart(site: Site) -> None:
    """Let go of what holds one another, so that a farm that is done with is gone at once.

    What is missed here is no fault: Python's sweeping finds it some day, at ten times the cost.
    """
    for place in site.places.all:
        place.queue.lines.clear()
    for traveller in (*site.lots.values(), *site.loads.values(), *site.crates.values()):
        traveller.request = None
    for lot in site.lots.values():
        lot.flush_over = lot.bed = None
    for held in (site.lots, site.loads, site.crates):
        held.clear()
    del site.claims, site.crop, site.inspections, site.racked, site.ripe, site.trips
    site.people.close()
    site.desk.close()
