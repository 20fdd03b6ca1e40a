"""Counted places: who holds how many, who waits for them, and in which order they are given.

Places are counted in whole thousandths. A request may need several places at once (a bench and a shelf) and gets all or
none; a need may be met by any of several places (the rooms that take the strain): the one with most room, then the
first in the farm's file. Nobody is overtaken, except those who are held back by a rule (a gate) and not by want of room.
Those held by the same rule form a group: when its first may not go, none of it may.
"""

from __future__ import annotations

from functools import partial

from farmsim.model.calendar import NEVER
from farmsim.model.desk import Desk, Part
from farmsim.model.lot import Traveller
from farmsim.model.place import IN_TURN, Gate, Moves, Need, Place, Request, Stay, least_of, thousandths
from farmsim.record.journal import Journal


class Places(Part):
    """All counted places of the farm and the one rule by which they are given."""

    def __init__(self, desk: Desk, journal: Journal) -> None:
        super().__init__()
        self.desk = desk
        self.journal = journal
        self.all: list[Place] = []
        self._touched: set[Place] = set()
        self._gates_open: set[tuple[float, int]] = set()
        self._held: set[str] = set()  # groups whose first may not go, whatever the hour
        desk.join(self)

    def add(self, name: str, holds: float, moves: Moves | None = None) -> Place:
        """A new place of `holds` units; places are added in the farm's order of stages.

        moves: counts who comes and leaves, for several places together
        """
        place = Place(name, len(self.all), thousandths(holds), moves)
        self.all.append(place)
        return place

    def resize(self, place: Place, holds: float) -> None:
        """The place has another size from now on. Who is there stays; nobody comes until there is room."""
        place.resize(thousandths(holds))
        self.touch(place)

    def touch(self, place: Place) -> None:
        """Look at the queue of `place` when this instant settles."""
        if place.queue.lines:
            self._touched.add(place)
            self.stale = self.desk.stale = True

    # --- asking and leaving -------------------------------------------------------------------------------------

    def ask(self, lot: Traveller, *needs: Need, gate: Gate | None = None, group: str = "") -> Request | None:
        """Ask for all of `needs` at once. None when they were granted on the spot; else what to wait for.

        On the spot only if nobody waits, nothing else is due in this instant and no place has to settle; people and
        sales settle after the places, so they need not be clear.

        gate: a rule that may hold the lot back. When it answers with never, it is not asked again until somebody says
            so (`look_again`)
        group: those whose gate gives the same answer, such as lots of one strain
        """
        if gate is not None and not group:
            raise ValueError(f"{lot.key} is held by a rule, so it needs a group: those whom the same rule holds")
        now = asked = self.desk.now
        if lot.memory is not None:
            asked, lot.memory = lot.memory.asked, None
        if not self.stale and self.desk.quiet and self._on_the_spot(lot, needs, gate, asked, now):
            return None
        request = Request(lot, needs, asked, gate, group)
        lot.request = request
        for need in needs:
            for place in need.places:
                place.queue.add(request)
                self._touched.add(place)
        self.stale = self.desk.stale = True
        return request

    def _on_the_spot(
        self, lot: Traveller, needs: tuple[Need, ...], gate: Gate | None, asked: float, now: float
    ) -> bool:
        if len(needs) == 1 and len(needs[0].places) == 1:  # the usual case: one place, no choice
            place = needs[0].places[0]
            if place.queue.lines or place.room < needs[0].amount or (gate is not None and gate.opens(now) > now):
                return False
            self._settle_in(lot, needs[0].purpose, place, needs[0].amount, asked)
            return True
        chosen = [self._free_of_queue(need) for need in needs]
        if None in chosen:
            return False
        if gate is not None and gate.opens(now) > now:
            return False
        self._take(lot, needs, chosen, asked)
        return True

    def leave(self, lot: Traveller, purpose: str) -> None:
        """Give back what `lot` holds under `purpose`; the stay is written down."""
        stay = lot.stays[purpose]
        del lot.stays[purpose]
        place = stay.place
        place.moves.count += 1
        place.used -= stay.amount
        place.room += stay.amount
        now = self.desk.now
        ready = now if stay.ready != stay.ready else stay.ready
        self.journal.stays((lot.number, place.index, lot.flush, stay.amount, stay.asked, stay.came, ready, now))
        if place.queue.lines:
            self._touched.add(place)
            self.stale = self.desk.stale = True

    def give_back(self, lot: Traveller, purpose: str, amount: int) -> None:
        """Give back part of a stay, such as the places of blocks thrown out."""
        stay = lot.stays[purpose]
        stay.amount -= amount
        stay.place.used -= amount
        stay.place.room += amount
        self.journal.freed((lot.number, stay.place.index, self.desk.now, amount))
        self.touch(stay.place)

    def ready(self, lot: Traveller, purpose: str) -> None:
        """`lot` has no more to do in this place: from now on it stays only because it has nowhere to go."""
        lot.stays[purpose].ready = self.desk.now

    def hand_over(self, giver: Traveller, taker: Traveller, purpose: str, amount: int) -> None:
        """Part of a stay goes to another traveller without anybody moving (a load becomes lots)."""
        stay = giver.stays[purpose]
        stay.amount -= amount
        stay.place.used -= amount
        stay.place.room += amount
        self.journal.freed((giver.number, stay.place.index, self.desk.now, amount))
        self._settle_in(taker, purpose, stay.place, amount, self.desk.now)

    def occupy(self, lot: Traveller, purpose: str, place: Place, amount: int, asked: float, came: float) -> Stay:
        """Put a lot that already stands there in its place, as a run begins from standing lots."""
        place.used += amount
        place.room -= amount
        place.moves.count += 1
        stay = lot.stays[purpose] = Stay(place, amount, asked, came)
        return stay

    def give_up(self, lot: Traveller) -> None:
        """The wish is over (the lot was sold or lost): out of every queue, and it happens all the same."""
        request = lot.request
        if request is None:
            return
        self._unqueue(request)
        for place in _places_of(request.needs)[:1]:
            self.journal.waits((lot.number, place.index, lot.flush, request.asked, self.desk.now))
        self.desk.happen(request)

    def shrink(self, lot: Traveller, purpose: str, amount: int) -> None:
        """A waiting lot has become smaller and asks for `amount` under `purpose` from now on."""
        request = lot.request
        if request is None:
            return
        request.needs = tuple(Need(purpose, n.places, amount) if n.purpose == purpose else n for n in request.needs)
        request.least = least_of(request.needs)
        for place in _places_of(request.needs):
            self.touch(place)

    def turn_to(self, lot: Traveller, purpose: str, places: tuple[Place, ...]) -> None:
        """A waiting lot asks for its places under `purpose` in any of `places` from now on, and keeps its turn."""
        request = lot.request
        if request is None or all(need.places == places for need in request.needs if need.purpose == purpose):
            return
        for place in _places_of(request.needs):
            place.queue.remove(request)
        request.needs = tuple(Need(purpose, places, n.amount) if n.purpose == purpose else n for n in request.needs)
        request.is_simple = len(request.needs) == 1 and len(places) == 1
        request.opens = -NEVER
        for place in _places_of(request.needs):
            place.queue.add(request)
            self.touch(place)

    # --- settling -----------------------------------------------------------------------------------------------

    def settle(self) -> None:
        """Serve the touched places, the one furthest down the farm first, until none is left to look at."""
        touched = self._touched
        while touched:
            place = touched.pop()
            if touched:
                touched.add(place)
                for other in touched:
                    if other.index > place.index:
                        place = other
                touched.remove(place)
            if place.queue.lines:
                self._serve(place)

    def _serve(self, place: Place) -> None:
        """Grant from the front of the queue; stop at the first that finds no room, pass over those held by a rule."""
        while place.queue.lines:
            request = self._next(place)
            if request is None:
                return
            if not (self._grant_simple(request, place) if request.is_simple else self._grant(request)):
                return

    def _next(self, place: Place) -> Request | None:
        """The first in turn that no rule holds back; nobody when nobody would fit, whatever the rules say."""
        held, room, lines = self._held, place.room, place.queue.lines
        for line in lines:
            if line.waiting[0].least <= room and line.group not in held:
                break
        else:
            return None
        heads = [line.waiting[0] for line in lines if line.group not in held]
        if len(heads) > 1:
            heads.sort(key=IN_TURN)
        for request in heads:
            if request.gate is None or self._passes(request):
                return request
        return None

    def _passes(self, request: Request) -> bool:
        """Whether the rule lets the lot go now. If it names a later hour, it is asked again then and not before."""
        now = self.desk.now
        if request.gate is None:
            return True
        if request.opens > now:
            return False
        opens = request.gate.opens(now)
        if opens <= now:
            return True
        if opens == NEVER:
            self._held.add(request.group)
        else:
            request.opens = opens
            self._ring_when_it_opens(request, opens)
        return False

    def _ring_when_it_opens(self, request: Request, opens: float) -> None:
        for need in request.needs:
            for place in need.places:
                if (opens, place.index) not in self._gates_open:
                    self._gates_open.add((opens, place.index))
                    self.desk.at(opens, partial(self._gate_opens, opens, place))

    def regroup(self, lot: Traveller, group: str) -> None:
        """A waiting lot is held by another rule from now on, and keeps its turn."""
        request = lot.request
        if request is None or not request.group:
            return
        places = _places_of(request.needs)
        for place in places:
            place.queue.remove(request)
        request.group, request.opens = group, -NEVER
        for place in places:
            place.queue.add(request)
            self.touch(place)

    def somebody_waits(self, place: Place) -> bool:
        """Whether somebody whom no rule holds back has waited for `place` since before this instant."""
        now = self.desk.now
        return any(
            request.asked < now and request.group not in self._held and self._passes(request)
            for request in place.queue.heads()
        )

    def look_again(self, group: str) -> None:
        """What held a group back may have changed: its rule is asked again when its places are looked at."""
        self._held.discard(group)

    def forget_hours(self) -> None:
        """The hours that rules have named hold no longer, as when rotas change."""
        for place in self.all:
            for line in place.queue.lines:
                for request in line.waiting:
                    request.opens = -NEVER

    def _gate_opens(self, opens: float, place: Place) -> None:
        self._gates_open.discard((opens, place.index))
        self.touch(place)

    def _grant_simple(self, request: Request, place: Place) -> bool:
        """Grant the first of a queue the one place it asks for, if it fits."""
        need = request.needs[0]
        if need.amount > place.room:
            return False
        lot = request.lot
        lot.request = None
        place.queue.remove(request)
        self._settle_in(lot, need.purpose, place, need.amount, request.asked)
        self.desk.happen(request)
        return True

    def _grant(self, request: Request) -> bool:
        chosen = [self._best_for(request, need) for need in request.needs]
        if not all(chosen):
            return False
        self._unqueue(request)
        self._take(request.lot, request.needs, chosen, request.asked)
        self.desk.happen(request)
        return True

    def _unqueue(self, request: Request) -> None:
        request.lot.request = None
        for place in _places_of(request.needs):
            place.queue.remove(request)
            if place.queue:
                self._touched.add(place)
                self.desk.mark(self)

    def _best_for(self, request: Request, need: Need) -> Place | None:
        """The place with most room where the lot is next in turn, the first of equals."""
        best: Place | None = None
        for place in need.places:
            if place.room >= need.amount and (best is None or place.room > best.room) and self._is_next(request, place):
                best = place
        return best

    def _is_next(self, request: Request, place: Place) -> bool:
        for other in place.queue.heads():
            if other is request:
                return True
            if other.group not in self._held and self._passes(other):
                return False
        return False

    @staticmethod
    def _free_of_queue(need: Need) -> Place | None:
        """The place with most room; None if there is none, or somebody waits at one that has room enough."""
        best: Place | None = None
        for place in need.places:
            if place.room >= need.amount:
                if place.queue.lines:
                    return None  # whose turn it is there, the end of the instant decides
                if best is None or place.room > best.room:
                    best = place
        return best

    def _take(self, lot: Traveller, needs: tuple[Need, ...], chosen: list[Place | None], asked: float) -> None:
        for need, place in zip(needs, chosen, strict=True):
            if place is not None:
                self._settle_in(lot, need.purpose, place, need.amount, asked)

    def _settle_in(self, lot: Traveller, purpose: str, place: Place, amount: int, asked: float) -> None:
        place.used += amount
        place.room -= amount
        place.moves.count += 1
        lot.stays[purpose] = Stay(place, amount, asked, self.desk.now)


def _places_of(needs: tuple[Need, ...]) -> list[Place]:
    return [place for need in needs for place in need.places]
