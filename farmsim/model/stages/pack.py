"""Packing: people weigh what was picked into crates, in the order in which it came out of the rooms.

Steps of a round: what was picked longest ago, and more of the same strain that waits, until the round is long enough; then
the crates go to be chilled. Their date counts from the first that was picked.

Goes wrong when packing ranks behind picking and hands are short: mushrooms stand warm and lose days of shelf life.
"""

from __future__ import annotations

from collections.abc import Callable

from farmsim.model.calendar import ticks
from farmsim.model.heaps import Picked
from farmsim.model.site import Site
from farmsim.model.stock_out import FIRSTS, SECONDS
from farmsim.model.work import WORTH_BEGINNING, Pool, Round


class Table(Pool):
    """The pool of packing work: all that is picked and not packed."""

    def __init__(self, site: Site, hand_on: Callable[[Site, Picked, int, float], None]) -> None:
        self._site = site
        self._hand_on = hand_on
        self.heap = site.unpacked.waiting  # what stands unpacked that nobody is packing

    def take(self, most_hours: float) -> Round | None:
        """The next round, cut to `most_hours`; None when nothing waits or there is no time to begin."""
        site = self._site
        if most_hours < WORTH_BEGINNING or not site.unpacked.waiting:
            return None
        strain = site.unpacked.waiting[0].strain
        picked, needed = site.unpacked.take(strain, site.goods[strain].pack, min(site.long_enough, most_hours))
        site.unpacked.in_hand.append(picked)
        return Round(min(ticks(needed), most_hours), picked.picked, picked)

    def done(self, round_: Round) -> None:
        """Put the crates by."""
        picked = round_.load
        assert isinstance(picked, Picked)
        site = self._site
        site.unpacked.in_hand.remove(picked)
        site.journal.packs((site.strain_number[picked.strain], site.desk.now, picked.firsts + picked.seconds))
        if picked.firsts > 0.0:
            self._hand_on(site, picked, FIRSTS, picked.firsts)
        if picked.seconds > 0.0:
            self._hand_on(site, picked, SECONDS, picked.seconds)
