"""The farm read back as plain sentences, every basis spelled out: so a slip of the pen is heard."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario import averages
from farmsim.scenario.farm import Farm
from farmsim.scenario.readback_blocks import block_customer, block_rules
from farmsim.scenario.readback_customers import customer_sentence, served_sentences
from farmsim.scenario.readback_later import later
from farmsim.scenario.readback_money import money_sentences, picked_first
from farmsim.scenario.readback_people import chore_sentence, crew_sentence
from farmsim.scenario.readback_phases import phases
from farmsim.scenario.readback_request import request_sentences
from farmsim.scenario.readback_rounds import round_sentences
from farmsim.scenario.readback_strain import strain_sentences
from farmsim.scenario.readback_stress import stress_sentences
from farmsim.scenario.rooms import Room, RoomEmptied, WalkIn
from farmsim.scenario.rules import CLEAN_BENCH, CLEAR_OUT
from farmsim.scenario.sales import Start
from farmsim.scenario.say import Say, days_said, joined

SEVEN_EIGHTHS = 3  # half cooling times: each halves what is left to cool

Section = tuple[str, list[str]]  # a heading and its sentences


def read_back(farm: Farm) -> list[Section]:
    """Every section of the farm as sentences, in the order of the work."""
    say = Say(farm.farm.units, farm.farm.currency)
    sections = [
        ("THE FARM", list(_about(farm, say))),
        ("STARTED", [_start(line, say) for line in farm.start]),
        ("MAKING", list(_making(farm, say))),
        ("RACKS", list(_racks(farm, say))),
        ("COLD", [_walk_in(name, walk_in, say) for name, walk_in in farm.walk_in.items()]),
        ("SOAK, OPEN", list(_soak_and_open(farm, say))),
        ("ROOMS", [_room(room, say) for room in farm.room]),
        (
            "PEOPLE",
            [crew_sentence(crew, say) for crew in farm.crew] + [chore_sentence(chore, say) for chore in farm.chore],
        ),
    ]
    sections += _strains(farm, say)
    sections += [
        (
            "PROMISED",
            [customer_sentence(each, say) for each in farm.customer]
            + [block_customer(each, say) for each in farm.block_customer],
        ),
        ("ROUNDS", round_sentences(farm, say)),
        ("MONEY", list(money_sentences(farm, say))),
        ("ASKED FOR", list(request_sentences(farm, say))),
        ("WHAT IF", list(stress_sentences(farm))),
        ("RULES", list(_rules(farm, say))),
        ("OWN BOOKS", list(_history(farm))),
        ("PHASES", list(phases(farm, say))) if farm.phases else ("LATER", list(later(farm, say))),
    ]
    return [(heading, sentences) for heading, sentences in sections if sentences]


def _strains(farm: Farm, say: Say) -> list[Section]:
    """What is true of all strains once, then what each has of its own."""
    spoken = {name: list(strain_sentences(farm, name, say)) for name in farm.strain}
    common = [line for line in next(iter(spoken.values()), []) if all(line in lines for lines in spoken.values())]
    if len(spoken) < 2:
        common = []
    each = [(name.upper(), [line for line in lines if line not in common]) for name, lines in spoken.items()]
    return [("ALL STRAINS", common), *each]


def _history(farm: Farm) -> Iterator[str]:
    """The farm's own months, to be set beside the model's."""
    if farm.history is not None:
        months, names = farm.history.months, [name.replace("_", " ") for name in farm.history.totals]
        yield f"The model is set beside the farm's own {joined(names)} of {months[0]} to {months[-1]}, month by month."


def _about(farm: Farm, say: Say) -> Iterator[str]:
    about = farm.farm
    begin = f"{about.start:%A} {about.start.day} {about.start:%B %Y}"
    yield f"{about.weeks} weeks from {begin}, in lots of {say.amount(about.lot, 'blocks')} that travel on one cart."
    if about.begin == "empty":
        yield "It begins with empty rooms."
    else:
        weeks = averages.lead_in_weeks(farm)
        why = "as given" if about.lead_in is not None else "worked out from the longest life of a block"
        yield f"It begins in full swing: {weeks} weeks are run before that to fill it ({why})."
    yield f"People carry crates away after every {say.amount(about.round, 'h')} of picking or packing."


def _start(line: Start, say: Say) -> str:
    text = f"{line.name}: {say.amount(line.blocks, 'blocks/week')} of {line.strain}, spread over {days_said(line.days)}"
    if line.made == "here":
        return f"{text}, made here."
    ripe = f"ripe {say.vary(line.ripe_in, 'h')} after delivery" if line.ripe_in is not None else "ripe at delivery"
    return f"{text}, bought, delivered at {say.clock(line.arrives)}, {ripe}."


def _making(farm: Farm, say: Say) -> Iterator[str]:
    if farm.mix is not None:
        yield f"One person mixes and bags {say.amount(farm.mix.pace, 'blocks/h')}."
    sterilizer = farm.sterilizer
    if sterilizer is not None:
        many = "One sterilizer takes" if sterilizer.count == 1 else f"{sterilizer.count} sterilizers each take"
        yield (
            f"{many} {say.amount(sterilizer.load, 'blocks')} a load; "
            f"a cycle lasts {say.amount(sterilizer.cycle, 'h')}, "
            f"then the load cools for {say.amount(sterilizer.cool, 'h')}."
        )
        holds = sterilizer.cooling_holds
        yield (
            f"{say.amount(holds, 'blocks')} can stand and cool."
            if holds is not None
            else "There is room enough to cool."
        )
    if farm.clean_bench is not None:
        people = farm.clean_bench.people
        yield (
            f"The clean bench has room for {people} {'person' if people == 1 else 'people'}, "
            f"who inoculate {say.amount(farm.clean_bench.pace, 'blocks/h')} each."
        )


def _racks(farm: Farm, say: Say) -> Iterator[str]:
    yield f"{say.amount(farm.incubation.holds, 'blocks')} have a place on the racks."
    inspect = farm.incubation.inspect
    if inspect is None:
        yield "Nobody looks for bad blocks: they keep their place until they are opened."
    else:
        pace = say.amount(inspect.pace, "blocks/h")
        yield f"The racks are looked through on {days_said(inspect.days)}, {pace} a person."


def _walk_in(name: str, walk_in: WalkIn, say: Say) -> str:
    uses = walk_in.uses
    pairs = (
        ("cold shock", uses.cold_shock, "crates/block"),
        ("ripe blocks kept back", uses.ripe_blocks, "crates/block"),
        ("fresh mushrooms", uses.fresh, "crates/crate"),
    )
    used = joined([f"{what} ({_space(amount, unit)})" for what, amount, unit in pairs if amount is not None])
    holds, air = say.amount(walk_in.holds, "crates"), say.amount(walk_in.air, "degC")
    text = f"Walk-in {name}: {holds} have a place in it, at {air}, for {used}."
    if uses.fresh is None:
        return text
    chills = "as much as comes" if walk_in.chills is None else f"{say.amount(walk_in.chills, 'kg/h')}"
    half, most = say.amount(walk_in.half_cooling, "h"), say.amount(SEVEN_EIGHTHS * walk_in.half_cooling, "h")
    return f"{text} It chills {chills}; crates are half cooled after {half}, by seven eighths after {most}."


def _space(amount: float, unit: str) -> str:
    return f"{amount:g} crate places a {unit.split('/')[1]}" if amount != 1 else f"1 crate place a {unit.split('/')[1]}"


def _soak_and_open(farm: Farm, say: Say) -> Iterator[str]:
    if farm.soak is not None:
        if farm.soak.how == "tank":
            tanks = f"{farm.soak.tanks} soak tank{'s' if farm.soak.tanks != 1 else ''}"
            yield f"{tanks} of {say.amount(farm.soak.tank, 'blocks')}; a tank takes one lot whole."
        else:
            yield "Blocks are soaked in the bag."
    benches = farm.opening.benches
    yield f"{benches} opening bench{'es' if benches != 1 else ''}, one person each."


def _room(room: Room, say: Say) -> str:
    text = f"{room.name}: {say.amount(room.holds, 'shelf places')}, one block each, at {say.range(room.range, 'degC')}"
    if isinstance(room.clean, RoomEmptied):
        every, takes = say.amount(room.clean.every, "h"), say.amount(room.clean.takes, "h")
        return f"{text}; emptied every {every} and cleaned in {takes} of one person's work."
    return f"{text}; cleaned shelf by shelf."


# --- promises and rules -------------------------------------------------------------------------------


def _rules(farm: Farm, say: Say) -> Iterator[str]:
    rules = farm.rules
    yield from block_rules(farm, say)
    if rules.clear_out != CLEAR_OUT[0]:
        small = f"{100 * rules.small_flush:g} %"
        yield (
            "A lot is cleared away after its last flush, or sooner when another waits for its room and its next flush "
            f"brings less than {small} of its yield."
        )
    if rules.clean_bench != CLEAN_BENCH[0]:
        yield "Whoever has been in a fruiting room does not inoculate on the same day."
    yield "The ripest is picked first." if rules.pick_first == "ripest" else picked_first(farm, say)
    yield from served_sentences(rules)
