"""Panel: how hot solar cells get by the way they are mounted, and what that costs.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
steady state           temperature follows the sun at once; a real panel takes some minutes
mounting               with free air on both sides unless something is given of it: a NOCT, a heat loss,
                       or the mounting exponents of a panel that is glued down and runs 25 K hotter in
                       full sun (`mounting`); the topic `sun` takes it alike
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Topic
from chalkwatt.topics import mounting, sun

__all__ = ["panel"]

_SUN = {"standard_irradiance", "rated_temperature", "temperature_coefficient"}

panel = Topic(
    "panel",
    "A panel in the sun",
    relations=(
        *mounting.RELATIONS,
        sun.PANEL,
        sun.RATED,
        sun.BY_RATING,
        *(one for one in sun.STANDING if one.names[0] in _SUN),
        *mounting.STANDING,
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
