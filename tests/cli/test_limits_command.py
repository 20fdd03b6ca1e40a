"""`farmsim limits` as a user meets it: what limits now and next, then every step; the folder; what it says of each verdict."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from subprocess import CompletedProcess

import pandas as pd
import pytest
from as_user import farmsim_in

import farmsim
from farmsim.report.limits import screen
from farmsim.study.answers import Crew, Place
from farmsim.study.compare import Difference
from farmsim.study.limits_answers import Asked, Gain, Held, Limits

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
QUICK = ("--runs", "4", "--weeks", "4", "--workers", "1")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("user")


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "limits", str(TINY), *QUICK)


def test_what_limits_comes_before_the_steps(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[0] == "One shed: what one step more of each place and crew would bring"
    order = [
        ran.stdout.index(part)
        for part in ("LIMITS NOW", "NOT THE FARM", "ONE STEP MORE", "HOW SURE", "TOOK", "WRITTEN")
    ]
    assert order == sorted(order)


def test_the_folder_holds_what_was_found_and_json_says_the_same(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "tiny-limits"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "answer.json", "limits.csv", "active_periods.csv", "figures/limits.png",
        "figures/limits.svg", "scenario/tiny.toml",
    }  # fmt: skip
    assert (folder / "screen.txt").read_text() in ran.stdout
    table = pd.read_csv(folder / "limits.csv")
    assert set(table["where"]) >= {"racks", "walk-in", "opening benches", "Shed", "owner", "both"}
    done = farmsim_in(here, "limits", str(TINY), *QUICK, "--json", "--out", "again")
    assert json.loads(done.stdout) == json.loads((folder / "answer.json").read_text())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "Missing argument 'FILE'"),
        (("not-there.toml",), "not-there.toml"),
        ((str(TINY), "--runs", "3"), "3 is not in the range 4 to 10,000"),
    ],
)
def test_what_cannot_be_is_told_in_a_line(here: Path, words: tuple[str, ...], told: str) -> None:
    done = farmsim_in(here, "limits", *words, "--out", "nothing")
    assert done.returncode == 2 and told in done.stderr and "Traceback" not in done.stderr
    assert not (here / "nothing").exists()


# --- every verdict has its sentence -----------------------------------------------------------------------------------


def line(mean: float, give: float | None, unit: str = "kg/week") -> Difference:
    return Difference("sold", unit, 100.0, 100.0 + mean, mean, give, None)


def gain(where: str, more: str, *figures: Difference, kind: str = "place") -> Gain:
    name = more if kind == "outside" else f"{where}: {more}"
    return Gain(where, kind, more, name, 14, "may be the best", figures)


def place(name: str, staffed: bool = False, waiting: float = 0.3) -> Place:
    return Place(
        name=name, kind="shelf", unit="blocks", capacity=50.0, staffed=staffed, used=0.8, full_waiting=waiting, full_quiet=0.12,
        done_no_place=0.0, idle=0.2, waited=3.0, wait=30.0, long_wait=60.0, busiest=0, busiest_used=0.9, hours=(), bad=(),
        worst=0, worst_share=0.0,
    )  # fmt: skip


PICKERS = Crew("pickers", 3.0, 105.0, 99.75, 2.0, 0.95, 0.4, 0, 1.0, (), (), 0, 0.0, ())
ASKED = gain("more is asked for", "5 % more asked for by everybody", line(0.2, 1.0), kind="outside")
STARTED = gain("more blocks are started", "5 % more blocks of every line started", line(0.0, None), kind="outside")
BOTH = gain("both", "both, 5 % more started and asked for", line(20.0, 3.0), kind="outside")
ROOM = gain("East", "a bay of 50 shelf places more", line(7.5, 2.5), line(0.0, None, "blocks/week"))
HAND = gain("pickers", "one more person, Mon to Fri", line(6.0, 3.0), line(0.0, None, "blocks/week"), kind="crew")
TANK = gain("soak tanks", "one more soak tank", line(1.0, 4.0), line(0.0, None, "blocks/week"))
RACK = gain("racks", "50 more places", line(0.0, None), line(0.0, None, "blocks/week"))
NOW = Asked(300.0, (ROOM, HAND, TANK, RACK), (BOTH, ASKED, STARTED), ROOM.name, (HAND.name,))
THEN = Asked(307.5, (TANK,), (BOTH, ASKED, STARTED), None, ())
FOUND = Limits(
    farm="Farm", system="metric", currency="EUR", start="2027-01-04", weeks=52, since=0, seed=1, lead_in=8, first=7, runs=14,
    sure=0.95, worth=0.01, fuller=False, figure="sold to orders and at stalls", now=NOW, then=THEN, relieved=ROOM.name,
    places=(place("East"), place("soak tanks", staffed=True), place("racks", waiting=0.0)), crews=(PICKERS,),
    held=(Held("East", "place", 0.3, 0.2, 0.05, 12.0),), not_asked=(("owner: an hour a day longer", "crew 1: too long."),),
)  # fmt: skip


def said(found: Limits) -> str:
    return " ".join(screen(found).split())


def test_what_limits_now_and_next_and_what_was_seen() -> None:
    text = said(FOUND)
    assert "LIMITS NOW East. A bay of 50 shelf places more brings 7.5 kg a week more sold, surely over 5" in text
    assert "Not told apart from it: pickers: one more person, Mon to Fri (+6 (3 to 9))." in text
    assert (
        "Seen there: full and lots waiting 30 % of the time (3 lots a week wait 1.2 days); full, nothing waits 12 %; idle 20 %."
        in text
    )
    assert (
        "LIMITS NEXT With that step taken (East: a bay of 50 shelf places more): no place and no crew. No step brings as much "
        "as 1 % more sold. What limits is the blocks started and the orders, the two together." in text
    )
    assert "Both, 5 % more started and asked for: 20 kg a week more sold, surely over 17." in text
    assert "5 % more asked for by everybody: no difference found (-0.8 to +1.2 kg a week)." in text
    assert "5 % more blocks of every line started: the same in every run." in text
    assert "Which place or crew would limit then: ask with --fuller." in text


def test_every_step_stands_in_the_table_or_is_told_below_it() -> None:
    text = said(FOUND)
    assert "pickers all at work and more waiting 40 % of their time; 95 % of 105 h a week at work; 2 h overtime" in text
    assert "one more person, Mon to Fri +6 (3 to 9)" in text and "one more soak tank -3 to +5" in text
    assert "full and lots waiting 30 % of the hours with people there" in text
    assert "The same in every run: racks: 50 more places." in text
    assert "With none of these steps were more or fewer blocks sold." in text
    assert "Not asked: owner: an hour a day longer. crew 1: too long." in text
    assert "were not followed up. All that is told holds together with 95 in 100" in text
    assert '"Sold" is what is sold to orders and at stalls.' in text


def test_shares_of_hours_with_people_there_are_not_mixed_with_those_of_all_hours() -> None:
    """A bench is full 30 % of the few hours with people there; of all hours it is idle for most."""
    text = said(FOUND)
    bench = "full and lots waiting 30 % of the hours with people there (3 lots a week wait 1.2 days); "
    assert f"soak tanks {bench}of all hours full, nothing waits 12 %; idle 20 %" in text
    assert (
        "Seen there: full and lots waiting 30 % of the time (3 lots a week wait 1.2 days); full, nothing waits" in text
    )
    hardly = replace(FOUND, places=(place("East"), place("soak tanks", waiting=0.0, staffed=True)))
    assert "soak tanks hardly ever full with lots waiting; of all hours full, nothing waits 12 %; idle 20 %" in said(
        hardly
    )


@pytest.mark.parametrize(
    ("since", "weeks", "told"),
    [
        (5, 25, "WEEKS All of it is told of weeks 6 to 30, since the farm's last change, and of what is there then. LIMITS"),
        (35, 1, "told of week 36 alone, since the farm's last change, and of what is there then. Only the week is told that "
                "follows the farm's last change: give more --weeks. LIMITS"),
        (33, 3, "told of weeks 34 to 36, since the farm's last change, and of what is there then. Only the 3 weeks are told "
                "that follow the farm's last change: give more --weeks. LIMITS"),
        (32, 4, "told of weeks 33 to 36, since the farm's last change, and of what is there then. LIMITS"),
    ],
)  # fmt: skip
def test_of_a_farm_that_changes_it_is_told_of_which_weeks(since: int, weeks: int, told: str) -> None:
    assert told in said(replace(FOUND, since=since, weeks=weeks))
    assert "WEEKS" not in said(FOUND)


def test_the_next_limit_is_named_and_said_again_when_it_is_the_same() -> None:
    asked = replace(THEN, steps=(HAND, ROOM), best=HAND.name, not_told_apart=(ROOM.name,))
    text = said(replace(FOUND, then=asked))
    assert "pickers. One more person, Mon to Fri, brings 6 kg a week more sold, surely over 3" in text
    assert "Not told apart from it: East: a bay of 50 shelf places more (+7.5 (5 to 10))." in text
    again = replace(THEN, steps=(ROOM,), best=ROOM.name)
    assert "(East: a bay of 50 shelf places more): East again. A bay" in said(replace(FOUND, then=again))


@pytest.mark.parametrize(
    ("sure", "told"),
    [
        ((True, True, True), "What limits is what is started and what is asked for, each by itself."),
        ((True, True, False), "What limits is what is asked for: the orders."),
        ((True, False, True), "What limits is the blocks started."),
        ((True, False, False), "What limits is the blocks started and the orders, the two together."),
        (
            (False, False, False),
            "Nor was anything found that 5 % more started or asked for would bring: more runs may tell.",
        ),
    ],
)
def test_where_nothing_on_the_farm_limits_that_is_said_and_what_does(sure: tuple[bool, ...], told: str) -> None:
    more, none = line(5.0, 1.0), line(0.1, 1.0)
    outside = tuple(
        replace(one, figures=(more if is_sure else none,))
        for one, is_sure in zip((BOTH, ASKED, STARTED), sure, strict=True)
    )
    now = replace(NOW, steps=(TANK, RACK), outside=outside, best=None, not_told_apart=())
    text = said(replace(FOUND, now=now, then=None, relieved=None))
    assert f"LIMITS NOW No place and no crew. No step brings as much as 1 % more sold. {told}" in text
    assert "LIMITS NEXT" not in text


def test_what_the_runs_do_not_rule_out_is_not_taken_for_nothing() -> None:
    """A step that may bring much is no proof that the orders limit, though more orders surely bring something."""
    tank = replace(TANK, figures=(replace(TANK.judged, needed=40), *TANK.figures[1:]))
    asked = replace(NOW, steps=(tank, RACK), best=None, not_told_apart=(), open=(tank.name,))
    text = said(replace(FOUND, now=asked, then=None, relieved=None))
    assert (
        "LIMITS NOW Not found. No step surely brings more sold, but these runs do not rule out soak tanks: one more soak tank "
        "(-3 to +5 kg a week, about 40 runs would tell): ask with more --runs." in text
    )
    assert "What limits is" not in text
    others = tuple(replace(tank, name=f"tank {at}") for at in range(4))
    many = replace(asked, steps=others, open=tuple(each.name for each in others))
    assert "would tell) and 2 more: ask with" in said(replace(FOUND, now=many, then=None, relieved=None))


def test_money_and_blocks_have_their_columns_where_they_differ() -> None:
    dear = gain(
        "East",
        "a bay of 50 shelf places more",
        line(7.5, 2.5),
        line(4.0, 1.0, "blocks/week"),
        line(5200.0, 900.0, "currency/year"),
    )
    found = replace(FOUND, now=replace(NOW, steps=(dear,), best=dear.name, not_told_apart=()), then=None)
    text = said(found)
    assert "surely over 5; 4 blocks a week more sold, surely over 3; 5,200 EUR a year more, surely over 4,300." in text
    assert "sold, kg a week blocks a week EUR a year" in text
    assert "+7.5 (5 to 10) +4 (3 to 5) +5,200 (4,300 to 6,100)" in text
    assert "Money is what is left after wages and energy; what a step costs to buy is not in it." in text
    assert max(map(len, screen(found).splitlines())) <= 100
    all_paid = replace(dear, figures=(*dear.figures[:2], replace(dear.figures[2], name="net operating income")))
    text = said(replace(found, now=replace(found.now, steps=(all_paid,))))
    assert "Money is what is left after all costs that the farm gives (net operating income); what a step costs" in text


def test_a_fuller_farm_is_said_to_be_one_and_in_pounds() -> None:
    text = said(replace(FOUND, fuller=True, system="us"))
    assert text.startswith("Farm, with 5 % more started and asked for: what one step more")
    assert "17 lb a week more sold" in text and "--fuller" not in text
