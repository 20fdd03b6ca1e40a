"""What is written in the file and has no say, told as something to look at again."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from farmsim.scenario.check_blocks import FIGURES_OF_RULES
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew


def looks(farm: Farm) -> Iterator[str]:
    """Figures that nothing hears in any state of the farm: of house rules, and of new people where nobody is new."""
    states = (farm, *(state for _, state in farm.changes))
    for name, choice, wanted in FIGURES_OF_RULES:
        rules = [state.rules for state in states if name in state.rules.given]
        if rules and all(getattr(each, choice) not in wanted for each in rules):
            yield f'{name} is given, but {choice} is "{getattr(rules[0], choice)}": it has no say.'
    for name in dict.fromkeys(crew.name for state in states for crew in state.crew):
        if not _has_new_people([_crew(state, name) for state in states]):
            yield f"{name} has a pace for new people, but nobody leaves and the crew never grows: nobody is ever new."


def _crew(state: Farm, name: str) -> Crew | None:
    return next((crew for crew in state.crew if crew.name == name), None)


def _has_new_people(states: list[Crew | None]) -> bool:
    """Whether a crew with a pace for new people ever has any; true as well where it has no such pace."""
    crews = [crew for crew in states if crew is not None]
    if all(crew.new_hands is None for crew in crews):
        return True
    people = [0 if crew is None else crew.people for crew in states]
    return any(crew.leaves for crew in crews) or any(later > earlier for earlier, later in pairwise(people))
