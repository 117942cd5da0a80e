"""Each notebook in a real JupyterLab: read as stored, run from top to bottom, and used."""

import shutil

import pytest
from playwright.sync_api import expect

from tests.browsing import ROOT, overflow
from tests.notebooks.store import NAMES
from tests.notebooks.test_nbval import notebook

COUNT_RUN = """(wanted) => {
    const widget = window.jupyterapp.shell.currentWidget;
    const done = [...widget.content.model.cells].filter(
        (cell) => cell.type === "code" && cell.executionCount && cell.executionState === "idle");
    return done.length >= wanted && widget.sessionContext.session.kernel.status === "idle";
}"""


@pytest.fixture(scope="module")
def shelf(jupyterlab):
    for name in ("notebooks", "assets"):
        shutil.copytree(ROOT / name, jupyterlab.root / name, dirs_exist_ok=True)
    return jupyterlab


@pytest.fixture
def opened(shelf, page, request):
    # JupyterLab draws the cells near the window only: make it tall enough for all of them.
    page.set_viewport_size({"width": 1280, "height": 16_000})
    shelf.open(page, f"notebooks/{request.param}.ipynb")
    yield request.param
    shelf.close_all()


def boards_of(name):
    outputs = [one for cell in notebook(name).cells for one in cell.get("outputs", ())]
    return sum("cw-still" in one.get("data", {}).get("text/html", "") for one in outputs)


def run_all(page, shelf, name):
    code = sum(cell.cell_type == "code" for cell in notebook(name).cells)
    shelf.run_all(page)
    page.wait_for_function(COUNT_RUN, arg=code, timeout=120_000)
    living = page.locator("section.chalkwatt")
    expect(living).to_have_count(boards_of(name), timeout=60_000)
    return living


def row(section, words):
    return section.locator(".cw-row").filter(has=section.page.get_by_text(words, exact=True))


@pytest.mark.parametrize("opened", NAMES, indirect=True)
def test_equation_and_number_stand_there_before_anything_is_run(opened, page):
    stills = page.locator(".cw-still")
    expect(stills).to_have_count(boards_of(opened))
    for place in range(boards_of(opened)):
        expect(stills.nth(place)).to_contain_text(" = ")
        expect(stills.nth(place).locator("img")).to_be_visible()


@pytest.mark.parametrize("opened", NAMES, indirect=True)
def test_it_runs_from_top_to_bottom_and_its_boards_stay_apart(opened, shelf, page):
    living = run_all(page, shelf, opened)
    expect(page.locator("[data-mime-type='application/vnd.jupyter.stderr']")).to_have_count(0)
    for place in range(boards_of(opened)):
        board = living.nth(place)
        expect(board).to_be_visible()
        expect(board.locator(".cw-pick:checked")).to_have_count(1)
        # A parenthesis that grows may overhang its own box by a pixel or two.
        assert board.evaluate("(section) => section.scrollWidth - section.clientWidth") <= 2
    ids = page.evaluate("[...document.querySelectorAll('section.chalkwatt [id]')].map((e) => e.id)")
    assert len(ids) == len(set(ids))
    expect(page.locator(".cw-still:visible")).to_have_count(0)
    assert overflow(page) <= 0


@pytest.mark.parametrize("opened", ["start"], indirect=True)
def test_one_more_cell_in_parallel_goes_further(opened, shelf, page):
    living = run_all(page, shelf, opened)
    cells, road = living.nth(1), living.nth(2)
    expect(road.locator(".cw-digits")).to_have_text("510.2")
    row(cells, "cells in parallel").locator(".cw-slider").focus()
    page.keyboard.press("ArrowRight")
    expect(cells.locator(".cw-digits")).to_have_text("30.79")
    # 510.2 km · 19/18, for range grows with energy at a given speed.
    expect(road.locator(".cw-digits")).to_have_text("538.5")
