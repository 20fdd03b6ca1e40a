"""Boxing blocks that are to leave: a duty, from some hours before a round leaves.

Steps of a round: blocks for the round that leaves first are boxed until it is long enough or the shift is over. What is
not boxed when the round leaves stays, whatever is ripe. A lot that was boxed from and then lost has cost the work.

Goes wrong when boxing ranks behind other work: blocks are ripe and promised, and still do not leave.
"""

from __future__ import annotations

from farmsim.model import boxes
from farmsim.model.boxes import ToBox
from farmsim.model.calendar import ticks
from farmsim.model.site import Site
from farmsim.model.work import WORTH_BEGINNING, Pool, Round


class Boxes(Pool):
    """The pool of boxing work: all that is to be boxed for rounds that leave soon."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self.heap = site.to_box

    def take(self, most_hours: float) -> Round | None:
        """The next round, cut to `most_hours`; None when nothing is to be boxed or there is no time for one block."""
        to_box = self._site.to_box
        if most_hours < WORTH_BEGINNING or not to_box:
            return None
        line = to_box[0]
        most = int(most_hours * line.pace)
        if most < 1:
            return None
        count = min(line.blocks, max(1, int(min(self._site.long_enough, most_hours) * line.pace)))
        to_box[:1] = [line.of(line.blocks - count)] if count < line.blocks else []
        key = (line.number, line.strain)
        self._site.in_boxing[key] = self._site.in_boxing.get(key, 0) + count
        return Round(min(ticks(count / line.pace), most_hours), line.asked, line.of(count))

    def done(self, round_: Round) -> None:
        """The blocks are boxed."""
        line, site = round_.load, self._site
        assert isinstance(line, ToBox)
        key = (line.number, line.strain)
        site.in_boxing[key] = site.in_boxing[key] - line.blocks
        site.boxed[key] = site.boxed.get(key, 0) + line.blocks


def day(site: Site) -> None:
    """Each midnight: see again what there is to be boxed."""
    for customer in site.farm.block_customer:
        boxes.ask(site, customer)
