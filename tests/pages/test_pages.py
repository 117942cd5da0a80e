"""Pages of several pieces: what is on them, what moves together, what the address keeps, what is printed."""

import base64
import io
import json
import math
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

import chalkwatt as cw
from chalkwatt.answering.driven import how_far
from chalkwatt.boards.board import start
from chalkwatt.cards.card import equation_card
from chalkwatt.errors import ChalkwattError, NameUnknownError
from chalkwatt.pages.compose import page_text
from chalkwatt.pages.merging import merged
from chalkwatt.pages.prose import prose, split_title
from tests.browsing import ROOT, axe_violations, opened_page, overflow
from tests.cards.test_hostile import HOSTILE

SIX = (cw.load, cw.pack, cw.sun, cw.charge, cw.launch, cw.ageing)
SHEET = ROOT / "assets" / "quillwort.toml"
CAR = {
    "speed": "100 km/h",
    "drag_area": "0.42 m^2",
    "mass": "980 kg",
    "rolling_coefficient": 0.0085,
    "drive_efficiency": 0.86,
    "auxiliary_power": "350 W",
    "usable_energy": "36 kWh",
}


@pytest.fixture(scope="module")
def six(tmp_path_factory):
    text = "# Six questions\n\nMove the **mass**: every board that has it follows."
    return cw.page(tmp_path_factory.mktemp("pages") / "six.html", [text, *SIX])


@pytest.fixture(scope="module")
def of_sheet(tmp_path_factory):
    return cw.page(tmp_path_factory.mktemp("pages") / "sheet.html", cw.Sheet.read(SHEET))


def open_file(page, file, fragment="", *, boards=None, scrolled=True):
    """Open a page and wait until all its boards live."""
    page.goto("about:blank")
    page.goto(file.as_uri() + fragment)
    page.wait_for_function(
        "() => document.querySelector('.cw-share')?.textContent"
        " && !document.querySelector('.cw-static')"
    )
    if scrolled:
        page.evaluate(
            "() => { for (const one of document.querySelectorAll('.cw-place'))"
            " one.style.contentVisibility = 'visible'; }"
        )
    page.wait_for_timeout(150)
    if boards is not None:
        assert page.locator(".cw-place").count() == boards


def row(page, board, words):
    return page.locator(f"#{board} .cw-row").filter(has=page.get_by_text(words, exact=True))


def typed(page, board, words):
    return row(page, board, words).locator(".cw-number")


# ---- what is on a page


def test_six_boards_in_at_most_150_kilobytes(six):
    assert six.stat().st_size <= 150_000


def test_programs_share_what_they_have_in_common():
    programs = [start(topic).program for topic in SIX]
    shared = merged(programs)
    steps = sum(len(plan["steps"]) for one in programs for plan in one["plans"].values())
    assert len(shared["steps"]) < steps / 2
    size = [len(json.dumps(one, separators=(",", ":"))) for one in (shared, programs)]
    assert size[0] < 0.8 * size[1]


def test_merging_loses_nothing():
    """Put together again as the browser does it, every program is what it was."""
    programs = [
        start(cw.load, wanted="range", **CAR | {"mass": "2000 lb", "speed": "55 knot"}).program,
        start(cw.load, wanted="range", **CAR | {"speed": "30 m/s"}).program,
        start(cw.sun).program,
    ]
    shared = merged(programs)
    for program, own in zip(programs, shared["programs"], strict=True):
        for name, entry in program["quantities"].items():
            place = own["names"].index(name)
            units = shared["quantities"][name]["units"][: own["units"][place]]
            assert all(one in units for one in entry["units"])
            if name in program["cast"]:
                chosen = entry["units"][program["chosen_units"][name]]
                assert units[own["chosen_units"][name]] == chosen
        for name, plan in program["plans"].items():
            steps = [shared["steps"][one] for one in own["plans"][name]["steps"]]
            for made, step in zip(steps, plan["steps"], strict=True):
                titles = [shared["relations"][one]["title"] for one in made["relations"]]
                assert titles == [program["relations"][one]["title"] for one in step["relations"]]
                assert {**made, "relations": 0} == {**step, "relations": 0}


def test_every_board_lives_and_agrees_with_python(page, six):
    open_file(page, six, boards=6)
    for topic in SIX:
        answer = topic.find(topic.wanted, **topic.example)
        digits = page.locator(f"#{topic.name} .cw-digits").inner_text()
        number = repr(answer).partition(" = ")[2]
        assert number.startswith(digits), (topic.name, digits, number)


def test_a_page_from_a_notebook_starts_where_the_boards_stand(page, tmp_path):
    board = cw.load.board(wanted="range", **CAR)
    board.speed = 123.0
    board.wanted = "mass"
    board.chosen_units = {**board.chosen_units, "speed": 1}
    made = cw.page(tmp_path / "made.html", ["Text first.", board, cw.load.find("range", **CAR)])
    open_file(page, made, boards=2)
    assert page.locator("#load .cw-big .cw-name").inner_text() == "mass"
    label = board.program["quantities"]["speed"]["units"][1][0]
    assert (
        row(page, "load", "speed")
        .locator("select")
        .evaluate("one => one.selectedOptions[0].textContent")
        == label
    )
    shown = float(page.locator("#load .cw-digits").inner_text())
    assert math.isclose(shown, board.mass, rel_tol=1e-3)
    assert page.locator("#load-2 .cw-digits").inner_text() == "383.0"


def test_a_board_without_a_result_says_so(tmp_path):
    board = cw.load.board(wanted="range", **CAR)
    board.auxiliary_power = None
    with pytest.raises(ChalkwattError, match="auxiliary_power has no value"):
        cw.page(tmp_path / "none.html", [board])
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("piece", [3, {"a": 1}, b"x", [[]]])
def test_what_a_page_cannot_hold(tmp_path, piece):
    with pytest.raises(ChalkwattError, match="cannot hold a"):
        cw.page(tmp_path / "none.html", ["x", piece])


def test_foreign_markup_is_no_piece(tmp_path):
    class Foreign:
        def _repr_html_(self):
            return "<b>mine</b>"

    with pytest.raises(ChalkwattError, match="cannot hold a Foreign"):
        cw.page(tmp_path / "none.html", [Foreign()])


def test_a_page_without_pieces(tmp_path):
    with pytest.raises(ChalkwattError, match="has no pieces"):
        cw.page(tmp_path / "none.html", [])


def test_cards_stand_as_pictures_with_their_words(page, tmp_path):
    answer = cw.load.find("range", **CAR)
    cards = [equation_card(answer, kind=kind, theme=theme, size=(960, 540))
             for kind in ("svg", "png") for theme in ("light", "dark")]  # fmt: skip
    made = cw.page(tmp_path / "cards.html", ["# Cards", *cards])
    page.goto(made.as_uri())
    pictures = page.locator("figure.cw-card img")
    assert pictures.count() == 4
    for place, card in enumerate(cards):
        assert pictures.nth(place).get_attribute("alt") == card.alt
        assert pictures.nth(place).evaluate("one => [one.naturalWidth, one.complete]") == [
            960,
            True,
        ]
        source = pictures.nth(place).get_attribute("src")
        assert base64.b64decode(source.partition(",")[2]) == card.data
    grounds = ["light", "dark", "light", "dark"]
    assert [
        page.locator("figure.cw-card").nth(place).get_attribute("class") for place in range(4)
    ] == [f"cw-card cw-{one}" for one in grounds]
    for place, colour in ((0, "rgb(255, 255, 255)"), (1, "rgb(17, 17, 17)")):
        kept = (
            page.locator("figure.cw-card")
            .nth(place)
            .evaluate(
                "one => [getComputedStyle(one).backgroundColor, getComputedStyle(one).printColorAdjust]"
            )
        )
        assert kept == [colour, "exact"], "paper keeps the ground that a card was drawn for"
    # and the ink can be told from the ground on screen
    shot = Image.open(io.BytesIO(page.locator("figure.cw-card").nth(1).screenshot())).convert("L")
    assert shot.getextrema()[1] - shot.getextrema()[0] > 150


def test_a_verdict_and_its_board_are_pieces(page, tmp_path):
    sheet = cw.Sheet.read(SHEET)
    verdict = sheet.judge(sheet.claims[1], draws=256)
    made = cw.page(
        tmp_path / "verdict.html", ["# Said and shown", verdict, cw.load, verdict.board()]
    )
    assert made.read_text("utf-8").count(".cw-verdict h2{") == 1, "each style once"
    open_file(page, made)
    assert page.locator(".cw-verdict .word").count() == 2
    expect(page.locator(".cw-verdict .word").first).to_contain_text(verdict.word)
    colour = page.locator(".cw-verdict .word").first.evaluate("one => getComputedStyle(one).color")
    assert colour == "rgb(11, 106, 84)", "the policy let its style through"


def test_the_page_of_a_sheet(page, of_sheet):
    open_file(page, of_sheet)
    sheet = cw.Sheet.read(SHEET)
    assert page.locator("h1").inner_text() == "Quillwort"
    text = page.locator("main").inner_text()
    assert "This vehicle is invented." in text
    assert "eleven students and the retired" in text
    assert page.locator(".cw-verdict").count() == len(sheet.claims) == 3
    for name in ("load", "pack"):
        assert page.locator(f"#{name} .cw-caution").is_visible()
    assert typed(page, "load", "mass").input_value() == "690"
    assert "Not from the sheet but chosen for this page: irradiance" in text
    page.get_by_text("What the sheet states").click()
    facts = page.locator(".cw-facts tbody tr")
    assert facts.count() == len(sheet.facts)
    expect(facts.filter(has_text="weighbridge of the quarry")).to_contain_text("690 kg")


def test_the_sheet_writes_its_page_too(tmp_path, of_sheet):
    made = cw.Sheet.read(SHEET).page(tmp_path / "again.html")
    assert made.read_bytes() == of_sheet.read_bytes()


# ---- text


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("one\ntwo\n\nthree", "<p>one\ntwo</p><p>three</p>"),
        ("# A\n## B\n### C\n#### D", "<h2>A</h2><h2>B</h2><h3>C</h3><p>#### D</p>"),
        ("- a\n- b\n  more\n\n1. c\n2) d", "<ul><li>a</li><li>b\nmore</li></ul><ol><li>c</li><li>d</li></ol>"),
        ("a **b c** *d* `e*f*`", "<p>a <strong>b c</strong> <em>d</em> <code>e*f*</code></p>"),
        ("2 * 3 * 4 and 2*3*4", "<p>2 * 3 * 4 and 2*3*4</p>"),
        ('<b> & "c" [x](javascript:y) ![p](q)',
         "<p>&lt;b&gt; &amp; &quot;c&quot; [x](javascript:y) ![p](q)</p>"),
        ("intro\n- a\nb", "<p>intro</p><ul><li>a\nb</li></ul>"),
        ("  \n\n ", ""),
        ("`<i>` **<u>**", "<p><code>&lt;i&gt;</code> <strong>&lt;u&gt;</strong></p>"),
        ("#no heading\n* item", "<p>#no heading</p><ul><li>item</li></ul>"),
        ("\x000\x00 `x`", "<p>\ufffd0\ufffd <code>x</code></p>"),
    ],
)  # fmt: skip
def test_text_is_set(text, html):
    assert prose(text) == html


def test_a_first_heading_is_the_title():
    assert split_title("# A *b*\n\nc") == ("A *b*", "c")
    assert split_title("## A\n\nc") == ("", "## A\n\nc")
    assert "<h1>A &lt;b&gt;</h1>" in page_text(["# A <b>\n\nc"])
    assert "<h1>Mine</h1>" in page_text(["# A"], title="Mine")


# ---- what moves together


def test_a_known_of_two_boards_moves_in_both(page, six):
    open_file(page, six, boards=6)
    slider = row(page, "load", "mass").locator(".cw-slider")
    slider.focus()
    before = page.locator("#sun .cw-digits").inner_text()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    mass = typed(page, "load", "mass").input_value()
    assert mass != "980"
    for board in ("sun", "launch"):
        expect(typed(page, board, "mass")).to_have_value(mass)
    assert page.locator("#sun .cw-digits").inner_text() != before
    # and back, in another unit, exactly
    typed(page, "launch", "mass").fill("1234.5678901")
    expect(typed(page, "load", "mass")).to_have_value("1234.57")


def test_what_a_board_solves_for_is_left_to_it(page, six):
    open_file(page, six)
    row(page, "sun", "mass").locator(".cw-pick").check()
    typed(page, "load", "mass").fill("1111")
    expect(typed(page, "sun", "mass")).not_to_have_value("1111")
    expect(typed(page, "launch", "mass")).to_have_value("1111")


def test_a_bad_value_is_bad_in_both_and_mended_in_both(page, six):
    open_file(page, six)
    typed(page, "load", "mass").fill("-4")
    expect(row(page, "launch", "mass").locator(".cw-note")).to_contain_text("is not possible")
    typed(page, "load", "mass").fill("900")
    expect(typed(page, "launch", "mass")).to_have_value("900")
    expect(page.locator("#launch .cw-digits")).not_to_have_text("–")


@pytest.mark.parametrize(
    ("linked", "follows"), [(False, False), (["speed"], False), (["mass"], True)]
)
def test_a_page_may_leave_them_apart(page, tmp_path, linked, follows):
    made = cw.page(tmp_path / "apart.html", [cw.load, cw.launch], linked=linked)
    open_file(page, made)
    before = typed(page, "launch", "mass").input_value()
    typed(page, "load", "mass").fill("1111")
    expect(typed(page, "launch", "mass")).to_have_value("1111" if follows else before)


def test_a_misspelt_link_is_an_error(tmp_path):
    with pytest.raises(NameUnknownError, match="mass"):
        cw.page(tmp_path / "x.html", [cw.load, cw.sun], linked=["masss"])


def test_a_value_moved_before_the_others_have_opened_reaches_them(page, six):
    page.add_init_script("window.setTimeout = ((old) => (f, t, ...r) =>"
                         " old(f, t === undefined ? 1500 : t, ...r))(window.setTimeout);")  # fmt: skip
    page.goto(six.as_uri())
    page.locator("#load .cw-slider").first.wait_for()
    assert page.locator("#launch .cw-slider").count() == 0
    typed(page, "load", "mass").fill("1111")
    page.wait_for_function("() => !document.querySelector('.cw-static')")
    expect(typed(page, "launch", "mass")).to_have_value("1111")


# ---- the address


def fragment(page):
    page.wait_for_timeout(400)
    return page.evaluate("() => location.hash")


def test_untouched_boards_leave_no_trace(page, six):
    open_file(page, six)
    assert fragment(page) == ""
    typed(page, "pack", "cell capacity").fill("4.5")
    assert fragment(page).startswith("#pack.wanted=")
    assert "load." not in page.evaluate("() => location.hash")
    page.locator("#pack .cw-reset").click()
    # the boards that had followed are where they were, too
    expect(typed(page, "pack", "cell capacity")).to_have_value("5")


def test_state_is_kept_to_the_last_bit(page, browser, six):
    open_file(page, six)
    typed(page, "load", "mass").fill("1234.5678901234567")
    row(page, "load", "speed").locator("select").select_option(index=1)
    typed(page, "load", "speed").fill("0.1")
    row(page, "load", "speed").locator("select").select_option(index=2)
    row(page, "load", "auxiliary power").locator(".cw-pick").check()
    address = fragment(page)
    assert "load.wanted=auxiliary_power" in address
    assert re.search(r"load\.speed=0\.1\+[^&;]+;[^&]+&", address), (
        "typed in one unit, shown in another"
    )
    assert "%22" not in address
    shown = [page.locator(f"#{one.name} .cw-digits").inner_text() for one in SIX]
    numbers = "all => all.map((one) => Number(one.value).toPrecision(6))"
    rows = page.locator("#load .cw-number").evaluate_all(numbers)
    with opened_page(browser, offline=True) as other:
        open_file(other, six, address)
        assert [other.locator(f"#{one.name} .cw-digits").inner_text() for one in SIX] == shown
        assert other.locator("#load .cw-number").evaluate_all(numbers) == rows
        assert other.locator(".cw-address").inner_text() == ""
        # the same address comes out again: no bit was lost on the way
        other.locator("#load .cw-slider").first.focus()
        typed(other, "load", "mass").focus()
        other.keyboard.press("End")
        row(other, "load", "mass").locator(".cw-number").evaluate(
            "one => one.dispatchEvent(new Event('change'))"
        )
        assert fragment(other) == address


def test_another_address_in_the_same_page_is_taken_over(page, six):
    open_file(page, six)
    page.evaluate("() => { location.hash = '#load.mass=777+kg'; }")
    expect(typed(page, "load", "mass")).to_have_value("777")
    page.evaluate("() => { location.hash = ''; }")
    expect(typed(page, "load", "mass")).not_to_have_value("777")


def test_an_address_may_be_a_place_on_the_page(page, six):
    open_file(page, six, "#sun")
    assert page.locator(".cw-address").inner_text() == ""
    assert page.locator("#sun").evaluate("one => one.getBoundingClientRect().top < innerHeight")


MALFORMED = [
    "#load.mass=abc",
    "#load.mass=",
    "#load.mass=1e999+kg",
    "#load.mass=NaN",
    "#load.mass=700+km",
    "#load.mass=700+kg;furlong",
    "#load.nothing=3",
    "#load.__proto__=3+kg",
    "#__proto__.mass=700+kg",
    "#constructor.wanted=x",
    "#load.wanted=constructor",
    "#load.wanted=gravity",
    "#load.constructor=1",
    "#nonsense",
    "#load",
    "#load.mass",
    "#=&=&&",
    "#%E0%A4%A",
    "#load.mass=%00",
    "#load.mass=alert(1)",
    "#load.mass=<img src=x onerror=window.intruder=1>",
    "#<script>window.intruder=1</script>",
    "#javascript:window.intruder=1",
    "#load.mass=" + "9" * 30_000,
    "#" + "a.b=c&" * 3000,
]


@pytest.mark.sweep(1 / 5)
@pytest.mark.parametrize("address", MALFORMED, ids=lambda one: one[:30])
def test_a_malformed_address_is_left_out_with_a_quiet_note(page, six, address):
    open_file(page, six, address)
    expect(typed(page, "load", "mass")).to_have_value("980")
    expect(page.locator("#load .cw-digits")).to_have_text("383.0")
    note = page.locator(".cw-address").inner_text()
    assert note == (
        ""
        if address == "#load"
        else "A part of this page’s address could not be read and was left out."
    )
    assert page.evaluate("() => window.intruder === undefined && ({}).polluted === undefined")


def test_what_can_be_read_is_taken_from_a_half_broken_address(page, six):
    open_file(page, six, "#load.mass=777+kg&load.speed=fast&pack.cell_capacity=4+Ah")
    expect(typed(page, "load", "mass")).to_have_value("777")
    expect(typed(page, "pack", "cell capacity")).to_have_value("4")
    assert "could not be read" in page.locator(".cw-address").inner_text()


# ---- without a script, on paper, for everybody


def test_it_is_readable_without_javascript(browser, six):
    with opened_page(browser, java_script_enabled=False, offline=True) as page:
        page.goto(six.as_uri())
        assert page.locator(".cw-slider").count() == 0
        for topic in SIX:
            board = page.locator(f"#{topic.name}")
            answer = topic.find(topic.wanted, **topic.example)
            number, drive = repr(answer).partition(" = ")[2], how_far(answer)
            expect(board.locator(".cw-answer")).to_have_text(number.removesuffix(drive))
            if drive:
                expect(board.locator(".cw-result .cw-further")).to_have_text(drive.strip())
            assert board.locator("math").count() > 3
            board.scroll_into_view_if_needed()
            assert board.locator("svg.cw-plot").is_visible()


def test_the_still_boards_come_back_if_the_script_cannot_run(page, six, tmp_path):
    broken = tmp_path / "broken.html"
    text = six.read_text("utf-8")
    packed = re.search(r'id="cw-packed"[^>]*>([^<]*)', text)[1]
    broken.write_text(text.replace(packed, packed[: len(packed) // 2 // 5 * 5]), "utf-8")
    page.goto(broken.as_uri())
    page.wait_for_timeout(300)
    assert page.locator("#load .cw-answer").is_visible()
    assert page.locator(".cw-hidden").count() == 0


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_print_shows_everything_and_no_control(page, six, size):
    open_file(page, six, scrolled=False)
    lines = page.locator(".cw-place").last.locator(".cw-line")
    assert lines.get_attribute("d") is None, "nobody has scrolled down to it"
    # A printer does not wait for what a page does when it is seen: all must be there at once.
    drawn = page.evaluate(
        "() => { dispatchEvent(new Event('beforeprint'));"
        " return [...document.querySelectorAll('.cw-line')].map((one) => (one.getAttribute('d') ?? '').length); }"
    )
    assert len(drawn) == 6
    assert min(drawn) > 20
    page.emulate_media(media="print", color_scheme="dark")
    wide = {"A4": 680, "Letter": 700}[size]
    page.set_viewport_size({"width": wide, "height": 1000})
    for kind in (".cw-slider", ".cw-pick", ".cw-reset", ".cw-share"):
        assert page.locator(kind).evaluate_all(
            "all => all.every((one) => getComputedStyle(one).display === 'none')"
        ), kind
    assert page.locator(".cw-more").evaluate_all("all => all.every((one) => one.open)")
    assert page.locator(".cw-line").evaluate_all(
        "all => all.length && all.every((one) => one.getAttribute('d').length > 20)"
    )
    assert page.locator(".cw-source").count() > 12
    inks = page.locator(".cw-answer, .cw-row .cw-words, h1, h2, .cw-eq, .cw-title").evaluate_all(
        "all => [...new Set(all.map((one) => getComputedStyle(one).color))]"
    )
    assert inks == ["rgb(0, 0, 0)"]
    ground = page.evaluate("() => getComputedStyle(document.body).backgroundColor")
    assert ground == "rgb(255, 255, 255)"
    assert overflow(page) <= 0
    made = page.pdf(format=size)
    assert made.startswith(b"%PDF")
    page.evaluate("() => dispatchEvent(new Event('afterprint'))")
    assert not page.locator(".cw-more").evaluate_all("all => all.some((one) => one.open)")


@pytest.mark.sweep(1 / 2)
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("which", ["six", "of_sheet"])
def test_axe_finds_no_violation(browser, request, axe_source, which, width, scheme):
    file = request.getfixturevalue(which)
    with opened_page(
        browser, viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True
    ) as page:
        open_file(page, file)
        assert overflow(page) <= 0
        assert axe_violations(page, axe_source) == []


def test_nothing_breaks_the_policy(page, of_sheet):
    """A style or script that the policy refuses would leave a gap: there is none."""
    page.add_init_script(
        "window.refused = []; addEventListener('securitypolicyviolation',"
        " (event) => window.refused.push(event.violatedDirective + ' ' + event.blockedURI));"
    )
    open_file(page, of_sheet)
    assert page.evaluate("() => window.refused") == []
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', of_sheet.read_text("utf-8"))[
        1
    ]
    rules = dict(one.split(" ", 1) for one in policy.split("; "))
    assert rules["default-src"] == "'none'"
    assert "unsafe" not in policy
    assert all(
        one.startswith("'sha256-")
        for one in (rules["script-src"] + " " + rules["style-src"]).split()
    )
    assert rules["img-src"] == rules["font-src"] == "data:"


# ---- hostile text

PLAIN_TAGS = {
    *("p", "h2", "h3", "h4", "ul", "ol", "li", "strong", "em", "code", "div", "details", "summary"),
    *("table", "thead", "tbody", "tr", "th", "td"),
}


def test_200_hostile_strings_stay_text(page, tmp_path, monkeypatch):
    """As names, stories, notes, claims' sources, titles, prose: nothing runs, nothing is fetched."""
    assert len(HOSTILE) == 200
    monkeypatch.setattr(
        "chalkwatt.pages.sheet_page._TOPICS", ()
    )  # 200 times a sheet's boards take long
    page.add_init_script(
        "window.alert = () => { window.intruder = 1; }; window.refused = [];"
        "addEventListener('securitypolicyviolation', (event) => window.refused.push(event.blockedURI));"
    )
    for place in range(0, 200, 50):
        texts = HOSTILE[place : place + 50]
        pieces = []
        for text in texts:
            sheet = cw.Sheet.read(SHEET)
            sheet.name = sheet.story = text
            sheet.claims = ()
            facts = {"mass": sheet.facts["mass"]}
            object.__setattr__(facts["mass"], "note", text)
            object.__setattr__(facts["mass"], "seen", text)
            sheet.facts = facts
            pieces += [text, sheet]
        made = cw.page(tmp_path / f"hostile{place}.html", [*pieces, cw.pack], title=texts[0])
        open_file(page, made)
        tags = page.evaluate(
            "() => [...new Set([...document.querySelectorAll('main .cw-text *, main .cw-facts *')]"
            ".map((one) => one.localName))]"
        )
        assert set(tags) <= PLAIN_TAGS, tags
        assert page.locator("main img, main a, main iframe, main script").count() == 0
        assert page.evaluate("() => [window.intruder === undefined, window.refused]") == [True, []]
        # it is there, as it was written
        shown = page.locator("main").evaluate("one => one.textContent")
        visible = [text for text in texts if text.isprintable() and text.strip()]
        assert visible
        for text in visible:
            if not re.search(r"[`*]|^\s*(#|-|\d)", text):
                assert text.strip() in shown


def test_a_hostile_claim_stays_text(page, tmp_path):
    nasty = "</h2><img src=x onerror='window.intruder=1'>"
    text = SHEET.read_text("utf-8").replace('newsletter 4"\n', f'{nasty}"\n')
    sheet = cw.Sheet.parse(text.replace('name = "Quillwort"', f'name = "{nasty}"'))
    assert any(one.said_by == nasty for one in sheet.claims)
    made = cw.page(tmp_path / "claim.html", sheet)
    open_file(page, made)
    assert page.locator("main img").count() == 0
    assert nasty in page.locator("main").inner_text()
    assert page.evaluate("() => window.intruder === undefined")


def test_the_same_page_twice_is_the_same_file(tmp_path):
    first, second = (cw.page(tmp_path / name, ["x", *SIX[:2]]) for name in ("a.html", "b.html"))
    assert first.read_bytes() == second.read_bytes()


def test_a_page_of_an_answer_says_for_which_drive_it_begins():
    far = cw.load.find("range", **cw.load.example)
    drive = "at a steady 100 km/h on a level road, without wind or heater"
    assert f"begins with a drive {drive}." in page_text([far])
    area = cw.load.find("drag_area", drag_coefficient=0.25, frontal_area="2 m^2")
    assert "begins with a drive" not in page_text([area])
