"""How warm a panel gets, by data sheet and by the way it is mounted."""

from __future__ import annotations

from chalkwatt.laws.glossary import constant, positive, signed

_NOCT = "IEC 61215: nominal cell temperature at 800 W/m², 20 °C and 1 m/s"
_KING = "King, Boyson, Kratochvil, Photovoltaic Array Performance Model, SAND2004-3535 (2004)"

QUANTITIES = (
    positive("nominal_panel_temperature", "T_nom", "K", "°C; °F; K", (313.15, 325.15), "Cell temperature on the data sheet (NOCT): open rack, 800 W/m², 20 °C, 1 m/s.", most=500.0, source=_NOCT, less_is_better=True),
    positive("rack_panel_temperature", "T_rack", "K", "°C; °F; K", (263.15, 353.15), "Temperature of the solar cells on an open rack, by the data sheet's nominal one.", most=500.0, less_is_better=True),
    signed("mounting_exponent", "a_m", "", "", (-3.6, -2.7), "How hot a mounting gets in still air: −3.47 open rack, −2.98 close to a roof, −2.81 insulated back.", bounds=(-10.0, 0.0)),
    signed("mounting_wind_exponent", "b_m", "s/m", "s/m", (-0.06, -0.04), "How much wind cools it: −0.0594, −0.0471, −0.0455 s/m for the same.", bounds=(-1.0, 0.0)),
    positive("cell_heat_resistance", "r_c", "m^2*K/W", "m²·K/W", (0.0, 0.003), "How much hotter the cells are than the back of the panel, per irradiance: 0.003 on a rack, 0 if the back is insulated.", zero=True, source=_KING),
    constant("nominal_irradiance", "G_nom", "W/m^2", 800.0, "Irradiance at which the nominal cell temperature is stated.", _NOCT),
    constant("nominal_air_temperature", "T_20", "K", 293.15, "Air temperature at which the nominal cell temperature is stated.", _NOCT),
    constant("one_watt_per_square_metre", "G_1", "W/m^2", 1.0, "One watt a square metre, to make an irradiance a plain number.", "definition"),
)
