"""What may go wrong read back: which blows the lender's pack looks at."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario.farm import Farm
from farmsim.scenario.stress import BLOWS, looked_at, told


def stress_sentences(farm: Farm) -> Iterator[str]:
    """The blows that are looked at, where the file says something of them or money is asked for."""
    if "stress" not in farm.given and farm.request is None:
        return
    usual = "" if farm.stress.given else " (usual blows; write [stress] for what your lender asks)"
    rows = [*((blow,) for blow in BLOWS), *farm.stress.together]
    found = [told(farm.stress, row) for row in rows if looked_at(farm.stress, row)]
    each = "; ".join(f"{text[:1].lower()}{text[1:]}" for text in found)
    yield f"What may go wrong is looked at in the lender's pack{usual}: {each or 'nothing'}."
