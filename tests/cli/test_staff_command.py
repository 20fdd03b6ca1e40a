"""`farmsim staff` as a user meets it: sentences first; the change set is accepted by the other commands; what it refuses."""

import json
from dataclasses import replace
from pathlib import Path
from subprocess import CompletedProcess

import pandas as pd
import pytest
from as_user import farmsim_in
from matplotlib.patches import Rectangle

import farmsim
from farmsim.report.figures import crew_week
from farmsim.report.staff import RUNNERS_UP, screen
from farmsim.study.answers import Crew, Settled
from farmsim.study.compare import Difference
from farmsim.study.staff_found import Lost, Staffed, Tried
from farmsim.study.targets import USUAL, judge, read

ROOT = Path(farmsim.__file__).parents[1]
TINY = ROOT / "scenarios" / "tiny.toml"
TARGET = ("--target", "delivered 70 %")
QUICK = ("--rounds", "1", "--most", "10", "--runs", "2", "--weeks", "6", "--workers", "1")


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a farm that has far more hours than it needs."""
    folder = tmp_path_factory.mktemp("user")
    long = TINY.read_text().replace('mon-fri = "07:00-10:30", sat = "07:00-09:00"', 'mon-sat = "07:00-13:00"')
    (folder / "shed.toml").write_text(long, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def ran(here: Path) -> CompletedProcess[str]:
    return farmsim_in(here, "staff", "shed.toml", *TARGET, *QUICK)


def test_sentences_come_first_and_fit_the_screen(ran: CompletedProcess[str]) -> None:
    assert ran.returncode == 0, ran.stderr
    lines = ran.stdout.splitlines()
    assert max(map(len, lines)) <= 100
    assert lines[0] == "One shed: the cheapest crews that surely keep what is wanted"
    heads = [line.split("  ")[0] for line in lines if line[:1].isupper()][1:]
    assert heads == ["WANTED", "CHEAPEST", "OTHERS", "AT WORK", "DIFFERS", "TAKE CARE", "HOW SURE", "TOOK", "WRITTEN"]
    text = " ".join(ran.stdout.split())
    assert "CHEAPEST Owner shifts 1 h shorter. Paid hours: 6 h a week less, surely over 6.0 (36 -> 30)." in text
    assert "surely at least 70 % (now" in text
    assert "No wage is given for owner: paid hours are counted instead of money." in text
    assert "Law and agreements on hours" in text and "the search is local" in text


def test_the_folder_holds_the_change_set_and_all_that_was_tried(here: Path, ran: CompletedProcess[str]) -> None:
    folder = here / "outputs" / "shed-staff"
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert names == {
        "run.json", "about.json", "screen.txt", "answer.json", "staff.csv", "load.csv", "staff.toml", "scenario/shed.toml",
        "figures/crew-week.png", "figures/crew-week.svg",
    }  # fmt: skip
    assert (folder / "staff.toml").read_text() == (
        'based_on = "scenario/shed.toml"\nname     = "cheaper crews"\n\n[change.crew."owner"]\n'
        'hours = { mon-sat = "07:00-12:00" }\n'
    )
    table = pd.read_csv(folder / "staff.csv")
    assert {
        "round",
        "crews",
        "beside_best",
        "runs",
        "cost",
        "delivered",
        "fate",
        "lost_by",
        "how_much",
        "surely",
    } == set(table.columns)
    load = pd.read_csv(folder / "load.csv")
    assert len(load) == 168 and load["used"].between(0, 1).sum() == 6 * 5


def test_the_change_set_is_checked_run_and_compared(here: Path, ran: CompletedProcess[str]) -> None:
    change = str(here / "outputs" / "shed-staff" / "staff.toml")
    short = ("--runs", "2", "--weeks", "2", "--workers", "1")
    assert farmsim_in(here, "check", change).returncode == 0
    assert farmsim_in(here, "run", change, *short).returncode == 0
    done = farmsim_in(here, "compare", "shed.toml", change, *short)
    assert done.returncode == 0 and "paid hours  6 h a week less, surely over" in done.stdout


def test_json_says_the_same_and_nothing_else(here: Path, ran: CompletedProcess[str]) -> None:
    done = farmsim_in(here, "staff", "shed.toml", *TARGET, *QUICK, "--json", "--out", "again")
    told = json.loads(done.stdout)
    assert told == json.loads((here / "outputs" / "shed-staff" / "answer.json").read_text())
    assert told["changes"] == ["owner shifts 1 h shorter"] and told["meets_the_targets"] is True
    assert told["cost_less"] == {"mean": 6.0, "low": 6.0, "high": 6.0}
    assert told["targets"][0]["target"] == "delivered" and len(told["load_by_hour"]["owner"]) == 168


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("staff",), "Missing argument 'FILE'"),
        (("staff", "not-there.toml"), "not-there.toml"),
        (("staff", "shed.toml", "--target", "happiness 9"), '"happiness 9" is no target; write one of delivered'),
        (("staff", "shed.toml", "--target", "delivered 120 %"), "the bound needs 0 % to 100 %"),
        (("staff", "shed.toml", "--rounds", "0"), "0 is not in the range 1 to 20"),
        (("staff", "shed.toml", "--most", "9"), "9 is not in the range 10 to 1,000"),
        (("staff", "shed.toml", "--runs", "1"), "1 is not in the range 2 to 10,000"),
        (
            ("staff", "shed.toml", "--target", "blocks delivered 95 %", "--workers", "1", "--weeks", "2"),
            'Error: "blocks delivered" cannot be judged: One shed has nothing of which that would be a share',
        ),
        (("staff", str(ROOT / "scenarios" / "growth.toml")), "changes on a date, and crews are searched for a farm that stays"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_in_a_line(here: Path, words: tuple[str, ...], told: str) -> None:
    done = farmsim_in(here, *words, "--out", "nothing")
    assert done.returncode == 2 and told in " ".join(done.stderr.split()) and "Traceback" not in done.stderr
    assert not (here / "nothing").exists()


# --- every verdict has its sentence ---------------------------------------------------------------------------------

DELIVERED = USUAL[0]
FEWER, SHORTER = ("packers 1 person instead of 2",), ("packers shifts 1 h shorter",)
HOURS = tuple(0.5 if 7 <= hour % 24 < 12 and hour < 120 else None for hour in range(168))
CREW = Crew("pickers", 2.0, 50.0, 25.0, 0.0, 0.5, 0.0, 8, 0.5, HOURS, (), 0, 0.0, ())


def found(
    delivered: float, is_sure: bool = True, changes: tuple[str, ...] = ("pickers 2 people instead of 3",)
) -> Staffed:
    """An answer in money whose delivered share is so much, give or take 0.2 points."""
    kept = judge(DELIVERED, [delivered - 0.002, delivered, delivered + 0.002])
    cost = Difference("wages", "currency/week", 1000.0, 600.0, -400.0, 20.0, None)
    tried = (
        Tried(1, (), (), 10, 1000.0, (0.98,), "dearer", Lost(None, 400.0, 350.4)),
        Tried(
            1,
            ("packers 1 person instead of 2",),
            ("packers 1 person instead of 2",),
            10,
            500.0,
            (0.88,),
            "misses",
            Lost(DELIVERED, 0.07, 0.0612),
        ),
        Tried(
            1,
            ("packers shifts 1 h shorter",),
            ("packers shifts 1 h shorter",),
            40,
            900.0,
            (0.951,),
            "not sure",
            Lost(DELIVERED, -0.001, None),
        ),
        Tried(1, changes, changes, 10, 600.0, (0.96,), "chosen", None),
    )
    lines = (cost, Difference("delivered of promised", "share", 0.98, 0.96, -0.02, 0.001, None)) if changes else None
    return Staffed(
        "Farm", "metric", "EUR", "2027-01-04", 52, 8, 1, 20, (DELIVERED,), (0.01,), "currency/week", (), 0.0, 0.0, 10.0, 0.95,
        True, 2, "nothing cheaper", is_sure, changes, 600.0, lines, (kept,), (judge(DELIVERED, [0.98, 0.981]),), tried,
        Settled("settled"), (CREW,),
        ("2 people, Mon to Fri, 07:00 to 12:00",), "based_on" if changes else "",
    )  # fmt: skip


def said(answer: Staffed) -> str:
    return " ".join(screen(answer, are_usual=False).split())


def test_cheaper_crews_and_why_the_others_lost() -> None:
    text = said(found(0.961))
    assert "CHEAPEST Pickers 2 people instead of 3. Wages: 400 EUR a week less, surely over 380 (1,000 -> 600)." in text
    assert "delivered 96 %, surely at least 95 % (now 98 %)." in text
    assert "Round 1, packers 1 person instead of 2: delivered 88 %, misses it by 7 points, surely over 6.1." in text
    assert "Round 1, packers shifts 1 h shorter: delivered 95.1 %, kept or not could not be told in 40 runs." in text
    assert "Round 1, the crews it began with: 400 EUR a week dearer than its best, surely over 350." in text
    assert "95 in 100 sure" in text and "With the crews found the farm had filled up before these weeks." in text
    assert "At work in over" not in text
    assert "with room to spare (delivered 1 point) is cheaper by 10 EUR a week or more" in text
    assert "pickers 50 50 50 50 50 - - Mon 08:00, 50 %" in text


def test_what_goes_on_top_of_wages_is_said_and_of_hours_nothing() -> None:
    assert "Overtime is paid at the plain wage. With the crews" in said(found(0.961))
    dear = replace(found(0.961), overtime_more=0.5, on_costs=0.1)
    assert "Overtime is paid 50 % above the wage. On-costs of 10 % of all wages are in the cost." in said(dear)
    assert "Overtime" not in said(replace(dear, no_wage=("pickers",)))


def test_what_further_luck_does_not_bear_out_is_said() -> None:
    assert "delivered 94 % (now 98 %): the search told at least 95 %, further luck does not bear it out" in said(
        found(0.94)
    )
    assert "at least 95 % by the search, not told again by these runs alone" in said(found(0.951))


def test_nothing_found_says_what_comes_closest_and_by_how_much_it_misses() -> None:
    text = said(found(0.92, is_sure=False))
    assert "NOT FOUND No crews that were tried surely keep all of that. Closest: Pickers 2 people instead of 3." in text
    assert "delivered 92 %: 3 points from at least 95 %, surely (now 98 %)." in text
    assert "it is not people that are short" in text
    assert "though not surely" in said(found(0.9495, is_sure=False))
    assert "not surely at least 95 %" in said(found(0.9505, is_sure=False))
    assert "that is kept" in said(found(0.97, is_sure=False))


def test_crews_that_are_the_cheapest_already() -> None:
    text = said(found(0.98, changes=()))
    assert (
        "CHEAPEST The crews as they are, 600 EUR a week: of those tried, none that is cheaper surely keeps it." in text
    )
    assert "staff.toml" not in text and "DIFFERS" not in text


def test_long_lists_are_cut_and_what_was_not_told_apart_is_said() -> None:
    answer = found(0.96)
    more = tuple(
        replace(answer.tried[1], changes=(f"packers {n} people instead of 20",), cost=700.0 + n) for n in range(12)
    )
    text = said(replace(answer, tried=(*answer.tried, *more), is_complete=False, ended="rounds used up"))
    assert f"{3 + 12 - RUNNERS_UP} more in staff.csv." in text
    assert "Not everything was told apart" in text and "more --rounds may find cheaper ones" in text


def test_crews_without_hours_to_spare_are_named() -> None:
    busy = replace(CREW, name="growers", used=0.93)
    answer = replace(found(0.96), load=(CREW, busy), sizes=("2 people", "3 people"))
    assert "At work in over 90 % of their hours: growers." in said(answer)


def test_targets_in_hours_are_told_in_hours() -> None:
    target = read("overtime 10 h")
    kept = judge(target, [8.0, 8.02])
    lost = Tried(
        1,
        ("packers 1 person instead of 2",),
        ("packers 1 person instead of 2",),
        10,
        500.0,
        (14.0,),
        "misses",
        Lost(target, 4.0, 3.0),
    )
    answer = replace(found(0.96), targets=(target,), slacks=(0.5,), kept=(kept,), now=(kept,), tried=(lost,))
    text = said(answer)
    assert "overtime 8 h a week, surely at most 10 h a week" in text and "(overtime 0.5 h a week)" in text
    assert "overtime 14 h a week, misses it by 4 h a week, surely over 3" in text


def test_the_picture_shades_hours_with_somebody_there() -> None:
    """Mondays are busier from nine on: two stretches; the other four days are one each."""
    busy = replace(CREW, hours=tuple(0.95 if 9 <= hour < 12 else used for hour, used in enumerate(HOURS)))
    figure = crew_week.draw(replace(found(0.96), load=(busy,)))
    (axes,) = figure.axes
    shaded = [(patch.get_x(), patch.get_width()) for patch in axes.patches if isinstance(patch, Rectangle)]
    assert shaded == [(7, 2), (9, 3), *[(7, 5)] * 4]
