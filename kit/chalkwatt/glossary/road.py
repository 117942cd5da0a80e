"""What the road, the air and the slope ask of a vehicle."""

from __future__ import annotations

import math

from chalkwatt.glossary import positive, share, signed

_QUARTER_TURN = math.pi / 2

QUANTITIES = (
    positive("speed", "v", "m/s", "km/h; mph; m/s", (5.0, 45.0), "How fast the vehicle goes over the ground.", most=340.0, zero=True),
    signed("headwind", "w", "m/s", "km/h; mph; m/s", (-15.0, 15.0), "Wind speed against travel; a tailwind is negative.", bounds=(-120.0, 120.0)),
    signed("grade", "s", "", "%; ", (-0.12, 0.12), "Rise of the road over run; downhill is negative.", bounds=(-10.0, 10.0)),
    signed("grade_angle", "θ", "rad", "°; rad", (-0.12, 0.12), "Angle of the road to the horizontal.", bounds=(-_QUARTER_TURN, _QUARTER_TURN)),
    positive("mass", "m", "kg", "kg; lb; t", (300.0, 3000.0), "Mass of the vehicle with everything and everyone in it."),
    positive("drag_coefficient", "C_d", "", "", (0.12, 0.4), "How much drag the shape makes for its frontal area.", most=3.0),
    positive("frontal_area", "A", "m^2", "m²; ft²", (1.2, 3.0), "Area that the vehicle shows from the front."),
    positive("drag_area", "A_d", "m^2", "m²; ft²", (0.15, 1.0), "Drag coefficient times frontal area.", most=100.0),
    positive("rolling_coefficient", "C_rr", "", "; ‰", (0.004, 0.02), "Rolling force per force on the road.", most=1.0, zero=True,
             source="Reg. (EC) 1222/2009 Annex I part A (class bounds 6.5 to 10.5 kg/t)"),
    signed("air_force", "F_air", "N", "N; lbf; kN", (0.0, 1000.0), "Force that the air puts up against travel."),
    positive("rolling_force", "F_roll", "N", "N; lbf; kN", (20.0, 500.0), "Force that tyres and road put up against rolling.", zero=True),
    signed("grade_force", "F_grade", "N", "N; lbf; kN", (-2000.0, 2000.0), "Share of the weight that pulls downhill."),
    signed("road_force", "F_road", "N", "N; lbf; kN", (50.0, 1500.0), "All that the road asks for at a steady speed."),
    signed("coast_down_constant", "f_0", "N", "N; lbf", (0.0, 400.0), "Part of the road force that does not depend on speed."),
    signed("coast_down_linear", "f_1", "N*s/m", "N/(km/h); N·s/m; lbf/mph", (0.0, 5.0), "Part of the road force that grows with speed."),
    positive("coast_down_square", "f_2", "N*s^2/m^2", "N/(km/h)²; N·s²/m²; lbf/mph²", (0.1, 1.0), "Part of the road force that grows with the square of speed.", zero=True),
    signed("coast_down_force", "F_coast", "N", "N; lbf; kN", (50.0, 1500.0), "Road force in the form that a coast-down run gives."),
    signed("wheel_power", "P_wheel", "W", "kW; W; hp", (500.0, 40_000.0), "Power at the driven wheels at a steady speed."),
    share("drive_efficiency", "η_drive", (0.7, 0.95), "Share of the battery's driving power that reaches the road.", zero=False,
          source="US federal fuel-economy site: drive-system loss 15 to 20 %"),
    positive("auxiliary_power", "P_aux", "W", "W; kW", (0.0, 3000.0), "Power for everything that does not drive: electronics, light, climate.", zero=True),
    signed("battery_power", "P_bat", "W", "kW; W; hp", (500.0, 50_000.0), "Power drawn from the battery at a steady speed."),
    positive("consumption", "e", "J/m", "kWh/100 km; Wh/km; Wh/mi", (150.0, 1000.0), "Energy per distance, at the battery."),
    positive("usable_energy", "E_use", "J", "kWh; MJ", (2e7, 4e8), "Energy that the battery gives between full and empty in daily use."),
    positive("range", "d", "m", "km; mi", (5e4, 1e6), "Distance on one charge at a steady speed."),
    positive("driving_time", "t", "s", "h; min; s", (1800.0, 72_000.0), "Time from full to empty at a steady speed."),
    share("air_share", "k_air", (0.0, 1.0), "Share of the battery's energy that goes into pushing air."),
    share("rolling_share", "k_roll", (0.0, 1.0), "Share of the battery's energy that goes into rolling."),
    share("drive_loss_share", "k_loss", (0.0, 1.0), "Share of the battery's energy that is lost on its way to the wheels."),
    share("auxiliary_share", "k_aux", (0.0, 1.0), "Share of the battery's energy that goes into everything but driving."),
    positive("economical_speed", "v_eco", "m/s", "km/h; mph; m/s", (3.0, 30.0), "Steady speed at which a charge takes the vehicle furthest.", most=340.0),
)
