"""A connection to a file that lets go of it whenever it is closed."""

import sqlite3
import weakref
from typing import Any


class LettingGo(sqlite3.Connection):
    """A connection that lets go of the file when it is closed, whoever still holds a result that was not read out.

    The traceback of work that was stopped holds such results. Python leaves them open when their connection is closed;
    SQLite then keeps the file locked for reading, and the next change could not be kept.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:  # noqa: ANN401 - what the driver takes
        super().__init__(*args, **kwargs)
        self._cursors: weakref.WeakSet[sqlite3.Cursor] = weakref.WeakSet()

    def cursor(self, *args: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - what the driver takes
        """Return a cursor, whose result is closed with the connection."""
        made = super().cursor(*args, **kwargs)
        self._cursors.add(made)
        return made

    def close(self) -> None:
        """Close the results, then the connection."""
        for cursor in list(self._cursors):
            cursor.close()
        super().close()
