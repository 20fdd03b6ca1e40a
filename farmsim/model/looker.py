"""Who looks over a group of lots on the racks: one person's part of an inspection."""

from __future__ import annotations

from typing import Final, final

from farmsim.model import blocks
from farmsim.model.lot import Lot, Traveller
from farmsim.model.site import Site

INSPECTION: Final = "inspection/"


@final
class Looker(Traveller):
    """One person's part of an inspection: a group of lots, named after the first; what shows in them is thrown out."""

    __slots__ = ("_site", "group")

    def __init__(self, site: Site, first: str, asked: float, group: list[Lot]) -> None:
        super().__init__(INSPECTION + first, asked)
        self.rank = 3
        self._site = site
        self.group = group

    def ask(self, hours: float) -> None:
        """Ask one person to look them over."""
        self._site.inspections.append(self)
        self._site.people.do(self, "inspect", hours).follower = self

    def follow(self) -> None:
        """They have been looked over."""
        site, now = self._site, self._site.desk.now
        site.inspections.remove(self)
        for lot in self.group:
            if lot.bad and not lot.gone and "rack" in lot.stays:
                bad = blocks.bad_by(lot, now)
                if bad:
                    blocks.lose(site, lot, "contaminated", bad)
