"""An owner: the name under which his sites stand, and how he is reached."""

from collections.abc import Callable

from PySide6.QtWidgets import QLineEdit, QWidget

from register.domain.text import clean_text
from register.services.firm import OwnerRow
from ui.asking.dialog import Dialog
from ui.asking.fields import Field


class OwnerDialog(Dialog):
    """Asks for both."""

    def __init__(self, window: QWidget, owner: OwnerRow, deed: Callable[[OwnerRow, str, str], None]) -> None:
        super().__init__(window, "Change the owner")
        self._owner, self._deed = owner, deed
        self.name, self.contact = QLineEdit(owner.name), QLineEdit(owner.contact)
        self.name_field = Field("Name", self.name, "All of this owner's sites show it.")
        self.body.addWidget(self.name_field)
        self.body.addWidget(Field("How to reach the owner", self.contact, "Telephone, e-mail, or whom to ask for."))
        self.answers(leave="Leave it", verb="Save", key="Ctrl+Return", deed=self._save, hint="Enter is off here.")
        self.name.setFocus()

    def _save(self) -> None:
        name = clean_text(self.name.text())
        self.name_field.complain("" if name else "Give the name of whoever is responsible for the site.")
        if not name:
            self.name.setFocus()
            self.fit()
            return
        self._deed(self._owner, name, clean_text(self.contact.text()))
