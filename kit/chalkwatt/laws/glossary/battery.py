"""Cells and the pack built from them."""

from __future__ import annotations

from chalkwatt.laws.glossary import positive, share, signed

QUANTITIES = (
    positive("cells_in_series", "N_s", "", "", (12.0, 220.0), "Cells, or groups of cells, one after another; they add up the voltage.", whole=True),
    positive("cells_in_parallel", "N_p", "", "", (1.0, 80.0), "Cells side by side in a group; they add up the capacity.", whole=True),
    positive("cell_count", "N", "", "", (50.0, 9000.0), "All cells of the pack.", whole=True),
    positive("module_count", "N_mod", "", "", (1.0, 40.0), "Modules that the pack is built from.", whole=True),
    positive("cells_per_module", "N_in", "", "", (4.0, 600.0), "Cells in one module.", whole=True),
    positive("cell_voltage", "u", "V", "V", (3.2, 3.75), "Voltage of one cell, nominal: the mean while it discharges.", most=10.0),
    positive("cell_voltage_max", "u_max", "V", "V", (3.6, 4.3), "Voltage of one full cell.", most=10.0, said="maximum cell voltage"),
    positive("cell_voltage_min", "u_min", "V", "V", (2.0, 3.0), "Lowest voltage to which one cell may be discharged.", most=10.0, said="minimum cell voltage"),
    positive("cell_capacity", "q", "A*s", "Ah; mAh", (7200.0, 540_000.0), "Charge of one cell from full to empty."),
    positive("cell_energy", "ε", "J", "Wh; kJ", (25_000.0, 2e6), "Energy of one cell from full to empty, at its nominal voltage."),
    positive("cell_resistance", "r", "ohm", "mΩ; Ω", (3e-4, 0.06), "Resistance of one cell to direct current.", zero=True, less_is_better=True),
    positive("cell_mass", "m_cell", "kg", "g; kg", (0.04, 3.0), "Mass of one cell.", less_is_better=True),
    positive("cell_current", "i", "A", "A", (0.1, 50.0), "Current through one cell.", zero=True),
    positive("cell_current_max", "i_max", "A", "A", (2.0, 500.0), "Largest current that one cell may carry.", said="maximum cell current"),
    positive("pack_voltage", "U", "V", "V", (40.0, 900.0), "Nominal voltage of the pack, with no current flowing.", most=5000.0),
    positive("pack_voltage_max", "U_max", "V", "V", (50.0, 950.0), "Voltage of the full pack.", most=5000.0, said="maximum pack voltage"),
    positive("pack_voltage_min", "U_min", "V", "V", (30.0, 700.0), "Lowest voltage to which the pack may be discharged.", most=5000.0, said="minimum pack voltage"),
    positive("pack_capacity", "Q", "A*s", "Ah", (72_000.0, 1.1e6), "Charge of the pack from full to empty."),
    positive("pack_energy", "E", "J", "kWh; MJ", (2e7, 5e8), "All the energy in the full pack."),
    share("usable_fraction", "k_use", (0.85, 1.0), "Share of the pack's energy that daily use may draw on.", zero=False),
    positive("reserve_energy", "E_res", "J", "kWh; MJ", (0.0, 5e7), "Energy kept back from daily use.", zero=True, less_is_better=True),
    positive("cells_mass", "m_cells", "kg", "kg; lb", (50.0, 500.0), "Mass of all cells together.", less_is_better=True, said="total cell mass"),
    share("cell_mass_fraction", "k_cells", (0.5, 0.8), "Mass of the cells over the mass of the pack.", zero=False,
          source="from memory: 0.55 to 0.65 in packs of modules, 0.65 to 0.75 in recent ones"),
    positive("pack_mass", "m_pack", "kg", "kg; lb", (80.0, 800.0), "Mass of the pack with case, cooling and wiring.", less_is_better=True),
    positive("cell_specific_energy", "w_cell", "J/kg", "Wh/kg; MJ/kg", (4e5, 1.1e6), "Energy of a cell per mass of the cell."),
    positive("pack_specific_energy", "w_pack", "J/kg", "Wh/kg; MJ/kg", (3e5, 7.5e5), "Energy of the pack per mass of the pack.",
             source="common practice, no source: 170 to 190 Wh/kg in current packs"),
    positive("pack_resistance", "R", "ohm", "mΩ; Ω", (0.01, 0.5), "Resistance of the pack to direct current.", zero=True, less_is_better=True),
    positive("pack_current", "I", "A", "A", (1.0, 500.0), "Current drawn from the pack.", zero=True),
    signed("driving_current", "I_drv", "A", "A", (1.0, 200.0), "Current drawn from the pack at a steady speed; negative while it is charged."),
    positive("pack_current_max", "I_max", "A", "A", (50.0, 1500.0), "Largest current that the cells allow the pack.", said="maximum pack current"),
    positive("pack_power", "P", "W", "kW; W; hp", (500.0, 300_000.0), "Power at the terminals of the pack.", zero=True),
    positive("terminal_voltage", "U_t", "V", "V", (30.0, 900.0), "Voltage at the terminals while current flows."),
    share("voltage_sag", "k_sag", (0.0, 0.3), "Share of the voltage that is lost while current flows.", less_is_better=True),
    positive("pack_heat", "P_heat", "W", "W; kW", (0.0, 10_000.0), "Power that the pack's resistance turns into heat.", zero=True, less_is_better=True),
    positive("voltage_limited_power", "P_U", "W", "kW; W; hp", (10_000.0, 600_000.0), "Power at which the sagging voltage reaches its lowest allowed value.", zero=True),
    positive("current_limited_power", "P_I", "W", "kW; W; hp", (10_000.0, 600_000.0), "Power at the largest current that the cells allow."),
    positive("c_rate", "C", "1/s", "1/h; C", (0.1 / 3600, 4.0 / 3600), "Current over capacity: 1/h empties the pack in an hour.", zero=True, said="C-rate"),
)

