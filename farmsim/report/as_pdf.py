"""A document as a tagged PDF (PDF/UA-1), typeset by Typst; the only file that knows it.

The fonts are those that come with Typst and with the pictures, never those of the machine, and no date is written: the same
document gives the same bytes.
"""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from farmsim.errors import FarmsimError
from farmsim.report.as_typst import markup
from farmsim.report.document import Document
from farmsim.report.figures.paper import font_files

STANDARD: Final = (
    "ua-1"  # ISO 14289-1: headings, lists, tables and pictures can be told apart by a program that reads aloud
)


MISSING: Final = (
    'the PDF needs Typst: pip install "farmsim[pack]". Without it, use the HTML page, which has the same content and can be '
    "printed"
)


class NoPdf(FarmsimError):
    """A PDF cannot be made here: Typst is missing, or it refused what it was given."""

    exit_code = 2


def ready() -> None:
    """See, before any work is done, whether a PDF can be made here: NoPdf says what to do when it cannot."""
    try:
        import_module("typst")
    except ImportError:
        raise NoPdf(f"{MISSING} (--no-pdf writes it alone)") from None


def made(document: Document, pictures: Mapping[str, str], system: str) -> bytes:
    """The PDF of a document.

    pictures: of every picture its SVG by name, as `document.drawn` gives them
    system: "us" for letter paper, "metric" for A4
    Goes wrong when Typst is not installed or refuses the document: NoPdf says what to do.
    """
    try:
        import typst
    except ImportError:
        raise NoPdf(MISSING) from None
    with TemporaryDirectory(prefix="farmsim-") as name:
        folder = Path(name)
        for picture, svg in pictures.items():
            (folder / f"{picture}.svg").write_text(svg, encoding="utf-8")
        for font in font_files():
            shutil.copy(font, folder)
        whole = folder / "document.typ"
        whole.write_text(markup(document, system), encoding="utf-8")
        try:
            return typst.compile(
                whole, root=folder, font_paths=[folder], ignore_system_fonts=True, pdf_standards=STANDARD
            )
        except typst.TypstError as fault:
            raise NoPdf(
                f"the PDF could not be made: Typst says: {fault.message}. Use the HTML page, which has "
                "the same content and can be printed"
            ) from None
