"""Fixtures for every test: Chromium, axe-core and a real JupyterLab.

`page` opens a browser page that can reach this machine only and fails a test whose page throws a
script error or asks the network for something. `lab` is a JupyterLab with a real kernel.
"""

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browsing import CHROMIUM_SWITCHES, axe_core, chromium_path, opened_page
from tests.jupyterlab.server import Lab, running_lab
from tests.sweeps import a_share, chosen

# Two busy cores make single examples slow by chance; speed is measured in tests/benchmarks only.
settings.register_profile(
    "chalkwatt", deadline=None, print_blob=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("chalkwatt")


def pytest_addoption(parser: pytest.Parser) -> None:
    group = parser.getgroup("sweeps", "very many cases of one kind, of which a run takes a share")
    group.addoption("--every-case", action="store_true", help="take every case of the sweeps")
    group.addoption("--sweep-seed", type=int, help="take the cases that this seed chooses")


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "sweep(share): many cases of one kind (tests/sweeps.py)")
    if config.option.sweep_seed is None:  # workers are handed the options of the run
        config.option.sweep_seed = date.today().toordinal()  # noqa: DTZ011  any day will do


def pytest_report_header(config: pytest.Config) -> str:
    if config.option.every_case:
        return "sweeps: every case"
    return f"sweeps: a share of the cases, by --sweep-seed {config.option.sweep_seed}"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.option.every_case:
        return
    kept = chosen(items, config.option.sweep_seed)
    left = set(items) - set(kept)
    if left:
        config.hook.pytest_deselected(items=[item for item in items if item in left])
        items[:] = kept


@pytest.fixture
def some(request: pytest.FixtureRequest) -> Callable[[Sequence[Any], float], list[Any]]:
    """A share of the cases that a test goes over by itself; all of them with ``--every-case``."""

    def of(cases: Sequence[Any], share: float) -> list[Any]:
        option = request.config.option
        if option.every_case:
            return list(cases)
        return a_share(cases, share, f"{option.sweep_seed} {request.node.nodeid}")

    return of


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
