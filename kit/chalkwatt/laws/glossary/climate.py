"""What warms and cools the cabin, and what the cold takes from battery and tyres."""

from __future__ import annotations

from chalkwatt.laws.glossary import positive, share

_CARNOT = "real heat pumps 2 to 4: OpenStax, College Physics 2e (2022), ch. 15"

QUANTITIES = (
    positive("cabin_heat_gain", "Q_gain", "W", "W; kW", (0.0, 1500.0), "Heat that people and sun bring into the cabin.", zero=True),
    positive("climate_power", "P_clim", "W", "W; kW", (0.0, 6000.0), "Electric power that heats or cools the cabin.", zero=True, less_is_better=True),
    positive("electronics_power", "P_el", "W", "W; kW", (100.0, 800.0), "Power for everything that neither drives nor heats nor cools the cabin: electronics, light, pumps.", zero=True, less_is_better=True),
    positive("warm_usable_energy", "E_25", "J", "kWh; MJ", (2e7, 4e8), "Energy that the battery gives in daily use with its cells at 25 °C."),
    share("warm_usable_fraction", "k_25", (0.85, 1.0), "Share of the pack's energy that daily use may draw on with the cells at 25 °C.", zero=False),
    share("cold_energy_loss", "k_cold", (0.0, 0.4), "Share of the usable energy that cold cells do not give.", less_is_better=True),
    positive("cold_energy_coefficient", "κ_cold", "1/K", "%/K; 1/K", (0.002, 0.012), "Share of the usable energy that cells lose per kelvin below 25 °C.", zero=True, less_is_better=True),
    positive("warm_cell_resistance", "r_25", "ohm", "mΩ; Ω", (3e-4, 0.06), "Resistance of one cell to direct current at 25 °C.", zero=True, less_is_better=True),
    positive("resistance_activation_energy", "E_r", "J/mol", "kJ/mol", (10_000.0, 50_000.0), "How strongly the cold raises the resistance of cells.", zero=True, less_is_better=True),
)
