"""Sunlight and the panel that turns it into power."""

from __future__ import annotations

from chalkwatt.laws.glossary import positive, share, signed

QUANTITIES = (
    positive("irradiance", "G", "W/m^2", "W/m²", (0.0, 1100.0), "Power of sunlight per area of the panel.", most=2000.0, zero=True),
    positive("standard_irradiance", "G_0", "W/m^2", "W/m²", (1000.0, 1000.0), "Irradiance at which panels are rated.", source="IEC 61215: 1000 W/m²"),
    positive("panel_area", "A_pv", "m^2", "m²; ft²", (0.5, 6.0), "Area of the solar cells."),
    share("panel_efficiency", "η_pv", (0.15, 0.26), "Share of the sunlight that the cold panel turns into power.", zero=False),
    signed("temperature_coefficient", "γ", "1/K", "%/K", (-0.005, -0.002), "Change of panel power per kelvin, as a share of it.", bounds=(-0.02, 0.02)),
    positive("panel_temperature", "T_pv", "K", "°C; °F; K", (263.15, 353.15), "Temperature of the solar cells.", most=500.0, less_is_better=True),
    positive("rated_temperature", "T_ref", "K", "°C", (298.15, 298.15), "Temperature at which panels are rated.", most=500.0, source="IEC 61215: 25 °C"),
    positive("panel_wind", "v_pv", "m/s", "m/s; km/h; mph", (0.0, 15.0), "Wind over the panel.", zero=True, most=120.0),
    positive("heat_loss_constant", "U_0", "W/(m^2*K)", "W/(m²·K)", (15.0, 35.0), "Heat that the panel gives off per area and kelvin in still air.", source="Faiman (2008), Prog. Photovolt. 16, 307"),
    positive("heat_loss_wind", "U_1", "J/(m^3*K)", "W·s/(m³·K)", (4.0, 9.0), "How much more it gives off per speed of the wind.", zero=True, source="Faiman (2008), Prog. Photovolt. 16, 307", said="heat loss per speed of wind"),
    positive("rated_power", "P_rated", "W", "W; kW", (50.0, 1500.0), "Power of the panel at rated irradiance and temperature."),
    positive("panel_power", "P_pv", "W", "W; kW", (0.0, 1200.0), "Power that the panel delivers.", zero=True),
    share("conversion_efficiency", "η_conv", (0.85, 0.99), "Share of the panel's power that reaches the battery's rail.", zero=False),
    positive("solar_power", "P_sun", "W", "W; kW", (0.0, 1200.0), "Power from the panel that reaches the battery's rail.", zero=True),
    positive("equilibrium_speed", "v_sun", "m/s", "km/h; mph; m/s", (0.0, 30.0), "Steady speed that the sun alone keeps up.", most=340.0, zero=True),
    positive("peak_sun_hours", "t_sun", "s", "h", (3600.0, 30_000.0), "Hours of rated sunlight that would bring the day's energy.", zero=True),
    positive("daily_solar_energy", "E_sun", "J", "kWh; Wh; MJ", (1e6, 3e7), "Energy that the panel brings in a day.", zero=True),
    positive("solar_distance", "d_sun", "m", "km; mi", (1000.0, 1e5), "Distance that a day of sun is good for.", zero=True),
    positive("daily_distance", "d_day", "m", "km; mi", (5000.0, 1e5), "Distance driven in a day."),
    positive("solar_share", "k_sun", "", "%; ", (0.0, 1.0), "Share of a day's driving that the sun pays for; above 100 % there is some left.", zero=True),
    positive("charging_distance", "d_hour", "m/s", "km/h; mph", (0.5, 20.0), "Distance that the panel adds per hour while parked.", zero=True),
    positive("stall_angle", "θ_stall", "rad", "°; rad", (0.0, 0.2), "Angle of the road at which the solar speed has fallen to the creeping speed.", most=1.57, zero=True),
    positive("stall_grade", "s_stall", "", "%; ", (0.0, 0.2), "Grade on which the sun alone just keeps up the creeping speed.", zero=True),
    positive("creeping_speed", "v_creep", "m/s", "km/h; mph; m/s", (0.5, 3.0), "Slowest speed that still counts as driving.", most=340.0),
)
