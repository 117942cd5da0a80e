"""Opening pages in Chromium: where it is, what it may reach, and what axe-core says of a page."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NoReturn
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, Route

ROOT = Path(__file__).resolve().parents[1]

# --no-sandbox: containers and CI run as root. The last three keep Chromium itself off the network.
CHROMIUM_SWITCHES = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


def missing(what: str, remedy: str) -> NoReturn:
    """Fail under CI=true; elsewhere skip the test and say how to get what is missing."""
    sentence = f"{what} was not found. {remedy}"
    if os.environ.get("CI", "").lower() in {"1", "true"}:
        pytest.fail(sentence, pytrace=False)
    pytest.skip(sentence)


def chromium_path() -> str:
    for name in ("chromium", "chromium-browser", "google-chrome"):
        if found := shutil.which(name):
            return found
    missing(
        "Chromium",
        "Browser tests need one of chromium, chromium-browser or google-chrome on the PATH: "
        "on Debian and its relatives `sudo apt-get install chromium`.",
    )


def axe_core() -> str:
    for folder in (ROOT / "build" / "node", ROOT):
        script = folder / "node_modules" / "axe-core" / "axe.min.js"
        if script.is_file():
            return script.read_text(encoding="utf-8")
    missing(
        "axe-core",
        "Accessibility tests need it: `npm install --no-save --prefix build/node axe-core` "
        "in the project's folder.",
    )


def is_local(address: str) -> bool:
    parts = urlsplit(address)
    return parts.scheme in {"about", "blob", "data", "file"} or parts.hostname in {
        "127.0.0.1",
        "localhost",
    }


@contextmanager
def opened_page(browser: Browser, **options) -> Iterator[Page]:
    """Open a page that reaches this machine only; script errors and other requests fail."""
    context = browser.new_context(
        viewport=options.pop("viewport", {"width": 1280, "height": 800}), **options
    )
    refused: list[str] = []
    thrown: list[str] = []

    def guard(route: Route) -> None:
        if is_local(route.request.url):
            route.continue_()
        else:
            refused.append(route.request.url)
            route.abort()

    context.route("**/*", guard)
    page = context.new_page()
    page.on("pageerror", lambda error: thrown.append(str(error)))
    try:
        yield page
    finally:
        context.close()
    assert not refused, f"the page asked the network for {refused}"
    assert not thrown, f"the page threw {thrown}"


def axe_violations(page: Page, axe_source: str, within: str = "document") -> list[str]:
    """Run axe-core on a page, or on the part that a CSS selector names; one line a violation."""
    page.evaluate(f"() => {{ {axe_source} }}")
    found = page.evaluate(
        """async (within) => {
            const target = within === "document" ? document : within;
            const report = await axe.run(target, {resultTypes: ["violations"]});
            return report.violations.flatMap(violation => violation.nodes.map(node =>
                `${violation.id} (${violation.impact}): ${violation.help}: ` +
                `${node.target.join(" ")}: ${node.html.slice(0, 160)}`));
        }""",
        within,
    )
    return list(found)


def overflow(page: Page) -> int:
    """Return by how many pixels the page is wider than its window."""
    return page.evaluate(
        "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
