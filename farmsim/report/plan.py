"""A plan of the starts in sentences: what to start, what comes of it, and how sure that is; then the tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from farmsim.report import plan_sheet, targets
from farmsim.report.answer import Answer
from farmsim.report.calendar_file import calendar
from farmsim.report.compare import Shown
from farmsim.report.tables import WIDTH, beside, hung, section
from farmsim.report.words import (
    DAYS,
    LONG_DAYS,
    MONTHS,
    Weights,
    count,
    listed,
    month,
    plural,
    share,
    shortened,
    stretch,
    tidy,
)
from farmsim.scenario.say import Say, days_said, joined
from farmsim.scenario.start_change import written
from farmsim.study.headlines import LEFT, OPERATING
from farmsim.study.plan_answers import Planned, Served, Started
from farmsim.study.plan_tables import as_plain, tables
from farmsim.study.targets import Kept
from farmsim.study.weekdays import Weekdays

NEXT_TO_NOTHING = (
    1.15  # as many times as on the poorest weekday may ripen on the best, for the weekday to be washed out
)
MONEY = (OPERATING.name, LEFT.name)
MOST_TOLD = 6  # customers in the first sentences


def answer(planned: Planned, file: str, based_on: str) -> Answer:
    """The plan in every form in which it is given.

    file: name of the farm's file; based_on: how the plan's change set finds it from where it lies
    """
    from farmsim.report.figures import plan as picture

    asked = {
        "planned": file,
        "seed": planned.seed,
        "runs": planned.runs,
        "weeks": planned.weeks,
        "targets": [f"{each.target.name} {each.target.side} {each.target.bound:g}" for each in planned.targets],
    }
    about = planned.before.farm
    texts = {"start-sheet.ics": calendar(about.name, about.start, planned.groups)}
    change = written(planned.before, planned.after, based_on, "start plan")
    if change is not None:
        texts["plan.toml"] = change
    return Answer(
        screen(planned), as_plain(planned), asked, tables(planned), {"plan": lambda: picture.draw(planned)}, texts
    )


def screen(planned: Planned) -> str:
    """Everything on one screen, as text."""
    head = (
        f"{shortened(tidy(planned.name), 50)}: a plan of the starts, {plural(planned.runs, 'run')} of "
        f"{plural(planned.weeks, 'week')} beside the farm as it is"
    )
    parts = [
        [head, ""],
        section("PLAN", [_summary(planned)]),
        ["", *beside("START", list(_starts(planned)))],
        ["", *section("TARGETS", [_verdict(planned), *map(_target, planned.targets)])],
        section("THEN", list(_then(planned))),
        section("WEEKDAYS", list(_weekdays(planned))),
        section("AVERAGES", list(_averages(planned))),
        ["", *beside("SELL, FRUIT", plan_sheet.either(planned))],
        ["", *beside("TRIED", plan_sheet.tried(planned))],
        ["", *beside("START SHEET", plan_sheet.first_week(planned))],
        ["", *section("HOW SURE", [_how_sure(planned)])],
    ]
    return "\n".join(line for part in parts for line in part) + "\n"


# --- what to start --------------------------------------------------------------------------------------------------


def _summary(planned: Planned) -> str:
    """All of it in two sentences."""
    now, then = (sum(getattr(line, name) for line in planned.lines) for name in ("before", "blocks"))
    if planned.is_as_before:
        return (
            f"Leave the starts as they are, {plural(then, 'block')} a week: nothing that was tried was surely better."
        )
    first = f"Start {plural(then, 'block')} a week{_change(now, then)}."
    gets = [f"{tidy(each.customer)} {share(each.after)}{_of(each)}" for each in planned.served if not each.is_stall]
    more = f" and {len(gets) - MOST_TOLD} more below" if len(gets) > MOST_TOLD else ""
    told = f"{', '.join(gets[:MOST_TOLD])}{more}" if more else listed(gets)
    return f"{first} Then of what they were promised {told} is delivered{_thrown_out(planned)}."


def _of(each: Served) -> str:
    return " of the blocks" if each.unit == "blocks" else ""


def _thrown_out(planned: Planned) -> str:
    """The sentence's end on what is thrown out."""
    line = planned.difference("thrown out")
    if line is None or line.verdict in ("the same", "no difference found"):
        return ", and no difference was found in what is thrown out"
    weights = Weights(planned.compared.system)
    return f", and {weights.full(abs(line.mean))} a week {line.verdict} is thrown out{_left(planned)}"


def _left(planned: Planned) -> str:
    """What the plan costs or brings in money, where that is known."""
    line = next((found for name in MONEY if (found := planned.difference(name)) is not None), None)
    if line is None or line.verdict not in ("more", "less"):
        return ""
    much = f"{count(abs(line.mean))} {planned.compared.currency} a week {line.verdict}"
    return f"; {much} is left for all else" if line.name == LEFT.name else f"; net operating income is {much}"


def _change(now: float, then: float) -> str:
    if now == then:
        return ", as many as now"
    return f", {count(abs(then - now))} {'fewer' if then < now else 'more'} than now"


def _starts(planned: Planned) -> Iterator[str]:
    """Line by line: how many, on which days, and how many of 100 to sell."""
    width = max(len(_named(line)) for line in planned.lines) + 2
    for line in planned.lines:
        change = _change(line.before, line.blocks).removeprefix(", ").replace(" than now", "")
        days = (
            f"{days_said(line.days)}, as now"
            if line.days == line.days_before
            else (f"{days_said(line.days)} instead of {days_said(line.days_before)}")
        )
        sells = f"of 100 good blocks sell {count(100 * line.sold)}" if line.sold else "fruit all of them"
        bought = "bought, " if line.made == "bought" else ""
        text = f"{count(line.blocks):>6}  ({change}), {bought}{days}; {sells}"
        if len(line.months) < len(MONTHS):
            text += f"; started in {listed([name.title() for name in line.months])} only"
        yield from hung(text, _named(line), WIDTH - 14, width)


def _named(line: Started) -> str:
    return shortened(tidy(line.line), 24)


# --- what comes of it -----------------------------------------------------------------------------------------------


def _verdict(planned: Planned) -> str:
    """Whether it is kept; if not, what comes closest and why."""
    if planned.is_kept:
        return "Kept, all of it, surely." if len(planned.targets) > 1 else "Kept, surely."
    missed = [each for each in planned.targets if each.verdict != "kept"]
    told = listed([f"{each.target.name} {_figure(each, each.mean)}, {_short(each)}" for each in missed])
    reasons = list(_reasons(planned))
    since = f", since {joined(reasons)}" if reasons else ""
    told = told or "the targets are kept, but not for long"
    return (
        f"Not surely kept. {'The farm as it is' if planned.is_as_before else 'This plan'} comes closest: {told}{since}."
    )


def _short(each: Kept) -> str:
    """By how much a target is missed."""
    short = each.target.short(each.mean)
    bound = _figure(each, each.target.bound)
    if short <= 0:
        return f"which is {each.target.side} {bound} but not surely so"
    size = f"{count(100 * short)} points" if each.target.figure.unit == "share" else f"{count(short)} h a week"
    return f"short of {bound} by {size}" if each.target.side == "at least" else f"above {bound} by {size}"


def _reasons(planned: Planned) -> Iterator[str]:
    """Why targets are not kept, as far as it was seen."""
    say = Say(planned.before.farm.units, planned.before.farm.currency)
    if planned.fills_up:
        yield "more and more blocks stand on the farm or wait before its racks"
    for strain, life, gap in planned.keeps_short:
        yield f"{strain} keeps {stretch(life)} and up to {stretch(gap)} lie between two deliveries of it"
    for need in planned.refused[:3]:
        needs, there_is, unit = need.told(say)
        what = f" to {need.note}" if need.unit == "hours a week" and need.path == ("crew",) else ""
        yield f"{need.name} would be asked for {count(needs)} {unit}{what} and there are {count(there_is)}"
    if not planned.refused and planned.tight:
        yield f"{listed([tidy(name) for name in planned.tight[:3]])} {'looks' if len(planned.tight) == 1 else 'look'} tight"


def _target(each: Kept) -> str:
    surely = each.target.side == "at least"
    edge = each.mean - each.give if surely else each.mean + each.give
    told = f"surely {'over' if surely else 'under'} {_figure(each, edge)}" if each.give else "in every run"
    if each.too_few_alike:
        told = targets.ALIKE
    bound = f"{each.target.side} {_figure(each, each.target.bound)}"
    return f"{each.target.name} {_figure(each, each.mean)}, {told}: {bound}, {_VERDICTS[each.verdict]}"


_VERDICTS_HOLD = {1: "The verdict holds", 2: "Both verdicts hold together"}
_VERDICTS = {"kept": "kept", "broken": "not kept", "not sure": "not surely kept"}


def _figure(each: Kept, value: float) -> str:
    if each.target.figure.unit != "share":
        return f"{count(value)} h a week"
    return f"{100 * value:.1f}".removesuffix(".0") + " %"


def _then(planned: Planned) -> Iterator[str]:
    """Who gets what, what differs, and where most is still missing."""
    weights = Weights(planned.compared.system)
    for each in planned.served:
        what = weights.full(each.promised) if each.unit == "kg" else plural(each.promised, "block")
        asks = "would sell" if each.is_stall else "is promised"
        gets = "sells" if each.is_stall else "gets"
        yield f"{tidy(each.customer)} {asks} {what} a week and {gets} {share(each.after)} of it ({share(each.before)} now)."
    if planned.is_as_before:
        return
    lines = planned.compared.comparisons[0].differences
    differ = [
        f"{line.name} {Shown(line, planned.compared).sentence}" for line in lines if line.verdict in ("more", "less")
    ]
    yield f"What differs: {'; '.join(differ)}." if differ else "Nothing else is surely more or less than now."
    if planned.short is not None:
        day = LONG_DAYS[[name.lower() for name in DAYS].index(planned.short.weekday)]
        where = f"{tidy(planned.short.customer)}, {day}, {planned.short.strain}"
        yield f"Of the {weights.unit} still missing, {share(planned.short.share)}: {where}."
    if planned.poorest is not None:
        poorest, delivered = month(f"{planned.poorest[0]}-01"), share(planned.poorest[1])
        yield f"In the poorest month, {poorest}, {delivered} of what was promised is delivered."


# --- weekdays and averages ------------------------------------------------------------------------------------------


def _weekdays(planned: Planned) -> Iterator[str]:
    """Where the weekday of the start matters, and where it is washed out."""
    washed = [each for each in planned.weekdays if not each.matters and each.uneven < NEXT_TO_NOTHING]
    if washed:
        names = listed([f"{tidy(each.line)} {stretch(24 * each.spread)}" for each in washed])
        yield f"The weekday of the start hardly matters where times spread until the first pick (standard deviation): {names}."
    for each in planned.weekdays:
        if each.matters or each.uneven >= NEXT_TO_NOTHING:
            yield _weekday(each)
    if planned.days_tried is False:
        yield "Other weekdays looked better by arithmetic; runs of both did not bear that out, so the days stay."


def _weekday(each: Weekdays) -> str:
    then, was = _costs(each, each.proposed), _costs(each, each.now)
    on = f"{tidy(each.line)}: {days_said(each.proposed)}"
    if each.matters:
        return f"{on} instead of {days_said(each.now)}; by arithmetic {then}. Now {was}."
    return f"{on} as now; by arithmetic {then}, and other days are no better."


def _costs(each: Weekdays, days: Sequence[str]) -> str:
    found = each.of(days)
    lost = "nothing is" if found.lost < 0.0005 else f"{100 * found.lost:.1f} % is"
    return f"{lost} graded down or past its date for the day, and it leaves {plural(found.waits, 'day')} after picking"


def _averages(planned: Planned) -> Iterator[str]:
    """What averages alone would have said."""
    numbers = listed([f"{count(blocks)} {name}" for name, blocks in planned.arithmetic.items()])
    yield f"Averages alone would start {numbers} a week."
    if planned.refused:
        say, told = Say(planned.before.farm.units, planned.before.farm.currency), []
        for need in planned.refused[:3]:
            needs, there_is, unit = need.told(say)
            told.append(f"{need.name} {count(needs)} of {count(there_is)} {unit}")
        yield f"What would be wanted does not fit even on averages ({'; '.join(told)}); so less was tried."


def _how_sure(planned: Planned) -> str:
    filled = f"Each farm was given {plural(planned.lead_in, 'week')} to fill up. " if planned.lead_in else ""
    told = len(planned.compared.comparisons[0].differences)
    return (
        f"{filled}Plans were tried in {plural(planned.trial_runs, 'run')} each ({planned.stopped}); the verdict comes from "
        f"{plural(planned.runs, 'run')} that no try has used, on the same luck for both farms; they also decide between "
        "the two. "
        f"{_VERDICTS_HOLD.get(len(planned.targets), 'All verdicts hold together')} with {100 * planned.sure:.0f} in 100, "
        f"and so do the {told} differences, that choice and a second turn of runs, if the first does not say kept, counted in; "
        "all as far as the farm's file is right. "
        "The best that was seen need not be the best there is."
    )
