"""What a person is told whose call does not fit: no raw TypeError, but what is needed."""

import inspect
import types
from functools import cache

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.answering.topic import Topic
from chalkwatt.errors import CallError, ChalkwattError


def public():
    """Yield every public thing that a person calls, methods of sheets, claims and topics included."""
    for name in cw.__all__:
        one = getattr(cw, name)
        if isinstance(one, types.ModuleType):
            yield from ((f"{name}.{inner}", getattr(one, inner)) for inner in one.__all__)
        elif inspect.isfunction(one):
            yield name, one
    sheet = cw.Sheet.parse(
        '[vehicle]\nname = "x"\n[values.mass]\nvalue = "1 kg"\norigin = "quoted"\n'
    )
    claim = cw.Claim("range", "480 km")
    for kind, owner in ((cw.Sheet, sheet), (cw.Claim, claim), (Topic, cw.load)):
        yield kind.__name__, kind
        for name, _ in inspect.getmembers(kind, callable):
            if not name.startswith("_"):
                yield f"{kind.__name__}.{name}", getattr(owner, name)


# What a function hands back, and no person makes.
HANDED_BACK = {"Topic"}
EVERY = {name: one for name, one in public() if callable(one) and name not in HANDED_BACK}


def needed(one):
    return [
        name
        for name, kind in inspect.signature(one).parameters.items()
        if kind.default is kind.empty and kind.kind not in {kind.VAR_POSITIONAL, kind.VAR_KEYWORD}
    ]


@pytest.mark.parametrize("name", [name for name, one in EVERY.items() if needed(one)])
def test_called_with_nothing_it_says_what_it_needs(name):
    with pytest.raises(CallError) as caught:
        EVERY[name]()
    assert caught.value.arguments == tuple(needed(EVERY[name]))
    assert caught.value.arguments[0] in str(caught.value)
    assert str(caught.value).startswith(f"{name.rpartition('.')[2]} needs ")
    assert "Give " in caught.value.advice
    assert "self" not in str(caught.value)


def test_there_is_something_to_walk():
    assert {"schedules.wltc_class", "drive_schedule", "charge_session", "standing_start"} < {*EVERY}
    assert {"Sheet.judge", "Topic.find", "Claim", "roofs.Facet", "episode"} < {*EVERY}


@pytest.mark.parametrize(
    "name",
    [
        name
        for name, one in EVERY.items()
        if all(
            kind.kind is not kind.VAR_KEYWORD for kind in inspect.signature(one).parameters.values()
        )
    ],
)
def test_a_name_that_is_none_of_its_own_is_told(name):
    with pytest.raises(CallError, match=r"does not take vehicel_class\."):
        EVERY[name](vehicel_class=1)


@pytest.mark.parametrize(
    "name",
    [
        name
        for name, one in EVERY.items()
        if all(
            kind.kind is not kind.VAR_POSITIONAL
            for kind in inspect.signature(one).parameters.values()
        )
    ],
)
def test_too_much_without_a_name_is_told(name):
    every = dict.fromkeys(needed(EVERY[name]), 1)
    with pytest.raises(CallError):
        EVERY[name](*range(60))
    if every and len(every) > 1:
        with pytest.raises(CallError):
            EVERY[name](next(iter(every.values())), *range(60))


def test_the_words():
    cases = {
        cw.schedules.wltc_class: "wltc_class needs rated_power and unladen_mass. Give them by name",
        lambda: cw.schedules.wltc_class(
            rated_power="9 kW"
        ): "wltc_class needs unladen_mass as well. Give it",
        lambda: cw.schedules.wltc_class(
            rate_power=1
        ): "does not take rate_power. Did you mean rated_power?",
        lambda: cw.schedules.wltc_class(
            "9 kW"
        ): "wltc_class needs rated_power and unladen_mass as well.",
        cw.charge_session: "charge_session needs state_of_charge_from. Give it by name, as in",
        cw.load.find: "find needs wanted. Give it, as in find(wanted); help(find) says what it is.",
        cw.Claim: "Claim needs quantity and value. Give them by name, as in Claim(quantity=…",
        lambda: cw.Claim("range", "480 km", quantity="range"): "Claim is given quantity twice",
        lambda: cw.Claim(
            "range", "480 km", 3
        ): "Claim takes 2 values without a name, and 3 are given.",
    }
    for call, words in cases.items():
        with pytest.raises(CallError) as caught:
            call()
        assert words in str(caught.value)
        assert isinstance(caught.value, ChalkwattError)
        assert isinstance(caught.value, TypeError)
        assert caught.value.__cause__ is None
        assert caught.value.__suppress_context__ or caught.value.__context__ is None


def test_a_mistake_inside_stays_what_it_is():
    """A TypeError that a function raises itself is none of the call's."""

    def draw(*_, **__):
        return len(3)

    with pytest.raises(TypeError, match="has no len") as caught:
        cw.drawn_card(draw, alt="words")
    assert not isinstance(caught.value, CallError)


@cache
def results():
    """One of each thing that a call hands back and that has methods of its own."""
    car = {"mass": 1500, "drag_area": 0.6, "rolling_coefficient": 0.01, "drive_efficiency": 0.88}
    return {
        "Answer": cw.load.find("range", **cw.load.example),
        "Wltc": cw.schedules.wltc("3b"),
        "Schedule": cw.schedules.nedc,
        "Trip": cw.drive_schedule(cw.schedules.nedc, **car),
        "StartRun": cw.standing_start(
            **car, motor_power="90 kW", friction=0.9, driven_weight_share=0.5
        ),
        "ChargeRun": cw.charge_session(
            power_curve={0: "50 kW", 1: "50 kW"},
            usable_energy="50 kWh",
            state_of_charge_from=0.1,
            state_of_charge_to=0.8,
        ),
        "Worksheet": cw.worksheet(cw.load),
        "Card": cw.equation_card(cw.load.find("range", **cw.load.example)),
    }


METHODS = [
    ("Answer", "card"), ("Answer", "to"), ("Wltc", "downscaling"), ("Wltc", "capped"),
    ("Wltc", "downscaled"), ("Schedule", "part"), ("Schedule", "then"), ("Trip", "si"),
    ("StartRun", "time_to"), ("StartRun", "at"), ("StartRun", "with_power"),
    ("StartRun", "required_power"), ("ChargeRun", "time_to"), ("ChargeRun", "power_at"),
    ("ChargeRun", "distance_in"), ("Worksheet", "write"), ("Card", "write"),
]  # fmt: skip


@pytest.mark.parametrize(("owner", "method"), METHODS)
def test_methods_of_results_say_it_too(owner, method):
    called = getattr(results()[owner], method)
    with pytest.raises(ChalkwattError) as caught:
        called(nosuchthing=1)
    if isinstance(caught.value, CallError):
        assert method in str(caught.value)
    if needed(called):
        with pytest.raises(CallError):
            called()


class Nothing:
    """What is of no kind that anything takes."""


SIMPLE = {"str", "Path", "int", "float", "Sheet", "Topic", "Answer", "Claim", "None"}


def of_a_kind(one):
    """The arguments whose annotation says of what kind they must be."""
    return [
        name
        for name, kind in inspect.signature(one).parameters.items()
        if isinstance(kind.annotation, str)
        and name not in {"wanted", "label", "quantity"}  # which are looked up
        and {word.strip() for word in kind.annotation.split("|")} <= SIMPLE
        and kind.kind in {kind.POSITIONAL_OR_KEYWORD, kind.KEYWORD_ONLY}
    ]


KINDS = [(name, one) for name, call in EVERY.items() for one in of_a_kind(call)]


@pytest.mark.parametrize(("name", "argument"), KINDS)
def test_an_argument_of_no_kind_that_it_takes_is_named(name, argument):
    for strange in (Nothing(), 1j, b"x", {1: 2}):
        with pytest.raises(CallError, match=rf"{argument} must be ") as caught:
            EVERY[name](**{argument: strange})
        assert caught.value.arguments == (argument,)
        assert "help(" in caught.value.advice


def every_method():
    """Yield what a person calls of what is handed back, beside the public functions."""
    sheet = cw.Sheet.parse(SHEET)
    others = {
        "Finding": sheet.find("air_force", speed="80 km/h"),
        "Comparison": cw.compare(sheet, quantities=("drag_area",)),
        "Verdict": sheet.judge(cw.Claim("drag_area", "0.6 m^2")),
        "EnergyFlow": cw.EnergyFlow.of_trip(results()["Trip"]),
        "CoastDown": cw.coast_down(
            mass=1500,
            drag_area=0.6,
            rolling_coefficient=0.01,
            speed_from="100 km/h",
            speed_to="20 km/h",
            air_density=1.2,
        ),
    }
    for kind, one in {**results(), **others}.items():
        for name in dir(type(one)):
            of = getattr(type(one), name)
            if not name.startswith("_") and (inspect.isfunction(of) or inspect.ismethod(of)):
                yield f"{kind}.{name}", getattr(one, name)


SHEET = (
    '[vehicle]\nname = "x"\n[values.drag_area]\nvalue = "0.6 m^2"\norigin = "quoted"\n'
    '[values.air_density]\nvalue = "1.2 kg/m^3"\norigin = "assumed"\n'
)
# Of everything that goes round, what is of no kind that most arguments take.
STRANGE = [3, "x", None, [1], {"a": 1}, (1, "b"), ["50 km/h"], [(50, 8, 1)], Nothing()]


def raw_errors(name, called):
    """What goes wrong with no word for the person who called."""
    asked = needed(called)
    several = [
        one
        for one, kind in inspect.signature(called).parameters.items()
        if kind.kind is kind.VAR_POSITIONAL
    ]
    if not asked and not several:
        return
    kinds = inspect.signature(called).parameters
    for strange in [*STRANGE, results()["Answer"], results()["Trip"], results()["ChargeRun"]]:
        by_place = [strange for one in asked if kinds[one].kind is not kinds[one].KEYWORD_ONLY]
        by_name = {one: strange for one in asked if kinds[one].kind is kinds[one].KEYWORD_ONLY}
        try:
            called(*(by_place or [strange] * bool(several)), **by_name)
        except ChalkwattError:
            continue
        except Exception as error:  # noqa: BLE001  whatever it is, it is what is looked for
            yield f"{name}({str(strange)[:40]}): {type(error).__name__}: {error}"


def test_nothing_that_a_person_calls_stops_with_an_error_of_pythons_own(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)  # some take any text for the name of a file
    every = {**EVERY, **dict(every_method())}
    assert {"Finding.share", "CoastDown.speed_at", "EnergyFlow.of_trip"} < {*every}
    raw = [one for name, called in every.items() for one in raw_errors(name, called)]
    assert raw == []


def test_what_is_no_run_no_list_and_no_sheet_is_told():
    answer, trip = results()["Answer"], results()["Trip"]
    for call, words in [
        (lambda: cw.load.board("range"), "sheet must be a sheet, not 'range'"),
        (lambda: cw.run_card(trip), "run must be a run that moves"),
        (lambda: cw.run_motion(results()["ChargeRun"], "folder"), "run must be a run that moves"),
        (lambda: cw.bars_card(trip), "answers must be a mapping of names to answers or a list"),
        (lambda: cw.bars_card([answer, 3]), "answers must be"),
        (lambda: cw.schedules.ramps("b", [(50, 8, 1)]), "lines must be a list of pairs, not"),
        (lambda: cw.schedules.ramps("b", ["50 km/h"]), "lines must be a list of pairs, not"),
        (lambda: cw.schedules.chain("b", "nedc"), "parts must be a list of schedules"),
        (lambda: cw.run_board("x"), "run must be a function, not 'x'"),
        (lambda: cw.compare(answer), "sheets must be a sheet, not range"),
        (lambda: cw.load.compile("range", None), "known must be a list of texts, not None"),
        (lambda: cw.Claim("range", "90 mi").met("x"), "si must be a number or an array"),
    ]:
        with pytest.raises(CallError) as caught:
            call()
        assert words in str(caught.value)
    # What was taken before still is: arrays, generators, tuples for lists.
    assert cw.load.compile("drag_area", (one for one in ("drag_coefficient", "frontal_area")))
    assert cw.schedules.ramps("b", ((50, 8), ["0 km/h", "9 s"])).duration


def test_whole_numbers_and_texts_are_taken_as_what_they_are():
    assert cw.worksheet(cw.load, seed=np.int64(3)).seed == 3
    for wrong in (2.5, "2", True, None):
        with pytest.raises(CallError, match="problems must be a whole number, not"):
            cw.worksheet(cw.load, problems=wrong)
    with pytest.raises(CallError, match="folder must be text or a path, not None"):
        cw.episode("sheet.toml", None)
    with pytest.raises(CallError, match="answer must be an answer, not 'x'"):
        cw.equation_card("x")


def test_arrays_that_do_not_go_together_are_named():
    road = {"drag_area": [0.5, 0.6, 0.7], "air_density": 1.2}
    function = cw.load.compile("air_force", known=("speed", "drag_area", "air_density"))
    calls = [
        lambda: cw.load.find("air_force", speed=[20, 30], **road),
        lambda: function(np.array([20.0, 30.0]), np.array([0.5, 0.6, 0.7]), 1.2),
        lambda: cw.drive_schedule(
            cw.schedules.nedc,
            mass=[1000, 2000],
            drag_area=[0.5, 0.6, 0.7],
            rolling_coefficient=0.01,
            drive_efficiency=0.9,
        ),
    ]
    for call in calls:
        with pytest.raises(ChalkwattError, match="has 2 values and drag_area has 3") as caught:
            call()
        assert "as many of each" in caught.value.advice
    assert np.shape(cw.load.find("air_force", speed=[[20], [30]], **road).si) == (2, 3)


@pytest.mark.parametrize(
    ("name", "call"),
    [
        (
            "usable_energy",
            lambda many: cw.charge_session(
                power_curve={0.0: "80 kW", 1.0: "20 kW"},
                usable_energy=many,
                state_of_charge_from=0.1,
            ),
        ),
        (
            "mass",
            lambda many: cw.standing_start(mass=many, rolling_coefficient=0.01, drag_area=0.6),
        ),
        (
            "rated_power",
            lambda many: cw.solar_day(
                latitude=52.5, longitude=13.4, altitude=40, date="2023-06-21", rated_power=many
            ),
        ),
    ],
)
def test_what_is_run_once_refuses_many_numbers_in_the_same_words(name, call):
    many = [500.0, 700.0]
    with pytest.raises(ChalkwattError, match="is a list, and one value is needed") as caught:
        call(many)
    assert (caught.value.quantity, caught.value.value) == (name, many)
    assert "once for each" in caught.value.advice
