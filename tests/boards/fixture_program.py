"""A browser program written by hand: it keeps the front end's tests apart from the planner."""

PERCENT = ["%", 0.01, 0, "per cent"]
PLAIN = ["", 1, 0, ""]
W = [["W", 1, 0, "watts"], ["kW", 1000, 0, "kilowatts"]]
N = [["N", 1, 0, "newtons"]]


def quantity(words, symbol, units, bounds, usual, sentence="", *, low_open=True, whole=False):
    return {
        "words": words,
        "symbol": symbol,
        "units": units,
        "bounds": bounds,
        "usual": usual,
        "open": [low_open, False],
        "whole": whole,
        "sentence": sentence,
    }


DRAG = ["*", ["/", 1, 2], "air_density", "drag_area", ["^", "speed", 2]]
ROLLING = ["*", "rolling_coefficient", "mass", "gravity"]
CAST = [
    "speed",
    "drag_area",
    "mass",
    "rolling_coefficient",
    "drive_efficiency",
    "auxiliary_power",
    "air_density",
    "usable_energy",
    "range",
]


def program():
    mass = [["kg", 1, 0, "kilograms"], ["lb", 0.45359237, 0, "pounds"]]
    energy = [["kWh", 3.6e6, 0, "kilowatt hours"], ["MJ", 1e6, 0, "megajoules"]]
    speed = [
        ["km/h", 1000 / 3600, 0, "kilometres per hour"],
        ["mph", 0.44704, 0, "miles per hour"],
        ["m/s", 1, 0, "metres per second"],
    ]
    length = [["km", 1000, 0, "kilometres"], ["mi", 1609.344, 0, "miles"]]
    per = [["Wh/km", 3.6, 0, "watt hours per kilometre"]]
    relations = [
        ("Air drag", ["air_force", DRAG], "invented for this test", ["still air"]),
        ("Rolling", ["rolling_force", ROLLING], "invented for this test", ["level road"]),
        (
            "Road force",
            ["road_force", ["+", "air_force", "rolling_force"]],
            "invented for this test",
            [],
        ),
        (
            "Power at the wheels",
            ["wheel_power", ["*", "road_force", "speed"]],
            "invented for this test",
            [],
        ),
        (
            "Power from the battery",
            ["battery_power", ["+", ["/", "wheel_power", "drive_efficiency"], "auxiliary_power"]],
            "invented for this test",
            ["one efficiency for motor and gears"],
        ),
        (
            "Consumption",
            ["consumption", ["/", "battery_power", "speed"]],
            "invented for this test",
            [],
        ),
        (
            "Range",
            ["range", ["/", "usable_energy", "consumption"]],
            "invented for this test",
            ["from full to empty"],
        ),
    ]

    def step(find, form, relation):
        return {"find": find, "relations": [relation], "by": "formula", "forms": [form]}

    forward = [step(sides[0], sides[1], i) for i, (_, sides, _, _) in enumerate(relations)]
    energy_per_metre = ["/", "usable_energy", "range"]
    cubic = {
        "find": "speed",
        "relations": [0, 1, 2, 3, 4, 5],
        "by": "cubic",
        "cubic": [
            ["/", ["*", ["/", 1, 2], "air_density", "drag_area"], "drive_efficiency"],
            ["+", ["/", "rolling_force", "drive_efficiency"], ["-", "consumption"]],
            ["-", "auxiliary_power"],
        ],
        "residual": [
            [
                "+",
                ["/", ["*", ["+", DRAG, "rolling_force"], "speed"], "drive_efficiency"],
                "auxiliary_power",
            ],
            ["*", "consumption", "speed"],
        ],
    }
    slope = [
        "-",
        [
            "+",
            ["/", ["+", ["*", 3, DRAG], "rolling_force"], "drive_efficiency"],
            ["-", "consumption"],
        ],
    ]
    by_roots = {k: v for k, v in cubic.items() if k != "cubic"} | {"by": "roots", "slope": slope[1]}
    consumption = step("consumption", energy_per_metre, 6)
    rolling = forward[1]
    back = [
        consumption,
        step("battery_power", ["*", "consumption", "speed"], 5),
        step(
            "wheel_power",
            ["*", "drive_efficiency", ["+", "battery_power", ["-", "auxiliary_power"]]],
            4,
        ),
        step("road_force", ["/", "wheel_power", "speed"], 3),
    ]
    plans = {
        "range": forward,
        "speed": [consumption, rolling, cubic],
        "usable_energy": [*forward[:6], step("usable_energy", ["*", "range", "consumption"], 6)],
        "drag_area": [
            *back,
            rolling,
            step("air_force", ["+", "road_force", ["-", "rolling_force"]], 2),
            step(
                "drag_area",
                ["/", ["*", 2, "air_force"], ["*", "air_density", ["^", "speed", 2]]],
                0,
            ),
        ],
        "air_density": [
            *back,
            rolling,
            step("air_force", ["+", "road_force", ["-", "rolling_force"]], 2),
            step(
                "air_density",
                ["/", ["*", 2, "air_force"], ["*", "drag_area", ["^", "speed", 2]]],
                0,
            ),
        ],
        "mass": [
            *back,
            forward[0],
            step("rolling_force", ["+", "road_force", ["-", "air_force"]], 2),
            step("mass", ["/", "rolling_force", ["*", "rolling_coefficient", "gravity"]], 1),
        ],
        "rolling_coefficient": [
            *back,
            forward[0],
            step("rolling_force", ["+", "road_force", ["-", "air_force"]], 2),
            step("rolling_coefficient", ["/", "rolling_force", ["*", "mass", "gravity"]], 1),
        ],
        "drive_efficiency": [
            *back[:2],
            *forward[:4],
            step(
                "drive_efficiency",
                ["/", "wheel_power", ["+", "battery_power", ["-", "auxiliary_power"]]],
                4,
            ),
        ],
        "auxiliary_power": [
            *back[:2],
            *forward[:4],
            step(
                "auxiliary_power",
                ["+", "battery_power", ["-", ["/", "wheel_power", "drive_efficiency"]]],
                4,
            ),
        ],
    }
    return {
        "version": 1,
        "written": {},
        "topic": "load",
        "title": "Road load",
        "caution": "An invented car, for explanation. A real road has wind, hills and people.",
        "cast": CAST,
        "wanted": "range",
        "outcomes": ["range"],
        "values": {
            "speed": 110,
            "drag_area": 0.62,
            "mass": 1180,
            "rolling_coefficient": 0.0085,
            "drive_efficiency": 87,
            "auxiliary_power": 350,
            "air_density": 1.2,
            "usable_energy": 38,
        },
        "chosen_units": dict.fromkeys(CAST, 0),
        "quantities": {
            "speed": quantity(
                "speed",
                ["v", ""],
                speed,
                [0, 340],
                [5, 50],
                "How fast the car goes over the ground.",
            ),
            "drag_area": quantity(
                "drag area", ["A", "d"], [["m²", 1, 0, "square metres"]], [0, 100], [0.1, 1.2]
            ),
            "mass": quantity("mass", ["m", ""], mass, [0, None], [300, 3000]),
            "rolling_coefficient": quantity(
                "rolling coefficient", ["C", "r"], [PLAIN], [0, 1], [0.004, 0.015]
            ),
            "drive_efficiency": quantity(
                "drive efficiency", ["η", "drive"], [PERCENT, PLAIN], [0, 1], [0.7, 0.98]
            ),
            "auxiliary_power": quantity(
                "auxiliary power", ["P", "aux"], W, [0, None], [0, 3000], low_open=False
            ),
            "air_density": quantity(
                "air density",
                ["ρ", ""],
                [["kg/m³", 1, 0, "kilograms per cubic metre"]],
                [0, 10],
                [0.9, 1.4],
            ),
            "usable_energy": quantity(
                "usable energy", ["E", "use"], energy, [0, None], [18e6, 360e6]
            ),
            "range": quantity("range", ["R", ""], length, [0, None], [50e3, 800e3]),
            "air_force": quantity("air force", ["F", "air"], N, [None, None], [0, 1000]),
            "rolling_force": quantity("rolling force", ["F", "roll"], N, [None, None], [0, 1000]),
            "road_force": quantity("road force", ["F", "road"], N, [None, None], [0, 2000]),
            "wheel_power": quantity(
                "wheel power", ["P", "wheel"], W[::-1], [None, None], [0, 50000]
            ),
            "battery_power": quantity(
                "battery power", ["P", "batt"], W[::-1], [None, None], [0, 50000]
            ),
            "consumption": quantity("consumption", ["c", ""], per, [0, None], [180, 1080]),
            "gravity": quantity(
                "gravity",
                ["g", ""],
                [["m/s²", 1, 0, "metres per second squared"]],
                [0, 50],
                [9.78, 9.84],
            ),
        },
        "assumed": {"gravity": 9.80665},
        "relations": [
            {"title": title, "equation": sides, "source": source, "assumptions": assumptions}
            for title, sides, source, assumptions in relations
        ],
        "plans": {name: {"assumed": ["gravity"], "steps": steps} for name, steps in plans.items()}
        | {"speed_by_roots": {"assumed": ["gravity"], "steps": [consumption, rolling, by_roots]}},
    }
