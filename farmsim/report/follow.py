"""The life of one lot as dated sentences, in a grower's words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from math import isfinite
from textwrap import wrap

from farmsim.report.words import DAYS, Weights, listed, plural, respelt, share, stretch, tidy
from farmsim.study.life import Choice, Event, Life

WIDTH = 100
SHORT = 0.25
"""Waits under a quarter of an hour are not worth a word [h]."""
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")
WAITS = {
    "booked": "to be called to a room",
    "walk-in": "for places in the walk-in",
    "soak tanks": "for a soak tank",
    "opening benches": "for an opening bench and its shelf",
    "clean bench": "for a clean bench",
    "racks": "for places on the racks",
}


def life_told(life: Life, units: str) -> str:
    """The whole life: a heading, a dated sentence for everything that happened, and how it ended."""
    life, weights = respelt(life, tidy), Weights(units)
    lines = [_heading(life), ""]
    for event in life.events:
        lines += _dated(stamp(life.first_day, event.when), SENTENCES[event.what](event, weights))
    if life.blocks_left > 0:
        lines += _dated(stamp(life.first_day, life.end), _not_over(life))
    return "\n".join([*lines, *_balance(life, weights)])


def choice_told(choices: Sequence[Choice], first_day: date, command: str) -> str:
    """Lots one could follow, and by which command, to which the lot is still to be added."""
    width = max((len(choice.key) for choice in choices), default=0)
    lines = ["Say which lot to follow. One of each line, started around the middle:", ""]
    for choice in choices:
        begun = stamp(first_day, choice.started)[:14]
        lines.append(f"  {choice.key:<{width}}  {plural(choice.blocks, 'block')} of {choice.strain}, started {begun}")
    example = f'{command} "{choices[0].key}"' if choices else ""
    return "\n".join([*lines, "", f"For example: {example}"] if choices else ["No lot was started in this run."])


def unknown_told(key: str, near: Sequence[str]) -> str:
    """A lot that there was not, with the keys that look like it."""
    told = f'there was no lot "{key}" in this run'
    if near:
        quoted = listed([f'"{each}"' for each in near])
        return f"{told}; the nearest {'is' if len(near) == 1 else 'are'} {quoted}"
    return f"{told}; a lot is named LINE/MONDAY/NUMBER, and without a name some lots to choose from are listed"


def stamp(first_day: date, hours: float) -> str:
    """A moment with its weekday, date and hour: Tue 2027-03-02 14:30."""
    when = datetime(first_day.year, first_day.month, first_day.day) + timedelta(minutes=round(hours * 60))
    return f"{DAYS[when.weekday()]} {when:%Y-%m-%d %H:%M}"


def _dated(when: str, sentence: str) -> list[str]:
    return wrap(f"{when}  {sentence}", WIDTH, subsequent_indent=" " * (len(when) + 2), break_on_hyphens=False)


def _heading(life: Life) -> str:
    line = "" if life.line == life.strain else f", line {life.line}"
    part = f", a part of {life.part_of} that was sold" if life.part_of else ""
    return f"Lot {life.key}: {plural(life.blocks, 'block')} of {life.strain}{line}{part}"


def _not_over(life: Life) -> str:
    """Where a lot is when the run ends."""
    left = plural(life.blocks_left, "block")
    place = f"{left} {_at(life.kind, life.stands)}" if life.stands else f"{left} still to be made or taken in"
    waits = f", waiting {WAITS[life.waits]} for {stretch(life.waiting)}" if life.waits in WAITS else ""
    return f"The run ends and the life of this lot is not over: {place}{waits}."


def _at(kind: str, name: str) -> str:
    """In which place: on the racks, in the room West."""
    preposition = {"racks": "on the", "shelf": "in the room", "walk-in": "in the cold,", "soak tanks": "in the"}
    return f"{preposition.get(kind, 'at the')} {name}"


def _balance(life: Life, weights: Weights) -> list[str]:
    """What the lot has brought, all flushes together."""
    found = life.brought
    if found is None:
        return []
    each = f", {_weight(found.a_block, weights)} a block" if found.a_block is not None else ""
    grades = f"{_weight(found.firsts, weights)} firsts, {_weight(found.seconds, weights)} seconds"
    so_far = "Brought" if life.blocks_left <= 0 else "Has brought so far"
    return [
        "",
        f"{so_far} {_weight(found.saleable, weights)} to sell ({grades}){each}; {_weight(found.culls, weights)} culls.",
    ]


def _weight(kg: float, weights: Weights) -> str:
    """A small weight with its unit: 4.5 lb."""
    return f"{weights.figure(kg):,.1f} {weights.unit}"


def _wait(hours: float, what: str) -> str:
    return f", after waiting {stretch(hours)} for {what}" if hours >= SHORT else ""


def _work(event: Event, place: str = "") -> str:
    """Who did it and how long it took, with the waits before: by growers in 57 min, after waiting 2 h for a bench."""
    by = f" by {listed(event.who)}" if event.who else ""
    waits = [(event.waited, place), (event.hands, "people")]
    waited = listed([f"{stretch(hours)} for {what}" for hours, what in waits if what and hours >= SHORT])
    broken = event.when - event.since - event.took >= 1.0
    spread = f", spread over {stretch(event.when - event.since)}" if broken else ""
    return f"{by} in {stretch(event.took)} of work{spread}" + (f", after waiting {waited}" if waited else "")


def _ordinal(flush: int) -> str:
    return ORDINALS[flush] if flush < len(ORDINALS) else f"{flush + 1}th"


def _started(event: Event, _: Weights) -> str:
    return f"Started: {plural(event.blocks, 'block')}, to be made in load {event.where}."


def _delivered(event: Event, _: Weights) -> str:
    return f"Delivered: {plural(event.blocks, 'block')}, bought."


def _mixed(event: Event, _: Weights) -> str:
    return f"Its load is mixed and bagged{_work(replace(event, hands=0.0))}."


def _steamed(event: Event, _: Weights) -> str:
    stays = f", for {stretch(event.took)}" if isfinite(event.took) else ""
    return f"Its load goes into the sterilizer{stays}{_wait(event.waited, 'it')}."


def _cooled(event: Event, _: Weights) -> str:
    waits = f"; it waits there {stretch(event.took)} for a clean bench" if event.took >= SHORT else ""
    return f"Its load has cooled down ({event.where}){waits}."


def _inoculated(event: Event, _: Weights) -> str:
    return f"Inoculated{_work(event)}."


def _racked(event: Event, _: Weights) -> str:
    return f"Onto the racks{_wait(event.waited, 'places on them')}."


def _bad(event: Event, _: Weights) -> str:
    where = "at the opening" if event.where == "bench" else "on the racks"
    return f"{plural(event.blocks, 'bad block')} found {where} and thrown out."


def _ripe(event: Event, _: Weights) -> str:
    return f"Ripe, after {stretch(event.took)} on the racks."


def _held(event: Event, _: Weights) -> str:
    stays = f" for {stretch(event.took)}" if isfinite(event.took) else ""
    return f"Held back in the cold ({event.where}){stays}, as it has stood ripe for as long as it may."


def _called(event: Event, _: Weights) -> str:
    waited = f", {stretch(event.waited)} after it was ripe" if event.waited >= SHORT else ", as soon as it was ripe"
    return f"Called to the room {event.where}{waited}."


def _never_called(event: Event, _: Weights) -> str:
    return f"Has waited {stretch(event.waited)} for a room, and goes to none."


def _cold(event: Event, _: Weights) -> str:
    stays = f" for {stretch(event.took)}" if isfinite(event.took) else ""
    return f"Cold shock: into the cold ({event.where}){stays}{_wait(event.waited, 'places in the walk-in')}."


def _soaked(event: Event, _: Weights) -> str:
    again = "Soaked again: into" if event.flush else "Into"
    return f"{again} the water, put in{_work(event, 'a tank')}."


def _unsoaked(event: Event, _: Weights) -> str:
    work = f" by {listed(event.who)}" if event.who else ""
    return f"Out of the water{work}, after {stretch(event.took)} in it."


def _opened(event: Event, _: Weights) -> str:
    return f"Opened{_work(event, 'a bench and its shelf')}."


def _shelved(event: Event, _: Weights) -> str:
    return f"{plural(event.blocks, 'block')} on the shelves of the room {event.where}."


def _grades(event: Event, weights: Weights) -> str:
    parts = ((event.firsts, "firsts"), (event.seconds, "seconds"), (event.culls, "culls"))
    return ", ".join(f"{_weight(kg, weights)} {grade}" for kg, grade in parts)


def _late(event: Event) -> str:
    """How much of it was past its window, and by how much."""
    if not event.late:
        return ""
    told = "all" if event.late_share > 1 - 1e-9 else share(event.late_share)
    return f"; {told} of it late, by {'up to ' if event.late > 1 else ''}{plural(event.late, 'morning')}"


def _picked(event: Event, weights: Weights) -> str:
    return f"Picked, {_ordinal(event.flush)} flush: {_grades(event, weights)}{_late(event)}."


def _flush_over(event: Event, weights: Weights) -> str:
    if not event.more:
        after = "the lot is kept for no other, it is to be cleared"
    else:
        after = f"it rests {stretch(event.took)}" if event.took else "the next one is on its way"
    return f"The {_ordinal(event.flush)} flush is over: {_grades(event, weights)}; {after}."


def _cleared(event: Event, _: Weights) -> str:
    return f"Cleared away ({plural(event.blocks, 'spent block')}){_work(event)}. Its life is over."


def _too_old(event: Event, _: Weights) -> str:
    return f"Too old: {plural(event.blocks, 'block')} thrown out. Its life is over."


def _sold(event: Event, _: Weights) -> str:
    return f"Sold ready to fruit: {plural(event.blocks, 'block')} to {listed(event.who) or 'a customer'}."


def _sold_cheap(event: Event, _: Weights) -> str:
    return f"Sold cheap as surplus: {plural(event.blocks, 'block')} to {listed(event.who) or 'an outlet'}."


def _part_sold_cheap(event: Event, _: Weights) -> str:
    told = f"{plural(event.blocks, 'block')} of it sold cheap as surplus to {listed(event.who) or 'an outlet'}"
    return f"{told} (as {event.where})."


def _part_sold(event: Event, _: Weights) -> str:
    told = f"{plural(event.blocks, 'block')} of it sold ready to fruit to {listed(event.who) or 'a customer'}"
    return f"{told} (as {event.where})."


SENTENCES: dict[str, Callable[[Event, Weights], str]] = {
    "started": _started,
    "delivered": _delivered,
    "mixed": _mixed,
    "steamed": _steamed,
    "cooled": _cooled,
    "inoculated": _inoculated,
    "racked": _racked,
    "bad": _bad,
    "ripe": _ripe,
    "held": _held,
    "called": _called,
    "never called": _never_called,
    "cold": _cold,
    "soaked": _soaked,
    "unsoaked": _unsoaked,
    "opened": _opened,
    "shelved": _shelved,
    "picked": _picked,
    "flush over": _flush_over,
    "cleared": _cleared,
    "too old": _too_old,
    "sold": _sold,
    "part sold": _part_sold,
    "sold cheap": _sold_cheap,
    "part sold cheap": _part_sold_cheap,
}
"""How each thing that can happen to a lot is said."""
