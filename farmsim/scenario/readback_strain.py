"""One strain read back as sentences, from block to spent block."""

from __future__ import annotations

from collections.abc import Iterator

from farmsim.scenario.averages import accepting
from farmsim.scenario.block import efficiency
from farmsim.scenario.farm import Farm
from farmsim.scenario.readback_rounds import paces_to_order
from farmsim.scenario.say import Say, joined
from farmsim.scenario.strain import Strain


def strain_sentences(farm: Farm, name: str, say: Say) -> Iterator[str]:
    """What a strain needs and brings."""
    strain = farm.strain[name]
    if strain.like is not None:
        yield f"Like {strain.like} of the strain sheet where the file does not say otherwise."
    yield from _ripening(strain, say)
    yield from _losses(strain, say)
    yield from _waking(strain, say)
    yield from _opening(farm, name, say)
    yield from _cropping(strain, say)
    yield from _picking(strain, say)


def _ripening(strain: Strain, say: Say) -> Iterator[str]:
    yield f"{say.amount(strain.block, 'kg')} a block, {say.amount(strain.water, 'fraction')} of it water."
    times = [
        f"{verb} in {say.vary(time, 'h')}"
        for verb, time in (("colonises", strain.colonise), ("ripens", strain.ripen))
        if time.mean > 0
    ]
    if times:
        yield f"It {', then '.join(times)}."
    holds, over = strain.holds_ripe, strain.overripe
    cold = f", and {say.amount(holds.cold, 'h')} more in the cold" if holds.cold else ""
    yield (
        f"Once ripe it holds for {say.amount(holds.on_the_rack, 'h')} on the rack{cold}; overripe it loses "
        f"{say.amount(over.loses, 'fraction')} of its yield each day, takes {say.amount(over.trim, 'h')} more to open, "
        f"and is thrown out after {say.amount(over.thrown_out_after, 'h')}."
    )


def _losses(strain: Strain, say: Say) -> Iterator[str]:
    bad = strain.contaminated
    if not bad.mean:
        yield "No block is lost to mould."
        return
    by_load = (
        f", by load (spread by {say.amount(bad.cv, 'fraction')} from load to load)" if bad.clusters == "by load" else ""
    )
    yield (
        f"{say.amount(bad.mean, 'fraction')} of blocks are lost to mould on average{by_load}; "
        f"it shows {say.vary(bad.shows, 'h')} after inoculation."
    )


def _waking(strain: Strain, say: Say) -> Iterator[str]:
    shock, soak = strain.cold_shock, strain.soak
    if shock is not None:
        times = f"at least {say.amount(shock.least, 'h')}, usually {say.amount(shock.usual, 'h')}"
        most, loses = say.amount(shock.most, "h"), say.amount(shock.loses, "fraction")
        yield f"Cold shock of {times}; past {most} each day costs {loses} of the yield."
    if soak is not None:
        least, most = say.amount(soak.least, "h"), say.amount(soak.most, "h")
        load, unload = say.amount(soak.load, "blocks/h"), say.amount(soak.unload, "blocks/h")
        yield (
            f"Soaked for {least} to {most}; past that each hour costs {say.amount(soak.loses, 'fraction')} of "
            f"the yield. "
            f"One person puts in {load} and takes out {unload}."
        )


def _opening(farm: Farm, name: str, say: Say) -> Iterator[str]:
    strain = farm.strain[name]
    cut = strain.open
    extras = [
        f"{say.amount(takes, 'h')} more a block to {verb} it"
        for verb, takes, done in (("strip", cut.strip_takes, cut.strip), ("flip", cut.flip_takes, cut.flip))
        if done
    ]
    style = "without a cut" if cut.cut == "none" else f"with the cut {cut.cut}"
    more = f", and needs {joined(extras)}" if extras else ""
    yield f"One person opens and shelves {say.amount(cut.pace, 'blocks/h')} {style}{more}."
    rooms = [room.name for room in farm.room if room.name in accepting(farm, name)]
    yield f"Fruits at {say.range(strain.range, 'degC')}: in {joined(rooms) or 'no room of this farm'}."


def _cropping(strain: Strain, say: Say) -> Iterator[str]:
    spread = say.amount(strain.spread, "h")
    first = say.vary(strain.first_pick, "h")
    if strain.spread:
        yield (
            f"From shelving until the middle block of a lot is ripe: {first}; blocks ripen round it, spread by {spread} "
            f"(standard deviation), so the first pick comes sooner."
        )
    else:
        yield f"From shelving until a lot is ripe, all its blocks together: {first}."
    given, flushes = strain.yield_, strain.flushes
    share = efficiency(given.mean, strain.block, strain.water)
    kept = f"all {len(flushes.share)} flushes" if len(flushes.share) > 1 else "its one flush"
    yield (
        f"Yield {say.amount(given.mean, 'kg')} saleable a block over {kept}, "
        f"a biological efficiency of {100 * share:.0f} %; "
        f"lots spread by {say.amount(given.cv_lot, 'fraction')}, "
        f"blocks of a lot by {say.amount(given.cv_block, 'fraction')}."
    )
    if len(flushes.share) > 1:
        shares = "/".join(f"{100 * part:.0f}" for part in flushes.share)
        soak = ", soaked again" if flushes.soak_again else ""
        yield (
            f"Of that {shares} % by flush; between flushes {say.amount(flushes.rest, 'h')} of rest{soak}, "
            f"then, until the middle block is ripe again, {say.vary(strain.next_pick, 'h')}."
        )


def _picking(strain: Strain, say: Say) -> Iterator[str]:
    picking = strain.picking
    yield (
        f"Picking: {say.amount(picking.look, 'h')} to look a block over, "
        f"then {say.amount(picking.pace, 'kg/h')} a person; "
        f"fit to pick for {say.amount(picking.window, 'h')}, each morning left on adds "
        f"{say.amount(picking.gain, 'fraction')} in weight."
    )
    late = ", then ".join(str(grades) for grades in picking.late)
    yield f"Firsts/seconds/culls in the picking window, then by mornings late: {late}."
    yield (
        f"One person packs {say.amount(strain.pack, 'kg/h')}, {say.amount(strain.crate, 'kg')} a crate. "
        f"Shelf life {say.amount(strain.shelf_life, 'h')} in the cooler, from picking; each warm hour costs "
        f"{say.amount(strain.warm_costs, 'h')} of it. "
        f"One person clears {say.amount(strain.clear, 'blocks/h')} when spent."
    )
    yield from paces_to_order(strain.pack_forms, say)
