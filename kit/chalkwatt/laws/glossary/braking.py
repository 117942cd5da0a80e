"""Slowing down, standing, and starting again."""

from __future__ import annotations

from chalkwatt.laws.glossary import positive, signed

QUANTITIES = (
    positive("deceleration", "b", "m/s^2", "m/s²", (0.5, 10.0), "Loss of speed per time."),
    positive("tipping_deceleration", "b_tip", "m/s^2", "m/s²", (6.0, 30.0), "Loss of speed per time at which the rear wheels leave the road."),
    positive("front_braking_deceleration", "b_front", "m/s^2", "m/s²", (3.0, 10.0), "Loss of speed per time at which braked front wheels begin to slip."),
    positive("rear_braking_deceleration", "b_rear", "m/s^2", "m/s²", (2.0, 6.0), "Loss of speed per time at which braked rear wheels begin to slip."),
    positive("all_wheel_braking_deceleration", "b_all", "m/s^2", "m/s²", (5.0, 11.0), "Loss of speed per time at which wheels begin to slip if all are braked."),
    positive("brake_force", "F_br", "N", "N; kN; lbf", (500.0, 15_000.0), "Force of the brakes, recovering ones included, at the wheels.", zero=True),
    positive("end_speed", "v_e", "m/s", "km/h; mph; m/s", (0.0, 20.0), "Speed at the end of slowing down.", most=340.0, zero=True),
    positive("braking_distance", "d_br", "m", "m; ft", (5.0, 200.0), "Distance from the first touch of the brake to the end speed.", zero=True, less_is_better=True),
    positive("braking_time", "t_br", "s", "s", (1.0, 15.0), "Time from the first touch of the brake to the end speed.", zero=True, less_is_better=True),
    positive("reaction_time", "t_re", "s", "s", (0.5, 2.0), "Time until the brake is touched.", zero=True, source="common practice, no source: 1 s", less_is_better=True),
    positive("stopping_distance", "d_st", "m", "m; ft", (10.0, 250.0), "Distance driven from the surprise to the end speed.", less_is_better=True),
    positive("kinetic_energy", "E_kin", "J", "kWh; MJ; kJ; Wh", (1e5, 2e6), "Energy of the moving vehicle, turning parts included.", zero=True),
    positive("coasting_height", "h_c", "m", "m; ft", (5.0, 80.0), "Height to which its motion alone lifts a vehicle that nothing else resists.", zero=True),
    positive("stop_spacing", "D_stop", "m", "km; m; mi", (200.0, 3000.0), "Distance from one stop to the next."),
    positive("running_time", "t_run", "s", "s; min", (30.0, 300.0), "Time from one stop to the next, standing left out.", less_is_better=True),
    positive("standing_time", "t_stand", "s", "s; min", (5.0, 60.0), "Time of standing at each stop.", zero=True),
    positive("peak_speed", "v_pk", "m/s", "km/h; mph; m/s", (8.0, 25.0), "Speed between speeding up and braking.", most=340.0),
    positive("running_speed", "v_run", "m/s", "km/h; mph; m/s", (5.0, 20.0), "Mean speed between stops, standing left out.", most=340.0),
    positive("schedule_speed", "v_sch", "m/s", "km/h; mph; m/s", (4.0, 18.0), "Mean speed, standing included.", most=340.0),
    positive("speeding_up_distance", "D_up", "m", "m; ft", (50.0, 500.0), "Distance driven while speeding up after a stop."),
    positive("slowing_down_distance", "D_dn", "m", "m; ft", (30.0, 300.0), "Distance driven while slowing down to a stop."),
    positive("rolling_on_distance", "D_on", "m", "m; km; ft", (0.0, 2500.0), "Distance driven at the highest speed between stops.", zero=True),
    positive("peak_drag", "F_pk", "N", "N; kN; lbf", (20.0, 1000.0), "Air resistance at the highest speed between stops.", less_is_better=True),
    signed("starting_force", "F_st", "N", "N; kN; lbf", (500.0, 15_000.0), "Force of the wheels from rest: what speeds up, rolls and climbs."),
    signed("holding_force", "F_hold", "N", "N; kN; lbf", (500.0, 15_000.0), "Braking force at the wheels before rest: what slows down, less rolling and climbing."),
    positive("stop_wheel_energy", "E_stop", "J", "Wh; kWh; kJ; MJ", (1e5, 2e6), "Energy that the wheels put into one stretch from stop to stop, nothing recovered.", zero=True, said="wheel energy from stop to stop"),
    positive("peak_wheel_power", "P_pk", "W", "kW; W; hp", (5000.0, 150_000.0), "Most power at the wheels: at the end of speeding up."),
    positive("stop_wheel_consumption", "e_stop", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (150.0, 1500.0), "Energy at the wheels per distance, from stop to stop, nothing recovered.", zero=True, less_is_better=True, said="wheel consumption from stop to stop"),
)
