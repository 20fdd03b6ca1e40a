"""`report.html`: one page that holds the screen's text, the pictures and the tables, and needs nothing else to be read.

A section is a function from what there is to tell to a `Section`, or None when there is nothing to tell; `SECTIONS` lists
them in their order. A picture that no section shows stands at the end, so a new one is never lost.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from farmsim.record.measures.page import TABLES
from farmsim.report import page_tables as tables
from farmsim.report import strain_tables
from farmsim.report.html import Section, items, picture, section, slide, table, tag, text
from farmsim.report.page_style import STYLE
from farmsim.report.pictures import Picture
from farmsim.report.promises import NOBODY
from farmsim.report.words import Weights, day, plural, respelt, tidy
from farmsim.study.answers import Answers

HEAD = (
    '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
)
WORDS = (
    ("usual, thin, fat", "of ten weeks (or months) one is thinner than the thin one and one is fatter than the fat one; half "
     "of all are below the usual one."),
    ("run", "one simulated stretch of the farm. All runs have the same farm and the same plan; they differ in luck: which "
     "blocks go bad, how quickly lots ripen, what they yield."),
    ("lot", "the blocks that travel together on one cart."),
    ("flush", "one crop of a block; between flushes it rests."),
    ("firsts, seconds, culls", "grades. Firsts and seconds are saleable; culls are thrown out at picking."),
    ("shelf-week", "one block on a shelf of a fruiting room for one week."),
    ("full, lots waiting", "everything there is taken, and at least one lot is ready to come in."),
    ("done, no place to go", "a lot is finished there and keeps the place, because the next one is full."),
    ("guess", "a figure that nothing published stands behind and that the farm has not measured itself."),
)  # fmt: skip
UNSETTLED = (
    "The farm goes on growing or shrinking to the very end, so there is no usual week or year to tell: tables and "
    "pictures of them are left out here."
)


@dataclass(frozen=True)
class Told:
    """What there is to tell: the answers, the screen's text, the pictures by name with their SVG, and files beside the page."""

    answers: Answers
    screen: str
    pictures: Mapping[str, tuple[Picture, str]]
    files: frozenset[str]

    @property
    def settled(self) -> bool:
        """Whether there are level figures."""
        return self.answers.settled.verdict != "did not settle"

    def picture(self, name: str) -> str:
        """A picture with what is to be seen in it; nothing when it was not drawn."""
        if name not in self.pictures:
            return ""
        drawn, svg = self.pictures[name]
        return picture(drawn.heading, svg, drawn.instead, drawn.sees, f"figures/{name}.svg")


def page(answers: Answers, screen: str, drawn: tuple[Picture, ...], folder: Path) -> str:
    """The whole page.

    screen: what `farmsim run` prints; folder: the result folder with the tables, and with the pictures that were drawn
    """
    pictures = {one.name: (one, (folder / "figures" / f"{one.name}.svg").read_text(encoding="utf-8")) for one in drawn}
    files = frozenset(path.name for path in folder.glob("*.csv"))
    told = Told(respelt(answers, tidy), screen, pictures, files)
    found = [made for each in SECTIONS if (made := each(told)) is not None and made.body.strip()]
    body = "\n".join([_top(told.answers), _contents(found), *map(section, found)])
    head = f"{HEAD}{text('title', f'{told.answers.study.farm}: report')}\n{tag('style', STYLE)}\n</head>\n"
    return f"{head}{tag('body', body)}\n</html>\n"


def _top(answers: Answers) -> str:
    study = answers.study
    what = f"{plural(study.runs, 'run')} of {plural(study.weeks, 'week')} from {day(date.fromisoformat(study.start))}"
    guesses = (
        f" {plural(answers.guessed, 'figure of this farm is a guess', 'figures of this farm are guesses')}."
        if answers.guessed
        else ""
    )
    under = f"A simulation, not a record: {what}. What it says holds as far as the farm's file does.{guesses}"
    return text("h1", study.farm) + text("p", under, class_="under")


def _contents(found: list[Section]) -> str:
    entries = [tag("li", text("a", one.heading, href=f"#{one.name}")) for one in found]
    return tag("nav", tag("ol", "\n".join(entries)))


def on_one_screen(told: Told) -> Section:
    """The screen's text as it was printed."""
    return Section("screen", "The answer on one screen", slide(text("pre", told.screen.rstrip()), "the answer"))


def changed(told: Told) -> Section | None:
    """The farm's dated changes."""
    pairs = list(tables.changes(told.answers.study))
    return Section("changes", "Changes of the farm", items(pairs)) if pairs else None


def the_growth(told: Told) -> Section | None:
    """How the farm grows, phase by phase."""
    growth = told.answers.growth
    if growth is None:
        return None
    return Section(
        "growth", "How the farm grows", told.picture("growth") + table(tables.phases(told.answers.study, growth))
    )


def the_own_months(told: Told) -> Section | None:
    """The farm's own books beside the model."""
    own = told.answers.own_year
    if own is None:
        return None
    return Section("history", "Your own months beside the model's", table(tables.own_months(told.answers.study, own)))


def the_week(told: Told) -> Section:
    """The week sheet, bad hours, every figure of a week, places and people."""
    answers = told.answers
    parts = [told.picture("week"), table(tables.bad_hours(answers))]
    parts.append(table(tables.weeks(answers)) if told.settled else text("p", UNSETTLED))
    parts += [table(tables.places(answers.places)), table(tables.crews(answers.crews))]
    return Section("week", "The week", "\n".join(parts))


def the_year(told: Told) -> Section:
    """Months, the year strip, days of standstill, and how much whole runs differ."""
    answers = told.answers
    strip = [told.picture("year"), table(tables.year(answers.year)), table(tables.still(answers.year))]
    plain = text("p", "No figure of this farm differs from month to month, and it stands still on no day.")
    parts = [told.picture("harvest"), table(tables.months(answers.study, answers.months))]
    parts += [plain] if answers.year.is_plain else strip
    return Section("year", "The months and the year", "\n".join([*parts, told.picture("spread")]))


def the_money(told: Told) -> Section | None:
    """What is taken in and paid in a week, of a farm with prices that settled."""
    money = told.answers.money
    return Section("money", "Money", table(tables.money(money))) if money is not None and told.settled else None


def the_promises(told: Told) -> Section | None:
    """Promises by customer."""
    if told.answers.nobody_buys:
        return Section("promises", "Nobody buys", text("p", NOBODY))
    body = table(tables.promises(told.answers.study, told.answers.promises))
    return Section("promises", "Promises", body) if body else None


def the_blocks(told: Told) -> Section:
    """Where the blocks go, and all losses."""
    lost = table(tables.losses(told.answers.study, told.answers.losses)) or text("p", "Nothing was lost.")
    return Section("blocks", "Blocks and losses", told.picture("blocks") + lost)


def the_strains(told: Told) -> Section:
    """Strain by strain: days of a lot, shelf places, hours."""
    answers, weights = told.answers, Weights(told.answers.study.system)
    parts = [told.picture("lots"), table(strain_tables.days(answers.lives)), told.picture("strains")]
    if told.settled:
        parts.append(table(strain_tables.takes(answers.takes, weights)))
    parts.append(table(strain_tables.hours(answers.takes, answers.of_nobody)))
    return Section("strains", "The strains", "\n".join(parts))


def the_guesses(told: Told) -> Section | None:
    """What should be measured first."""
    body = table(tables.guesses(told.answers.guesses))
    more = tag("p", f"Every figure with its source stands in {text('a', 'assumptions.csv', href='assumptions.csv')}.")
    return Section("guesses", "Guesses", body + more) if body else None


def more_pictures(told: Told) -> Section | None:
    """Pictures that no other section shows."""
    rest = [told.picture(name) for name in told.pictures if name not in PLACED]
    return Section("pictures", "More pictures", "\n".join(rest)) if rest else None


def the_words(_told: Told) -> Section:
    """Words that are used here."""
    return Section("words", "Words", items(WORDS))


def the_files(told: Told) -> Section:
    """Everything else that lies beside the page."""
    lead = text(
        "p", "All figures of all runs, for a spreadsheet. Weights in these files are in kg, times in hours or days."
    )
    rows = [(name, f"one row for each {one.row}") for one in TABLES if (name := f"{one.file}.csv") in told.files]
    rows.append(("summary.json", "what this page tells, for programs"))
    rows.append(("about.json", "when it was run, how long it took, on which versions"))
    rows.append(("scenario/", "the farm's file, as it was run"))
    listed = "\n".join(tag("li", f"{text('a', name, href=name)}: {text('span', what)}") for name, what in rows)
    return Section("files", "Files beside this page", lead + tag("ul", listed, class_="files"))


SECTIONS: tuple[Callable[[Told], Section | None], ...] = (
    on_one_screen,
    changed,
    the_growth,
    the_own_months,
    the_week,
    the_year,
    the_money,
    the_promises,
    the_blocks,
    the_strains,
    more_pictures,
    the_guesses,
    the_words,
    the_files,
)
PLACED = ("growth", "week", "harvest", "year", "spread", "blocks", "lots", "strains")
