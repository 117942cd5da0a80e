"""Colours that keep apart for every eye, and a second cue beside each."""

import itertools

import numpy as np
import pytest

from chalkwatt.look.themes import CUES, THEMES
from tests.cards.measuring import DEFICIENCIES, contrast, lab, linear

SIGHTS = {"normal": np.eye(3), **{name: np.array(rows) for name, rows in DEFICIENCIES.items()}}


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("sight", SIGHTS)
def test_colours_keep_apart(theme, sight):
    seen = [lab(SIGHTS[sight] @ linear(one)) for one in THEMES[theme].series]
    # A difference of 2.3 is just noticed (Mahy and others, 1994); ten times that is plain on a screen.
    assert min(np.linalg.norm(a - b) for a, b in itertools.combinations(seen, 2)) >= 23


@pytest.mark.parametrize("theme", THEMES)
def test_colours_keep_apart_in_grey(theme):
    lights = sorted(lab(linear(one))[0] for one in THEMES[theme].series)
    assert min(np.diff(lights)) >= 10


@pytest.mark.parametrize("theme", THEMES)
def test_everything_is_seen_on_its_paper(theme):
    look = THEMES[theme]
    assert contrast(look.ink, look.paper) >= 7
    assert contrast(look.quiet, look.paper) >= 4.5
    assert contrast(look.accent, look.paper) >= 4.5
    # WCAG 2.2, 1.4.11: graphics need 3 to 1.
    assert all(contrast(one, look.paper) >= 3 for one in look.series)


def test_each_colour_has_dash_and_marker_of_its_own():
    for theme in THEMES.values():
        assert len(theme.series) == len(CUES)
    assert len({cue[0] for cue in CUES}) == len(CUES)
    assert len({cue[1] for cue in CUES}) == len(CUES)


def test_matrices_of_the_deficiencies_keep_grey_grey():
    for rows in DEFICIENCIES.values():
        assert np.array(rows).sum(axis=1) == pytest.approx((1, 1, 1), abs=2e-6)
