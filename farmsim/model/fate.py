"""What luck has in store for the lots of a line: times, bad blocks, and what ripens on which morning.

Drawn for all lots of a line at once, before the run; everything is found by (line, Monday, position), so it does not
matter when a lot asks. What differs from block to block is a vector inside the lot.

Ripening counts whole mornings from shelving, so weight by lot, flush and morning is known here already; what
handling does to it (soaked too long, overripe, picked late) is multiplied in when it happens.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from typing import final

import numpy as np
from numpy.typing import NDArray

from farmsim.model.calendar import TICKS_PER_HOUR
from farmsim.model.luck import Luck, draw, standard_normal
from farmsim.model.plan import Slot, by_day
from farmsim.scenario.sales import Start
from farmsim.scenario.strain import Strain
from farmsim.scenario.vary import MeanCv, Vary

Numbers = NDArray[np.float64]
Mornings = list[tuple[int, float]]
MOST_MORNINGS = 120
LEAST_SHARE = 1e-9


@final
class Fate:
    """The luck of one lot."""

    __slots__ = ("bad", "until_colonised", "until_ripe")

    def __init__(self, until_colonised: float, until_ripe: float, bad: list[tuple[float, int]]) -> None:
        self.until_colonised = until_colonised  # from inoculation on; 0 for bought blocks [h]
        self.until_ripe = until_ripe  # from inoculation (or delivery) on [h]
        self.bad = bad  # (when it shows, from inoculation [h]; which block), soonest first

    def told(self) -> tuple[float, float, list[tuple[float, int]]]:
        """Until colonised, until ripe, bad blocks."""
        return (self.until_colonised, self.until_ripe, self.bad)


@final
class Fates:
    """The luck of all lots of one line over a row of Mondays with the same plan.

    Arrays are (lots, blocks of a lot) or (flushes, lots, blocks); a lot's row is `(monday - first) * lots a week + position`.
    """

    def __init__(
        self, luck: Luck, start: Start, strain: Strain, slots: Sequence[Slot], mondays: range, lot: int
    ) -> None:
        self._luck, self._start, self._strain = luck, start, strain
        self._mondays, self.slots, self._lot = mondays, slots, lot
        self._blocks = [slot.blocks for slot in slots]
        self.by_day = by_day(slots)
        self.flushes = len(strain.flushes.share)  # as many as were kept when these lots were started
        self.are_bought = start.made == "bought"
        colonised, ripe = self._times()
        self._until_colonised: list[float] = colonised.tolist()
        self._until_ripe: list[float] = ripe.tolist()
        self._bad, self._shows = self._bad_blocks()
        self._shares = np.array(strain.flushes.share)
        self._kg, self._morning = self._by_block()
        self._edges, self._mornings, self._ripe = self._by_morning()

    def row(self, monday: int, position: int) -> int:
        """Where a lot's luck stands in the arrays."""
        return (monday - self._mondays.start) * len(self.slots) + position

    def of(self, row: int) -> Fate:
        """What is in store for one lot."""
        found = slice(self._bad[row], self._bad[row + 1])
        return Fate(self._until_colonised[row], self._until_ripe[row], self._shows[found])

    def is_good(self, row: int, block: int) -> bool:
        """Whether a block of a lot stays free of contamination."""
        return bool(self._is_good[row, block])

    def crop(self, row: int, flush: int, top: int, vigour: float = 1.0, brings: float = 1.0) -> Mornings:
        """(mornings after shelving, kg) of one flush, soonest first.

        top: only blocks before this position count, the others were sold [blocks]
        vigour, brings: what handling has left of its weight, and what the month makes of it [1]
        """
        if top >= self._blocks_of(row):
            cell = row * self.flushes + flush
            mornings, ripe = self._mornings, self._ripe
            begin, end = self._edges[cell], self._edges[cell + 1]
            return [(mornings[at], ripe[at] * vigour * brings) for at in range(begin, end)]
        kg = np.bincount(self._morning[flush, row, :top], weights=self._kg[row, :top] * self._shares[flush])
        return [(int(morning), float(kg[morning]) * vigour * brings) for morning in (kg > LEAST_SHARE).nonzero()[0]]

    # --- drawing ------------------------------------------------------------------------------------------------

    def _blocks_of(self, row: int) -> int:
        return self._blocks[row % len(self._blocks)]

    def _per_lot(self, cause: str) -> Numbers:
        return self._luck.uniforms_many(cause, self._start.name, self._mondays, len(self.slots)).ravel()

    def _per_block(self, cause: str) -> Numbers:
        drawn = self._luck.uniforms_many(cause, self._start.name, self._mondays, len(self.slots) * self._lot)
        return drawn.reshape(-1, self._lot)

    def _lot_values(self, vary: Vary, cause: str) -> Numbers:
        settled = self._luck.settle(vary, cause, self._start.name)
        return draw(settled, self._per_lot(cause))

    def _times(self) -> tuple[Numbers, Numbers]:
        """From inoculation (or delivery) until colonised and until ripe, by lot [h]; bought blocks come colonised."""
        if self._start.made == "bought" and self._start.ripe_in is not None:
            ripe = _whole_ticks(self._lot_values(self._start.ripe_in, "ripe in"))
            return np.zeros(len(ripe)), ripe
        colonise = self._lot_values(self._strain.colonise, "colonise")
        until_colonised = np.zeros(len(colonise)) if self.are_bought else _whole_ticks(colonise)
        return until_colonised, _whole_ticks(colonise + self._lot_values(self._strain.ripen, "ripen"))

    def _share_bad(self) -> Numbers:
        """Chance that a block is bad, by lot: one figure a load when bad blocks come by load."""
        bad, week = self._strain.contaminated, len(self.slots)
        if bad.clusters == "none" or bad.mean == 0.0:
            return np.full(len(self._mondays) * week, bad.mean)
        loads = 1 + max(slot.load for slot in self.slots)
        drawn = self._luck.uniforms_many("bad loads", self._start.name, self._mondays, loads)
        share = np.minimum(draw(MeanCv(bad.mean, bad.cv), drawn), 1.0)
        return share[:, [slot.load for slot in self.slots]].ravel()

    def _bad_blocks(self) -> tuple[list[int], list[tuple[float, int]]]:
        """Where each lot's bad blocks begin and end in what follows: when each shows, and which it is.

        The draw that made it bad, stretched, also says when.
        """
        u = self._per_block("bad blocks")
        share = self._share_bad()[:, None]
        is_there = np.arange(self._lot) < np.tile([slot.blocks for slot in self.slots], len(self._mondays))[:, None]
        self._is_good = is_there & (u >= share)
        rows, blocks = np.nonzero(is_there & ~self._is_good)
        settled = self._luck.settle(self._strain.contaminated.shows, "shows", self._start.name)
        shows = _whole_ticks(draw(settled, u[rows, blocks] / share[rows, 0]))
        order = np.lexsort((blocks, shows, rows))
        edges = np.searchsorted(rows, np.arange(len(u) + 1))
        return edges.tolist(), list(zip(shows[order].tolist(), blocks[order].tolist(), strict=True))

    def _by_block(self) -> tuple[Numbers, NDArray[np.uint8]]:
        """What ripens on every block in all its flushes, culls included [kg], and on which morning in each flush."""
        given = self._strain.yield_
        mean = given.mean / self._strain.picking.saleable
        of_lot = mean * draw(MeanCv(1.0, given.cv_lot), self._per_lot("yield of lot"))
        kg = draw(MeanCv(1.0, given.cv_block), self._per_block("yield of block"))
        kg *= of_lot[:, None]
        kg *= self._is_good
        apart = standard_normal(self._per_block("apart"))
        apart *= self._strain.spread
        morning = np.empty((len(self._shares), *kg.shape), dtype=np.uint8)
        days = np.empty_like(apart)
        for flush in range(len(morning)):
            np.add(self._until_pick(flush)[:, None], apart, out=days)
            days /= 24.0
            np.clip(np.rint(days, out=days), 1, MOST_MORNINGS - 1, out=days)
            morning[flush] = days
        return kg, morning

    def _until_pick(self, flush: int) -> Numbers:
        """From shelving (or from the pick before) until this flush is ripe, by lot [h]."""
        if flush:
            return self._lot_values(self._strain.next_pick, f"pick of flush {flush + 1}")
        return self._lot_values(self._strain.first_pick, "first pick")

    def _by_morning(self) -> tuple[list[int], bytes, array[float]]:
        """Where each lot's flush begins and ends in what follows; all mornings one after the other, and their kg."""
        flushes, lots, _ = self._morning.shape
        most = 1 + int(self._morning.max(initial=0))
        kg = np.zeros((lots, flushes, most))
        row = np.arange(lots)[:, None] * most
        for flush, (morning, share) in enumerate(zip(self._morning, self._shares, strict=True)):
            found = np.bincount((row + morning).ravel(), weights=(self._kg * share).ravel(), minlength=lots * most)
            kg[:, flush] = found.reshape(lots, most)
        flat = kg.ravel()
        at = np.flatnonzero(flat > LEAST_SHARE)
        edges = np.searchsorted(at, np.arange(lots * flushes + 1) * most)
        mornings: bytes = (at % most).astype(np.uint8).tobytes()
        return edges.tolist(), mornings, array("d", flat[at].tobytes())  # plain: few are looked up at a time


def _whole_ticks(hours: Numbers) -> Numbers:
    return np.rint(np.maximum(hours, 0.0) * TICKS_PER_HOUR) / TICKS_PER_HOUR
