"""What was promised and what came of it: customers one by one, stalls, who left, and where most was missing."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.report.tables import HEAD, WIDTH, beside, hung, labelled, section
from farmsim.report.words import Weights, count, listed, plural, share, shortened
from farmsim.study.answers import Answers, Gap, Promise

DAYS = {"mon": "Mondays", "tue": "Tuesdays", "wed": "Wednesdays", "thu": "Thursdays", "fri": "Fridays",
        "sat": "Saturdays", "sun": "Sundays"}  # fmt: skip
NOBODY = (
    "The farm has no customer in these weeks: of sales, of orders kept and of money nothing can be told, and all that is "
    "packed goes past its date. What is full or busy may be so only because nothing is fetched."
)
NEARLY_FULL = 0.9  # of a van's room, on average: it is then told


def kept(answers: Answers, customers: int) -> list[str]:
    """What was delivered of what was promised, by customer, where most was missing, and what became of stalls and customers.

    customers: how many are told one by one
    """
    weights = Weights(answers.study.system)
    if answers.nobody_buys:
        return section("NOBODY BUYS", [NOBODY])
    if not answers.promises and not answers.stalls:
        return []
    pairs = [(shortened(one.customer, 30), _promise(one, weights)) for one in answers.promises[:customers]]
    more = answers.promises[customers:]
    if more:
        worst = min(more, key=lambda one: one.kept)
        pairs.append((f"{len(more)} more, worst:", shortened(worst.customer, 30)))
        pairs.append(("", _promise(worst, weights)))
    pairs += [(shortened(name, 30), said) for name, said in _stalls(answers, weights)]
    lines = labelled(pairs)
    more_of = [*_why(answers, weights), *_rounds(answers), *_firm(answers), *_left(answers, weights)]
    missing = [_gap(one, weights) for one in (answers.gap, answers.block_gap) if one is not None]
    return beside("PROMISES", [*lines, *missing, *more_of])


def _promise(one: Promise, weights: Weights) -> str:
    got, asked, unit = one.delivered, one.promised, weights.unit if one.unit == "kg" else one.unit
    figures = [weights.figure(value) if one.unit == "kg" else value for value in (got, asked)]
    amount = f"{count(figures[0])} of {count(figures[1])} {unit}"
    whole = f"orders complete {share(one.orders_kept)}, lines {share(one.lines_kept)}"
    whole = "all orders complete" if one.orders_kept == 1.0 else whole
    return f"{share(one.kept):>6}: {amount} a week; {whole}"


def _gap(one: Gap, weights: Weights) -> str:
    what = "lb" if one.unit == "kg" and weights.unit == "lb" else one.unit
    return f"Of the {what} missing, {share(one.share)}: {one.customer}, {DAYS[one.weekday]}, {one.strain}."


def _stalls(answers: Answers, weights: Weights) -> Iterator[tuple[str, str]]:
    """Every stall: what it sold of what it brought, all strains together, and what became of the rest."""
    for name in dict.fromkeys(one.stall for one in answers.stalls):
        own = [one for one in answers.stalls if one.stall == name]
        figures = {
            part: sum(getattr(one, part) for one in own) for part in ("sold", "brought", "came_back", "lost", "asked")
        }
        sold, brought, back, lost, asked = (weights.bare(kg) for kg in figures.values())
        rest = [f"{back} came back" if back != "0" else "nothing came back", *([f"{lost} lost"] if lost != "0" else [])]
        worst = max(own, key=lambda one: one.sold_out)
        out = f"; {worst.strain} sold out on {share(worst.sold_out)} of its days" if worst.sold_out > 0 else ""
        missed = min(one.missed for one in own)
        none = f"; nothing brought on {share(missed)} of its days" if missed > 0 else ""
        yield (
            name,
            f"sold {sold} of {brought} {weights.unit} a week brought, {listed(rest)}; asked for {asked}{out}{none}",
        )


def _why(answers: Answers, weights: Weights) -> list[str]:
    """Why something was missing, if for more than that it was not there."""
    why = answers.why_short
    if why is None:
        return []
    reasons = (
        (why.not_gone, "because the round did not go"),
        (why.no_room, "for want of room in the van"),
        (why.not_packed, "not packed in time"),
        (why.not_there, "not there"),
    )
    told = [f"{weights.bare(kg)} {reason}" for kg, reason in reasons if weights.bare(kg) != "0"]
    others = any(weights.bare(kg) != "0" for kg, _ in reasons[:3])
    return _lines(f"Missing a week: {', '.join(told)} ({weights.unit}).") if others else []


def _rounds(answers: Answers) -> list[str]:
    """Rounds that left late or did not go, and vans that were nearly full; none when all went as planned."""
    told = []
    for one in answers.rounds:
        pieces = [
            *([f"late {share(one.late / one.due)}"] if one.due and one.late else []),
            *(
                [f"not gone {share(one.not_gone / one.due)} for want of people or van"]
                if one.due and one.not_gone
                else []
            ),
            *([f"van {share(one.van_used)} full"] if one.van_used is not None and one.van_used > NEARLY_FULL else []),
        ]
        if pieces:
            told.append(f"{shortened(one.name, 30)} {', '.join(pieces)}")
    return _lines(f"Rounds: {'; '.join(told)}.") if told else []


def _firm(answers: Answers) -> list[str]:
    """What was kept by how firm the customers are, when they are not all alike."""
    told = [f"{one.firm} {share(one.delivered / one.promised)}" for one in answers.firmness if one.promised > 0]
    return _lines(f"By how firm they are: {listed(told)}.") if len(told) > 1 else []


def _left(answers: Answers, weights: Weights) -> list[str]:
    """Customers who order no more because too much was missing."""
    runs = answers.study.runs
    told = [
        f"{shortened(one.customer, 30)} in {one.runs} of {plural(runs, 'run')}, half of them by week {one.week} "
        f"({weights.full(one.a_week)} a week)"
        for one in answers.left
    ]
    return _lines(f"Left because deliveries were short: {'; '.join(told)}.") if told else []


def _lines(text: str) -> list[str]:
    return hung(text, "", WIDTH - HEAD)
