"""Units and numbers as people say them."""

from __future__ import annotations

from chalkwatt.wording.numbers import split_number

__all__ = ["say_number", "say_unit", "say_with_unit"]

_UNITS = {
    "": "",
    "%": "percent",
    "‰": "per mille",
    "°": "degrees",
    "rad": "radians",
    "m": "metres",
    "km": "kilometres",
    "mi": "miles",
    "mm": "millimetres",
    "ft": "feet",
    "s": "seconds",
    "min": "minutes",
    "h": "hours",
    "d": "days",
    "year": "years",
    "yr": "years",
    "km/h": "kilometres per hour",
    "mph": "miles per hour",
    "m/s": "metres per second",
    "m/s²": "metres per second squared",
    "kg": "kilograms",
    "g": "grams",
    "t": "tonnes",
    "lb": "pounds",
    "m²": "square metres",
    "ft²": "square feet",
    "N": "newtons",
    "kN": "kilonewtons",
    "lbf": "pounds of force",
    "N·m": "newton-metres",
    "W": "watts",
    "kW": "kilowatts",
    "hp": "horsepower",
    "MJ": "megajoules",
    "Wh": "watt-hours",
    "kWh": "kilowatt-hours",
    "kWh/100 km": "kilowatt-hours per 100 kilometres",
    "kWh/100 mi": "kilowatt-hours per 100 miles",
    "kWh/km": "kilowatt-hours per kilometre",
    "kWh/mi": "kilowatt-hours per mile",
    "kWh/gal": "kilowatt-hours per gallon",
    "kWh/L": "kilowatt-hours per litre",
    "J": "joules",
    "J/m": "joules per metre",
    "J/kg": "joules per kilogram",
    "m/J": "metres per joule",
    "1/m²": "per square metre",
    "Wh/km": "watt-hours per kilometre",
    "Wh/mi": "watt-hours per mile",
    "Wh/kg": "watt-hours per kilogram",
    "W/m²": "watts per square metre",
    "kWh/m²": "kilowatt-hours per square metre",
    "kg/m³": "kilograms per cubic metre",
    "°C": "degrees Celsius",
    "°F": "degrees Fahrenheit",
    "K": "kelvin",
    "Pa": "pascals",
    "kPa": "kilopascals",
    "hPa": "hectopascals",
    "V": "volts",
    "kV": "kilovolts",
    "A": "amperes",
    "mA": "milliamperes",
    "Ah": "ampere-hours",
    "A·s": "ampere-seconds",
    "Ω": "ohms",
    "mΩ": "milliohms",
    "1/h": "per hour",
    "1/min": "per minute",
    "1/s": "per second",
    "1/W": "per watt",
    "W/kW²": "watts per kilowatt squared",
    "C": "C",
    "A/Ah": "amperes per ampere-hour",
    "%/K": "percent per kelvin",
    "N/(km/h)": "newtons per kilometre per hour",
    "N/(km/h)²": "newtons per kilometre per hour squared",
    "N·s/m": "newton-seconds per metre",
    "N·s²/m²": "newtons per metre per second squared",
    "lbf/mph": "pounds of force per mile per hour",
    "lbf/mph²": "pounds of force per mile per hour squared",
    "lbf·ft": "pound-feet",
    "eV": "electronvolts",
    "keV": "kiloelectronvolts",
    "MeV": "megaelectronvolts",
    "J/mol": "joules per mole",
    "kJ/mol": "kilojoules per mole",
    "J/(mol·K)": "joules per mole and kelvin",
    "J/(kg·K)": "joules per kilogram and kelvin",
    "J/m³": "joules per cubic metre",
    "MJ/kg": "megajoules per kilogram",
    "K/m": "kelvin per metre",
    "W/(m²·K)": "watts per square metre and kelvin",
    "W·s/(m³·K)": "watt-seconds per cubic metre and kelvin",
    "W/K": "watts per kelvin",
    "m²·K/W": "square metre kelvins per watt",
    "1/K": "per kelvin",
    "s/m": "seconds per metre",
    "km/kWh": "kilometres per kilowatt-hour",
    "mi/kWh": "miles per kilowatt-hour",
    "km/L": "kilometres per litre",
    "mi/gal": "miles per gallon",
}
_ONE = {
    "feet": "foot",
    "pound-feet": "pound-foot",
    "pounds of force": "pound of force",
    "henries": "henry",
    "degrees": "degree",
}


def say_unit(label: str, *, one: bool = False) -> str:
    """Say a unit, in the singular for exactly one.

    Parameters
    ----------
    label : str
        A unit label; one without an entry is said as written.
    one : bool
        Whether the number before it is one.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.wording.speech import say_unit
    >>> say_unit("kWh/100 km")
    'kilowatt-hours per 100 kilometres'
    """
    said = _UNITS.get(label, label)
    if not one or not said:
        return said
    first, space, rest = said.partition(" per ")
    first = _ONE.get(first) or (first[:-1] if first.endswith("s") and first != "hertz" else first)
    return f"{first}{space}{rest}"


def say_number(value: float, digits: int = 3) -> str:
    """Say a number with as many significant digits as an ear can hold.

    Examples
    --------
    >>> from chalkwatt.wording.speech import say_number
    >>> say_number(-412.34)
    'minus 412'
    """
    mantissa, power = split_number(value, digits, keep_zeros=False)
    said = mantissa.replace("\u202f", "").replace("−", "minus ")
    if power is None:
        return said
    return f"{said} times ten to the power of {str(power).replace('-', 'minus ')}"


def say_with_unit(value: float, label: str, digits: int = 3) -> str:
    """Say a number with its unit.

    Examples
    --------
    >>> from chalkwatt.wording.speech import say_with_unit
    >>> say_with_unit(10.23, "kW")
    '10.2 kilowatts'
    """
    number = say_number(value, digits)
    return f"{number} {say_unit(label, one=number == '1')}".strip()
