"""The whole vehicle: the pack and the road together, joined by the energy and by the mass of the pack.

A spec sheet mixes counts of cells with areas and masses; this is the network in which they meet.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
as in pack and load    every assumption of both
mass                   a larger pack adds its own mass and nothing else: no stronger springs or brakes
losses in the pack     counted where voltage and resistance are known, at the nominal voltage; the drive
                       efficiency then begins at the pack's terminals
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Topic
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.topics import pack as cells
from chalkwatt.topics.load import LOSS, load

__all__ = ["vehicle"]

with author_order() as q:
    MASS = Relation(
        "Mass with the pack",
        q.mass,
        q.mass_without_pack + q.pack_mass,
        source="definition",
        model=("without stronger springs for a larger pack",),
        assumptions=("A larger pack adds its own mass and nothing else.",),
    )
    CURRENT = Relation(
        "Current at a steady speed",
        q.driving_current,
        q.battery_power / q.pack_voltage,
        source="definition",
        assumptions=("The cells give their nominal voltage before the pack's resistance.",),
    )

vehicle = Topic(
    "vehicle",
    "The whole vehicle",
    relations=(
        *cells.RELATIONS,
        MASS,
        LOSS,
        *(
            one
            for one in load.relations
            if not one.standing and one not in {LOSS, *cells.RELATIONS}
        ),
        CURRENT,
        *(one for one in load.relations if one.standing),
    ),
    dependent=(*cells.DEPENDENT, *load.network.dependent),
    example={
        "cells_in_series": 96,
        "cells_in_parallel": 18,
        "cell_voltage": "3.63 V",
        "cell_capacity": "5 Ah",
        "usable_fraction": "93 %",
        "speed": "100 km/h",
        "drag_area": "0.42 m²",
        "mass": "980 kg",
        "rolling_coefficient": 0.0085,
        "drive_efficiency": 0.86,
        "auxiliary_power": "350 W",
    },
    wanted="range",
    outcomes=("range", "driving_time", "consumption", "battery_power", "usable_energy", "mass"),
    caution=cells.CAUTION
    + " On public roads, limits, traffic and weather decide how fast to drive.",
)
