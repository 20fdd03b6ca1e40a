"""What moves the answer, in sentences: what to measure first and what it does; then the table of all that was moved."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from farmsim.report.answer import Answer
from farmsim.report.compare import Shown
from farmsim.report.tables import WIDTH, section
from farmsim.report.words import listed, plural, share, shortened, tidy
from farmsim.study.compare import TOO_FEW, Difference
from farmsim.study.effects import Effect
from farmsim.study.sensitivity_answers import Asked, End, Mover, Sensed

NAME = 44  # letters of the first column
THINGS = {
    "strain": "strain",
    "crew": "crew",
    "customer": "customer",
    "block_customer": "block customer",
    "round": "round",
}


def answer(sensed: Sensed, file: str, ranges: Sequence[str]) -> Answer:
    """What was found in every form in which it is given; file: the farm's; ranges: those given, as typed."""
    from farmsim.report.figures import movers

    asked = {"file": file, "ranges": list(ranges), "start": sensed.start, "seed": sensed.seed, "budget": sensed.budget}
    tables = {"sensitivity": sensed.table}
    return Answer(screen(sensed), sensed.as_plain, asked, tables, {"sensitivity": lambda: movers.draw(sensed)})


def screen(sensed: Sensed) -> str:
    """Everything on one screen, as text."""
    as_it_is = listed(
        [f"{asked.name} {words(asked, sensed, asked.mean).base} {unit(asked, sensed)}" for asked in sensed.answers]
    )
    figures = plural(len(sensed.movers), "figure")
    parts = [f"{shortened(tidy(sensed.farm), 50)}: what moves the answer, of {figures} that may be otherwise"]
    parts += [f"  As it is: {as_it_is}.", ""]
    parts += told(sensed)
    parts += [*table(sensed), *of_the_spread(sensed), *left_out(sensed), *footnote(sensed)]
    return "\n".join(parts) + "\n"


def words(asked: Asked, sensed: Sensed, value: float) -> Shown:
    """A value of an answer in the farm's units."""
    return Shown(Difference(asked.name, asked.unit, value, value, value, None, None), sensed)


def unit(asked: Asked, sensed: Sensed) -> str:
    """The unit of an answer: "lb a week", "%"."""
    return "%" if asked.unit == "share" else words(asked, sensed, 0.0).unit


def told(sensed: Sensed) -> list[str]:
    """The figures that matter, guesses first, each with what it does; then those of which no effect was found."""
    guesses = [mover for mover in sensed.found if mover.is_guess]
    others = [mover for mover in sensed.found if not mover.is_guess]
    lines = _listed("MEASURE FIRST", guesses, sensed) + _listed("MOVES IT TOO, though no guess", others, sensed)
    if not sensed.found:
        lines += [
            "Of none of them an effect was found: the answer stands as far as these figures go, or as far as so",
            "few runs tell.",
            "",
        ]
    none = [mover.meaning for mover in sensed.movers if not mover.is_found]
    if none and sensed.found:
        lines += [*wrap(f"No effect found: {'; '.join(map(tidy, none))}.", WIDTH), ""]
    return lines


def _listed(heading: str, movers: Sequence[Mover], sensed: Sensed) -> list[str]:
    if not movers:
        return []
    lines = [heading]
    for at, mover in enumerate(movers, 1):
        lines += wrap(
            f"{tidy(mover.meaning)} ({of_what(mover)})",
            WIDTH - 6,
            initial_indent=f"  {at:>2}  ",
            subsequent_indent="      ",
        )
        lines += wrap(moved(mover, sensed), WIDTH - 6, initial_indent="      ", subsequent_indent="      ")
    return [*lines, ""]


def of_what(mover: Mover) -> str:
    """Whose figure it is, and what the farm has: "6 strains, now 15 % a day"."""
    kind = THINGS.get(mover.name.split(".")[0], "thing")
    whose = plural(mover.things, kind) if mover.things > 1 else tidy(mover.name)
    return f"{whose}, now {'each its own' if mover.now == 'differs' else tidy(mover.now)}"


def span(mover: Mover) -> str:
    """Its range: "5 to 30 % a day"."""
    low, high = tidy(mover.low), tidy(mover.high)
    number, _, rest = low.partition(" ")
    return f"{number} and {high}" if rest and high.endswith(f" {rest}") else f"{low} and {high}"


def moved(mover: Mover, sensed: Sensed) -> str:
    """What it does to each answer: from the farm as it is to its low and its high end."""
    said = []
    for at, (asked, effect) in enumerate(zip(sensed.answers, mover.effects, strict=True)):
        ends = mover.ends[at] if mover.ends else ()
        if any(_is_sure(end) for end in ends):
            said.append(_moved(*mover.ends[at], asked, sensed))
        elif effect.is_found and ends and not any(isinstance(end, str) for end in ends):
            said.append(f"{asked.name} only together with other figures, by itself no difference found")
        elif effect.is_found:
            said.append(_effect(asked, effect, sensed))
    return f"between {span(mover)} it moves {'; '.join(said)}{_left_ends(mover)}"


def _left_ends(mover: Mover) -> str:
    """Which of its ends are left out, and why."""
    whys: dict[str, None] = {}
    for ends in mover.ends:
        for where, end in zip(("low", "high"), ends, strict=True):
            if isinstance(end, str):
                whys[f"left out at the {where} end: {tidy(end)}"] = None
    return "".join(f"; {why}" for why in whys)


def _is_sure(end: End) -> bool:
    return isinstance(end, Difference) and end.verdict in ("more", "less")


def _moved(low: End, high: End, asked: Asked, sensed: Sensed) -> str:
    """What its ends do, each told as far as it is sure; one of them is."""
    first, last = (Shown(end, sensed) if isinstance(end, Difference) and _is_sure(end) else None for end in (low, high))
    if first and last:
        return f"{asked.name} by {first.difference} to {last.difference} {first.unit}"
    shown, other, where = (first, high, "low") if first else (last, low, "high")
    assert shown is not None
    if isinstance(other, str):
        return f"{asked.name} by {shown.difference} {shown.unit} at the {where} end"
    rest = "is the same" if other.verdict == "the same" else "shows no difference"
    return f"{asked.name} by {shown.difference} {shown.unit} at the {where} end (the other {rest})"


def _effect(asked: Asked, effect: Effect, sensed: Sensed) -> str:
    shown = words(asked, sensed, effect.mean)
    if effect.kind == "both ways":
        return f"{asked.name} by about {shown.size(effect.size)} {shown.unit} one way or the other"
    return f"{asked.name} by {shown.signed(effect.mean)} {shown.unit} from end to end"


def table(sensed: Sensed) -> list[str]:
    """What every figure does from its low to its high end, all others anywhere in theirs."""
    heads = [
        ["from its low to its high end", *(asked.name for asked in sensed.answers)],
        ["", *(words(asked, sensed, 0.0).unit for asked in sensed.answers)],
    ]
    rows = [
        [
            shortened(tidy(mover.meaning), NAME),
            *(cell(asked, effect, sensed) for asked, effect in zip(sensed.answers, mover.effects, strict=True)),
        ]
        for mover in sensed.movers
    ]
    widths = [max(len(row[at]) for row in (*heads, *rows)) for at in range(len(heads[0]))]
    lines = [
        "  ".join(text.ljust(widths[0]) if at == 0 else text.rjust(widths[at]) for at, text in enumerate(row)).rstrip()
        for row in (*heads, *rows)
    ]
    return [*lines, "In brackets: no effect found, and not ranked.", ""]


def cell(asked: Asked, effect: Effect, sensed: Sensed) -> str:
    """An effect with how far off it may be; in brackets when none was found."""
    shown = words(asked, sensed, effect.mean)
    if effect.says_nothing(asked.unit):
        return f"({TOO_FEW})"
    text = f"{shown.signed(effect.mean)} +-{shown.size(effect.give)}"
    if effect.kind == "both ways":
        return f"{text}, both ways {shown.size(effect.size)}"
    return text if effect.is_found else f"({text})"


def of_the_spread(sensed: Sensed) -> list[str]:
    """How much of an answer's spread goes back to which figure."""
    movers = [mover for mover in sensed.found if mover.shares]
    if not movers:
        if not sensed.found:
            return []
        text = "How much of the spread goes back to which of them was not worked out: " + (
            f"of {plural(sensed.rows_dropped, 'row of farms', 'rows of farms')} one farm or more is not possible, and too few "
            "rows are left. Narrower ranges (--figure) leave more, and more time (--budget or --runs) may."
            if sensed.rows_dropped
            else f"it takes {sensed.rows_runs:,} runs more, and the time was up. --budget or --runs gives more."
        )
        return [*section("ITS SHARE", [text]), ""]
    paragraphs = []
    for at, asked in enumerate(sensed.answers):
        ranked = sorted(
            (mover for mover in movers if mover.shares[at].is_alone_found), key=lambda mover: -mover.shares[at].alone
        )
        said = [f"{tidy(mover.meaning)} {_share(mover, at)}" for mover in ranked]
        none = [tidy(mover.meaning) for mover in movers if not mover.shares[at].is_alone_found]
        rest = f" No share found by itself: {'; '.join(none)}." if none else ""
        these = f"Of the spread that these {len(movers)} together make in {asked.name}"
        paragraphs.append(f"{these}: {'; '.join(said) or 'no share found'}.{rest}")
    without = f"; {sensed.rows_dropped:,} more were not possible and are left out" if sensed.rows_dropped else ""
    paragraphs.append(f"From {plural(sensed.rows, 'row of farms', 'rows of farms')}{without}.")
    return [*section("ITS SHARE", paragraphs), ""]


def _share(mover: Mover, at: int) -> str:
    one = mover.shares[at]
    alone = f"{_within(one.alone)} by itself ({_within(one.alone - one.alone_give)} to {_within(one.alone + one.alone_give)})"
    total = f"{_within(one.total - one.total_give)} to {_within(one.total + one.total_give)}"
    return f"{alone}, {total} with all it does together with others"


def _within(part: float) -> str:
    """A share that may have come out below nothing or above all of it."""
    return share(min(1.0, max(0.0, part)))


def left_out(sensed: Sensed) -> list[str]:
    """Guesses that were not moved, and why."""
    if not sensed.left:
        return []
    reasons: dict[str, list[str]] = {}
    for each in sensed.left:
        why = "; ".join(filter(None, (each.why, each.mend)))
        reasons.setdefault(tidy(why), []).append(tidy(each.meaning))
    return [*section("NOT MOVED", [f"{'; '.join(meanings)}: {why}" for why, meanings in reasons.items()]), ""]


def footnote(sensed: Sensed) -> list[str]:
    """How it was found, and how sure it is."""
    filled = f"Each farm was given {plural(sensed.lead_in, 'week')} to fill up. " if sensed.lead_in else ""
    dropped = (
        f" At {plural(sensed.dropped, 'further starting point')} a farm was not possible." if sensed.dropped else ""
    )
    statements = len(sensed.movers) * len(sensed.answers)
    ends = (
        f" What each moves by itself comes from {plural(sensed.ends_lucks, 'run')} at each end, on other luck."
        if sensed.found
        else ""
    )
    text = (
        f"{filled}All figures were moved together, one after the other from {plural(sensed.starts, 'starting point')}, "
        f"{plural(sensed.lucks, 'run')} of each farm, each starting point on luck of its own (screening after Morris)."
        f"{dropped}{ends} All {statements} intervals of the table hold together with {100 * sensed.sure:.0f} in 100, "
        "for the ranges in sensitivity.csv, most of which are guesses themselves. Another seed, or more time, "
        f"may find more; what is found will seldom go away. The same again on any machine: --runs {sensed.budget}, the most "
        "runs that it may take."
    )
    return section("HOW SURE", [text])
