"""What may go wrong read back: which blows the lender's pack looks at."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario.farm import Farm
from farmsim.scenario.stress import BLOWS, looked_at, told


def stress_sentences(farm: Farm) -> Iterator[str]:
    """The blows that are looked at, where the file says something of them."""
    if "stress" not in farm.given:
        return
    rows = [*((blow,) for blow in BLOWS), *farm.stress.together]
    found = [told(farm.stress, row) for row in rows if looked_at(farm.stress, row)]
    each = "; ".join(f"{text[:1].lower()}{text[1:]}" for text in found)
    yield f"What may go wrong is looked at in the lender's pack: {each or 'nothing'}."
