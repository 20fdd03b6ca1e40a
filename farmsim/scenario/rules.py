"""House rules: decisions the farm makes every day."""

from __future__ import annotations

from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.fields import PLACEHOLDER, figure
from farmsim.scenario.part import Part

RIPE_BLOCKS = ("promised blocks first", "own rooms first")
SOLD_FIRST = ("ripest first", "freshest first")
SURPLUS = ("hold cold", "wait on the rack", "fruit", "sell cheap")
CALL_IN = ("when a shelf is free", "when a shelf is promised", "on moving days", "push")
ON_MOVING_DAYS = CALL_IN[2]
CLEAR_OUT = ("after the last flush", "when a fresh lot waits and the next flush is small")
CLEAN_BENCH = ("whoever is free", "nobody from a fruiting room")
PICK_FIRST = ("ripest", "dearest")
SERVED_FIRST = ("file order", "largest first", "firmest first")
KEEP_BACK = ("nothing", "what is known to be ordered")


class Rules(Part):
    """Who goes first."""

    ripe_blocks: Literal["promised blocks first", "own rooms first"] = figure(
        default=RIPE_BLOCKS[0],
        form=forms.WORD,
        choices=RIPE_BLOCKS,
        meaning="who gets a ripe lot: block orders or our own rooms",
    )
    sold_first: Literal["ripest first", "freshest first"] = figure(
        default=SOLD_FIRST[0],
        form=forms.WORD,
        choices=SOLD_FIRST,
        meaning="which ripe blocks go to block orders first; those not called to a room go before the others",
    )
    surplus_blocks: Literal["hold cold", "wait on the rack", "fruit", "sell cheap"] = figure(
        default=SURPLUS[0],
        form=forms.WORD,
        choices=SURPLUS,
        meaning="what is done with ripe blocks near the end of their time on the rack: held cold, if the strain may be and "
        "there is room; left on the rack; let go to our own rooms though they are promised; or those that nobody is "
        "promised sold to an outlet for blocks. Held cold as well under the last two",
    )
    surplus_left: float = figure(
        "h",
        "2 d",
        most=2160,
        meaning="ripe blocks with at most so much of their time left are surplus, where they are fruited or sold cheap",
        source=PLACEHOLDER,
    )
    call_in: Literal["when a shelf is free", "when a shelf is promised", "on moving days", "push"] = figure(
        default=CALL_IN[0],
        form=forms.WORD,
        choices=CALL_IN,
        meaning="when a ripe lot is called in, into the cold or to be opened; on moving days: when a shelf is free, on "
        "these days only",
    )
    moving_days: tuple[str, ...] = figure(
        default=("mon", "thu"),
        form=forms.DAY_LIST,
        meaning="days of the week on which lots are called in, where that is done on moving days",
        source=PLACEHOLDER,
    )
    clear_out: Literal["after the last flush", "when a fresh lot waits and the next flush is small"] = figure(
        default=CLEAR_OUT[0],
        form=forms.WORD,
        choices=CLEAR_OUT,
        meaning="when a lot is cleared away: after its last flush, or sooner, to make way for a lot that waits for its room",
    )
    small_flush: float = figure(
        "fraction",
        "20 %",
        most=1,
        meaning="a flush that brings less of a block's yield than this is small, where small flushes make way",
        source=PLACEHOLDER,
    )
    clean_bench: Literal["whoever is free", "nobody from a fruiting room"] = figure(
        default=CLEAN_BENCH[0],
        form=forms.WORD,
        choices=CLEAN_BENCH,
        meaning="who inoculates: whoever is free, or nobody who has picked, cleared or cleaned in a room on the same day",
    )
    pick_first: Literal["ripest", "dearest"] = figure(
        default=PICK_FIRST[0],
        form=forms.WORD,
        choices=PICK_FIRST,
        meaning="which lot is picked first: the ripest, or the dearest strain by price (without prices: the first listed)",
    )
    served_first: Literal["file order", "largest first", "firmest first"] = figure(
        default=SERVED_FIRST[0], form=forms.WORD, choices=SERVED_FIRST, meaning="which customer is served first"
    )
    keep_back: Literal["nothing", "what is known to be ordered"] = figure(
        default=KEEP_BACK[0],
        form=forms.WORD,
        choices=KEEP_BACK,
        meaning="what is kept back from a delivery: nothing, or what is known to be ordered for later by customers who "
        "go short after it",
    )
