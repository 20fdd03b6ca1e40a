"""A sweep in sentences: where each answer is best and from where on no more is gained; then the table."""

from __future__ import annotations

from collections.abc import Sequence

from farmsim.report.answer import Answer
from farmsim.report.compare import Shown
from farmsim.report.tables import labelled, section
from farmsim.report.words import listed, plural, short_told, shortened, tidy, weeks_told
from farmsim.study.compare import TOO_FEW, Difference
from farmsim.study.sweep import Axis, Best, Swept

BESIDE = ("picked", "paid hours", "overtime")  # told in the table beside the answers
COLUMNS = 5  # figures of the table; the file sweep.csv has all
MOST_LISTED = 6


def answer(swept: Swept, file: str, fields: Sequence[str]) -> Answer:
    """The sweep in every form in which it is given; file: the farm's; fields: what was swept, as typed."""
    from farmsim.report.figures import swept as picture

    asked = {"file": file, "swept": list(fields), "start": swept.start, "seed": swept.seed, "runs": swept.runs}
    tables = {"sweep": swept.table, "runs": swept.figures}
    return Answer(screen(swept), swept.as_plain, asked, tables, {"sweep": lambda: picture.draw(swept)})


def screen(swept: Swept) -> str:
    """Everything on one screen, as text."""
    parts = [*head(swept), ""]
    parts += [f"  {line}" for line in labelled([(best.name, told(best, swept)) for best in swept.best])]
    parts += ["", *table(swept), "", *refused(swept), *footnote(swept)]
    return "\n".join(parts) + "\n"


def head(swept: Swept) -> list[str]:
    """What was tried, how often, and what the farm has."""
    name = shortened(tidy(swept.farm), 50)
    since = f", {weeks_told(swept.since, swept.weeks)}" if swept.since else ""
    lines = [f"{name}: {plural(swept.runs, 'run')} of each on the same luck{since}"]
    lines += [f"  {short}" for short in [short_told(swept.since, swept.weeks)] if short]
    for axis in swept.axes:
        lines.append(f"  {axis.name}: {spread_of(axis)}; the farm has {tidy(axis.own_said)}")
    if not swept.is_own:
        lines.append(f"  What the farm has is not among them: all are held against {told_point(swept, swept.base)}.")
    if swept.nobody_buys:
        lines.append(
            "  Nobody buys: the farm has no customer, so nothing can be told of sales, nor which value is best."
        )
    return lines


def spread_of(axis: Axis) -> str:
    """The values in a few words: "2 to 5", "ripest and dearest"."""
    if axis.numbers is None or len(axis.said) <= 2:
        return f"{listed(axis.said)} {axis.unit}".strip()
    return f"{axis.said[0]} to {axis.said[-1]} {axis.unit}, {len(axis.said)} values".replace(" ,", ",")


def told_point(swept: Swept, at: int) -> str:
    """A point in words: "4", or "4 and 700"."""
    return listed(swept.said(at))


def shown(best: Best, mean: float, swept: Swept) -> Shown:
    """An average of an answer in the farm's units."""
    return Shown(Difference(best.name, best.unit, mean, mean, mean, None, None), swept)


def told(best: Best, swept: Swept) -> str:
    """Where an answer is best."""
    if len(best.unbeaten) == len(swept.possible):
        return f"No difference found; {_none_brings(best, swept)}."
    if len(swept.axes) == 1 and swept.axes[0].numbers is not None:
        return _told_in_order(best, swept)
    return _told_as_list(best, swept)


def _none_brings(best: Best, swept: Swept) -> str:
    """How much more any other may bring than the first of those that no other surely beats."""
    most, first = shown(best, best.open, swept), told_point(swept, best.unbeaten[0])
    if best.says_nothing:
        lines = (line for point in swept.points for line in point.differences if line.name == best.name)
        needed = max((line.needed for line in lines if line.needed), default=None)
        return TOO_FEW + (f" to say how much there may be, about {needed:,} would tell" if needed else " to say more")
    if most.size(max(0.0, best.open)) == "0":
        return f"none brings more than {first}"
    return f"none brings over {most.size(best.open)} {most.unit} more than {first}"


def average(best: Best, at: int, swept: Swept) -> str:
    """The average at a point: "1,390 lb a week", "96 % "."""
    words = shown(best, best.means[at], swept)
    return f"{words.base} {'%' if best.unit == 'share' else words.unit}"


def _gain(best: Best, swept: Swept) -> str:
    """How much more the first of the best brings than the first that was tried."""
    if best.gained is None:
        return ""
    words = Shown(best.gained, swept)
    points = " points" if best.unit == "share" else ""
    surely = f"surely over {words.least}{points} more than with {told_point(swept, swept.possible[0])}"
    return f", {surely}" if best.gained.verdict == "more" else ""


def _told_in_order(best: Best, swept: Swept) -> str:
    """Values that have an order: up to where it rises, from where on no more is gained, beyond what it falls."""
    first, last = best.unbeaten[0], best.unbeaten[-1]
    is_first, is_last = first == swept.possible[0], last == swept.possible[-1]
    at, to = told_point(swept, first), told_point(swept, last)
    figure = f"{average(best, first, swept)}{_gain(best, swept)}"
    beyond = "" if is_last else f" Beyond {to} it is surely less."
    if first == last:
        edge = " That is the last value tried: more of it may bring more." if is_last else ""
        edge = " That is the first value tried: less of it may bring more." if is_first else edge
        return f"Best at {at}: {figure}.{edge or beyond}"
    rest = shown(best, best.open, swept)
    size = rest.size(max(0.0, best.open))
    more = "nothing more is gained" if size == "0" else f"no more is surely gained, at most {size} {rest.unit}"
    if is_first:
        return f"From {at} to {to} no difference: {figure}.{beyond}"
    return f"More up to {at}: {figure}. From {at} on {more}.{beyond}"


def _told_as_list(best: Best, swept: Swept) -> str:
    """Pairs of values, or values without an order: those that no other surely beats."""
    top = max(best.unbeaten, key=lambda at: best.means[at])
    others = [told_point(swept, at) for at in best.unbeaten if at != top]
    lines = f"Most at {told_point(swept, top)}: {average(best, top, swept)}."
    if not others:
        return f"{lines} Each of the others is surely less than one that was tried."
    few = listed([f"({other})" if len(swept.axes) > 1 else other for other in others[:MOST_LISTED]])
    rest = f" and {len(others) - MOST_LISTED} more" if len(others) > MOST_LISTED else ""
    return f"{lines} Not surely less: {few}{rest}."


def columns(swept: Swept) -> list[int]:
    """Which figures the table shows: the answers, then what stands beside them."""
    lines = swept.points[swept.base].differences
    names = [best.name for best in swept.best]
    wanted = [*names, *(name for name in BESIDE if name not in names)][:COLUMNS]
    return [at for name in wanted for at, line in enumerate(lines) if line.name == name]


def table(swept: Swept) -> list[str]:
    """One row a point: the base's averages, the differences of the others and how far off they may be."""
    wanted, base = columns(swept), swept.points[swept.base].differences
    words = [Shown(base[at], swept) for at in wanted]
    rows = [
        [*(axis.name.rsplit(".", 1)[-1] for axis in swept.axes), *(base[at].name for at in wanted)],
        [
            *(axis.unit for axis in swept.axes),
            *("%" if base[at].unit == "share" else each.unit for at, each in zip(wanted, words, strict=True)),
        ],
    ]
    for at, point in enumerate(swept.points):
        rows.append([*swept.said(at), *_cells(swept, at, wanted)])
        if at == swept.base:
            rows[-1][-1] += " <- as it is" if swept.is_own else " <- base"
        if point.fault:
            rows[-1] = [*swept.said(at), "not possible"]
    return _laid_out(rows)


def _cells(swept: Swept, at: int, wanted: Sequence[int]) -> list[str]:
    lines = swept.points[at].differences
    if not lines:
        return []
    each = [Shown(lines[place], swept) for place in wanted]
    return [words.base if at == swept.base else words.difference for words in each]


def _laid_out(rows: Sequence[Sequence[str]]) -> list[str]:
    """Columns to the right, under one another; a mark behind the last column does not widen it."""
    bare = [[cell.split(" <-")[0] for cell in row] for row in rows]
    count = len(rows[0])
    widths = [max(len(row[at]) for row in bare if len(row) == count) for at in range(count)]
    return [
        "  ".join(
            cell.split(" <-")[0].rjust(width) + (f"  <-{cell.split(' <-')[1]}" if " <-" in cell else "")
            for cell, width in zip(row, widths, strict=False)
        ).rstrip()
        for row in rows
    ]


def refused(swept: Swept) -> list[str]:
    """The values that are not possible, each with its reason."""
    faults = [(told_point(swept, at), point.fault) for at, point in enumerate(swept.points) if point.fault]
    if not faults:
        return []
    reasons: dict[str, list[str]] = {}
    for said, fault in faults:
        reasons.setdefault(fault, []).append(said)
    return [*section("NOT POSSIBLE", [f"{listed(_few(said))}: {tidy(fault)}" for fault, said in reasons.items()]), ""]


def _few(said: Sequence[str]) -> list[str]:
    left = len(said) - MOST_LISTED
    return [*said[:MOST_LISTED], f"{left} more"] if left > 0 else list(said)


def footnote(swept: Swept) -> list[str]:
    """How sure all of this is together."""
    filled = f"Each farm was given {plural(swept.lead_in, 'week')} to fill up. " if swept.lead_in else ""
    text = (
        f"{filled}Run for run all farms had the same luck, so what differs comes from the value. All {swept.intervals:,} "
        f"intervals (every figure at every value, and every two values of an answer) hold together with "
        f"{100 * swept.sure:.0f} in 100, as far as the farm's file is right; a guess in it they do not see. More runs "
        "tell smaller differences."
    )
    return section("HOW SURE", [text])
