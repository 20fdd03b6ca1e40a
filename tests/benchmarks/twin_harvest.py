"""The twin's harvest: what is ripe, picking rounds, packing rounds."""

from __future__ import annotations

from bisect import insort
from collections import defaultdict
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from farmsim.scenario.strain import Strain

from .twin_hours import ticks
from .twin_lots import Lot

if TYPE_CHECKING:
    from .twin import Twin

DAY = 24.0
A_MINUTE = 1.0 / 60.0
Round = tuple[float, Callable[[], None]]


class Picked(NamedTuple):
    """What one round of pickers brought out, in the order in which it is packed."""

    when: float
    strain: str
    firsts: float
    seconds: float

    def part(self, share: float) -> Picked:
        return self._replace(firsts=self.firsts * share, seconds=self.seconds * share)


class Harvest:
    """Ripe lots by room and strain, and what waits to be packed."""

    def __init__(self, twin: Twin) -> None:
        self.twin = twin
        self.coming: defaultdict[int, list[tuple[Lot, float]]] = defaultdict(list)
        self.beds: defaultdict[tuple[int, str], list[Lot]] = defaultdict(list)
        self.unpacked: list[Picked] = []

    def begin_flush(self, lot: Lot) -> int | None:
        """Note on which mornings something ripens, and return the last; None if nothing will."""
        crop = lot.fates.crop(lot.row, lot.flush, lot.top)
        lot.to_come = len(crop)
        for morning, kg in crop:
            self.coming[int(self.twin.env.now // DAY) + morning].append((lot, kg * lot.vigour))
        return crop[-1][0] if crop else None

    def dawn(self, day: int) -> None:
        for lot, kg in self.coming.pop(day, []):
            lot.to_come -= 1
            lot.look = 1.0
            lot.ripe.append((day, kg))
            if len(lot.ripe) == 1:
                insort(self.beds[lot.room, lot.strain_name], lot, key=lambda each: each.age)

    # --- picking ----------------------------------------------------------------------------------------------------

    def pick_round(self, most: float) -> Round | None:
        """The ripest bed, lot after lot, until the round is long enough."""
        beds = [bed for bed in self.beds.values() if bed]
        if not beds or most < A_MINUTE:
            return None
        strains = list(self.twin.farm.strain)
        dearest = self.twin.farm.rules.pick_first == "dearest"
        bed = min(beds, key=lambda each: (strains.index(each[0].strain_name) if dearest else 0, each[0].age))
        day, strain = int(self.twin.env.now // DAY), bed[0].strain
        hours, shares = 0.0, []
        while bed and hours < min(self.twin.farm.farm.round, most):
            lot = bed.pop(0)
            kg = sum(grown(strain, kg, day - morning) for morning, kg in lot.ripe)
            needs = lot.blocks * strain.picking.look * lot.look + kg / strain.picking.pace
            share = min(1.0, (most - hours) / needed) if (needed := needs) > 0.0 else 1.0
            hours += needs * share
            shares.append((lot, share))
        return min(ticks(hours), most), lambda: self.carry_out(shares, day)

    def carry_out(self, shares: list[tuple[Lot, float]], day: int) -> None:
        """The round is over: weigh and grade; what was not picked is ripe still."""
        firsts = seconds = 0.0
        for lot, share in shares:
            first, second, cull = self.graded(lot, share, day)
            firsts, seconds = firsts + first, seconds + second
            for grade, kg in (("firsts", first), ("seconds", second), ("culls", cull)):
                self.twin.note(f"kg picked {grade}", kg)
            if lot.ripe:
                insort(self.beds[lot.room, lot.strain_name], lot, key=lambda each: each.age)
            elif not lot.to_come and lot.picked_clean is not None:
                lot.picked_clean.succeed()
                lot.picked_clean = None
        if firsts + seconds > 0.0:
            insort(self.unpacked, Picked(self.twin.env.now, shares[0][0].strain_name, firsts, seconds))

    def graded(self, lot: Lot, share: float, day: int) -> tuple[float, float, float]:
        """Firsts, seconds, culls of a share of what is ripe on a lot."""
        picking = lot.strain.picking
        sums = [0.0, 0.0, 0.0]
        for morning, kg in lot.ripe:
            late = max(0, day - morning - mornings_fit(lot.strain))
            grades = picking.late[min(late, len(picking.late) - 1)]
            weight = grown(lot.strain, kg * share, day - morning)
            for index, part in enumerate((grades.firsts, grades.seconds, grades.culls)):
                sums[index] += weight * part
        lot.ripe = [(morning, kg * (1.0 - share)) for morning, kg in lot.ripe] if share < 1.0 else []
        lot.look *= 1.0 - share
        return sums[0], sums[1], sums[2]

    # --- packing ----------------------------------------------------------------------------------------------------

    def pack_round(self, most: float) -> Round | None:
        """What was picked longest ago, and more of its strain, as much as a round has time for."""
        if not self.unpacked or most < A_MINUTE:
            return None
        strain, longest = self.unpacked[0].strain, min(self.twin.farm.farm.round, most)
        pace = self.twin.farm.strain[strain].pack
        hours, pieces = 0.0, []
        for each in [waiting for waiting in self.unpacked if waiting.strain == strain]:
            needs = (each.firsts + each.seconds) / pace
            share = min(1.0, (longest - hours) / needs)
            at = self.unpacked.index(each)
            self.unpacked[at : at + 1] = [each.part(1.0 - share)] if share < 1.0 else []
            pieces.append(each.part(share) if share < 1.0 else each)
            hours = hours + needs if share == 1.0 else longest
            if hours >= longest:
                break
        crates = Picked(pieces[0].when, strain, sum(p.firsts for p in pieces), sum(p.seconds for p in pieces))
        return min(ticks(hours), most), lambda: self.packed(crates)

    def packed(self, picked: Picked) -> None:
        self.twin.note("kg packed", picked.firsts + picked.seconds)
        for grade, kg in enumerate((picked.firsts, picked.seconds)):
            if kg > 0.0:
                self.twin.sales.put_by(picked, grade, kg)


def mornings_fit(strain: Strain) -> int:
    """Mornings after the first on which a mushroom is still in its window."""
    return max(0, int(strain.picking.window // DAY) - 1)


def grown(strain: Strain, kg: float, missed: int) -> float:
    """Weight after missed mornings, as far as the table of grades goes [kg]."""
    mornings = min(missed, mornings_fit(strain) + len(strain.picking.late) - 1)
    return kg * (1.0 + strain.picking.gain) ** mornings
