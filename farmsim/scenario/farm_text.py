"""The text of a new farm's file: sections in the order of the work, every figure that nobody gave marked as a guess."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from farmsim import units
from farmsim.errors import QuantityFault
from farmsim.scenario.answer_forms import IN_THE_BAG, Buyer, soaked
from farmsim.scenario.answer_prices import Paid
from farmsim.scenario.answers import Answers, wrapped
from farmsim.scenario.assumed import LEFT, WORKED_OUT
from farmsim.scenario.fields import PLACEHOLDER
from farmsim.scenario.guess_lines import Owner
from farmsim.scenario.rooms import CleanBench, Inspect, Mix, Room
from farmsim.scenario.sizing import CRATES_A_BLOCK, CYCLE, CrewSize, Sizes, shared_out
from farmsim.scenario.strain import Strain
from farmsim.scenario.strain_page import of_sheet, slug, sources_named
from farmsim.scenario.values import DAYS
from farmsim.scenario.write_figure import Line, days, set_out, table, text, value_of

Left = Mapping[Owner, Sequence[Line]]  # by table: what defaults and the strain sheet would give
Firsts = Mapping[str, float]  # by strain: firsts of a week [kg]

GUESS: Final = f"guess: {PLACEHOLDER}"
CHOSEN: Final = f"guess: {LEFT}"
SIZED: Final = f"guess: {WORKED_OUT} from averages, with room for uneven weeks"
A_WEEK: Final = "5 a week, rotating"  # for crews with more working days than one person has
FULL_WEEK = 5
LONG_SHIFT = 6.0  # hours from which a shift has a break


@dataclass(frozen=True, slots=True)
class Section:
    """One table of the file."""

    head: str
    owner: Owner
    lines: Sequence[Line]
    title: str = ""  # a divider above it


def farm_text(answers: Answers, sizes: Sizes, firsts: Firsts, left: Left) -> str:
    """The whole file as TOML.

    firsts: by strain, firsts of a usual week [kg]; none in a draft
    left: by table, the lines for figures that would otherwise stand at their defaults
    """
    pieces, sections = [], list(_sections(answers, sizes, firsts))
    written = {section.owner for section in sections}
    alone = [owner for owner, lines in left.items() if lines and len(owner) == 1 and owner not in written]
    for section in [*sections, *(Section(f"[{owner[0]}]", owner, ()) for owner in alone)]:
        more = [replace(line, above="") for line in left.get(section.owner, ())]
        divider = f"# --- {section.title} ".ljust(104, "-") + "\n" if section.title else ""
        pieces.append(divider + "\n".join([section.head, *set_out([*section.lines, *more])]))
    body = "\n\n".join(pieces)
    sources = [f"#   {source}" for source in sources_named(body)]
    foot = ["", "# Published sources:", *sources] if sources else []
    return "\n".join([*_head(answers), "", body, *foot]) + "\n"


def _head(answers: Answers) -> list[str]:
    title = " ".join(answers.name.upper().split())
    return [
        *wrapped(f"{title}: written by farmsim new."),
        "#",
        *wrapped(
            'What you answered stands without a mark. Every line marked "guess" holds a figure you did not give; behind '
            "the mark stands where it comes from:"
        ),
        "#   worked out   sized by farmsim for what you start, from averages",
        "#   default      a choice that you left to farmsim",
        "#   P, S         published (sources at the end), suppliers' instruction sheets (optimistic)",
        "#   the others   common practice, from memory, placeholder: nothing published stands behind it",
        *wrapped(
            "Measure your own, placeholders first; write them in and take the mark away: check and run list what is left."
        ),
    ]


def _sections(answers: Answers, sizes: Sizes, firsts: Firsts) -> Iterator[Section]:
    yield _about(answers, sizes)
    yield from _making(answers, sizes)
    yield from _cold_and_opening(answers, sizes)
    yield from _rooms(answers, sizes)
    yield from _crews(answers, sizes)
    yield from _strains(answers)
    yield from _starts(answers, sizes)
    yield from _customers(answers, firsts)
    yield from _block_customers(answers, sizes)
    yield from _year(answers)


def _about(answers: Answers, sizes: Sizes) -> Section:
    lines = [
        Line("name", text(answers.name)),
        Line("units", text(answers.units), 'how answers are shown: "us" or "metric"'),
        Line("start", answers.start.isoformat(), "a Monday"),
        *([Line("weeks", str(answers.weeks))] if answers.weeks is not None else []),
        *([Line("currency", text(answers.currency))] if answers.currency is not None else []),
        Line("lot", _blocks(sizes.lot), f"guess: {WORKED_OUT}, blocks that travel together on one cart"),
    ]
    return Section("[farm]", ("farm",), lines)


def _blocks(number: float) -> str:
    return text(units.show(number, "blocks").replace(",", ""))


# --- places -------------------------------------------------------------------------------------------------


def _making(answers: Answers, sizes: Sizes) -> Iterator[Section]:
    """Mixing, sterilizer and clean bench where blocks are made here; the racks."""
    if answers.made == "here":
        pace = value_of(Mix.figures["pace"], 45.0, answers.units)
        yield Section("[mix]", ("mix",), [Line("pace", pace, GUESS)], "making blocks")
        lines = [
            Line("count", str(sizes.sterilizers), SIZED),
            Line("load", _blocks(sizes.load), f"guess: {WORKED_OUT}, the largest day of a strain"),
            Line("cycle", text(f"{CYCLE:g} h"), GUESS),
        ]
        yield Section("[sterilizer]", ("sterilizer",), lines)
        pace = value_of(CleanBench.figures["pace"], 18.0, answers.units)
        source = "guess: P: three people, 400-500 bags a shift (P2)"
        yield Section(
            "[clean_bench]", ("clean_bench",), [Line("people", str(sizes.benches), SIZED), Line("pace", pace, source)]
        )
    racks = [Line("holds", _blocks(sizes.racks), SIZED)]
    if answers.made == "here":
        pace = value_of(Inspect.figures["pace"], 1500.0, answers.units)
        on = answers.work_days[len(answers.work_days) // 2]
        racks += [Line("inspect.days", days([on]), CHOSEN), Line("inspect.pace", pace, GUESS)]
    yield Section("[incubation]", ("incubation",), racks, "" if answers.made == "here" else "racks")


def _cold_and_opening(answers: Answers, sizes: Sizes) -> Iterator[Section]:
    """The walk-in, soak tanks and opening benches."""
    mark = SIZED if answers.walk_in is None else ""
    lines = [Line("holds", text(units.show(sizes.crates, "crates").replace(",", "")), mark)]
    if any("cold shock" in of_sheet(like).steps for like in answers.strains):
        lines.append(Line('uses."cold shock"', text(f"{CRATES_A_BLOCK:g} crate/block"), GUESS))
    lines.append(Line("uses.fresh", text("1 crate")))
    yield Section("[walk_in.main]", ("walk_in", "main"), lines, "cold, soak, opening, rooms")
    if any(soaked(like) for like in answers.strains):
        yield Section("[soak]", ("soak",), list(_soak(answers, sizes)))
    yield Section("[opening]", ("opening",), [Line("benches", str(sizes.opening), SIZED)])


def _soak(answers: Answers, sizes: Sizes) -> Iterator[Line]:
    if answers.soak == IN_THE_BAG:
        yield Line("how", text(IN_THE_BAG))
        return
    yield Line("how", text("tank"), SIZED if answers.soak is None else "")
    yield Line("tanks", str(sizes.tanks), SIZED if answers.soak is None else "")
    yield Line("tank", _blocks(sizes.lot), f"guess: {WORKED_OUT}, one cart")


def _rooms(answers: Answers, sizes: Sizes) -> Iterator[Section]:
    mark = SIZED if answers.rooms is None else ""
    for room in sizes.rooms:
        holds = value_of(Room.figures["holds"], float(room.holds), answers.units)
        kept = value_of(Room.figures["range"], room.range, answers.units)
        lines = [
            Line("name", text(room.name)),
            Line("holds", holds, mark),
            Line("range", kept, f"guess: {WORKED_OUT}, what suits the strains it is for"),
        ]
        yield Section("[[room]]", ("room", room.name), lines)


# --- people -------------------------------------------------------------------------------------------------


def _crews(answers: Answers, sizes: Sizes) -> Iterator[Section]:
    for at, crew in enumerate(sizes.crews):
        yield Section("[[crew]]", ("crew", crew.shape.name), list(_crew(answers, crew)), "people" if at == 0 else "")


def _crew(answers: Answers, crew: CrewSize) -> Iterator[Line]:
    asked = {"work": ("work_days",), "pick": ("pick_days",), "both": ("work_days", "pick_days")}[crew.shape.comes]
    by_turns = len(crew.days) > FULL_WEEK
    of_days = CHOSEN if by_turns else next(filter(None, map(answers.mark, asked)), "")
    yield Line("name", text(crew.shape.name))
    yield Line("people", str(crew.people), SIZED if answers.people is None else "")
    yield Line("days", text(A_WEEK) if by_turns else days(crew.days), of_days)
    shift = f"{units.show_clock(answers.hours.start)}-{units.show_clock(answers.hours.end)}"
    for stretch in _stretches(crew.days):
        yield Line(f"hours.{stretch}", text(shift), answers.mark("hours"))
    length = answers.hours.end - answers.hours.start
    if length >= LONG_SHIFT:
        yield Line("hours.break", text("30 min"), GUESS)
    yield Line("duties", f"[{', '.join(map(text, crew.shape.duties))}]", "first things first")
    yield Line("absence", text("3 %"), GUESS)
    if answers.wage is not None:
        yield Line("wage", text(f"{answers.wage.amount:g} {answers.wage.currency}/h"), answers.mark("wage"))
    if length + 1 <= units.HOURS_A_DAY:
        yield Line("overtime.at_most", text("1 h a day"), GUESS)


def _stretches(these: Sequence[str]) -> Iterator[str]:
    """Days that follow one another together: mon-wed, fri."""
    at = [DAYS.index(day) for day in these]
    while at:
        run = [day for place, day in enumerate(at) if day == at[0] + place]
        yield DAYS[run[0]] if len(run) == 1 else f"{DAYS[run[0]]}-{DAYS[run[-1]]}"
        at = at[len(run) :]


# --- strains and what is started ----------------------------------------------------------------------------


def _strains(answers: Answers) -> Iterator[Section]:
    for at, like in enumerate(answers.strains):
        lines = [Line("like", text(like), "of the strain library: what is not written here stands as it is there")]
        if "block" in answers.given:
            lines.append(Line("block", value_of(Strain.figures["block"], answers.block, answers.units)))
        yield Section(f"[strain.{slug(like)}]", ("strain", slug(like)), lines, "strains" if at == 0 else "")


def _starts(answers: Answers, sizes: Sizes) -> Iterator[Section]:
    mark = answers.mark("strains") or answers.mark("blocks")
    for at, line in enumerate(sizes.lines):
        lines = [
            Line("name", text(line.like)),
            Line("strain", text(line.strain)),
            Line("blocks", text(f"{line.blocks} blocks a week"), mark),
            Line("days", days(line.days), f"guess: {WORKED_OUT}, the days as full as one another"),
            Line("made", text(answers.made), answers.mark("made")),
        ]
        if answers.made == "bought":
            few = table({"low": text("2 d"), "likely": text("4 d"), "high": text("8 d")})
            lines.append(Line("ripe_in", few, GUESS))
        yield Section("[[start]]", ("start", line.like), lines, "what is started" if at == 0 else "")


# --- what is promised ---------------------------------------------------------------------------------------


def _customers(answers: Answers, firsts: Firsts) -> Iterator[Section]:
    """Standing orders, spread over the strains as they grow; and somebody who takes what is left."""
    title = "what is promised"
    for buyer in answers.customers if firsts else ():
        taken = list(_takes(answers, buyer, firsts))
        lines = [
            Line("name", text(buyer.name)),
            Line("days", days(buyer.days), CHOSEN if answers.mark("customers") else ""),
            Line("leave_by", text(units.show_clock(answers.leave_by)), answers.mark("leave_by")),
            *taken,
            Line("takes.varies", "0.15", GUESS),
            *_price(answers.price),
        ]
        if not taken:
            mend = "Leave it out, or give it more."
            raise QuantityFault(f"what {buyer.name} takes comes to nothing", "needs something", mend, ("customers",))
        yield Section("[[customer]]", ("customer", buyer.name), lines, title)
        title = ""
    lines = [
        Line("name", text(outlet_name(answers)), "takes seconds and what is left; take this table away if nobody does"),
        Line("kind", text("outlet")),
        Line("takes", text("anything")),
        Line("takes_firsts_left", text("2 d"), GUESS),
        Line("days", days([answers.pick_days[-1]]), CHOSEN),
        Line("leave_by", text(units.show_clock(answers.leave_by)), CHOSEN),
    ]
    yield Section("[[customer]]", ("customer", outlet_name(answers)), lines, title)


def outlet_name(answers: Answers) -> str:
    """What the outlet is called: not like any customer."""
    names = {buyer.name for buyer in (*answers.customers, *answers.block_customers)}
    return next(name for name in ("outlet", *(f"outlet {at}" for at in range(2, len(names) + 3))) if name not in names)


def _takes(answers: Answers, buyer: Buyer, firsts: Firsts) -> Iterator[Line]:
    whole = sum(firsts.values())
    for name, kg in firsts.items():
        part = buyer.share * kg / len(buyer.days) if buyer.share else buyer.weight * kg / whole if whole else 0.0
        number, unit = units.show(part, "kg", answers.units, digits=15).replace(",", "").split(" ")
        rounded = _rounded(float(number))
        if rounded > 0:
            said = f"{units.show(buyer.share, 'fraction')} of the firsts" if buyer.share else "spread as the firsts"
            yield Line(
                f"takes.{name}",
                text(f"{rounded:g} {unit} a delivery"),
                answers.mark("customers") or f"guess: {WORKED_OUT}, {said}",
            )


def _rounded(number: float) -> float:
    """A weight as it would be agreed on: whole pounds or kilograms, small ones to a tenth."""
    return float(round(number)) if number >= 10 else round(number, 1)


def _block_customers(answers: Answers, sizes: Sizes) -> Iterator[Section]:
    if not answers.sold:
        return
    sold = round(answers.sold * answers.blocks)
    buyers = answers.block_customers
    parts = shared_out(sold, [1 / len(buyers)] * len(buyers))
    for buyer, part in zip(buyers, parts, strict=True):
        counts = shared_out(part, [line.blocks / answers.blocks for line in sizes.lines])
        said = answers.mark("sold") or f"guess: {WORKED_OUT}, every strain alike"
        takes = [
            Line(f"takes.{line.strain}", text(f"{count} blocks a week"), said)
            for line, count in zip(sizes.lines, counts, strict=True)
            if count
        ]
        lines = [
            Line("name", text(buyer.name)),
            *takes,
            Line("takes.varies", "0.15", GUESS),
            Line("days", days(buyer.days), answers.mark("block_customers")),
            *_price(
                answers.block_price, [line.strain for line, count in zip(sizes.lines, counts, strict=True) if count]
            ),
        ]
        if "leave_by" in answers.given:
            lines.append(Line("leave_by", text(units.show_clock(answers.leave_by))))
        if not takes:
            found = f"of {units.show(answers.blocks, 'blocks')} a week none is left for {buyer.name}"
            raise QuantityFault(found, "needs at least one", "Sell a larger share, or to fewer.", ("sold",))
        yield Section("[[block_customer]]", ("block_customer", buyer.name), lines)


def _price(paid: Paid | None, sold: Sequence[str] = ()) -> Iterator[Line]:
    """What is paid, for all strains or by strain; sold: those that are, where not all may be."""
    for name, price in paid.by_strain.items() if paid is not None else ():
        if not name or not sold or slug(name) in sold:
            yield Line(f"price.{slug(name)}" if name else "price", text(price))


# --- the year -----------------------------------------------------------------------------------------------


def _year(answers: Answers) -> Iterator[Section]:
    """Months that differ, and days on which the farm stands still."""
    title = "the year"
    if answers.seasons is not None:
        factors = f"[{', '.join(units.number(factor) for factor in answers.seasons)}]"
        lines = [Line("orders", factors, "January first; 1 is what the rest of the file says")]
        if answers.sold:
            lines.append(Line("block_orders", factors, f"guess: {WORKED_OUT}, as fresh orders"))
        yield Section("[months]", ("months",), lines, title)
        title = ""
    for shut in answers.shut:
        lines = [Line("name", text(shut.name)), Line("first", shut.first.isoformat())]
        lines += [Line("last", shut.last.isoformat())] if shut.last is not None else []
        yield Section("[[shut]]", ("shut", shut.name), lines, title)
        title = ""
