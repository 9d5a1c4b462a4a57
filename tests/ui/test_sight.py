"""Standings told apart by eyes that see fewer colours, or none."""

from itertools import combinations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage, QPainter

from register.domain.words import Standing, spoken
from ui.look import theme
from ui.look.glyphs import STANDING_GLYPHS, glyph

BOTH = (theme.LIGHT, theme.DARK)
SIDE = 16
LEAST_APART = 1.25
"""So many times as bright, with 0.05 of stray light added, is the one beside the other."""
LEAST_DIFFERENT = 0.25
"""That share of the ink of two glyphs falls on different places."""

USUAL = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
PROTANOPIA = ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998))
DEUTERANOPIA = ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881))
GREY = ((0.2126, 0.7152, 0.0722),) * 3
"""What an eye makes of linear red, green and blue. Both matrices are those of Machado, Oliveira and Fernandes (2009)
at full strength, from memory; grey is the relative luminance of WCAG 2.2."""
SIGHTS = {"usual": USUAL, "protanopia": PROTANOPIA, "deuteranopia": DEUTERANOPIA, "grey": GREY}


def bright(colour: str, sight: tuple[tuple[float, ...], ...]) -> float:
    """Relative luminance of a colour as an eye sees it."""
    parts = [part / 255 for part in QColor(colour).getRgb()[:3]]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    seen = [min(1.0, max(0.0, sum(weight * part for weight, part in zip(row, linear, strict=True)))) for row in sight]
    return sum(weight * part for weight, part in zip(GREY[0], seen, strict=True))


def apart(one: str, other: str, sight: tuple[tuple[float, ...], ...]) -> float:
    darker, lighter = sorted((bright(one, sight), bright(other, sight)))
    return (lighter + 0.05) / (darker + 0.05)


def ink(mark: str) -> set[tuple[int, int]]:
    """Where a glyph leaves ink in the smallest size it is used at, all glyphs in the same black."""
    image = QImage(SIDE, SIDE, QImage.Format.Format_Grayscale8)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    glyph(painter, mark, 0, 0, SIDE, "#000000")
    painter.end()
    return {(x, y) for x in range(SIDE) for y in range(SIDE) if image.pixelColor(x, y).lightness() < 128}


@pytest.mark.parametrize(("one", "other"), list(combinations(Standing, 2)))
def test_two_standings_differ_in_word_and_shape_where_no_colour_is_seen(one: Standing, other: Standing) -> None:
    assert spoken(one) != spoken(other)
    first, second = ink(STANDING_GLYPHS[one]), ink(STANDING_GLYPHS[other])
    assert len(first ^ second) / len(first | second) >= LEAST_DIFFERENT


@pytest.mark.parametrize("sight", SIGHTS)
@pytest.mark.parametrize("tokens", BOTH, ids=lambda each: each.name)
def test_overdue_and_due_soon_are_apart_in_brightness_for_every_eye(tokens: theme.Tokens, sight: str) -> None:
    assert apart(tokens.overdue.fill, tokens.soon.fill, SIGHTS[sight]) >= LEAST_APART


@pytest.mark.parametrize("sight", SIGHTS)
@pytest.mark.parametrize("tokens", BOTH, ids=lambda each: each.name)
def test_every_standing_is_seen_on_its_grounds_by_every_eye(tokens: theme.Tokens, sight: str) -> None:
    tones = [tokens.overdue, tokens.soon, tokens.service, tokens.withdrawn, tokens.unknown]
    weak = {
        (tone.fill, ground): round(apart(tone.fill, ground, SIGHTS[sight]), 2)
        for tone in tones
        for ground in (tokens.ground, tokens.surface)
        if apart(tone.fill, ground, SIGHTS[sight]) < 3
    }
    assert weak == {}
