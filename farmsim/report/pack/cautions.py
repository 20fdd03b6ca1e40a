"""What the plan is not, who decides, and what the trade warns of where the plan touches it; then the words that are used."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.document import Listed, Pairs, Part, Words
from farmsim.report.pack import headings
from farmsim.report.words import tidy
from farmsim.study.pack_answers import Pack

NO_ADVICE = (
    "This is a computed plan. It is no engineering, legal, tax or lending advice.",
    "Local codes decide, and licensed practice: building, electricity, pressure vessels, ventilation, food, work and waste.",
    "Terms of lending change. Those used here are the ones that were told, by whom and when stands beside each loan.",
    "What it says holds as far as the farm's file is right; a placeholder is no more than a placeholder.",
)
TOPICS = {
    "steam": "Steam and pressure vessels burn and burst: installed, inspected and run as the code for them asks, and opened "
    "only when they have cooled.",
    "spores": "Spores make ill (mushroom worker's lung): masks, and enough changes of air, while picking and clearing out.",
    "CO2": "Carbon dioxide (CO2) gathers in closed rooms where blocks grow: measure it and air before people work there.",
    "wet floors": "Wet floors and electricity: drains, protected sockets and switches, lights made for wet rooms.",
    "lifting": "Lifting blocks, crates and racks: carts, heights that spare the back, two people where one is not enough.",
    "hours": "Working hours, breaks, rest and young workers: the law of the place goes before any roster here.",
    "cold store": "Being shut in a cold store: a door that opens from inside, a light and an alarm.",
    "food safety": "Food safety: clean water, dates and lots that can be traced, and an unbroken cold chain.",
}
"""Cautions the trade takes, by the name under which a plan touches them."""
WORDS = (
    ("usual; poor", "half of all simulated runs have less than a usual one; one run in ten has less than a poor one."),
    ("run", "one simulated stretch of the farm over all years. Runs differ in luck: which blocks go bad, how fast lots ripen, "
     "what they yield. The farm with the expansion and the farm without it meet the same luck."),
    ("FFSC", "the Farm Financial Standards Council, which defined capital debt repayment capacity and its ratios."),
    ("firm", "how sure a customer is: signed, by habit, a letter of interest, or hoped for."),
    ("outlet", "a customer who takes what is left, at a lower price."),
    ("block", "a bag of substrate in which a mushroom grows; it is fruited here or sold ready to fruit."),
    ("headroom", "what of a place, or of people's hours, is left in a week."),
    ("h; lb; kg", "hours; pounds; kilograms."),
    ("CO2", "carbon dioxide, which blocks give off."),
    ("depreciation (wear)", "what a thing loses in worth each year."),
    ("placeholder", "a figure that no record of the farm and nothing published stands behind."),
)  # fmt: skip


def parts(pack: Pack) -> Iterator[Part]:
    """No advice; the trade's cautions; words."""
    yield headings.CAUTIONS
    yield Listed(NO_ADVICE)
    yield Words("What the trade warns of, where this plan touches it:")
    yield Listed(touched(pack))
    yield headings.WORDS
    yield Pairs(WORDS)


def touched(pack: Pack) -> tuple[str, ...]:
    """Cautions of what the plan touches; all of them when it is not known what. What has no name here stays as it is."""
    named = [*pack.cautions] or list(TOPICS)
    return tuple(TOPICS.get(tidy(each), tidy(each)) for each in dict.fromkeys(named))
