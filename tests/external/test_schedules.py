"""Schedules and regulatory figures against what was published."""

import csv

import pytest

import chalkwatt as cw
from tests.external import FOLDER, published

NAMES = {"ece-15": cw.schedules.ece_15, "eudc": cw.schedules.eudc, "nedc": cw.schedules.nedc}


def cases(*rows):
    every = [case for row in rows for case in published("schedules", row)]
    return pytest.mark.parametrize("case", every, ids=lambda case: f"{case.id}-{case.quantity}")


@cases("ece-15", "eudc", "nedc")
def test_totals(case):
    case.check(getattr(NAMES[case.id], case.quantity).to(case.unit).magnitude)


def test_every_ramp_of_the_phase_table():
    """UN Regulation No. 83; rows read in a reprint or from memory, as the table itself says."""
    lines = (FOLDER / "nedc_phases.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    for part in ("ECE-15", "EUDC"):
        schedule = {"ECE-15": cw.schedules.ece_15, "EUDC": cw.schedules.eudc}[part]
        table = [row for row in rows if row["part"] == part]
        assert len(table) == len(schedule.durations)
        for row, start, end, duration in zip(
            table, schedule.speeds[:-1], schedule.speeds[1:], schedule.durations, strict=True
        ):
            assert start * 3.6 == pytest.approx(float(row["from_km_per_h"]))
            assert end * 3.6 == pytest.approx(float(row["to_km_per_h"]))
            assert duration == pytest.approx(float(row["duration_s"]))


@cases("combined-energy")
def test_combined_consumption(case):
    case.check(cw.economy.find(case.quantity, **case.known).to(case.unit))


@cases("combined-fuel-economy")
def test_combined_economy_is_harmonic(case):
    """Miles per gallon and miles per kWh combine alike, so kWh stand for the gallons here."""
    known = {name: value.replace("mi/gal", "mi/kWh") for name, value in case.known.items()}
    case.check(cw.economy.find(case.quantity, **known).to("mi/kWh"))


@cases("gallon-equivalent")
def test_gallon_equivalent(case):
    """A vehicle that takes a gallon's energy for a mile goes a mile on a gallon's energy."""
    found = cw.economy.find("combined_consumption", equivalent_economy="1 mi/gal")
    case.check(found.to("MJ/mi"))
    assert found.to("kWh/mi") == pytest.approx(case.given["energy"])


@cases("label-factor")
def test_label_factor(case):
    found = cw.economy.find("label_range", tested_range="100 km")
    case.check(found.to("km") / 100)
    assert found.assumed[case.quantity] == case.value
