"""A document of parts as a page in HTML: well formed, in need of nothing else, telling all of its parts."""

from dataclasses import replace

import matplotlib
import pytest
from matplotlib.figure import Figure
from test_page import Read

from farmsim.report import as_html, printed_page
from farmsim.report.document import (
    Contents,
    Document,
    Heading,
    Landscape,
    Listed,
    NewPage,
    OnePage,
    Pairs,
    Part,
    Picture,
    Sheet,
    Side,
    Words,
    drawn,
    leaves,
    spelt,
)
from farmsim.report.figures.paper import STYLE, sheet, title
from farmsim.report.html import Column, Table

DRAFT = "DRAFT: 2 figures are not yet ours"
FOOT = "Four rooms, a computed plan"
BAD = 'a "<b>" & c'
MONTHS = tuple(f"Month {number}" for number in range(1, 13))
USES = Table(
    "Uses of money",
    (Column("What it pays for"), Column("Amount", "USD")),
    (("Room shell", "96,000"), ("Shelving", "31,000"), ("All of it", "127,000")),
    summed=True,
)
SOURCES = Table("Sources of money", USES.columns, (("This loan", "127,000"),), note="The owner brings nothing")
YEARS = Table(
    "The first years", (Column("Line"), Column("Year 1", "USD", "while it is built")), (("All sales", "708,000"),)
)
WIDE = Table(
    "Cash by month",
    (Column("Line"), *(Column(month, "USD") for month in MONTHS)),
    (("Wages and energy", *(f"1,{number}23,456" for number in range(12))),),
)
LONG = Table(
    "Every figure",
    (Column("Name of the figure"), Column("Now", "h"), Column("Where from")),
    tuple((f"figure number {number}", f"{number}", "own records") for number in range(1, 91)),
    note="Marked where nothing stands behind it",
)


def curve() -> Figure:
    with matplotlib.rc_context(STYLE):
        figure = sheet(6.0, 3.0)
        title(figure, "Cash at its lowest")
        figure.add_axes((0.1, 0.2, 0.8, 0.6)).fill_between([1, 2, 3], [3, 1, 2], hatch="//")
    return figure


PARTS: tuple[Part, ...] = (
    Words("We ask for 127,000.", "strong"),
    Side(USES, SOURCES),
    Pairs((("WHY", "The rooms limit us."), ("WHAT THE LENDER HOLDS AS A SECURITY FOR THE LOAN", "Shelving."))),
    OnePage((Sheet(YEARS), Words("Lowest in July.", "small"))),
    Contents(),
    NewPage(),
    Heading("The request", "request"),
    Words("It is built in spring."),
    Listed(("it is built first", "it is filled next"), is_numbered=True),
    Listed(("signed orders", "hoped for")),
    Heading("How cash goes", "cash-goes", 2),
    Picture("cash", curve, "Cash", "A line by month, from 3 down to 1", "It is lowest in month 2."),
    Heading("By the month", "by-month"),
    Words("All twelve of them."),
    Sheet(WIDE, is_wide=True),
    Heading("What it rests on", "rests"),
    Sheet(LONG),
)
DOCUMENT = Document("A fifth fruiting room", "Prepared for a bank", FOOT, DRAFT, PARTS)
SAID = (
    *("We ask for 127,000.", "Uses of money", "What it pays for", "96,000", "All of it", "Sources of money", "This loan"),
    *("The owner brings nothing.", "WHY", "The rooms limit us.", "WHAT THE LENDER HOLDS AS A SECURITY FOR THE LOAN"),
    *("Shelving.", "The first years", "Year 1", "708,000", "Year 1: while it is built.", "Lowest in July.", "The request"),
    *("It is built in spring.", "it is built first", "it is filled next", "signed orders", "hoped for", "How cash goes"),
    *("Cash. It is lowest in month 2.", "By the month", "All twelve of them.", "Cash by month", "Month 12"),
    *("1,1123,456", "What it rests on", "Every figure", "figure number 90", "Marked where nothing stands behind it."),
    *("A fifth fruiting room", "Prepared for a bank"),
)  # fmt: skip


@pytest.fixture(scope="module")
def page() -> str:
    return as_html.page(DOCUMENT, drawn(DOCUMENT))


@pytest.fixture(scope="module")
def read(page: str) -> Read:
    return Read(page)


class Heard(Read):
    """A page with every word of it in one text, tables too."""

    def handle_data(self, data: str) -> None:
        super().handle_data(data)
        self.heard = getattr(self, "heard", "") + data


def test_every_part_is_told(page: str) -> None:
    heard = " ".join(Heard(page).heard.split())
    assert [said for said in (*SAID, DRAFT, FOOT) if said not in heard] == []


def test_it_has_a_title_and_a_language_and_needs_nothing_else(page: str, read: Read) -> None:
    assert page.startswith('<!DOCTYPE html>\n<html lang="en-US"><head><meta charset="utf-8">')
    assert "<title>A fifth fruiting room</title>" in page
    assert [one["content"] for one in read.of("meta") if "content" in one] == ["width=device-width, initial-scale=1"]
    links = [value for _, told in read.elements for key, value in told.items() if key in ("href", "src", "action")]
    assert links and all(str(link).startswith(("#", "data:image/svg+xml;base64,")) for link in links)
    assert not {"script", "link", "iframe"} & {name for name, _ in read.elements}
    assert "url(" not in page and "@import" not in page


def test_pictures_have_words_instead(read: Read) -> None:
    assert [one["alt"] for one in read.of("img")] == ["A line by month, from 3 down to 1"]


def test_heads_of_tables_say_what_they_head(read: Read) -> None:
    assert {one["scope"] for one in read.of("th")} == {"col", "row"}
    assert set(read.tables) == {one.caption for one in (USES, SOURCES, YEARS, WIDE, LONG)}
    assert read.tables["Uses of money"][-1] == ["All of it", "127,000"]


def test_headings_go_down_step_by_step(read: Read) -> None:
    assert [name for name, _ in read.elements if name in ("h1", "h2", "h3", "h4")] == ["h1", "h2", "h3", "h2", "h2"]


def test_chapters_are_listed_where_that_is_asked_for_and_else_at_the_top(page: str, read: Read) -> None:
    assert [one["href"] for one in read.of("a")] == ["#request", "#by-month", "#rests"]
    assert {"request", "by-month", "rests", "cash-goes"} == {
        str(told["id"]) for _, told in read.elements if "id" in told
    }
    assert page.index("Lowest in July.") < page.index("<nav") < page.index("<h2") and page.count("<nav") == 1
    without = as_html.page(
        replace(DOCUMENT, parts=tuple(part for part in PARTS if part != Contents())), drawn(DOCUMENT)
    )
    assert without.index("</header>") < without.index("<nav") < without.index("We ask for")


def test_one_chapter_alone_is_not_listed() -> None:
    assert "<nav" not in as_html.page(replace(DOCUMENT, parts=(Heading("Alone", "alone"),)), {})


def test_a_draft_says_so_at_the_top_and_across_printed_pages(page: str) -> None:
    assert page.index(f'<p class="draft">{DRAFT}</p>') < page.index("<h1")
    assert '<div class="across" aria-hidden="true">DRAFT</div>' in page
    done = as_html.page(replace(DOCUMENT, draft=""), drawn(DOCUMENT))
    assert "DRAFT" not in done and 'class="across"' not in done and 'class="draft"' not in done


def test_the_same_document_gives_the_same_page(page: str) -> None:
    assert as_html.page(DOCUMENT, drawn(DOCUMENT)) == page


def test_every_text_is_escaped() -> None:
    table = Table(BAD, (Column(BAD, BAD, BAD),), ((BAD,),), note=BAD)
    parts = (Heading(BAD, "a"), Words(BAD), Pairs(((BAD, BAD),)), Listed((BAD,)), Sheet(table), Side(table, table))
    shown = as_html.page(Document(BAD, BAD, BAD, BAD, (*parts, Picture("x", curve, BAD, BAD, BAD))), {"x": "<svg/>"})
    assert "<b>" not in shown and BAD not in shown
    assert shown.count('"&lt;b&gt;" &amp; c') == 6 + 5 + 3 * 7 + 2  # page, parts, three tables, picture
    Read(shown)


def test_what_says_nothing_leaves_no_trace() -> None:
    empty = Table("empty", (Column("a"),), ())
    bare = Document("Title", "", "", "", (Pairs(()), Listed(()), Sheet(empty), Sheet(empty, is_wide=True)))
    shown = as_html.page(bare, {})
    assert shown.endswith("<body><main><header><h1>Title</h1></header></main></body></html>\n")


def test_a_text_is_put_on_one_line_and_keeps_spaces_that_hold() -> None:
    parts: tuple[Part, ...] = (Listed(("a\n b\x07\tc", "8.25\u00a0%")), Sheet(replace(USES, caption="a\u200b\nb")))
    told = spelt(replace(DOCUMENT, parts=parts), str.upper)
    assert told.parts[0] == Listed(("A B C", "8.25\u00a0%"))
    assert isinstance(told.parts[1], Sheet) and told.parts[1].table.caption == "A B"
    assert told.title == "A FIFTH FRUITING ROOM"


def test_a_wide_table_takes_its_heading_along() -> None:
    wide, first, second, said = Sheet(WIDE, is_wide=True), Heading("A", "a"), Heading("B", "b", 2), Words("said")
    assert list(leaves((said, first, second, said, wide))) == [said, Landscape((first, second, said, wide))]
    assert list(leaves((Listed(("a",)), said, wide))) == [Listed(("a",)), said, Landscape((wide,))]


def test_wide_tables_of_one_chapter_share_a_page() -> None:
    wide, first, second, said = Sheet(WIDE, is_wide=True), Heading("A", "a"), Heading("B", "b", 2), Words("said")
    assert list(leaves((first, wide, said, second, said, wide, wide, said))) == [
        Landscape((first, wide, said, second, said, wide, wide)), said,
    ]  # fmt: skip
    for between in (first, NewPage(), Sheet(YEARS), Listed(("a",))):
        told = list(leaves((wide, said, between, wide)))
        assert [type(each) for each in told].count(Landscape) == 2, between
    assert list(leaves((wide, NewPage(), wide))) == [Landscape((wide, wide))]


def test_beside_a_page_on_its_side_no_other_page_is_begun() -> None:
    wide, heading = Sheet(WIDE, is_wide=True), Heading("A", "a")
    assert list(leaves((heading, NewPage(), wide, NewPage(), heading))) == [heading, Landscape((wide,)), heading]
    assert list(leaves((NewPage(), heading, wide))) == [Landscape((heading, wide))]
    assert list(leaves((heading, NewPage(), heading))) == [heading, NewPage(), heading]
    assert list(leaves((wide, heading, NewPage()))) == [Landscape((wide,)), heading, NewPage()]


def test_a_wide_table_stands_with_its_heading_on_the_page(page: str) -> None:
    at = page.index('<div class="landscape">')
    assert page[at:].startswith('<div class="landscape"><h2 id="by-month">By the month</h2>')


def test_days_are_written_in_one_way_and_stay_on_one_line() -> None:
    told = spelt(
        Document("T", "of 2026-11-20", "", "", (Words("May 2027 and 14 Dec 2026; runs/2026-11-20/a, 2026-13-01"),))
    )
    assert told.under == "of 20\u00a0Nov\u00a02026"
    assert told.parts == (Words("May\u00a02027 and 14\u00a0Dec\u00a02026; runs/2026-11-20/a, 2026-13-01"),)


def test_a_long_list_is_in_small_letters_its_columns_as_wide_as_most_cells_ask(read: Read) -> None:
    rows = (*(("a figure", "2 h", "what it is, in some words") for _ in range(11)), ("a figure", "h " * 200, "x"))
    table = Table("All", (Column("figure"), Column("value"), Column("what it is")), rows)
    found = Read(as_html.page(Document("Title", "", "", "", (Sheet(table, is_dense=True),)), {}))
    assert [one["style"] for one in found.of("col")] == ["width: 21%", "width: 13%", "width: 66%"]
    assert [one.get("class") for one in found.of("table")] == ["short dense"]
    assert not list(read.of("col")) and "dense" not in {str(one.get("class")) for one in read.of("table")}


def share(*parts: Part) -> float:
    return printed_page.part(DOCUMENT, OnePage(parts))


def test_what_is_seen_at_one_glance_is_printed_the_smaller_the_more_it_is(page: str) -> None:
    assert '<div class="one-page" style="--part: 1">' in page
    few, more, most = (share(Sheet(replace(LONG, rows=LONG.rows[:many]))) for many in (20, 60, 80))
    assert few == 1.0 > more > most > printed_page.LEAST
    assert share(Words("word " * 60_000)) == printed_page.LEAST
    beside = share(Side(replace(LONG, rows=LONG.rows[:70]), LONG))
    assert share(Sheet(LONG)) == beside < share(Side(replace(LONG, rows=LONG.rows[:70]), USES))
    told = replace(DOCUMENT, title="A long title " * 20)
    assert printed_page.part(told, OnePage((Sheet(LONG),))) < share(Sheet(LONG))
    assert share(Pairs((("WHY", "word " * 1_200),))) < 1.0


def test_a_browser_prints_it_at_that_share(page: str) -> None:
    assert "zoom: var(--part, 1)" in page


def test_no_line_breaks_before_a_percent_sign() -> None:
    told = spelt(Document("Up 5 % at most", "", "", "", (Words("From 10 % to 20 % a year, in %"),)))
    assert told.title == "Up 5\u00a0% at most"
    assert told.parts == (Words("From 10\u00a0% to 20\u00a0% a year, in %"),)
