"""Rolling with speed and in the cold: where the rolling coefficient is not one number.

Nothing of it counts unless the base coefficient is given: the rolling coefficient may be given as it
is, or follow from its base, the speed and the temperature of the air.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
speed                  the coefficient grows in a straight line, from its base at walking pace
temperature            a tyre as warm as driving makes it in air of that temperature
both                   multiply
=====================  =========================================================================
"""

from __future__ import annotations

import sympy

from chalkwatt.laws.relations import Relation, Remark, author_order

__all__ = ["BASE", "BEYOND", "GROWTH", "RELATIONS", "STANDING"]

_SPEED = "Mannering and Washburn, Principles of Highway Engineering and Traffic Analysis, ch. 2"
_COLD = "UN Regulation No. 117, Annex 6"

with author_order() as q:
    _WARMTH = 1 + q.tyre_temperature_coefficient * (q.air_temperature - q.reference_temperature)
    # The rolling coefficient at walking pace, and its slope against speed.
    BASE = q.reference_rolling_coefficient / _WARMTH
    GROWTH = q.reference_rolling_coefficient * q.rolling_speed_growth / _WARMTH
    BEYOND = Remark(
        q.tyre_temperature_coefficient
        * (sympy.Abs(q.air_temperature - q.reference_temperature) - 5 * q.one_kelvin),
        "The correction of rolling resistance for temperature is stated for 20 to 30 °C "
        "(UN R117); here it is carried beyond that.",
    )
    COEFFICIENT = Relation(
        "Rolling coefficient by speed and temperature",
        q.rolling_coefficient,
        q.reference_rolling_coefficient * (1 + q.rolling_speed_growth * q.speed) / _WARMTH,
        source=f"{_SPEED} (speed); {_COLD} (temperature)",
        assumptions=("The coefficient grows in a straight line with speed.",),
        # Far below its range the correction would turn rolling into a push.
        where=(_WARMTH,),
        remarks=(BEYOND,),
        tacit=("rolling_speed_growth", "tyre_temperature_coefficient"),
    )
    STANDING = tuple(
        Relation(title, quantity, 0, source="standing value", standing=True)
        for title, quantity in (
            ("Rolling does not grow with speed", q.rolling_speed_growth),
            ("Rolling does not change with temperature", q.tyre_temperature_coefficient),
        )
    )

RELATIONS = (COEFFICIENT,)
