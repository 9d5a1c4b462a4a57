"""Which register on a server is to be opened: its address, and the password that is told to nobody."""

from collections.abc import Callable

from PySide6.QtWidgets import QLineEdit, QWidget

from ui.asking.dialog import Dialog
from ui.asking.fields import Field
from ui.asking.reading import needed, right
from ui.look.widgets import Words

EXAMPLE = "postgresql+psycopg://ana@db.example.org/retest"


class ServerDialog(Dialog):
    """Asks for both, and hands them to `deed`: the address as typed, and the password, empty where none was."""

    def __init__(self, window: QWidget, address: str, deed: Callable[[str, str], None]) -> None:
        super().__init__(window, "Open a register on a server")
        self._deed = deed
        about = "A team's register is on a PostgreSQL server. Whoever keeps it tells you the address and your login."
        self.body.addWidget(Words(about, 13, 400, "ink2", wrap=True))
        self.address = QLineEdit(address)
        self.address_field = Field("Address", self.address, f"Such as {EXAMPLE}: your login, the server, the database.")
        self.body.addWidget(self.address_field)
        self.password = QLineEdit(echoMode=QLineEdit.EchoMode.Password)
        kept = "Kept by the system's keyring where there is one, and nowhere else."
        self.body.addWidget(Field("Password", self.password, kept))
        self.answers(leave="Leave it", verb="Open", key="Ctrl+Return", deed=self._open, hint="Enter is off here.")
        (self.password if address else self.address).setFocus()

    def _open(self) -> None:
        typed = right(self.address_field, needed("Type the address of the register."))
        if typed:
            self._deed(typed, self.password.text())
