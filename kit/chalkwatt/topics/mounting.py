"""Mounting: how hot solar cells get, by what is known of the way the panel is mounted.

=====================  =========================================================================
what is given          how the panel is taken to be mounted
=====================  =========================================================================
nothing                with free air on both sides, as on a rack: Faiman's usual heat loss
heat loss              as that says
nominal temperature    as on the data sheet: its NOCT holds for an open rack and 1 m/s of wind only
mounting exponents     as they say, whatever a data sheet states; what is missing of them is that of an
                       insulated back, a panel glued onto a car's roof: 25 K hotter than on an open
                       rack, in full sun
=====================  =========================================================================

Heat loss and mounting exponents say the same thing twice: who gives both is told where they disagree.
"""

from __future__ import annotations

import sympy

from chalkwatt.laws.relations import Relation, author_order

__all__ = ["FREE", "MOUNTED", "RACK", "RELATIONS", "STANDING"]

_FAIMAN = "Faiman, Prog. Photovolt. 16 (2008) 307"
_KING = "King, Boyson, Kratochvil, Photovoltaic Array Performance Model, SAND2004-3535 (2004)"
_LOSS = ("heat_loss_constant", "heat_loss_wind")
_NOMINAL = ("nominal_panel_temperature",)
_EXPONENTS = ("mounting_exponent", "mounting_wind_exponent", "cell_heat_resistance")

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
    FREE = Relation(
        "Temperature of the panel",
        q.panel_temperature,
        q.air_temperature + q.irradiance / (q.heat_loss_constant + q.heat_loss_wind * q.panel_wind),
        source=_FAIMAN,
        model=("with a panel cooled on both sides",),
        assumptions=(
            "Heat leaves the panel on both sides, as on a roof rack; glued down it runs hotter.",
        ),
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
    # After what makes a power of a temperature, which tells the temperature where the power is known.
    STANDING = (
        # A data sheet states its temperature for an open rack: who gives it and no mounting means one.
        Relation(
            "Mounted as on the data sheet",
            q.panel_temperature,
            q.rack_panel_temperature,
            source="standing value: an open rack, for which the nominal temperature holds",
            standing=True,
            instead_of=(FREE, MOUNTED),
            only_with=("nominal_panel_temperature",),
            unless_any=(*_LOSS, *_EXPONENTS),
        ),
        # The same turned round, where the temperature of the cells is known, or the power that tells it.
        Relation(
            "Mounted as on the data sheet",
            q.rack_panel_temperature,
            q.panel_temperature,
            source="standing value: an open rack, for which the nominal temperature holds",
            standing=True,
            instead_of=(FREE, MOUNTED),
            only_with=("nominal_panel_temperature", "panel_temperature"),
            unless_any=(*_LOSS, *_EXPONENTS),
        ),
        # Where a nominal temperature is given or asked, no other mounting is taken for granted.
        *(
            Relation(
                "Free air on both sides",
                side,
                value,
                source=_FAIMAN,
                standing=True,
                unless_any=(*_EXPONENTS, *more),
            )
            for side, value, more in (
                (q.heat_loss_constant, 25, _NOMINAL),
                (q.heat_loss_wind, 6.84, ()),
            )
        ),
        *(
            Relation(
                "Insulated back",
                side,
                value,
                source=_KING,
                standing=True,
                unless_any=(*_LOSS, *more),
            )
            for side, value, more in (
                (q.mounting_exponent, -2.81, _NOMINAL),
                (q.mounting_wind_exponent, -0.0455, ()),
                (q.cell_heat_resistance, 0, ()),
            )
        ),
        Relation(
            "Light wind over the panel",
            q.panel_wind,
            1,
            source="standing value: 1 m/s",
            standing=True,
        ),
    )

RELATIONS = (RACK, FREE, MOUNTED)
