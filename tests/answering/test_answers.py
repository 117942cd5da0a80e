"""Answers: every solution, in any unit, for numbers and for arrays."""

import math

import numpy as np
import pytest

from chalkwatt import load, pack, sun
from chalkwatt.errors import ChalkwattError, UnitError
from chalkwatt.laws.quantities import look_up
from chalkwatt.planning.evaluation import best_of, compile_plan, inside_bounds
from tests.points import GIVEN, TOPICS, known_sets, point

CAR = {
    "drag_area": "0.62 m²",
    "mass": "1180 kg",
    "rolling_coefficient": 0.0085,
    "drive_efficiency": 0.87,
    "auxiliary_power": "350 W",
    "usable_energy": "38 kWh",
    "air_density": "1.2 kg/m³",
}
POINTS = 1000


def test_the_question_of_the_design():
    answer = load.find("speed", range="420 km", **CAR)
    assert len(answer.solutions) == 2
    slow, fast = (one.to("km/h").magnitude for one in answer.solutions)
    assert slow < fast
    assert answer.to("km/h") == pytest.approx(fast, rel=1e-15)
    for speed in (slow, fast):
        there = load.find("range", speed=f"{speed!r} km/h", **CAR)
        assert there.to("km") == pytest.approx(420, rel=1e-12)


def test_two_one_and_no_speed_for_one_range():
    most = load.find("economical_speed", **{k: v for k, v in CAR.items() if k != "usable_energy"})
    reach = load.find("range", speed=most.value, **CAR)
    # The most economical speed is where the two speeds of a range meet.
    two = load.find("speed", range=0.999 * reach.si, **CAR)
    assert len(two.solutions) == 2
    slow, fast = (one.to("m/s").magnitude for one in two.solutions)
    assert slow < most.si < fast
    near = load.find("speed", range=(1 - 1e-10) * reach.si, **CAR)
    assert near.si == pytest.approx(most.si, rel=1e-4)
    with pytest.raises(ChalkwattError, match="the greatest that can be reached"):
        load.find("speed", range=1.001 * reach.si, **CAR)


def test_without_an_auxiliary_load_a_range_has_one_speed():
    answer = load.find("speed", range="420 km", **(CAR | {"auxiliary_power": "0 W"}))
    assert len(answer.solutions) == 1


def test_units():
    answer = load.find("range", speed="90 km/h", **CAR)
    assert answer.to("mi") == pytest.approx(answer.to("km") / 1.609344, rel=1e-15)
    assert answer.value.to("m").magnitude == pytest.approx(answer.si, rel=1e-15)
    assert answer.unit == "km"
    with pytest.raises(UnitError, match=r"kWh does not measure range\. Use km or mi\."):
        answer.to("kWh")


def test_of_several_the_largest_within_the_usual_range():
    assert best_of("speed", [2.0, 20.0, 60.0]) == 20.0
    assert best_of("speed", [60.0, 70.0]) == 70.0
    assert best_of("speed", [10.0, 20.0]) == 20.0
    np.testing.assert_array_equal(
        best_of("speed", [np.array([2.0, np.nan, np.nan]), np.array([20.0, 60.0, np.nan])]),
        [20.0, 60.0, np.nan],
    )


def test_bounds_forgive_rounding_and_no_more():
    assert inside_bounds("drive_efficiency", 1 + 1e-13)
    assert not inside_bounds("drive_efficiency", 1 + 1e-9)
    assert not inside_bounds("mass", 0.0)  # an open bound is strict
    assert inside_bounds("speed", -1e-12)


def test_arrays_broadcast():
    speeds = np.linspace(10, 40, 7)
    masses = np.array([[900.0], [1200.0], [1500.0]])
    answer = load.find("range", **(CAR | {"mass": masses}), speed=speeds)
    assert answer.si.shape == (3, 7)
    for row, mass in enumerate(masses[:, 0]):
        for column, speed in enumerate(speeds):
            one = load.find("range", **(CAR | {"mass": mass}), speed=speed)
            assert answer.si[row, column] == pytest.approx(one.si, rel=1e-13)
    assert answer.to("km").shape == (3, 7)


def test_arrays_hold_not_a_number_where_there_is_no_solution():
    answer = load.find("speed", range=np.array([3e5, 4e5, 4e6]), **CAR)
    assert np.isfinite(answer.si[:2]).all()
    assert math.isnan(answer.si[2])
    low, high = answer.solutions
    assert (low[:2] < high[:2]).all()
    assert "3 values" not in repr(answer)
    with pytest.raises(ChalkwattError, match="an array of 3 values, and a working shows one"):
        _ = answer.working


def test_shown_in_a_notebook():
    answer = load.find("speed", range="420 km", **CAR)
    bundle = answer._repr_mimebundle_()
    assert {"text/plain", "text/latex"} <= set(bundle)
    assert bundle["text/plain"] == repr(answer)
    assert " or " in repr(answer)
    assert "77." in bundle["text/latex"] or "77." in repr(answer)


def test_what_is_said_beside_a_number_is_printed_beneath_it():
    answer = load.find("consumption", speed="90 km/h", usable_energy="40 kWh", **{
        name: value for name, value in CAR.items() if name != "usable_energy"
    })  # fmt: skip
    assert answer.notes
    head, *beneath = str(answer).split("\n")
    assert head == repr(answer)
    assert tuple(beneath) == answer.notes
    # Among other words it is one line.
    assert f"so: {answer}" == f"so: {head}"
    assert f"{answer:>200}" == head.rjust(200)
    assert answer._repr_mimebundle_()["text/plain"] == str(answer)
    plain = load.find("air_force", speed="90 km/h", drag_area="0.5 m^2", air_density=1.2)
    assert not plain.notes
    assert str(plain) == repr(plain)


def test_what_was_assumed_is_kept():
    answer = load.find("range", speed="90 km/h", **CAR)
    assert answer.assumed["gravity"] == 9.80665
    assert answer.assumed["grade"] == 0.0
    assert set(answer.known) == {"speed", *CAR}
    given = load.find("range", speed="90 km/h", grade=0.01, gravity=9.81, **CAR)
    assert not {"grade", "gravity"} & set(given.assumed)


def test_a_count_comes_with_its_whole_neighbours():
    answer = pack.find("cells_in_series", pack_voltage="400 V", cell_voltage="3.6 V")
    assert answer.si == pytest.approx(400 / 3.6)
    (low, below), (high, above) = answer.neighbours
    assert (low, high) == (111, 112)
    assert below["pack_voltage"] == pytest.approx(399.6)
    assert above["pack_voltage"] == pytest.approx(403.2)
    exact = pack.find("cells_in_series", pack_voltage="360 V", cell_voltage="3.6 V")
    assert [whole for whole, _ in exact.neighbours] == [100]


def test_the_lower_of_two_currents():
    answer = pack.find(
        "pack_current", pack_voltage="350 V", pack_resistance="0.1 ohm", pack_power="20 kW"
    )
    # U I − R I² = P by hand: the other root is 3441.9 A, beyond half the voltage.
    assert answer.si == pytest.approx((350 - math.sqrt(350**2 - 4 * 0.1 * 20e3)) / 0.2, rel=1e-12)
    assert len(answer.solutions) == 1


@pytest.mark.parametrize("name", sorted(GIVEN))
def test_one_number_and_an_array_agree_on_a_thousand_points_a_plan(name):
    topic, values = TOPICS[name], point(name)
    chance = np.random.default_rng(8)
    wanteds = topic.network.names[:: max(1, len(topic.network.names) // 12)]
    for wanted in wanteds:
        for known in known_sets(name, wanted, 1):
            try:
                function = compile_plan(topic.network.plan(wanted, known))
            except ChalkwattError:
                continue
            given = {
                one: values[one]
                if look_up(one).whole
                else values[one] * chance.uniform(0.97, 1.03, POINTS)
                for one in known
            }
            together = np.broadcast_to(function(**given), (POINTS,))
            for place in range(0, POINTS, 1 if function.direct else 20):
                single = {k: v if np.ndim(v) == 0 else float(v[place]) for k, v in given.items()}
                alone = float(function(**single))
                # Of a difference, as the wind is one of two speeds, the size of its parts counts.
                size = 1e-12 * max(abs(one) for one in look_up(wanted).usual)
                # A search is as exact as its equation is well conditioned.
                exact = 1e-12 if function.direct else 1e-10
                close = pytest.approx(together[place], rel=exact, abs=size, nan_ok=True)
                assert alone == close, wanted


def test_chunks_do_not_show():
    size = 20_000
    speeds = np.linspace(5, 45, size)
    known = ("speed", "drag_area", "air_density")
    function = load.compile("air_force", known=known)
    made = function(speeds, 0.6, 1.2)
    np.testing.assert_allclose(made, 0.5 * 1.2 * 0.6 * speeds**2, rtol=1e-15)
    two = function(speeds.reshape(100, 200), 0.6, 1.2)
    np.testing.assert_array_equal(two.ravel(), made)
    with pytest.raises(TypeError, match="missing: air_density"):
        function(20.0, 0.6)
    with pytest.raises(TypeError, match="unknown: mass"):
        function(20.0, 0.6, 1.2, mass=1000.0)
    with pytest.raises(TypeError, match="takes speed, drag_area, air_density"):
        function(20.0, 0.6, 1.2, speed=30.0)
    assert repr(function) == "<air_force from speed, drag_area, air_density; SI>"


def test_the_answer_of_a_resting_array():
    answer = sun.find(
        "equilibrium_speed",
        panel_power=np.array([40.0, 60.0, 300.0]),
        auxiliary_power="60 W",
        drag_area="0.3 m²",
        mass="680 kg",
        rolling_coefficient=0.007,
        drive_efficiency=0.86,
    )
    assert answer.si[:2].tolist() == [0.0, 0.0]
    assert answer.si[2] > 1
    assert len(answer.notes) == 1


@pytest.mark.parametrize(
    ("idle", "words"),
    [
        ({"air_temperature": "-10 degC"}, "The air temperature of −10 °C plays no part in this"),
        ({"pack_resistance": "0.1 ohm"}, "The pack resistance of 0.1 Ω plays no part in this"),
        (
            {"cell_temperature": "-15 °C", "pack_voltage": 400},
            "The cell temperature of −15 °C and the pack voltage of 400 V play no part in this",
        ),
    ],
)
def test_a_given_value_that_plays_no_part_is_told(idle, words):
    # The density of the air is given, and without a warm energy cold cells have nothing to lose.
    car = {
        "speed": "100 km/h", "usable_energy": "36 kWh", "drag_area": 0.42, "mass": 980,
        "rolling_coefficient": 0.0085, "auxiliary_power": 350, "air_density": 1.2,
        "drive_efficiency": 0.86,
    }  # fmt: skip
    plain = load.find("range", **car)
    assert not [one for one in plain.notes if "no part" in one]
    answer = load.find("range", **car, **idle)
    assert answer.si == plain.si
    told = f"{words}: nothing here was reckoned with {'it' if len(idle) == 1 else 'them'}."
    (note,) = (one for one in answer.notes if one.startswith(told))
    # Who gives a temperature of the cells expects it to count, and hears what it takes.
    assert ("warm cells" in note) == ("cell_temperature" in idle)


def test_what_serves_as_a_check_plays_a_part():
    answer = load.find("drag_area", drag_coefficient=0.25, frontal_area=2)
    assert answer.notes == ()
    both = load.find(
        "air_force", drag_area=0.5, drag_coefficient=0.25, frontal_area=2, speed=20, air_density=1.2
    )
    assert not [one for one in both.notes if "no part" in one]
