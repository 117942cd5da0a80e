"""A battery on a load, and what comes back of a charge."""

from __future__ import annotations

from chalkwatt.laws.glossary import positive, share

QUANTITIES = (
    positive("load_resistance", "R_load", "ohm", "Ω; mΩ", (0.1, 50.0), "Resistance of what the battery feeds."),
    positive("short_circuit_current", "I_sc", "A", "A", (100.0, 10_000.0), "Current if nothing but the battery's own resistance limited it."),
    positive("matched_power", "P_match", "W", "W; kW", (1000.0, 1e6), "The most power that a voltage with this resistance can give, at half the voltage."),
    positive("discharge_time", "t_dis", "s", "h; min", (1800.0, 100_000.0), "Time from full to empty at one current."),
    positive("rated_discharge_time", "t_rat", "s", "h; min", (3600.0, 72_000.0), "Discharge for which the capacity is stated: 20 h for many lead-acid batteries."),
    positive("rated_capacity", "Q_rat", "A*s", "Ah", (36_000.0, 1.1e6), "Charge from full to empty in the rated discharge."),
    positive("peukert_exponent", "k_P", "", "", (1.0, 1.4), "1 if the capacity does not depend on current; about 1.2 of lead-acid batteries.", most=3.0),
    share("charge_efficiency", "η_q", (0.85, 1.0), "Charge taken out over charge put in.", zero=False),
    share("cycle_efficiency", "η_cyc", (0.7, 0.99), "Energy taken out over energy put in.", zero=False),
    positive("mean_discharge_voltage", "U_out", "V", "V", (40.0, 900.0), "Mean voltage at the terminals while discharging."),
    positive("mean_charge_voltage", "U_in", "V", "V", (40.0, 900.0), "Mean voltage at the terminals while charging."),
)
