"""What only the whole vehicle has."""

from __future__ import annotations

from chalkwatt.laws.glossary import positive

QUANTITIES = (
    positive("mass_without_pack", "m_rest", "kg", "kg; lb; t", (200.0, 2500.0), "Mass of the vehicle with everything and everyone in it, but without its pack.", less_is_better=True),
)
