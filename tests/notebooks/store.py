"""Run the notebooks and store their outputs, the same to the last character each time.

``python -m tests.notebooks.store`` in the project's folder, after a change that shows; or name the
notebooks to run. Without widget state: a board's is as large as its script, and its identifiers
change with every run. What is stored is the still board, which needs neither kernel nor trust.
"""

import asyncio
import sys
from pathlib import Path

import nbformat
from nbclient import NotebookClient

from tests.browsing import ROOT

FOLDER = ROOT / "notebooks"
NAMES = ("start", "pack", "load", "sun")  # the ones that tests open in a real JupyterLab
VIEW = "application/vnd.jupyter.widget-view+json"
METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}


def executed(path: Path) -> nbformat.NotebookNode:
    """Return a notebook with fresh outputs and nothing that differs from run to run."""
    notebook = nbformat.read(path, as_version=4)
    client = NotebookClient(
        notebook,
        timeout=120,
        kernel_name="python3",
        resources={"metadata": {"path": str(path.parent)}},
        record_timing=False,
        store_widget_state=False,
        coalesce_streams=True,  # how a stream is cut into pieces is a matter of time
    )
    asyncio.run(client.async_execute())
    notebook.metadata = nbformat.from_dict(METADATA)
    for cell in notebook.cells:
        cell.metadata = nbformat.from_dict({})
        for output in cell.get("outputs", ()):
            output.get("data", {}).pop(VIEW, None)
            if "metadata" in output:
                output.metadata = nbformat.from_dict({})
    return notebook


def main(names: list[str]) -> None:
    """Run the named notebooks, or all, and write them back."""
    for name in names or sorted(path.stem for path in FOLDER.glob("*.ipynb")):
        path = FOLDER / f"{name}.ipynb"
        nbformat.write(executed(path), path)
        print(path.relative_to(ROOT))


if __name__ == "__main__":
    main(sys.argv[1:])
