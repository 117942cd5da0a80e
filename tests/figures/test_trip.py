"""Figures of schedules: what is drawn is what was computed, and no text is cut or overlaps."""

import itertools

import numpy as np
import pytest

import chalkwatt as cw
from chalkwatt.figures.trip import power_curve

CAR = {
    "mass": 1180,
    "drag_area": 0.62,
    "rolling_coefficient": 0.0085,
    "air_density": 1.2,
    "drive_efficiency": 0.87,
    "recovery_efficiency": 0.6,
    "auxiliary_power": 350,
}


def texts(figure):
    return [
        text
        for axes in figure.axes
        for text in [*axes.texts, axes.title, axes._left_title, axes.xaxis.label, axes.yaxis.label]
        if text.get_text() and text.get_visible()
    ]


@pytest.mark.parametrize("limit", [None, "12 kW"])
def test_no_text_is_cut_or_overlaps(limit):
    figure = cw.drive_schedule(cw.schedules.nedc, **CAR, recovery_power_max=limit).figure()
    figure.draw_without_rendering()
    words = texts(figure)
    boxes = [text.get_window_extent() for text in words]
    assert len(boxes) >= 8
    for box in boxes:
        assert figure.bbox.x0 <= box.x0 < box.x1 <= figure.bbox.x1
        assert figure.bbox.y0 <= box.y0 < box.y1 <= figure.bbox.y1
    for one, other in itertools.combinations(range(len(boxes)), 2):
        pair = words[one].get_text(), words[other].get_text()
        assert not boxes[one].overlaps(boxes[other]), pair


def test_the_power_drawn_holds_the_energy():
    trip = cw.drive_schedule(cw.schedules.nedc, **CAR)
    times, power = power_curve(trip)
    area = np.trapezoid(np.maximum(power, 0), times)
    assert area == pytest.approx(trip.si("wheel_energy"), rel=2e-3)


def test_a_figure_shows_one_vehicle():
    trip = cw.drive_schedule(cw.schedules.nedc, **{**CAR, "mass": [900, 1200]})
    with pytest.raises(cw.ChalkwattError, match="many vehicles"):
        trip.figure()


def test_a_notebook_gets_a_picture_and_an_svg_is_the_same_twice():
    figure = cw.schedules.eudc.figure()
    assert figure._repr_png_()[1:4] == b"PNG"
    assert figure.svg.startswith("<?xml")
    assert figure.svg == figure.svg
