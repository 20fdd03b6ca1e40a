"""Rounds, vans and packing to order, read back."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario.delivery import Round, Van
from farmsim.scenario.farm import Farm
from farmsim.scenario.round_plan import days_of, leaves
from farmsim.scenario.say import Say, days_said, joined

DRIVING = (
    "Whoever drives after a night shift, or all day, or with more than the van's papers allow, is in danger, and others too: "
    "nothing here says what is safe or lawful."
)


def round_sentences(farm: Farm, say: Say) -> list[str]:
    """Every van and every round."""
    vans = [_van(name, van, say) for name, van in farm.van.items()]
    rounds = [_round(farm, each, say) for each in farm.round]
    return [*vans, *rounds, *([DRIVING] if rounds else [])]


def _van(name: str, van: Van, say: Say) -> str:
    many = "one van" if van.count == 1 else f"{van.count} vans"
    limits = [say.amount(van.holds, "crates")] if van.holds is not None else []
    limits += [say.amount(van.carries, "kg")] if van.carries is not None else []
    each = " each" if van.count > 1 else ""
    return f"{name}: {many} for {joined(limits) or 'as much as there is'}{each}."


def _round(farm: Farm, round_: Round, say: Say) -> str:
    days = days_of(farm, round_)
    hours = {leaves(farm, round_, day): None for day in days}
    when = joined([say.clock(hour) for hour in sorted(hours)])
    who = "one person" if round_.people == 1 else f"{round_.people} people"
    van = "no van of the farm's" if round_.van is None else f"van {round_.van}"
    called, late = say.amount(round_.called, "h"), say.amount(round_.late_at_most, "h")
    late = f"at most {late} late, or it does not go" if round_.late_at_most else "on time, or it does not go"
    return (
        f"{round_.name} serves {joined(list(round_.customers))}: leaves on {days_said(days)} at {when}, back after "
        f"{say.amount(round_.takes, 'h')}; {who}, called {called} before, with {van}; it leaves {late}."
    )


def paces_to_order(paces: dict[str, float], say: Say) -> Iterator[str]:
    """How fast a strain is packed to order."""
    if paces:
        each = joined([f"{say.amount(pace, 'kg/h')} of {form}" for form, pace in paces.items()])
        yield f"Out of packed crates one person packs to order {each}."
