"""The ceiling of a farm in sentences: how much it carries, what fails first and what was seen there; then every level."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from farmsim.report import targets
from farmsim.report.answer import Answer
from farmsim.report.tables import HEAD, WIDTH, beside, hung, labelled, section
from farmsim.report.tight import tight
from farmsim.report.words import count, listed, plural, short_told, shortened, tidy, weeks_told
from farmsim.study.ceiling_answers import Ceiling, Level, MoreLots, Why
from farmsim.study.targets import Target

PLACES, CREWS = 2, 2  # told at length of what looks tight
MARKS = {"kept": "  ", "broken": " *", "not sure": " ?"}


def answer(found: Ceiling, file: str) -> Answer:
    """The ceiling in every form in which it is given; file: name of the farm's file."""
    from farmsim.report.figures import ceiling

    asked = {
        "file": file,
        "start": found.start,
        "seed": found.seed,
        "most_runs": found.runs,
        "from": found.range.low,
        "to": found.range.high,
        "orders_grow": found.grow,
        "targets": [targets.told(each) for each in found.targets],
    }
    pictures = {"ceiling": lambda: ceiling.draw(found)}
    return Answer(screen(found, file), found.as_plain, asked, {"ceiling": found.table}, pictures)


def screen(found: Ceiling, file: str) -> str:
    """Everything on one screen, as text."""
    name = shortened(tidy(found.farm), 50)
    parts = [f"{name}: {headline(found)}", "", *section("CEILING", list(_ceiling(found)))]
    if found.why is not None:
        parts += ["", *section("FAILS FIRST", list(fails(found.why))), *_seen(found.why, file)]
    parts += ["", *table(found), "", *section("HOW SURE", list(_sure(found)))]
    return "\n".join(parts) + "\n"


def blocks(number: int) -> str:
    """A level: 2,250 blocks a week."""
    return f"{plural(number, 'block')} a week"


def headline(found: Ceiling) -> str:
    """The answer in one line."""
    if found.guess is not None:
        held = "keeps all targets only up to" if found.breaks_now else "carries"
        held = held if found.low is not None else "may keep all targets, not surely, up to"
        return f"{held} about {blocks(found.guess)}; {found.now:,} are started now"
    if found.high is None and found.low is not None:
        return f"keeps all targets up to {blocks(found.low)}, the most that was looked at"
    if found.low is None and found.high == found.levels[0].blocks:
        return f"no level from {found.range.low:,} to {blocks(found.range.nearest(found.now))} keeps all targets"
    return "so many runs cannot tell what it carries"


def _ceiling(found: Ceiling) -> Iterator[str]:
    """How much it carries, between which levels, and what grew along."""
    if found.breaks_now:
        broken = listed([targets.instead(kept) for kept in found.breaks_now])
        yield f"As it is, at {blocks(found.now)}, the farm already breaks {_targets(len(found.breaks_now))}: {broken}."
    yield _between(found)
    if found.broken_below:
        few = found.broken_below[-1]
        broken = listed([targets.instead(kept) for kept in few.kept if kept.verdict == "broken"])
        yield f"With few blocks it breaks too: at {blocks(few.blocks)} {broken}. There more blocks help."
    yield from _beyond(found)
    yield f"Targets: {targets.rules(found.targets, found.usual)}."
    yield _scaled(found)


def _beyond(found: Ceiling) -> Iterator[str]:
    """Where no level is surely kept, or none broken: which comes closest, and why none further was looked at."""
    if found.low is None:
        yield _closest(found)
        if found.range.fault_below:
            yield f"Lower cannot be simulated: {found.range.fault_below}"
        if not found.grow:
            yield "With orders that stay as they are fewer blocks bring less; a higher --from may find a level that keeps all."
    elif found.high is None and found.guess is None:
        fault = found.range.fault_above
        yield f"Higher cannot be simulated: {fault}" if fault else "For more, give a higher --to."


def _targets(number: int) -> str:
    return "a target" if number == 1 else f"{number} targets"


def _between(found: Ceiling) -> str:
    """The best guess and the interval."""
    if found.low is None and found.high is None:
        return f"Nothing is sure: no level was surely kept, none surely broken. More runs tell more: --runs {4 * found.runs}."
    kept = (
        f"surely kept at {blocks(found.low)}" if found.low is not None else "surely kept at no level that was looked at"
    )
    broken = f"surely not at {found.high:,}" if found.high is not None else "nowhere surely broken"
    sentence = f"all targets are {kept}, {broken}"
    if found.guess is None:
        return f"{sentence[0].upper()}{sentence[1:]}."
    change = 100 * (found.guess / found.now - 1)
    beside_now = (
        f"{abs(change):.0f} % {'more' if change > 0 else 'less'} than now" if abs(change) >= 0.5 else "as many as now"
    )
    return f"About {blocks(found.guess)}, {beside_now}: {sentence}."


def _closest(found: Ceiling) -> str:
    """Where no level keeps all targets: which one comes closest."""
    level = found.closest
    near = [targets.beside_bound(kept) for kept in level.kept if kept.verdict != "kept"]
    if any(kept.verdict == "broken" for kept in level.kept):
        sure = ""
    elif all(kept.target.short(kept.mean) <= 0 for kept in level.kept):
        sure = ", kept as it looks but not surely"
    else:
        sure = ", which so many runs cannot tell"
    return f"Closest comes {blocks(level.blocks)}: {listed(near)}{sure}."


def _scaled(found: Ceiling) -> str:
    """What was scaled."""
    grow = (
        "orders, block orders and what stalls sell grow along in proportion"
        if found.grow
        else "what customers want stays as it is"
    )
    states = f", in all {found.states} states of the farm" if found.states > 1 else ""
    told = weeks_told(found.before, found.weeks - found.before)
    short = short_told(found.before, found.weeks - found.before)
    since = (
        f" Figures are of {told}, after the last change in the {found.weeks}. {short}".rstrip() if found.before else ""
    )
    return f"All lines are scaled together{states}, their mix kept; {grow}. Places, people and rules stay.{since}"


def fails(why: Why) -> Iterator[str]:
    """What fails first, and what else; where lots are cut anew, that is a step and no slope."""
    fails_ = (
        "the first thing to fail is"
        if why.first.verdict == "broken"
        else "what looks likeliest to fail first, not surely, is"
    )
    yield f"At {blocks(why.failing)} {fails_} {targets.instead(why.first, ': ')}."
    if why.also:
        yield f"There too: {listed([targets.instead(each) for each in why.also])}."
    if why.more and why.below is not None:
        cut = listed([_more(line) for line in why.more])
        yield f"From {why.below:,} to {blocks(why.failing)} more lots are cut each week: {cut}."


def _more(line: MoreLots) -> str:
    """Lots, and sterilizer loads, that a line makes more than at the level below."""
    loads = ""
    if line.loads is not None and line.loads[1] > line.loads[0]:
        loads = f" in {line.loads[1]} sterilizer loads instead of {line.loads[0]}"
    name = shortened(tidy(line.line), 30)
    return f"{name} {line.lots[1]} instead of {line.lots[0]}{loads} (the smallest of {plural(line.smallest, 'block')})"


def _seen(why: Why, file: str) -> list[str]:
    """What was seen there, what got worst first."""
    told = tight(why.seen, PLACES, CREWS)
    if not told:
        return section("SEEN THERE", ["No place or crew looks tight."])
    lines = [
        *labelled(told),
        *hung(f"This is what was seen, not yet what limits you: farmsim limits {file}", "", WIDTH - HEAD),
    ]
    return beside("SEEN THERE", lines)


def table(found: Ceiling) -> list[str]:
    """Every level that was looked at: each target's figure, * where it is surely broken, ? where it cannot be told."""
    labels = [["blocks a week", "bound", *(_level(level, found) for level in found.levels)],
              ["runs", "", *(str(level.runs) for level in found.levels)]]  # fmt: skip
    columns = [_column(at, target, found) for at, target in enumerate(found.targets)]
    lines: list[str] = []
    while columns:
        fits = max(
            count for count in range(1, len(columns) + 1) if count == 1 or _width([*labels, *columns[:count]]) <= WIDTH
        )
        lines += ([""] if lines else []) + _side_by_side([*labels, *columns[:fits]])
        columns = columns[fits:]
    return lines


def _level(level: Level, found: Ceiling) -> str:
    return f"{level.blocks:,}{' (now)' if level.blocks == found.now else ''}"


def _column(at: int, target: Target, found: Ceiling) -> list[str]:
    """One target at every level, below its name and bound."""
    cells = [level.kept[at] for level in found.levels]
    figures = [f"{targets.value(target, kept.mean, 1).split(' ')[0]}{MARKS[kept.verdict]}" for kept in cells]
    return [target.name, f"{targets.short_bound(target)}  ", *figures]


def _width(columns: Sequence[Sequence[str]]) -> int:
    return sum(max(map(len, column)) + 2 for column in columns) - 2


def _side_by_side(columns: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(map(len, column)) for column in columns]
    rows = zip(*columns, strict=True)
    return [
        "  ".join(
            cell.rjust(width) if at else cell.ljust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]


def _sure(found: Ceiling) -> Sequence[str]:
    """What is promised, and what is not."""
    filled = f"Each farm was given {plural(found.lead_in, 'week')} to fill up. " if found.lead_in else ""
    unknown = f" Not judged, because the farm has none: {listed(found.unknown)}." if found.unknown else ""
    left = [level for level in found.levels if level.left > 0]
    gone = ""
    if left:
        level = left[0]
        gone = (
            f" From {blocks(level.blocks)} on customers leave for good ({count(level.left)} in a run there); "
            "what they no longer order counts in no promise."
        )
    return [
        f"{filled}Run for run all levels had the same luck. * surely broken, ? cannot be told by so many runs, else surely "
        f"kept: all verdicts hold together {100 * found.sure:.0f} times in 100 (Student's t over runs, the risk shared out "
        "over every verdict there may be). That the limit lies between the two takes for granted that more blocks never help a "
        f"target. As far as the farm's file is right; a guess in it they do not see.{unknown}{gone}"
    ]
