"""Lots that wait for one another in a circle, so that none of them can ever move."""

from __future__ import annotations

from farmsim.errors import RunStuck
from farmsim.model.lot import Traveller
from farmsim.model.place import IN_TURN, Need, Place, Request
from farmsim.model.site import Site


def look_for_circles(site: Site) -> None:
    """End the run when some lots can never move. Goes wrong with `RunStuck`, which lists who waits for what.

    A place may come free as long as anybody in it is not itself waiting for places. A waiting lot can move when every
    place it needs may come free, or has room. What is left when nothing more can be said to move is a circle.
    """
    waiting = {request for place in site.places.all for line in place.queue.lines for request in line.waiting}
    if not waiting:
        return
    held = _held_by_place(waiting)
    kept = {place: sum([amount for _, amount in stays]) for place, stays in held.items()}
    if all(_has_room(need, kept) for request in waiting for need in request.needs):
        return  # nobody needs anything of another who waits
    stuck = set(waiting)
    while True:
        lots = {request.lot for request in stuck}
        moving = {request for request in stuck if all(_may_be_met(need, lots, held) for need in request.needs)}
        if not moving:
            break
        stuck -= moving
    if stuck:
        day = f"{site.desk.now / 24.0:.0f}"
        raise RunStuck(
            f"The farm jams on day {day}: these lots wait for one another in a circle, so none of them can ever move.",
            [_sentence(request) for request in sorted(stuck, key=IN_TURN)],
        )


def _held_by_place(waiting: set[Request]) -> dict[Place, list[tuple[Traveller, int]]]:
    """What those who wait keep meanwhile; whoever does not wait will leave some day."""
    held: dict[Place, list[tuple[Traveller, int]]] = {}
    for request in waiting:
        for stay in request.lot.stays.values():
            held.setdefault(stay.place, []).append((request.lot, stay.amount))
    return held


def _has_room(need: Need, kept: dict[Place, int]) -> bool:
    return any(place.closed or place.holds - kept.get(place, 0) >= need.amount for place in need.places)


def _may_be_met(need: Need, stuck: set[Traveller], held: dict[Place, list[tuple[Traveller, int]]]) -> bool:
    """Whether some place of the need has, or may come to have, room once all who can move have moved."""
    for place in need.places:
        kept = sum([amount for traveller, amount in held.get(place, ()) if traveller in stuck])
        if place.closed or place.holds - kept >= need.amount:
            return True
    return False


def _sentence(request: Request) -> str:
    wanted = " and ".join(
        f"{need.amount / 1000:g} in {' or '.join(place.name for place in need.places)}" for need in request.needs
    )
    kept = ", ".join(f"{stay.place.name} ({stay.amount / 1000:g})" for stay in request.lot.stays.values()) or "nothing"
    return f"{request.lot.key} waits for {wanted} since day {request.asked / 24.0:.1f} and keeps {kept}"
