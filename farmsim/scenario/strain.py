"""What a strain needs: its steps, its times, what it yields and how it is picked."""

from __future__ import annotations

from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.fields import COMMON, MEMORY, PLACEHOLDER, figure, many, one
from farmsim.scenario.pack_form import PACES
from farmsim.scenario.part import Part
from farmsim.scenario.values import Range
from farmsim.scenario.vary import Fixed, Triangular, Vary
from farmsim.scenario.vary_form import VARY

STEPS = ("colonise", "ripen", "cold shock", "soak", "open", "fruit")
Step = Literal["colonise", "ripen", "cold shock", "soak", "open", "fruit"]


class HoldsRipe(Part):
    """How long a ripe block keeps before it is overripe."""

    on_the_rack: float = figure("h", "14 d", meaning="holds on the rack once ripe", source=PLACEHOLDER)
    cold: float = figure(
        "h",
        "0 d",
        meaning="holds longer if kept in the cold store",
        source="S: closed blocks ready to fruit keep 1 week to 2 months in a cold store, by strain",
    )


class Overripe(Part):
    """What becomes of a block that has pinned in the bag."""

    loses: float = figure(
        "fraction/day", "3 % a day", most=1, meaning="yield lost for each day overripe", source=PLACEHOLDER
    )
    trim: float = figure(
        "h/block",
        "30 s a block",
        most=1,
        meaning="extra work at opening to trim early fruit",
        source=f"{MEMORY}: half a minute a block",
    )
    thrown_out_after: float = figure(
        "h", "14 d", meaning="thrown out so long after it ceased to hold", source=PLACEHOLDER
    )


class Contaminated(Part):
    """Blocks lost to mould before they fruit."""

    mean: float = figure(
        "fraction",
        "4 %",
        most=0.9,
        meaning="share of blocks lost, on average",
        source=f"{PLACEHOLDER}: 3-5 % at a few hundred blocks a week, one opinion",
    )
    clusters: Literal["by load", "none"] = figure(
        default="by load",
        form=forms.WORD,
        choices=("by load", "none"),
        meaning="whether bad blocks come together by load",
        source=f"{COMMON}: contamination comes in clusters by load",
    )
    cv: float = figure(
        default=1.0,
        most=5,
        meaning="spread of the share from load to load: standard deviation over mean",
        source=PLACEHOLDER,
    )
    shows: Vary = figure(
        "h",
        Triangular(168.0, 336.0, 672.0),
        form=VARY,
        meaning="from inoculation until a bad block can be seen",
        source=PLACEHOLDER,
    )


class ColdShock(Part):
    """A cold stay that starts the fruiting."""

    least: float = figure("h", "12 h", meaning="shortest stay", source="S: 12-24 h at cooler temperature")
    usual: float = figure("h", "24 h", meaning="stay when nothing presses", source="S: 12-24 h at cooler temperature")
    most: float = figure("h", "96 h", meaning="longest stay without loss", source=PLACEHOLDER)
    loses: float = figure(
        "fraction/day", "5 % a day", most=1, meaning="yield lost for each day past the most", source=PLACEHOLDER
    )


class SoakTimes(Part):
    """How long this strain soaks and how fast tanks are loaded."""

    least: float = figure("h", "10 h", meaning="shortest soak", source="S: overnight, about 12 h; suppliers 4-18 h")
    most: float = figure(
        "h", "18 h", meaning="longest soak without loss", source="S: overnight, about 12 h; suppliers 4-18 h"
    )
    load: float = figure(
        "blocks/h",
        "90 blocks/h",
        each="person",
        least=0.1,
        meaning="blocks one person puts under water in an hour",
        source=f"{MEMORY}: 0.5-1 min a block",
    )
    unload: float = figure(
        "blocks/h",
        "80 blocks/h",
        each="person",
        least=0.1,
        meaning="blocks one person takes out in an hour",
        source=f"{MEMORY}: 0.5-1 min a block",
    )
    loses: float = figure(
        "fraction/h", "2 % an hour", most=1, meaning="yield lost for each hour past the most", source=PLACEHOLDER
    )


class Open(Part):
    """How a block is opened."""

    cut: str = figure(default="none", form=forms.TEXT, meaning='cut style, such as "X", "slits", "top", or "none"')
    strip: bool = figure(default=False, form=forms.FLAG, meaning="whether the bag is taken off")
    flip: bool = figure(default=False, form=forms.FLAG, meaning="whether the block is turned over")
    pace: float = figure(
        "blocks/h",
        "70 blocks/h",
        each="person",
        least=0.1,
        meaning="blocks one person opens and shelves in an hour",
        source=f"{MEMORY}: open and cut 0.5-1 min a block",
    )
    strip_takes: float = figure(
        "h/block", "20 s a block", most=1, meaning="extra work to take the bag off, if stripped", source=PLACEHOLDER
    )
    flip_takes: float = figure(
        "h/block", "5 s a block", most=1, meaning="extra work to turn it over, if flipped", source=PLACEHOLDER
    )


class Yield(Part):
    """Saleable mushrooms from a block over all the flushes that are kept."""

    mean: float = figure(
        "kg/block",
        least=1e-3,
        words=("saleable", "all", "flushes"),
        meaning="saleable weight a block (firsts and seconds, picked in time), all kept flushes",
    )
    cv_lot: float = figure(
        default=0.20,
        most=2,
        meaning="spread from lot to lot: standard deviation over mean",
        source="P: 19-36 % in replicated trials (P8, P9)",
    )
    cv_block: float = figure(
        default=0.12,
        most=2,
        meaning="spread from block to block within a lot",
        source="P: seven treatments of five bags, pooled 12.5 %",
    )


class Flushes(Part):
    """How the yield is shared out over the flushes, and the rest between them."""

    share: tuple[float, ...] = figure(
        form=forms.SHARES, meaning="share of the yield by flush, first to last; as many as are kept"
    )
    rest: float = figure(
        "h", "7 d", meaning="rest from the last pick of a flush, before a re-soak if any", source=PLACEHOLDER
    )
    soak_again: bool = figure(default=False, form=forms.FLAG, meaning="whether blocks are soaked again between flushes")


class Grades(Part):
    """What a picking brings: firsts, seconds and culls."""

    firsts: float = figure("fraction", most=1, meaning="sold as firsts")
    seconds: float = figure("fraction", "0 %", most=1, meaning="sold as seconds")
    culls: float = figure("fraction", "0 %", most=1, meaning="thrown out at picking")

    def __str__(self) -> str:
        return "/".join(f"{100 * share:.0f}" for share in (self.firsts, self.seconds, self.culls)) + " %"


LATE = (
    Grades(firsts=0.92, seconds=0.06, culls=0.02),
    Grades(firsts=0.70, seconds=0.24, culls=0.06),
    Grades(firsts=0.30, seconds=0.50, culls=0.20),
    Grades(firsts=0.05, seconds=0.45, culls=0.50),
)


class Picking(Part):
    """How the strain is picked, and what waiting costs."""

    look: float = figure(
        "h/block",
        "5 s a block",
        most=0.5,
        meaning="time to look a block over, ripe or not",
        source=f"{MEMORY}: 3-8 s a block",
    )
    pace: float = figure("kg/h", each="person", least=0.01, meaning="weight one person picks in an hour")
    window: float = figure(
        "h",
        "1 d",
        most=240,
        meaning="picking window: from ripe until grade is lost",
        source=f"{MEMORY}: about 1-2 days",
    )
    gain: float = figure(
        "fraction/day",
        "15 % a day",
        most=2,
        meaning="weight gained for each morning left on the block",
        source=f"{PLACEHOLDER}: button mushrooms near the pick gain 100 % in 24 h",
    )
    late: tuple[Grades, ...] = many(
        Grades,
        LATE,
        meaning="grades by whole mornings past the window; the first row is in it, the last stands for all later",
        source=PLACEHOLDER,
        least=1,
    )

    @property
    def saleable(self) -> float:
        """Share of what is picked in time that is firsts or seconds [1]; all of it when nothing ever is."""
        return self.late[0].firsts + self.late[0].seconds or 1.0


class Strain(Part):
    """One strain the farm grows."""

    like: str | None = figure(
        default=None,
        form=forms.TEXT,
        meaning="a strain of the built-in strain sheet whose figures stand where none is given",
    )
    steps: tuple[Step, ...] = figure(form=forms.WORDS, choices=STEPS, meaning="what is done with a block, in order")
    block: float = figure(
        "kg", "5 lb", least=0.05, most=50, meaning="weight of a block", source="P: 5 and 10 lb are usual (P11)"
    )
    water: float = figure(
        "fraction", "62 %", least=0.2, most=0.9, meaning="water in the block", source="P: 60-63 % (P11)"
    )
    colonise: Vary = figure("h", Fixed(0.0), form=VARY, meaning="from inoculation until colonised")
    ripen: Vary = figure("h", Fixed(0.0), form=VARY, meaning="from colonised until ripe (shiitake: brown)")
    holds_ripe: HoldsRipe = one(HoldsRipe, HoldsRipe(), meaning="how long it keeps once ripe")
    overripe: Overripe = one(Overripe, Overripe(), meaning="what becomes of it after that")
    contaminated: Contaminated = one(Contaminated, Contaminated(), meaning="blocks lost to mould")
    cold_shock: ColdShock | None = one(ColdShock, None, meaning="its cold shock, if that is one of its steps")
    soak: SoakTimes | None = one(SoakTimes, None, meaning="its soak, if that is one of its steps")
    open: Open = one(Open, Open(), meaning="how it is opened")
    first_pick: Vary = figure("h", form=VARY, meaning="from shelving until the middle block of a lot is ripe")
    spread: float = figure(
        "h",
        "1 d",
        most=480,
        meaning="spread of ripening round the middle block of a lot (standard deviation)",
        source=PLACEHOLDER,
    )
    next_pick: Vary = figure(
        "h",
        Fixed(168.0),
        form=VARY,
        meaning="from the end of the rest or re-soak until the middle block of the lot is ripe again",
        source=f"{PLACEHOLDER}: flushes come 7-16 days apart",
    )
    yield_: Yield = one(Yield, toml="yield", meaning="what a block yields")
    flushes: Flushes = one(Flushes, meaning="its flushes")
    picking: Picking = one(Picking, meaning="how it is picked")
    pack: float = figure(
        "kg/h",
        "30 lb/h",
        each="person",
        least=0.01,
        meaning="weight one person packs in an hour",
        source=f"{MEMORY}: 15-25 kg/h bulk, 6-12 kg/h small packs",
    )
    pack_forms: dict[str, float] = figure(
        "kg/h",
        {},
        form=PACES,
        each="person",
        least=0.01,
        meaning="weight one person packs to order in an hour out of packed crates, by form",
    )
    crate: float = figure("kg", least=0.05, most=50, meaning="mushrooms in a full crate")
    shelf_life: float = figure("h", least=1, meaning="shelf life in the cooler, from picking")
    warm_costs: float = figure(
        default=3.0,
        most=100,
        meaning="hours of shelf life lost for each hour stood warm",
        source=f"{PLACEHOLDER}: respiration grows 2.8-fold for 10 degC, shelf life was not measured",
    )
    range: Range = figure("degC", form=forms.RANGE, least=None, meaning="room temperatures it fruits well in")
    clear: float = figure(
        "blocks/h",
        "90 blocks/h",
        each="person",
        least=0.1,
        meaning="spent blocks one person clears away in an hour",
        source=PLACEHOLDER,
    )
