"""How a battery tires."""

from __future__ import annotations

from chalkwatt.laws.glossary import constant, positive, share, signed

_CODATA = "CODATA 2018, through scipy.constants"

QUANTITIES = (
    positive("cycle_life", "N_life", "", "", (300.0, 4000.0), "Full cycles after which the data sheet's share of the capacity is left."),
    share("rated_health", "h_rated", (0.6, 0.9), "Share of the capacity that is left after the cycle life.", zero=False,
          source="common practice, no source: 80 %"),
    positive("full_cycles", "n", "", "", (100.0, 4000.0), "Full discharges, each of all that the battery then holds.", zero=True),
    positive("fade_exponent", "β", "", "", (0.5, 1.0), "How fade grows with full cycles: 1 in proportion, ½ with the square root.", most=10.0),
    share("cycle_fade", "f_cyc", (0.0, 0.4), "Share of the capacity lost to cycles.", less_is_better=True),
    share("yearly_calendar_fade", "k_cal", (0.0, 0.06), "Share of the capacity lost in the first year at 25 °C without driving.", less_is_better=True),
    positive("calendar_exponent", "γ", "", "", (0.5, 1.0), "How fade grows with age: 1 in proportion, ½ with the square root.", most=10.0),
    positive("activation_energy", "E_a", "J/mol", "kJ/mol", (20_000.0, 80_000.0), "How strongly heat speeds up ageing on the shelf.", zero=True,
             source="secondary: 6976 K in Schmalstieg et al., J. Power Sources 257 (2014) 325"),
    positive("cell_temperature", "T_cell", "K", "°C; °F; K", (263.15, 328.15), "Temperature of the cells; for ageing, as a mean over the years.", most=400.0),
    positive("arrhenius_factor", "k_T", "", "", (0.3, 5.0), "How much faster the battery ages than at 25 °C.", less_is_better=True),
    positive("age", "t_age", "s", "yr; d", (3e7, 6e8), "Time since the battery was new.", zero=True),
    share("calendar_fade", "f_cal", (0.0, 0.4), "Share of the capacity lost to time.", less_is_better=True),
    share("health", "h", (0.6, 1.0), "Share of the fresh capacity that is left.", zero=False),
    share("mean_health", "h_avg", (0.7, 1.0), "Health as a mean over all the cycles driven.", zero=False),
    positive("naive_distance", "D_0", "m", "km; mi", (1e8, 1e9), "Full cycles times the fresh range, as if nothing faded.", zero=True),
    positive("lifetime_distance", "D", "m", "km; mi", (5e7, 1e9), "Distance driven until the health is reached, each cycle as short as the battery then is.", zero=True),
    positive("overstated_distance", "D_over", "m", "km; mi", (0.0, 1e8), "What the naive product promises too much.", zero=True, less_is_better=True),
    positive("yearly_distance", "Y", "m", "km; mi", (5e6, 4e7), "Distance driven per year, as a mean over the battery's life."),
    positive("charge_throughput", "Q_thr", "A*s", "Ah", (3.6e5, 3.6e7), "Charge that has gone through a cell.", zero=True),
    signed("lfp_prefactor", "B", "", "", (1e4, 4e4), "Size of an LFP cell's fade at its C-rate, in per cent.", less_is_better=True, said="LFP prefactor"),
    positive("lfp_fade", "f_lfp", "", "%", (0.0, 0.3), "Share of the capacity that an LFP cell loses to cycles.", zero=True, most=1.0, less_is_better=True, said="LFP fade"),
    positive("storage_voltage", "u_st", "V", "V", (3.2, 4.2), "Voltage of a cell while it is stored.", most=10.0),
    positive("storage_time", "t_st", "s", "d; yr", (1e6, 3e8), "Time that a cell is stored.", zero=True),
    share("nmc_calendar_fade", "f_shelf", (0.0, 0.3), "Share of the capacity that an NMC cell loses on the shelf.", less_is_better=True, said="NMC calendar fade"),
    share("depth_of_discharge", "z_dod", (0.05, 1.0), "Share of the charge that one cycle moves."),
    share("nmc_cycle_fade", "f_nmc", (0.0, 0.3), "Share of the capacity that an NMC cell loses to cycles.", less_is_better=True, said="NMC cycle fade"),
    constant("gas_constant", "R_gas", "J/(mol*K)", 8.31446261815324, "Molar gas constant.", _CODATA),
    constant("reference_temperature", "T_25", "K", 298.15, "25 °C, the temperature at which cells are rated.", "definition"),
    constant("one_year", "t_yr", "s", 31_557_600.0, "One Julian year.", "definition"),
    constant("one_day", "t_d", "s", 86_400.0, "One day.", "definition"),
    constant("one_hour", "t_h", "s", 3600.0, "One hour.", "definition"),
    constant("one_ampere_hour", "Q_1", "A*s", 3600.0, "One ampere for one hour.", "definition"),
    constant("one_joule_per_mole", "E_1", "J/mol", 1.0, "One joule a mole, to give a plain number its unit.", "definition"),
    constant("one_volt", "u_1", "V", 1.0, "One volt, to make a voltage a plain number.", "definition"),
    constant("one_kelvin", "T_1", "K", 1.0, "One kelvin, to make a temperature a plain number.", "definition"),
)
