"""Exact answers, by formula or by solving a small Markov chain. Nothing here uses farmsim.

Sources are named at each function. "Standard" means any textbook on queues, such as Gross, Shortle, Thompson & Harris,
Fundamentals of Queueing Theory; "Hopp & Spearman" is Factory Physics. Authors and years are from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from functools import cache
from math import exp

import numpy as np
from scipy import integrate, optimize, sparse, stats
from scipy.sparse.linalg import spsolve

Moves = Iterable[tuple[Hashable, float]]


def chain(start: Hashable, moves: Callable[[Hashable], Moves]) -> dict[Hashable, float]:
    """Long-run share of time in each state that can be reached from `start`; `moves` gives (next state, rate)."""
    number = {start: 0}
    states, rows, columns, rates = [start], [], [], []
    for state in states:
        for following, rate in moves(state):
            if following not in number:
                number[following] = len(states)
                states.append(following)
            rows += [number[following], number[state]]
            columns += [number[state], number[state]]
            rates += [rate, -rate]
    size = len(states)
    balance = sparse.coo_matrix((rates, (rows, columns)), shape=(size, size)).tolil()
    balance[size - 1, :] = 1.0
    right = np.zeros(size)
    right[-1] = 1.0
    return dict(zip(states, spsolve(balance.tocsc(), right), strict=True))


def ladder(up: Sequence[float], down: Sequence[float]) -> np.ndarray:
    """Shares of time of a birth-death chain: rates up from 0, 1, ... and down from 1, 2, ... (standard)."""
    weights = np.cumprod([1.0, *(u / d for u, d in zip(up, down, strict=True))])
    return weights / weights.sum()


# --- one station (standard) -------------------------------------------------------------------------------------------


def erlang_b(places: int, load: float) -> float:
    """Share turned away when nobody waits (Erlang 1917); any spread of the stay with the same mean."""
    return float(ladder([load] * places, range(1, places + 1))[-1])


def erlang_c(places: int, load: float) -> float:
    """Chance to have to wait when everybody waits (Erlang 1917)."""
    lost = erlang_b(places, load)
    return lost / (1.0 - load / places * (1.0 - lost))


def wait_mmc(places: int, use: float) -> float:
    """Mean wait in mean work times, M/M/c."""
    return erlang_c(places, use * places) / (places * (1.0 - use))


def wait_mg1(use: float, cv2: float) -> float:
    """Mean wait in mean work times, M/G/1 (Pollaczek 1930, Khinchine 1932)."""
    return use * (1.0 + cv2) / (2.0 * (1.0 - use))


def kingman(use: float, arrivals_cv2: float, work_cv2: float) -> float:
    """Upper bound, in practice an estimate, of the mean wait of G/G/1 (Kingman 1961; V-U-T in Hopp & Spearman)."""
    return (arrivals_cv2 + work_cv2) / 2.0 * use / (1.0 - use)


def sakasegawa(places: int, use: float) -> float:
    """Estimate of the mean wait of M/M/c (Sakasegawa 1977, as in Hopp & Spearman); not exact."""
    return use ** (np.sqrt(2.0 * (places + 1)) - 1.0) / (places * (1.0 - use))


def wait_dm1(use: float) -> float:
    """Mean wait in mean work times when lots come like clockwork (standard)."""
    root = optimize.brentq(lambda s: s - exp(-(1.0 - s) / use), 1e-12, 1.0 - 1e-4)
    return root / (1.0 - root)


def limited(arrivals: float, rate: float, places: int, room: int) -> tuple[float, float]:
    """M/M/c/K: share turned away, mean lots inside (standard)."""
    share = ladder([arrivals] * room, [min(n, places) * rate for n in range(1, room + 1)])
    return float(share[-1]), float(share @ np.arange(room + 1))


def waits_by_class(first: float, second: float) -> tuple[float, float]:
    """Mean waits of two classes with mean work 1, first class first, nobody interrupted (Cobham 1954)."""
    rest = first + second
    return rest / (1.0 - first), rest / ((1.0 - first) * (1.0 - first - second))


def inside_with_groups(arrivals: float, group: int) -> float:
    """Mean lots inside when `group` come together and work takes 1 on average (standard, M[X]/M/1)."""
    use = arrivals * group
    return use / (1.0 - use) * (1.0 + group) / 2.0


def machines_down(machines: int, crews: int, fails: float, mends: float) -> float:
    """Mean machines out of order (machine repair; Palm 1947)."""
    share = ladder(
        [(machines - n) * fails for n in range(machines)], [min(n + 1, crews) * mends for n in range(machines)]
    )
    return float(share @ np.arange(machines + 1))


# --- networks ---------------------------------------------------------------------------------------------------------


def jackson(
    outside: Sequence[float], ways: Sequence[Sequence[float]], rates: Sequence[float], places: Sequence[int]
) -> tuple[np.ndarray, np.ndarray]:
    """Flow through and mean lots in each station of an open network (Jackson 1957)."""
    flow = np.linalg.solve(np.eye(len(rates)) - np.asarray(ways).T, np.asarray(outside))
    use = [f / (r * c) for f, r, c in zip(flow, rates, places, strict=True)]
    inside = [f / r * (1.0 + wait_mmc(c, u)) for f, r, c, u in zip(flow, rates, places, use, strict=True)]
    return flow, np.array(inside)


def closed(loads: Sequence[tuple[float, int]], lots: int) -> float:
    """Rounds an hour of a closed network: (mean work for a round, machines) by station (Buzen 1973, convolution)."""
    total = np.eye(1, lots + 1)[0]
    for work, machines in loads:
        station = np.cumprod([1.0, *(work / min(n, machines) for n in range(1, lots + 1))])
        total = np.convolve(total, station)[: lots + 1]
    return float(total[lots - 1] / total[lots])


def mva(loads: Sequence[float], lots: int) -> tuple[float, np.ndarray]:
    """Rounds an hour and mean lots by station, single machines (Reiser & Lavenberg 1980, mean value analysis)."""
    inside = np.zeros(len(loads))
    rounds = 0.0
    for n in range(1, lots + 1):
        stay = np.asarray(loads) * (1.0 + inside)
        rounds = n / stay.sum()
        inside = rounds * stay
    return rounds, inside


# --- lines with limited places ----------------------------------------------------------------------------------------


@cache
def saturated_line(rates: tuple[float, ...], waiting: tuple[int, ...], before: bool = False) -> float:
    """Lots an hour of a line of exponential machines that is never starved nor blocked at its ends.

    `waiting[i]` places lie between machine i and i + 1. A lot that finds them full keeps its machine (blocking after
    service), or the machine does not begin (`before`). State: lots at each machine but the first, and which are stuck.
    """

    def moves(state: tuple[tuple[int, ...], tuple[bool, ...]]) -> Moves:
        for machine, rate in enumerate(rates):
            inside, stuck = list(state[0]), list(state[1])
            idle = stuck[machine] or (machine > 0 and inside[machine] == 0)
            full = machine < len(rates) - 1 and inside[machine + 1] > waiting[machine]
            if idle or (before and full):
                continue
            if full:
                stuck[machine] = True
            else:
                _move_on(inside, stuck, machine)
            yield (tuple(inside), tuple(stuck)), rate

    share = chain(((0,) * len(rates), (False,) * len(rates)), moves)
    return rates[-1] * sum(part for state, part in share.items() if state[0][-1] > 0)


def _move_on(inside: list[int], stuck: list[bool], machine: int) -> None:
    """The lot at `machine` goes on, which may free the one stuck before it, and so on up the line."""
    stuck[machine] = False
    if machine + 1 < len(inside):
        inside[machine + 1] += 1
    if machine > 0:
        inside[machine] -= 1
        if stuck[machine - 1]:
            _move_on(inside, stuck, machine - 1)


def leaving(
    hours: Sequence[Sequence[float]], waiting: Sequence[int], come: Sequence[float] | None = None
) -> np.ndarray:
    """When each lot leaves each machine of a saturated line with blocking after service: `hours[lot][machine]`.

    A machine begins when the lot is there and the lot before has left it; a lot leaves when it is done and the lot that
    takes up the last place ahead has left the next machine (standard recursion).
    """
    lots, machines = len(hours), len(hours[0])
    left = np.zeros((lots, machines))
    for lot in range(lots):
        there = 0.0 if come is None else come[lot]
        for machine in range(machines):
            begin = max(there, left[lot - 1, machine] if lot else 0.0)
            there = begin + hours[lot][machine]
            if machine + 1 < machines and lot > waiting[machine]:
                there = max(there, left[lot - waiting[machine] - 1, machine + 1])
            left[lot, machine] = there
    return left


def waits(gaps: np.ndarray, hours: np.ndarray, places: int) -> np.ndarray:
    """Waits of the lots of one station, first come first served: one row a lot, one column a run, all runs at once.

    A lot waits for the place with the least work ahead of it (Kiefer & Wolfowitz 1955; one place: Lindley 1952).
    """
    runs = np.arange(gaps.shape[1])
    ahead = np.zeros((len(runs), places))
    waited = np.empty(gaps.shape)
    for lot, (gap, work) in enumerate(zip(gaps, hours, strict=True)):
        ahead = np.maximum(ahead - gap[:, None], 0.0)
        least = ahead.argmin(axis=1)
        waited[lot] = ahead[runs, least]
        ahead[runs, least] += work
    return waited


def best(rate: float, raw: float, lots: int) -> float:
    """Most a line with `lots` inside can give: bottleneck rate, raw process time (Hopp & Spearman)."""
    return min(lots / raw, rate)


def worst(raw: float) -> float:
    """Least it can give, all lots in one heap (Hopp & Spearman)."""
    return 1.0 / raw


def practical_worst(rate: float, raw: float, lots: int) -> float:
    """Balanced single exponential machines (Hopp & Spearman)."""
    return lots / (rate * raw + lots - 1.0) * rate


@cache
def shared_crew(arrivals: float, rates: tuple[float, float], people: int, at_once: bool) -> tuple[float, float]:
    """Mean lots in each of two stages worked by one crew, the second stage first; Poisson arrivals, room enough.

    `at_once`: a freed person is handed on before the lot that is done has moved: the naive desk. State: lots waiting in
    stage 1 and 2, people at work in stage 1 and 2; cut off where it is never seen.
    """

    def moves(state: tuple[int, int, int, int]) -> Moves:
        wait_1, wait_2, work_1, work_2 = state
        if wait_1 < NEVER_SEEN:
            yield _sent((wait_1 + 1, wait_2, work_1, work_2), people), arrivals
        if work_2:
            yield _sent((wait_1, wait_2, work_1, work_2 - 1), people), work_2 * rates[1]
        if work_1 and at_once:
            wait_1, wait_2, handed_1, work_2 = _sent((wait_1, wait_2, work_1 - 1, work_2), people)
            yield _sent((wait_1, wait_2 + 1, handed_1, work_2), people), work_1 * rates[0]
        elif work_1:
            yield _sent((wait_1, wait_2 + 1, work_1 - 1, work_2), people), work_1 * rates[0]

    share = chain((0, 0, 0, 0), moves)
    return (
        sum(part * (state[0] + state[2]) for state, part in share.items()),
        sum(part * (state[1] + state[3]) for state, part in share.items()),
    )


NEVER_SEEN = 150


def _sent(state: tuple[int, int, int, int], people: int) -> tuple[int, int, int, int]:
    """Everybody who is free goes to a lot that waits, in the second stage first."""
    wait_1, wait_2, work_1, work_2 = state
    second = min(wait_2, people - work_1 - work_2)
    first = min(wait_1, people - work_1 - work_2 - second)
    return wait_1 - first, wait_2 - second, work_1 + first, work_2 + second


# --- breakdowns and spoilage ------------------------------------------------------------------------------------------


def inside_with_breakdowns(arrivals: float, rate: float, fails: float, mends: float, working: bool) -> float:
    """Mean lots inside an M/M/1 that breaks down and resumes (White & Christie 1958; `working` clock: Gaver 1962)."""
    if working:
        mean = (1.0 + fails / mends) / rate
        square = 2.0 * mean**2 + 2.0 * fails / (rate * mends**2)
        return arrivals * mean + arrivals**2 * square / (2.0 * (1.0 - arrivals * mean))
    up = mends / (fails + mends)
    use = arrivals / (rate * up)
    return (use + arrivals * fails / (mends * (fails + mends))) / (1.0 - use)


def spoiling(arrivals: float, rate: float, patience: float) -> tuple[float, float, float]:
    """M/M/1 where a lot not begun within `patience` is lost: share lost, idle, mean wait of those begun (Barrer 1957).

    The work ahead of a lot has the density idle * arrivals * exp((arrivals - rate) x) up to `patience`.
    """

    def density(x: float) -> float:
        return arrivals * exp((arrivals - rate) * x)

    within = integrate.quad(density, 0.0, patience)[0]
    beyond = density(patience) / rate
    whole = 1.0 + within + beyond
    waited = integrate.quad(lambda x: x * density(x), 0.0, patience)[0]
    return beyond / whole, 1.0 / whole, waited / (1.0 + within)


# --- stock ------------------------------------------------------------------------------------------------------------


def newsvendor(
    demand: Sequence[tuple[float, float]], order: float, buy: float, sell: float, scrap: float, lost: float = 0.0
) -> float:
    """Mean profit a day: (demand, chance), order; what one costs, brings, brings if left over, costs if missing."""
    return sum(
        chance * (sell * min(d, order) + scrap * max(order - d, 0.0) - buy * order - lost * max(d - order, 0.0))
        for d, chance in demand
    )


def poisson_demand(mean: float) -> list[tuple[float, float]]:
    """Poisson demand as (demand, chance), cut off where it is never seen."""
    return [(float(d), float(p)) for d, p in enumerate(stats.poisson(mean).pmf(np.arange(int(mean * 4 + 60))))]


def two_days(mean: float, up_to: int) -> tuple[float, float]:
    """Thrown out and lost a day: goods last two days, filled up every morning, oldest sold first, Poisson demand.

    State in the morning: what has one day left. Lost sales do not depend on it, as the stock is always full.
    """
    demand = poisson_demand(mean)
    step = np.zeros((up_to + 1, up_to + 1))
    for old in range(up_to + 1):
        for d, chance in demand:
            step[old, int(max(up_to - old - max(d - old, 0.0), 0.0))] += chance
    share = np.linalg.matrix_power(step, 4096)[0]
    waste = sum(s * chance * max(old - d, 0.0) for old, s in enumerate(share) for d, chance in demand)
    return waste, sum(chance * max(d - up_to, 0.0) for d, chance in demand)


def base_stock_fill(demand: float, lead: float, up_to: int) -> float:
    """Share of single orders filled at once: one for one, orders wait, any spread of the lead time (Palm 1938)."""
    return float(stats.poisson(demand * lead).cdf(up_to - 1))
