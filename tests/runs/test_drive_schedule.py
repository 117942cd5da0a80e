"""Energy on a schedule: conserved, equal to the equations shown, never better for being worse."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

import chalkwatt as cw
from chalkwatt.algebra.numpy_tree import compile_tree
from chalkwatt.laws.relations import check_dimensions
from chalkwatt.runs.schedule import equations as schedule_equations
from chalkwatt.runs.schedule.schedule import Schedule
from chalkwatt.topics import load as road
from chalkwatt.wording.numbers import format_number

CAR = {
    "mass": 1180.0,
    "drag_area": 0.62,
    "rolling_coefficient": 0.0085,
    "air_density": 1.2,
    "drive_efficiency": 0.87,
    "recovery_efficiency": 0.6,
    "auxiliary_power": 350.0,
    "rotating_mass_factor": 1.04,
}
CONSERVED = 1e-9

speeds = st.lists(st.sampled_from([0.0, 4.0, 9.0, 14.0, 22.0, 33.0]), min_size=2, max_size=12)
cars = st.fixed_dictionaries(
    {
        "mass": st.floats(80.0, 4000.0),
        "drag_area": st.floats(0.05, 5.0),
        "rolling_coefficient": st.floats(0.0, 0.03),
        "air_density": st.floats(0.5, 1.5),
        "drive_efficiency": st.floats(0.3, 1.0),
        "recovery_efficiency": st.floats(0.0, 1.0),
        "auxiliary_power": st.floats(0.0, 5000.0),
        "rotating_mass_factor": st.floats(1.0, 1.3),
    }
)


@st.composite
def trips(draw):
    steps = [0.0, *draw(speeds), 0.0]
    gaps = draw(st.lists(st.floats(0.5, 60.0), min_size=len(steps) - 1, max_size=len(steps) - 1))
    times = np.concatenate([[0.0], np.cumsum(gaps)])
    return Schedule("drawn", times, [*steps[:-2], 5.0, 0.0])


def joules(trip, *names):
    return sum(float(trip.si(name)) for name in names)


@given(schedule=trips(), car=cars)
def test_energy_is_conserved(schedule, car):
    trip = cw.drive_schedule(schedule, **car)
    given_and_taken = joules(trip, "wheel_energy") - joules(trip, "braking_energy")
    spent = joules(trip, "drag_energy", "rolling_energy", "kinetic_energy")
    assert given_and_taken == pytest.approx(
        spent, rel=CONSERVED, abs=CONSERVED * joules(trip, "wheel_energy")
    )
    assert sum(trip.balance.values()) == pytest.approx(
        trip.battery_energy.magnitude,
        rel=CONSERVED,
        abs=CONSERVED * trip.wheel_energy.magnitude / car["drive_efficiency"],
    )


@given(schedule=trips(), car=cars)
def test_full_recovery_without_losses_uses_rolling_drag_and_auxiliary_alone(schedule, car):
    ideal = {**car, "drive_efficiency": 1.0, "recovery_efficiency": 1.0}
    trip = cw.drive_schedule(schedule, **ideal)
    assert joules(trip, "battery_energy") == pytest.approx(
        joules(trip, "drag_energy", "rolling_energy", "auxiliary_energy"),
        rel=CONSERVED,
        abs=CONSERVED * joules(trip, "wheel_energy"),
    )


@given(schedule=trips(), car=cars, limit=st.floats(0.0, 2e5))
def test_finer_steps_change_no_shown_digit(schedule, car, limit):
    times = np.union1d(schedule.times, (schedule.times[1:] + schedule.times[:-1]) / 2)
    finer = Schedule("finer", times, np.interp(times, schedule.times, schedule.speeds))
    car = {**car, "recovery_power_max": limit}
    coarse, fine = (cw.drive_schedule(one, **car) for one in (schedule, finer))
    for name in ("wheel_energy", "braking_energy", "recovered_energy", "battery_energy"):
        size = CONSERVED * coarse.si("wheel_energy")
        assert fine.si(name) == pytest.approx(coarse.si(name), rel=CONSERVED, abs=size)


def test_halved_steps_show_the_same_digits():
    nedc = cw.schedules.nedc
    times = np.arange(0.0, 1180.25, 0.25)
    finer = Schedule("finer", times, np.interp(times, nedc.times, nedc.speeds))
    shown = [
        [
            format_number(float(getattr(trip, name).magnitude), 6)
            for name in ("wheel_energy", "recovered_energy", "battery_energy", "consumption")
        ]
        for trip in (cw.drive_schedule(one, **CAR) for one in (nedc, finer))
    ]
    assert shown[0] == shown[1]


def power_from_the_shown_equations(car, acceleration, speed):
    here = {
        **car,
        "gravity": 9.80665,
        "headwind": 0.0,
        "grade_angle": 0.0,
        "acceleration": acceleration,
        "speed": speed,
    }
    for relation in (road.DRAG, road.ROLLING, schedule_equations.FORCE, schedule_equations.POWER):
        here[relation.sides[0]] = compile_tree(relation.sides[1])(here)
    return float(here["wheel_power"])


def integrated(schedule, car, limit=np.inf):
    """Integrate the equations shown, step by step, with SciPy's adaptive quadrature."""
    totals = {"wheel_energy": 0.0, "braking_energy": 0.0, "recovered_energy": 0.0}
    points = zip(schedule.times, schedule.speeds, strict=True)
    share = car["recovery_efficiency"]
    for (start, first), (end, last) in itertools.pairwise(points):
        rate = (last - first) / (end - start)

        def power(t, *, v=first, a=rate):
            return power_from_the_shown_equations(car, a, v + a * t)

        # Split where power or the limit is crossed, found on a fine grid and by Brent's method.
        grid = np.linspace(0.0, end - start, 201)
        cuts = {0.0, end - start}
        for level in {0.0, -limit / share if share and np.isfinite(limit) else 0.0}:
            values = np.array([power(t) for t in grid]) - level
            for place in np.flatnonzero(values[1:] * values[:-1] < 0):
                bracket = grid[place], grid[place + 1]
                cuts.add(brentq(lambda t, at=level: power(t) - at, *bracket, xtol=1e-14))
        for low, high in itertools.pairwise(sorted(cuts)):

            def area(function, span=(low, high)):
                return quad(function, *span, epsabs=0, epsrel=1e-12)[0]

            middle = power((low + high) / 2)
            if middle > 0:
                totals["wheel_energy"] += area(power)
            elif middle < 0:
                totals["braking_energy"] -= area(power)
                totals["recovered_energy"] += area(lambda t: min(-share * power(t), limit))
    return totals


@pytest.mark.parametrize("limit", [np.inf, 12_000.0, 3000.0, 0.0])
def test_the_equations_shown_are_the_ones_integrated(limit):
    schedule = cw.schedules.ece_15.then(cw.schedules.eudc)
    car = {**CAR, "recovery_power_max": limit} if np.isfinite(limit) else CAR
    trip = cw.drive_schedule(schedule, **car)
    expected = integrated(schedule, CAR, limit)
    for name, value in expected.items():
        assert trip.si(name) == pytest.approx(value, rel=CONSERVED, abs=1e-6), name


def test_phases_add_up():
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR)
    for name in ("distance", "wheel_energy", "recovered_energy", "battery_energy"):
        parts = sum(one.si(name) for one in trip.phases.values())
        assert parts == pytest.approx(trip.si(name), rel=1e-12)
    alone = cw.drive_schedule(cw.schedules.eudc, **CAR)
    assert trip.phases["EUDC"].si("battery_energy") == pytest.approx(alone.si("battery_energy"))


@pytest.mark.parametrize("limit", [None, 9000.0])
def test_many_vehicles_are_the_vehicles_one_by_one(limit):
    masses = np.linspace(300.0, 3000.0, 7)
    areas = np.array([[0.2], [0.6], [1.5]])
    car = {**CAR, "mass": masses, "drag_area": areas, "recovery_power_max": limit}
    together = cw.drive_schedule(cw.schedules.nedc, **car)
    assert together.consumption.magnitude.shape == (3, 7)
    for row, column in np.ndindex(3, 7):
        one = cw.drive_schedule(
            cw.schedules.nedc, **{**car, "mass": masses[column], "drag_area": areas[row, 0]}
        )
        for name in ("wheel_energy", "recovered_energy", "battery_energy", "consumption"):
            assert together.si(name)[row, column] == pytest.approx(one.si(name), rel=1e-13)


def test_one_vehicle_with_many_recoveries():
    shares, limits = np.linspace(0.0, 1.0, 5), np.array([[2000.0], [9000.0]])
    car = {**CAR, "recovery_efficiency": shares, "recovery_power_max": limits}
    together = cw.drive_schedule(cw.schedules.nedc, **car)
    for row, column in np.ndindex(2, 5):
        one = {"recovery_efficiency": shares[column], "recovery_power_max": limits[row, 0]}
        alone = cw.drive_schedule(cw.schedules.nedc, **{**CAR, **one})
        for name in ("recovered_energy", "wheel_energy", "battery_energy"):
            assert together.si(name)[row, column] == pytest.approx(alone.si(name), rel=1e-13)


@pytest.mark.parametrize("limit", [None, 5000.0])
def test_so_many_that_they_are_taken_in_turns(limit):
    random = np.random.default_rng(5)
    fleet = {
        "mass": random.uniform(300.0, 3000.0, 30_000),
        "drag_area": random.uniform(0.2, 1.5, 30_000),
    }
    rest = {**CAR, "recovery_power_max": limit}
    many = cw.drive_schedule(cw.schedules.nedc, **{**rest, **fleet})
    for place in (0, 1, 11_915, 11_916, 17_000, 29_999):
        one = {name: values[place] for name, values in fleet.items()}
        alone = cw.drive_schedule(cw.schedules.nedc, **{**rest, **one})
        for name in ("wheel_energy", "braking_energy", "recovered_energy", "battery_energy"):
            assert many.si(name)[place] == pytest.approx(alone.si(name), rel=1e-12)


@given(schedule=trips(), car=cars, limit=st.floats(0.0, 1e5), more=st.floats(1.0, 3.0))
def test_nothing_gets_better_by_getting_worse(schedule, car, limit, more):
    def energy(**changes):
        return float(cw.drive_schedule(schedule, **{**car, **changes}).si("battery_energy"))

    slack = 1e-9 * abs(energy()) + 1e-6
    here = energy(recovery_power_max=limit)
    assert energy() <= here + slack
    assert energy(recovery_power_max=limit * more) <= here + slack
    assert energy(auxiliary_power=car["auxiliary_power"] * more) >= energy() - slack
    assert energy(drag_area=car["drag_area"] * more) >= energy() - slack
    assert energy(mass=car["mass"] * more) >= energy() - slack


@given(schedule=trips(), car=cars, limit=st.floats(0.0, 1e5))
def test_the_peak_of_power_against_a_fine_scan(schedule, car, limit):
    trip = cw.drive_schedule(schedule, **car, recovery_power_max=limit)
    most, when = -np.inf, 0.0
    for (start, first), (end, last) in itertools.pairwise(
        zip(schedule.times, schedule.speeds, strict=True)
    ):
        rate = (last - first) / (end - start)
        for share in np.linspace(0.0, 1.0, 41):
            here = {**car, "drive_efficiency": 1.0}
            power = power_from_the_shown_equations(here, rate, first + (last - first) * share)
            if power > most * (1 + 1e-12) + 1e-9:
                most, when = power, start + (end - start) * share
    assert trip.peak_wheel_power.magnitude * 1000 == pytest.approx(most, rel=1e-12, abs=1e-9)
    assert trip.peak_time.magnitude == pytest.approx(when, abs=1e-9)
    drawn = most / car["drive_efficiency"] + car["auxiliary_power"]
    assert trip.peak_battery_power.magnitude * 1000 == pytest.approx(drawn, rel=1e-12)


def test_the_peak_of_many_vehicles_and_of_phases():
    masses = np.linspace(300.0, 3000.0, 5)
    many = cw.drive_schedule(cw.schedules.nedc, **{**CAR, "mass": masses})
    for place, mass in enumerate(masses):
        one = cw.drive_schedule(cw.schedules.nedc, **{**CAR, "mass": mass})
        for name in ("peak_wheel_power", "peak_battery_power", "peak_time"):
            assert many.si(name)[place] == pytest.approx(one.si(name), rel=1e-13)
    # By hand: the end of 100 to 120 km/h in 20 s, in the last phase.
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR)
    speed = 120 / 3.6
    force = 1.04 * 1180 * (20 / 3.6 / 20) + 0.0085 * 1180 * 9.80665 + 0.6 * 0.62 * speed**2
    assert trip.peak_wheel_power.magnitude == pytest.approx(force * speed / 1000, rel=1e-12)
    assert trip.peak_time.magnitude == 1116.0
    assert trip.phases["EUDC"].si("peak_time") == 1116.0
    city = [one for name, one in trip.phases.items() if name != "EUDC"]
    assert max(one.si("peak_wheel_power") for one in city) < trip.si("peak_wheel_power")


def test_units_of_consumption_say_the_same():
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR)
    per_mile = trip.consumption_per_mile.to("Wh/mile").magnitude
    assert trip.consumption.to("Wh/mile").magnitude == pytest.approx(per_mile)
    assert trip.economy.magnitude == pytest.approx(1000 / per_mile)
    # 33.705 kWh a gallon is the widely quoted figure of the US EPA, and it counts at the outlet.
    efficient = cw.drive_schedule(cw.schedules.nedc, **CAR, charging_efficiency="88 %")
    made = efficient.equivalent_economy.magnitude
    assert made == pytest.approx(0.88 * 33_705 / per_mile, rel=1e-12)
    assert efficient.wall_consumption.to("Wh/mile").magnitude == pytest.approx(per_mile / 0.88)
    assert efficient.notes == ()
    assert efficient.consumption == trip.consumption
    assert trip.consumption.magnitude * 1.609344 == pytest.approx(per_mile / 10)


def test_a_charging_efficiency_that_nobody_gave_is_named_as_assumed():
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR)
    given = cw.drive_schedule(cw.schedules.nedc, **CAR, charging_efficiency=0.87)
    assert trip.assumed == {"charging_efficiency": 0.87}
    assert "87 %" in trip.notes[0]
    assert "10 to 16 %" in trip.notes[0]
    assert trip.equivalent_economy == given.equivalent_economy
    shares = np.array([0.8, 0.9])
    both = cw.drive_schedule(cw.schedules.nedc, **CAR, charging_efficiency=shares)
    assert both.equivalent_economy.magnitude == pytest.approx(
        given.equivalent_economy.magnitude * shares / 0.87
    )
    with pytest.raises(cw.OutOfBoundsError, match="charging_efficiency"):
        cw.drive_schedule(cw.schedules.nedc, **CAR, charging_efficiency=1.2)


def test_a_trip_feeds_the_regulatory_figures():
    city, highway = (
        cw.drive_schedule(one, **CAR, charging_efficiency=0.9)
        for one in (cw.schedules.ece_15, cw.schedules.eudc)
    )
    known = {
        "city_consumption": city.wall_consumption,
        "highway_consumption": highway.wall_consumption,
        "charging_efficiency": 0.9,
    }
    mean = 0.55 * city.consumption.magnitude + 0.45 * highway.consumption.magnitude
    combined = cw.economy.find("combined_consumption", **known)
    assert combined.to("kWh/100 km") == pytest.approx(mean / 0.9)
    # What goes out to the meter and comes back is the battery's own again.
    assert cw.economy.find("consumption", **known).to("kWh/100 km") == pytest.approx(mean)


def test_text_numbers_and_pint_say_the_same():
    text = {**CAR, "mass": "1.18 t", "drag_area": "0.62 m^2", "auxiliary_power": "0.35 kW"}
    one, two = (cw.drive_schedule(cw.schedules.nedc, **car) for car in (CAR, text))
    assert one.si("battery_energy") == pytest.approx(two.si("battery_energy"), rel=1e-12)


def test_standard_air_where_none_is_given():
    without = {name: value for name, value in CAR.items() if name != "air_density"}
    trip = cw.drive_schedule(cw.schedules.nedc, **without)
    assert trip.values["air_density"] == pytest.approx(1.225, abs=1e-4)


def test_what_cannot_be_driven_is_refused():
    with pytest.raises(cw.OutOfBoundsError, match="recovery_efficiency = 120 %"):
        cw.drive_schedule(cw.schedules.nedc, **{**CAR, "recovery_efficiency": 1.2})
    with pytest.raises(cw.OutOfBoundsError, match="rotating_mass_factor"):
        cw.drive_schedule(cw.schedules.nedc, **{**CAR, "rotating_mass_factor": 0.9})
    with pytest.raises(cw.UnitError, match="kg does not measure"):
        cw.drive_schedule(cw.schedules.nedc, **{**CAR, "drag_area": "3 kg"})
    still = Schedule("waiting", [0, 10], [0, 0])
    with pytest.raises(cw.ChalkwattError, match="waiting never moves"):
        cw.drive_schedule(still, **CAR)
    with pytest.raises(cw.ChalkwattError, match=r"not a schedule.*cw\.schedules\.nedc"):
        cw.drive_schedule([0, 10, 0], **CAR)
    with pytest.raises(cw.ChalkwattError, match=r"no schedule called 'nede'.*mean NEDC"):
        cw.drive_schedule("nede", **CAR)


def test_the_equations_are_shown_in_four_notations():
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR)
    shown = trip.equations
    assert "F_wheel = k_rot · m · a + F_air + F_roll" in shown.text
    assert r"\frac{\mathrm{d}v}{\mathrm{d}t} &= a" in shown.latex
    assert shown.mathml.count("<math") == len(shown.lines) == 12
    assert "the change of trip distance over time equals speed" in shown.spoken
    limited = cw.drive_schedule(cw.schedules.nedc, **CAR, recovery_power_max="20 kW").equations
    assert "min(P_rec" in limited.text
    for line in (*shown.lines, *limited.lines):
        if hasattr(line, "check_dimensions"):
            line.check_dimensions()
        else:
            check_dimensions(line)


def test_a_trip_carries_a_caution():
    assert "public roads" in cw.drive_schedule(cw.schedules.nedc, **CAR).caution
