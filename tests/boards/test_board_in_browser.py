"""What a person does with a board, by keyboard and otherwise, and what the board then shows."""

import pytest
from playwright.sync_api import expect

from tests.boards.fixture_program import program as written_program
from tests.boards.loaded import open_board, row
from tests.browsing import axe_violations, overflow

WIDTHS = (320, 760, 1280, 1920)


@pytest.fixture
def program():
    made = written_program()
    del made["plans"]["speed_by_roots"]
    return made


def result(page):
    return page.locator(".cw-digits").inner_text()


def values(page):
    return page.evaluate(
        """() => Object.fromEntries(
            board.program.cast.map((name) => [name, board.state.value(name)]))"""
    )


def test_the_result_is_right(page, program):
    open_board(page, program)
    force = 0.5 * 1.2 * 0.62 * (110 / 3.6) ** 2 + 0.0085 * 1180 * 9.80665
    power = force * (110 / 3.6) / 0.87 + 350
    assert values(page)["range"] == pytest.approx(
        38 * 3.6e6 * (110 / 3.6) / power / 1000, rel=1e-13
    )
    assert result(page) == "261.2"


def test_arrow_keys_move_the_slider_in_one_pass(page, program):
    open_board(page, program)
    row(page, "speed").locator(".cw-slider").focus()
    before = len(page.evaluate("() => window.moves"))
    page.keyboard.press("ArrowRight")
    assert values(page)["speed"] == 110.5
    assert len(page.evaluate("() => window.moves")) == before + 1
    assert page.locator(".cw-numbers").first.text_content().find("110.5") > 0
    said = row(page, "speed").locator(".cw-slider").get_attribute("aria-valuetext")
    assert said == "110.5 kilometres per hour"


def test_keys_do_not_leave_the_board(page, program):
    open_board(page, program)
    page.evaluate(
        """() => {
            window.heard = 0;
            document.addEventListener("keydown", () => { window.heard += 1; });
        }"""
    )
    row(page, "speed").locator(".cw-slider").focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("() => window.heard") == 0


def test_a_swap_there_and_back_keeps_every_bit(page, program):
    open_board(page, program)
    before = values(page)
    for words in ("speed", "mass", "drag area", "usable energy", "drive efficiency", "range"):
        row(page, words).locator(".cw-pick").check()
        expect(row(page, words).locator(".cw-number")).to_have_attribute("readonly", "")
    after = values(page)
    for name, value in before.items():
        if name != "range":
            assert after[name] == value
    assert after["range"] == pytest.approx(before["range"], rel=1e-12)


def test_a_swap_keeps_the_slower_of_two_speeds(page, program):
    open_board(page, program)
    row(page, "speed").locator(".cw-number").fill("12")
    row(page, "speed").locator(".cw-pick").check()
    assert page.locator("p.cw-further").inner_text().startswith("A further solution: 12.00")
    row(page, "range").locator(".cw-pick").check()
    assert values(page)["speed"] == 12


def test_every_solution_is_shown(page, program):
    open_board(page, program)
    row(page, "speed").locator(".cw-pick").check()
    row(page, "range").locator(".cw-number").fill("500")
    assert result(page) == "65.44"
    assert page.locator("p.cw-further").inner_text() == "A further solution: 7.952\u00a0km/h"
    assert page.locator("circle.cw-further").count() == 1
    assert (
        page.locator(".cw-roots").inner_text().replace("\n", "").replace(" ", "").count("km/h") == 2
    )


def test_no_solution_is_said_with_the_nearest_that_has_one(page, program):
    open_board(page, program)
    row(page, "speed").locator(".cw-pick").check()
    row(page, "range").locator(".cw-number").fill("800")
    assert result(page) == "–"
    said = page.locator("p.cw-further").inner_text()
    assert said.startswith(
        "No value of speed fits the others. With all else as it is, the nearest value of range that has one is"
    )
    nearest = said.split(" is ")[-1].split("\u00a0")[0]
    row(page, "range").locator(".cw-number").fill(nearest)
    assert result(page) != "–"


def test_what_would_break_a_bound_is_said(page, program):
    open_board(page, program)
    row(page, "drive efficiency").locator(".cw-pick").check()
    row(page, "range").locator(".cw-number").fill("400")
    said = page.locator("p.cw-further").inner_text()
    assert said.startswith("No solution: drive efficiency would be")
    assert "must be at most 100\u00a0%" in said


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("", "mass: nothing is typed here; type a number, with a point for decimals."),
        ("heavy", "mass: “heavy” is not a number; type one like 1180, with a point for decimals."),
        ("1,2", "mass: “1,2” is not a number; type one like 1180, with a point for decimals."),
        ("-5", "mass = −5\u00a0kg is not possible: it must be above 0\u00a0kg."),
        ("0", "mass = 0\u00a0kg is not possible: it must be above 0\u00a0kg."),
    ],
)
def test_a_bad_value_is_kept_and_explained(page, program, typed, said):
    open_board(page, program)
    field = row(page, "mass").locator(".cw-number")
    field.fill(typed)
    assert row(page, "mass").locator(".cw-note").inner_text() == said
    assert field.input_value() == typed
    assert field.get_attribute("aria-invalid") == "true"
    assert result(page) == "–"
    assert page.locator(".cw-numbers").first.is_hidden()
    field.press("Tab")
    assert field.input_value() == typed
    expect(page.locator(".cw-live")).to_have_text(said)


def test_escape_brings_the_last_good_value_back(page, program):
    open_board(page, program)
    field = row(page, "mass").locator(".cw-number")
    field.fill("heavy")
    field.press("Escape")
    assert field.input_value() == "1180"
    assert result(page) == "261.2"


def test_a_typed_value_is_never_clamped(page, program):
    open_board(page, program)
    field = row(page, "mass").locator(".cw-number")
    field.fill("123456.789012345")
    field.press("Tab")
    assert values(page)["mass"] == 123456.789012345
    assert field.input_value() == "123456.789012345"
    assert (
        row(page, "mass").locator(".cw-note").inner_text()
        == "outside the usual 300 to 3000\u00a0kg"
    )
    assert result(page) != "–"


def test_another_unit_shows_the_same_quantity_and_comes_back_exactly(page, program):
    open_board(page, program)
    choice = row(page, "speed").locator("select")
    choice.select_option(label="mph")
    assert row(page, "speed").locator(".cw-number").input_value() == "68.3508"
    assert result(page) == "261.2"
    assert "mph" in page.locator(".cw-numbers").first.text_content()
    choice.select_option(label="km/h")
    assert values(page)["speed"] == 110


def test_the_live_region_says_the_result_in_words(page, program):
    open_board(page, program)
    live = page.locator(".cw-live")
    assert live.get_attribute("aria-live") == "polite"
    row(page, "speed").locator(".cw-slider").focus()
    page.keyboard.press("ArrowLeft")
    expect(live).to_have_text(f"range {page.locator('.cw-digits').inner_text()} kilometres")


def test_reset(page, program):
    open_board(page, program)
    before = values(page)
    row(page, "speed").locator("select").select_option(label="mph")
    row(page, "mass").locator(".cw-number").fill("900")
    row(page, "mass").locator(".cw-pick").check()
    page.get_by_role("button", name="Reset").click()
    assert values(page) == before


def test_assumptions_and_sources_are_one_click_away(page, program):
    open_board(page, program)
    page.get_by_text("Assumptions and sources").click()
    assert page.get_by_text("one efficiency for motor and gears").is_visible()
    assert page.locator(".cw-source").count() == 7


def test_the_curve_goes_through_the_present_point(page, program):
    open_board(page, program)
    page.get_by_label("Curve against").select_option(label="mass")
    apart = page.evaluate(
        """() => {
            const at = (css, ...names) => names.map((name) =>
                Number(document.querySelector(css).getAttribute(name)));
            const [ox, oy] = at(".cw-plot svg", "x", "y"), [cx, cy] = at(".cw-point", "cx", "cy");
            const drawn = document.querySelector(".cw-line").getAttribute("d");
            const spots = drawn.split(/[ML]/).filter(Boolean);
            const places = spots.map((one) => one.split(" ").map(Number));
            return Math.min(...places.map(([x, y]) => Math.hypot(x + ox - cx, y + oy - cy)));
        }"""
    )
    assert apart < 0.2


def test_nothing_moves_when_a_digit_changes(page, program):
    open_board(page, program)
    places = """() => {
        const all = document.querySelectorAll(".cw-row, .cw-step, .cw-curve, .cw-of, .cw-tick");
        return [...all].map((one) => one.getBoundingClientRect())
            .map((box) => [box.left, box.top, box.height].map(Math.round).join());
    }"""
    row(page, "usable energy").locator(".cw-slider").focus()
    before = page.evaluate(places)
    page.keyboard.press("ArrowRight")
    assert page.evaluate(places) == before


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_cut_and_nothing_overlaps(page, program, width):
    for wanted in ("range", "speed"):
        open_board(
            page,
            {**program, "wanted": wanted, "values": {**program["values"], "range": 261}},
            width=width,
        )
        assert overflow(page) <= 0
        beyond = page.evaluate(
            """() => [...document.querySelectorAll(".chalkwatt *")].filter((one) => {
                const box = one.getBoundingClientRect();
                const seen = box.width > 1 && !one.closest(".cw-live, .cw-plot svg");
                return seen && (box.right > innerWidth + 0.5 || box.left < -0.5);
            }).map((one) => one.outerHTML.slice(0, 90))"""
        )
        assert beyond == []
        overlaps = page.evaluate(
            """() => {
                const kinds = ".cw-row > *, .cw-eq, .cw-law, .cw-big > *, .cw-caution,"
                    + " figcaption > *, .cw-plot text";
                const all = [...document.querySelectorAll(kinds)].filter((one) =>
                    one.getClientRects().length && !one.closest("details:not([open])")
                    && one.textContent + one.tagName !== "P");
                const boxes = all.map((one) => one.getBoundingClientRect());
                const found = [];
                for (let i = 0; i < all.length; i++) for (let j = i + 1; j < all.length; j++) {
                    if (all[i].contains(all[j]) || all[j].contains(all[i])) continue;
                    const [a, b] = [boxes[i], boxes[j]];
                    const x = Math.min(a.right, b.right) - Math.max(a.left, b.left);
                    const y = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
                    const both = [all[i], all[j]].map((one) => one.outerHTML.slice(0, 70));
                    if (x > 1.5 && y > 2.5) found.push(both.join(" | "));
                }
                return found;
            }"""
        )
        assert overlaps == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 1280])
def test_axe_finds_no_violation(page, program, axe_source, width, scheme):
    open_board(page, program, width=width, scheme=scheme)
    page.get_by_text("Assumptions and sources").click()
    assert axe_violations(page, axe_source, ".chalkwatt") == []
    row(page, "mass").locator(".cw-number").fill("heavy")
    assert axe_violations(page, axe_source, ".chalkwatt") == []
