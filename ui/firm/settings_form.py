"""Settings: a form made from their description, each with what is wrong with it said beside it."""

from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from register.errors import Refused
from register.services.settings import BY_NAME, SCHEMA, Described, SettingsRead, set_setting, settings
from register.store.engine import Change
from ui.asking.fields import Field, Picked
from ui.firm.section import Section, point_at, scrolled
from ui.look.typeface import px
from ui.look.widgets import Sheet, Words, button
from ui.page import Desk

NOT_SAID = "Not said"


class FolderLine(QWidget):
    """The name of a folder, typed or chosen."""

    def __init__(self, desk: Desk, label: str) -> None:
        super().__init__()
        self._desk, self._label = desk, label
        self.line = QLineEdit()
        self.line.setAccessibleName(label)
        choose = button("Choose…", name=f"Choose a folder: {label.lower()}")
        choose.clicked.connect(self._choose)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self.line, 1)
        row.addWidget(choose)
        self.setFocusProxy(self.line)

    def _choose(self) -> None:
        folder = self._desk.messages.choose_folder(self._label)
        if folder is not None:
            self.line.setText(str(folder))


class SettingsSection(Section):
    """The section. Nothing is kept before it is saved, and a change from elsewhere takes away nothing typed."""

    key = "settings"
    title = "Settings"

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._kept: dict[str, Any] = {}
        self._save, self._back = button("Save settings", "primary"), button("Undo what was typed")
        self.head(self._back, self._save)
        self._asked = [each for each in SCHEMA if each.asked]
        self.fields = {each.name: self._field(each) for each in self._asked}
        self._problems = Words("", 12, 500, "overdue", wrap=True)
        sheet = Sheet()
        within = QVBoxLayout(sheet)
        within.setContentsMargins(24, 20, 24, 24)
        within.setSpacing(20)
        within.addWidget(self._problems)
        for each in self._asked:
            within.addWidget(self.fields[each.name])
        self.setMaximumWidth(px(680))
        body = QWidget()
        column = QVBoxLayout(body)
        column.setContentsMargins(0, 0, 0, 4)
        column.addWidget(sheet)
        column.addStretch(1)
        self.column.addWidget(scrolled(body), 1)
        desk.deeds.leads_to_change(self._save)
        self._save.clicked.connect(self.save)
        self._back.clicked.connect(self._undo)

    def _field(self, each: Described) -> Field:
        widget: QWidget
        if each.choices is not None:
            widget = Picked([("", NOT_SAID), *each.choices()])
        elif each.form == "folder":
            widget = FolderLine(self.desk, each.label)
        else:
            widget = QLineEdit()
        return Field(each.label, widget, each.help)

    def refresh(self) -> None:
        """Read the settings."""
        self.desk.jobs.ask(settings, self._take)

    def _take(self, found: SettingsRead) -> None:
        typed = {name for name in self._kept if self.typed(name) != _shown(self._kept[name])}
        self._kept = {each.name: found.values[each.name] for each in self._asked}
        for name, value in self._kept.items():
            if name not in typed:
                self._put(name, _shown(value))
        self._problems.say("\n".join(found.problems))
        self._problems.setVisible(bool(found.problems))

    def typed(self, name: str) -> str:
        """Return what stands in the field of a setting."""
        widget = self.fields[name].widget
        if isinstance(widget, Picked):
            return str(widget.chosen or "")
        line = widget.line if isinstance(widget, FolderLine) else widget
        assert isinstance(line, QLineEdit)
        return line.text()

    def _put(self, name: str, said: str) -> None:
        widget = self.fields[name].widget
        if isinstance(widget, Picked):
            widget.choose(said)
            return
        line = widget.line if isinstance(widget, FolderLine) else widget
        assert isinstance(line, QLineEdit)
        line.setText(said)

    def save(self) -> None:
        """Keep every setting that was changed, if all of them can be."""
        values: dict[str, Any] = {}
        wrong: Field | None = None
        for name, field in self.fields.items():
            try:
                values[name] = BY_NAME[name].read(self.typed(name))
                field.complain("")
            except Refused as why:
                field.complain(str(why))
                wrong = wrong or field
        if wrong is not None:
            point_at(wrong.widget)
            return
        self.desk.jobs.change(partial(_set_all, values), self._saved)

    def _saved(self, _nothing: None) -> None:
        for name in self.fields:
            self._kept[name] = BY_NAME[name].read(self.typed(name))
            self._put(name, _shown(self._kept[name]))
        self.desk.messages.tell("The settings are saved.")

    def _undo(self) -> None:
        for name, field in self.fields.items():
            self._put(name, _shown(self._kept.get(name, "")))
            field.complain("")


def _set_all(values: dict[str, Any], change: Change) -> None:
    for name, value in values.items():
        set_setting(change, name, value)


def _shown(value: Any) -> str:  # noqa: ANN401 - settings are of many kinds
    return "" if value is None else str(value)
