"""Texts as in a language of longer words: each word of a window two fifths longer, with letters of other languages."""

import re
from typing import Final

from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QWidget

from ui.look.widgets import Words

_WORD: Final = re.compile(r"(?<![/&])\b(?!(?:Ctrl|Alt|Shift|Enter|Esc|Del|AS|NZS)\b)[A-Za-z]{3,}\b")
"""A word of a language, and no key or name of a standard."""

_OTHER: Final = str.maketrans("aeiouAOU", "äéíöüÄÖÜ")


def longer(text: str) -> str:
    """Return a text with each of its words two fifths longer."""
    return _WORD.sub(lambda word: word[0].translate(_OTHER) + "n" * round(0.4 * len(word[0])), text)


def lengthen(window: QWidget) -> None:
    """Make the texts of a window longer: what is said, what buttons and boxes are called, what there is to choose."""
    for each in window.findChildren(QWidget):
        if isinstance(each, Words):
            each.say(longer(each.text()))
        elif isinstance(each, QLabel | QAbstractButton) and each.text():
            each.setText(longer(each.text()))
        elif isinstance(each, QComboBox) and not each.isEditable():
            for place in range(each.count()):
                each.setItemText(place, longer(each.itemText(place)))
        elif isinstance(each, QLineEdit):
            each.setPlaceholderText(longer(each.placeholderText()))
