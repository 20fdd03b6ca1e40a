"""How packed mushrooms cool, and the heat they give off."""

from __future__ import annotations

import math

J_PER_KCAL = 4185.5  # calorie at 15 degC
S_PER_DAY = 86_400.0
KCAL_PER_T_DAY_PER_MG = 61.0  # USDA Agriculture Handbook 66: mg CO2/kg/h times 61 is kcal/t/day


def temperature_after(hours: float, start: float, air: float, half: float) -> float:
    """Temperature after so long in air of one temperature [degC].

    T(t) = T_air + (T_0 - T_air) 2^(-t / half): each half cooling time halves what is left to cool. Holds while the air
    keeps its temperature and the mushrooms' own heat is small against the cooling.

    hours: time in the air [h]
    start, air: temperature of the mushrooms at first, and of the air [degC]
    half: half cooling time [h]
    """
    return air + (start - air) * math.pow(2.0, -hours / half)


def cooling_time(start: float, end: float, air: float, half: float) -> float:
    """Time to cool from one temperature to another [h]; three half cooling times are seven eighths of the way.

    start, end, air: temperature at first, at the end, and of the air [degC]
    half: half cooling time [h]
    Goes wrong when the end is not between start and air: it is never reached (ValueError).
    """
    if not air < end <= start:
        raise ValueError(f"{end:g} degC is never reached from {start:g} degC in air at {air:g} degC")
    return half * math.log2((start - air) / (end - air))


def heat_of_respiration(mg_co2: float) -> float:
    """Heat that mushrooms give off [W/t], from the CO2 they breathe out.

    mg_co2: respiration [mg CO2/kg/h]; button mushrooms 28-44 at 0 degC, 100 at 10 degC (Suslow & Cantwell, UC Davis)
    """
    return mg_co2 * KCAL_PER_T_DAY_PER_MG * J_PER_KCAL / S_PER_DAY


def watts_per_tonne(j_per_kg_h: float) -> float:
    """Heat of respiration [W/t] from [J/kg/h]; oyster 2,500 at 15 degC, 750 at 3.5 degC (Bohling & Hansen 1989)."""
    return j_per_kg_h * 1000.0 / 3600.0


def q10(warmer: float, colder: float, degrees: float) -> float:
    """By how much a rate grows for 10 degC, from two rates so many degrees apart [1]."""
    return math.pow(warmer / colder, 10.0 / degrees)
