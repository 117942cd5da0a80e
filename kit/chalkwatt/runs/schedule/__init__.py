"""Driving schedules, and the trip over one."""
