"""Roofs: which way the solar cells of a vehicle look.

A roof is a handful of flat facets, each with its share of the cells. Every facet is taken to work
at its own best point, as with a tracker a facet; on one string the darkest holds back the rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from chalkwatt.calls import checked_call, checked_class
from chalkwatt.errors import OutOfBoundsError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from chalkwatt.runs.sun.sky import Sky

__all__ = ["Facet", "Roof", "curved", "flat", "tilted"]

_ALBEDO = 0.2  # common practice, no source: asphalt and grass send back about a fifth


@checked_class
@dataclass(frozen=True)
class Facet:
    """A flat part of a roof.

    Parameters
    ----------
    share : float
        Of the cells' area, from 0 to 1.
    tilt : float
        Degrees from the level.
    bearing : float
        Which way it leans, in degrees clockwise from the direction of travel.
    """

    share: float
    tilt: float = 0.0
    bearing: float = 0.0


@checked_class
@dataclass(frozen=True)
class Roof:
    """The facets of a roof.

    Parameters
    ----------
    facets : tuple of Facet
        Their shares add up to one.
    words : str

    Raises
    ------
    OutOfBoundsError
        If the shares do not add up to one, or a tilt is not from 0° to 90°.
    """

    facets: tuple[Facet, ...]
    words: str = "roof"

    def __post_init__(self) -> None:
        total = sum(one.share for one in self.facets)
        if not self.facets or abs(total - 1) > 1e-9 or any(one.share < 0 for one in self.facets):
            raise OutOfBoundsError(
                f"The shares of the facets make {total:g} together.",
                quantity="share",
                value=total,
                limit=1.0,
                advice="Give each facet its part of the area, all together 1.",
            )
        for one in self.facets:
            if not 0 <= one.tilt <= 90:
                raise OutOfBoundsError(
                    f"A facet is tilted by {one.tilt:g}°: it must be from 0° to 90°.",
                    quantity="tilt",
                    value=one.tilt,
                    unit="°",
                    limit=0.0 if one.tilt < 0 else 90.0,
                    advice="Turn the bearing by 180° instead of tilting backwards.",
                )

    def irradiances(self, sky: Sky, heading: float) -> list[tuple[float, NDArray[np.float64]]]:
        """Return share and irradiance in W/m² of each facet.

        Parameters
        ----------
        sky : Sky
        heading : float
            Direction of travel, in degrees clockwise from north.

        Returns
        -------
        list of (float, ndarray)
        """
        return [(one.share, self._on(one, sky, heading)) for one in self.facets]

    @staticmethod
    def _on(facet: Facet, sky: Sky, heading: float) -> NDArray[np.float64]:
        if facet.tilt == 0:
            return sky.horizontal
        from pvlib import irradiance  # noqa: PLC0415  an extra

        light = irradiance.get_total_irradiance(
            facet.tilt,
            (heading + facet.bearing) % 360,
            sky.zenith,
            sky.azimuth,
            sky.direct,
            sky.horizontal,
            sky.diffuse,
            albedo=_ALBEDO,
            model="isotropic",
        )
        on_facet: NDArray[np.float64] = np.asarray(light["poa_global"], dtype=float)
        return np.nan_to_num(on_facet)

    def mean_irradiance(self, sky: Sky, heading: float) -> NDArray[np.float64]:
        """Return the irradiance averaged over the cells, in W/m²."""
        made = (share * light for share, light in self.irradiances(sky, heading))
        return np.asarray(sum(made))


flat = Roof((Facet(1.0),), "flat roof")


@checked_call
def tilted(tilt: float, bearing: float = 0.0) -> Roof:
    """Make a roof of one facet.

    Parameters
    ----------
    tilt : float
        Degrees from the level.
    bearing : float
        Which way it leans, in degrees clockwise from the direction of travel.

    Returns
    -------
    Roof

    Raises
    ------
    OutOfBoundsError
        If the tilt is not from 0° to 90°.

    Examples
    --------
    >>> from chalkwatt.runs import roofs
    >>> roofs.tilted(30).words
    'roof tilted by 30°'
    """
    return Roof((Facet(1.0, tilt, bearing),), f"roof tilted by {tilt:g}°")


@checked_call
def curved(arc: float, facets: int = 8, *, across: bool = False) -> Roof:
    """Make a roof that bends evenly over an arc, as equal flat facets.

    Parameters
    ----------
    arc : float
        Angle between its two ends in degrees, above 0 and below 180.
    facets : int
        At least two.
    across : bool
        Whether it bends from side to side instead of from front to back.

    Returns
    -------
    Roof

    Raises
    ------
    OutOfBoundsError
        If the arc or the number of facets makes no roof.

    Examples
    --------
    >>> from chalkwatt.runs import roofs
    >>> [facet.tilt for facet in roofs.curved(40, 4).facets]
    [15.0, 5.0, 5.0, 15.0]
    """
    if not 0 < arc < 180 or facets < 2:
        raise OutOfBoundsError(
            f"An arc of {arc:g}° in {facets} facets makes no roof.",
            quantity="arc",
            value=arc,
            unit="°",
            limit=180.0,
            advice="Give an arc above 0° and below 180° and at least two facets.",
        )
    angles = ((np.arange(facets) + 0.5) / facets - 0.5) * arc
    front = 90.0 if across else 0.0
    made = tuple(
        Facet(1 / facets, abs(float(angle)), front if angle < 0 else (front + 180.0) % 360)
        for angle in angles
    )
    return Roof(made, f"roof curved over {arc:g}°")
