"""What the benchmark measures, and the page it prints; `run.py` starts it.

Times are processor times, the median of five interleaved rounds, since machines are shared; ratios hold from machine
to machine, seconds do not: the calibration lines at the top say how fast this one is at the moment.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections import defaultdict
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median

from farmsim import machine_code
from farmsim.model.run import lead_in, run
from farmsim.record.measures.summary import summarise
from farmsim.scenario.farm import Farm
from farmsim.scenario.read import load

from . import big, studies, twin
from .lines import CASES
from .measure import Answered, bare_timeouts, cpu, ended, first_line, plain_loop, several
from .totals import differences, totals

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SMALL = HERE / "farms" / "bench-small.toml"
PLAIN, EVERYTHING = HERE / "farms" / "plain.toml", HERE / "farms" / "everything.toml"
ROUNDS, SEED = 5, 1
TARGETS = {"year": 0.6, "memory": 80.0, "twin": 2.0, "everything": 1.5, "help": 0.1, "check": 0.5, "progress": 1.0,
           "200 years": 60.0, "overhead": 4.0, "worker": 170.0, "summed": 5.0}  # fmt: skip
Times = defaultdict[str, list[float]]


def main() -> None:
    """Measure, then print."""
    times: Times = defaultdict(list)
    for number in range(ROUNDS):
        print(f"round {number + 1} of {ROUNDS}", file=sys.stderr, flush=True)
        one_round(times)
        both_farms(times, number)
    mid = {name: median(found) for name, found in times.items()}
    print_machine(mid)
    print_year(mid)
    print_everything(mid)
    print_ratios(mid)
    print_starts()
    print_studies()


def one_round(times: Times) -> None:
    """Everything once, in turn, so that all share the machine's good and bad moments."""
    times["plain loop"].append(cpu(plain_loop)[0])
    times["bare timeouts"].append(cpu(bare_timeouts)[0])
    farm, small = load(big.FILE), load(SMALL)
    spent = big.spent(farm)
    times["with lead-in"].append(spent.whole)
    times["year"].append(spent.year(farm))
    for part, taken in spent._asdict().items():
        times[f"part {part}"].append(taken)
    ours, record = cpu(lambda: run(small, SEED))
    theirs, wanted = cpu(lambda: twin.run(small, SEED))
    different = differences(totals(record), wanted)
    assert not different, f"the farm and its twin come to other totals: {different}"
    times["small farm"].append(ours)
    times["small farm, measures"].append(cpu(lambda: summarise(record))[0])
    times["twin"].append(theirs)
    for case in CASES:
        answers = []
        for way, call in case.ways.items():
            taken, answer = cpu(lambda call=call, case=case: call(case.plan))  # type: ignore[misc]
            times[f"{case.name}: {way}"].append(taken)
            answers.append(answer)
        assert max(answers) - min(answers) < 1e-6, f"{case.name}: {answers}"


def both_farms(times: Times, number: int) -> None:
    """The mid-size farm without and with everything a farm can have, twice in turn, since a year is short."""
    plain, everything = load(PLAIN), load(EVERYTHING)
    for year in (2 * number, 2 * number + 1):
        times["plain"].append(cpu(partial(_a_year, plain, year))[0])
        times["everything"].append(cpu(partial(_a_year, everything, year))[0])


def _a_year(farm: Farm, number: int) -> None:
    summarise(run(farm, SEED, number))


# --- the page -------------------------------------------------------------------------------------------------------


def line(what: str, figure: str, target: str = "", met: bool | None = None) -> None:
    verdict = "" if met is None else "met" if met else "MISSED"
    print(f"  {what:<58}{figure:>12}   {target:<16}{verdict}")


def print_machine(mid: dict[str, float]) -> None:
    print(f"\nThis machine, Python {sys.version.split()[0]}; median of {ROUNDS} interleaved rounds, processor time")
    line("3 million turns of a plain Python loop", f"{mid['plain loop']:.3f} s")
    line("100,000 bare SimPy timeouts", f"{mid['bare timeouts']:.3f} s")
    line("the model runs as", "machine code" if machine_code.in_use() else "plain Python")


def print_year(mid: dict[str, float]) -> None:
    farm = load(big.FILE)
    weeks = f"{lead_in(farm)} + {farm.farm.weeks} weeks"
    year, most = mid["year"], TARGETS["year"]
    print("\nA year of 5,000 blocks a week, journal and weekly measures included")
    line("the measured year, without the lead-in", f"{year:.2f} s", f"at most {most} s", year <= most)
    line("  the same in turns of the plain loop", f"{year / mid['plain loop']:.1f} x")
    line(f"with the lead-in, {weeks}", f"{mid['with lead-in']:.2f} s")
    for part, name in (
        ("luck", "draws"),
        ("lead_in", "lead-in"),
        ("weeks", "measured weeks"),
        ("measures", "measures"),
    ):
        line(f"    {name}", f"{mid[f'part {part}']:.2f} s")
    found = json.loads(subprocess.check_output([sys.executable, "-m", "benchmarks.big"], cwd=HERE.parent, text=True))
    above, most = found["peak"] - found["before"], TARGETS["memory"]
    line("peak memory above imports and the farm's file", f"{above:.0f} MB", f"at most {most:.0f} MB", above <= most)


def print_everything(mid: dict[str, float]) -> None:
    ratio, most = mid["everything"] / mid["plain"], TARGETS["everything"]
    print(
        "\nThe mid-size farm with all kinds of customers, people's rules, months, rounds, boxing and house rules at once"
    )
    line("a plain farm-year with its lead-in, measures included", f"{mid['plain']:.2f} s")
    line("with everything", f"{mid['everything']:.2f} s")
    line("everything costs", f"{ratio:.2f} x", f"at most {most} x", ratio <= most)


def print_ratios(mid: dict[str, float]) -> None:
    faster, least = mid["twin"] / mid["small farm"], TARGETS["twin"]
    print("\nThe small farm against its twin in plain SimPy, equal totals")
    line("farmsim (with its journal)", f"{mid['small farm']:.2f} s")
    line("  weekly measures of it", f"{mid['small farm, measures']:.3f} s")
    line("twin", f"{mid['twin']:.2f} s")
    line("farmsim is faster by a factor of", f"{faster:.2f}", f"at least {least:.0f}", faster >= least)
    print("\nTextbook lines, same planned times, same answers: speed against plain SimPy")
    for case in CASES:
        plain = mid[f"{case.name}: plain SimPy"]
        for way in case.ways:
            taken = mid[f"{case.name}: {way}"]
            line(f"{case.name}: {way}", f"{plain / taken:.2f}", f"{taken:.3f} s")


def print_starts() -> None:
    print("\nHow soon a command answers, by the clock: median and fastest of 5 starts")
    farm = str(ROOT / "scenarios" / "four-rooms.toml")
    print_start("python -c pass", "", ended, ["-c", "pass"])
    print_start("farmsim --help", "help", ended, ["-m", "farmsim", "--help"])
    print_start("farmsim check", "check", ended, ["-m", "farmsim", "check", farm])
    with tempfile.TemporaryDirectory() as folder:
        command = ["-m", "farmsim", "run", farm, "--runs", "2", "--out", f"{folder}/out"]
        print_start("farmsim run: the first line of progress", "progress", first_line, command)


def print_studies() -> None:
    """Many runs of the mid-size farm."""
    many, worker, summed, luck = (studied(name) for name in studies.MEASURED)
    print("\nMany runs of the mid-size farm, each year with its lead-in")
    cpu, most = many["cpu"], TARGETS["200 years"]
    line(f"{studies.YEARS} farm-years, processor time", f"{cpu:.0f} s", f"at most {most:.0f} s", cpu <= most)
    line("  by the clock, two processes", f"{many['clock']:.0f} s")
    over, most = 100 * (many["cpu"] / many["runs"] - 1), TARGETS["overhead"]
    line("starting workers, sharing out and storing add", f"{over:.1f} %", f"at most {most:.0f} %", over <= most)
    most = TARGETS["worker"]
    line(
        f"a worker's memory in {studies.YEARS} farm-years",
        f"{worker['all']:.0f} MB",
        f"at most {most:.0f} MB",
        worker["all"] <= most,
    )
    line(f"  in the first {studies.FEW}", f"{worker['first']:.0f} MB")
    most = TARGETS["summed"]
    line("10,000 stored runs summed up", f"{summed['clock']:.1f} s", f"at most {most:.0f} s", summed["clock"] <= most)
    for name, ratio in luck.items():
        line(f"common luck: variance of the difference, {name}", f"1 / {ratio:.1f}", "1.6 to 4 expected")


def studied(name: str) -> dict[str, float]:
    """The figures of one of the studies, from a process of its own."""
    print(f"studies: {name}", file=sys.stderr, flush=True)
    command = [sys.executable, "-m", "benchmarks.studies", name]
    found: dict[str, float] = json.loads(subprocess.check_output(command, cwd=HERE.parent, text=True))
    return found


def print_start(what: str, target: str, call: Callable[..., Answered], command: list[str]) -> None:
    middle, fastest, code = several(call, command)
    if code:
        line(what, "broke off")
        return
    most = TARGETS.get(target)
    told = "" if most is None else f"at most {most} s"
    line(what, f"{middle:.2f} ({fastest:.2f}) s", told, None if most is None else middle <= most)


if __name__ == "__main__":
    main()
