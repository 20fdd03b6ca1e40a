"""What of an order line goes along, and why the rest does not."""

from __future__ import annotations

from typing import NamedTuple

from farmsim.record.columns import WHY_SHORT

NOT_PACKED, NO_ROOM, NOT_GONE = range(len(WHY_SHORT))


class Line(NamedTuple):
    """What goes, and what is short for each reason but that it was not there, in the order of `WHY_SHORT` [kg]."""

    goes: float
    why: tuple[float, float, float] = (0.0, 0.0, 0.0)


def line(promised: float, ready: float, unpacked: float, room: float, round_goes: bool) -> Line:
    """Judge an order line.

    promised: what was promised [kg]
    ready: what stands ready for it [kg]
    unpacked: what stands there, but not in the form the customer wants [kg]
    room: what the van still has room for [kg]
    round_goes: false when its round does not go: all of it is then short for that reason, there or not
    """
    if not round_goes:
        return Line(0.0, (0.0, 0.0, promised))
    ready = min(promised, ready)
    goes = min(ready, room)
    return Line(goes, (min(promised - ready, unpacked), ready - goes, 0.0))
