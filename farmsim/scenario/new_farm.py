"""A new farm from answers: sized, written as a file, and read again to see that it is sound."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass

from farmsim.errors import Fault, QuantityFault, ScenarioFault
from farmsim.scenario import averages
from farmsim.scenario.answers import Answers
from farmsim.scenario.farm import Farm
from farmsim.scenario.farm_text import farm_text
from farmsim.scenario.flow import flows
from farmsim.scenario.guess_lines import guess_lines
from farmsim.scenario.lines import Path, placed
from farmsim.scenario.questions import QUESTIONS, Question
from farmsim.scenario.read import farm_of
from farmsim.scenario.sizing import crews_wanted, roomy, worked_out

FULL = 0.90  # above this a place or crew is told of


@dataclass(frozen=True, slots=True)
class NewFarm:
    """A farm's file and the farm in it."""

    text: str
    farm: Farm

    def full(self) -> list[averages.Need]:
        """Places and crews that are nearly full, or more than that, on average: the answers leave them no room."""
        return [need for need in averages.needs(self.farm) if need.share > FULL]

    def guesses(self) -> int:
        """Figures of the file that are marked as guesses."""
        return sum(line.partition("#")[2].lstrip().startswith("guess:") for line in self.text.splitlines())


def new_farm(answers: Answers) -> NewFarm:
    """The farm that follows from the answers.

    Goes wrong when the answers contradict one another or can never fit: ScenarioFault, each fault at the question whose
    answer it hangs on.
    """
    try:
        draft, sizes = _draft(answers, 1), roomy(answers, 1)
        crews = crews_wanted(answers, draft)
        draft, sizes = _draft(answers, crews), roomy(answers, crews)
        sized = worked_out(answers, sizes, draft)
        firsts = {usual.strain: usual.firsts for usual in flows(draft)}
        bare = farm_text(answers, sized, firsts, {})
        text = farm_text(answers, sized, firsts, guess_lines(_read(bare)))
        return NewFarm(text, _read(text))
    except QuantityFault as fault:
        raise ScenarioFault([Fault(tuple(fault.at), fault.found, fault.allowed, fault.mend)]) from None
    except ScenarioFault as fault:
        raise ScenarioFault(list(_at_questions(fault))) from None


def _draft(answers: Answers, crews: int) -> Farm:
    return _read(farm_text(answers, roomy(answers, crews), {}, {}))


def _read(text: str) -> Farm:
    return farm_of(placed(tomllib.loads(text), text, ""))


def _at_questions(faults: ScenarioFault) -> Iterator[Fault]:
    """Each fault at the questions that its figure hangs on, every one once; a fault that hangs on none stays as it is."""
    told: set[tuple[str, str]] = set()
    for fault in faults.faults:
        keys = [question.key for question in _questions(fault.path)]
        if not keys:
            yield fault
        for key in keys:
            if (key, fault.found) not in told:
                told.add((key, fault.found))
                yield Fault((key,), fault.found, fault.allowed, fault.mend, about=key)


def _questions(path: Path) -> list[Question]:
    """The questions that set the figure at a path, those with the closest match."""
    reach = [max((_reach(sets, path) for sets in question.sets), default=0) for question in QUESTIONS]
    best = max(reach)
    return [question for question, far in zip(QUESTIONS, reach, strict=True) if best and far == best]


def _reach(sets: tuple[str, ...], path: Path) -> int:
    """How many pieces of a path what a question sets goes along with; 0 when it parts from it."""
    alike = all(piece in ("*", there) for piece, there in zip(sets, path, strict=False))
    return len(sets) if alike and len(sets) <= len(path) else 0
