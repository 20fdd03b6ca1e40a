"""One strain of the strain sheet as a page of its own: a table that can be copied into a farm's file.

The pages in `scenarios/strains/` are written from the sheet; the sheet is the one source of their figures.
"""

from __future__ import annotations

import re
from pathlib import Path

from farmsim.scenario.guess_lines import lines_of
from farmsim.scenario.lines import Table, placed
from farmsim.scenario.sheet import SHEET, SOURCES, with_sheets
from farmsim.scenario.strain import Strain
from farmsim.scenario.write_figure import Line, set_out, text

HEAD = """# {title}: what a farm's file means by  like = "{like}".
#
# Written by `farmsim schema --strain "{like}"` from the strain sheet, the one source of these figures; do not edit it by hand.
# Copy into your own file what you know better, without the mark "guess"; what you leave out stays as it is here.
#
# Behind each figure stands where it comes from: P published (sources below), S suppliers' instruction sheets, which are
# optimistic. Common practice, from memory and placeholder mean that nothing published stands behind it: measure those first.
"""


def slug(like: str) -> str:
    """A strain's name as a bare key and as the name of a file: lion's mane becomes lions-mane."""
    return re.sub(r"[^a-z0-9]+", "-", like.lower().replace("'", "")).strip("-")


def of_sheet(like: str) -> Strain:
    """A strain of the sheet of which a farm gives nothing itself."""
    source = f"[strain.a]\nlike = {text(like)}\n"
    filled = with_sheets(placed({"strain": {"a": {"like": like}}}, source, ""), [])["strain"]
    assert isinstance(filled, Table)
    strain = Strain.read(filled["a"], ("strain", like), [])
    assert strain is not None
    return strain


def page(like: str) -> str:
    """The page of one strain of the sheet, in TOML."""
    owner = ("strain", slug(like))
    lines = [Line("like", text(like)), *lines_of(of_sheet(like), owner, "us")]
    written = "\n".join([f"[strain.{owner[1]}]", *set_out(lines)])
    sources = "\n".join(f"#   {source}" for source in sources_named(written))
    head = HEAD.format(title=like.upper(), like=like)
    return f"{head}{sources}\n\n{written}\n" if sources else f"{head}\n{written}\n"


def sources_named(written: str) -> list[str]:
    """The published sources that a text names by their letters, one a line."""
    return [f"{name}  {source}" for name, source in SOURCES.items() if re.search(rf"\b{name}\b", written)]


def library(folder: Path) -> dict[Path, str]:
    """Every page of the library and where in a folder it belongs."""
    return {folder / f"{slug(like)}.toml": page(like) for like in SHEET}
