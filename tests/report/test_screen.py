"""The screen keeps its size and tells what there is, whatever the farm."""

import re
from dataclasses import replace

import pandas as pd
import pytest

from farmsim.report.screen import screen
from farmsim.report.words import adding_up, share
from farmsim.study.answers import Answers, Change, Drift, Known, Settled, Week
from farmsim.study.customer_answers import Firmness, Left, RoundKept, Stall, WhyShort
from farmsim.study.promises import gap


def sized(text: str) -> None:
    lines = text.splitlines()
    assert len(lines) <= 54  # the command adds the line that tells where the result is
    assert max(map(len, lines)) <= 100


def alone(answers: Answers) -> Answers:
    """The same as one run would tell it."""
    weeks = {
        name: Week(*(Known(one.value, None) for one in (week.thin, week.usual, week.fat, week.mean)))
        for name, week in answers.weeks.items()
    }
    totals = {name: replace(total, mean=Known(total.mean.value, None)) for name, total in answers.totals.items()}
    return replace(answers, study=replace(answers.study, runs=1), weeks=weeks, totals=totals)


def test_a_farm_with_much_to_tell_still_fits(answers: Answers) -> None:
    many = [replace(answers.promises[0], customer=f"market stall by the river {at}") for at in range(12)]
    places = [replace(answers.places[0], name=f"walk-in of the hall {at}", kind="walk-in") for at in range(8)]
    crews = [replace(answers.crews[0], name=f"night pickers {at}") for at in range(6)]
    names = (*(one.name for one in places), *(one.name for one in crews))
    guesses = tuple((f"{at} {meaning}", 6) for at in range(3) for meaning, _ in answers.guesses)
    farm = replace(
        answers, promises=tuple(many), places=tuple(places), crews=tuple(crews), tight=names, guesses=guesses
    )
    sized(screen(farm))
    assert "less so" in screen(farm)


def test_a_long_name_leaves_its_neighbours_on_the_first_line_alone(answers: Answers) -> None:
    first = screen(
        replace(answers, study=replace(answers.study, farm="Upper hillside by the old lane " * 3))
    ).splitlines()[0]
    assert len(first) <= 100
    assert first.startswith("Upper hillside") and "Mon 4 Jan 2027  " in first and first.endswith("guesses (below)")


def test_two_runs_are_both(answers: Answers) -> None:
    assert "; both runs lie between " in " ".join(screen(answers).split())


def test_one_run_withholds_how_sure_it_is_and_says_so(answers: Answers) -> None:
    text = screen(alone(answers))
    sized(text)
    assert "One run cannot say" in text
    assert "+-" not in text
    assert "lie between" not in text


def test_a_farm_that_did_not_settle_tells_no_usual_week(answers: Answers) -> None:
    growing = Settled("did not settle", 8, 25, "blocks_inside", Known(12.0, 2.0))
    text = screen(replace(answers, settled=growing))
    sized(text)
    assert "NOT SETTLED" in text and "A WEEK" not in text and "8 WEEKS" not in text


@pytest.mark.parametrize("verdict", ["slow start", "starts empty", "months differ"])
def test_a_farm_that_still_fills_up_gets_a_warning(answers: Answers, verdict: str) -> None:
    assert "MIND" in screen(replace(answers, settled=Settled(verdict, 8, 5, "picked_kg")))


def test_nothing_promised_nothing_tight_nothing_lost(answers: Answers) -> None:
    text = screen(replace(answers, promises=(), gap=None, block_gap=None, tight=(), losses=(), guesses=(), months=()))
    sized(text)
    assert "PROMISES" not in text and "GUESSED" not in text
    assert "Nothing: no place was full" in text


def changed(answers: Answers, weeks: tuple[int, ...]) -> Answers:
    """The same farm with changes in those weeks of 8."""
    days = [f"2027-01-{4 + 7 * (week - 1):02d}" if week < 5 else "2027-03-29" for week in weeks]
    made = tuple(
        Change(day, week, ("crew owner, people 1 -> 2", "room Annex comes"))
        for day, week in zip(days, weeks, strict=True)
    )
    before = max((week - 1 for week in weeks if week <= 8), default=0)
    return replace(answers, study=replace(answers.study, changes=made, before=before))


def test_a_dated_change_is_told_with_what_differs_and_which_weeks_are_told(answers: Answers) -> None:
    text = screen(changed(answers, (3,)))
    sized(text)
    assert "CHANGES       Mon 18 Jan 2027, week 3: crew owner, people 1 -> 2; room Annex comes.\n" in text
    assert "Told here are the 6 weeks since then; weekly.csv has all 8.\n" in text
    assert "\nA WEEK from 18 Jan 2027 " in text
    assert " lb picked, before and after the change; both runs" in " ".join(text.split())


def test_a_change_beyond_the_simulated_weeks_is_told_as_one(answers: Answers) -> None:
    text = screen(changed(answers, (13,)))
    assert "1 change comes after these 8 weeks." in text
    assert "Told here" not in text and "\nA WEEK  " in text and "before and after" not in text


def test_many_changes_still_fit(answers: Answers) -> None:
    text = screen(changed(answers, (1, 2, 3, 4, 13, 14)))
    sized(text)
    assert "1 change before these." in text and "2 changes come after these 8 weeks." in text


def test_a_farm_that_has_not_got_used_to_its_change_is_not_asked_for_a_longer_lead_in(answers: Answers) -> None:
    farm = changed(answers, (3,))
    slow = " ".join(screen(replace(farm, settled=Settled("slow start", 8, 5, "picked_kg"))).split())
    assert "needs 5 weeks to get used to the change" in slow and "lead_in" not in slow
    grows = Settled("did not settle", 8, 5, "picked_kg", Known(4.0, 1.0))
    never = " ".join(screen(replace(farm, settled=grows)).split())
    assert "in run after run, since the last change." in never and "lead_in" not in never


def test_stock_that_still_grows_is_told_with_its_figures_and_withholds_nothing(answers: Answers) -> None:
    settled = Settled("settled", 8, stock=Drift(426.8, 575.6), past_date=Drift(3.4, 5.1))
    text = screen(replace(answers, settled=settled))
    assert (
        "The stock in the cooler still grows: 941 to 1,269 lb from the first to the last quarter of these weeks "
        "(past date 7.5 to 11 lb a week)."
    ) in " ".join(text.split())
    assert "A WEEK" in text


def test_how_sure_it_is_is_told_of_what_is_picked_and_of_what_is_sold(answers: Answers) -> None:
    text = " ".join(screen(answers).split())
    assert re.search(
        r"picked \+-\S+ lb in a usual and \+-\S+ in the average week, \+-\S+ in the run; sold to orders ", text
    )


def test_promises_are_told_in_pounds_and_in_orders(answers: Answers) -> None:
    one = replace(answers.promises[0], customer="stall", promised=100.0, delivered=95.0, orders=4.0, orders_complete=3.0,
                  lines=10.0, lines_complete=9.0, unit="blocks")  # fmt: skip
    text = " ".join(screen(replace(answers, promises=(one,))).split())
    assert "95 %: 95 of 100 blocks a week; orders complete 75 %, lines 90 %" in text
    every = replace(one, delivered=100.0, orders_complete=4.0, lines_complete=10.0)
    assert "100 %: 100 of 100 blocks a week; all orders complete" in screen(replace(answers, promises=(every,)))


def test_benches_are_told_of_the_hours_with_people_there(answers: Answers) -> None:
    bench = replace(answers.places[0], name="benches", staffed=True, full_waiting=0.34, bad=())
    text = screen(replace(answers, places=(bench,), crews=(), tight=("benches",)))
    assert "full with lots waiting 34 % of the hours with people there; " in text
    text = screen(replace(answers, places=(replace(bench, staffed=False),), crews=(), tight=("benches",)))
    assert "full with lots waiting 34 % of the time; " in text


def test_names_with_line_breaks_and_signs_that_steer_a_screen_stay_on_their_line(answers: Answers) -> None:
    odd = replace(answers.promises[0], customer="market\nstall \x1b[31m by\tthe  river")
    text = screen(replace(answers, promises=(odd,), study=replace(answers.study, farm="One\r\nshed")))
    assert "PROMISES      market stall [31m by the river  " in text
    assert text.startswith("One shed: 2 runs")
    sized(text)


def test_rounded_parts_add_up() -> None:
    assert adding_up([100.4, 0.4, 0.4]) == ["101", "0", "0", "101"]
    assert adding_up([0.44, 0.44, 0.44]) == ["0.5", "0.4", "0.4", "1.3"]  # a small sum shows its tenths
    assert adding_up([1379.6, 150.3, 60.4]) == ["1,380", "150", "60", "1,590"]


ALONE = ("More in stock", "more standing")  # lines with a figure in the average week only


def average_week(text: str) -> dict[str, float]:
    """The average column of the screen, by label."""
    found = {}
    for line in text.splitlines():
        label, figures = line[:26].strip(), re.findall(r"-?\d[\d,]*(?:\.\d)?", line[26:66])
        if len(figures) == (1 if label in ALONE else 4):
            found[label] = float(figures[-1].replace(",", ""))
    return found


def test_the_average_week_adds_up_as_printed(answers: Answers) -> None:
    average = average_week(screen(answers))
    assert average["Mushrooms picked"] == pytest.approx(average["firsts"] + average["seconds"] + average["culls"])
    went = ("Sold to orders", "To the outlet", "Past date in the cooler", "More in stock")
    assert average["firsts"] + average["seconds"] == pytest.approx(sum(average.get(name, 0.0) for name in went))
    blocks = ("fruited here", "sold ready to fruit", "contaminated", "too old", "more standing")
    assert average["Blocks bought"] == pytest.approx(sum(average.get(name, 0.0) for name in blocks))


def test_stalls_firmness_and_who_left_are_told_with_the_promises(answers: Answers) -> None:
    stalls = (
        Stall("market", "oyster", 20.0, 18.0, 16.0, 4.0, 0.0, 0.25),
        Stall("market", "shiitake", 10.0, 5.0, 5.0, 5.0, 0.0, 0.0),
        Stall("fair", "oyster", 10.0, 6.0, 6.0, 0.0, 4.0, 0.0),
    )
    firm = (Firmness("signed", 100.0, 99.0), Firmness("hoped for", 40.0, 30.0), Firmness("letter", 0.0, 0.0))
    left = (Left("bistro", 1, 20, 8.0),)
    metric = replace(answers.study, system="metric")
    text = " ".join(screen(replace(answers, study=metric, stalls=stalls, firmness=firm, left=left)).split())
    assert (
        "market sold 21 of 30 kg a week brought, 9 came back; asked for 23; oyster sold out on 25 % of its days" in text
    )
    assert "fair sold 6 of 10 kg a week brought, nothing came back and 4 lost; asked for 6" in text
    assert "By how firm they are: signed 99 % and hoped for 75 %." in text
    assert "Left because deliveries were short: bistro in 1 of 2 runs, half of them by week 20 (8 kg a week)." in text


def test_dust_of_sums_is_not_missing() -> None:
    rounds = pd.DataFrame({"customer": ["a"], "strain": ["b"], "weekday": ["mon"], "short": [7e-15]})
    assert gap(rounds, "kg") is None


def test_why_orders_were_short_and_rounds_that_did_not_go_are_told(answers: Answers) -> None:
    metric = replace(answers.study, system="metric")
    rounds = (
        RoundKept("town", 100.0, 80.0, 15.0, 5.0, 0.0, 0.5),
        RoundKept("market", 50.0, 50.0, 0.0, 0.0, 0.0, 0.95),
        RoundKept("quiet", 50.0, 50.0, 0.0, 0.0, 0.0, None),
    )
    told = replace(answers, study=metric, rounds=rounds, why_short=WhyShort(3.0, 0.0, 2.0, 4.0))
    text = " ".join(screen(told).split())
    assert "Missing a week: 4 because the round did not go, 2 for want of room in the van, 3 not there (kg)." in text
    assert "Rounds: town late 15 %, not gone 5 % for want of people or van; market van 95 % full." in text
    plain = replace(told, rounds=rounds[2:], why_short=WhyShort(3.0, 0.0, 0.0, 0.0))
    assert "Missing a week" not in screen(plain) and "Rounds:" not in screen(plain)


def test_a_share_that_is_all_but_for_the_dust_of_sums_is_all() -> None:
    assert (share(1 - 1e-15), share(0.996), share(1e-15), share(0.001)) == ("100 %", "over 99 %", "0 %", "under 1 %")
