"""The most economical speed by a scan, with tyres that roll harder when fast or cold, and winds that push."""

import math

import numpy as np
import pytest

from chalkwatt import NoSolutionError, load
from tests.independent import chances

G = 9.80665
SPEEDS = np.geomspace(0.3, 150, 60_001)
INNER = (0.31, 145.0)  # where a scan sees both sides


def car(chance):
    return {
        "headwind": chance.choice(
            [0.0, chance.uniform(-60, -8), chance.uniform(-60, -8), chance.uniform(-15, 25)]
        ),
        "grade": chance.choice([0.0, chance.uniform(-0.06, 0.06)]),
        "air_density": chance.uniform(0.7, 1.4),
        "drag_area": 10 ** chance.uniform(-1, 0.7),
        "mass": 10 ** chance.uniform(2.3, 3.7),
        "reference_rolling_coefficient": chance.uniform(0.004, 0.02),
        "rolling_speed_growth": chance.choice([0.0, chance.uniform(0.001, 0.03)]),
        "tyre_temperature_coefficient": chance.choice([0.0, chance.uniform(0.004, 0.011)]),
        "air_temperature": chance.uniform(243, 318),
        "coast_down_linear": chance.choice([0.0, chance.uniform(0.1, 5), chance.uniform(-5, -0.1)]),
        "drive_efficiency": chance.uniform(0.4, 1.0),
        "recovery_efficiency": chance.choice([0.0, 1.0, chance.uniform(0.1, 0.9)]),
        "drive_square_loss": chance.choice([0.0, 0.0, 10 ** chance.uniform(-6.5, -4)]),
    }


def pull(known, speed):
    """Force at the wheels: the air that is met, tyres on the slope, the slope, and what bearings add."""
    through = speed + known["headwind"]
    lean = math.atan(known["grade"])
    # Measured at 25 °C; as often as the air is colder by a kelvin, it is more (UN R117, turned round).
    warmth = 1 + known["tyre_temperature_coefficient"] * (known["air_temperature"] - 298.15)
    rolling = known["reference_rolling_coefficient"] / warmth
    rolling = rolling + rolling * known["rolling_speed_growth"] * speed
    weight = known["mass"] * G
    air = 0.5 * known["air_density"] * known["drag_area"] * np.abs(through) * through
    return (
        air
        + weight * math.cos(lean) * rolling
        + weight * math.sin(lean)
        + known["coast_down_linear"] * speed
    )


def driving(known, speed):
    """Power of the drive alone, whichever way it runs."""
    wheels = pull(known, speed) * speed
    both = np.where(
        wheels > 0, wheels / known["drive_efficiency"], wheels * known["recovery_efficiency"]
    )
    return both + known["drive_square_loss"] * wheels**2


def drawn(chance):
    """A question, and the power whatever the speed that lays a least or a greatest where the chance wants one.

    In a tail wind a flat place lies close beside two thirds of it, where a least turns into a greatest.
    """
    known = car(chance)
    wind = -known["headwind"]
    if wind > 0:
        aim = wind * chance.choice([chance.uniform(0.45, 0.99), chance.uniform(0.64, 0.7)])
    else:
        aim = chance.uniform(2, 60)
    low, high = driving(known, aim * (1 - 1e-5)), driving(known, aim * (1 + 1e-5))
    lasting = (high - low) / 2e-5 - driving(known, aim)
    if not 1 < lasting < 1e6:
        lasting = 10 ** chance.uniform(1.5, 3.5)
    share = chance.choice([0.0, 1.0, chance.random()])
    known |= {"auxiliary_power": lasting * share, "drive_idle_loss": lasting * (1 - share)}
    return known


def costs(known, speed):
    """What a metre takes from the battery."""
    lasting = known["auxiliary_power"] + known["drive_idle_loss"]
    return (driving(known, speed) + lasting) / speed


def scanned(known):
    """Every least of what a metre takes, and every greatest, where the battery gives."""
    cost = costs(known, SPEEDS)
    gives = cost[1:-1] > 0
    before, here, after = cost[:-2], cost[1:-1], cost[2:]
    found = []
    for turns in ((here < before) & (here <= after), (here > before) & (here >= after)):
        speeds = SPEEDS[1:-1][turns & gives]
        found.append([one for one in speeds if INNER[0] < one < INNER[1]])
    return found


def compare(questions):
    """Ask all of them at once, and find the answer in the deepest hollow of the scan, and in no other."""
    together = {name: np.array([float(one[name]) for one in questions]) for name in questions[0]}
    answers = np.stack(load.find("economical_speed", **together).solutions_si)
    scans = [scanned(one) for one in questions]
    for place, (least, _) in enumerate(scans):
        found = sorted(one for one in answers[:, place] if INNER[0] < one < INNER[1])
        deepest = sorted(least, key=lambda one: costs(questions[place], one))[:1]
        if np.min(costs(questions[place], SPEEDS)) < 0:
            deepest = []  # at some speed the battery is charged, and a metre costs less than nothing
        beyond = [one for one in answers[:, place] if one > 0 and one not in found]
        if beyond and not found:  # deeper still, where the scan does not look
            depths = [costs(questions[place], one) for one in (*beyond, *deepest)]
            assert depths[0] == min(depths), (questions[place], beyond, least)
            continue
        assert len(found) == len(deepest), (questions[place], found, least)
        # A scan is as fine as its steps, and a least is flat: of two that are as deep either is meant.
        if found != pytest.approx(deepest, rel=5e-4):
            depths = [costs(questions[place], one) for one in (*found, *deepest)]
            assert depths[0] == pytest.approx(depths[1], rel=1e-6), (questions[place], found, least)
    return scans


def test_every_least_and_no_greatest():
    questions = [drawn(one) for one in chances("least", 100)]
    scans = compare(questions)
    # The draws hold what they are for.
    assert sum(bool(least) for least, _ in scans) > 50
    pushed = [
        one for one, (_, most) in zip(questions, scans, strict=True) if most and one["headwind"] < 0
    ]
    assert len(pushed) > 20
    assert sum(one["drive_square_loss"] > 0 for one in pushed) > 5


@pytest.mark.parametrize("chance", chances("force", 12))
def test_force_at_the_most_economical_speed(chance):
    known = drawn(chance)
    while len(scanned(known)[0]) != 1:
        known = drawn(chance)
    speed = load.find("economical_speed", **known).si
    force = pull(known, speed)
    made = load.find("economical_force", **known).si
    assert made == pytest.approx(force, abs=1e-6 * (abs(force) + 1e-2 * known["mass"] * G))


def plain(chance, wind):
    return {
        "headwind": -wind,
        "grade": 0.0,
        "air_density": chance.uniform(0.7, 1.4),
        "drag_area": chance.uniform(0.2, 3),
        "reference_rolling_coefficient": 0.01,
        "rolling_speed_growth": 0.0,
        "tyre_temperature_coefficient": 0.0,
        "air_temperature": 288.0,
        "coast_down_linear": 0.0,
        "drive_efficiency": chance.uniform(0.4, 1.0),
        "recovery_efficiency": chance.choice([0.0, 1.0, chance.uniform(0.1, 0.9)]),
        "drive_square_loss": 0.0,
        "drive_idle_loss": 0.0,
        "auxiliary_power": 1.0,
    }


def flat(chance, share):
    """A flat place at a share of the wind's speed, where the load whatever the speed puts one."""
    wind = chance.uniform(10, 60)
    known = plain(chance, wind)
    # So heavy that the tyres ask for power all the same.
    known["mass"] = 3 * wind**2 * known["drag_area"] / 0.1 / G
    aim = share * wind
    low, high = driving(known, aim * (1 - 1e-6)), driving(known, aim * (1 + 1e-6))
    known["auxiliary_power"] = float((high - low) / 2e-6 - driving(known, aim))
    return known, aim


@pytest.mark.parametrize("share", [0.55, 0.65, 0.68, 0.72, 0.95])
def test_a_least_turns_into_a_greatest_at_two_thirds_of_a_tail_wind(share):
    questions, aims = zip(*(flat(one, share) for one in chances("two thirds", 6)), strict=True)
    for (least, most), aim in zip(compare(questions), aims, strict=True):
        here = least if share < 2 / 3 else most
        assert min(abs(one / aim - 1) for one in here) < 1e-3


def test_of_several_hollows_the_deepest_is_the_answer():
    """A tail wind leaves two; both hosts and arrays of winds say the cheaper."""
    car = {"drag_area": 0.6, "mass": 1500.0, "rolling_coefficient": 0.01, "drive_efficiency": 0.88,
           "air_density": 1.2, "auxiliary_power": 200.0}  # fmt: skip
    scan = np.linspace(0.5, 60, 200_001)
    winds = np.array([-50 / 3.6, -160 / 3.6, -15 / 3.6, 0.0, 12.0])
    found = load.find("economical_speed", headwind=winds, **car)
    for wind, speed in zip(winds, found.si, strict=True):
        through = scan + wind
        force = 1.2 * 0.6 / 2 * np.abs(through) * through + 0.01 * 1500.0 * G
        cost = (np.maximum(force * scan / 0.88, 0.0) + 200.0) / scan
        assert speed == pytest.approx(scan[cost.argmin()], rel=1e-3)
        assert len(load.find("economical_speed", headwind=wind, **car).solutions_si) == 1


def cornered(chance):
    """The road begins to ask for power so close to the wind's speed that the rise slackens at once."""
    wind = chance.uniform(10, 60)
    corner = wind * chance.uniform(0.7, 0.97)
    known = plain(chance, wind) | {"grade": chance.uniform(0.005, 0.05)}
    known["mass"] = 100.0
    lean = math.atan(known["grade"])
    needs = known["mass"] * G * (0.01 * math.cos(lean) + math.sin(lean))
    pushes = needs - pull(known, corner)  # of the air, at the corner
    known["mass"] *= pushes / needs
    rises = (pull(known, corner * 1.0001) - pull(known, corner * 0.9999)) / 0.0002 * corner
    # Between what is recovered of the rise and what the rise costs, so that it falls before and rises after.
    share = known["drive_efficiency"] * known["recovery_efficiency"]
    between = share + (1 - share) * chance.uniform(0.05, 0.5)
    known["auxiliary_power"] = float(rises) * between / known["drive_efficiency"]
    return known, corner


def test_a_corner_beyond_which_consumption_is_hollow():
    """The corner is the least all the same, whatever is recovered and whichever way the force is rounded there."""
    questions, corners = zip(*map(cornered, chances("corner", 60)), strict=True)
    for (least, _), corner in zip(compare(questions), corners, strict=True):
        assert min(abs(one / corner - 1) for one in least) < 3e-4


def recovering(chance):
    """Tyres that roll harder when fast or cold, and losses by the square, all while the air pushes."""
    wind = chance.uniform(15, 70)
    aim = wind * chance.choice([chance.uniform(0.45, 0.66), chance.uniform(0.67, 0.9)])
    known = plain(chance, wind) | {
        "recovery_efficiency": chance.uniform(0.2, 1.0),
        "rolling_speed_growth": chance.choice([0.0, chance.uniform(0.005, 0.1)]),
        "tyre_temperature_coefficient": chance.uniform(0.004, 0.011),
        "air_temperature": chance.choice([chance.uniform(243, 270), chance.uniform(300, 318)]),
        "mass": 1.0,
    }
    with_one = pull(known, aim)
    with_two = pull(known | {"mass": 2.0}, aim)
    air = 2 * with_one - with_two
    # As heavy as makes the tyres take a part of what the air gives.
    known["mass"] = chance.uniform(0.15, 0.9) * -air / (with_two - with_one)
    # A loss by the square from nothing to about as much as is recovered.
    given_back = abs(pull(known, aim)) * aim
    known["drive_square_loss"] = chance.choice(
        [0.0, chance.uniform(0.05, 1.5), chance.uniform(0.05, 1.5)]
    ) * (known["recovery_efficiency"] / given_back)
    low, high = driving(known, aim * (1 - 1e-6)), driving(known, aim * (1 + 1e-6))
    known["auxiliary_power"] = max(float((high - low) / 2e-6 - driving(known, aim)), 1.0)
    return known


def test_least_and_greatest_where_a_tail_wind_drives_it_and_some_is_recovered():
    questions = []
    for chance in chances("recovered", 80):
        known = recovering(chance)
        while not any(scanned(known)):
            known = recovering(chance)
        questions.append(known)
    scans = compare(questions)
    assert sum(bool(most) for _, most in scans) > 40
    assert sum(bool(least) for least, _ in scans) > 40


def test_no_speed_is_the_cheapest_where_a_slower_one_charges_the_battery():
    """At 17.7 km/h this one gains 278 W, and a dearer hollow lies at 75 km/h."""
    known = {"drag_area": 3.1, "mass": 4090.0, "reference_rolling_coefficient": 0.0043,
             "drive_efficiency": 0.967, "air_density": 1.277, "headwind": -74 / 3.6,
             "auxiliary_power": 595.0, "recovery_efficiency": 0.57}  # fmt: skip
    with pytest.raises(NoSolutionError, match="The battery gains power there"):
        load.find("economical_speed", **known)
    questions = []
    for chance in chances("charged when slow", 300):
        known = recovering(chance)
        known["auxiliary_power"] *= chance.uniform(0.05, 0.9)
        cost = costs(known, SPEEDS)
        if cost.min() < 0 and scanned(known)[0]:
            questions.append(known)
    assert len(questions) > 20
    for one in questions:
        with pytest.raises(NoSolutionError, match="The battery gains power there"):
            load.find("economical_speed", **one)
    less = {**questions[0], "recovery_efficiency": 0.0}  # beside them one that has an answer
    together = {name: np.array([one[name] for one in (*questions, less)]) for name in less}
    found = load.find("economical_speed", **together).si
    assert np.isfinite(found).tolist() == [False] * len(questions) + [True]


def test_a_force_that_falls_before_it_rises_needs_no_lasting_load():
    """A linear part below nought, as regressions of coast-downs give it, makes a least of its own."""
    questions = []
    for chance in chances("falling force", 200):
        known = car(chance) | {
            "coast_down_linear": chance.uniform(-8, -0.2),
            "drive_idle_loss": 0.0,
            "auxiliary_power": 0.0,
            "drive_square_loss": 0.0,
        }
        forces = pull(known, np.concatenate([[0.0], SPEEDS]))
        at = int(forces.argmin())
        if forces.min() > 0 and (at == 0 or INNER[0] < SPEEDS[at - 1] < INNER[1]):
            questions.append((known, [] if at == 0 else [SPEEDS[at - 1]]))
    assert sum(bool(least) for _, least in questions) > 20
    assert sum(not least for _, least in questions) > 20
    for known, least in questions:
        try:
            found = load.find("economical_speed", **known).solutions_si
        except NoSolutionError:
            found = ()
        assert list(found) == pytest.approx(least, rel=5e-4), known


@pytest.mark.parametrize("grade", [-0.02, -0.06, -0.2])
def test_without_a_lasting_load_downhill_no_speed_is_the_cheapest(grade):
    """Every speed at which the road drives costs the same, which is nothing: there is no least."""
    known = plain(chances("nothing lasts", 1)[0], 0.0) | {
        "grade": grade,
        "mass": 900.0,
        "recovery_efficiency": 0.0,
        "auxiliary_power": 0.0,
    }
    cost = driving(known, SPEEDS) / SPEEDS
    assert np.sum(cost == cost.min()) > 1000
    with pytest.raises(NoSolutionError):
        load.find("economical_speed", **known)


def bends(known, speed):
    """How consumption bends there: above nought where it is least, below where it is greatest."""
    step = 1e-3
    before, here, after = (costs(known, speed * (1 + by)) for by in (-step, 0.0, step))
    return (before - 2 * here + after) / here / step**2


@pytest.mark.parametrize("known_by", ["drawn", "recovering"])
def test_a_speed_at_which_consumption_is_greatest_is_no_most_economical_one(known_by):
    """Asked the other way: which load that lasts makes a given speed the cheapest? None, where it is the dearest."""
    draw = {"drawn": drawn, "recovering": recovering}[known_by]
    asked = {"least": 0, "greatest": 0}
    for chance in chances(f"turned round {known_by}", 400):
        if min(asked.values()) >= 12:
            break
        known = draw(chance)
        for name, speeds in zip(asked, scanned(known), strict=True):
            for speed in speeds if asked[name] < 30 else ():
                beside = pull(known, speed * np.array([0.98, 1.02]))
                if abs(bends(known, speed)) < 0.03 or beside[0] * beside[1] <= 0:
                    continue  # flat, or a corner: the scan is too coarse to tell
                less = {one: value for one, value in known.items() if one != "auxiliary_power"}
                question = less | {"economical_speed": float(speed), "drive_idle_loss": 0.0}
                if name == "least":
                    low, high = (driving(known, speed * (1 + by)) for by in (-1e-5, 1e-5))
                    lasting = (high - low) / 2e-5 - driving(known, speed)
                    found = load.find("auxiliary_power", **question).si
                    near = 1e-4 * (abs(lasting) + abs(driving(known, speed)))
                    assert found == pytest.approx(lasting, abs=near), known  # fmt: skip
                else:
                    with pytest.raises(NoSolutionError):
                        load.find("auxiliary_power", **question)
                asked[name] += 1
    assert min(asked.values()) >= 12, asked


def eaten(chance):
    """Slope or wind drives, and the loss by the square takes more than the drive would ask for the same power."""
    known = car(chance) | {"drive_square_loss": 0.0, "drive_idle_loss": 0.0}
    if chance.random() < 0.5:
        known["headwind"] = -chance.uniform(15, 70)
        aim = -known["headwind"] * chance.uniform(0.3, 0.95)
    else:
        known["grade"] = -chance.uniform(0.02, 0.1)
        aim = chance.uniform(2, 40)
    given_back = float(-pull(known, aim)) * aim
    if given_back > 0:
        known["drive_square_loss"] = chance.uniform(1.2, 8) / known["drive_efficiency"] / given_back
    return known, aim


def test_a_load_that_makes_a_speed_the_cheapest_where_the_loss_by_the_square_eats_what_the_road_gives():
    """One load does, and the slope of what a metre takes says which: none as if the wheels took that power."""
    asked = 0
    for chance in chances("eaten by the square", 400):
        known, aim = eaten(chance)
        low, high = (float(driving(known, aim * (1 + by))) for by in (-1e-5, 1e-5))
        lasting = (high - low) / 2e-5 - float(driving(known, aim))
        if not known["drive_square_loss"] or lasting <= 0:
            continue
        if bends(known | {"auxiliary_power": lasting}, aim) < 0.03:
            continue
        found = load.find("auxiliary_power", economical_speed=aim, **known).solutions_si
        near = 1e-4 * (lasting + abs(float(driving(known, aim))))
        assert list(found) == [pytest.approx(lasting, abs=near)], known
        asked += 1
    assert asked > 40
