"""What limits a farm, in sentences: what limits now and next, what every step brings, and what was seen beside it."""

from __future__ import annotations

from collections.abc import Sequence

from farmsim.report.answer import Answer
from farmsim.report.compare import earned, floored
from farmsim.report.tables import WIDTH, hung, section
from farmsim.report.words import POUND, count, listed, plural, share, short_told, shortened, stretch, tidy, weeks_told
from farmsim.scenario.one_more import BOTH, MORE, ORDERS, STARTS
from farmsim.study.answers import Crew, Place
from farmsim.study.compare import Difference
from farmsim.study.headlines import OPERATING
from farmsim.study.limits_answers import Asked, Gain, Limits

WORTH_SAYING = 0.05  # of the time, for a state of a place
NOT_FOUND, THE_SAME = "no difference found", "the same"
WHERE = 20  # letters of a place's name
OPEN = 2  # steps named that may yet be found to bring something


def answer(limits: Limits, file: str) -> Answer:
    """What was found in every form in which it is given; file: name of the farm's file."""
    from farmsim.report.figures import limits as picture

    asked = {"asked": file, "start": limits.start, "seed": limits.seed, "runs": limits.runs, "fuller": limits.fuller}
    tables = {"limits": limits.table, "active_periods": limits.held_table}
    tables |= {"earned": limits.earned_table} if limits.earned else {}
    return Answer(screen(limits), limits.as_plain, asked, tables, {"limits": lambda: picture.draw(limits)})


def screen(limits: Limits) -> str:
    """Everything on one screen, as text."""
    name = shortened(tidy(limits.farm), 40)
    fuller = f", with {share(MORE)} more started and asked for" if limits.fuller else ""
    told = weeks_told(limits.since, limits.weeks)
    parts = [f"{name}{fuller}: what one step more of each place and crew would bring", ""]
    if limits.since:
        of_weeks = f"All of it is told of {told}, since the farm's last change, and of what is there then."
        parts += [*section("WEEKS", [f"{of_weeks} {short_told(limits.since, limits.weeks)}".strip()]), ""]
    parts += [*section("LIMITS NOW", now(limits)), ""]
    if limits.then is not None:
        parts += [*section("LIMITS NEXT", [then(limits)]), ""]
    parts += [*section("NOT THE FARM", outside(limits)), ""]
    parts += [*table(limits), "", *footnote(limits)]
    return "\n".join(parts) + "\n"


# --- sentences --------------------------------------------------------------------------------------------------------


def now(limits: Limits) -> list[str]:
    """What limits now, with what was seen there; or that nothing on the farm was found that does."""
    asked = limits.now
    if asked.best is None:
        return [capital(_none(asked, limits))]
    best = asked.gain(asked.best)
    told = f"{capital(best.where)}. {brings(best, limits)}"
    if asked.not_told_apart:
        told += f" {_not_told_apart(asked, limits)}"
    by_strain = earned(limits.earned.get(best.name, ()), limits.currency)
    return [told, *([by_strain] if by_strain else []), f"Seen there: {seen(limits, best.where)}."]


def _not_told_apart(asked: Asked, limits: Limits) -> str:
    """Steps at other places that may bring as much as the best."""
    others = [f"{name} ({Told(asked.gain(name).judged, limits).difference})" for name in asked.not_told_apart]
    return f"Not told apart from it: {listed(others)}."


def _none(asked: Asked, limits: Limits) -> str:
    """That no place and no crew limits; or that it is not known yet."""
    if not asked.open:
        return (
            f"no place and no crew. No step brings as much as {share(limits.worth)} more sold. {_outside_limits(asked)}"
        )
    told = [_may(asked.gain(name), limits) for name in asked.open[:OPEN]]
    more = f" and {len(asked.open) - OPEN} more" if len(asked.open) > OPEN else ""
    ruled = f"these runs do not rule out {listed(told)}{more}: ask with more --runs."
    return f"not found. No step surely brings more sold, but {ruled}"


def _may(gain: Gain, limits: Limits) -> str:
    line = Told(gain.judged, limits)
    runs = f", about {gain.judged.needed:,} runs would tell" if gain.judged.needed else ""
    return f"{gain.name} ({line.between} {line.unit}{runs})"


def _outside_limits(asked: Asked) -> str:
    """What limits where no place and no crew does."""
    sure = {gain.where for gain in asked.outside if gain.judged.verdict == "more"}
    if ORDERS in sure and STARTS in sure:
        return "What limits is what is started and what is asked for, each by itself."
    if ORDERS in sure:
        return "What limits is what is asked for: the orders."
    if STARTS in sure:
        return "What limits is the blocks started."
    if sure:
        return "What limits is the blocks started and the orders, the two together."
    return f"Nor was anything found that {share(MORE)} more started or asked for would bring: more runs may tell."


def brings(gain: Gain, limits: Limits) -> str:
    """What a step brings, every figure that surely differs."""
    told = [Told(line, limits).sentence for line in gain.figures if line.verdict in ("more", "less")]
    step = f"{gain.more}," if "," in gain.more else gain.more
    return f"{capital(step)} brings {'; '.join(told)}."


def then(limits: Limits) -> str:
    """What limits once that is relieved."""
    assert limits.then is not None and limits.relieved is not None
    asked, name = limits.then, limits.relieved
    taken = f"With that step taken ({name})" if limits.now.best is not None else f"With {name}"
    if asked.best is not None:
        best = asked.gain(asked.best)
        again = " again" if best.where == limits.now.gain(name).where else ""
        told = f"{taken}: {best.where}{again}. {brings(best, limits)}"
        if asked.not_told_apart:
            told += f" {_not_told_apart(asked, limits)}"
        return told
    return f"{taken}: {_none(asked, limits)}"


def outside(limits: Limits) -> list[str]:
    """What more orders and more blocks started would bring, with the farm as it is."""
    told = []
    for gain in limits.now.outside:
        line = Told(gain.judged, limits)
        if gain.judged.verdict in ("more", "less"):
            told.append(f"{capital(gain.more)}: {line.sentence}.")
        elif gain.judged.verdict == THE_SAME:
            told.append(f"{capital(gain.more)}: the same in every run.")
        else:
            told.append(f"{capital(gain.more)}: no difference found ({line.between} {line.unit}).")
    both = [gain for gain in limits.now.outside if gain.where == BOTH and gain.judged.verdict == "more"]
    if both and not limits.fuller:
        told.append("Which place or crew would limit then: ask with --fuller.")
    return told


def capital(text: str) -> str:
    """The text with a capital letter at its begin."""
    return text[:1].upper() + text[1:]


def seen(limits: Limits, where: str) -> str:
    """What was seen of a place or crew, in the runs of the farm as it is."""
    told = states(limits, where)
    place = next((one for one in limits.places if one.name == where), None)
    if place is None and told:
        told[0] += " of their time"
    elif place is not None and place.full_waiting >= WORTH_SAYING:
        told[0] += " of the hours with people there" if place.staffed else " of the time"
        told[0] += f" ({plural(place.waited, 'lot')} a week wait {stretch(place.wait)})" if place.waited >= 0.05 else ""
    return "; ".join(told)


def states(limits: Limits, where: str) -> list[str]:
    """The states of a place or crew worth saying, as short as can be."""
    of_places = [_of_place(one) for one in limits.places if one.name == where]
    of_crews = [_of_crew(one) for one in limits.crews if one.name == where]
    return next(iter([*of_places, *of_crews]), [])


def _of_place(one: Place) -> list[str]:
    lasted = (
        ("full and lots waiting", one.full_waiting),
        ("full, nothing waits", one.full_quiet),
        ("done but no place to go", one.done_no_place),
        ("idle", one.idle),
    )
    first, *rest = [f"{name} {share(much)}" if much >= WORTH_SAYING else "" for name, much in lasted]
    rest = [each for each in rest if each]
    if one.staffed and rest:  # the first is of the hours with people there, and the two must not be added up
        rest[0] = f"of all hours {rest[0]}"
    return [first or "hardly ever full with lots waiting", *rest]


def _of_crew(one: Crew) -> list[str]:
    told = [f"all at work and more waiting {share(one.full_waiting)}"]
    told.append(f"{share(one.used)} of {count(one.rostered)} h a week at work")
    return [*told, f"{count(one.overtime)} h overtime"] if one.overtime >= 0.05 else told


# --- figures ----------------------------------------------------------------------------------------------------------


class Told:
    """What a step does to one figure, in the farm's units and in words."""

    def __init__(self, line: Difference, limits: Limits) -> None:
        self._line, us = line, limits.system == "us"
        self._factor = 1 / POUND if line.unit == "kg/week" and us else 1.0
        units = {
            "kg/week": "lb a week" if us else "kg a week",
            "blocks/week": "blocks a week",
            "currency/year": f"{limits.currency} a year",
        }
        self.unit = units[line.unit]

    @property
    def heading(self) -> str:
        """Name and unit of the figure, for a column."""
        return self.unit if self._line.unit != "kg/week" else f"sold, {self.unit}"

    @property
    def sentence(self) -> str:
        """How much more or less, and how much of it is sure: "16 lb a week more sold, surely over 11"."""
        least = min(abs(self._line.low), abs(self._line.high)) * self._factor
        sold = "" if self._line.unit == "currency/year" else " sold"
        return f"{count(abs(self.mean))} {self.unit} {self._line.verdict}{sold}, surely over {floored(least)}"

    @property
    def mean(self) -> float:
        """The difference seen, in the shown unit."""
        return self._line.mean * self._factor

    @property
    def low(self) -> float:
        """At least so much."""
        return self._line.low * self._factor

    @property
    def high(self) -> float:
        """At most so much."""
        return self._line.high * self._factor

    @property
    def between(self) -> str:
        """Where it lies: -9 to +11."""
        return f"{signed(self.low)} to {signed(self.high)}"

    @property
    def difference(self) -> str:
        """As it stands in the table: +16 (11 to 21); -9 to +11 when none was found."""
        if self._line.verdict == THE_SAME:
            return "same"
        if self._line.verdict == NOT_FOUND:
            return self.between
        return f"{signed(self.mean)} ({signed(self.low).lstrip('+')} to {signed(self.high).lstrip('+')})"


def signed(value: float) -> str:
    """A difference with its sign, "0" when it is nearly none."""
    size = count(abs(value))
    return size if size == "0" else f"{'+' if value > 0 else '-'}{size}"


def table(limits: Limits) -> list[str]:
    """Every place and crew with what was seen there, and below it what its steps bring, those that bring most first."""
    steps = [gain for gain in limits.now.steps if not _never_differs(gain)]
    columns = [at for at in range(len(steps[0].figures)) if _differs(steps, at)] if steps else []
    lines = ["ONE STEP MORE, and what was seen at the place as it is"]
    if steps:
        cells = {gain.name: [Told(gain.figures[at], limits).difference for at in columns] for gain in steps}
        heads = [Told(steps[0].figures[at], limits).heading for at in columns]
        widths = [max(len(heads[at]), *(len(row[at]) for row in cells.values())) + 3 for at in range(len(columns))]
        label = WIDTH - sum(widths)
        lines.append(" " * label + _row(heads, widths))
        for where in dict.fromkeys(gain.where for gain in steps):
            lines += hung(seen(limits, where), f"{shortened(tidy(where), WHERE)}", WIDTH, WHERE + 2)
            lines += [
                f"{shortened('  ' + gain.more, label):<{label}}{_row(cells[gain.name], widths)}"
                for gain in steps
                if gain.where == where
            ]
    return [*lines, *_the_rest(limits, steps, columns)]


def _the_rest(limits: Limits, steps: Sequence[Gain], columns: Sequence[int]) -> list[str]:
    """What the table leaves out: steps and figures that never differed, and steps that could not be taken."""
    told = []
    same = [gain.name for gain in limits.now.steps if _never_differs(gain)]
    if same:
        told.append(f"The same in every run: {'; '.join(same)}.")
    if steps and any(line.unit == "blocks/week" and at not in columns for at, line in enumerate(steps[0].figures)):
        told.append("With none of these steps were more or fewer blocks sold.")
    told += [f"Not asked: {name}. {why}" for name, why in limits.not_asked]
    return [line for text in told for line in hung(text, "", WIDTH)]


def _row(cells: Sequence[str], widths: Sequence[int]) -> str:
    return "".join(cell.rjust(width) for cell, width in zip(cells, widths, strict=True))


def _never_differs(gain: Gain) -> bool:
    return all(line.verdict == THE_SAME for line in gain.figures)


def _differs(steps: Sequence[Gain], at: int) -> bool:
    return at == 0 or any(gain.figures[at].verdict != THE_SAME for gain in steps)


def footnote(limits: Limits) -> list[str]:
    """How sure all of this is together, how it was asked, and what is not in it."""
    filled = f"Each farm was given {plural(limits.lead_in, 'week')} to fill up. " if limits.lead_in else ""
    told = (
        f"{filled}Every step was tried in {plural(limits.first, 'run')} of {plural(limits.weeks, 'week')} on the same luck, "
        f"those that may bring most in {limits.runs}; steps that never differed, or surely bring less than another or under "
        f"{share(limits.worth)} of what is sold, were not followed up. All that is told holds together with "
        f"{100 * limits.sure:.0f} in 100, as far as the farm's file is right; a guess in it the runs do not see."
    )
    what = f'"Sold" is what is {limits.figure}.' if limits.figure.startswith("sold ") else ""
    names = {line.name for gain in limits.now.steps for line in gain.figures if line.unit == "currency/year"}
    paid = "all costs that the farm gives (net operating income)" if OPERATING.name in names else "wages and energy"
    cost = f" Money is what is left after {paid}; what a step costs to buy is not in it." if names else ""
    return section("HOW SURE", [told, f"{what}{cost}".strip()] if what or cost else [told])
