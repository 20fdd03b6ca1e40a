"""The checklist by which studies of this kind are reported (STRESS-DES), filled in; what only the farm can write is a blank."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Part, Sheet, Words
from farmsim.report.html import Column, Table
from farmsim.report.pack.said import TO_WRITE
from farmsim.report.pack.the_farm import in_order, is_crew
from farmsim.report.words import listed, plural, tidy
from farmsim.study.pack_answers import Pack

SOURCE = (
    "After STRESS-DES, Strengthening the Reporting of Empirical Simulation Studies for discrete-event simulation (Monks, "
    "Currie, Onggo, Robinson, Kunc and Taylor 2019, doi 10.1080/17477778.2018.1442155), in our own words."
)
Item = tuple[str, str]


def parts(pack: Pack) -> Iterator[Part]:
    """Six sections, each a table of items and what is said of them."""
    yield Words(SOURCE)
    for caption, items in (
        ("1 Objectives", objectives(pack)),
        ("2 Logic", logic(pack)),
        ("3 Data", data(pack)),
        ("4 Experimentation", experiments(pack)),
        ("5 Implementation", implementation(pack)),
        ("6 Code access", access()),
    ):
        yield Sheet(Table(caption, (Column("item"), Column("what is to be said")), items))


def objectives(pack: Pack) -> tuple[Item, ...]:
    """What it is for, what it tells, what is tried."""
    return (
        (
            "1.1 Purpose",
            f"To see whether a loan for this can be repaid: {tidy(pack.asked.purpose)}. Why it is asked for now, in the "
            f"farm's words: {tidy(pack.asked.why) or TO_WRITE}",
        ),
        (
            "1.2 What comes out",
            "Sales, costs, cash and debt coverage by year; pounds and blocks a week; how full places and crews are; each as "
            "an average, a usual and a poor run.",
        ),
        (
            "1.3 What is tried",
            f"The farm with the expansion beside the same farm without it; {plural(len(pack.stress), 'row')} of what may go "
            "wrong, each simulated again or, where only money differs, put in money anew.",
        ),
    )


def logic(pack: Pack) -> tuple[Item, ...]:
    """How the farm is modelled."""
    crews = [tidy(one.name) for one in pack.headroom if is_crew(one)]
    return (
        ("2.1 Diagram", "The chapter with the farm in a picture."),
        (
            "2.2 Base logic",
            "Lots of blocks are made, ripen on racks, are called in when a shelf is free or promised, are opened, fruit in "
            "one or more flushes, are picked over every day, packed and delivered. Every step waits for its place and its "
            "people.",
        ),
        (
            "2.3 Logic of what is tried",
            f"{plural(len(pack.steps), 'dated step')}, as on the time line, which tells every figure that differs of what was "
            "there before, and the terms of whoever is hired; those of whoever begins to buy stand with the customers; all "
            "else that is new stands in the list of figures.",
        ),
        (
            "2.4 Rules",
            "Places go to the later step first, then to who has waited longest; people go to their duties in the order in "
            "which their crew names them. Nothing is interrupted. The farm's file may choose other rules where it says so.",
        ),
        ("2.5.1 What moves", "Lots of blocks, picked mushrooms by grade and day, orders."),
        (
            "2.5.2 What is done",
            "Mixing, sterilizing, cooling, inoculating, incubating, inspecting, cold shock, soaking, opening, fruiting, "
            "picking, clearing out, packing, delivering, as far as the farm does them.",
        ),
        ("2.5.3 What it takes", f"Places: {in_order(pack) or 'none'}. Crews: {listed(crews) or 'none'}."),
        (
            "2.5.4 Where things wait",
            "Before every place and every crew; picked mushrooms in the cooler until they are sold or past their date.",
        ),
        (
            "2.5.5 Where it begins and ends",
            "Starts of blocks by line and weekday, and blocks bought in; deliveries to customers, blocks sold, and what is "
            "lost on the way, each with its cause.",
        ),
    )


def data(pack: Pack) -> tuple[Item, ...]:
    """Where the figures come from."""
    every = sum(pack.counts.values())
    return (
        (
            "3.1 Sources",
            "Beside every figure in the list of figures. Which records of the farm they were taken from, and by whom: "
            f"{TO_WRITE}",
        ),
        (
            "3.2 Before it was put in",
            f"Nothing was cleaned or fitted by the program. What the farm did with its records: {TO_WRITE}",
        ),
        ("3.3 Figures put in", f"{plural(every, 'figure')}, all listed with value, source and kind."),
        (
            "3.4 Assumptions",
            f"Figures that are placeholders: {pack.counts.get('placeholder', 0)}. What the owner assumes besides: {TO_WRITE}",
        ),
    )


def experiments(pack: Pack) -> tuple[Item, ...]:
    """How it was run."""
    return (
        (
            "4.1 Start",
            f"The farm fills up for {plural(pack.lead_in, 'week')} before the first measured one; the same for the farm with "
            "the expansion and without it.",
        ),
        ("4.2 Length", f"{plural(pack.weeks, 'week')} from {pack.start}, {plural(pack.years, 'whole year')} of books."),
        (
            "4.3 Estimation",
            f"{plural(pack.runs, 'run')}, {pack.stress_runs} for each blow; both farms on the same luck, differences run by "
            "run; intervals by Student over runs; poor ends by order statistics.",
        ),
    )


def implementation(pack: Pack) -> tuple[Item, ...]:
    """With what it was run."""
    versions = ", ".join(
        f"{tidy(name)} {tidy(mark)}" for name, mark in pack.marks.items() if name not in ("base", "expanded")
    )
    return (
        ("5.1 Program", f"farmsim, in Python with the library SimPy. {versions}."),
        (
            "5.2 Random numbers",
            f"Every draw by its own name from seed {pack.seed}: run, cause, line and week. So a change of the farm leaves all "
            "other luck as it was.",
        ),
        (
            "5.3 How events are taken",
            "Next event; what is due in the same instant in one fixed order: what happens, then places, then people.",
        ),
        (
            "5.4 Machine",
            "Any; figures do not depend on it or on how many workers it has. What was used stands in about.json.",
        ),
    )


def access() -> tuple[Item, ...]:
    """How somebody else can run it."""
    return (
        (
            "6.1 How to get it",
            "The farm's files as run lie in the folder scenario beside this document. Whom to ask for them and for the "
            f"program: {TO_WRITE}",
        ),
    )
