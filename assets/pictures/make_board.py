"""Take the README's picture of a board: ``python assets/pictures/make_board.py``, with Chromium."""

import io
import re
import shutil
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

import chalkwatt as cw

HERE = Path(__file__).resolve().parent


def main() -> None:
    """Draw the board of the README's example as a page, and photograph the page."""
    readme = (HERE.parents[1] / "README.md").read_text(encoding="utf-8")
    car = dict(re.findall(r'"(\w+)": ("[^"]+"|[\d.]+)', readme))
    known = {name: value.strip('"') for name, value in car.items()}
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        page_file = Path(folder) / "board.html"
        cw.load.page(page_file, speed="110 km/h", wanted="range", **known)
        chromium = playwright.chromium.launch(
            executable_path=shutil.which("chromium") or shutil.which("google-chrome"),
            args=["--no-sandbox", "--disable-gpu"],
        )
        page = chromium.new_page(viewport={"width": 1240, "height": 1020}, device_scale_factor=1.5)
        page.goto(page_file.as_uri())
        page.wait_for_selector("section.chalkwatt math")
        page.evaluate("() => document.fonts.ready")
        # Down to the end of a step, so that no line is cut.
        shot = page.screenshot(clip={"x": 0, "y": 20, "width": 1240, "height": 968})
        chromium.close()
    picture = Image.open(io.BytesIO(shot)).convert("P", palette=Image.Palette.ADAPTIVE, colors=64)
    picture.save(HERE / "board.png", optimize=True)


if __name__ == "__main__":
    main()
