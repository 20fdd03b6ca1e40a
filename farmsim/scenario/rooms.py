"""Where things stand: making blocks, racks, walk-ins, soak tanks, opening benches, fruiting rooms."""

from __future__ import annotations

from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.date_forms import MONTH_LIST
from farmsim.scenario.fields import PLACEHOLDER, figure, one, word_or_one
from farmsim.scenario.part import Part
from farmsim.scenario.values import Range

__all__ = [
    "USES",
    "CleanBench",
    "Incubation",
    "Inspect",
    "Mix",
    "Opening",
    "Range",
    "Room",
    "RoomEmptied",
    "Soak",
    "Sterilizer",
    "Uses",
    "WalkIn",
]

USES = ("cold shock", "ripe blocks", "fresh")
SHELF_BY_SHELF = "shelf by shelf"


class Mix(Part):
    """Mixing and bagging."""

    pace: float = figure("blocks/h", each="person", least=0.1, meaning="blocks one person mixes and bags in an hour")


class Sterilizer(Part):
    """Sterilizer or steamer, and the overnight cooling after it."""

    count: int = figure("", 1, form=forms.COUNT, least=1, meaning="how many sterilizers of this kind")
    load: float = figure("blocks", least=1, meaning="blocks one load takes")
    cycle: float = figure("h", least=0.1, most=96, meaning="from closing the door to taking the load out")
    cool: float = figure(
        "h", "12 h", most=96, meaning="cooling before the clean bench, overnight", source=f"{PLACEHOLDER}: overnight"
    )
    cooling_holds: float | None = figure(
        "blocks", None, least=1, meaning="blocks that can stand and cool; left out: room enough"
    )


class CleanBench(Part):
    """The clean bench where blocks are inoculated and sealed."""

    people: int = figure("", form=forms.COUNT, least=1, meaning="people that can work at it at once, one bench each")
    pace: float = figure(
        "blocks/h", each="person", least=0.1, meaning="blocks one person inoculates, seals and shakes in an hour"
    )


class Inspect(Part):
    """Looking through the racks for bad blocks."""

    days: tuple[str, ...] = figure(
        form=forms.DAY_LIST, meaning="days of the week on which the racks are looked through"
    )
    pace: float = figure("blocks/h", each="person", least=0.1, meaning="blocks one person looks over in an hour")


class Incubation(Part):
    """The racks where blocks colonise and ripen."""

    holds: float = figure("blocks", least=1, meaning="rack places, one block each")
    inspect: Inspect | None = one(Inspect, None, meaning="inspection; left out: bad blocks stay until due")


class Uses(Part):
    """What a walk-in is used for, and how many crate places each takes."""

    cold_shock: float | None = figure(
        "crates/block",
        None,
        least=1e-3,
        most=20,
        toml="cold shock",
        meaning="crate places a block takes during its cold shock",
    )
    ripe_blocks: float | None = figure(
        "crates/block",
        None,
        least=1e-3,
        most=20,
        toml="ripe blocks",
        meaning="crate places a ripe block takes while kept back",
    )
    fresh: float | None = figure(
        "crates/crate", None, least=1e-3, most=20, also=("crates",), meaning="crate places a crate of mushrooms takes"
    )


class WalkIn(Part):
    """A walk-in cold room, which may serve several uses at once."""

    holds: float = figure("crates", least=1, meaning="crate places")
    uses: Uses = one(Uses, meaning="what it is used for")
    chills: float | None = figure(
        "kg/h", None, least=0.01, meaning="fresh mushrooms it can pull down in an hour; left out: no limit"
    )
    half_cooling: float = figure(
        "h",
        "2 h",
        least=0.01,
        most=48,
        meaning="half cooling time of packed crates",
        source=f"{PLACEHOLDER}: air drawn through the crates; forced air 1-10 h, still air 20-100 h (Thompson et al. 1998)",
    )
    air: float = figure(
        "degC",
        "34 degF",
        least=-2,
        most=20,
        meaning="air temperature, for whoever checks the file: no run uses it, shelf lives are given for the cold",
        source="S: fresh mushrooms are kept at 0-4 degC",
    )


class Soak(Part):
    """Soaking after the cold shock."""

    how: Literal["tank", "in the bag"] = figure(
        default="tank", form=forms.WORD, choices=("tank", "in the bag"), meaning="in tanks, or with water in the bag"
    )
    tanks: int = figure("", 0, form=forms.COUNT, meaning="soak tanks")
    tank: float = figure("blocks", "0 blocks", meaning="blocks one tank takes")


class Opening(Part):
    """Benches where blocks are cut, stripped and flipped."""

    benches: int = figure("", form=forms.COUNT, least=1, meaning="opening benches, one person each")


class RoomEmptied(Part):
    """A room that is emptied as a whole to be cleaned."""

    how: Literal["room emptied"] = figure(
        default="room emptied", form=forms.WORD, choices=("room emptied",), meaning="the room is emptied"
    )
    every: float = figure("h", least=24, meaning="from one cleaning to the next")
    takes: float = figure("h", least=0.1, most=336, meaning="hours of work for one person to clean the empty room")


class Room(Part):
    """A fruiting room."""

    name: str = figure(form=forms.TEXT, meaning="its name")
    holds: float = figure("shelf places", least=1, meaning="shelf places, one block each")
    range: Range = figure("degC", form=forms.RANGE, least=None, meaning="temperatures it is kept within")
    rests: tuple[str, ...] = figure(default=(), form=MONTH_LIST, meaning="months in which it takes no new lots in")
    clean: Literal["shelf by shelf"] | RoomEmptied = word_or_one(
        RoomEmptied,
        SHELF_BY_SHELF,
        choices=(SHELF_BY_SHELF,),
        meaning="cleaned shelf by shelf as lots leave, or as a whole when empty",
    )
