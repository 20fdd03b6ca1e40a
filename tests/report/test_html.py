"""The pieces a page is put together from: escaped wherever a text comes in."""

from farmsim.report.html import Column, Table, items, picture, section, table, tag, text
from farmsim.report.html import Section as Part

BAD = 'a "<b>" & c'
SAFE, SAFE_QUOTED = 'a "&lt;b&gt;" &amp; c', "a &quot;&lt;b&gt;&quot; &amp; c"


def test_texts_and_attributes_are_escaped() -> None:
    assert text("p", BAD) == f"<p>{SAFE}</p>"
    assert tag("p", "<i>x</i>", class_=BAD) == f'<p class="{SAFE_QUOTED}"><i>x</i></p>'
    assert items([(BAD, BAD)]) == f"<dl><dt>{SAFE}</dt><dd>{SAFE}</dd></dl>"


def test_every_text_of_a_table_is_escaped() -> None:
    columns = (Column(BAD), Column(BAD, BAD, BAD))
    shown = table(Table(BAD, columns, ((BAD, BAD),), note=BAD))
    assert "<b>" not in shown
    assert (
        shown.count("&lt;b&gt;") == 10
    )  # label, caption, two heads, a unit, two cells, a head again, its meaning, note


def test_a_table_without_rows_is_left_out() -> None:
    assert table(Table("empty", (Column("a"),), ())) == ""


def test_columns_of_figures_stand_to_the_right_and_a_sum_is_ruled_off() -> None:
    shown = table(Table("t", (Column("a"), Column("b", "lb")), (("x", "1"), ("all", "1")), summed=True))
    assert '<td class="figure">1</td>' in shown
    assert '<tr class="sum"><th scope="row">all</th>' in shown
    assert shown.count('class="sum"') == 1


def test_a_picture_has_its_words_instead_and_its_file() -> None:
    shown = picture("Heading", "<svg/>", BAD, BAD, "figures/x.svg")
    assert f'alt="{SAFE_QUOTED}"' in shown and 'href="figures/x.svg"' in shown
    assert "data:image/svg+xml;base64,PHN2Zy8+" in shown  # "<svg/>"
    assert f"<figcaption>{SAFE}</figcaption>" in shown


def test_a_section_can_be_pointed_at() -> None:
    assert section(Part("week", BAD, "<p></p>")) == f'<section id="week"><h2>{SAFE}</h2>\n<p></p>\n</section>'
