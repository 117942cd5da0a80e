"""What a formula cannot give: runs through time, each with its governing equations."""

from __future__ import annotations

from chalkwatt.runs.schedule import schedules
from chalkwatt.runs.sun import roofs

__all__ = ["roofs", "schedules"]
