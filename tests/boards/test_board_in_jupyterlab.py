"""The board in a real JupyterLab: keyboard, swap, bad values, linked boards, a restarted kernel."""

import nbformat
import pytest
from playwright.sync_api import expect

from tests.browsing import axe_violations

CAR = (
    "speed='100 km/h', drag_area='0.42 m^2', mass='980 kg', rolling_coefficient=0.0085,"
    " drive_efficiency=0.86, auxiliary_power='350 W', usable_energy='36 kWh'"
)
ONE = f"from chalkwatt import load\nfirst = load.board(wanted='range', {CAR})\nfirst"
TWO = f"second = load.board(wanted='range', {CAR})\nsecond"


@pytest.fixture
def board(jupyterlab, page):
    jupyterlab.run(page, "board.ipynb", ONE)
    section = page.locator("section.chalkwatt")
    expect(section).to_be_visible(timeout=60_000)
    yield section
    jupyterlab.close_all()


def in_kernel(page, code):
    """Run code in the notebook's kernel and return what it prints."""
    return page.evaluate(
        """async (code) => {
            const kernel = window.jupyterapp.shell.currentWidget.sessionContext.session.kernel;
            const request = kernel.requestExecute({code});
            let text = "";
            request.onIOPub = (message) => {
                if (message.header.msg_type === "stream") text += message.content.text;
                if (message.header.msg_type === "error") text += message.content.evalue;
            };
            await request.done;
            return text.trim();
        }""",
        code,
    )


def row(section, words):
    return section.locator(".cw-row").filter(has=section.page.get_by_text(words, exact=True))


def test_arrow_keys_move_a_slider_and_the_kernel_hears(board, page):
    slider = row(board, "speed").locator(".cw-slider")
    slider.focus()
    page.keyboard.press("ArrowRight")
    expect(row(board, "speed").locator(".cw-number")).to_have_value("100.5")
    expect(slider).to_have_attribute("aria-valuetext", "100.5 kilometres per hour")
    page.wait_for_timeout(600)
    shown = board.locator(".cw-digits").inner_text()
    assert in_kernel(page, "print(first.speed, f'{first.range:.1f}')") == f"100.5 {shown}"


def test_the_unknown_is_swapped_from_either_side(board, page):
    row(board, "speed").locator(".cw-pick").check()
    expect(board.locator(".cw-digits")).to_have_text("100.0")
    page.wait_for_timeout(600)
    assert in_kernel(page, "print(first.wanted, first.speed == 100.0)") == "speed True"
    in_kernel(page, "first.wanted = 'mass'")
    expect(row(board, "mass").locator(".cw-pick")).to_be_checked()
    expect(board.locator(".cw-digits")).to_have_text("980.0")


def test_a_bad_value_says_so_and_takes_the_result_away(board, page):
    field = row(board, "mass").locator(".cw-number")
    field.fill("-5")
    expect(row(board, "mass").locator(".cw-note")).to_contain_text("mass = −5 kg is not possible")
    expect(board.locator(".cw-digits")).to_have_text("–")
    page.wait_for_timeout(600)
    assert "mass" in in_kernel(page, "print(first.error, first.range)")
    field.fill("1000")
    expect(board.locator(".cw-digits")).not_to_have_text("–")


def test_a_value_from_the_kernel_arrives_once(board, page):
    in_kernel(
        page, "heard = []; first.observe(lambda change: heard.append(change['new']), 'range')"
    )
    in_kernel(page, "first.speed = 120.0")
    expect(row(board, "speed").locator(".cw-number")).to_have_value("120")
    page.wait_for_timeout(600)
    assert in_kernel(page, "print(len(heard), first.speed)") == "1 120.0"


@pytest.mark.parametrize("kind", ["link", "jslink"])
def test_two_boards_are_linked(jupyterlab, page, kind):
    link = f"import ipywidgets\ntie = ipywidgets.{kind}((first, 'speed'), (second, 'speed'))"
    jupyterlab.run(page, f"{kind}.ipynb", ONE, TWO, link)
    boards = page.locator("section.chalkwatt")
    expect(boards).to_have_count(2, timeout=60_000)
    page.wait_for_function(
        "() => window.jupyterapp.shell.currentWidget.sessionContext"
        ".session.kernel.status === 'idle'"
    )
    page.wait_for_timeout(500)
    slider = row(boards.nth(0), "speed").locator(".cw-slider")
    slider.focus()
    page.keyboard.press("ArrowRight")
    expect(row(boards.nth(1), "speed").locator(".cw-number")).to_have_value("100.5")
    expect(boards.nth(1).locator(".cw-digits")).to_have_text(
        boards.nth(0).locator(".cw-digits").inner_text()
    )
    page.wait_for_timeout(600)
    assert in_kernel(page, "print(second.speed, second.range == first.range)") == "100.5 True"
    jupyterlab.close_all()


def test_the_still_board_shows_after_the_kernel_has_gone(board, jupyterlab, page):
    expect(page.locator(".cw-still")).to_be_hidden()
    jupyterlab.save(page)
    jupyterlab.restart_kernel(page)
    page.reload()
    expect(page.locator(".jp-Notebook")).to_be_visible(timeout=60_000)
    still = page.locator(".cw-still")
    expect(still).to_be_visible(timeout=30_000)
    expect(still).to_contain_text("range = 383.0 km")
    expect(still.locator("img")).to_be_visible()


def test_a_notebook_that_is_not_trusted_still_shows_it_all(board, jupyterlab, page):
    jupyterlab.save(page)
    saved = nbformat.read(jupyterlab.root / "board.ipynb", as_version=4)
    assert [sorted(output["data"]) for output in saved.cells[0].outputs] == [
        ["text/html", "text/latex", "text/plain"],
        ["application/vnd.jupyter.widget-view+json", "text/plain"],
    ]
    saved.cells[0].metadata.pop("trusted", None)
    saved.cells[0].outputs[0]["data"]["text/html"] += "<script>window.intruder = 1</script>"
    nbformat.write(saved, jupyterlab.root / "foreign.ipynb")
    jupyterlab.open(page, "foreign.ipynb")
    still = page.locator(".cw-still")
    expect(still).to_be_visible()
    expect(still).to_contain_text("range = 383.0 km")
    expect(still).to_contain_text("d = Euse / e")
    expect(still.locator("img")).to_be_visible()
    assert page.evaluate("() => window.intruder === undefined"), (
        "the notebook was trusted after all"
    )
    expect(page.get_by_text("range = 383.0 km (load board)")).to_be_visible()


def test_dark_theme_has_no_violation(jupyterlab, page, axe_source):
    jupyterlab.set_theme("dark")
    try:
        jupyterlab.run(page, "dark-board.ipynb", ONE)
        expect(page.locator("section.chalkwatt")).to_be_visible(timeout=60_000)
        page.wait_for_timeout(500)
        assert axe_violations(page, axe_source, "section.chalkwatt") == []
    finally:
        jupyterlab.set_theme("light")
        jupyterlab.close_all()
