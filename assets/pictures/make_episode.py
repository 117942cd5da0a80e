"""Make the README's pictures of an episode: ``python assets/pictures/make_episode.py``."""

import io
import tempfile
from pathlib import Path

from PIL import Image, PngImagePlugin

import chalkwatt as cw

HERE = Path(__file__).resolve().parent
PICTURES = {
    "cards/range.png": "range.png",
    "figures/losses.png": "losses.png",
    "claims/2-range-spread.png": "claim.png",
}


def main() -> None:
    """Make the episode of the demo sheet, and take three of its pictures."""
    sheet = HERE.parent / "quillwort.toml"
    with tempfile.TemporaryDirectory() as folder:
        cw.episode(sheet, folder, size="960x540", ground="paper")
        for made, name in PICTURES.items():
            picture = Image.open(io.BytesIO((Path(folder) / made).read_bytes()))
            few = picture.convert("P", palette=Image.Palette.ADAPTIVE, colors=32)
            # What it shows goes with it, in words, so that a test sees when it is not true any more.
            words = PngImagePlugin.PngInfo()
            words.add_text("Description", picture.text["Description"])
            few.save(HERE / name, optimize=True, pnginfo=words)


if __name__ == "__main__":
    main()
