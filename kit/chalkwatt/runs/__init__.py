"""What a formula cannot give: runs through time, each with its governing equations."""

from __future__ import annotations

from chalkwatt.simulate import roofs, schedules

__all__ = ["roofs", "schedules"]
