"""Cheaper crews in sentences: who they are, what they save, how surely they keep the targets, and why others lost."""

from __future__ import annotations

from collections.abc import Sequence

from farmsim.report import targets as goals
from farmsim.report.answer import Answer
from farmsim.report.compare import Shown, earned, floored, in_swing
from farmsim.report.tables import WIDTH, beside, hung, section
from farmsim.report.words import DAYS, count, listed, plural, share, shortened, tidy, week_hour
from farmsim.study.answers import Crew
from farmsim.study.staff_effort import FIRST
from farmsim.study.staff_found import FULL, Lost, Staffed, Tried
from farmsim.study.targets import Kept

CHANGE_SET = "staff.toml"
RUNNERS_UP = 8  # of those that lost, how many the screen tells; all are in the table
CAUTION = (
    "Law and agreements on hours, breaks, nights, weekends and rest are not known to farmsim: hold every shift against them "
    "first, and talk to those whose days these are. Tired people work slower, err, get hurt and leave, and no figure here "
    "sees it; a crew that is at work nearly all of its hours has nothing left for a bad week."
)


def answer(found: Staffed, file: str, are_usual: bool) -> Answer:
    """The search in every form in which it is given.

    file: the farm's file; are_usual: nobody named a target
    """
    from farmsim.report.figures import crew_week

    asked = {
        "farm": file,
        "targets": [goals.told(target) for target in found.targets],
        "start": found.start,
        "seed": found.seed,
        "runs": found.runs,
    }
    tables = {"staff": found.table, "load": found.load_table}
    tables |= {"earned": found.earned_table} if found.earned else {}
    texts = {CHANGE_SET: found.change_set} if found.change_set else {}
    pictures = {"crew-week": lambda: crew_week.draw(found)} if found.load else {}
    return Answer(screen(found, are_usual), found.as_plain, asked, tables, pictures, texts)


def screen(found: Staffed, are_usual: bool) -> str:
    """Everything on one screen, as text."""
    name = shortened(tidy(found.farm), 40)
    parts = [f"{name}: the cheapest crews that surely keep what is wanted", ""]
    parts += section("WANTED", [f"{goals.rules(found.targets, are_usual)}, over all weeks of a run."])
    parts += [*verdict(found), *kept(found), *next_step(found), ""]
    parts += [*runners_up(found), "", *load(found), ""]
    parts += [*differences(found), *by_strain(found), ""] if found.lines is not None else []
    parts += [*section("TAKE CARE", [CAUTION, *full(found)]), *how_sure(found)]
    return "\n".join(parts) + "\n"


# --- what was found -------------------------------------------------------------------------------------------------


def verdict(found: Staffed) -> list[str]:
    """Which crews, and what they cost."""
    if not found.meets:
        head = ["No crews that were tried surely keep all of that."]
        head += [f"Closest: {_crews(found.changes)}."] if found.changes else ["Closest are the crews as they are."]
        return section("NOT FOUND", [*head, *_cost(found)])
    if not found.changes:
        text = (
            f"The crews as they are, {_money(found, found.cost)}: of those tried, none that is cheaper surely keeps it."
        )
        return section("CHEAPEST", [text])
    return section("CHEAPEST", [f"{_crews(found.changes)}.", *_cost(found)])


def _crews(changes: Sequence[str]) -> str:
    text = "; ".join(changes)
    return text[:1].upper() + text[1:]


def _money(found: Staffed, value: float) -> str:
    unit = f"{found.currency} a week" if found.unit == "currency/week" else "paid hours a week"
    return f"{count(value)} {unit}"


def _cost(found: Staffed) -> list[str]:
    """How much less they cost, how much of it is sure; nothing when they are the farm's own."""
    if found.lines is None:
        return [f"That costs {_money(found, found.cost)}."]
    line = found.lines[0]
    shown, name = Shown(line, found), f"{line.name[:1].upper()}{line.name[1:]}"
    between = f"({shown.base} -> {shown.change})"
    if line.verdict not in ("more", "less"):
        return [f"{name}: no difference found {between}."]
    return [f"{name}: {shown.sentence} {between}."]


def kept(found: Staffed) -> list[str]:
    """How the crews stand to each target, and how the farm's own do."""
    pairs = zip(found.kept, found.now, strict=True)
    return section("", [_kept(new, own, found) for new, own in pairs])


def _kept(new: Kept, own: Kept, found: Staffed) -> str:
    target = new.target
    text = f"{target.name} {goals.value(target, new.mean)}"
    now = f" (now {goals.value(target, own.mean)})" if found.changes else ""
    if found.meets and new.verdict == "kept":
        return f"{text}, surely {target.side} {goals.bound(target)}{now}."
    if found.meets and target.short(new.mean) <= 0:
        return f"{text}, {target.side} {goals.bound(target)} by the search, not told again by these runs alone{now}."
    if found.meets:
        bad = f"the search told {target.side} {goals.bound(target)}, further luck does not bear it out: take it as not sure"
        return f"{text}{now}: {bad}, or ask again with another --seed."
    if new.verdict == "kept":
        return f"{text}: that is kept{now}."
    if target.short(new.mean) <= 0:
        return f"{text}: not surely {target.side} {goals.bound(target)}{now}."
    surely = "surely" if new.verdict == "broken" else "though not surely"
    return f"{text}: {_gap(target.short(new.mean), new)} from {target.side} {goals.bound(target)}, {surely}{now}."


def _gap(value: float, kept: Kept) -> str:
    """A difference of a target's figure."""
    return _points(value) if kept.target.figure.unit == "share" else f"{count(value)} h a week"


def _points(value: float) -> str:
    """A difference of shares."""
    return plural(value * 100, "point")


def next_step(found: Staffed) -> list[str]:
    """The change set, or what to ask next."""
    texts = (
        []
        if found.meets
        else ["If more people do not help, it is not people that are short: see what run calls tight."]
    )
    if found.change_set:
        texts.append(f"{CHANGE_SET} in the result folder makes the crews so; it is run and compared like any change.")
    return section("", texts)


# --- those that lost ------------------------------------------------------------------------------------------------


def runners_up(found: Staffed) -> list[str]:
    """The others that were tried and why they lost, as they differ from the crews with which their round began."""
    lost = found.runners_up[:RUNNERS_UP]
    if not lost:
        return section("OTHERS", ["Nothing else could be tried that averages alone do not rule out."])
    lines = []
    for each in lost:
        lines += hung(f"{_beside(each)}: {_why(each, found)}.", "", WIDTH - 14)
    more = len(found.runners_up) - len(lost)
    lines += [f"{more} more in staff.csv."] if more > 0 else []
    return beside("OTHERS", lines)


def _beside(each: Tried) -> str:
    """Crews by their round and what was changed in it."""
    return f"Round {each.round}, {'; '.join(each.beside) or 'the crews it began with'}"


def _why(each: Tried, found: Staffed) -> str:
    """Why crews lost, in the round in which they were tried."""
    lost = each.lost
    if lost is None:
        return f"its best, bettered later ({_money(found, each.cost)})"
    if lost.target is None:
        return f"{_money(found, lost.by)} dearer than its best{_surely(lost, 1.0)}"
    figure = next(value for target, value in zip(found.targets, each.figures, strict=True) if target is lost.target)
    text = f"{lost.target.name} {goals.value(lost.target, figure)}"
    factor, by = (
        (100.0, _points(lost.by)) if lost.target.figure.unit == "share" else (1.0, f"{count(lost.by)} h a week")
    )
    if lost.by > 0 and (each.fate == "misses" or lost.surely is not None):
        return f"{text}, misses it by {by}{_surely(lost, factor)}"
    return f"{text}, kept or not could not be told in {plural(each.runs, 'run')}"


def _surely(lost: Lost, factor: float) -> str:
    return f", surely over {floored(lost.surely * factor)}" if lost.surely is not None else ""


# --- how busy they are ----------------------------------------------------------------------------------------------


def load(found: Staffed) -> list[str]:
    """Share of those on shift who are at work, by crew and weekday, and the busiest hour."""
    name = max((min(24, len(crew.name)) for crew in found.load), default=0)
    head = f"{'':<{name}}" + "".join(day.rjust(6) for day in DAYS) + "   busiest hour"
    rows = [_load_row(crew, by_day, name) for crew, by_day in zip(found.load, found.by_day, strict=True)]
    return [*section("AT WORK", ["Share of those on shift who are at work, on average of all weeks, in percent:"]),
            *beside("", [head, *rows])]  # fmt: skip


def _load_row(crew: Crew, by_day: Sequence[float | None], width: int) -> str:
    cells = "".join(("-" if used is None else f"{100 * used:.0f}").rjust(6) for used in by_day)
    return (
        f"{shortened(tidy(crew.name), width):<{width}}{cells}   {week_hour(crew.busiest)}, {share(crew.busiest_used)}"
    )


def full(found: Staffed) -> list[str]:
    """Which crews have no hours left."""
    if not found.full:
        return []
    return [f"At work in over {100 * FULL:.0f} % of their hours: {listed([tidy(name) for name in found.full])}."]


def differences(found: Staffed) -> list[str]:
    """The farm's own crews beside those found, figure by figure."""
    rows = []
    for line, shown in ((line, Shown(line, found)) for line in found.lines or ()):
        unit = "%" if line.unit == "share" else shown.unit
        rows.append((f"{line.name}, {unit}", shown.base, shown.change, shown.difference))
    rows.insert(0, ("", "now", "found", "difference"))
    widths = [max(len(row[at]) for row in rows) for at in range(4)]
    lines = [
        "  ".join(
            cell.ljust(wide) if at == 0 else cell.rjust(wide)
            for at, (cell, wide) in enumerate(zip(row, widths, strict=True))
        )
        for row in rows
    ]
    return beside("DIFFERS", [line.rstrip() for line in lines])


def by_strain(found: Staffed) -> list[str]:
    """What strains earn more or less with them, where there are prices."""
    text = earned(found.earned, found.currency)
    return section("", [text]) if text else []


# --- how sure -------------------------------------------------------------------------------------------------------


def how_sure(found: Staffed) -> list[str]:
    """What is promised and what is not."""
    sure = f"{100 * found.sure:.0f} in 100"
    ended = {
        "nothing cheaper": "It ended when nothing near them was left to try.",
        "nothing dearer left": "It ended when nothing near them was left to try.",
        "rounds used up": "It ended with its last round; more --rounds may find cheaper ones.",
    }[found.ended]
    slack = listed([f"{target.name} {_slack(found, at)}" for at, target in enumerate(found.targets)])
    first = (
        f"{plural(found.rounds, 'round')} of crews put beside one another, {len(found.tried)} in all, each round on its own "
        f"luck, coarse steps first, around the best so far. {ended} So the search is local: crews that were never tried may be "
        f"cheaper still."
    )
    second = (
        f"{sure} sure, over all rounds together: the crews called cheapest keep what is wanted, and of those beside which they "
        f"were tried none that keeps it with room to spare ({slack}) is cheaper by {_money(found, found.zone)} or more "
        f"(elimination after Kim and Nelson on paired differences, with targets)."
    )
    third = "" if found.is_complete else " Not everything was told apart within the runs allowed (--most): see OTHERS."
    fourth = (
        f"The figures of the crews found and of the farm's own come from {plural(found.runs, 'run')} of each on further luck, "
        f"which had no say in the choice; those of the others from their round, what is surely so of them from its first "
        f"{plural(FIRST, 'run')} alone.{_on_top(found)}"
    )
    hours = (
        f" No wage is given for {listed(list(found.no_wage))}: paid hours are counted instead of money."
        if found.no_wage
        else ""
    )
    filled = f" With the crews found the farm {in_swing(found.settled, found.system)}."
    guess = " All that as far as the farm's file is right."
    return section("HOW SURE", [first, f"{second}{third}", f"{fourth}{filled}{hours}{guess}"])


def _on_top(found: Staffed) -> str:
    """What goes on top of wages in the cost; nothing of it where hours are counted."""
    if found.no_wage:
        return ""
    overtime = f"{share(found.overtime_more)} above the wage" if found.overtime_more else "at the plain wage"
    on_costs = f" On-costs of {share(found.on_costs)} of all wages are in the cost." if found.on_costs else ""
    return f" Overtime is paid {overtime}.{on_costs}"


def _slack(found: Staffed, at: int) -> str:
    target, slack = found.targets[at], found.slacks[at]
    return _points(slack) if target.figure.unit == "share" else f"{count(slack)} h a week"
