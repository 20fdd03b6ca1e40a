"""What is written in the file and has no say, told as something to look at again."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from farmsim.scenario.check_blocks import FIGURES_OF_RULES
from farmsim.scenario.farm import Farm
from farmsim.scenario.people import Crew
from farmsim.scenario.say import joined


def looks(farm: Farm) -> Iterator[str]:
    """Figures that nothing hears in any state of the farm: of house rules, of new people where nobody is new, duties."""
    states = (farm, *(state for _, state in farm.changes))
    for name, choice, wanted in FIGURES_OF_RULES:
        rules = [state.rules for state in states if name in state.rules.given]
        if rules and all(getattr(each, choice) not in wanted for each in rules):
            yield f'{name} is given, but {choice} is "{getattr(rules[0], choice)}": it has no say.'
    for name in dict.fromkeys(crew.name for state in states for crew in state.crew):
        if not _has_new_people([_crew(state, name) for state in states]):
            yield f"{name} has a pace for new people, but nobody leaves and the crew never grows: nobody is ever new."
    yield from _duties_without_a_pace(states)


def _duties_without_a_pace(states: tuple[Farm, ...]) -> Iterator[str]:
    """Work that takes no time, because the table is missing in which its pace would stand."""
    makes = any(line.made == "here" for state in states for line in state.start)
    for duty, table, is_there in (
        ("mix", "mix", any(state.mix for state in states)),
        ("inoculate", "clean_bench", any(state.clean_bench for state in states)),
    ):
        crews = dict.fromkeys(crew.name for state in states for crew in state.crew if duty in crew.all_duties)
        if makes and crews and not is_there:
            yield f'"{duty}" is a duty of {joined(list(crews))}, but no [{table}] gives its pace: it takes no time.'


def _crew(state: Farm, name: str) -> Crew | None:
    return next((crew for crew in state.crew if crew.name == name), None)


def _has_new_people(states: list[Crew | None]) -> bool:
    """Whether a crew with a pace for new people ever has any; true as well where it has no such pace."""
    crews = [crew for crew in states if crew is not None]
    if all(crew.new_hands is None for crew in crews):
        return True
    people = [0 if crew is None else crew.people for crew in states]
    return any(crew.leaves for crew in crews) or any(later > earlier for earlier, later in pairwise(people))
