"""The lender's pack as a PDF and as a page: the first page is one page, however long it is; the same bytes each time."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import pytest
from pack_sample import ASKED, pack, stressed
from pypdf import PdfReader

import farmsim
from farmsim.report import lender_pack, printed_page
from farmsim.report.as_html import page
from farmsim.report.as_pdf import made
from farmsim.report.as_typst import markup
from farmsim.report.document import Heading, NewPage, OnePage, Words, drawn
from farmsim.report.pack import assumptions as chapter
from farmsim.report.page_style import DOCUMENT_STYLE
from farmsim.study.pack_answers import Pack
from farmsim.study.pack_given import assumptions

PACK = pack()


def long() -> Pack:
    """As much on the first page as a farm can put there: fourteen blows, long words of its own, many uses."""
    more = tuple(stressed(f"k{at}", f"Something else goes wrong in its own way {at}", 1.2, -4_000.0) for at in range(9))
    uses = tuple((f"{name} {at}", 10.0) for at in range(8) for name, _ in ASKED.uses[:2])
    asked = replace(ASKED, why=f"{ASKED.why} " * 5, uses=uses)
    return replace(PACK, stress=(*PACK.stress, *more), asked=asked)


@pytest.mark.parametrize(
    ("one", "system"),
    [(PACK, "us"), (long(), "us"), (long(), "metric"), (replace(PACK, matter=(), history=None), "metric")],
    ids=["usual", "long", "long on A4", "short"],
)
def test_the_first_page_ends_on_the_first_page(one: Pack, system: str) -> None:
    document = lender_pack.document(one)
    after = (Heading("What follows", "follows"), Words("It begins on the second page."))
    pages = PdfReader(io.BytesIO(made(replace(document, parts=(document.parts[0], *after)), {}, system))).pages
    assert len(pages) == 2
    first = " ".join(pages[0].extract_text().split())
    assert "We ask for $160,000" in first and "legal, tax or lending advice." in first
    for blow in one.stress:
        assert blow.told in first
    assert "What follows" in pages[1].extract_text()
    assert ("DRAFT" in first) == bool(one.matter)


def test_from_a_browser_the_first_page_is_printed_no_smaller_than_it_must_be() -> None:
    """From Chromium on letter paper, in the widest letters asked for, they fill 96 and 92 of 100 of what the head leaves."""
    shares = []
    for one in (PACK, long()):
        document = lender_pack.document(one)
        first = document.parts[0]
        assert isinstance(first, OnePage)
        shares.append(printed_page.part(document, first))
    assert shares == [pytest.approx(0.92, abs=0.02), pytest.approx(0.68, abs=0.02)]
    assert ".pairs dd { max-width: none; }" in DOCUMENT_STYLE.partition("@media print")[2]


SHIPPED = Path(farmsim.__file__).parents[1] / "scenarios" / "fifth-room-loan.toml"


def test_every_figure_of_a_whole_farm_with_its_source_takes_few_pages() -> None:
    """Six strains, eleven customers, five crews, some 650 figures: what is alike is told as one."""
    farm = farmsim.load(SHIPPED)
    listed = assumptions(farm.changes[-1][1])
    assert len(listed) > 600
    one = replace(PACK, assumptions=listed, matter=())
    parts = tuple(part for part in chapter.parts(one) if not isinstance(part, NewPage))
    document = replace(lender_pack.document(one), parts=parts)
    assert len(PdfReader(io.BytesIO(made(document, {}, "us"))).pages) < 12


def test_pictures_have_no_ground_of_their_own_so_that_the_draft_mark_goes_on_behind_them() -> None:
    for picture in drawn(lender_pack.document(PACK)).values():
        ground = picture[picture.index('<g id="patch_1">') :]
        assert 'style="fill: none"' in ground[: ground.index("</g>")]


def test_pdf_and_page_have_the_same_content_and_the_same_bytes_when_made_again() -> None:
    document = lender_pack.document(PACK)
    again = lender_pack.document(pack())
    pictures = drawn(document)
    assert pictures == drawn(again) and set(pictures) == {"farm_map", "headroom", "time_line", "cash"}
    shown = page(document, pictures)
    assert shown == page(again, pictures)
    assert markup(document, "us") == markup(again, "us")
    pages = PdfReader(io.BytesIO(made(document, pictures, "us"))).pages
    assert all("DRAFT" in each.extract_text() for each in pages)
    last = " ".join(" ".join(each.extract_text() for each in pages).split())
    for words in ("doi 10.1080/17477778.2018.1442155", "____ (to be written by the farm)", "Farm capacity simulation"):
        assert words in last and words in shown
    assert re.findall(r'(?:src|href)="(?!#|data:)', shown) == []
