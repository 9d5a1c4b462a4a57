"""The codes set aside: each can become an item now, or be let go."""

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QHBoxLayout, QListWidget, QListWidgetItem, QWidget

from register.services.bench.aside import Aside
from ui.asking.dialog import Dialog
from ui.dates import shown
from ui.look.typeface import font, px
from ui.look.widgets import Words, button


class AsideDialog(Dialog):
    """Lists the codes that wait. `enter` gets one that is to become an item, `drop` one that is none."""

    def __init__(
        self, window: QWidget, codes: tuple[Aside, ...], enter: Callable[[str], None], drop: Callable[[str], None]
    ) -> None:
        super().__init__(window, "Codes set aside")
        self._enter, self._drop = enter, drop
        self.list = QListWidget()
        self.list.setAccessibleName("Codes set aside")
        self.list.setFont(font(13, 500, code=True))
        self.list.setMinimumHeight(px(260))
        for each in codes:
            where = ", ".join(part for part in (each.site, each.area) if part) or "no place chosen"
            line = QListWidgetItem(f"{each.code}   {shown(each.scanned_at.astimezone().date())}   {where}")
            line.setData(Qt.ItemDataRole.UserRole, each.code)
            line.setSizeHint(QSize(0, px(30)))
            self.list.addItem(line)
        none = "Every code that was scanned is an item's." if not codes else ""
        self.body.addWidget(Words(none or "No item has these. The newest comes first.", 13, 400, "ink2", wrap=True))
        self.body.addWidget(self.list)
        row = QHBoxLayout()
        let_go = button("Let it go   Alt D", name="Let it go")
        let_go.setShortcut("Alt+D")
        let_go.clicked.connect(self._let_go)
        let_go.setEnabled(bool(codes))
        row.addWidget(let_go)
        row.addStretch(1)
        self.body.addLayout(row)
        done = self.answers(leave="Close", verb="Enter it as an item", key="Alt+A", deed=self._chosen, hint="")
        done.setEnabled(bool(codes))
        self.list.setVisible(bool(codes))
        if codes:
            self.list.setCurrentRow(0)
            self.list.setFocus()

    @property
    def code(self) -> str:
        """The code that is chosen; empty where none is left."""
        row = self.list.currentRow()
        return "" if row < 0 else str(self.list.item(row).data(Qt.ItemDataRole.UserRole))

    def _chosen(self) -> None:
        if self.code:
            self._enter(self.code)
            self.accept()

    def _let_go(self) -> None:
        if self.code:
            self._drop(self.code)
            self.list.takeItem(self.list.currentRow())
