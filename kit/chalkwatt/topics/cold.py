"""Cold cells: what pack, load and vehicle share on the energy and resistance of a battery below 25 °C.

Nothing of it counts unless the values of the warm cells are given: usable energy, usable fraction
and resistance may be given as they are, or follow from those at 25 °C and the temperature.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
energy                 falls in proportion to the kelvins below 25 °C; warmer cells give no more
resistance             follows Arrhenius: one activation energy at every charge and duration
temperature            one for all cells, and the same from full to empty: they do not warm up
=====================  =========================================================================
"""

from __future__ import annotations

import sympy

from chalkwatt.laws.relations import Relation, author_order, greatest

__all__ = ["ENERGY", "RESISTANCE", "STANDING", "WARM_FRACTION"]

_PRACTICE = "common practice: one coefficient per kelvin, no source"

with author_order() as q:
    LOSS = Relation(
        "Energy lost to the cold",
        q.cold_energy_loss,
        q.cold_energy_coefficient * greatest(q.reference_temperature - q.cell_temperature, 0),
        source=_PRACTICE,
        assumptions=(
            "Cells lose energy in proportion to the cold; above 25 °C they give no more.",
        ),
    )
    COLD = Relation(
        "Usable energy of cold cells",
        q.usable_energy,
        q.warm_usable_energy * (1 - q.cold_energy_loss),
        source="definition",
        model=("with cells that do not warm up",),
        assumptions=("The cells stay at their temperature from full to empty.",),
    )
    WARM_FRACTION = Relation(
        "Usable energy of warm cells",
        q.warm_usable_energy,
        q.warm_usable_fraction * q.pack_energy,
        source="definition",
    )
    RESISTANCE = Relation(
        "Resistance of cold cells",
        q.cell_resistance,
        q.warm_cell_resistance
        * sympy.exp(
            q.resistance_activation_energy
            / q.gas_constant
            * (1 / q.cell_temperature - 1 / q.reference_temperature)
        ),
        source="Arrhenius, Z. Phys. Chem. 4 (1889) 226",
        assumptions=("One activation energy holds at every charge and duration of the current.",),
    )
    WARM_CELLS = Relation(
        "25 °C", q.cell_temperature, 298.15, source="standing value", standing=True
    )

ENERGY = (LOSS, COLD)
STANDING = (WARM_CELLS,)
