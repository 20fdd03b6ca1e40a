"""A comparison in sentences: what each change brings, how surely, and what did not differ; then the table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from textwrap import wrap
from typing import Protocol

from farmsim.report import until
from farmsim.report.answer import Answer
from farmsim.report.tables import WIDTH, labelled, section
from farmsim.report.words import POUND, Weights, count, listed, plural, shortened, tidy
from farmsim.study.answers import Settled
from farmsim.study.compare import TOO_FEW, Compared, Comparison, Difference, EarnedBeside

A_YEAR = "currency/year"
LABEL, FIGURE = 26, 13  # letters of a column of the table
STRAINS = 3  # told on the screen; the file earned.csv has all


def answer(compared: Compared, files: Sequence[str]) -> Answer:
    """The comparison in every form in which it is given; files: names of those that were compared, the base's first."""
    from farmsim.report.figures import differences

    asked = {"compared": list(files), "start": compared.start, "seed": compared.seed, "runs": compared.runs}
    if compared.stopped is not None:
        asked["until"] = compared.stopped.as_plain
    tables = {"compare": compared.table, "weekly": compared.weekly}
    if len(compared.earned_table):
        tables["earned"] = compared.earned_table
    return Answer(
        screen(compared), compared.as_plain, asked, tables, {"differences": lambda: differences.draw(compared)}
    )


def screen(compared: Compared) -> str:
    """Everything on one screen, as text."""
    changes = plural(len(compared.comparisons), "change")
    head = (
        f"{shortened(tidy(compared.base), 50)} and {changes}: {plural(compared.runs, 'run')} of each on the same luck"
    )
    parts = [head, ""]
    for comparison in compared.comparisons:
        parts += [*told(comparison, compared), ""]
    parts += [*table(compared), "", *footnote(compared)]
    return "\n".join(parts) + "\n"


def told(comparison: Comparison, compared: Compared) -> list[str]:
    """What one change does, the figures that differ first."""
    shown = [(line, Shown(line, compared)) for line in comparison.differences]
    differ = [(line.name, f"{each.sentence}  ({each.base} -> {each.change})")
              for line, each in shown if line.verdict in ("more", "less")]  # fmt: skip
    open_ = [f"{line.name} ({each.between})" for line, each in shown if line.verdict == "no difference found"]
    same = [line.name for line, _ in shown if line.verdict == "the same"]
    heading = shortened(tidy(comparison.change), WIDTH - 30).upper()
    since = f"  (weeks {comparison.since + 1} to {comparison.since + comparison.weeks})" if comparison.since else ""
    lines = [f"{heading}{since}", *_indented(labelled(differ))]
    if not differ:
        lines.append("  Nothing that is surely more or less.")
    if open_:
        lines += _indented(wrap(f"No difference found: {'; '.join(open_)}.", WIDTH - 2))
    if same:
        lines += _indented(wrap(f"The same in every run: {listed(same)}.", WIDTH - 2))
    told = earned(comparison.earned or (), compared.currency) or strains_apart(comparison)
    return [*lines, *_indented(wrap(told, WIDTH - 2))]


def strains_apart(comparison: Comparison) -> str:
    """Why strains are not put side by side, and how to have it; nothing where they are, or nobody has prices."""
    if comparison.apart is None:
        return ""
    base, change = (f"from week {weeks + 1} on" for weeks in comparison.apart)
    return (
        "What each strain earns is not put side by side: a farm's strains are told since its own last dated change, the "
        f"base's {base}, this farm's {change}. farmsim money tells those of each; with the same last date in both they can be "
        "compared."
    )


def earned(by_strain: Sequence[EarnedBeside], currency: str) -> str:
    """What strains earn more or less a year, those of most money first; nothing of farms without prices."""
    if not by_strain:
        return ""
    whole = [(tidy(each.strain), line) for each in by_strain for line in each.differences if line.unit == A_YEAR]
    differ = sorted(
        ((name, line) for name, line in whole if line.verdict in ("more", "less")), key=lambda one: -abs(one[1].mean)
    )
    if not differ:
        return "By strain, before wages: none surely earns more or less (earned.csv)."
    told = [
        f"{name} {count(abs(line.mean))} {currency} a year {line.verdict}, surely over "
        f"{floored(min(abs(line.low), abs(line.high)))}"
        for name, line in differ[:STRAINS]
    ]
    more = len(differ) - STRAINS
    return f"By strain, before wages: {'; '.join(told)}{f'; {more} more in earned.csv' if more > 0 else ''}."


def _indented(lines: Sequence[str]) -> list[str]:
    return [f"  {line}" for line in lines]


def floored(value: float) -> str:
    """A figure with as much of it as one can use, never rounded up: what is surely so must be so."""
    tenth = value < 9.95
    return count(math.floor(value * 10 + 1e-9) / 10 if tenth else math.floor(value + 1e-9))


class ToldIn(Protocol):
    """Whatever says in which units and currency it is told."""

    @property
    def system(self) -> str:
        """Units: "us" or "metric"."""

    @property
    def currency(self) -> str:
        """Currency of its money."""


class Shown:
    """One difference in the farm's units and in words."""

    def __init__(self, line: Difference, compared: ToldIn) -> None:
        self._line, system = line, compared.system
        self._is_share = line.unit == "share"
        self.factor = 100.0 if self._is_share else (1 / POUND if line.unit == "kg/week" and system == "us" else 1.0)
        weight = "lb" if system == "us" else "kg"
        self.unit = {
            "kg/week": f"{weight} a week",
            "blocks/week": "blocks a week",
            "h/week": "h a week",
            "share": "points",
            "currency/week": f"{compared.currency} a week",
        }[line.unit]

    @property
    def base(self) -> str:
        """The base's average."""
        return count(self._line.base * self.factor)

    @property
    def change(self) -> str:
        """The changed farm's average."""
        return count(self._line.change * self.factor)

    @property
    def sentence(self) -> str:
        """How much more or less, and how much of it is sure: "48 lb a week more, surely over 30"."""
        return f"{self.size(abs(self._line.mean))} {self.unit} {self._line.verdict}, surely over {self.least}"

    @property
    def least(self) -> str:
        """How much of the difference is sure, without its unit."""
        surely = min(abs(self._line.low), abs(self._line.high))
        least = floored(surely * self.factor)
        is_all = least == self.size(abs(self._line.mean))
        return f"{math.floor(surely * self.factor * 10) / 10:,.1f}" if is_all else least

    @property
    def between(self) -> str:
        """Where the difference lies, and how many runs would tell it: "-5.2 to +2.3 lb a week; about 42 runs would tell"."""
        needed = self._line.needed
        more = f"about {needed:,} runs would tell" if needed else "more runs than anybody makes would not tell"
        if self._line.says_nothing:
            return f"{TOO_FEW}, {more}"
        return f"{self.signed(self._line.low)} to {self.signed(self._line.high)} {self.unit}, {more}"

    @property
    def difference(self) -> str:
        """The difference as it stands in the table."""
        if self._line.verdict == "the same":
            return "same"
        if self._line.says_nothing:
            return TOO_FEW
        return f"{self.signed(self._line.mean)} +-{self.size(self._line.give or 0.0)}"

    def signed(self, value: float) -> str:
        """A difference with its sign, "0" when it is nearly none."""
        size = self.size(abs(value))
        return size if size == "0" else f"{'+' if value > 0 else '-'}{size}"

    def size(self, value: float) -> str:
        """A value of this figure in the farm's units, without its unit."""
        return count(value * self.factor)


def table(compared: Compared) -> list[str]:
    """Every figure: the base, then the difference of each change and how far off it may be."""
    rows = [["", "base", *(shortened(tidy(one.change), FIGURE + 2) for one in compared.comparisons)]]
    for at, line in enumerate(compared.comparisons[0].differences):
        cells = [Shown(one.differences[at], compared) for one in compared.comparisons]
        rows.append(
            [
                f"{line.name}, {'%' if line.unit == 'share' else cells[0].unit}",
                cells[0].base,
                *(cell.difference for cell in cells),
            ]
        )
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return [
        "  ".join(cell.ljust(widths[at]) if at == 0 else cell.rjust(widths[at]) for at, cell in enumerate(row)).rstrip()
        for row in rows
    ]


def footnote(compared: Compared) -> list[str]:
    """How sure all of this is together."""
    statements = sum(len(one.differences) for one in compared.comparisons)
    filled = f"Each farm was given {plural(compared.lead_in, 'week')} to fill up. " if compared.lead_in else ""
    text = (
        f"{filled}Run for run all farms had the same luck, so what differs comes from the change. All {statements} intervals "
        f"hold together with {100 * compared.sure:.0f} in 100, as far as the "
        "farm's file is right; a guess in it they do not see."
    )
    if any(one.earned for one in compared.comparisons):
        text += " What strains earn (takings less what is bought for them) is told as surely, all of that by itself."
    paragraphs = [f"{text} {swing(compared)}".rstrip()]
    if compared.stopped is not None:
        paragraphs.append(until.of_changes(compared.stopped))
    return section("HOW SURE", paragraphs)


def swing(compared: Compared) -> str:
    """Which farms were not in full swing in the weeks that are compared, or that all were."""
    by_verdict: dict[str, list[str]] = {}
    for name, settled in compared.settled.items():
        by_verdict.setdefault(in_swing(settled, compared.system), []).append(shortened(tidy(name or compared.base), 40))
    everyone = len(by_verdict) == 1
    told = [f"{'All farms' if everyone else listed(names)} {what}." for what, names in by_verdict.items()]
    return " ".join(told)


def in_swing(settled: Settled, system: str) -> str:
    """What is to be said of farms with such a verdict."""
    what, unit = ("mushrooms picked", "kg") if settled.series == "picked_kg" else ("blocks on the farm", "blocks")
    growth = settled.growth.value if settled.growth else 0.0
    by = Weights(system).amount(abs(growth), unit)
    moves = f"{what} {'grow' if growth > 0 else 'shrink'} by {by} a week to the very end"
    return {
        "settled": "had filled up before these weeks",
        "did not settle": f"did not settle, {moves}: there is no usual week to compare",
        "slow start": f"had not filled up in the first {settled.weeks} of these weeks: a longer lead_in is needed",
        "too short to tell": "had too few runs or weeks to tell whether they had filled up",
        "starts empty": "began empty, and the weeks of filling up are in these figures",
        "months differ": "had months that differ, so the weeks cannot tell whether they had filled up",
    }[settled.verdict]
