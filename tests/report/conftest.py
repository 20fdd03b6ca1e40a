"""A made-up study's answers, written down by hand: all the report ever sees."""

import random
from collections.abc import Callable

import pytest

from farmsim.study.answers import (
    Answers,
    Crew,
    Flow,
    Gap,
    Known,
    Loss,
    Month,
    Place,
    Promise,
    Settled,
    Study,
    Total,
    Week,
)

LB = 0.45359237
LONG = "Upper hillside room by the lane"[:30]


def week(thin: float, usual: float, fat: float, mean: float, scale: float = 1.0) -> Week:
    return Week(*(Known(value * scale, 0.01 * value * scale) for value in (thin, usual, fat, mean)))


def total(mean: float, spread: float, runs: int, seed: int) -> Total:
    luck = random.Random(seed)
    values = tuple(luck.gauss(mean, spread) for _ in range(runs))
    ordered = sorted(values)
    return Total(Known(mean, spread / runs**0.5), ordered[runs // 10], ordered[runs // 2], ordered[-1 - runs // 10], values)


def place(name: str, kind: str, unit: str, capacity: float, used: float, seed: int, tight: bool = False) -> Place:
    luck = random.Random(seed)
    hours = tuple(max(0.0, min(1.0, used + 0.2 * luck.uniform(-1, 1))) for _ in range(168))
    bad = tuple(hour for hour in range(168) if tight and hour % 24 >= 16 and hour // 24 < 5)
    return Place(
        name=name, kind=kind, unit=unit, capacity=capacity, used=used, full_waiting=0.22 if tight else 0.004,
        full_quiet=0.05, done_no_place=0.03, idle=1 - used, waited=14.0 if tight else 0.4, wait=33.6 if tight else 2.0,
        long_wait=70.0 if tight else 5.0, busiest=87, busiest_used=min(1.0, used + 0.15), hours=hours, bad=bad,
        worst=18 if tight else 0, worst_share=0.61 if tight else 0.0,
    )  # fmt: skip


def crew(name: str, people: int, first: int, last: int, days: range, used: float, tight: bool = False) -> Crew:
    hours = tuple(
        used if hour // 24 in days and first <= hour % 24 < last else None for hour in range(168)
    )
    bad = tuple(hour for hour in range(168) if tight and hour // 24 == 0 and 9 <= hour < last)
    return Crew(
        name=name, people=people, rostered=40.0 * people, worked=40.0 * people * used, overtime=5.5 if tight else 0.0,
        used=used, full_waiting=0.3 if tight else 0.02, busiest=8, busiest_used=0.99, hours=hours, bad=bad,
        worst=11 if tight else 0, worst_share=0.72 if tight else 0.0, duties=(("pick", 90.0), ("pack", 30.0)),
    )  # fmt: skip


def months() -> tuple[Month, ...]:
    figures = [5300, 5900, 6700, 7000, 7600, 7100, 6900, 6800, 6700, 7000, 6600, 6500]
    days = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    found = [
        Month(f"2027-{place + 1:02d}-{4 if place == 0 else 1:02d}", days[place] - (3 if place == 0 else 0), place > 0,
              kg * 0.9 * LB, kg * LB, kg * 1.07 * LB, kg * LB * 7 / days[place])
        for place, kg in enumerate(figures)
    ]  # fmt: skip
    return (*found, Month("2028-01-01", 2, False, 300 * LB, 370 * LB, 440 * LB, 370 * LB * 3.5))


MANY = [("racks", "racks", "rack places", 15000.0, 0.74, False), ("sterilizer", "sterilizer", "blocks", 200.0, 0.62, False),
        ("clean bench", "clean bench", "benches", 2.0, 0.55, False), ("walk-in main", "walk-in", "crates", 900.0, 0.71, False),
        ("soak tanks", "soak tanks", "tanks", 6.0, 0.83, True), ("opening benches", "opening benches", "benches", 2.0, 0.4, False)]  # fmt: skip


def answers(rooms: int = 4, crews: int = 4, name: str = "", runs: int = 20, farm: str = "Four rooms") -> Answers:
    names = [f"{name[:26]} {number + 1}" if name else ("North", "South", "East", "West")[number % 4] for number in range(rooms)]
    places = tuple(place(what, kind, unit, size, used, seed, tight) for seed, (what, kind, unit, size, used, tight) in enumerate(MANY))
    shelves = tuple(place(room, "shelf", "shelf places", 1500.0, 0.82, 10 + at) for at, room in enumerate(names))
    hands = [crew(f"{name[:22] or 'crew'} {at + 1}", 2 + at, 6 + at, 14 + at, range(7 - at % 3), 0.8 + 0.03 * at, at == 0) for at in range(crews)]
    return Answers(
        study=Study(farm, "us", "USD", "2027-01-04", 52, runs, 1),
        settled=Settled("settled", 26),
        weeks={
            "picked_kg": week(1330, 1590, 1830, 1590, LB), "firsts_kg": week(1150, 1380, 1590, 1380, LB),
            "seconds_kg": week(90, 150, 210, 150, LB), "culls_kg": week(20, 60, 110, 60, LB),
            "packed_kg": week(1280, 1530, 1740, 1530, LB), "sold_kg": week(1190, 1395, 1475, 1395, LB),
            "outlet_kg": week(40, 90, 150, 90, LB), "past_date_kg": week(0, 45, 120, 45, LB),
            "promised_kg": week(1470, 1480, 1490, 1480, LB), "delivered_kg": week(1190, 1395, 1475, 1395, LB),
            "blocks_made": week(1800, 1900, 1900, 1900), "blocks_bought": week(0, 0, 0, 0),
            "blocks_sold": week(400, 480, 500, 480), "blocks_promised": week(500, 500, 500, 500),
            "blocks_fruited": week(1200, 1330, 1450, 1330), "blocks_lost": week(20, 90, 260, 90),
            "rostered_h": week(410, 410, 410, 410), "overtime_h": week(4, 11, 25, 12),
        },
        totals={
            "picked_kg": total(82700 * LB, 2500 * LB, runs, 1), "sold_kg": total(72500 * LB, 2500 * LB, runs, 2),
            "past_date_kg": total(2300 * LB, 400 * LB, runs, 3), "blocks_lost": total(4700, 350, runs, 4),
            "delivered": total(0.94, 0.01, runs, 5), "overtime_h": total(600, 90, runs, 6),
        },
        months=months(),
        promises=(
            Promise("restaurants", "kg", 700 * LB, 672 * LB, 4, 3.6), Promise("distributor", "kg", 500 * LB, 465 * LB, 2, 1.5),
            Promise("market stall", "kg", 280 * LB, 255 * LB, 2, 1.6), Promise("small growers", "blocks", 500, 480, 1, 0.8),
        ),
        gap=Gap("restaurants", "shiitake", "tue", "kg", 0.58), block_gap=Gap("small growers", "shiitake", "mon", "blocks", 0.9),
        places=(*places, *shelves), crews=tuple(hands), tight=("soak tanks", hands[0].name if hands else ""),
        losses=(Loss("contaminated", "blocks", 72, 0.038, "blocks"), Loss("too old", "blocks", 18, 0.009, "blocks"),
                Loss("culls", "kg", 60 * LB, 0.038, "picked"), Loss("past date", "kg", 45 * LB, 0.028, "picked")),
        flow=Flow(1900, 0, 72, 18, 480, 1330, 0),
        averages=("Averages alone say 1,690 lb a week and every promise kept.",),
        guesses=("picking pace of shiitake", "loss after a missed day"),
    )  # fmt: skip


@pytest.fixture(name="answers")
def answers_of() -> Callable[..., Answers]:
    return answers
