"""How much smaller what is to be seen at one glance has to be printed from a browser, so that it stays on its page.

A browser cannot be asked to make something fit, as Typst is for the PDF; so lines are counted, rather too many than too few.
Sizes are those of `page_style` in print, on the shorter and the narrower of letter paper and A4 [points].
"""

from __future__ import annotations

from math import ceil

from farmsim.report.document import Document, OnePage, Pairs, Part, Sheet, Side, Words
from farmsim.report.html import Table, below

HEIGHT = 792 - 2 * 42.5 - 25.5  # letter paper less its margins and the line at the head
LETTERS = 118  # of the text on a line of A4
HEADED = 44  # letters of the title on a line
LEAST = 0.4  # smaller nobody reads
MANNERS = {"plain": (LETTERS, 11.1, 8.0), "small": (140, 9.3, 4.0), "strong": (96, 13.3, 8.0)}
"""By manner of words: letters on a line, its height, the gap below."""
ROW, HEAD, CAPTION, NOTE = 10.4, 9.0, 20.0, 11.0
IN_TABLE = 140  # letters of a table that has the whole width
COUNTED = (
    0.97  # what is counted is more than a browser takes, with the widest of the letters asked for (DejaVu Serif) too
)
BESIDE = 96  # letters on a line beside a term


def part(document: Document, one: OnePage) -> float:
    """The share of its size at which it surely fits below the head of the document; at most 1."""
    title = ceil(len(document.title) / HEADED) * 23.0
    under = MANNERS["plain"][1] * ceil(len(document.under) / LETTERS) * 1.2 + 8 if document.under else 0.0
    draft = 26.0 if document.draft else 0.0
    share = (HEIGHT - title - under - draft) / max(1.0, COUNTED * sum(map(_height, one.parts)))
    return max(LEAST, min(1.0, int(100 * share) / 100))


def _height(one: Part) -> float:
    match one:
        case Words():
            letters, line, gap = MANNERS[one.manner]
            return ceil(len(one.words) / letters) * line + gap
        case Pairs():
            return 8.0 + sum(ceil(len(said) / BESIDE) * MANNERS["plain"][1] + 2.0 for _, said in one.rows)
        case Sheet():
            return _of_table(one.table, IN_TABLE)
        case Side():
            return max(_of_table(each, IN_TABLE // 2) for each in (one.left, one.right))
        case _:
            return 0.0


def _of_table(one: Table, letters: int) -> float:
    heads = 3 if any(column.unit.strip() for column in one.columns) else 2
    lines = sum(max(1, ceil((sum(map(len, row)) + 3 * len(row)) / letters)) for row in one.rows)
    note = ceil(len(below(one)) / letters) * NOTE
    return CAPTION + heads * HEAD + lines * ROW + note
