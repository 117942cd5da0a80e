"""Tyres: what cold and speed make of the number on the label.

=====================  =========================================================================
assumed                what it means
=====================  =========================================================================
temperature            of the outside air, once the tyres have warmed up; the regulation's own
                       correction is made for 20 to 30 °C and is a guess far below
speed                  a rise in proportion to speed; well below the speed at which a tyre
                       begins to stand in waves
left out               pressure, wear, wet and rough roads, toe-in
=====================  =========================================================================
"""

from __future__ import annotations

from typing import NamedTuple

from chalkwatt.answering.topic import Topic
from chalkwatt.calls import checked_call
from chalkwatt.laws.relations import Relation, author_order
from chalkwatt.topics import load as road
from chalkwatt.topics import rolling

__all__ = ["LABELS", "TyreLabel", "tyres"]

_R117 = "UN Regulation No. 117, Annex 6 § 6.2, and ISO 28580: F25 = F (1 + K_t (t − 25 °C))"
_SPEED = (
    "form of Mannering and Washburn, Principles of Highway Engineering and Traffic Analysis, ch. 2"
)

with author_order() as q:
    WARM = Relation(
        "Cold and speed",
        q.rolling_share_of_warm,
        (1 + q.rolling_speed_growth * q.speed)
        / (1 + q.tyre_temperature_coefficient * (q.air_temperature - q.reference_temperature)),
        source=f"{_R117}; {_SPEED}",
        model=(
            "on dry roads",
            "by a correction made for 20 to 30 °C",
        ),
        assumptions=("The regulation corrects between 20 and 30 °C; far below it is a guess.",),
        where=(1 + q.tyre_temperature_coefficient * (q.air_temperature - q.reference_temperature),),
        remarks=(rolling.BEYOND,),
    )
    COEFFICIENT = Relation(
        "Rolling coefficient",
        q.rolling_coefficient,
        q.reference_rolling_coefficient * q.rolling_share_of_warm,
        source="definition",
    )
    STANDING = (
        Relation(
            "Tyre of a car",
            q.tyre_temperature_coefficient,
            0.008,
            source=_R117,
            standing=True,
        ),
        Relation("25 °C", q.air_temperature, 298.15, source="standing value", standing=True),
        Relation(
            "No rise with speed", q.rolling_speed_growth, 0, source="standing value", standing=True
        ),
        Relation("Walking pace", q.speed, 0, source="standing value", standing=True),
        *(one for one in road.STANDING if one.names[0] in {"grade", "gravity"}),
    )

tyres = Topic(
    "tyres",
    "Tyres",
    relations=(WARM, COEFFICIENT, road.SLOPE, road.ROLLING, *STANDING),
    example={
        "reference_rolling_coefficient": 0.0085,
        "air_temperature": "5 °C",
        "mass": "1180 kg",
    },
    wanted="rolling_force",
    outcomes=("rolling_force", "rolling_coefficient", "rolling_share_of_warm"),
)


class TyreLabel(NamedTuple):
    """The letters of a tyre label: the greatest rolling coefficient of each, the last without one."""

    regulation: str
    tyres: str
    letters: tuple[tuple[str, float], ...]
    source: str

    @checked_call
    def letter(self, coefficient: float) -> str:
        """Return the letter of a rolling coefficient.

        Parameters
        ----------
        coefficient : float
            Rolling force over weight, at 25 °C.

        Returns
        -------
        str

        Examples
        --------
        >>> from chalkwatt.topics.tyres import LABELS
        >>> [one.letter(0.0100) for one in LABELS if one.tyres == "C1"]
        ['E', 'D']
        """
        return next(letter for letter, most in self.letters if coefficient <= most + 1e-12)


_OLD = "Regulation (EC) 1222/2009, Annex I part A"
_NEW = "Regulation (EU) 2020/740, Annex I part A; bounds from memory"
_REST = float("inf")
LABELS = (
    TyreLabel(
        "1222/2009",
        "C1",
        (("A", 6.5e-3), ("B", 7.7e-3), ("C", 9.0e-3), ("E", 10.5e-3), ("F", 12.0e-3), ("G", _REST)),
        _OLD,
    ),
    TyreLabel(
        "1222/2009",
        "C2",
        (("A", 5.5e-3), ("B", 6.7e-3), ("C", 8.0e-3), ("E", 9.2e-3), ("F", 10.5e-3), ("G", _REST)),
        _OLD,
    ),
    TyreLabel(
        "1222/2009",
        "C3",
        (("A", 4.0e-3), ("B", 5.0e-3), ("C", 6.0e-3), ("D", 7.0e-3), ("E", 8.0e-3), ("F", _REST)),
        _OLD,
    ),
    TyreLabel(
        "2020/740",
        "C1",
        (("A", 6.5e-3), ("B", 7.7e-3), ("C", 9.0e-3), ("D", 10.5e-3), ("E", _REST)),
        _NEW,
    ),
)
