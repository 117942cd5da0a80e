"""A notebook exported as HTML: its hosts for scripts are out of reach, and the boards are there all the same."""

import nbclient
import nbformat
import pytest
from playwright.sync_api import expect

nbconvert = pytest.importorskip("nbconvert", reason="comes with JupyterLab, the extra `lab`")

CELL = """\
from chalkwatt import load
load.board(wanted="range", speed="100 km/h", drag_area="0.42 m^2", mass="980 kg",
    rolling_coefficient=0.0085, drive_efficiency=0.86, auxiliary_power="350 W", usable_energy="36 kWh")"""


@pytest.fixture(scope="module")
def exported(tmp_path_factory):
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_code_cell(CELL)],
        metadata={
            "kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}
        },
    )
    nbclient.NotebookClient(notebook, timeout=120).execute()
    body, _ = nbconvert.HTMLExporter().from_notebook_node(notebook)
    file = tmp_path_factory.mktemp("export") / "board.html"
    file.write_text(body, encoding="utf-8")
    return file


def test_the_still_board_is_visible_in_an_export(browser, exported):
    context = browser.new_context(viewport={"width": 1280, "height": 1600}, offline=True)
    try:
        page = context.new_page()
        page.goto(exported.as_uri(), wait_until="domcontentloaded")
        page.wait_for_timeout(500)
        still = page.locator(".cw-still")
        expect(still).to_be_visible()
        expect(still).to_contain_text("range = 383.0 km")
        expect(still).to_contain_text("d = Euse / e")
        picture = still.locator("img")
        expect(picture).to_be_visible()
        assert picture.evaluate("one => one.naturalWidth") > 300
        assert still.evaluate("one => one.getBoundingClientRect().height") > 600
    finally:
        context.close()
