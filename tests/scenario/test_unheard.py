"""What is written and has no say is told on the page of `farmsim check`, unless some state of the farm hears it."""

from __future__ import annotations

from pathlib import Path

import pytest

from farmsim.scenario.check_page import page
from farmsim.scenario.readback_unheard import looks

from .farms import SMALL, small, written

ABSENCE = 'absence  = "4 %"'
NEW = f'{ABSENCE}\nnew_hands = {{ pace = ["50 %", "70 %"] }}'
NOBODY = "growers has a pace for new people, but nobody leaves and the crew never grows: nobody is ever new."
RULES = 'ripe_blocks = "promised blocks first"'
PHASE = '\n[[phase]]\nname = "more"\nfrom = 2027-03-01\n[phase.change.{}]\n{}\n'


def test_new_people_where_nobody_is_ever_new_are_told(tmp_path: Path) -> None:
    assert list(looks(small(tmp_path))) == []
    assert list(looks(small(tmp_path, ABSENCE, NEW))) == [NOBODY]
    assert list(looks(small(tmp_path, ABSENCE, f'{NEW}\nleaves = "30 % a year"'))) == []
    assert NOBODY in " ".join(page(small(tmp_path, ABSENCE, NEW)).split())


@pytest.mark.parametrize(("people", "says"), [(3, []), (1, [NOBODY])])
def test_a_crew_that_grows_later_has_new_people(people: int, says: list[str], tmp_path: Path) -> None:
    text = SMALL.replace(ABSENCE, NEW) + PHASE.format("crew.growers", f"people = {people}")
    assert list(looks(written(tmp_path, text))) == says


@pytest.mark.parametrize(
    ("rules", "says"),
    [
        (
            'call_in = "push"\nmoving_days = ["mon"]',
            ['moving_days is given, but call_in is "push": it has no say.'],
        ),
        (
            'surplus_blocks = "wait on the rack"\nsurplus_left = "3 d"',
            ['surplus_left is given, but surplus_blocks is "wait on the rack": it has no say.'],
        ),
        (
            'clear_out = "after the last flush"\nsmall_flush = "30 %"',
            ['small_flush is given, but clear_out is "after the last flush": it has no say.'],
        ),
        ('surplus_blocks = "fruit"\nsurplus_left = "3 d"', []),
    ],
)
def test_a_figure_of_a_rule_that_is_chosen_otherwise_is_told(rules: str, says: list[str], tmp_path: Path) -> None:
    assert list(looks(small(tmp_path, RULES, f"{RULES}\n{rules}"))) == says


def test_a_figure_of_a_rule_that_is_chosen_later_is_not_told(tmp_path: Path) -> None:
    rules = f'{RULES}\ncall_in = "push"\nmoving_days = ["mon"]'
    text = SMALL.replace(RULES, rules) + PHASE.format("rules", 'call_in = "on moving days"')
    assert list(looks(written(tmp_path, text))) == []


def test_making_blocks_without_a_pace_for_it_takes_no_time_and_is_told(tmp_path: Path) -> None:
    mixed = SMALL[SMALL.index("[mix]") : SMALL.index("[sterilizer]")]
    takes_no_time = '"mix" is a duty of makers, but no [mix] gives its pace: it takes no time.'
    assert list(looks(small(tmp_path, mixed, ""))) == [takes_no_time]
