"""The board of a run: settled values start it, in Python and from a browser."""

import json
from pathlib import Path

import pytest

import chalkwatt as cw
from chalkwatt.boards import run_board as module
from tests.browsing import overflow

CAR = {
    "mass": "1180 kg",
    "drag_area": "0.62 m^2",
    "rolling_coefficient": 0.0085,
    "air_density": 1.2,
    "drive_efficiency": 0.87,
    "recovery_efficiency": 0.6,
    "auxiliary_power": "350 W",
}
MODEL = """
(values) => {
  const heard = {};
  window.saved = 0;
  window.model = {
    get: (name) => values[name],
    set: (name, value) => {
      values[name] = value;
      for (const act of heard[`change:${name}`] ?? []) act();
    },
    on: (event, act) => (heard[event] ??= []).push(act),
    off: (event, act) => { heard[event] = (heard[event] ?? []).filter((one) => one !== act); },
    save_changes: () => { window.saved += 1; },
    listeners: () => Object.values(heard).flat().length,
  };
}
"""


def board():
    return cw.run_board(cw.drive_schedule, cw.schedules.nedc, **CAR)


def test_a_row_starts_the_run():
    made = board()
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR)
    assert made.result == repr(trip)
    made.mass = 900.0
    assert made.result == repr(cw.drive_schedule(cw.schedules.nedc, **{**CAR, "mass": 900}))
    assert made.outcome.values["mass"] == 900.0
    made.recovery_efficiency = 90.0  # the first display unit is per cent
    assert made.outcome.values["recovery_efficiency"] == pytest.approx(0.9)


def test_a_value_that_cannot_be_is_said_and_mended():
    made = board()
    before, settled = made.result, made.settled
    made.drive_efficiency = 120.0
    assert "drive_efficiency = 120 %" in made.error
    assert repr(made) == made.error
    assert made.settled == settled + 1
    made.drive_efficiency = 87.0
    assert made.error == ""
    assert made.result == before


def test_other_runs_and_what_is_no_quantity():
    made = cw.run_board(
        cw.solar_day,
        latitude=52.52,
        longitude=13.405,
        altitude=34,
        date="2023-06-21",
        roof=cw.roofs.curved(40),
        rated_power="700 W",
        mass=650,
        drag_area=0.3,
        rolling_coefficient=0.007,
        drive_efficiency=0.86,
    )
    assert [row["name"] for row in made.rows][:2] == ["altitude", "rated_power"]
    assert made.pictures["dark"].startswith("data:image/png;base64,")
    before = made.outcome.energy.magnitude
    made.rated_power = 1400.0
    assert made.outcome.energy.magnitude == pytest.approx(2 * before, rel=1e-12)


def test_without_a_front_end_there_are_numbers_and_a_picture():
    made = board()
    made.mass = 1234.5
    data, _ = made._repr_mimebundle_()
    assert data["text/plain"].startswith("NEDC: 11.01 km")
    assert "1234.5 kg" in data["text/html"]
    assert '<img alt="NEDC' in data["text/html"]
    assert "public roads" in data["text/html"]


def open_board(page, made, width=1100):
    names = ["title", "caution", "rows", "result", "error", "pictures", "settled"]
    values = {name: getattr(made, name) for name in (*names, *(row["name"] for row in made.rows))}
    folder = Path(module.__file__).parent / "front"
    css = (folder / "run_board.css").read_text(encoding="utf-8")
    script = (folder / "run_board.js").read_text(encoding="utf-8")
    page.set_viewport_size({"width": width, "height": 900})
    page.set_content(f"<!doctype html><html lang=en><style>{css}</style><body></body></html>")
    page.evaluate(MODEL, json.loads(json.dumps(values)))
    code = script.replace(
        "export default { render };", "window.leave = render({ model, el: document.body });"
    )
    page.evaluate(f"() => {{ {code} }}")


@pytest.mark.browser
def test_a_slider_that_settles_tells_python(page):
    open_board(page, board())
    slider = page.get_by_role("slider", name="mass")
    slider.focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("model.get('mass')") > 1180
    assert page.evaluate("saved") == 1
    assert page.locator(".cw-run").get_attribute("aria-busy") == "true"
    typed = page.get_by_role("spinbutton", name="mass")
    assert float(typed.input_value()) == page.evaluate("model.get('mass')")
    assert slider.get_attribute("aria-valuetext").endswith("kilograms")
    page.evaluate("model.set('result', 'done'); model.set('settled', 1)")
    assert page.get_by_role("status").inner_text() == "done"
    assert page.locator(".cw-run").get_attribute("aria-busy") is None


@pytest.mark.browser
def test_a_typed_value_is_kept_as_typed(page):
    open_board(page, board())
    typed = page.get_by_role("spinbutton", name="mass")
    typed.fill("1183.25")
    typed.press("Enter")
    assert page.evaluate("model.get('mass')") == 1183.25
    assert typed.input_value() == "1183.25"


@pytest.mark.browser
def test_an_error_takes_the_place_of_the_picture(page):
    open_board(page, board())
    assert page.locator("img.light").is_visible()
    page.evaluate("model.set('error', 'too much'); model.set('settled', 1)")
    assert page.get_by_role("status").inner_text() == "too much"
    assert not page.locator("img.light").is_visible()


@pytest.mark.browser
def test_leaving_leaves_nothing_behind(page):
    open_board(page, board())
    page.evaluate("leave()")
    assert page.evaluate("model.listeners()") == 0 or page.evaluate("model.listeners()") is None
    assert page.locator(".cw-run").count() == 0


@pytest.mark.browser
@pytest.mark.parametrize("width", [320, 760, 1280])
def test_nothing_is_cut_at_any_width(page, width):
    open_board(page, board(), width)
    assert not overflow(page)
