"""Other starts as a change set on a farm's file: what is started, and on which days, where that differs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from farmsim import units
from farmsim.scenario.farm import Farm
from farmsim.scenario.sales import Start
from farmsim.scenario.write_figure import Line, days, set_out, text


def written(base: Farm, changed: Farm, based_on: str, name: str) -> str | None:
    """The change set as TOML; None when nothing differs, for a change set that changes nothing is refused.

    based_on: the base's file, as it is to be found from where the change set lies
    name: its name
    """
    pairs = list(zip(base.start, changed.start, strict=True))
    tables = [table for before, after in pairs if (table := list(_of_line(before, after)))]
    if not tables:
        return None
    head = set_out([Line("based_on", text(based_on)), Line("name", text(name))])
    first = "# What to start each week, and on which days; all else stays as it is."
    return "\n".join([first, *head, *chain.from_iterable(tables)]) + "\n"


def _of_line(before: Start, after: Start) -> Iterator[str]:
    lines = []
    if after.blocks != before.blocks:
        blocks = text(f"{after.blocks:.0f} blocks a week")
        lines.append(Line("blocks", blocks, f"was {units.number(before.blocks)}"))
    if after.days != before.days:
        lines.append(Line("days", days(after.days), f"was {', '.join(before.days)}"))
    if lines:
        yield ""
        yield f"[change.start.{text(before.name)}]"
        yield from set_out(lines)
