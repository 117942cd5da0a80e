"""The cabin: what keeps it warm, and what that takes from the battery.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
steady state           the cabin is warm already; warming it up first takes more
one coefficient        walls, panes and fresh air lose heat in proportion to the difference
heater                 a resistance heater turns all its power into heat; a heat pump adds heat
                       from outside, the less the colder it is there
Carnot                 no heat pump does better than a reversible one, where both temperatures are
                       known
left out               sun through the panes, people (about 100 W each), waste heat of the drive
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, Remark, author_order
from chalkwatt.topics.climate import NO_BETTER_PUMP

__all__ = ["cabin"]

_FOURIER = "Fourier's and Newton's laws of heat transfer: resistances in series add up"
_FIRST = "first law of thermodynamics"

with author_order() as q:
    WALL = Relation(
        "Heat through a wall",
        1 / q.heat_transfer_coefficient,
        1 / q.inner_film_coefficient + q.wall_resistance + 1 / q.outer_film_coefficient,
        source=_FOURIER,
        finds="heat_transfer_coefficient",
    )
    LOSS = Relation(
        "Heat lost per kelvin",
        q.heat_loss_coefficient,
        q.heat_transfer_coefficient * q.wall_area + q.air_exchange_loss,
        source="definition",
    )
    HEAT = Relation(
        "Heat that keeps the cabin warm",
        q.cabin_heat,
        q.heat_loss_coefficient * (q.cabin_temperature - q.air_temperature),
        source="Newton's law of cooling",
        model=(
            "with a cabin at its temperature already",
            "without sun",
            "without people",
            "without waste heat",
        ),
        assumptions=("The cabin is warm already.",),
    )
    INNER = Relation(
        "Inner side of the wall",
        q.inner_film_coefficient * (q.cabin_temperature - q.inner_wall_temperature),
        q.heat_transfer_coefficient * (q.cabin_temperature - q.air_temperature),
        source=_FOURIER,
        finds="inner_wall_temperature",
    )
    # What a reversible machine would leave of the power and of the temperature; nought at Carnot's coefficient.
    _LEFT_OF_POWER = q.heater_power * q.cabin_temperature - q.cabin_heat * (
        q.cabin_temperature - q.air_temperature
    )
    _LEFT_OF_WARMTH = q.cabin_temperature - q.coefficient_of_performance * (
        q.cabin_temperature - q.air_temperature
    )
    HEATER = Relation(
        "Electric power",
        q.cabin_heat,
        q.coefficient_of_performance * q.heater_power,
        source="definition",
        finds="heater_power",
        assumptions=("The cabin loses heat: a heater cannot take any out.",),
        where=(q.cabin_heat, _LEFT_OF_POWER),
        refusals=(
            Remark(_LEFT_OF_WARMTH, NO_BETTER_PUMP),
            Remark(_LEFT_OF_POWER, NO_BETTER_PUMP),
            Remark(
                q.cabin_heat,
                "Nothing is to be heated here: the cabin loses no heat to the air outside. What "
                "cooling takes is a question for the climate topic.",
            ),
        ),
    )
    OUTSIDE = Relation(
        "Heat from outside",
        q.outside_heat,
        q.cabin_heat - q.heater_power,
        source=_FIRST,
        where=(_LEFT_OF_POWER,),
        refusals=(Remark(_LEFT_OF_POWER, NO_BETTER_PUMP),),
    )
    COOLING = Relation(
        "The same machine as a cooler",
        q.cooling_performance,
        q.coefficient_of_performance - 1,
        source=_FIRST,
        where=(_LEFT_OF_WARMTH,),
        refusals=(Remark(_LEFT_OF_WARMTH, NO_BETTER_PUMP),),
    )
    CARNOT = Relation(
        "What no heat pump beats",
        q.greatest_performance,
        q.cabin_temperature / (q.cabin_temperature - q.air_temperature),
        source="Carnot (1824)",
    )
    STANDING = (
        Relation(
            "Room temperature", q.cabin_temperature, 294.15, source="standing value", standing=True
        ),
        Relation(
            "A resistance heater",
            q.coefficient_of_performance,
            1,
            source="standing value",
            standing=True,
        ),
        Relation("Closed vents", q.air_exchange_loss, 0, source="standing value", standing=True),
    )

cabin = Topic(
    "cabin",
    "Heat for the cabin",
    relations=(WALL, LOSS, HEAT, INNER, HEATER, OUTSIDE, COOLING, CARNOT, *STANDING),
    example={
        "heat_loss_coefficient": "60 W/K",
        "air_temperature": "-7 °C",
        "cabin_temperature": "21 °C",
        "coefficient_of_performance": 2.2,
    },
    wanted="heater_power",
    outcomes=("heater_power", "cabin_heat", "greatest_performance", "outside_heat"),
)
