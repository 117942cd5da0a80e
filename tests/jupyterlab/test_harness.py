"""The harness itself: a widget is drawn in a real JupyterLab, and the guards can fail."""

import pytest
from playwright.sync_api import Error, expect

from tests.browsing import axe_violations, missing, opened_page
from tests.jupyterlab.server import free_port

COUNTER = '''
import anywidget, traitlets

class Counter(anywidget.AnyWidget):
    _esm = """
    function render({ model, el }) {
      const button = document.createElement("button");
      button.className = "counter";
      const show = () => { button.textContent = `count ${model.get("count")}`; };
      button.addEventListener("click", () => {
        model.set("count", model.get("count") + 1);
        model.save_changes();
      });
      model.on("change:count", show);
      show();
      el.append(button);
    }
    export default { render };
    """
    count = traitlets.Int(3).tag(sync=True)

counter = Counter()
counter
'''


def test_a_widget_is_drawn_and_talks_to_its_kernel(jupyterlab, page):
    jupyterlab.run(page, "counter.ipynb", COUNTER)
    button = page.locator("button.counter")
    expect(button).to_have_text("count 3")
    button.click()
    expect(button).to_have_text("count 4")
    page.evaluate(
        """() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel
            .requestExecute({code: "counter.count *= 2"}).done"""
    )
    expect(button).to_have_text("count 8")


def test_the_kernel_restarts(jupyterlab, page):
    jupyterlab.run(page, "restart.ipynb", "print('ready')")
    expect(page.locator(".jp-OutputArea-output")).to_have_text("ready")
    jupyterlab.restart_kernel(page)
    expect(page.locator(".jp-OutputArea-output")).to_have_text("ready")


def test_dark_theme(jupyterlab, page):
    jupyterlab.write("dark.ipynb", "1")
    jupyterlab.set_theme("dark")
    try:
        jupyterlab.open(page, "dark.ipynb")
        expect(page.locator("body")).to_have_attribute("data-jp-theme-light", "false")
    finally:
        jupyterlab.set_theme("light")


def test_a_request_outside_fails(browser):
    with pytest.raises(AssertionError, match="asked the network"), opened_page(browser) as opened:
        opened.set_content('<img src="https://example.invalid/picture.png">')


def test_a_script_error_fails(browser):
    with pytest.raises(AssertionError, match="threw"), opened_page(browser) as opened:
        opened.set_content("<script>undefinedName.field</script>")


def test_offline_means_off(offline_page):
    # Nothing listens there: an online page would say ERR_CONNECTION_REFUSED.
    with pytest.raises(Error, match="ERR_INTERNET_DISCONNECTED"):
        offline_page.goto(f"http://127.0.0.1:{free_port()}/")


STRICT = """<!doctype html><html lang="en"><head><title>A page</title>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
</head><body><main><h1>A page</h1>{body}</main></body></html>"""


@pytest.mark.parametrize(
    ("body", "found"),
    [("<p>Text</p>", []), ('<input type="range">', ["label"]), ("<img>", ["image-alt"])],
)
def test_axe_finds_what_is_wrong_under_a_strict_policy(page, axe_source, tmp_path, body, found):
    file = tmp_path / "page.html"
    file.write_text(STRICT.format(body=body), encoding="utf-8")
    page.goto(file.as_uri())
    violations = axe_violations(page, axe_source)
    assert [line.split(" ")[0] for line in violations] == found


def test_what_is_missing_fails_in_ci_and_is_skipped_elsewhere(monkeypatch):
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="get it"):
        missing("A tool", "How to get it.")
    monkeypatch.delenv("CI")
    with pytest.raises(pytest.skip.Exception, match="get it"):
        missing("A tool", "How to get it.")
