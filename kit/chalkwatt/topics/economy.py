"""Economy: what regulations make of consumption, and what a label says of the battery.

Energy passes three meters: at the outlet, at the battery, on the road. A label counts consumption at
the outlet; the battery gives what is left of it after charging; range is what that is good for. So
tested range times label consumption is more than the battery holds, by what charging loses.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
outlet                 city, highway and label consumption include the charging loss
battery                range comes from the usable energy and the consumption at the battery
a share of distance    consumption averages over distance; distance per energy, harmonically
one gallon             33.705 kWh, whatever the power station did to make the electricity
label factor           a plain factor on range stands for cold, heat, speed and hurry; a label
                       without one (European labels) has a factor of 1
=====================  =========================================================================
"""

from __future__ import annotations

from chalkwatt.answering.topic import Apart, Topic
from chalkwatt.laws.glossary.charging import ASSUMED_EFFICIENCY, LOSSES
from chalkwatt.laws.relations import Relation, author_order

__all__ = ["economy"]

_EXACT = "definition"
_COMBINED = "40 CFR 600.206-12(a)(3)(i) and Appendix II to Part 600; 10 CFR Part 474 Appendix"
_LABEL = "40 CFR 600.210-12 as quoted in a public note; its primary text was not seen"
_GALLON = "33.705 kWh a gallon: the US EPA as widely quoted; its primary text was not seen"
_OUTLET = "Energy counts at the outlet, charging loss included."
_METER = "Energy counts at the outlet; how the electricity was made does not."

with author_order() as q:
    COMBINED = Relation(
        "Consumption, city and highway combined",
        q.combined_consumption,
        q.city_share * q.city_consumption + (1 - q.city_share) * q.highway_consumption,
        source=_COMBINED,
        assumptions=("City and highway count by their share of the distance.", _OUTLET),
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
        source=_GALLON,
        model=("without the power station",),
        assumptions=(_METER,),
    )
    LABEL_CONSUMPTION = Relation(
        "Consumption on the label, no factor",
        q.label_consumption,
        q.combined_consumption,
        source=_EXACT,
        assumptions=("Where city and highway are the test, the label rests on both together.",),
    )
    BATTERY = Relation(
        "Consumption at the battery",
        q.consumption,
        q.charging_efficiency * q.label_consumption,
        source=_EXACT,
        assumptions=("The label counts at the outlet; what charging loses, no wheel turns with.",),
    )
    TESTED = Relation(
        "Range as tested",
        q.tested_range,
        q.usable_energy / q.consumption,
        source=_EXACT,
        model=("in the conditions of the test",),
        assumptions=("From full to empty, at the consumption counted at the battery.",),
    )
    RECHARGE = Relation(
        "Energy from the outlet, empty to full",
        q.recharge_energy,
        q.usable_energy / q.charging_efficiency,
        source=_EXACT,
    )
    TRIANGLE = Relation(
        "Energy from the outlet along the tested range",
        q.recharge_energy,
        q.label_consumption * q.tested_range,
        source=_EXACT,
        assumptions=(_OUTLET,),
    )
    LABEL = Relation(
        "Range on the label", q.label_range, q.label_factor * q.tested_range, source=_LABEL
    )
    ADJUSTED = tuple(
        Relation(
            f"{words} on a label with a factor",
            adjusted,
            tested / q.label_factor,
            source=_LABEL,
            assumptions=("What the factor takes from range it adds to consumption.", _OUTLET),
        )
        for words, adjusted, tested in (
            ("City consumption", q.adjusted_city_consumption, q.city_consumption),
            ("Highway consumption", q.adjusted_highway_consumption, q.highway_consumption),
            ("Consumption", q.adjusted_consumption, q.label_consumption),
        )
    )
    ADJUSTED_TRIANGLE = Relation(
        "Energy from the outlet along the range on the label",
        q.recharge_energy,
        q.adjusted_consumption * q.label_range,
        source=_LABEL,
        assumptions=(_OUTLET,),
    )
    ADJUSTED_EQUIVALENT = Relation(
        "Gallon equivalent on a label with a factor",
        q.adjusted_equivalent_economy,
        q.label_factor * q.equivalent_economy,
        source=_LABEL,
        model=("without the power station",),
        assumptions=(_METER,),
    )
    STANDING = (
        Relation("City share of the distance", q.city_share, 0.55, source=_COMBINED, standing=True),
        Relation("Label factor", q.label_factor, 0.7, source=_LABEL, standing=True),
        Relation(
            "Charging efficiency, the middle of 84 to 90 %",
            q.charging_efficiency,
            ASSUMED_EFFICIENCY,
            source=LOSSES,
            standing=True,
        ),
    )

economy = Topic(
    "economy",
    "Consumption as regulations combine it",
    relations=(
        COMBINED,
        CITY,
        HIGHWAY,
        ECONOMY,
        EQUIVALENT,
        LABEL_CONSUMPTION,
        BATTERY,
        TESTED,
        RECHARGE,
        TRIANGLE,
        LABEL,
        *ADJUSTED,
        ADJUSTED_TRIANGLE,
        ADJUSTED_EQUIVALENT,
        *STANDING,
    ),
    dependent=(
        (BATTERY, TESTED, RECHARGE, TRIANGLE),
        (LABEL, TRIANGLE, ADJUSTED_TRIANGLE, ADJUSTED[-1]),
    ),
    example={
        "city_consumption": "15.2 kWh/100 km",
        "highway_consumption": "19.4 kWh/100 km",
        "usable_energy": "36 kWh",
        "charging_efficiency": "87 %",
    },
    wanted="label_range",
    outcomes=(
        "label_range",
        "tested_range",
        "equivalent_economy",
        "label_consumption",
        "combined_consumption",
    ),
    apart={
        "consumption": Apart(
            "A label counts the consumption of a test cycle, and not of a drive at a steady speed; what range a "
            "maker states is tested or on a label already: state it as tested_range or label_range.",
            frozenset({"speed", "range", "driving_time"}),
        )
    },
)
