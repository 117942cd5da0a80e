"""Motion: pictures and films that can be stopped, killed and gone on with."""

import hashlib
import json
import random
from types import SimpleNamespace

import imageio_ffmpeg
import numpy as np
import pytest
from PIL import Image

from chalkwatt import load
from chalkwatt.cards.motion import film, run_motion, sweep_motion
from chalkwatt.cards.scenes import run_scene
from chalkwatt.errors import ChalkwattError
from chalkwatt.look.themes import choose
from tests.test_store import killed_after

TIME = np.linspace(0.0, 1.5, 60)
RUN = SimpleNamespace(time=TIME, speed=20 * TIME)
SMALL = {"size": (320, 270), "progress": False}


@pytest.fixture(scope="module")
def answer():
    return load.find("range", **load.example)


def hashes(motion):
    return [hashlib.sha256(one.read_bytes()).hexdigest() for one in motion.frames]


def test_a_run_is_drawn_in_real_time(tmp_path):
    motion = run_motion(RUN, tmp_path, rate=10, hold=0.5, **SMALL)
    assert motion.complete
    assert motion.count == 15 + 5
    assert motion.frames[0].name == "frame-00001.png"
    scene = run_scene(RUN, choose((320, 270), "light", "clear"), rate=10, hold=0.5)
    assert scene.places[:3] == pytest.approx([0.0, 0.1, 0.2])
    assert (scene.places[-5:] == 1.5).all()
    with Image.open(motion.frames[10]) as image:
        assert image.mode == "RGBA"
        assert image.size == (320, 270)
        assert image.getpixel((0, 0))[3] == 0
        assert image.info["Description"] == "72 km/h at 1.0 s"
    assert motion.alt == "Speed against time: it rises from 0 km/h at 0 s to 108 km/h at 1.5 s."


def test_nothing_moves_but_what_moves(tmp_path):
    motion = run_motion(RUN, tmp_path, rate=10, hold=0, **SMALL)
    frames = []
    for path in motion.frames:
        with Image.open(path) as image:
            frames.append(np.asarray(image))
    below = [one[-45:] for one in frames]  # numbers and title along
    assert all((one == below[0]).all() for one in below)


def test_a_stopped_motion_goes_on_and_ends_the_same(tmp_path, answer):
    whole = sweep_motion(answer, tmp_path / "a", of="speed", seconds=1, rate=12, **SMALL)
    turn = iter([False] * 5 + [True])
    part = sweep_motion(
        answer, tmp_path / "b", of="speed", seconds=1, rate=12, stop=lambda: next(turn), **SMALL
    )
    assert not part.complete
    assert len(part.frames) == 5
    with pytest.raises(ChalkwattError, match="5 of 12 pictures"):
        film(part, tmp_path / "b.mp4", progress=False)
    assert not (tmp_path / "b.mp4").exists()
    made_at = part.frames[0].stat().st_mtime_ns
    again = sweep_motion(answer, tmp_path / "b", of="speed", seconds=1, rate=12, **SMALL)
    assert again.complete
    assert again.frames[0].stat().st_mtime_ns == made_at  # what was there is kept
    assert hashes(again) == hashes(whole)


def test_another_scene_in_the_same_folder_begins_afresh(tmp_path, answer):
    first = sweep_motion(answer, tmp_path, of="speed", seconds=1, rate=6, **SMALL)
    before = hashes(first)
    lighter = load.find("range", **{**load.example, "mass": "700 kg"})
    second = sweep_motion(lighter, tmp_path, of="speed", seconds=0.5, rate=6, **SMALL)
    assert second.count == 3
    assert len(list(tmp_path.glob("frame-*.png"))) == 3
    assert hashes(second)[1] not in before


def test_a_motion_killed_at_random_moments_leaves_whole_pictures_only(tmp_path, answer):
    draw = random.Random(11)  # noqa: S311  moments, no secrets
    whole = sweep_motion(answer, tmp_path / "whole", of="speed", seconds=1, rate=20, **SMALL)
    folder = tmp_path / "killed"
    for _ in range(12):
        killed_after(
            draw.uniform(0.02, 0.4),
            lambda: sweep_motion(answer, folder, of="speed", seconds=1, rate=20, **SMALL),
        )
        for path in folder.glob("frame-*.png"):
            with Image.open(path) as image:
                image.load()
    made = sweep_motion(answer, folder, of="speed", seconds=1, rate=20, **SMALL)
    assert hashes(made) == hashes(whole)


@pytest.mark.parametrize("suffix", [".mp4", ".webm"])
def test_a_film_has_the_frames_and_is_the_same_again(tmp_path, suffix):
    motion = run_motion(RUN, tmp_path / "frames", rate=10, hold=0, **SMALL)
    one, two = (film(motion, tmp_path / f"{name}{suffix}", progress=False) for name in "ab")
    assert one.read_bytes() == two.read_bytes()
    count, seconds = imageio_ffmpeg.count_frames_and_secs(str(one))
    assert count == motion.count
    assert seconds == pytest.approx(1.5, abs=0.11)
    reader = imageio_ffmpeg.read_frames(str(one))
    assert next(reader)["size"] == (320, 270)
    if suffix == ".mp4":
        picture = np.frombuffer(next(reader), dtype=np.uint8).reshape(270, 320, 3)
        assert picture[0, 0].min() > 245  # the paper
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        f"a{suffix}",
        f"b{suffix}",
        "frames",
    ]


def test_progress_is_shown(tmp_path, capsys):
    run_motion(RUN, tmp_path, rate=4, hold=0, size=(320, 270))
    assert "6/6" in capsys.readouterr().err


def test_without_an_encoder_the_pictures_stay(tmp_path, monkeypatch):
    motion = run_motion(RUN, tmp_path, rate=4, hold=0, **SMALL)

    def none():
        raise RuntimeError("No ffmpeg exe could be found.")

    monkeypatch.setattr(imageio_ffmpeg, "get_ffmpeg_exe", none)
    with pytest.raises(ChalkwattError, match="No encoder") as caught:
        film(motion, tmp_path / "a.mp4", progress=False)
    assert "pip install" in caught.value.advice


@pytest.mark.parametrize(
    ("act", "words"),
    [
        (lambda a, p: sweep_motion(a, p, of="range", **SMALL), "no known value"),
        (
            lambda a, p: sweep_motion(a, p, of="speed", span=(20.0, 20.0), **SMALL),
            "no value at every",
        ),
        (lambda a, p: sweep_motion(a, p, of="speed", seconds=1e9, **SMALL), "cannot be made"),
        (
            lambda _, p: run_motion(SimpleNamespace(time=[1.0], speed=[1.0]), p, **SMALL),
            "does not move",
        ),
        (lambda _, p: run_motion(RUN, p, rate=0, **SMALL), "cannot be made"),
    ],
)
def test_what_cannot_move_is_named_with_a_way_out(answer, tmp_path, act, words):
    with pytest.raises(ChalkwattError, match=words) as caught:
        act(answer, tmp_path)
    assert caught.value.advice
    assert list(tmp_path.iterdir()) == []


def test_odd_sizes_and_other_formats_make_no_film(tmp_path):
    motion = run_motion(RUN, tmp_path / "f", rate=4, hold=0, size=(321, 271), progress=False)
    with pytest.raises(ChalkwattError, match="321 × 271"):
        film(motion, tmp_path / "a.mp4", progress=False)
    with pytest.raises(ChalkwattError, match=r"\.gif"):
        film(motion, tmp_path / "a.gif", progress=False)
    assert [one.name for one in tmp_path.iterdir()] == ["f"]


def test_a_spoilt_list_is_no_obstacle(tmp_path):
    (tmp_path / "motion.json").write_text("{", encoding="utf-8")
    assert run_motion(RUN, tmp_path, rate=4, hold=0, **SMALL).complete
    assert json.loads((tmp_path / "motion.json").read_text(encoding="utf-8"))["count"] == 6
