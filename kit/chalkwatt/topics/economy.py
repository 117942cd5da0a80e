"""Economy: what regulations make of consumption, city and highway together.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
a share of distance    consumption averages over distance; distance per energy, harmonically
one gallon             33.705 kWh, whatever the power station did to make the electricity
label                  a plain factor on range stands for cold, heat, speed and hurry
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.relations import Relation, author_order
from chalkwatt.topic import Topic

__all__ = ["economy"]

_EXACT = "definition"
_COMBINED = "40 CFR 600.206-12(a)(3)(i) and Appendix II to Part 600; 10 CFR Part 474 Appendix"
_LABEL = "40 CFR 600.210-12 as quoted in a public note; its primary text was not seen"

with author_order() as q:
    COMBINED = Relation(
        "Consumption, city and highway combined",
        q.combined_consumption,
        q.city_share * q.city_consumption + (1 - q.city_share) * q.highway_consumption,
        source=_COMBINED,
        assumptions=("City and highway count by their share of the distance.",),
    )
    CITY = Relation("Economy in the city", q.city_economy, 1 / q.city_consumption, source=_EXACT)
    HIGHWAY = Relation(
        "Economy on the highway", q.highway_economy, 1 / q.highway_consumption, source=_EXACT
    )
    ECONOMY = Relation(
        "Economy combined", q.combined_economy, 1 / q.combined_consumption, source=_EXACT
    )
    EQUIVALENT = Relation(
        "Gallon equivalent",
        q.equivalent_economy,
        q.gallon_energy / q.combined_consumption,
        source="33.705 kWh a gallon: the US EPA as widely quoted; its primary text was not seen",
        assumptions=("Energy counts at the meter; how the electricity was made does not.",),
    )
    TESTED = Relation(
        "Range as tested", q.tested_range, q.usable_energy / q.combined_consumption, source=_EXACT
    )
    LABEL = Relation(
        "Range on the label", q.label_range, q.label_factor * q.tested_range, source=_LABEL
    )
    STANDING = (
        Relation("City share of the distance", q.city_share, 0.55, source=_COMBINED, standing=True),
        Relation("Label factor", q.label_factor, 0.7, source=_LABEL, standing=True),
    )

economy = Topic(
    "economy",
    "Consumption as regulations combine it",
    relations=(COMBINED, CITY, HIGHWAY, ECONOMY, EQUIVALENT, TESTED, LABEL, *STANDING),
    example={
        "city_consumption": "13.2 kWh/100 km",
        "highway_consumption": "16.9 kWh/100 km",
        "usable_energy": "36 kWh",
    },
    wanted="label_range",
    outcomes=("label_range", "tested_range", "equivalent_economy", "combined_consumption"),
)
