"""The board of a verdict in Chromium: it fits, it is readable, and a screen reader gets through."""

import pytest

from chalkwatt.evidence.claims.claims import Claim
from chalkwatt.evidence.sheets import Sheet
from tests.browsing import ROOT

pytestmark = pytest.mark.browser

DEMO = Sheet.read(ROOT / "assets" / "quillwort.toml")
RUMOUR = Claim("range", "800 km", speed="90 km/h", variant="long-range pack")
CLAIMS = [*DEMO.claims, RUMOUR]


@pytest.mark.sweep(1 / 4)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1000])
@pytest.mark.parametrize("claim", CLAIMS, ids=lambda one: one.text)
def test_the_board_fits_and_is_accessible(offline_page, axe_source, tmp_path, claim, width, scheme):
    path = DEMO.judge(claim).board().write(tmp_path / "verdict.html")
    page = offline_page
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=scheme)
    page.goto(path.as_uri())
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= width
    page.evaluate(axe_source)
    found = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    told = [
        (one["id"], [node["html"][:120] for node in one["nodes"]]) for one in found["violations"]
    ]
    # The board is a part of a page; its headings begin at the second level.
    assert [one for one in told if one[0] != "page-has-heading-one"] == []


def test_no_words_of_a_figure_are_cut_off(offline_page, tmp_path):
    path = DEMO.judge(DEMO.claims[1]).board().write(tmp_path / "verdict.html")
    offline_page.set_viewport_size({"width": 1000, "height": 900})
    offline_page.goto(path.as_uri())
    cut = offline_page.evaluate(
        """() => [...document.querySelectorAll('svg text')].filter(text => {
            const box = text.getBoundingClientRect();
            const whole = text.ownerSVGElement.getBoundingClientRect();
            return box.left < whole.left - 2 || box.right > whole.right + 2;
        }).map(text => text.textContent)"""
    )
    assert cut == []
