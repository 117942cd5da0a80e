"""Regulatory figures of consumption, each counted at the outlet or at the battery, as its sentence says."""

from __future__ import annotations

from chalkwatt.laws.glossary import constant, positive, share

_LABEL = "40 CFR 600.210-12 as quoted in a public note; its primary text was not seen"

QUANTITIES = (
    positive("city_consumption", "e_city", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (300.0, 1000.0), "Energy per distance on the city schedule, counted at the outlet, charging loss included.", less_is_better=True),
    positive("highway_consumption", "e_hwy", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (300.0, 1000.0), "Energy per distance on the highway schedule, counted at the outlet, charging loss included.", less_is_better=True),
    positive("combined_consumption", "e_comb", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (300.0, 1000.0), "Energy per distance, city and highway together, counted at the outlet, charging loss included.", less_is_better=True),
    share("city_share", "k_city", (0.4, 0.7), "Share of the distance that counts as city.", source="40 CFR 600.206-12(a)(3)(i): 0.55"),
    positive("city_economy", "d_city", "m/J", "mi/kWh; km/kWh", (0.001, 0.003), "Distance per energy from the outlet on the city schedule."),
    positive("highway_economy", "d_hwy", "m/J", "mi/kWh; km/kWh", (0.001, 0.003), "Distance per energy from the outlet on the highway schedule."),
    positive("combined_economy", "d_comb", "m/J", "mi/kWh; km/kWh", (0.001, 0.003), "Distance per energy from the outlet, city and highway together."),
    constant("gallon_energy", "E_gal", "J/m^3", 33.705 * 3.6e6 / 3.785411784e-3, "Energy of a volume of gasoline: 33.705 kWh a US gallon.",
             "figure of the US EPA as widely quoted; its primary text was not seen"),
    positive("equivalent_economy", "d_eq", "m^-2", "mi/gal; km/L", (2e7, 8e7), "Distance on the energy of a volume of gasoline, counted at the outlet."),
    positive("label_consumption", "e_label", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (300.0, 1000.0),
             "Energy per distance on the test schedule, counted at the outlet, charging loss included; a European label prints it as it is.", less_is_better=True),
    positive("recharge_energy", "E_rech", "J", "kWh; MJ", (2e7, 5e8), "Energy from the outlet that fills the battery from empty to full.", less_is_better=True),
    positive("tested_range", "d_test", "m", "km; mi", (1e5, 1e6), "Distance on one charge, from full to empty, driven on the schedules."),
    positive("label_range", "d_label", "m", "km; mi", (1e5, 1e6), "Distance on one charge, as the label gives it."),
    share("label_factor", "k_label", (0.6, 0.8), "Range on the label over tested range.", zero=False, source=_LABEL),
    positive("adjusted_city_consumption", "e_city,adj", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (400.0, 1500.0), "City consumption on a label with a factor, counted at the outlet.", less_is_better=True),
    positive("adjusted_highway_consumption", "e_hwy,adj", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (400.0, 1500.0), "Highway consumption on a label with a factor, counted at the outlet.", less_is_better=True),
    positive("adjusted_consumption", "e_adj", "J/m", "kWh/100 km; kWh/100 mi; Wh/km; Wh/mi", (400.0, 1500.0), "Consumption on a label with a factor, counted at the outlet.", less_is_better=True),
    positive("adjusted_equivalent_economy", "d_adj", "m^-2", "mi/gal; km/L", (2e7, 8e7), "Distance on the energy of a volume of gasoline, on a label with a factor, counted at the outlet."),
)
