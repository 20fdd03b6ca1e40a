"""The strain library in `scenarios/strains/` says what the strain sheet says, figure by figure, with every source."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from farmsim.scenario.answers import Asked
from farmsim.scenario.assumed import Assumed, assumed
from farmsim.scenario.farm import Farm
from farmsim.scenario.new_farm import new_farm
from farmsim.scenario.sheet import SHEET
from farmsim.scenario.strain_page import library, slug

from .farms import SHIPPED, written

STRAINS = SHIPPED / "strains"


def figures(farm: Farm, name: str) -> dict[tuple[str, ...], Assumed]:
    """Every figure of a strain but its name in the library."""
    found = {each.path[2:]: each for each in assumed(farm) if each.path[:2] == ("strain", name)}
    return {path: each for path, each in found.items() if path != ("like",)}


def test_every_strain_of_the_sheet_has_its_page_and_no_other_is_there() -> None:
    """When a page is behind: `farmsim schema --strain NAME` prints what belongs in it."""
    wanted = library(STRAINS)
    assert {path: path.read_text(encoding="utf-8") for path in STRAINS.glob("*")} == wanted
    assert len(wanted) == len(SHEET)


@pytest.mark.parametrize("like", SHEET)
def test_a_page_copied_into_a_farm_says_the_same_as_its_name(tmp_path: Path, like: str) -> None:
    asked = Asked(datetime.date(2026, 7, 1))
    for question in asked.questions():
        asked.answer(question, like if question.key == "strains" else "")
    text, heading = new_farm(asked.whole()).text, f"[strain.{slug(like)}]"
    head, tail = text[: text.index(heading)], text[text.index("# --- what is started") :]
    page = (STRAINS / f"{slug(like)}.toml").read_text(encoding="utf-8")
    copied = figures(written(tmp_path, f"{head}{page}\n{tail}"), slug(like))
    named = figures(written(tmp_path, f'{head}{heading}\nlike = "{like}"\n\n{tail}'), slug(like))
    assert {path: each.value for path, each in copied.items()} == {path: each.value for path, each in named.items()}
    for path, each in copied.items():
        assert each.source.split("; here ")[0] == named[path].source


@pytest.mark.parametrize("like", SHEET)
def test_every_figure_of_the_sheet_stands_on_its_page_with_its_source(like: str) -> None:
    lines = (STRAINS / f"{slug(like)}.toml").read_text(encoding="utf-8").splitlines()
    for key, sheet in SHEET[like].items():
        (line,) = [line for line in lines if line.split(" ")[0] == key]
        assert f"# guess: {sheet.source}" in line


@pytest.mark.parametrize(
    ("like", "key"), [("lion's mane", "lions-mane"), ("blue oyster", "blue-oyster"), ("  Café No. 2", "caf-no-2")]
)
def test_keys_of_strains_are_bare(like: str, key: str) -> None:
    assert slug(like) == key
