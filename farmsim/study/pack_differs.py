"""What of one state of a farm is otherwise than of another, in words: every figure of every section that has a say in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from farmsim.scenario.assumed import has_a_say
from farmsim.scenario.farm import About, Farm
from farmsim.scenario.fields import Figure
from farmsim.scenario.part import Part
from farmsim.scenario.people import Crew
from farmsim.scenario.sales import BlockCustomer, Customer, Start
from farmsim.scenario.say import Say

PLACES = ("mix", "sterilizer", "clean_bench", "incubation", "walk_in", "soak", "opening", "room", "van", "round")
"""Sections of what stands on the farm and drives from it: told first."""
SAID_OTHERWISE: Mapping[type[Part], tuple[str, ...]] = {
    About: ("name", "units", "currency", "start", "weeks", "lead_in"),
    Crew: ("people",),
    Start: ("blocks",),
    Customer: ("takes", "firm"),
    BlockCustomer: ("takes", "firm"),
}
"""How the farm is called and shown, which is no difference; and what the time line tells in words of its own."""
COME_OTHERWISE = ("crew", "start", "customer", "block_customer", "loan", "capital")
"""Sections of which it is told elsewhere that one comes; of these the first four that one goes, too."""
GO_OTHERWISE = COME_OTHERWISE[:4]
SIZES = ("holds", "a_month")
"""Figures that say how much a thing is, so that they need not be called by name."""
IN_WORDS = {"walk_in": "walk-in", "start": "starts of", "chore": "work by weekday,"}
Things = Mapping[str, Part]


def places(before: Farm, after: Farm, say: Say) -> Iterator[str]:
    """Rooms, machines, vans and rounds that come, go or are changed."""
    for section in PLACES:
        yield from _section(section, before, after, say)


def the_rest(before: Farm, after: Farm, say: Say) -> Iterator[str]:
    """Everything else: hours, wages, prices, costs, energy, strains, rules; not that people, starts and customers change."""
    for attribute, figure in Farm.figures.items():
        if attribute not in PLACES and figure.form.name != "inside" and has_a_say(after, attribute):
            yield from _section(attribute, before, after, say)


def _section(section: str, before: Farm, after: Farm, say: Say) -> Iterator[str]:
    """What comes, goes or is changed of one kind."""
    old, new = (named(getattr(farm, section)) or {} for farm in (before, after))
    kind = IN_WORDS.get(section, section.replace("_", " "))
    for name in dict.fromkeys((*old, *new)):
        was, now = old.get(name), new.get(name)
        is_told = (was is None and section in COME_OTHERWISE) or (now is None and section in GO_OTHERWISE)
        if not is_told:
            ends = "is given up" if section in PLACES else "ends"
            yield from _thing(f"{kind} {name}".strip(), was, now, say, ends)


def named(things: object) -> Things | None:
    """Things of one kind by their names; one thing by itself has none. None of things that cannot be told apart by names."""
    if isinstance(things, Part):
        return {"": things}
    if isinstance(things, Mapping):
        found = dict(things)
    elif isinstance(things, tuple):
        found = {getattr(thing, "name", at): thing for at, thing in enumerate(things)}
    else:
        return None
    is_all = all(isinstance(name, str) and isinstance(thing, Part) for name, thing in found.items())
    return found if found and is_all else None


def _thing(called: str, old: Part | None, new: Part | None, say: Say, ends: str = "ends") -> Iterator[str]:
    """One thing that comes, goes or is changed; of one that comes how much of it there is; ends: said of one that goes."""
    if old is None or new is None:
        if new is not old:
            yield f"{called} comes{_much(new, say)}" if new is not None else f"{called} {ends}"
        return
    for attribute, figure in type(old).figures.items():
        if attribute in SAID_OTHERWISE.get(type(old), ()) or _is_source(figure):
            continue
        was, now = getattr(old, attribute), getattr(new, attribute)
        if was != now and (has_a_say(old, attribute) or has_a_say(new, attribute)):
            yield from _figure(called, figure, was, now, say)


def _figure(called: str, figure: Figure, was: object, now: object, say: Say) -> Iterator[str]:
    """A figure, or a table or list of figures within a thing, that is changed."""
    of = f"{called}, {figure.name.replace('_', ' ')}"
    old, new = named(was), named(now)
    if old is None or new is None:
        where = called if figure.name in SIZES else of
        yield f"{where}: {_instead(*(None if each is None else say.figure(figure, each) or 'none' for each in (now, was)))}"
        return
    for name in dict.fromkeys((*old, *new)):
        yield from _thing(f"{of} {name}".strip(), old.get(name), new.get(name), say)


def _instead(now: str | None, was: str | None) -> str:
    """A value and the one before it; None where it is not given, so that the program's own way holds."""
    if was is None:
        return f"{now} (not given before)"
    return f"no longer given ({was} before)" if now is None else f"{now} instead of {was}"


def _is_source(figure: Figure) -> bool:
    """Whether it only says from whom, or of which day, other figures are: "costs_from"."""
    topic, _, ending = figure.name.rpartition("_")
    return ending in ("from", "of") and topic in ("prices", "bills", "costs", "terms", "books")


def _much(part: Part, say: Say) -> str:
    """How much a thing is: ": 1,500 shelf places", ": $850 a month"; nothing of what has no such figure."""
    figures = type(part).figures
    size = next((name for name in SIZES if name in figures), None)
    return "" if size is None else f": {say.figure(figures[size], getattr(part, size))}"
