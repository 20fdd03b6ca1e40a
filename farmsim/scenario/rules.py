"""House rules: decisions the farm makes every day."""

from __future__ import annotations

from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.fields import PLACEHOLDER, figure
from farmsim.scenario.part import Part

RIPE_BLOCKS = ("promised blocks first", "own rooms first")
CALL_IN = ("when a shelf is free", "when a shelf is promised", "push")
CLEAR_OUT = ("after the last flush", "when a fresh lot waits and the next flush is small")
CLEAN_BENCH = ("whoever is free", "nobody from a fruiting room")
PICK_FIRST = ("ripest", "dearest")
SERVED_FIRST = ("file order", "largest first")


class Rules(Part):
    """Who goes first."""

    ripe_blocks: Literal["promised blocks first", "own rooms first"] = figure(
        default=RIPE_BLOCKS[0],
        form=forms.WORD,
        choices=RIPE_BLOCKS,
        meaning="who gets a ripe lot: block orders or our own rooms",
    )
    call_in: Literal["when a shelf is free", "when a shelf is promised", "push"] = figure(
        default=CALL_IN[0], form=forms.WORD, choices=CALL_IN, meaning="when a ripe lot is called in"
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
    served_first: Literal["file order", "largest first"] = figure(
        default=SERVED_FIRST[0], form=forms.WORD, choices=SERVED_FIRST, meaning="which customer is served first"
    )
