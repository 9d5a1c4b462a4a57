"""Help: the page of the manual for what is on screen, and the page of all keys, which is made from the actions."""

from pathlib import Path
from typing import Any, Final

from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QImage, QTextBlock, QTextBlockFormat, QTextCharFormat, QTextCursor, QTextDocument
from PySide6.QtWidgets import QDialog, QLayout, QTextBrowser, QVBoxLayout, QWidget

from register.errors import Unavailable
from resources import RESOURCES
from ui.actions import ACTIONS, MENUS, Action
from ui.look.typeface import font, px

MARGIN: Final = 24
HEADS: Final = {1: 24, 2: 17, 3: 15}
"""The sizes of the heads by their level."""
LINE: Final = 145
"""The height of a line of text, in percent."""
SMOOTH: Final = Qt.TransformationMode.SmoothTransformation
MANUAL: Final = RESOURCES.parent / "docs" / "manual"


class Browser(QTextBrowser):
    """Shows a page with its pictures no wider than itself."""

    def loadResource(self, kind: int, name: QUrl | str) -> Any:  # noqa: ANN401 - Qt's own
        path = MANUAL / QUrl(name).path()
        if kind != QTextDocument.ResourceType.ImageResource.value or not path.is_file():
            return super().loadResource(kind, name)
        picture = QImage(str(path))
        room = self.viewport().width() - px(2 * MARGIN + 10)
        return picture.scaledToWidth(room, SMOOTH) if picture.width() > room else picture

    def set_type(self) -> None:
        """Give heads their sizes, and text and pictures air; a page itself says nothing of that."""
        self.document().setDocumentMargin(px(MARGIN))
        block = self.document().begin()
        while block.isValid():
            _set_block(block)
            block = block.next()


def _set_block(block: QTextBlock) -> None:
    cursor, shape = QTextCursor(block), block.blockFormat()
    level = shape.headingLevel()
    if level:
        cursor.select(QTextCursor.SelectionType.BlockUnderCursor)
        face = QTextCharFormat()
        face.setFont(font(HEADS.get(level, 13), 600))
        cursor.mergeCharFormat(face)
    listed = block.textList() is not None
    above = 22 if level > 1 else 0 if listed or level else 8
    shape.setTopMargin(px(above))
    shape.setBottomMargin(px(4 if listed else 10))
    if not level and "\ufffc" not in block.text():
        shape.setLineHeight(LINE, QTextBlockFormat.LineHeightTypes.ProportionalHeight.value)
    cursor.setBlockFormat(shape)


class Help(QDialog):
    """One page of the manual, with links to the others. It stays open beside the window."""

    def __init__(self, window: QWidget, page: str) -> None:
        super().__init__(window)
        self.setWindowTitle("Help")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.resize(min(px(760), window.width()), min(px(760), window.height()))
        self._browser = Browser()
        self._browser.setAccessibleName("Help")
        self._browser.setFont(font(13))
        self._browser.setOpenExternalLinks(False)
        self._browser.setSearchPaths([str(MANUAL)])
        self._browser.sourceChanged.connect(lambda _page: self._browser.set_type())
        column = QVBoxLayout(self)
        column.setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._browser)
        column.activate()
        self.show_page(page)

    def show_page(self, page: str) -> None:
        """Show a page by its name."""
        path = MANUAL / f"{page}.md"
        if not path.is_file():
            raise Unavailable(f"The page “{page}” of the manual is not installed. Install the program again.")
        self._browser.setSource(QUrl.fromLocalFile(str(path)))

    @property
    def text(self) -> str:
        """The page as plain text."""
        return self._browser.toPlainText()


def keys_page() -> str:
    """Return the page of all keys, as it stands in the manual."""
    lines = ["# All keys", "", "Made from the table of actions: `python3 -m ui --write manual`.", ""]
    for menu in MENUS:
        mine = [each for each in ACTIONS if each.menu == menu]
        lines += [f"## {menu}", "", "| action | keys | needs |", "|---|---|---|"]
        lines += [f"| {each.title} | {_keys(each)} | {each.needs} |" for each in mine]
        lines.append("")
    lines += [
        "Letters alone act only when no other character follows at once, so that a scanned code fires nothing. In",
        "dialogs Enter answers nothing, so a scanner can't.",
        "",
    ]
    return "\n".join(lines)


def _keys(each: Action) -> str:
    return " or ".join(filter(None, [each.key, each.also])) or "menu"


def write_keys(folder: Path) -> Path:
    """Write the page of all keys into a folder of the manual."""
    path = folder / "keys.md"
    path.write_text(keys_page(), encoding="utf-8", newline="\n")
    return path
