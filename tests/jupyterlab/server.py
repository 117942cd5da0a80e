"""A real JupyterLab in a folder of its own, and what a test does with it."""

import json
import os
import secrets
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import nbformat
from playwright.sync_api import Page, expect

from tests.browsing import ROOT

# The start page must not ask anything of the user, and nothing of the network.
QUIET_SETTINGS = {
    "@jupyterlab/apputils-extension/notification.jupyterlab-settings": {
        "fetchNews": "false",
        "checkForUpdates": False,
    },
    "@jupyterlab/extensionmanager-extension/plugin.jupyterlab-settings": {"enabled": False},
}
THEMES = "@jupyterlab/apputils-extension:themes"


@dataclass(frozen=True)
class Lab:
    """A running JupyterLab: its address, its token, and the folder that it shows."""

    url: str
    token: str
    root: Path

    def write(self, name: str, *cells: str) -> Path:
        """Write a notebook of code cells into the folder that JupyterLab shows."""
        notebook = nbformat.v4.new_notebook(
            cells=[nbformat.v4.new_code_cell(cell) for cell in cells],
            metadata={
                "kernelspec": {
                    "display_name": "Python 3",
                    "language": "python",
                    "name": "python3",
                }
            },
        )
        path = self.root / name
        nbformat.write(notebook, path)
        return path

    def ask(self, method: str, path: str, body: object = None) -> object:
        """Send a request to the server's own API."""
        request = urllib.request.Request(  # noqa: S310 - the address is our own server's
            f"{self.url}/{path}",
            method=method,
            data=None if body is None else json.dumps(body).encode(),
            headers={"Authorization": f"token {self.token}"},
        )
        with urllib.request.urlopen(request, timeout=20) as answer:  # noqa: S310 - as above
            text = answer.read()
        return json.loads(text) if text else None

    def set_theme(self, theme: str) -> None:
        """Choose "light" or "dark" for every page opened from now on."""
        raw = json.dumps({"theme": f"JupyterLab {theme.title()}"})
        self.ask("PUT", f"lab/api/settings/{THEMES}", {"raw": raw})

    def open(self, page: Page, name: str) -> None:
        """Open a notebook and wait until its kernel is idle."""
        page.goto(
            f"{self.url}/lab/workspaces/{secrets.token_hex(4)}/tree/{name}?token={self.token}"
        )
        expect(page.locator(".jp-Notebook")).to_be_visible(timeout=60_000)
        page.wait_for_function(
            "() => window.jupyterapp?.shell.currentWidget?.sessionContext"
            "?.session?.kernel?.status === 'idle'",
            timeout=60_000,
        )

    def run_all(self, page: Page) -> None:
        """Run every cell of the notebook in front and wait until the last has ended."""
        page.evaluate("() => window.jupyterapp.commands.execute('notebook:run-all-cells')")

    def save(self, page: Page) -> None:
        """Save the notebook in front."""
        page.evaluate("() => window.jupyterapp.commands.execute('docmanager:save')")

    def restart_kernel(self, page: Page) -> None:
        """Restart the kernel of the notebook in front and wait until it is idle."""
        page.evaluate(
            "() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()"
        )
        page.wait_for_function(
            "() => window.jupyterapp.shell.currentWidget.sessionContext"
            ".session.kernel.status === 'idle'",
            timeout=60_000,
        )

    def run(self, page: Page, name: str, *cells: str) -> None:
        """Write a notebook, open it, run it."""
        self.write(name, *cells)
        self.open(page, name)
        self.run_all(page)

    def close_all(self) -> None:
        """End every kernel that a test has started."""
        for session in self.ask("GET", "api/sessions"):
            self.ask("DELETE", f"api/sessions/{session['id']}")


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _environment(home: Path) -> dict[str, str]:
    folders = {
        "IPYTHONDIR": home / "ipython",
        "JUPYTER_CONFIG_DIR": home / "config",
        "JUPYTER_DATA_DIR": home / "data",
        "JUPYTER_RUNTIME_DIR": home / "runtime",
        "JUPYTERLAB_SETTINGS_DIR": home / "settings",
        "JUPYTERLAB_WORKSPACES_DIR": home / "workspaces",
    }
    for folder in folders.values():
        folder.mkdir()
    for name, values in QUIET_SETTINGS.items():
        path = home / "settings" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(values), encoding="utf-8")
    return (
        os.environ
        | {name: str(folder) for name, folder in folders.items()}
        | {"PYTHONPATH": str(ROOT / "kit"), "JUPYTER_PREFER_ENV_PATH": "1"}
    )


def _wait_until_up(lab: Lab, server: subprocess.Popen[bytes], log: Path) -> None:
    deadline = time.monotonic() + 90
    while time.monotonic() < deadline:
        try:
            lab.ask("GET", "api/status")
        except (urllib.error.URLError, OSError):
            if server.poll() is not None:
                break
            time.sleep(0.1)
        else:
            return
    message = f"JupyterLab did not start:\n{log.read_text(encoding='utf-8')[-4000:]}"
    raise RuntimeError(message)


@contextmanager
def running_lab(home: Path) -> Iterator[Lab]:
    """Start JupyterLab on a free port and end it, kernels and all, on the way out."""
    root = home / "notebooks"
    root.mkdir()
    port = free_port()
    lab = Lab(f"http://127.0.0.1:{port}", secrets.token_hex(16), root)
    log = home / "server.log"
    command = [
        sys.executable,
        "-m",
        "jupyterlab",
        "--no-browser",
        "--allow-root",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        "--ServerApp.port_retries=0",
        f"--ServerApp.root_dir={root}",
        f"--IdentityProvider.token={lab.token}",
        "--LabApp.expose_app_in_browser=True",
        "--LabApp.extension_manager=readonly",
    ]
    with (
        log.open("wb") as output,
        subprocess.Popen(
            command,
            stdout=output,
            stderr=subprocess.STDOUT,
            env=_environment(home),
            cwd=root,
            start_new_session=True,
        ) as server,
    ):
        try:
            _wait_until_up(lab, server, log)
            yield lab
        finally:
            server.terminate()
            try:
                server.wait(15)
            except subprocess.TimeoutExpired:
                os.killpg(server.pid, signal.SIGKILL)
