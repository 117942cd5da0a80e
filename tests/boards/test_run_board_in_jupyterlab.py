"""The board of a run in a real JupyterLab: a settled row starts the run in the kernel."""

import pytest
from playwright.sync_api import expect

RIDE = (
    "import chalkwatt as cw\n"
    "ride = cw.run_board(cw.drive_schedule, cw.schedules.nedc, mass='1180 kg', drag_area=0.62,"
    " rolling_coefficient=0.0085, drive_efficiency=0.87, air_density=1.2)\n"
    "ride"
)


@pytest.fixture
def board(jupyterlab, page):
    jupyterlab.run(page, "ride.ipynb", RIDE)
    section = page.locator("section.cw-run")
    expect(section).to_be_visible(timeout=60_000)
    yield section
    jupyterlab.close_all()


@pytest.mark.browser
def test_a_settled_row_starts_the_run(board):
    before = board.get_by_role("status").inner_text()
    slider = board.get_by_role("slider", name="mass")
    slider.focus()
    board.page.keyboard.press("ArrowRight")
    expect(board.get_by_role("status")).not_to_have_text(before, timeout=10_000)
    assert board.get_by_role("status").inner_text().startswith("NEDC: 11.01 km")
    expect(board.locator("img.light")).to_be_visible()


@pytest.mark.browser
def test_a_value_that_cannot_be_is_said_and_mended(board):
    before = board.get_by_role("status").inner_text()
    typed = board.get_by_role("spinbutton", name="drive efficiency")
    typed.fill("120")
    typed.press("Enter")
    expect(board.get_by_role("status")).to_contain_text("drive_efficiency = 120 %", timeout=10_000)
    expect(board.locator("img.light")).not_to_be_visible()
    typed.fill("87")
    typed.press("Enter")
    expect(board.get_by_role("status")).to_have_text(before, timeout=10_000)


@pytest.mark.browser
def test_the_still_board_makes_room(board):
    expect(board.page.locator(".cw-still")).not_to_be_visible()
