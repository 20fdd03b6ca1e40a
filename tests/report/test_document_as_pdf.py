"""A document of parts as a PDF: told whole, tagged for who cannot see it, a draft on every page, the same bytes each time."""

import itertools
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader
from test_document import DOCUMENT, DRAFT, FOOT, LONG, PARTS, SAID, curve

from farmsim.report.as_pdf import NoPdf, made
from farmsim.report.as_typst import PAPERS, escaped, markup
from farmsim.report.document import Document, Heading, Listed, Pairs, Part, Picture, Sheet, Side, Words, drawn
from farmsim.report.html import Column, Table

SIGNS = (
    *"#$*_`@<>\\[](){}=-+/~\"'^&%!?;:,.|",
    *("= no heading", "== none", "- no list", "+ no list", "1. no list", "/ no: term", "//no comment", "a // b", "/* a */"),
    *("*a* _b_ $c$ `d`", "@key <label>", "#let x = 1", "a~b", "a---b--c...", "\\u{41}", "\\", 'a"b\\"', "$5 #1"),
    *("https://www.w3.org/a#b", "```raw```", "\\\\", "[a](b)", "{1+1}", "'a' \"b\"", "é ő ≥ − × → “q”", "\\n", '")', "a\\"),
)  # fmt: skip


def document(*parts: Part, draft: str = "") -> Document:
    return Document("Title", "", "", draft, parts)


def read(made_of: Document, system: str = "us") -> PdfReader:
    return PdfReader(BytesIO(made(made_of, drawn(made_of), system)))


def pages(pdf: PdfReader) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in pdf.pages]


def tags(at: Any) -> Iterator[dict[str, Any]]:
    """Every element of the tree of tags, from outside inwards."""
    at = at.get_object() if hasattr(at, "get_object") else at
    for one in at if isinstance(at, list) else [at]:
        if one is not at:
            yield from tags(one)
        elif isinstance(one, dict):
            if "/S" in one:
                yield one
            yield from tags(one.get("/K", []))


@pytest.fixture(scope="module")
def whole() -> bytes:
    return made(DOCUMENT, drawn(DOCUMENT), "us")


@pytest.fixture(scope="module")
def pdf(whole: bytes) -> PdfReader:
    return PdfReader(BytesIO(whole))


@pytest.fixture(scope="module")
def tree(pdf: PdfReader) -> list[dict[str, Any]]:
    return list(tags(pdf.trailer["/Root"]["/StructTreeRoot"]))


def test_every_part_stands_on_a_page(pdf: PdfReader) -> None:
    text = " ".join(pages(pdf))
    assert [said for said in SAID if said not in text] == []


def test_it_is_tagged_and_names_its_title_and_language(pdf: PdfReader) -> None:
    root = pdf.trailer["/Root"]
    assert bool(root["/MarkInfo"]["/Marked"]) and root["/Lang"] == "en-US"
    assert pdf.metadata is not None and pdf.metadata.title == "A fifth fruiting room"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()


def test_it_holds_neither_date_nor_author(pdf: PdfReader) -> None:
    assert set(pdf.metadata or {}) == {"/Title", "/Creator"}
    assert not re.search(rb"Date>|creator>", pdf.trailer["/Root"]["/Metadata"].get_data())


def test_tags_say_what_each_part_is(tree: list[dict[str, Any]]) -> None:
    kinds = [one["/S"] for one in tree]
    count = {
        kind: kinds.count(f"/{kind}") for kind in ("Title", "H1", "H2", "Table", "THead", "TOC", "TOCI", "L", "LI")
    }
    assert count == {"Title": 1, "H1": 3, "H2": 1, "Table": 5, "THead": 5, "TOC": 1, "TOCI": 3, "L": 3, "LI": 6}
    assert kinds.count("/TH") == 2 + 2 + 2 + 13 + 3
    assert kinds.count("/TD") == 6 + 2 + 2 + 13 + 3 * 90


def test_heads_of_columns_say_so(tree: list[dict[str, Any]]) -> None:
    told = [[each["/Scope"] for each in one["/A"] if each["/O"] == "/Table"] for one in tree if one["/S"] == "/TH"]
    assert told == [["/Column"]] * 22


def test_a_picture_has_words_instead_within_the_tags(tree: list[dict[str, Any]]) -> None:
    assert [one["/Alt"] for one in tree if one["/S"] == "/Figure"] == ["A line by month, from 3 down to 1"]


def test_chapters_and_sections_can_be_jumped_to(pdf: PdfReader) -> None:
    first, below, *rest = pdf.outline
    assert isinstance(below, list) and [str(one.title) for one in below] == ["How cash goes"]
    assert [str(one.title) for one in (first, *rest)] == ["The request", "By the month", "What it rests on"]  # type: ignore[union-attr]


def test_the_foot_and_the_number_stand_on_every_page(pdf: PdfReader) -> None:
    told = pages(pdf)
    assert len(told) > 4
    assert [page.endswith(f"{FOOT} {number} of {len(told)}") for number, page in enumerate(told, 1)] == [True] * len(
        told
    )


def test_a_draft_says_so_across_and_at_the_head_of_every_page(pdf: PdfReader) -> None:
    for page in pages(pdf):
        assert page.startswith("DRAFT ") and page.count("DRAFT") == 2 and page.count(DRAFT) == 1


def test_title_and_foot_take_one_line_and_are_shortened_where_there_is_less_room() -> None:
    long = "A fifth fruiting room with its racks, its cooling, its shelves and one soak tank more " * 3
    told = pages(read(replace(DOCUMENT, title=long, foot=f"{long}. {long}")))
    for page in told[1:]:
        assert re.match(rf"DRAFT (A fifth [^…]+)… {re.escape(DRAFT)}", page), page[:200]
        assert re.search(rf"A fifth [^…]+… \d of {len(told)}$", page), page[-200:]
    assert "…" not in " ".join(pages(read(DOCUMENT)))


def test_what_is_no_draft_does_not_say_so() -> None:
    assert [page for page in pages(read(replace(DOCUMENT, draft=""))) if "DRAFT" in page] == []


def test_the_same_document_gives_the_same_bytes(whole: bytes) -> None:
    assert made(DOCUMENT, drawn(DOCUMENT), "us") == whole


@pytest.mark.parametrize(("system", "size"), [("us", (612, 792)), ("metric", (595, 842))])
def test_paper_goes_by_the_units(system: str, size: tuple[int, int]) -> None:
    (page,) = read(document(Words("a")), system).pages
    assert (round(page.mediabox.width), round(page.mediabox.height)) == size
    assert set(PAPERS) == {"us", "metric"}


def test_a_wide_table_lies_on_its_side_with_its_heading(pdf: PdfReader) -> None:
    told = pages(pdf)
    on_side = [at for at, page in enumerate(pdf.pages) if page.mediabox.width > page.mediabox.height]
    assert len(on_side) == 1
    assert all(said in told[on_side[0]] for said in ("By the month", "All twelve of them.", "1,1123,456"))
    assert "What it rests on" not in told[on_side[0]]


def test_columns_repeat_their_heads_on_the_next_page(pdf: PdfReader) -> None:
    held = [page for page in pages(pdf) if re.search(r"figure number \d", page)]
    assert len(held) > 1 and all("Name of the figure Now h Where from" in page for page in held)


def test_no_heading_is_left_at_the_foot_of_a_page() -> None:
    """However full a page is: where the heading stands, the table's caption, its head and its first row stand too."""
    moved = set()
    long = replace(LONG, rows=LONG.rows[:40])
    for lines in range(30, 44):
        filler = [Words("A line of words.")] * lines
        told = pages(read(document(*filler, Heading("Here", "here"), Sheet(long))))
        (at,) = (number for number, page in enumerate(told) if "Here" in page)
        moved.add(at)
        assert "Here Every figure Name of the figure Now h Where from figure number 1 1 own" in told[at], lines
    assert moved == {0, 1}


def test_what_leads_from_a_heading_to_its_table_stays_with_both() -> None:
    table = Sheet(Table("Few", (Column("x"),), tuple((f"row {at}",) for at in range(12))))
    for lines in range(20, 46, 3):
        above = [Words(f"Line {at}.") for at in range(lines)]
        found = pages(read(document(*above, Heading("Heading", "at"), Words("What leads there."), table)))
        (page,) = [each for each in found if "What leads there." in each]
        assert "Heading" in page and "row 0 " in page and "row 11" in page
    for lines in (30, 33, 36, 39):
        above = [Words(f"Line {at}.") for at in range(lines)]
        one = document(
            *above, Heading("Chapter", "at"), Words("What leads there."), Heading("Part", "in", 2), Words("And so on.")
        )
        assert any("Chapter What leads there. Part And so on." in page for page in pages(read(one))), lines
    long = Words("It is told at some length. " * 12)
    assert "#lead(" not in markup(document(Heading("Heading", "at"), long, table), "us")


def test_a_heading_stays_with_its_picture() -> None:
    moved = set()
    shown = Picture("curve", curve, "What it shows", "instead", "A curve.")
    for lines in range(16, 40, 4):
        told = pages(read(document(*[Words("A line of words.")] * lines, Heading("Here", "here"), shown)))
        (at,) = (number for number, page in enumerate(told) if "Here" in page)
        moved.add(at)
        assert "What it shows. A curve." in told[at], lines
    assert moved == {0, 1}


def test_a_short_table_is_not_torn() -> None:
    short = replace(LONG, rows=LONG.rows[:12])
    moved = set()
    for lines in range(24, 40, 3):
        told = pages(read(document(*[Words("A line of words.")] * lines, Sheet(short))))
        held = [number for number, page in enumerate(told) if "figure number" in page]
        moved.update(held)
        assert len(held) == 1 and "figure number 12 12" in told[held[0]] and "Marked where" in told[held[0]]
    assert moved == {0, 1}


def placed(pdf: PdfReader) -> dict[str, tuple[float, float]]:
    """Where each text of the last page begins, from the left, and the size of its letters [points]."""
    found: dict[str, tuple[float, float]] = {}

    def see(text: str, page: list[float], line: list[float], _: Any, size: float) -> None:
        found.setdefault(text.strip(), (page[4] + page[0] * line[4], size * abs(page[0] * line[0])))

    pdf.pages[-1].extract_text(visitor_text=see)
    return found


def test_a_long_list_is_in_small_letters_and_one_long_cell_takes_no_room_of_others() -> None:
    rows = (*((f"figure {at}", "2 h", "what it is " * 5) for at in range(12)), ("last", "values " * 60, "what it is"))
    table = Table("All", (Column("figure"), Column("value"), Column("meant by it")), rows)
    usual, dense = (placed(read(document(Sheet(table, is_dense=is_dense)))) for is_dense in (False, True))
    assert dense["figure 1"][1] == pytest.approx(7.5) and usual["figure 1"][1] == pytest.approx(9.5)
    said = " ".join(["what it is"] * 5)
    assert said in dense  # on one line


def test_columns_of_a_short_table_with_room_are_as_wide_as_their_longest_cells() -> None:
    long = "Half as many blocks again contaminated"
    rows = (*((f"row {at}", f"{at}") for at in range(10)), (long, "10"))
    assert long in placed(read(document(Sheet(Table("t", (Column("what"), Column("runs", "of 20")), rows)))))


def test_of_many_texts_alike_in_length_the_widest_counts() -> None:
    """The months of a year: letters are not equally wide, so all of them are measured."""
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    columns = (Column("month"), *(Column(f"Sum {number}", "USD") for number in range(1, 15)))
    rows = tuple((f"{month} sold", *["1,123,456"] * 14) for month in months)
    at = placed(read(document(Sheet(Table("t", columns, rows), is_wide=True))))
    assert [month for month in months if f"{month} sold" not in at] == []


def test_figures_stand_to_the_right_and_words_to_the_left() -> None:
    columns = (Column("Line"), Column("Amount", "USD"), Column("Remark"))
    at = placed(read(document(Sheet(Table("t", columns, (("a", "1,234,567", "p"), ("bbbbbb", "8", "qqqqq")))))))
    assert at["a"][0] == at["bbbbbb"][0] < at["1,234,567"][0] < at["8"][0] < at["p"][0] == at["qqqqq"][0]


def test_a_long_word_has_room_beside_long_texts() -> None:
    word, said = "m" * 26, "said " * 40
    columns = tuple(Column(head) for head in ("Figure", "Meaning", "Now", "To", "Source"))
    pdf = read(document(Sheet(Table("t", columns, ((word, f"What {said}", "6 h", "9 h", f"From {said}"),)))))
    at = placed(pdf)
    (meaning,) = (value for text, value in at.items() if text.startswith("What said"))
    assert meaning[0] - at[word][0] > 26 * 0.7 * meaning[1]
    assert "6 h" in at and "9 h" in at  # on one line, though there is little room


def test_a_head_no_longer_than_its_figures_is_not_broken() -> None:
    columns = (
        Column("Line of the books"),
        *(Column(f"Mm 20{number}", "USD") for number in range(10, 22)),
        Column("Sum", "USD"),
    )
    table = Table("t", columns, (("Sales to everybody there is", *["1,123,456"] * 13), ("Wages", *["1"] * 13)))
    at = placed(read(document(Sheet(table, is_wide=True))))
    assert all(column.head in at for column in columns[1:])


def test_many_columns_have_room_in_smaller_letters() -> None:
    columns = (Column("Line of the books"), *(Column(f"M{number}", "USD") for number in range(15)))
    row = ("Sales to all", *(f"101,0{number:02},456" for number in range(15)))
    at = placed(read(document(Sheet(Table("t", columns, (row,)), is_wide=True))))
    starts = [at[figure][0] for figure in row[1:]]
    size = at[row[1]][1]
    assert all(right - left > 9 * 0.46 * size for left, right in itertools.pairwise(starts))  # a figure is that wide
    assert starts[-1] + 9 * 0.46 * size < 792 - 56 and 6 <= size < 9.5


# --- texts ----------------------------------------------------------------------------------------------------------


def test_every_sign_is_told_as_it_was_written() -> None:
    told = read(document(*(Words(f"{sign} ends {number}") for number, sign in enumerate(SIGNS))))
    text = " ".join(pages(told))
    assert [sign for number, sign in enumerate(SIGNS) if f"{sign} ends {number}" not in text] == []


@pytest.mark.parametrize("sign", ['"', "\\", '\\"', "#x", "a\\", '") #panic("x")'])
def test_a_sign_is_told_wherever_it_stands(sign: str) -> None:
    table = Table(sign, (Column(sign, sign, sign), Column(sign)), ((sign, sign),), note=sign)
    parts = (Heading(sign, "a"), Words(sign, "strong"), Pairs(((sign, sign),)), Listed((sign,)), Listed((sign,), True))
    whole = Document(sign, sign, sign, sign, (*parts, Sheet(table), Side(table, table)))
    text = " ".join(pages(read(whole)))
    # title, under, foot, across, head; heading, words, 2 of a pair, 2 lists; in each table caption, heads, unit, cells, note
    assert text.count(sign) == 5 + 6 + 3 * (1 + 2 + 1 + 2 + 3)


def test_what_ends_a_text_is_escaped() -> None:
    assert escaped('a "b" \\ #c') == '"a \\"b\\" \\\\ #c"'


def test_a_letter_that_no_font_has_is_an_empty_square() -> None:
    (page,) = pages(read(document(Words("room \u771f and \u00e9"))))
    assert "room \u25a1 and \u00e9" in page


def test_a_name_may_have_a_line_break() -> None:
    (page,) = pages(read(document(Words("a\nb\x00c"))))
    assert "a b c" in page


def test_what_says_nothing_leaves_no_trace() -> None:
    empty = Table("empty", (Column("a"),), ())
    parts = (Pairs(()), Listed(()), Sheet(empty), Sheet(empty, is_wide=True))
    assert markup(document(*parts), "us") == markup(document(), "us")
    assert pages(read(document(*parts))) == ["Title 1 of 1"]


def test_a_language_without_a_country_will_do() -> None:
    assert read(replace(document(Words("a")), language="de")).trailer["/Root"]["/Lang"] == "de"


# --- faults ---------------------------------------------------------------------------------------------------------


def test_without_typst_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(NoPdf) as fault:
        made(DOCUMENT, {}, "us")
    assert str(fault.value) == (
        'the PDF needs Typst: pip install "farmsim[pack]". Without it, use the HTML page, which has the same content and '
        "can be printed"
    )
    assert fault.value.exit_code == 2


def test_what_typst_refuses_is_told_without_a_traceback() -> None:
    part = Picture("x", curve, "X", "x", "x")
    with pytest.raises(
        NoPdf, match=r"^the PDF could not be made: Typst says: .+\. Use the HTML page, which has"
    ) as fault:
        made(document(part), {"x": "no drawing"}, "us")
    assert fault.value.exit_code == 2 and fault.value.__cause__ is None


def test_the_sample_has_every_kind_of_part() -> None:
    assert {type(part) for part in PARTS} == set(Part.__args__)
