"""A file is the old one or the new one, whenever the writer is killed."""

import os
import random
import signal
import time

import pytest

from chalkwatt import load
from chalkwatt.errors import ChalkwattError
from chalkwatt.store import write_bytes, write_text


def killed_after(seconds, work):
    """Run work in a child process and kill it; the child never returns."""
    child = os.fork()
    if child == 0:
        try:
            work()
        finally:
            os._exit(0)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


def test_an_export_killed_100_times_leaves_old_or_new(tmp_path):
    answer = load.find("range", **load.example)
    cards = [answer.card(theme=theme, ground="paper") for theme in ("light", "dark")]
    whole = {card.data for card in cards}
    path = tmp_path / "range.png"
    cards[0].write(path)
    draw = random.Random(5)  # noqa: S311  moments, no secrets

    def export():
        for place in range(10_000):
            cards[place % 2].write(path)

    seen = set()
    for _ in range(100):
        killed_after(draw.uniform(0.0005, 0.02), export)
        data = path.read_bytes()
        assert data in whole
        seen.add(data)
    assert seen == whole  # the writer did get to work in between
    cards[1].write(path)
    cards[0].write(path)
    assert [one.name for one in tmp_path.iterdir()] == ["range.png"]  # nothing is left lying about


def test_the_same_bytes_leave_the_file_alone(tmp_path):
    path = write_text(tmp_path / "a.txt", "one")
    os.utime(path, (1, 1))
    write_text(path, "one")
    assert path.stat().st_mtime == 1
    write_text(path, "two")
    assert path.stat().st_mtime > 1


def test_a_failed_write_keeps_the_old_file(tmp_path, monkeypatch):
    path = write_bytes(tmp_path / "a.bin", b"old")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ChalkwattError, match="No space left") as caught:
        write_bytes(path, b"new")
    assert str(path) in str(caught.value)
    assert path.read_bytes() == b"old"
    assert [one.name for one in tmp_path.iterdir()] == ["a.bin"]


def test_names_with_wildcards_are_names(tmp_path):
    other = tmp_path / ".b.999999.part"
    other.write_text("mine")
    write_text(tmp_path / "[ab]*?.txt", "one")
    assert other.read_text() == "mine"


def test_a_folder_in_the_way_is_an_error_that_says_so(tmp_path):
    with pytest.raises(ChalkwattError, match="cannot be written"):
        write_bytes(tmp_path, b"x")


def test_a_read_only_file_is_left_and_who_may_read_it_stays(tmp_path):
    place = tmp_path / "card.svg"
    write_bytes(place, b"one")
    place.chmod(0o600)
    write_bytes(place, b"two")
    assert place.stat().st_mode & 0o777 == 0o600
    place.chmod(0o400)
    with pytest.raises(ChalkwattError, match=r"card\.svg is read-only"):
        write_bytes(place, b"three")
    assert write_bytes(place, b"two") == place
    assert place.read_bytes() == b"two"
    assert sorted(one.name for one in tmp_path.iterdir()) == ["card.svg"]
