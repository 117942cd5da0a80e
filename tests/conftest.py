"""Fixtures for every test: Chromium, axe-core and a real JupyterLab.

`page` opens a browser page that can reach this machine only and fails a test whose page throws a
script error or asks the network for something. `lab` is a JupyterLab with a real kernel.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browsing import CHROMIUM_SWITCHES, axe_core, chromium_path, opened_page
from tests.jupyterlab.server import Lab, running_lab

# Two busy cores make single examples slow by chance; speed is measured in tests/benchmarks only.
settings.register_profile(
    "chalkwatt", deadline=None, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("chalkwatt")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One Chromium a module: with it runs an event loop, and asyncio allows no second."""
    path = chromium_path()
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=list(CHROMIUM_SWITCHES))
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    with opened_page(browser) as opened:
        yield opened


@pytest.fixture
def offline_page(browser: Browser) -> Iterator[Page]:
    """As `page`, and with the network off: file:// and data: addresses only."""
    with opened_page(browser, offline=True) as opened:
        yield opened


@pytest.fixture(scope="session")
def axe_source() -> str:
    return axe_core()


@pytest.fixture(scope="session")
def jupyterlab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """One JupyterLab for the session; no browser, no start."""
    chromium_path()
    with running_lab(Path(tmp_path_factory.mktemp("jupyterlab"))) as lab:
        yield lab
