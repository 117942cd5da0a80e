"""Weather, tyres in it, and the heat of the cabin."""

from __future__ import annotations

from chalkwatt.laws.glossary import constant, positive, share, signed

_FAO = "Allen et al., FAO Irrigation and Drainage Paper 56 (1998)"
_R117 = "UN Regulation No. 117, Annex 6 § 6.2: 0.008 for tyres of cars, 0.010 of vans, 0.006 of heavy lorries"

QUANTITIES = (
    share("relative_humidity", "φ", (0.2, 1.0), "Vapour in the air over the most that it can hold."),
    positive("saturation_pressure", "p_sat", "Pa", "kPa; hPa; Pa", (300.0, 6000.0), "Pressure of as much water vapour as air of this temperature can hold."),
    positive("vapour_pressure", "p_vap", "Pa", "kPa; hPa; Pa", (0.0, 4000.0), "Pressure of the water vapour in the air.", zero=True),
    positive("dew_point", "T_dew", "K", "°C; °F; K", (253.15, 298.15), "Temperature at which this air would be saturated.", most=400.0),
    positive("reported_wind", "u_rep", "m/s", "m/s; km/h; mph", (0.0, 20.0), "Wind as weather stations report it, mostly at 10 m.", zero=True, most=120.0),
    positive("reported_height", "z_rep", "m", "m; ft", (2.0, 30.0), "Height at which the wind was measured.", source="common practice: 10 m"),
    positive("road_wind", "u_road", "m/s", "m/s; km/h; mph", (0.0, 15.0), "Wind at the height of the vehicle.", zero=True, most=120.0),
    positive("vehicle_wind_height", "z_car", "m", "m; ft", (0.5, 3.0), "Height at which the wind meets the vehicle."),
    constant("vapour_gas_constant", "R_vap", "J/(kg*K)", 461.526, "Specific gas constant of water vapour.", "8.31446 J/(mol K) over 18.01527 g/mol"),
    constant("one_metre", "z_1", "m", 1.0, "One metre, to make a length a plain number.", "definition"),
    constant("one_pascal", "p_1", "Pa", 1.0, "One pascal, to give a plain number its unit.", "definition"),
    constant("freezing_point", "T_ice", "K", 273.15, "0 °C.", "definition"),

    positive("reference_rolling_coefficient", "C_25", "", "; ‰", (0.004, 0.015), "Rolling coefficient at 25 °C and walking pace, as a tyre's label gives it.", most=1.0, source="Reg. (EC) 1222/2009 Annex I part A", less_is_better=True),
    positive("tyre_temperature_coefficient", "K_t", "1/K", "1/K; %/K", (0.006, 0.01), "How much of its rolling resistance a tyre loses per kelvin of warmer air.", zero=True, most=0.1, source=_R117),
    positive("rolling_speed_growth", "k_v", "s/m", "s/m", (0.0, 0.03), "How much of its rolling resistance a tyre gains per speed.", zero=True, less_is_better=True),
    positive("rolling_share_of_warm", "k_warm", "", "%; ", (0.8, 1.5), "Rolling coefficient over that at 25 °C and walking pace.", said="relative rolling coefficient"),

    positive("cabin_temperature", "T_cab", "K", "°C; °F; K", (288.15, 300.15), "Temperature in the cabin.", most=400.0),
    positive("heat_transfer_coefficient", "U_w", "W/(m^2*K)", "W/(m²·K)", (1.0, 10.0), "Heat through a wall or a pane per area and kelvin.", less_is_better=True),
    positive("inner_film_coefficient", "h_i", "W/(m^2*K)", "W/(m²·K)", (5.0, 25.0), "Heat from the air inside to the wall per area and kelvin."),
    positive("outer_film_coefficient", "h_o", "W/(m^2*K)", "W/(m²·K)", (15.0, 120.0), "Heat from the wall to the air outside per area and kelvin: more with speed."),
    positive("wall_resistance", "r_w", "m^2*K/W", "m²·K/W", (0.005, 1.0), "Thickness over conductivity of the wall's layers, added up.", zero=True),
    positive("wall_area", "A_w", "m^2", "m²; ft²", (1.0, 25.0), "Area through which the cabin loses heat."),
    positive("heat_loss_coefficient", "K_cab", "W/K", "W/K", (20.0, 250.0), "Heat that the cabin loses per kelvin: walls, panes and fresh air together.", less_is_better=True),
    positive("air_exchange_loss", "K_air", "W/K", "W/K", (0.0, 80.0), "Heat that fresh air takes along per kelvin.", zero=True),
    signed("cabin_heat", "Q_cab", "W", "W; kW", (0.0, 6000.0), "Heat that keeps the cabin at its temperature."),
    signed("inner_wall_temperature", "T_w", "K", "°C; °F; K", (253.15, 300.15), "Temperature of the wall's or pane's inner side.", bounds=(0.0, 400.0)),
    positive("coefficient_of_performance", "COP", "", "", (1.0, 4.0), "Heat delivered over electric energy: 1 of a resistance heater, more of a heat pump."),
    positive("greatest_performance", "COP_max", "", "", (3.0, 20.0), "What no heat pump between these two temperatures can beat."),
    positive("cooling_performance", "COP_c", "", "", (0.5, 4.0), "Heat removed over electric energy, of the same machine used to cool."),
    positive("heater_power", "P_heat", "W", "W; kW", (0.0, 6000.0), "Electric power of the cabin's heating.", zero=True, less_is_better=True),
    signed("outside_heat", "Q_out", "W", "W; kW", (0.0, 4000.0), "Heat that a heat pump takes from outside."),
)
