"""Open cards and measure them: nothing here uses what the cards were made with."""

import io

import numpy as np
from PIL import Image
from scipy import ndimage

# Machado, Oliveira and Fernandes (2009), doi 10.1109/TVCG.2009.113, severity 1.0, on linear RGB.
DEFICIENCIES = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
# IEC 61966-2-1 (1999): linear sRGB to CIE XYZ.
_XYZ = np.array(((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505)))


def pixels(card):
    """Rows of red, green, blue, alpha of a PNG card."""
    with Image.open(io.BytesIO(card.data)) as image:
        assert image.mode == "RGBA"
        return np.asarray(image)


def ink_box(picture):
    """Left, top, right, bottom of what is not transparent."""
    rows, columns = np.nonzero(picture[..., 3])
    return columns.min(), rows.min(), columns.max() + 1, rows.max() + 1


def pieces(picture, least=0.5):
    """Boxes of connected ink: (left, top, right, bottom)."""
    labels, _ = ndimage.label(picture[..., 3] > 255 * least)
    return [
        (box[1].start, box[0].start, box[1].stop, box[0].stop)
        for box in ndimage.find_objects(labels)
    ]


def linear(colour):
    """Linear RGB of a colour such as #aabbcc."""
    values = np.array([int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)])
    return np.where(values <= 0.04045, values / 12.92, ((values + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    """CIE L*a*b* (CIE 15:2004) of linear RGB."""
    white = _XYZ.sum(axis=1)
    shares = _XYZ @ np.clip(rgb, 0, 1) / white
    bent = np.where(shares > (6 / 29) ** 3, np.cbrt(shares), shares * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.array((116 * bent[1] - 16, 500 * (bent[0] - bent[1]), 200 * (bent[1] - bent[2])))


def contrast(one, other):
    """Contrast ratio of WCAG 2.2."""
    lights = sorted(float(_XYZ[1] @ linear(colour)) for colour in (one, other))
    return (lights[1] + 0.05) / (lights[0] + 0.05)
