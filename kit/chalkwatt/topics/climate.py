"""Climate: what keeping the cabin warm or cool takes from the battery.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
steady                 the cabin has reached its temperature: warming it up first takes more
heat loss              in proportion to the difference from the air outside, fresh air included
people and sun         bring nothing unless said
heater                 a resistance heater unless a coefficient of performance is given
cooling                by a machine of common practice unless its coefficient is given; moisture
                       that condenses is left out
Carnot                 no machine does better than a reversible one between cabin and outside air
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, Remark, author_order, greatest

__all__ = ["MACHINES", "NO_BETTER_PUMP", "RELATIONS", "SWITCHED_OFF", "climate"]

_EXACT = "definition"
NO_BETTER_PUMP = (
    "No heat pump between these two temperatures does better than Carnot's: "
    "heating performance must be below cabin temperature (in kelvins) over the difference."
)
_CARNOT = "Carnot, Réflexions sur la puissance motrice du feu (1824)"

with author_order() as q:
    HEAT = Relation(
        "Heat that the cabin needs",
        q.cabin_heat,
        q.heat_loss_coefficient * (q.cabin_temperature - q.air_temperature) - q.cabin_heat_gain,
        source="Newton's law of cooling",
        model=("with a cabin at its temperature already",),
        assumptions=("The cabin has reached its temperature: warming it up first takes more.",),
    )
    _HEATING = (
        q.heat_loss_coefficient * (q.cabin_temperature - q.air_temperature) - q.cabin_heat_gain
    )
    _COOLING = (
        q.heat_loss_coefficient * (q.air_temperature - q.cabin_temperature) + q.cabin_heat_gain
    )
    # What a reversible machine could still do better; nought at Carnot's coefficient.
    _BELOW_CARNOT_HEATING = q.cabin_temperature - q.coefficient_of_performance * (
        q.cabin_temperature - q.air_temperature
    )
    _BELOW_CARNOT_COOLING = q.cabin_temperature + q.cooling_performance * (
        q.cabin_temperature - q.air_temperature
    )
    CLIMATE = Relation(
        "Heating or cooling",
        q.climate_power,
        greatest(_HEATING, 0) / q.coefficient_of_performance
        + greatest(_COOLING, 0) / q.cooling_performance,
        source="definition of the coefficients of performance",
        model=(
            "with a cabin at its temperature already",
            "without moisture that condenses",
        ),
        assumptions=(
            "The cabin has reached its temperature: warming it up first takes more.",
            "Moisture that condenses while cooling is left out.",
        ),
        where=(
            _BELOW_CARNOT_HEATING,
            _BELOW_CARNOT_COOLING,
        ),
        refusals=(
            Remark(_BELOW_CARNOT_HEATING, NO_BETTER_PUMP),
            Remark(
                _BELOW_CARNOT_COOLING,
                "No cooling between these two temperatures does better than Carnot's: "
                "cooling performance must be below cabin temperature (in kelvins) over the "
                "difference.",
            ),
        ),
    )
    AUXILIARY = Relation(
        "Auxiliary load",
        q.auxiliary_power,
        q.electronics_power + q.climate_power,
        source=_EXACT,
    )
    CARNOT = Relation(
        "Carnot's coefficient",
        q.greatest_performance
        * greatest(
            q.cabin_temperature - q.air_temperature, q.air_temperature - q.cabin_temperature
        ),
        q.cabin_temperature,
        source=_CARNOT,
        finds="greatest_performance",
        model=("with a machine that loses nothing",),
        assumptions=("Heat goes over at no difference in temperature; real machines need one.",),
    )
    MACHINES = (
        Relation("People and sun", q.cabin_heat_gain, 0, source="standing value", standing=True),
        Relation(
            "Resistance heater",
            q.coefficient_of_performance,
            1,
            source="all its electric energy becomes heat",
            standing=True,
        ),
        Relation(
            "Cooling of common practice",
            q.cooling_performance,
            2.5,
            source="common practice: 2 to 3, no source",
            standing=True,
        ),
    )
    # In place of the balance of the cabin: a climate that is switched off says nothing of temperatures.
    SWITCHED_OFF = Relation(
        "No heating or cooling",
        q.climate_power,
        0,
        source="standing value",
        standing=True,
        instead_of=(CLIMATE,),
    )

RELATIONS = (CLIMATE, AUXILIARY)

climate = Topic(
    "climate",
    "Heating and cooling of the cabin",
    relations=(HEAT, *RELATIONS, CARNOT, *MACHINES, SWITCHED_OFF),
    example={
        "air_temperature": "-10 °C",
        "cabin_temperature": "20 °C",
        "heat_loss_coefficient": "110 W/K",
        "coefficient_of_performance": 1,
        "cooling_performance": 2.5,
        "electronics_power": "250 W",
    },
    wanted="auxiliary_power",
    outcomes=("auxiliary_power", "climate_power", "cabin_heat", "greatest_performance"),
    caution="Figures for explanation. Clear panes and an awake driver come before range.",
)
