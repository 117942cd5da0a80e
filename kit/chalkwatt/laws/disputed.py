"""Where sources disagree: what each of them says, which of them Chalkwatt follows, and why.

Two people who look up one figure may bring home two numbers, both in print. A number on air is only
as good as the answer to "whose?", so the ones that were met are listed here, with both sources.

=====================  =========================================================================
status                 how sure a printed value is
=====================  =========================================================================
read                   in the source named, or in a page that quotes it
library                computed by the library named, at that version
memory                 recalled, not seen
worked                 follows from the inputs named
=====================  =========================================================================
"""

from __future__ import annotations

from html import escape
from typing import NamedTuple

from chalkwatt.calls import checked_call

__all__ = ["Disagreement", "Disagreements", "Said", "disagreements"]


class Said(NamedTuple):
    """What one source says."""

    value: str
    source: str
    status: str = "read"


class Disagreement(NamedTuple):
    """One figure, what sources say of it, what is taken here and why.

    ``about`` names quantities or words by which it is found.
    """

    what: str
    said: tuple[Said, ...]
    taken: str
    why: str
    about: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The entry as lines of text."""
        lines = [self.what, *(f"  {one.value}: {one.source} ({one.status})" for one in self.said)]
        return "\n".join([*lines, f"  Taken here: {self.taken}. {self.why}"])


class Disagreements(tuple[Disagreement, ...]):
    """Entries of the table, in its order; shown as a table in a notebook, as text elsewhere."""

    __slots__ = ()

    def __repr__(self) -> str:
        """Show every entry as text."""
        return "\n\n".join(one.text for one in self)

    def _repr_html_(self) -> str:
        rows = "".join(
            f"<tr><td>{escape(one.what)}</td><td>"
            + "<br>".join(
                f"<b>{escape(each.value)}</b> {escape(each.source)} ({each.status})"
                for each in one.said
            )
            + f"</td><td>{escape(one.taken)}</td><td>{escape(one.why)}</td></tr>"
            for one in self
        )
        return (
            "<table class='disputed'><thead><tr><th>What</th><th>Who says what</th><th>Taken here</th><th>Why</th>"
            f"</tr></thead><tbody>{rows}</tbody></table>"
        )


@checked_call
def disagreements(about: str = "") -> Disagreements:
    """Return where sources disagree.

    Parameters
    ----------
    about : str
        Only entries that hold this word, or are about this quantity; all if left out.

    Returns
    -------
    Disagreements
        A tuple of :class:`Disagreement`, empty if sources are not known to disagree about it.

    Examples
    --------
    >>> import chalkwatt as cw
    >>> cw.disagreements("city_share")
    Weights of city and highway on a US label
      0.55 city, 0.45 highway: 40 CFR 600.206-12(a)(3)(i); 10 CFR Part 474 Appendix (read)
      0.45 city, 0.55 highway: a public consumer page (read)
      Taken here: 0.55 city, 0.45 highway. The regulation itself. 300 and 260 km make 282 km, not 278 km.
    """
    wanted = about.casefold().strip()
    return Disagreements(
        one for one in _TABLE if wanted in one.about or wanted in one.text.casefold()
    )


_FAO = "Allen et al., FAO Irrigation and Drainage Paper 56 (1998)"
_TABLE: tuple[Disagreement, ...] = (
    Disagreement(
        "Weights of city and highway on a US label",
        (
            Said("0.55 city, 0.45 highway", "40 CFR 600.206-12(a)(3)(i); 10 CFR Part 474 Appendix"),
            Said("0.45 city, 0.55 highway", "a public consumer page"),
        ),
        "0.55 city, 0.45 highway",
        "The regulation itself. 300 and 260 km make 282 km, not 278 km.",
        ("city_share", "combined_consumption", "label_range"),
    ),
    Disagreement(
        "Letters of a car tyre's rolling resistance",
        (
            Said("D empty, E from 9.1 to 10.5 kg/t", "Regulation (EC) 1222/2009, Annex I part A"),
            Said("D from 9.1 to 10.5 kg/t, E above", "Regulation (EU) 2020/740", "memory"),
        ),
        "both, each with its regulation: chalkwatt.topics.tyres.LABELS",
        "One letter means another tyre before and after May 2021: ask for kg/t or the date of the label.",
        ("rolling_coefficient", "reference_rolling_coefficient", "tyre"),
    ),
    Disagreement(
        "Current and voltage of direct-current charging, mode 4",
        (
            Said("400 A, 600 V", "one copy of IEC 61851-1"),
            Said("200 A, 400 V", "another copy"),
        ),
        "neither",
        "Copies of different editions. A station's own plate is given as station_current_max and "
        "station_power_max; no limit is assumed.",
        ("station_current_max", "station_power_max", "charging"),
    ),
    Disagreement(
        "Air pressure at 1800 m",
        (
            Said("81.8 kPa", f"{_FAO}, ex. 2: 20 °C at sea level, exponent 5.26"),
            Said("81.494 kPa", "ICAO standard atmosphere, fluids 1.3.1", "library"),
            Said("81.490 kPa", "pvlib 0.16.1, alt2pres", "library"),
        ),
        "81.494 kPa",
        "The standard atmosphere, 15 °C at sea level. The agronomists' is a warm day; 0.3 % of drag.",
        ("air_pressure", "air_density", "altitude"),
    ),
    Disagreement(
        "Height of the place at 39.74° N, 105.18° W",
        (
            Said("1830.14 m", "worked example of NREL/TP-560-34302"),
            Said("2182 m", "altitude grid in pvlib 0.16.1", "library"),
        ),
        "what is given",
        "A grid of the world is the mean of a wide cell, here of mountains: 3.5 % of air density. Give the "
        "height of the road.",
        ("altitude", "air_density"),
    ),
    Disagreement(
        "Dry air at 0 °C and 101,325 Pa",
        (
            Said("1.29232 kg/m³", "ideal mixture, psychrolib 2.5.0", "library"),
            Said("1.293066 kg/m³", "real gas, CoolProp 8.0.0", "library"),
            Said("1.293096 kg/m³", "CoolProp 8.0.0, humid air at 0 %", "library"),
        ),
        "1.29227 kg/m³",
        "An ideal gas with the constant of the standard atmosphere; real air is 0.06 % denser, less "
        "than any drag coefficient is known to.",
        ("air_density",),
    ),
    Disagreement(
        "Horsepower",
        (
            Said("746 W", "OpenStax, College Physics 2e (2022); the electric horsepower"),
            Said("745.69987 W", "550 ft·lbf/s, the mechanical one", "worked"),
            Said("735.49875 W", "75 kgf·m/s, the metric one (PS, cv)", "worked"),
        ),
        "745.69987 W for hp",
        "The unit that a road test in English means. A catalogue in PS is 1.4 % less: write it in kW.",
        ("motor_power", "wheel_power", "hp"),
    ),
    Disagreement(
        "British thermal unit",
        (
            Said("1055.05585 J", "International Table, scipy.constants", "library"),
            Said("1055.056 J", "ISO rounding, pint 0.25.3 for Btu", "library"),
            Said("1054.3503 J", "thermochemical, scipy.constants", "library"),
            Said(
                "3412, 3413 or 3415 a kWh",
                "US practice; FAO conversion table; a drive maker's formulas",
            ),
        ),
        "1055.056 J for Btu",
        "What pint reads; the first differs in the seventh digit.",
        ("gallon_energy", "btu"),
    ),
    Disagreement(
        "Energy of a US gallon of gasoline",
        (
            Said("33.705 kWh", "the US label, widely quoted; primary text not seen"),
            Said("33.7 kWh", "115,000 Btu over 3412"),
            Said("34.02 kWh", "116,090 Btu, defaults of a life-cycle model"),
            Said("33.6 kWh", "an association's pages on conversions"),
            Said("82.049 kWh", "10 CFR Part 474: holds a policy factor, is no energy of a gallon"),
        ),
        "33.705 kWh",
        "The label's own. 1 % between the ends, but for the last, which is for fleets of makers only.",
        ("gallon_energy", "equivalent_economy"),
    ),
    Disagreement(
        "Temperature correction of rolling resistance",
        (
            Said(
                "0.008 per kelvin, 0.006 for heavy lorries",
                "ISO 28580; UN Regulation No. 117 since 2012",
            ),
            Said(
                "other values",
                "UN Regulation No. 117 before 2012, which the proposal of 2012 calls deviating",
            ),
        ),
        "0.008 per kelvin, of cars",
        "The older values were not seen. Either is made for 20 to 30 °C.",
        ("tyre_temperature_coefficient", "rolling_coefficient"),
    ),
    Disagreement(
        "Rolling coefficient of a car on a good road",
        (
            Said("0.010 to 0.015", "an engineering handbook's page"),
            Said("0.015 concrete, 0.08 medium hard", "university lecture slides, after Gillespie"),
            Said("0.0065", "a tyre with an A on its label: Regulation (EC) 1222/2009"),
        ),
        "what is given; 0.004 to 0.02 is called usual",
        "Books print the tyres of their years. A label is measured on a smooth drum at 25 °C; a road adds to it.",
        ("rolling_coefficient",),
    ),
    Disagreement(
        "Rolling coefficient at 60 mph by two forms of one book",
        (
            Said("0.0183", "f₀ + 3.24 f_s (V/100)^2.5, bias-ply tyres: Gillespie, ch. 4", "worked"),
            Said("0.00656", "0.0041 + 0.000041 V, radial tyres: the same chapter", "worked"),
        ),
        "the second form, with a growth of your own",
        "A factor of 2.8 between tyres of two ages.",
        ("rolling_speed_growth", "rolling_coefficient"),
    ),
    Disagreement(
        "Gravity",
        (
            Said("9.80 m/s²", "OpenStax; Bansal's skid: 78.08 km/h"),
            Said("9.81 m/s²", "most European textbooks: 78.12 km/h"),
            Said("9.80665 m/s²", "standard gravity, 40 CFR 1066.210"),
            Said("32.2 ft/s²", "US textbooks: 9.8146 m/s²"),
        ),
        "9.80665 m/s²",
        "Exact by definition. Four digits of a printed example need its own.",
        ("gravity",),
    ),
    Disagreement(
        "Drag at 110 over drag at 65 km/h",
        (
            Said("2.9", "OpenStax, College Physics 2e"),
            Said("2.86", "OpenStax, University Physics vol. 1: the same question"),
        ),
        "2.864",
        "The square of the ratio; the books round differently.",
        ("air_force", "speed"),
    ),
    Disagreement(
        "Loss of range at −7 °C with the cabin heated",
        (
            Said("41 %", "American Automobile Association (2019), five cars"),
            Said("39.0 %", "the same club, later, other cars"),
            Said("24 % (16 to 36 %)", "Norwegian motorists' winter test, against the label"),
        ),
        "none: it is computed from heat and air, or given",
        "Other cars, other trips, other heaters. A short trip pays for warming up the cabin, a long one does not.",
        ("heater_power", "auxiliary_power", "range"),
    ),
    Disagreement(
        "Loss of range at 35 °C with the cabin cooled",
        (
            Said("17 %", "American Automobile Association (2019)"),
            Said("8.5 %", "the same club, later"),
        ),
        "none: the power of the cooling is given",
        "Half as much in the later test: other cars, and better cooling.",
        ("auxiliary_power", "range"),
    ),
    Disagreement(
        "Rise of running cost in that cold",
        (
            Said("65 %", "a newspaper"),
            Said("64 %", "1/0.61 − 1, from the equivalent fuel economy", "worked"),
            Said("69 %", "1/0.59 − 1, from range", "worked"),
        ),
        "64 %",
        "Cost follows the outlet, range the battery: the two lose differently.",
        ("equivalent_economy", "range"),
    ),
    Disagreement(
        "Time to empty by Peukert's law: 100 A·h, exponent 1.2, 5 A",
        (
            Said("14.5 h", "pages that write C / I^k, the capacity as if stated at 1 A"),
            Said("20.0 h", "H (C / (I H))^k with a rating over H = 20 hours", "worked"),
        ),
        "20.0 h",
        "The law with its rating: at its rated current a battery lasts its rated time.",
        ("discharge_time", "peukert_exponent"),
    ),
    Disagreement(
        "Size of the fade of LFP cells at C/2, 2C, 6C, 10C",
        (
            Said("31,630, 21,681, 12,934, 15,512", "table of Wang et al. (2011)", "memory"),
            Said("30,802, 23,034, 12,196, 15,725", "the polynomial, in secondary files"),
        ),
        "the polynomial",
        "It holds between the table's rates, too; 6 % off at 2C. 10.04 % of fade would be 10.31 % by the table.",
        ("lfp_prefactor", "lfp_fade"),
    ),
    Disagreement(
        "Solar constant",
        (
            Said("1353 W/m²", "G. D. Rai"),
            Said("1364 W/m²", "pvlib, clear sky", "library"),
            Said("1366.1 W/m²", "pvlib, extraterrestrial", "library"),
            Said("1367 W/m²", "Duffie and Beckman"),
        ),
        "1364 W/m² in a clear sky",
        "That of the model of clear skies; 1 % between the ends.",
        ("irradiance",),
    ),
    Disagreement(
        "Declination of the sun on 3 September",
        (
            Said("6.958°", "Cooper's formula", "worked"),
            Said("6.856°", f"{_FAO}: 0.120 rad"),
            Said("7.846°", "Spencer's series, pvlib 0.16.1", "library"),
        ),
        "the Solar Position Algorithm of NREL, through pvlib",
        "Formulas of one term are 0.9° off in spring and autumn.",
        ("solar_day",),
    ),
    Disagreement(
        "Saturation pressure at 24.5 °C",
        (
            Said("3.075 kPa", f"Tetens' formula in {_FAO}"),
            Said("3.0765 kPa", "IAPWS-97, iapws 1.5.5", "library"),
        ),
        "3.075 kPa",
        "0.05 % of a twentieth of the air.",
        ("saturation_pressure", "air_density"),
    ),
    Disagreement(
        "Distance of the first phase of the WLTC, class 1",
        (
            Said("3324 m", "secondary tables", "memory"),
            Said("3330 m", "its speeds, second by second, added up", "worked"),
        ),
        "3330 m",
        "The speeds are the regulation; a sum is not bent to fit a table.",
        ("trip_distance",),
    ),
    Disagreement(
        "Length of the UDDS",
        (
            Said("1369 s", "the agency's file, secondary pages"),
            Said(
                "1372 s",
                "the table of 40 CFR Part 86, which goes on at rest, as a search excerpt has it",
            ),
        ),
        "1369 s",
        "Three seconds at rest change no distance.",
        ("trip_distance",),
    ),
    Disagreement(
        "Time to coast from 70 to 60 km/h, equivalent mass of 160 kg",
        (
            Said("4.10 s", "40 CFR 86.529-98, Figure F98-9"),
            Said("4.175 s", "its own coefficients, as they reproduce every other row", "worked"),
        ),
        "4.175 s",
        "A misprint of the table.",
        ("coast_down_constant", "coast_down_square"),
    ),
    Disagreement(
        "Ishigami's function, a test of sensitivity",
        (
            Said("0.3139, 0.4424, 0", "b = 0.1: Saltelli et al. (2008)"),
            Said("0.2185, 0.6869, 0", "b = 0.05: Sobol' and Levitan (1999)", "memory"),
        ),
        "both, each with its constant",
        "Both are right; they are tests of the same program.",
        ("sobol", "sensitivity"),
    ),
)
