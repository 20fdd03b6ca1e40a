"""House rules: decisions the farm makes every day."""

from __future__ import annotations

from typing import Literal

from farmsim.scenario import forms
from farmsim.scenario.fields import figure
from farmsim.scenario.part import Part

RIPE_BLOCKS = ("promised blocks first", "own rooms first")
CALL_IN = ("when a shelf is free", "when a shelf is promised", "push")
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
    pick_first: Literal["ripest", "dearest"] = figure(
        default=PICK_FIRST[0],
        form=forms.WORD,
        choices=PICK_FIRST,
        meaning="which lot is picked first: the ripest, or the dearest strain (the order of strains in the file)",
    )
    served_first: Literal["file order", "largest first"] = figure(
        default=SERVED_FIRST[0], form=forms.WORD, choices=SERVED_FIRST, meaning="which customer is served first"
    )
