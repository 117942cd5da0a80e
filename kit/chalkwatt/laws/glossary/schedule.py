"""Driving a schedule: inertia, braking, and what flows where."""

from __future__ import annotations

from chalkwatt.laws.glossary import positive, share, signed

QUANTITIES = (
    signed("rotating_mass_factor", "k_rot", "", "", (1.0, 1.1), "Mass that inertia shows, wheels and motor turning with it, over the mass itself.", bounds=(1.0, 5.0), less_is_better=True),
    share("recovery_efficiency", "η_rec", (0.4, 0.8), "Share of the braking energy at the wheels that returns to the battery."),
    positive("recovery_power_max", "P_rec", "W", "kW; W; hp", (10_000.0, 150_000.0), "Most power that braking may return to the battery; friction brakes take the rest.", zero=True, said="maximum recovery power"),
    positive("trip_distance", "x", "m", "km; mi; m", (1000.0, 50_000.0), "Distance driven on a schedule.", zero=True),
    signed("wheel_force", "F_wheel", "N", "N; lbf; kN", (-3000.0, 5000.0), "Force of the driven wheels on the vehicle; braking is negative."),
    positive("wheel_energy", "E_wheel", "J", "kWh; MJ; Wh", (0.0, 2e7), "Energy that the wheels put into driving; braking is counted apart.", zero=True, less_is_better=True),
    positive("braking_energy", "E_brake", "J", "kWh; MJ; Wh", (0.0, 1e7), "Energy that braking takes out at the wheels.", zero=True, less_is_better=True),
    positive("recovered_energy", "E_rec", "J", "kWh; MJ; Wh", (0.0, 1e7), "Part of the braking energy that returns to the battery.", zero=True),
    positive("auxiliary_energy", "E_aux", "J", "kWh; MJ; Wh", (0.0, 1e7), "Energy for everything that does not drive.", zero=True, less_is_better=True),
    signed("battery_energy", "E_bat", "J", "kWh; MJ; Wh", (0.0, 4e7), "Energy drawn from the battery, less what returned to it.", less_is_better=True),
)
