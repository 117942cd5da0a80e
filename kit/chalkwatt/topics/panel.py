"""Panel: how hot solar cells get by the way they are mounted, and what that costs.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
steady state           temperature follows the sun at once; a real panel takes some minutes
mounting               a panel glued onto a car's roof has an insulated back: 25 K hotter than
                       on an open rack, in full sun
nominal temperature    a data sheet's NOCT holds for an open rack and 1 m/s of wind only: where it is
                       given, and no mounting, the panel is on such a rack
=====================  =========================================================================
"""

from __future__ import annotations

import sympy

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.topics import sun

__all__ = ["panel"]

_KING = "King, Boyson, Kratochvil, Photovoltaic Array Performance Model, SAND2004-3535 (2004)"

with author_order() as q:
    RACK = Relation(
        "On an open rack, by the data sheet",
        q.rack_panel_temperature,
        q.air_temperature
        + (q.nominal_panel_temperature - q.nominal_air_temperature)
        * (q.irradiance / q.nominal_irradiance),
        source="Ross, 14th IEEE Photovoltaic Specialists Conference (1980); IEC 61215",
        model=("on an open rack in a light wind",),
        assumptions=("Open rack, about 1 m/s of wind.",),
    )
    MOUNTED = Relation(
        "Temperature of the mounted panel",
        q.panel_temperature,
        q.air_temperature
        + q.one_kelvin
        * (q.irradiance / q.one_watt_per_square_metre)
        * sympy.exp(q.mounting_exponent + q.mounting_wind_exponent * q.panel_wind)
        + q.cell_heat_resistance * q.irradiance,
        source=_KING,
        model=("with the wind free to the panel",),
        assumptions=("Wind as measured at 10 m, the panel free to it on top.",),
    )
    STANDING = (
        # A data sheet states its temperature for an open rack: who gives it and no mounting means one.
        Relation(
            "Mounted as on the data sheet",
            q.panel_temperature,
            q.rack_panel_temperature,
            source="standing value: an open rack, for which the nominal temperature holds",
            standing=True,
            instead_of=(MOUNTED,),
            only_with=("nominal_panel_temperature",),
            unless_any=("mounting_exponent", "mounting_wind_exponent", "cell_heat_resistance"),
        ),
        Relation("Insulated back", q.mounting_exponent, -2.81, source=_KING, standing=True),
        Relation("Insulated back", q.mounting_wind_exponent, -0.0455, source=_KING, standing=True),
        Relation("Insulated back", q.cell_heat_resistance, 0, source=_KING, standing=True),
    )

_SUN = {"standard_irradiance", "rated_temperature", "temperature_coefficient", "panel_wind"}

panel = Topic(
    "panel",
    "A panel in the sun",
    relations=(
        RACK,
        MOUNTED,
        sun.PANEL,
        sun.RATED,
        sun.BY_RATING,
        *STANDING,
        *(one for one in sun.STANDING if one.names[0] in _SUN),
    ),
    dependent=((sun.PANEL, sun.RATED, sun.BY_RATING),),
    example={
        "irradiance": "900 W/m²",
        "air_temperature": "28 °C",
        "rated_power": "600 W",
        "temperature_coefficient": "-0.35 %/K",
    },
    wanted="panel_power",
    outcomes=("panel_power", "panel_temperature", "rack_panel_temperature"),
    caution="Figures for explanation. A panel in the light is live: its wiring is for licensed hands.",
)
