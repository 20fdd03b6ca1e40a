"""A figure whose line ends in a comment that begins with "guess" is no figure of the farm's own."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from farmsim.scenario.assumed import OWN, Assumed, assumed
from farmsim.scenario.check_page import page
from farmsim.scenario.farm import Farm

from .farms import SMALL, change, small, written


def sources(farm: Farm) -> dict[str, Assumed]:
    return {".".join(each.path): each for each in assumed(farm)}


@pytest.mark.parametrize(
    ("comment", "source"),
    [
        ("guess", "placeholder"),
        ("guess: asked a neighbour", "placeholder: asked a neighbour"),
        ("Guess - from memory: 6-12 kg/h", "from memory: 6-12 kg/h"),
        ("guess: common practice, no source", "common practice, no source"),
    ],
)
def test_a_marked_figure_is_a_guess_with_its_source(tmp_path: Path, comment: str, source: str) -> None:
    found = sources(small(tmp_path, 'pace = "60 blocks/h each"', f'pace = "60 blocks/h each"   # {comment}'))
    assert (found["mix.pace"].source, found["mix.pace"].is_guess) == (source, True)
    assert found["clean_bench.pace"].source == OWN


@pytest.mark.parametrize("comment", ["guess: S: suppliers' instruction sheets", "guess: worked out, 80 % full"])
def test_a_marked_figure_that_something_stands_behind_is_no_guess_but_has_its_source(
    tmp_path: Path, comment: str
) -> None:
    found = sources(small(tmp_path, 'shelf_life   = "14 d"', f'shelf_life = "14 d" # {comment}'))[
        "strain.shiitake.shelf_life"
    ]
    assert (found.source, found.is_guess) == (comment.removeprefix("guess: "), False)


@pytest.mark.parametrize(
    "comment", ["no guess: measured in March", "guesswork of the last owner, now measured", "5 lb"]
)
def test_other_comments_say_nothing(tmp_path: Path, comment: str) -> None:
    assert sources(small(tmp_path, '"60 blocks/h each"', f'"60 blocks/h each" # {comment}'))["mix.pace"].source == OWN


def test_a_mark_stands_for_its_own_line_only(tmp_path: Path) -> None:
    text = SMALL.replace('holds_ripe   = { on_the_rack = "10 d" }', "# guess: the line below\n"
                         'holds_ripe.on_the_rack = "10 d"\ncold_shock.loses = "4 % a day"  # guess')  # fmt: skip
    text = text.replace('cold_shock   = { least = "12 h", usual = "24 h", most = "96 h" }', 'cold_shock.least = "12 h"')
    found = sources(written(tmp_path, text))
    assert found["strain.shiitake.cold_shock.loses"].is_guess
    assert found["strain.shiitake.cold_shock.least"].source == OWN
    assert found["strain.shiitake.holds_ripe.on_the_rack"].source == OWN


def test_a_mark_reaches_the_break_among_the_hours_and_how_orders_vary(tmp_path: Path) -> None:
    text = SMALL.replace("varies = 0.25 }", "varies = 0.25 }  # guess").replace(
        'break = "30 min" }', 'break = "30 min" } # guess'
    )
    found = sources(written(tmp_path, text))
    guessed = {name for name, each in found.items() if each.source == "placeholder"}
    assert {"crew.makers.hours", "crew.makers.break"} <= guessed
    assert {"block_customer.growers.takes", "block_customer.growers.varies"} <= guessed


def test_a_mark_is_kept_by_a_change_set_that_leaves_the_figure_alone(tmp_path: Path) -> None:
    (tmp_path / "base.toml").write_text(SMALL.replace('pace = "60 blocks/h each"', 'pace = "60 blocks/h each" # guess'))
    text = 'based_on = "base.toml"\nname = "later"\n[change.crew.makers]\npeople = 3\n'
    assert sources(change(tmp_path, text))["mix.pace"].is_guess
    changed = sources(change(tmp_path, f'{text}[change.mix]\npace = "50 blocks/h"\n'))
    assert changed["mix.pace"].source == OWN


def test_marks_go_with_the_farm_to_other_processes(tmp_path: Path) -> None:
    farm = small(tmp_path, 'pace = "60 blocks/h each"', 'pace = "60 blocks/h each"  # guess')
    assert sources(pickle.loads(pickle.dumps(farm))) == sources(farm)
    assert farm.mix is not None and farm.mix.but(pace=50.0).guessed == {}


def test_check_lists_marked_figures(tmp_path: Path) -> None:
    text = page(small(tmp_path, 'pace = "60 blocks/h each"', 'pace = "60 blocks/h each"  # guess'))
    assert "- blocks one person mixes and bags in an hour: 60 blocks/h" in text.split("GUESSED")[1]


def test_a_mark_makes_no_other_farm(tmp_path: Path) -> None:
    marked = SMALL.replace('pace = "60 blocks/h each"', 'pace = "60 blocks/h each"  # guess')
    assert written(tmp_path, marked) == written(tmp_path, SMALL)
