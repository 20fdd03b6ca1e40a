"""The answers about a new farm: read one by one as they are given, or all at once from a file."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from textwrap import wrap

from farmsim import units
from farmsim.errors import Fault, QuantityFault, ScenarioFault
from farmsim.scenario.answer_forms import Buyer, Said
from farmsim.scenario.answer_more import Wage
from farmsim.scenario.answer_prices import Paid
from farmsim.scenario.faults import in_file_order
from farmsim.scenario.fields import FARM
from farmsim.scenario.forms import shown
from farmsim.scenario.lines import Table
from farmsim.scenario.part import unknown_key
from farmsim.scenario.questions import BY_KEY, QUESTIONS, Question
from farmsim.scenario.read import tables
from farmsim.scenario.seasons import Shut
from farmsim.scenario.values import Shift
from farmsim.scenario.write_figure import text


@dataclass(frozen=True, slots=True)
class Answers:
    """What was answered, or taken from the defaults; None is "work it out"."""

    name: str
    units: units.System
    start: datetime.date
    blocks: int
    made: str
    block: float  # [kg]
    strains: Mapping[str, float]  # share of the blocks by strain of the library [1]
    sold: float  # share of the blocks [1]
    rooms: tuple[tuple[str, int], ...] | None
    walk_in: int | None
    people: tuple[int, ...] | None
    hours: Shift
    work_days: tuple[str, ...]
    pick_days: tuple[str, ...]
    customers: tuple[Buyer, ...]
    leave_by: float
    block_customers: tuple[Buyer, ...] = ()
    soak: int | str | None = None
    weeks: int | None = None  # None: as farmsim takes it
    seasons: tuple[float, ...] | None = None  # orders by month beside those of a usual one [1]
    shut: tuple[Shut, ...] = ()
    wage: Wage | None = None
    price: Paid | None = None
    block_price: Paid | None = None
    given: frozenset[str] = frozenset()  # questions that were answered

    @property
    def currency(self) -> str | None:
        """The currency of all money that was told of; None where none was."""
        return next((each.currency for each in (self.wage, self.price, self.block_price) if each is not None), None)

    def mark(self, key: str) -> str:
        """What stands behind a figure that a question sets: nothing when it was answered or is a plain choice."""
        source = BY_KEY[key].source
        return "" if key in self.given or source == FARM else f"guess: {source}"


class Asked:
    """The questions in their order, and what was answered so far."""

    def __init__(self, today: datetime.date) -> None:
        self.today = today
        self.values: dict[str, object] = {}
        self.given: set[str] = set()

    def questions(self) -> Iterator[Question]:
        """Every question that is to be asked after the answers so far."""
        return (question for question in QUESTIONS if question.asked_if(self.values))

    def answer(self, question: Question, said: str) -> None:
        """Take an answer; nothing said is the default.

        Goes wrong when it is not allowed: QuantityFault says what was found, what is allowed and how to mend it.
        """
        is_given = bool(said.strip())
        words = said if is_given else question.default_for(self.values)
        self.values[question.key] = question.read(words, Said(self.values, self.today))
        (self.given.add if is_given else self.given.discard)(question.key)

    def whole(self) -> Answers:
        """All the answers together; every question that is to be asked has been."""
        known = {field.name for field in fields(Answers)}
        asked = {question.key for question in self.questions()}
        values = {key: value for key, value in self.values.items() if key in known & asked}
        return Answers(**values, given=frozenset(self.given & asked))  # type: ignore[arg-type]


# --- a file of answers --------------------------------------------------------------------------------------


def from_file(path: str | Path, today: datetime.date) -> tuple[Answers, Table]:
    """The answers in a TOML file, and its tables, which know their lines.

    today: the day from which "next Monday" is counted
    Goes wrong when an answer is not allowed or a key is unknown: ScenarioFault holds every fault with its line.
    """
    table = tables(path)
    if "more" not in table and any(key in table for key in _of_more()):
        table["more"] = "yes"
    asked, faults = Asked(today), [unknown_key(key, (), list(BY_KEY)) for key in table if key not in BY_KEY]
    for question in QUESTIONS:
        if question.asked_if(asked.values):
            faults += _taken(asked, question, table)
        elif question.key in table and not _is_in_doubt(question, faults):
            found = f"is given, but {question.else_}"
            faults.append(Fault((question.key,), found, "needs to be left out", "Leave it out."))
    if faults:
        raise ScenarioFault(in_file_order(faults, table))
    return asked.whole(), table


def _of_more() -> list[str]:
    """Keys of the questions that are asked only when more is wished for."""
    keys = [question.key for question in QUESTIONS]
    return keys[keys.index("more") + 1 :]


def _is_in_doubt(question: Question, faults: list[Fault]) -> bool:
    """Whether a faulty answer may be why a question is not asked."""
    return bool(faults)


def _taken(asked: Asked, question: Question, table: Table) -> list[Fault]:
    """Takes the answer of a file to one question; its fault, if there is one, and the default in its place."""
    try:
        asked.answer(question, _words(table[question.key]) if question.key in table else "")
    except QuantityFault as fault:
        asked.answer(question, "")
        return [Fault((question.key,), fault.found, fault.allowed, fault.mend)]
    return []


def _words(value: object) -> str:
    """An answer of a file as it would be typed."""
    if isinstance(value, list) and value and not any(isinstance(item, dict | list) for item in value):
        return ", ".join(map(_words, value))
    if isinstance(value, bool) or not isinstance(value, str | int | float | datetime.date | datetime.time):
        raise QuantityFault(
            f"is {shown(value)}", "needs an answer in words", "Write it in quotes, as you would say it."
        )
    if isinstance(value, str) and not value.strip():
        raise QuantityFault('is ""', "needs an answer", "Leave it out to take the default.")
    return f"{value:%H:%M}" if isinstance(value, datetime.time) else str(value)


def empty_file() -> str:
    """A file of answers to be filled in: every question with its explanation and its default, each line a comment."""
    lines = ["# Answers for  farmsim new FILE.toml --answers THIS-FILE.toml", "#"]
    lines += wrapped(
        "Take away the # before what you answer; what is left as it is takes the default and counts as a guess."
    )
    for question in QUESTIONS:
        lines += ["", *wrapped(f"{question.asks} {question.explains}"), f"# {question.key} = {text(question.default)}"]
    return "\n".join(lines) + "\n"


def wrapped(words: str) -> list[str]:
    """A comment, broken into lines."""
    return [f"# {line}" for line in wrap(words, 110, break_on_hyphens=False)]
