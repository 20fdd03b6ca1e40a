"""A document as one page in HTML that needs nothing else: for a screen, a phone and a printer."""

from __future__ import annotations

from collections.abc import Mapping
from html import escape

from farmsim.report import printed_page
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
    leaves,
    spelt,
)
from farmsim.report.html import image, items, slide, table, tag, text
from farmsim.report.page_style import DOCUMENT_STYLE, STYLE

SEVERAL = 2  # chapters from which on a list of them helps


def page(document: Document, pictures: Mapping[str, str]) -> str:
    """The whole page; the same document gives the same bytes.

    pictures: of every picture its SVG by name, as `document.drawn` gives them
    """
    document = spelt(document)
    contents = _contents(document)
    is_placed = any(isinstance(part, Contents) for part in document.parts)
    share = min((printed_page.part(document, one) for one in document.parts if isinstance(one, OnePage)), default=1.0)
    shown = [written(leaf, contents, pictures, share) for leaf in leaves(document.parts)]
    told = [*_top(document), "" if is_placed else contents, *shown]
    body = [_across(document), tag("main", "\n".join(filter(None, told)))]
    if document.foot:
        body.append(text("footer", document.foot, class_="foot"))
    head = (
        f'<meta charset="utf-8">\n<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"{text('title', document.title)}\n{tag('style', STYLE + DOCUMENT_STYLE)}"
    )
    whole = f"{tag('head', head)}\n{tag('body', chr(10).join(filter(None, body)))}"
    return f"<!DOCTYPE html>\n{tag('html', whole, lang=document.language)}\n"


def _across(document: Document) -> str:
    """What stands across every printed page of a draft; it is told at the top, so it is not read aloud again."""
    mark = document.draft.partition(":")[0]
    return text("div", mark, class_="across", aria_hidden="true") if mark else ""


def _top(document: Document) -> list[str]:
    """That it is a draft, the title, the line under it."""
    draft = text("p", document.draft, class_="draft") if document.draft else ""
    under = text("p", document.under, class_="under") if document.under else ""
    return [draft, tag("header", text("h1", document.title) + under)]


def _contents(document: Document) -> str:
    chapters = [part for part in document.parts if isinstance(part, Heading) and part.level == 1]
    if len(chapters) < SEVERAL:
        return ""
    entries = [tag("li", text("a", one.words, href=f"#{one.name}")) for one in chapters]
    return tag("nav", tag("ol", "\n".join(entries)), aria_label="Contents")


def written(leaf: Part | Landscape, contents: str, pictures: Mapping[str, str], share: float = 1.0) -> str:
    """One part, or what stands together on a page on its side, as HTML; nothing for a part that says nothing.

    share: of its size at which what has to stay on one page is printed
    """
    match leaf:
        case Contents():
            return contents
        case Landscape():
            return tag("div", "\n".join(written(part, contents, pictures) for part in leaf.parts), class_="landscape")
        case OnePage():
            inside = "\n".join(written(part, contents, pictures) for part in leaf.parts)
            return tag("div", inside, class_="one-page", style=f"--part: {share:g}")
        case Picture():
            return _picture(leaf, pictures[leaf.name])
        case _:
            return _plain(leaf)


def _plain(part: Heading | Words | Pairs | Listed | Sheet | Side | NewPage) -> str:
    match part:
        case Heading():
            return text(f"h{part.level + 1}", part.words, id=part.name)
        case Words():
            return text("p", part.words, **({} if part.manner == "plain" else {"class_": part.manner}))
        case Pairs():
            return items(part.rows, class_="pairs") if part.rows else ""
        case Listed():
            rows = "\n".join(text("li", row) for row in part.rows)
            return tag("ol" if part.is_numbered else "ul", rows) if rows else ""
        case Sheet():
            return table(part.table, part.is_dense)
        case Side():
            return tag("div", tag("div", table(part.left)) + tag("div", table(part.right)), class_="side")
        case NewPage():
            return tag("div", "", class_="new-page")


def _picture(part: Picture, svg: str) -> str:
    told = text("em", f"{part.heading.removesuffix('.')}.") + " " + escape(part.sees, quote=False)
    return tag("figure", slide(image(svg, part.instead), part.heading) + tag("figcaption", told))
