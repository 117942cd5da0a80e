"""Ageing: how many cycles, years and kilometres until a battery is tired.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
cycles                 full discharges of what the battery then holds, so later ones are shorter
cycle fade             a power of the number of cycles: 1 in proportion, ½ the square root
calendar fade          a power of age, sped up by heat as Arrhenius found, at one mean temperature
both                   the two fades add up, and the cycles are spread evenly over the years
range                  falls as the health does; the consumption does not change
published cells        two fade laws with the coefficients of their own cells, not of every cell
=====================  =========================================================================
"""

from __future__ import annotations

from typing import NamedTuple

import sympy

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, author_order

__all__ = ["CAUTION", "MINIMUM_DURABILITY", "Durability", "ageing"]

_EXACT = "definition"
_RATED = "data-sheet practice: cycle life to a share of the capacity, common practice, no source"
_WANG = "Wang et al., J. Power Sources 196 (2011) 3942; coefficients read in secondary files"
_SCHMALSTIEG = (
    "Schmalstieg et al., J. Power Sources 257 (2014) 325; coefficients read in secondary files"
)

CAUTION = (
    "Figures for explanation; cells of one make differ, and heat, deep discharge and fast charging "
    "age them faster. A worn or damaged pack can burn: its tests and repair are licensed work."
)

with author_order() as q:
    CYCLES = Relation(
        "Fade by cycles",
        q.cycle_fade,
        (1 - q.rated_health) * (q.full_cycles / q.cycle_life) ** q.fade_exponent,
        source=_RATED,
        model=("without a sudden end of the cells",),
        assumptions=(
            "The law holds beyond the rated number of cycles; a cell may fall off sooner.",
        ),
    )
    ARRHENIUS = Relation(
        "Heat",
        q.arrhenius_factor,
        sympy.exp(
            q.activation_energy
            / q.gas_constant
            * (1 / q.reference_temperature - 1 / q.cell_temperature)
        ),
        source="Arrhenius, Z. Phys. Chem. 4 (1889) 226",
    )
    CALENDAR = Relation(
        "Fade by age",
        q.calendar_fade,
        q.yearly_calendar_fade * q.arrhenius_factor * (q.age / q.one_year) ** q.calendar_exponent,
        source=_SCHMALSTIEG + " (form: Arrhenius times a power of time)",
        model=("at one temperature",),
    )
    HEALTH = Relation(
        "Health",
        q.cycle_fade + q.calendar_fade,
        1 - q.health,
        source=_EXACT,
        finds="health",
        assumptions=("Fade by cycles and by age add up.",),
    )
    MEAN = Relation(
        "Mean health over the cycles",
        q.mean_health,
        1 - q.cycle_fade / (1 + q.fade_exponent) - q.calendar_fade / (1 + q.calendar_exponent),
        source="mean of a power law: the area below x^β from 0 to 1 is 1/(1 + β)",
        model=("with cycles spread evenly over the years",),
        assumptions=("The cycles are spread evenly over the years.",),
    )
    NAIVE = Relation(
        "Cycles times fresh range",
        q.naive_distance,
        q.full_cycles * q.range,
        source=_EXACT,
        model=("without fade",),
        assumptions=("Naive: every cycle is as long as the first.",),
    )
    LIFETIME = Relation(
        "Distance with fading range",
        q.lifetime_distance,
        q.full_cycles * q.range * q.mean_health,
        source=_EXACT,
        assumptions=("Each cycle takes the vehicle as far as the battery then allows.",),
    )
    OVERSTATED = Relation(
        "What the naive product overstates",
        q.overstated_distance,
        q.naive_distance - q.lifetime_distance,
        source=_EXACT,
    )
    YEARS = Relation(
        "Years", q.age, q.lifetime_distance / q.yearly_distance * q.one_year, source=_EXACT
    )
    LFP_SIZE = Relation(
        "LFP cell: size of its fade",
        q.lfp_prefactor,
        448.96 * (q.c_rate * q.one_hour) ** 2 - 6301.1 * (q.c_rate * q.one_hour) + 33840,
        source=_WANG,
        model=("as one published cell ages",),
        assumptions=("A 2.2 Ah LFP cell between C/2 and 10 C.",),
    )
    LFP = Relation(
        "LFP cell: fade by throughput",
        q.lfp_fade,
        q.lfp_prefactor
        / 100
        * sympy.exp(
            -(31700 - 370.3 * (q.c_rate * q.one_hour))
            * q.one_joule_per_mole
            / (q.gas_constant * q.cell_temperature)
        )
        * (q.charge_throughput / q.one_ampere_hour) ** 0.55,
        source=_WANG,
        model=("as one published cell ages",),
        assumptions=("15 to 60 °C.",),
    )
    NMC_SHELF = Relation(
        "NMC cell: fade on the shelf",
        q.nmc_calendar_fade,
        (7.543 * (q.storage_voltage / q.one_volt) - 23.75)
        * 1000000
        * sympy.exp(-6976 / (q.cell_temperature / q.one_kelvin))
        * (q.storage_time / q.one_day) ** 0.75,
        source=_SCHMALSTIEG,
        model=("as one published cell ages",),
        assumptions=("A 2.15 Ah NMC cell.",),
    )
    NMC_CYCLES = Relation(
        "NMC cell: fade by cycles",
        q.nmc_cycle_fade,
        (
            0.007348 * (q.cell_voltage / q.one_volt - 3.667) ** 2
            + 0.00076
            + 0.004081 * q.depth_of_discharge
        )
        * sympy.sqrt(q.charge_throughput / q.one_ampere_hour),
        source=_SCHMALSTIEG,
        model=("as one published cell ages",),
        assumptions=("A 2.15 Ah NMC cell at 35 °C and 1 C; its mean voltage while it cycles.",),
    )
    STANDING = (
        Relation(
            "Rated to 80 %", q.rated_health, 0.8, source="common practice, no source", standing=True
        ),
        Relation(
            "In proportion to cycles", q.fade_exponent, 1, source="standing value", standing=True
        ),
        Relation(
            "No fade by age", q.yearly_calendar_fade, 0, source="standing value", standing=True
        ),
        Relation(
            "Square root of age",
            q.calendar_exponent,
            0.5,
            source="common practice, no source",
            standing=True,
        ),
        Relation("25 °C", q.cell_temperature, 298.15, source="standing value", standing=True),
        Relation(
            "Activation energy of a published cell",
            q.activation_energy,
            58000,
            source=_SCHMALSTIEG + ": 6976 K times the gas constant",
            standing=True,
        ),
        Relation(
            "Until 80 % is left", q.health, 0.8, source="common practice, no source", standing=True
        ),
    )

ageing = Topic(
    "ageing",
    "Ageing of the battery",
    relations=(
        CYCLES,
        ARRHENIUS,
        CALENDAR,
        HEALTH,
        MEAN,
        NAIVE,
        LIFETIME,
        OVERSTATED,
        YEARS,
        LFP_SIZE,
        LFP,
        NMC_SHELF,
        NMC_CYCLES,
        *STANDING,
    ),
    example={
        "cycle_life": 1000,
        "rated_health": "80 %",
        "range": "280 km",
        "health": "80 %",
        "yearly_calendar_fade": "2 %",
        "cell_temperature": "25 °C",
        "yearly_distance": "14000 km",
    },
    wanted="lifetime_distance",
    outcomes=(
        "lifetime_distance",
        "naive_distance",
        "overstated_distance",
        "age",
        "health",
        "full_cycles",
    ),
    caution=CAUTION,
)


class Durability(NamedTuple):
    """A least health that a car's battery must keep until an age or a distance, whichever is first.

    ``age`` is in seconds, ``distance`` in metres, ``health`` a share.
    """

    age: float
    distance: float
    health: float
    source: str


_YEAR = 31_557_600.0
MINIMUM_DURABILITY = (
    Durability(5 * _YEAR, 100_000e3, 0.80, "Euro 7 as quoted in secondary pages"),
    Durability(8 * _YEAR, 160_000e3, 0.72, "Euro 7 as quoted in secondary pages"),
)
