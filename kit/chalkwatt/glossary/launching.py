"""Getting away from a standing start."""

from __future__ import annotations

from chalkwatt.glossary import positive, share, signed

QUANTITIES = (
    positive("motor_power", "P_mot", "W", "kW; hp; W", (20_000.0, 500_000.0), "Largest power of all motors together."),
    positive("motor_torque", "M", "N*m", "N·m; lbf·ft", (50.0, 1000.0), "Largest torque of all motors together."),
    positive("gear_ratio", "i_g", "", "", (4.0, 14.0), "Turns of the motor per turn of the wheel.", most=1000.0),
    positive("wheel_radius", "r_w", "m", "m; mm; in", (0.2, 0.4), "Distance from the wheel's axis to the road.", most=10.0),
    positive("friction", "μ", "", "", (0.6, 1.2), "Largest force along the road over the force on the road, of the tyres."),
    share("driven_weight_share", "k_dr", (0.4, 1.0), "Share of the weight that stands on driven wheels, at rest.", zero=False),
    share("rear_weight_share", "k_rear", (0.4, 0.7), "Share of the weight that stands on the rear wheels, at rest.", zero=False),
    positive("effective_mass", "m_eff", "kg", "kg; lb; t", (300.0, 3300.0), "Mass that resists acceleration, turning parts included."),
    positive("wheelbase", "L_wb", "m", "m; in", (1.6, 3.2), "Distance between front and rear axle.", most=30.0),
    positive("centre_of_gravity_height", "h_cg", "m", "m; in", (0.35, 0.7), "Height of the centre of gravity above the road.", most=10.0),
    signed("load_transfer", "κ", "", "", (-0.3, 0.3), "Force added on the driven wheels per force that accelerates: height over wheelbase if the rear is driven, minus that if the front is.", bounds=(-5.0, 5.0)),
    positive("traction_acceleration", "a_tr", "m/s^2", "m/s²", (3.0, 12.0), "Acceleration at which the driven tyres begin to slip."),
    positive("rear_drive_acceleration", "a_rear", "m/s^2", "m/s²", (3.0, 12.0), "Acceleration at which driven rear wheels begin to slip, or the front wheels lift."),
    positive("front_drive_acceleration", "a_front", "m/s^2", "m/s²", (3.0, 12.0), "Acceleration at which driven front wheels begin to slip."),
    positive("all_wheel_drive_acceleration", "a_all", "m/s^2", "m/s²", (3.0, 12.0), "Acceleration at which four or three driven wheels begin to slip."),
    positive("lifting_acceleration", "a_lift", "m/s^2", "m/s²", (5.0, 30.0), "Acceleration at which the front wheels leave the road."),
    positive("traction_force", "F_tr", "N", "N; kN; lbf", (2000.0, 20_000.0), "Largest force that the driven tyres can put on the road.", zero=True),
    positive("torque_force", "F_mot", "N", "N; kN; lbf", (2000.0, 30_000.0), "Force at the wheels at the largest torque."),
    positive("drive_force", "F_dr", "N", "N; kN; lbf", (500.0, 20_000.0), "Force that drives the vehicle at a given speed.", zero=True),
    signed("acceleration", "a", "m/s^2", "m/s²", (0.0, 12.0), "Gain of speed per time at a given speed."),
    positive("crossover_speed", "v_x", "m/s", "km/h; mph; m/s", (5.0, 40.0), "Speed up to which the tyres, and from which the power, limits a start.", most=340.0),
    positive("target_speed", "v_end", "m/s", "km/h; mph; m/s", (10.0, 60.0), "Speed that a start is to reach.", most=340.0),
    positive("time_to_speed", "t_v", "s", "s", (2.0, 20.0), "Time from rest to the target speed: tyres first, then power, no resistance."),
    positive("power_bound_time", "t_P", "s", "s", (2.0, 20.0), "Time from rest to the target speed with power alone: tyres hold anything, nothing resists."),
    positive("friction_bound_time", "t_μ", "s", "s", (2.0, 10.0), "Time from rest to the target speed that no power beats on these tyres."),
    positive("mean_acceleration", "a_avg", "m/s^2", "m/s²", (1.0, 12.0), "Target speed over the time it takes."),
    positive("sprint_distance", "d_s", "m", "m; mi; ft", (100.0, 1700.0), "Length of a sprint from rest, such as a quarter mile."),
    positive("power_time_over_distance", "t_Pd", "s", "s", (8.0, 25.0), "Time over the sprint with power alone: tyres hold anything, nothing resists."),
    positive("friction_time_over_distance", "t_μd", "s", "s", (6.0, 15.0), "Time over the sprint that no power beats on these tyres."),
    positive("power_exit_speed", "v_Pd", "m/s", "km/h; mph; m/s", (20.0, 80.0), "Speed at the end of the sprint with power alone.", most=1000.0),
    positive("top_speed", "v_top", "m/s", "km/h; mph; m/s", (20.0, 90.0), "Speed at which road and air take all the power.", most=340.0),
    positive("taper_speed", "v_tap", "m/s", "km/h; mph; m/s", (20.0, 60.0), "Speed above which the motor's power falls, in proportion to one over speed.", most=340.0),
    positive("rollout", "d_roll", "m", "m; ft", (0.2, 0.4), "Distance that is driven before the clock starts.", zero=True,
             source="common practice, no source: one foot on a drag strip"),
    positive("rollout_time", "t_roll", "s", "s", (0.1, 0.4), "Time that the clock does not see, at the tyres' limit.", zero=True),
)
