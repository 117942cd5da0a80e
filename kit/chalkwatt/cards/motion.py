"""Motion: a sweep or a run as a sequence of pictures with alpha, and as a film where an encoder is.

Every picture appears whole or not at all. A sequence that was stopped, or killed, goes on where it
was; one of another scene is begun afresh. The film takes its place only when it is complete.
"""

from __future__ import annotations

import json
import os
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from chalkwatt.calls import checked_call
from chalkwatt.cards.scenes import run_scene, sweep_scene
from chalkwatt.errors import ChalkwattError
from chalkwatt.look.themes import choose
from chalkwatt.store import write_bytes, write_text
from chalkwatt.wording.audience import for_whom_it_was_made

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping

    from chalkwatt.answering.answers import Answer
    from chalkwatt.cards.scenes import Moving, Scene

__all__ = ["Motion", "film", "run_motion", "sweep_motion"]

_LIST = "motion.json"
_NUMBERED = re.compile(r"frame-\d{5}\.png")
# Constant quality, a file without date or maker; VP9 keeps alpha, H.264 has none.
_CODECS = {".mp4": ("libx264", "yuv420p"), ".webm": ("libvpx-vp9", "yuva420p")}
_BIT_EXACT = ["-fflags", "+bitexact", "-flags:v", "+bitexact", "-map_metadata", "-1"]


@dataclass(frozen=True)
class Motion:
    """A sequence of pictures.

    Attributes
    ----------
    folder : Path
    frames : tuple of Path
        Those that are there, in order.
    count : int
        How many there are to be.
    rate : float
        Frames per second.
    alt : str
        The motion in words.
    carries : dict of str to float
        Quantities whose numbers it shows, in SI units.
    paper : str
        The ground for a film without alpha.
    """

    folder: Path
    frames: tuple[Path, ...]
    count: int
    rate: float
    alt: str
    carries: Mapping[str, float]
    paper: str

    @property
    def complete(self) -> bool:
        """Whether every picture is there."""
        return len(self.frames) == self.count


@checked_call
def run_motion(
    run: Moving,
    folder: str | Path,
    *,
    rate: float = 30,
    unit: str = "km/h",
    hold: float = 1.0,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    progress: bool = True,
    stop: Callable[[], bool] | None = None,
) -> Motion:
    """Draw a run, such as a standing start, in real time.

    Parameters
    ----------
    run : object
        With ``time`` in seconds and ``speed`` in metres per second, arrays of the same length.
    folder : str or Path
        Where the pictures go, ``frame-00001.png`` and so on.
    rate : float
        Frames per second.
    unit : str
        Of speed.
    hold : float
        Seconds for which the end stands.
    size, theme, ground
        As for :func:`chalkwatt.cards.card.equation_card`.
    progress : bool
        Whether a bar is shown.
    stop : callable, optional
        Asked before every picture; when it says True, what is done stays and the rest can be made
        later by the same call.

    Returns
    -------
    Motion

    Raises
    ------
    ChalkwattError
        If there is nothing to draw, or the folder cannot be written to.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> import chalkwatt as cw
    >>> run = cw.standing_start(mass=1500, motor_power=120e3, friction=0.9,
    ...     driven_weight_share=0.5, rolling_coefficient=0.01, drag_area=0.6, air_density=1.2)
    >>> with TemporaryDirectory() as folder:
    ...     cw.run_motion(run, folder, rate=1, size=(480, 270), progress=False).complete
    True
    """
    look = choose(size, theme, ground)
    scene = run_scene(run, look, rate=rate, unit=unit, hold=hold)
    return _written(scene, Path(folder), rate, progress=progress, stop=stop)


@for_whom_it_was_made
@checked_call
def sweep_motion(
    answer: Answer,
    folder: str | Path,
    *,
    of: str,
    span: tuple[Any, Any] | None = None,
    seconds: float = 6.0,
    rate: float = 30,
    size: str | tuple[int, int] = "landscape",
    theme: str = "light",
    ground: str = "clear",
    progress: bool = True,
    stop: Callable[[], bool] | None = None,
) -> Motion:
    """Draw how the wanted changes as one known quantity is swept.

    Parameters
    ----------
    answer : Answer
    folder : str or Path
        Where the pictures go.
    of : str
        Name of a known quantity.
    span : tuple of two, optional
        From where to where, in SI or as text with units; the usual range if left out.
    seconds : float
        How long the sweep takes.
    rate, size, theme, ground, progress, stop
        As for :func:`run_motion`.

    Returns
    -------
    Motion

    Raises
    ------
    ChalkwattError
        If the quantity cannot be swept, or the folder cannot be written to.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> import chalkwatt as cw
    >>> answer = cw.load.find("air_force", speed="90 km/h", drag_area=0.6, air_density=1.2)
    >>> with TemporaryDirectory() as folder:
    ...     motion = cw.sweep_motion(
    ...         answer, folder, of="speed", seconds=0.1, size=(480, 270), progress=False
    ...     )
    ...     motion.count
    3
    """
    look = choose(size, theme, ground)
    scene = sweep_scene(answer, look, of=of, span=span, seconds=seconds, rate=rate)
    return _written(scene, Path(folder), rate, progress=progress, stop=stop)


def _written(
    scene: Scene,
    folder: Path,
    rate: float,
    *,
    progress: bool,
    stop: Callable[[], bool] | None,
) -> Motion:
    names = [f"frame-{number:05}.png" for number in range(1, scene.count + 1)]
    belongs = _told(folder)
    if belongs != scene.fingerprint:
        left = [old for old in folder.glob("frame-*.png") if _NUMBERED.fullmatch(old.name)]
        if left and not belongs:
            raise ChalkwattError(
                f"{folder} holds pictures that no motion has listed, such as {left[0].name}.",
                value=str(folder),
                advice="Choose a folder of its own for each motion, or move them away.",
            )
        for old in left:
            old.unlink(missing_ok=True)
    # Written before the first picture: what lies beside it belongs to this scene.
    write_text(
        folder / _LIST, json.dumps({"scene": scene.fingerprint, "count": scene.count}) + "\n"
    )
    missing = [number for number, name in enumerate(names) if not (folder / name).is_file()]
    if missing:
        with scene:
            for number in _watched(missing, scene.count, progress=progress):
                if stop is not None and stop():
                    break
                write_bytes(folder / names[number], scene.frame(number))
    there = tuple(folder / name for name in names if (folder / name).is_file())
    paper = scene.look.theme.paper
    return Motion(folder, there, scene.count, rate, scene.alt, scene.carries, paper)


def _told(folder: Path) -> str:
    """Read which scene the pictures in a folder belong to."""
    try:
        listed = json.loads((folder / _LIST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return ""
    return str(listed.get("scene", "")) if isinstance(listed, dict) else ""


def _watched(numbers: list[int], count: int, *, progress: bool) -> Iterable[int]:
    if not progress:
        return numbers
    try:
        from tqdm.auto import tqdm  # noqa: PLC0415  an extra
    except ImportError:
        return numbers
    bar: Iterable[int] = tqdm(numbers, total=count, initial=count - len(numbers), unit="frame")
    return bar


@checked_call
def film(motion: Motion, path: str | Path, *, progress: bool = True) -> Path:
    """Make a film of a complete sequence.

    Parameters
    ----------
    motion : Motion
    path : str or Path
        Ending in ``.mp4`` (on the paper of the theme) or ``.webm`` (with alpha).
    progress : bool
        Whether a bar is shown.

    Returns
    -------
    Path

    Raises
    ------
    ChalkwattError
        If pictures are missing, no encoder is found, or it fails; no file is left then.
    """
    place = Path(path)
    codec, layout = _codec(place)
    if not motion.complete:
        raise ChalkwattError(
            f"{len(motion.frames)} of {motion.count} pictures are there.",
            value=len(motion.frames),
            limit=motion.count,
            advice="Make the rest first, by the call that was stopped.",
        )
    encode = _encoder()
    beside = place.with_name(f".{place.stem}.{os.getpid()}.part{place.suffix}")
    place.parent.mkdir(parents=True, exist_ok=True)
    try:
        pictures = _pictures(motion, None if "a" in layout else motion.paper, progress=progress)
        first = next(pictures)
        size = first.shape[1], first.shape[0]
        if any(one % 2 for one in size):
            raise ChalkwattError(
                f"A film of {size[0]} × {size[1]} pixels cannot be encoded.",
                value=size,
                unit="px",
                advice="Take an even number of pixels each way.",
            )
        quality = ["-crf", "18", "-threads", "1"]
        if codec == "libvpx-vp9":
            quality += ["-b:v", "0", "-deadline", "good", "-cpu-used", "5"]
        writer = encode(
            str(beside),
            size,
            pix_fmt_in="rgba",
            pix_fmt_out=layout,
            fps=motion.rate,
            codec=codec,
            quality=None,
            macro_block_size=1,
            output_params=[*quality, *_BIT_EXACT],
        )
        writer.send(None)
        writer.send(np.ascontiguousarray(first))
        for picture in pictures:
            writer.send(np.ascontiguousarray(picture))
        writer.close()
        if not beside.is_file() or not beside.stat().st_size:
            raise ChalkwattError("The encoder wrote nothing.", advice="Try the other format.")
        beside.replace(place)
    except OSError as cause:
        raise ChalkwattError(
            f"{place} cannot be made: {cause}.",
            value=str(place),
            advice="Try the other format, .mp4 or .webm, or another folder.",
        ) from cause
    finally:
        beside.unlink(missing_ok=True)
    return place


def _codec(place: Path) -> tuple[str, str]:
    if place.suffix.lower() not in _CODECS:
        raise ChalkwattError(
            f"A film cannot be written as {place.suffix or place.name!r}.",
            value=str(place),
            limit=tuple(_CODECS),
            advice="End the file's name in .mp4 or .webm.",
        )
    return _CODECS[place.suffix.lower()]


def _encoder() -> Callable[..., Any]:
    try:
        from imageio_ffmpeg import get_ffmpeg_exe, write_frames  # noqa: PLC0415  an extra

        get_ffmpeg_exe()
    except (ImportError, RuntimeError) as cause:
        raise ChalkwattError(
            "No encoder for films is found; the pictures are there all the same.",
            advice="Install one with: pip install 'chalkwatt[publish]'",
        ) from cause
    encode: Callable[..., Any] = write_frames
    return encode


def _pictures(motion: Motion, ground: str | None, *, progress: bool) -> Iterator[Any]:
    from PIL import Image  # noqa: PLC0415  Pillow is for this alone

    for number in _watched(list(range(motion.count)), motion.count, progress=progress):
        with Image.open(motion.frames[number]) as file:
            picture = file.convert("RGBA")
        if ground is not None:
            paper = Image.new("RGBA", picture.size, ground)
            paper.alpha_composite(picture)
            picture = paper
        yield np.asarray(picture)
