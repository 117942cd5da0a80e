"""From the wall or a station into the battery."""

from __future__ import annotations

from chalkwatt.laws.glossary import constant, positive, share

# Taken where nobody says better, and always shown as assumed: in the middle of 84 to 90 %.
ASSUMED_EFFICIENCY = 0.87
LOSSES = "US federal fuel-economy site: charging loss 10 to 16 %"

QUANTITIES = (
    positive("phases", "n_ph", "", "", (1.0, 3.0), "Phases of the grid that charge at the same time.", whole=True, most=3.0),
    positive("phase_voltage", "U_ph", "V", "V", (100.0, 277.0), "Voltage between one phase and neutral, or across a single-phase outlet.", most=1000.0),
    positive("line_voltage", "U_L", "V", "V", (170.0, 480.0), "Voltage between two of three phases.", most=1732.1),
    positive("line_current", "I_L", "A", "A", (6.0, 80.0), "Current in each phase.", most=1000.0),
    share("power_factor", "λ", (0.9, 1.0), "Real power over the product of voltage and current.", zero=False),
    positive("ac_power", "P_ac", "W", "kW; W", (1000.0, 22_000.0), "What an outlet can give: alternating current, which goes through the onboard charger.", said="AC power"),
    positive("onboard_power_max", "P_on", "W", "kW; W", (3000.0, 22_000.0), "Largest power that the onboard charger takes from the outlet; direct current goes round it.", said="maximum onboard charger power"),
    positive("onboard_power_limit", "P_obc", "W", "kW; W", (1000.0, 22_000.0), "Power at the battery that outlet and onboard charger allow."),
    share("charging_efficiency", "η_ch", (0.8, 0.97), "Share of the energy counted at the outlet, or by a station's meter, that arrives in the battery.", zero=False,
          source=LOSSES),
    positive("station_power_max", "P_st", "W", "kW", (20_000.0, 400_000.0), "Largest power that the station gives the battery: direct current, which goes round the onboard charger.", said="maximum station power"),
    positive("station_current_max", "I_st", "A", "A", (50.0, 600.0), "Largest current, direct, of the station and its cable.", said="maximum station current"),
    positive("station_power_limit", "P_stat", "W", "kW; W", (20_000.0, 400_000.0), "Power at the battery that the station allows."),
    positive("cell_charge_rate_max", "C_ch", "1/s", "1/h; C", (0.5 / 3600, 4.0 / 3600), "Largest charging current of a cell over its capacity.", said="maximum cell charge rate"),
    positive("cell_charge_current_max", "i_ch", "A", "A", (1.0, 400.0), "Largest charging current of a cell.", said="maximum cell charge current"),
    positive("pack_charge_current_max", "I_pack", "A", "A", (50.0, 700.0), "Largest charging current of contactors, fuse and wiring of the pack.", said="maximum pack charge current"),
    positive("cell_current_limit", "I_cells", "A", "A", (20.0, 700.0), "Charging current of the pack that its cells allow."),
    positive("cell_power_limit", "P_cells", "W", "kW; W", (10_000.0, 400_000.0), "Power at the battery that the cells allow."),
    positive("pack_power_limit", "P_pack", "W", "kW; W", (10_000.0, 400_000.0), "Power at the battery that the pack's wiring allows."),
    positive("charging_voltage", "U_ch", "V", "V", (40.0, 900.0), "Voltage at the battery's terminals while it charges.", most=5000.0),
    positive("charging_current", "I_ch", "A", "A", (5.0, 600.0), "Current into the battery."),
    positive("charging_power", "P_ch", "W", "kW; W", (1000.0, 350_000.0), "Power into the battery when it is highest."),
    positive("stored_power", "P_sto", "W", "kW; W", (1000.0, 350_000.0), "What the cells store of the power into the battery when it is highest: their heat is left out."),
    share("taper_factor", "k_tap", (0.5, 1.0), "Average charging power over the highest.", zero=False),
    positive("average_charging_power", "P_avg", "W", "kW; W", (1000.0, 250_000.0), "Energy into the battery over the time it takes."),
    share("state_of_charge_from", "z_1", (0.05, 0.5), "Charge in the battery at the start, as a share of full.", said="initial state of charge"),
    share("state_of_charge_to", "z_2", (0.5, 1.0), "Charge in the battery at the end, as a share of full.", zero=False, said="final state of charge"),
    positive("energy_added", "E_add", "J", "kWh; MJ", (4e6, 3e8), "Energy that the session brings into the battery, counted at its terminals.", zero=True),
    positive("charging_time", "t_ch", "s", "min; h; s", (600.0, 40_000.0), "Time that the session takes.", zero=True, less_is_better=True),
    positive("charging_speed", "v_ch", "m/s", "km/h; mph", (2.0, 500.0), "Distance added per time of charging, at the highest power.", zero=True),
    positive("average_charging_speed", "v_avg", "m/s", "km/h; mph", (2.0, 400.0), "Distance added per time of charging, at the average power.", zero=True),
    positive("distance_in_ten_minutes", "d_10", "m", "km; mi", (1000.0, 200_000.0), "Distance added in ten minutes at the average power.", zero=True),
    positive("distance_added", "d_add", "m", "km; mi", (10_000.0, 500_000.0), "Distance that the session adds: the energy that it stores, over consumption.", zero=True),
    positive("wall_power", "P_wall", "W", "kW; W", (1000.0, 400_000.0), "Power at the outlet, or at the station's meter, when the battery takes most."),
    positive("wall_energy", "E_wall", "J", "kWh; MJ", (4e6, 3.5e8), "Energy that the session takes, counted at the outlet or by the station's meter.", zero=True, less_is_better=True),
    positive("charging_loss", "E_lost", "J", "kWh; MJ", (1e5, 5e7), "Energy counted at the outlet or by the station's meter that does not arrive in the battery.", zero=True, less_is_better=True),
    positive("wall_consumption", "e_wall", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (300.0, 1200.0), "Energy per distance, counted at the outlet, charging loss included and the heat of the cells left out.", less_is_better=True),
    positive("measured_charging_power", "P_meas", "W", "kW; W", (1000.0, 350_000.0), "Power that the vehicle takes at a state of charge, as it was measured."),
    positive("charging_power_limit", "P_lim", "W", "kW; W", (1000.0, 350_000.0), "Power at the battery that supply and vehicle allow at a state of charge."),
    positive("power_limited_cell_current", "i_P", "A", "A", (0.5, 50.0), "Current of a cell at which the pack takes the power that is allowed."),
    positive("stored_energy", "E_st", "J", "kWh; MJ", (4e6, 3e8), "Energy that a charge stores in the cells, their heat left out: what a discharge without loss gives back.", zero=True),
    positive("charging_heat", "E_heat", "J", "kWh; MJ", (1e4, 3e7), "Energy that the cells turn into heat while they charge.", zero=True, less_is_better=True),
    positive("cell_current_end", "i_end", "A", "A", (0.05, 10.0), "Current of a cell at which a charge at constant voltage ends.", said="cell cut-off current"),
    positive("station_voltage_max", "U_st", "V", "V", (400.0, 1000.0), "Largest voltage of the station.", most=5000.0, said="maximum station voltage"),
    share("constant_current_share", "k_cc", (0.5, 1.0), "Share of the charge that comes before the voltage limit is met."),
    share("state_of_charge", "z", (0.05, 1.0), "Charge in the battery, as a share of full."),
    positive("open_circuit_voltage", "u_0", "V", "V", (2.5, 4.2), "Voltage of a cell at rest, at its state of charge.", most=10.0),
    positive("cell_charging_voltage", "u_ch", "V", "V", (2.5, 4.3), "Voltage of a cell while it charges.", most=10.0),
    constant("ten_minutes", "t_10", "s", 600.0, "Ten minutes, the length of a short stop.", "definition"),
)
