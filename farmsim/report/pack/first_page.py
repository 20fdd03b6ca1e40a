"""The first page: what is asked for and why, who buys, whether it is repaid when things go wrong, why believe it."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.books import NO_ADVICE
from farmsim.report.document import OnePage, Pairs, Part, Sheet, Side, Words
from farmsim.report.html import Column, Table
from farmsim.report.loan_words import besides
from farmsim.report.pack import believed, needed
from farmsim.report.pack.said import (
    BLANK,
    NONE,
    POOR,
    SIMPLE,
    TERM,
    Told,
    added_up,
    day_of,
    joined,
    of_sales,
    percent,
    poor,
    ratio,
    usual,
    whole,
    years_of,
)
from farmsim.report.pack.why import why
from farmsim.report.words import count, month, plural, rounded_to, tidy
from farmsim.study.answers import FEWEST, Total
from farmsim.study.pack_answers import Pack, PastTold, Stressed
from farmsim.study.pack_shown import Added, added

FIRM = {
    "signed": "signed",
    "by habit": "by habit",
    "letter": "letters of interest",
    "hoped for": "hoped for",
    "outlet": "to an outlet that takes what is left",
}
NO_MORE = "No mushrooms more are sold."
LINES = (
    ("Sales", "sales", False),
    ("Net operating income", "operating_income", False),
    ("Capacity to repay (*)", "capital_debt_repayment_capacity", False),
    ("All debt payments, old and new", "payments", False),
    (f"{SIMPLE}, usual year", "simple_debt_service_coverage", True),
    (f"{TERM}, usual year", "term_debt_coverage", True),
)
FORMULAS = (
    "(*) Capital debt repayment capacity after the Farm Financial Standards Council: net farm income and income from "
    "elsewhere, less taxes and family living, with depreciation and interest on loans added back. Term debt coverage is this "
    "over all debt payments; simple debt-service coverage is net operating income over them."
)

BETTER = (
    "A row may look better than the plan: what goes wrong may spare more than it costs, as an opening that comes late puts off "
    "blocks, wages and power too"
)
AS_DRAWN = "As family living counts here what the owner draws; what the family really spends was not given."


def parts(pack: Pack) -> Iterator[Part]:
    """The first page, part by part."""
    yield OnePage(tuple(shown(pack)))


def shown(pack: Pack) -> Iterator[Part]:
    """What is asked first, then why, year by year, if things go wrong, why believe it."""
    told = Told(pack)
    yield Words(ask(pack, told), "strong")
    yield Side(_amounts("Uses", "what it is for", pack.asked.uses, told), _sources(pack, told))
    yield Pairs((("Why", why(pack)), ("Who buys it", buyers(pack, told))))
    yield Sheet(by_year(pack))
    yield Words(joined((needed.sentence(pack), alone(pack, told), lowest(pack, told))))
    if pack.stress:
        yield Sheet(stress(pack, told))
    if text := may_fall(pack):
        yield Words(text)
    yield Pairs((("Why believe it", believed.believe(pack, told)),))
    yield Words(joined((FORMULAS, AS_DRAWN if pack.lives_on_draw else "", NO_ADVICE)), "small")


# --- what is asked ----------------------------------------------------------------------------------------------------


def ask(pack: Pack, told: Told) -> str:
    """Amount, terms, payments and security in one sentence."""
    asked, loan = pack.asked, pack.asked.loan
    security = tidy(asked.security) or BLANK
    worth = f"worth {told.exact(asked.security_worth)}" if asked.security_worth is not None else f"worth {BLANK}"
    kind = ", in equal parts of principal, so that payments fall" if loan.kind == "equal principal" else ""
    return (
        f"We ask for {told.exact(loan.amount)} over {years_of(loan.years)} at {100 * loan.rate:g} % a year: "
        f"{told.fine(loan.payment)} every {loan.every}, {told.exact(asked.a_year)} in a usual "
        f"year{kind}{besides(loan, told.fine)}. Security: {security}, {worth}."
    )


def _amounts(caption: str, head: str, rows: tuple[tuple[str, float], ...], told: Told, note: str = "") -> Table:
    """Amounts and their sum, as printed."""
    sum_ = float(round(sum(amount for _, amount in rows)))
    printed = added_up([amount for _, amount in rows], sum_)
    cells = [(tidy(name), whole(amount)) for (name, amount), amount in zip(rows, printed, strict=True)]
    columns = (Column(head), Column("amount", told.unit))
    return Table(caption, columns, (*cells, ("Together", whole(sum_))), summed=True, note=note)


def _sources(pack: Pack, told: Told) -> Table:
    share = f"{percent(pack.asked.owner_share)} of it is the owner's and the farm's own"
    return _amounts("Sources", "where it comes from", pack.asked.sources, told, share)


def buyers(pack: Pack, told: Told) -> str:
    """What is bought more of, by how firm that is, and who buys most."""
    found = added(pack.buyers)
    fresh = [each for each in found if each.unit == "kg"]
    blocks = [each for each in found if each.unit == "blocks"]
    weights = told.weights
    exact = [weights.figure(each.a_week) for each in fresh]
    sentences = [_by_firmness(fresh, exact, weights.unit, "mushrooms")] if fresh else [NO_MORE]
    sentences += [_by_firmness(blocks, [each.a_week for each in blocks], "blocks", "blocks")] if blocks else []
    if (most := pack.largest) is not None:
        shares = zip(pack.buyers, of_sales(pack.buyers), strict=True)
        share = percent(sum(whole for each, whole in shares if each.name == most.name) / 100)
        sentences.append(f"Largest customer: {tidy(most.name)} (a name that may stand for several), {share} of sales.")
    is_more = any(each.a_week > 0 for each in found) and not sentences[0].startswith(NO_MORE)
    if (is_more or blocks) and all(each.firm != "hoped for" for each in found):
        sentences.append("Nothing of it is only hoped for.")
    return joined(sentences)


def _by_firmness(more: list[Added], exact: list[float], unit: str, what: str) -> str:
    """Amounts rounded so that they add up as printed; what: mushrooms or blocks."""
    sum_ = float(round(sum(exact)))
    if sum_ <= 0:
        less = unit if unit == what else f"{unit} of {what}"
        return f"{count(-sum_)} {less} a week less are sold." if sum_ else f"No {what} more are sold."
    pieces = [
        f"{FIRM[each.firm]} {count(amount)}" for each, amount in zip(more, rounded_to(exact, sum_, 0), strict=True)
    ]
    return f"Of {count(sum_)} {unit} a week more: {', '.join(pieces)}."


# --- year by year -----------------------------------------------------------------------------------------------------


def by_year(pack: Pack) -> Table:
    """What a lender looks at, year by year: the last of the farm's own books, then usual and poor years of the projection."""
    past = pack.past[-1] if pack.past else None
    columns = [Column("in " + pack.currency)]
    columns += [Column("own books", f"year to {day_of(past.ends)}")] if past is not None else []
    columns += [Column(f"year {year.number}", f"to {day_of(year.last)}") for year in pack.expanded.years]
    columns += [Column("lender asks", "at least")] if pack.asked.needed is not None else []
    rows: list[tuple[str, ...]] = []
    for label, line, is_ratio in LINES:
        rows.append(_row(pack, past, label, line, is_ratio))
        if is_ratio and Told(pack).has_poor:
            cells = [ratio(poor(year, line)) for year in pack.expanded.years]
            rows.append(_with_ends(pack, past, "The same in a poor year (1 in 10)", "", cells, ""))
    rows += _without(pack, past)
    if pack.hoped is not None:
        rows += _hoped(pack, past, pack.hoped)
    return Table("Year by year, usual runs (half of them lie below)", tuple(columns), tuple(rows))


def _row(pack: Pack, past: PastTold | None, label: str, line: str, is_ratio: bool) -> tuple[str, ...]:
    say = ratio if is_ratio else whole
    before = say(_past(past, line)) if past is not None else ""
    cells = [say(usual(year, line)) for year in pack.expanded.years]
    return _with_ends(pack, past, label, before, cells, _need(pack, label) if is_ratio else "")


def _past(past: PastTold, line: str) -> float | None:
    ratios = {"simple_debt_service_coverage": past.simple, "term_debt_coverage": past.coverage}
    return ratios[line] if line in ratios else past.lines.get(line)


def _need(pack: Pack, label: str) -> str:
    """What the lender asks for, beside the ratio that is meant."""
    needed, meant = pack.asked.needed, pack.asked.needed_ratio.lower()
    return ratio(needed) if needed is not None and label.lower().startswith(meant) else ""


def _with_ends(
    pack: Pack, past: PastTold | None, label: str, before: str, cells: list[str], need: str
) -> tuple[str, ...]:
    first = [before] if past is not None else []
    last = [need] if pack.asked.needed is not None else []
    return (label, *first, *cells, *last)


def _without(pack: Pack, past: PastTold | None) -> Iterator[tuple[str, ...]]:
    """Sales, and the ratio that the lender looks at, of the same years without the expansion."""
    name, line = (SIMPLE, LINES[-2][1]) if is_simple(pack) else (TERM, LINES[-1][1])
    sales = [whole(usual(year, "sales")) for year in pack.base.years]
    yield _with_ends(pack, past, "Without it: sales", "", sales, "")
    yield _with_ends(pack, past, f"Without it: {name}", "", [ratio(usual(year, line)) for year in pack.base.years], "")


def _hoped(pack: Pack, past: PastTold | None, hoped: Stressed) -> Iterator[tuple[str, ...]]:
    """The same years if those who are only hoped for never come; of fewer runs beside the plan over these."""
    name = SIMPLE if is_simple(pack) else TERM
    yield _with_ends(pack, past, f"{name}, if those only hoped for never come", "", every_year(pack, hoped), "")
    if pack.planned is not None and hoped.runs < pack.runs:
        label = f"The same {plural(hoped.runs, 'run')} as planned"
        yield _with_ends(pack, past, label, "", every_year(pack, pack.planned), "")


def every_year(pack: Pack, hoped: Stressed) -> list[str]:
    """The ratio in all years where it is known of all, else in the year that is told."""
    of_years = hoped.simple_by_year if is_simple(pack) else hoped.by_year
    if len(of_years) == len(pack.expanded.years):
        return [ratio(None if each is None else each.usual) for each in of_years]
    told = ratio(None if (found := meant(pack, hoped)) is None else found.usual)
    return [told if year.number == hoped.year else "" for year in pack.expanded.years]


def is_simple(pack: Pack) -> bool:
    """Whether the lender looks at simple debt-service coverage; else, and when nothing is said, at term debt coverage."""
    return pack.asked.needed_ratio.lower().startswith("simple")


def meant(pack: Pack, one: Stressed) -> Total | None:
    """The ratio the lender looks at."""
    return one.simple if is_simple(pack) else one.coverage


def alone(pack: Pack, told: Told) -> str:
    """What the new part earns for each unit of its own payments."""
    found = pack.alone[pack.told_year - 1] if len(pack.alone) >= pack.told_year else None
    if found is None:
        return ""
    one = told.fine(1.0)
    if found.usual < 0:
        poor_year = f" ({told.fine(-found.low)} lower {POOR})" if told.has_poor else ""
        return (
            f"In year {pack.told_year} the new part alone earns nothing for its own payments: with it capacity to repay is "
            f"{told.fine(-found.usual)} lower for each {one} of them{poor_year}."
        )
    poor_year = f" ({told.fine(found.low)} {POOR})" if told.has_poor else ""
    return (
        f"In year {pack.told_year} the new part alone brings {told.fine(found.usual)}{poor_year} of capacity to repay for "
        f"each {one} of its own payments."
    )


def lowest(pack: Pack, told: Told) -> str:
    """Lowest cash with its month, the poor case, and what the credit line covers of it."""
    found, limit = pack.expanded.lowest, pack.expanded.limit
    text = f"Lowest cash: {told.money(found.cash.usual)}, most often in {month(f'{found.month}-01')}"
    if told.has_poor:
        text += f" (1 run in 10: {told.money(found.cash.low)})"
    line = "there is no credit line" if limit is None else f"credit line {told.exact(limit)}"
    if found.not_covered:
        runs = plural(pack.expanded.runs, "run")
        missed = f"in {found.not_covered} of {runs} something is not covered, {told.money(found.most_missing)} at most"
        return f"{text}; {line}, and {missed}: {BLANK}."
    drawn = f", drawn in {found.drew} of {plural(pack.expanded.runs, 'run')}" if found.drew else ""
    return f"{text}; {line}{drawn}. Everything is paid in every run."


# --- if things go wrong -----------------------------------------------------------------------------------------------


def stress(pack: Pack, told: Told) -> Table:
    """A row for each blow: its worst year beside the plan, what is short of that year's payments, what covers all years."""
    has_poor = pack.stress_runs >= FEWEST
    columns = (
        Column("what goes wrong"),
        Column(SIMPLE if is_simple(pack) else TERM, "usual run"),
        *([Column("the same", "1 run in 10")] if has_poor else []),
        Column("as planned", "same year and runs"),
        Column("short of payments", f"{told.unit}, that year alone"),
        Column("over all years: what covers it"),
    )
    rows = []
    for each in blows(pack):
        found = meant(pack, each)
        poor_run = [ratio(None if found is None else found.low)] if has_poor else []
        usual_run = ratio(None if found is None else found.usual)
        short = whole(-each.margin.usual) if each.margin.usual < 0 else NONE
        name = f"{tidy(each.told)} (year {each.year})"
        rows.append((name, usual_run, *poor_run, needed.as_planned(pack, each), short, covers(each, told)))
    runs = plural(pack.stress_runs, "run")
    caption = f"If things go wrong: every row over the same {runs}, told of its worst year from the opening on"
    return Table(
        caption, columns, tuple(rows), note=BETTER if any(is_better(pack, each) for each in pack.stress) else ""
    )


def is_better(pack: Pack, one: Stressed) -> bool:
    """Whether a row looks better than the plan of its year, as both are printed."""
    found, planned = meant(pack, one), needed.as_planned(pack, one)
    return found is not None and planned != NONE and float(ratio(found.usual)) > float(planned)


def blows(pack: Pack) -> tuple[Stressed, ...]:
    """The plan itself over the same runs, where it is told, then every blow."""
    return (*([pack.planned] if pack.planned is not None else []), *pack.stress)


def covers(one: Stressed, told: Told) -> str:
    """What covers whatever is short in all years of a usual run: cash, the credit line, or what the farm has to name."""
    if round(one.missing) > 0:
        return f"at worst {told.money(one.missing)} more than cash and credit line: {BLANK}"
    if one.margin.usual >= 0 and one.line_most <= 0:
        return NONE
    if one.line_most > 0:
        return f"cash, and at worst {told.money(one.line_most)} of the credit line"
    return "cash"


def may_fall(pack: Pack) -> str:
    """How far sales may fall before payments are no longer covered."""
    year = pack.expanded.years[pack.told_year - 1]
    fall = year.lines.get("prices_may_fall")
    if usual(year, "payments") == 0:
        return f"In year {pack.told_year} no payments are due, so there is nothing to cover yet."
    if fall is None:
        return ""
    if fall.usual <= 0:
        return f"In year {pack.told_year} capacity to repay does not cover the payments, so sales may not fall at all."
    least = f" ({percent(max(0.0, fall.low))} {POOR})" if Told(pack).has_poor else ""
    return (
        f"Sales may fall {percent(fall.usual)}{least} from the plan of year {pack.told_year}, costs as they are, before the "
        "payments are not covered."
    )
