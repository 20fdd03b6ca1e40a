"""The page that explains every column of every table: the measures by topic, then each table with its other columns."""

from __future__ import annotations

from typing import NamedTuple

from farmsim.record.measures import page_books
from farmsim.record.measures.registry import TOPICS


class Told(NamedTuple):
    """One table of a result folder: what a row of it is, and its columns that are no measures (name, unit, meaning)."""

    file: str
    row: str
    columns: tuple[tuple[str, str, str], ...]


RUN = ("run", "number", "which run, from 1")
CUSTOMER = ("customer", "name", "the customer")
STRAIN = ("strain", "name", "the strain")
WEEKDAY = ("weekday", "day", "the day of the week on which the round leaves: mon to sun")
LINES = (
    ("lines", "order lines", "order lines due: what an order holds of one strain"),
    ("lines_complete", "order lines", "of these lines, those of which nothing was missing when the round left"),
)
LOTS = "lots picked for the first time in the measured time: "
KINDS = (
    "kind of place: sterilizer, cooling, clean bench, racks, walk-in, soak tanks, opening benches, "
    "shelf (a fruiting room), van"
)

MONEY = (
    (
        "mushrooms",
        "currency",
        "what customers pay for fresh mushrooms: weight delivered x price of strain, grade and month",
    ),
    ("blocks", "currency", "what customers pay for blocks ready to fruit"),
    ("taken", "currency", "mushrooms + blocks"),
    ("wages", "currency", "paid hours x wage of their crew, overtime included; a crew without a wage costs nothing"),
    ("overtime_wages", "currency", "of the wages, those for hours after the end of a shift"),
    ("energy", "currency", "power and fuel, a seventh of an average week each day x factor of the month"),
    ("left", "currency", "taken - wages - energy: what is left for everything else; no profit"),
    (
        "other_costs",
        "currency",
        "of a farm that gives them: materials, packaging, disposal, on-costs of wages, fixed costs",
    ),
    (
        "operating",
        "currency",
        "net operating income, where other_costs are given: taken and what spent blocks bring - wages - energy - other_costs",
    ),
)
"""Columns of money, by the day of the delivery or of the shift. A day is rounded so that its line is right to the cent
counted from the start: what is printed adds up."""


def _rounds(unit: str) -> tuple[tuple[str, str, str], ...]:
    return (
        ("promised", unit, "promised for the rounds; what is carried to the next day counts there"),
        ("delivered", unit, "of what was promised, what was delivered"),
        ("short", unit, "of what was promised, what was never delivered"),
    )


TABLES: tuple[Told, ...] = (
    Told("weekly", "run and week; of a farm with phases, the column `phase` names the phase of the week", (
        RUN,
        ("week", "number", "measured week, from 1"),
    )),
    Told("months", "run and calendar month", (
        RUN,
        ("month", "year-month", "calendar month"),
        ("days", "days", "days of the month that were measured"),
    )),
    Told("money", "run and week, of a farm with prices", (RUN, ("week", "number", "measured week, from 1"), *MONEY)),
    Told("money_months", "run and calendar month, of a farm with prices", (
        RUN,
        ("month", "year-month", "calendar month"),
        ("days", "days", "days of the month that were measured"),
        *MONEY,
    )),
    Told("money_customers", "run and customer, of a farm with prices", (
        RUN,
        CUSTOMER,
        ("unit", "word", "kg of mushrooms, or blocks ready to fruit"),
        ("priced", "kg or blocks", "brought to the customer at a stated price"),
        ("not_priced", "kg or blocks", "brought to the customer though no price is given for it"),
        ("brought", "currency", "what the customer pays for it"),
    )),
    Told("money_strains", "run and strain, of a farm with prices", (RUN, STRAIN, *page_books.STRAINS)),
    Told("books_opening", "run, of a farm with books: the evening before the start", (RUN, *page_books.OPENING)),
    Told("books_months", "run and calendar month, of a farm with books", (RUN, *page_books.MONTHS)),
    Told("books_years", "run and year, of a farm with books", (RUN, *page_books.YEARS)),
    Told("books_customers", "run, year and customer, of a farm with books", (
        RUN,
        ("year", "number", "year from the start, from 1"),
        CUSTOMER,
        ("unit", "word", "kg of mushrooms, or blocks ready to fruit"),
        ("goods", "kg or blocks", "brought to the customer, whether a price is given for it or not"),
        ("paid", "currency", "what the customer pays for it"),
    )),
    Told("phases", "run and phase, of a farm with phases; sums of the whole phase, levels at its end", (
        RUN,
        ("phase", "number", "the phase, from 1"),
        ("name", "words", "its name"),
        ("first_week", "number", "measured week in which it begins"),
        ("weeks", "weeks", "how many measured weeks it lasts"),
    )),
    Told("strains", "run and strain", (
        RUN,
        STRAIN,
        ("first_pick_n", "lots", "lots picked for the first time in the measured time"),
        ("first_pick_mean", "days", f"{LOTS}mean days from start to first pick"),
        ("first_pick_p10", "days", f"{LOTS}1 of 10 took fewer days from start to first pick"),
        ("first_pick_p50", "days", f"{LOTS}half took fewer days from start to first pick"),
        ("first_pick_p90", "days", f"{LOTS}9 of 10 took fewer days from start to first pick"),
    )),
    Told("days", "run, strain and span", (RUN, STRAIN, ("span", "words", "from which step of a lot's life to which"))),
    Told("places", "run and place", (
        RUN,
        ("place", "name", "the place; shelf places promised to lots on their way are with their room"),
        ("kind", "words", KINDS),
        ("unit", "words", "what its places are counted in"),
        ("busiest_hour", "hour", "the hour of the week in which most of its places were used on average"),
        ("busiest_used_share", "share", "share of its places that were used in that hour"),
    )),
    Told("crews", "run and crew", (
        RUN,
        ("crew", "name", "the crew"),
        ("most_present", "people", "the most people present in one shift; days off in turn keep it below the crew's size"),
        ("busiest_hour", "hour", "the hour of the week in which the largest share of those present was at work on average"),
        ("busiest_used_share", "share", "share of the people present who were at work in that hour"),
    )),
    Told("places_weeks", "place and week, the mean of all runs", (
        ("place", "name", "the place; shelf places promised to lots on their way are with their room"),
        ("week", "number", "measured week, from 1"),
    )),
    Told("crews_weeks", "crew and week, the mean of all runs", (
        ("crew", "name", "the crew"),
        ("week", "number", "measured week, from 1"),
    )),
    Told("duties", "run, crew and duty that was done", (
        RUN,
        ("crew", "name", "the crew"),
        ("duty", "word", "the duty"),
        ("hours", "h", "hours of the crew's work at the duty, overtime included"),
    )),
    Told("strain_hours", "run, strain and duty that was done for it", (
        RUN,
        ("strain", "name", "the strain; last, work of no one strain: chores, cleaning an empty room"),
        ("duty", "word", "the duty"),
    )),
    Told("hours_of_week", "place or crew and hour of the week, the mean of all runs", (
        ("what", "word", "place or crew"),
        ("name", "name", "of the place or crew"),
        ("hour", "number", "hour of the week: 0 begins on Monday at 00:00, 167 is the last of Sunday"),
        ("used", "share", "share of the places that were used, or of the people present who were at work; "
         "empty when nobody was rostered"),
        ("full_waiting", "share", "share of the hour in which it was full and lots waited, or all worked and more work waited"),
        ("done_no_place", "share", "share of the places kept by lots that were done but had no place to go"),
    )),
    Told("customers", "run and customer", (
        RUN,
        CUSTOMER,
        ("unit", "word", "kg of mushrooms, or blocks ready to fruit"),
        *_rounds("kg or blocks"),
        ("orders", "orders", "orders due: all the customer is promised for one round"),
        ("orders_complete", "orders", "of these orders, those of which nothing was missing when the round left"),
        *LINES,
    )),
    Told("deliveries", "run, customer, strain and weekday", (RUN, CUSTOMER, STRAIN, WEEKDAY, *_rounds("kg"), *LINES)),
    Told("block_deliveries", "run, customer, strain and weekday", (
        RUN, CUSTOMER, STRAIN, WEEKDAY, *_rounds("blocks"), *LINES,
    )),
    Told("firmness", "run and how firm a customer is", (
        RUN,
        ("firm", "words", "signed, by habit, letter or hoped for; customers who take mushrooms alone"),
        *_rounds("kg"),
        ("orders", "orders", "orders due: all a customer is promised for one round"),
        ("orders_complete", "orders", "of these orders, those of which nothing was missing when the round left"),
    )),
    Told("stalls", "run, market stall and strain", (
        RUN,
        ("stall", "name", "the market stall"),
        STRAIN,
        ("market_days", "days", "days on which it went to market"),
        ("wanted", "kg", "was to be taken there"),
        ("brought", "kg", "of it, what there was to take"),
        ("asked", "kg", "asked for there"),
        ("sold", "kg", "of what was asked for, what was there"),
        ("came_back", "kg", "not sold, and put in stock again"),
        ("lost", "kg", "not sold, and lost or past its date when it came back"),
        ("days_there", "days", "of market_days, those on which something was brought"),
        ("sold_out_days", "days", "of days_there, those on which more was asked for than was brought"),
    )),
    Told("customers_left", "run and customer who orders no more", (
        RUN,
        CUSTOMER,
        ("date", "date", "of the delivery after which it left"),
        ("week", "number", "measured week of it, from 1"),
        ("short_deliveries", "deliveries", "short deliveries in a row until then"),
        ("a_week", "kg", "what it usually ordered in a week, in a month with a factor of 1"),
    )),
    Told("shorts", "run, customer and strain of which something was short", (
        RUN,
        CUSTOMER,
        STRAIN,
        ("short", "kg", "of what was promised, what was never delivered"),
        ("not_there", "kg", "of it, what was not there when the order left"),
        ("not_packed", "kg", "of it, what was there but not packed in time in the form that is wanted"),
        ("no_room", "kg", "of it, what was there but had no room in the van"),
        ("not_gone", "kg", "of it, what was promised on a round that did not go because people or van came too late"),
    )),
    Told("rounds", "run and round", (
        RUN,
        ("round", "name", "the delivery round or market day"),
        ("late_h", "h", "how late those left that left late, on average"),
        ("most_late_h", "h", "how late the latest left"),
        ("away_h", "person-hours", "hours from leaving until back, of all who went along"),
        ("crates", "crates", "taken, the last crate of each order line counted whole"),
        ("kg", "kg", "taken"),
        ("left_behind_kg", "kg", "of orders, and of what a stall was to take, left behind for want of room in the van"),
        ("van_used_share", "share", "share of the van's room that was taken, on average of those that went"),
        ("van_full", "rounds", "rounds that went with the van full"),
        ("went", "rounds", "rounds that went"),
    )),
    Told("losses", "run and cause", (
        RUN,
        ("cause", "words", "contaminated, too old, culls, past date, lost at the stall; "
         "short is what was promised and never delivered"),
        ("blocks", "blocks", "blocks lost to the cause; of short, blocks never delivered"),
        ("kg", "kg", "mushrooms lost to the cause; of short, mushrooms never delivered"),
    )),
    Told("history", "figure of the farm's own books and month, and for all twelve", (
        ("figure", "word", "which of the farm's totals; sold is to orders and to the outlet, picked is with culls"),
        ("unit", "word", "of the row: blocks, kg or h"),
        ("month", "year-month", "calendar month; all: the twelve together"),
        ("farm", "see unit", "what the farm's books say"),
        ("mean", "see unit", "the mean of the runs"),
        ("low", "see unit", "9 runs in 10 lie between this and high, as many of the others below as above"),
        ("high", "see unit", "9 runs in 10 lie between low and this"),
        ("verdict", "words", "inside; model too high or too low; too few runs, fewer than 19"),
    )),
    Told("checks", "run, check and strain", (
        RUN,
        ("check", "name", "the sum, one of those under Checks above"),
        ("unit", "word", "of the sum"),
        STRAIN,
        ("residual", "see unit", "what the sum comes to; must be 0"),
    )),
    Told("assumptions", "figure that has a say in the farm, guesses first", (
        ("figure", "words", "where it stands in the farm's file, or would stand"),
        ("value", "with its unit", "its value"),
        ("meaning", "words", "what it is"),
        ("source", "words", "where it comes from: the farm's file, or what stands behind farmsim's own figure"),
        ("guess", "yes or no", "yes when nothing stands behind it"),
    )),
)  # fmt: skip
"""Every table, in the order in which one would look at them."""

_HEAD = """# Measures

Every figure in the tables of a run, as it is worked out. Only the measured time counts: the lead-in, in which the farm
fills up, is left out, and what lies across its ends is cut there. Of a farm with a dated change that falls into the
measured time, `weekly.csv`, `months.csv`, `places_weeks.csv`, `crews_weeks.csv`, `money.csv`, `money_months.csv`,
`customers_left.csv` and `checks.csv` hold all of it, the other tables what came after the last change. Money is in the
farm's currency, by the day of the delivery or of the shift, and adds up to the cent over customers, weeks and months. A
share is a fraction of 1. This page is made from the declarations in `farmsim/record/measures`.
"""


def measure_page() -> str:
    """The measures by topic and the tables, as a Markdown page."""
    return _HEAD + "".join((*_topics(), *_tables()))


def _topics() -> list[str]:
    parts = []
    for topic, measures in TOPICS:
        parts.append(f"\n## {topic}\n\n| measure | unit | meaning | out of | one for each |\n|---|---|---|---|---|\n")
        parts += [
            f"| `{one.name}` | {one.unit} | {one.meaning} | {one.denominator} | {one.per} |\n" for one in measures
        ]
    return parts


def _tables() -> list[str]:
    parts = ["\n## Tables\n\nColumns that are not listed here are measures and explained above.\n"]
    for table in TABLES:
        parts.append(f"\n### {table.file}.csv\n\nOne row for each {table.row}.\n\n")
        parts.append("| column | unit | meaning |\n|---|---|---|\n")
        parts += [f"| `{name}` | {unit} | {meaning} |\n" for name, unit, meaning in table.columns]
    return parts
