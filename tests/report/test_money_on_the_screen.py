"""Money on the screen: what is printed adds up, and says what it leaves out."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

import farmsim
from farmsim.report.money import money
from farmsim.report.screen import screen
from farmsim.scenario.prices import Energy
from farmsim.study.answers import Answers, Known, Total, Week
from farmsim.study.money_answers import Money

TINY = Path(farmsim.__file__).parents[1] / "scenarios" / "tiny.toml"


def week(mean: float) -> Week:
    return Week(*(Known(value, None) for value in (mean - 1, mean, mean + 1, mean)))


def total(mean: float) -> Total:
    return Total(Known(mean, None), mean - 5000, mean, mean + 5000, (mean,))


MONEY = Money(
    currency="USD",
    weeks={"taken": week(1000.9), "mushrooms": week(800.45), "blocks": week(200.45), "wages": week(500.5),
           "overtime_wages": week(12.3), "energy": week(100.4), "left": week(400.0)},
    totals={"taken": total(52_046.8), "left": total(20_800.0)},
    customers=(),
    no_price=("kiosk", "fair (nameko)"),
    no_wage=("owner",),
    has_energy=True,
)  # fmt: skip


def told(answers: Answers, found: Money) -> list[str]:
    return [line for part in money(replace(answers, money=found), []) for line in part]


def average(lines: list[str], label: str) -> float:
    line = next(line for line in lines if line.strip().startswith(label))
    return float(re.findall(r"-?[\d,]+(?:\.\d+)?", line[26:])[3].replace(",", ""))


def test_the_section_as_it_is_printed(answers: Answers) -> None:
    assert told(answers, MONEY) == [
        "MONEY A WEEK                    thin     usual       fat   average   in USD",
        "  Taken in                     1,000     1,001     1,002     1,001",
        "    for mushrooms                799       800       801       801",
        "    for blocks                   199       200       201       200",
        "  Wages                          500       500       502       500   of it overtime 12.3",
        "  Power and fuel                99.4       100       101       100",
        "  Left for all else              399       400       401       401",
        "              The average week adds up: left = taken in - wages - power and fuel. 8 weeks: 52,000",
        "              taken in, 20,800 left. This is no profit and loss: substrate, spawn, blocks bought in,",
        "              bags, boxes, van, rent, repairs, loans, taxes are not in it; no price is given for",
        "              kiosk and fair (nameko) and no wage for owner.",
    ]


def test_the_average_week_adds_up_as_printed(answers: Answers) -> None:
    lines = told(answers, MONEY)
    taken, mushrooms, blocks, wages, energy, left = (
        average(lines, label) for label in ("Taken", "for mush", "for blocks", "Wages", "Power", "Left")
    )
    assert taken == mushrooms + blocks
    assert left == taken - wages - energy


def test_a_farm_that_sells_no_blocks_and_gives_no_energy_has_no_lines_for_them(answers: Answers) -> None:
    bare = replace(MONEY, weeks={**MONEY.weeks, "blocks": week(0.0)}, has_energy=False)
    lines = told(answers, bare)
    assert not any("for blocks" in line or "Power and fuel  " in line for line in lines)
    assert "nothing for power and fuel" in " ".join(" ".join(lines).split())


def test_a_loss_is_shown_with_its_sign(answers: Answers) -> None:
    loss = replace(MONEY, weeks={**MONEY.weeks, "wages": week(2000.0), "left": week(-1099.5)})
    assert average(told(answers, loss), "Left") == 1001 - 2000 - 100


def test_without_prices_the_screen_says_nothing_of_money(answers: Answers) -> None:
    assert answers.money is None
    assert "MONEY" not in screen(answers)


@pytest.mark.parametrize("runs", [2, 12])
def test_the_screen_with_money_keeps_its_size(runs: int) -> None:
    farm = farmsim.load(TINY)
    farm = farm.but(customer=tuple(each.but(price=20.0) for each in farm.customer), energy=Energy(a_week=50.0))
    answers = farmsim.run(farm, runs=runs, weeks=3, workers=1).answers
    text = screen(answers)
    assert "MONEY A WEEK" in text
    added = sum(len(part) for part in money(answers, [""]))
    assert 8 <= added <= 12
    assert len(text.splitlines()) <= 48 + added and max(map(len, text.splitlines())) <= 100
    assert ("8 runs in 10 between" in " ".join(text.split())) == (runs >= 10)
