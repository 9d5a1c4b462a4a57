"""Opening a register wherever it is: in a file, or on a PostgreSQL server."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date, datetime
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection, Engine

from register.errors import Earlier, Refused, Unavailable
from register.store import engine
from register.store import upgrade as layouts
from register.store.address import Address, Place
from register.store.engine import Change, Register
from register.store.faults import NOT_OURS, told
from register.store.on_share import open_to_work
from register.store.rights import set_rights
from register.store.server import check_server, is_empty, is_keeper, only_looking, server_engine
from register.store.server_faults import KeptAfterAll, Lost, Unsure
from register.store.session_notes import LAST_EVENT
from register.store.upgrade import build, revision

KEEPER: Final = (
    "The login owns the tables of {name} or stands above its rules, so nothing would hold it to what it may see and do."
    " Use it for upgrade and move alone, and log in to work as a contractor, assistant or reviewer."
)
NOT_THE_KEEPER: Final = (
    "{name} is brought up to date by the login that owns its tables, and yours does not. Ask whoever keeps the server"
    " to do it."
)
EARLIER: Final = (
    "{name} was made by an earlier version of this program. Ask whoever keeps the server to bring it up to date, with"
    " the command upgrade and the login that owns the tables; or use the version that made it."
)
YOURS_TO_UPGRADE: Final = (
    "{name} was made by an earlier version of this program. Bring it up to date first, here or with the command"
    " upgrade: a copy of it as it is will be kept in a file."
)
NEWER: Final = (
    "{name} was brought up to date by a newer version of this program, which knows more than this one could keep;"
    " nothing was changed. Update the program here, then open it again."
)


UNSURE: Final = (
    "The connection to {name} broke while this change was being kept, and whether it was is not known yet. Do it again"
    " when the server is back: it is asked first, so that nothing is entered twice."
)
KEPT_AFTER_ALL: Final = (
    "What you saved in {name} before the connection broke was kept after all. Look at it before you do it again."
)


class ServerRegister(Register):
    """An open register on a server, where a connection can break at any moment."""

    _unsure = ""
    """The last event of a change of which it is not known yet whether it was kept."""

    @contextmanager
    def change(self, *, actor: str, at: datetime, today: date, keep: bool = True) -> Iterator[Change]:
        """Give a transaction as `Register.change` does. Where the connection breaks, what was kept is found out.

        Lost is raised only where nothing was kept, so that whoever gets it can make the change once more. Unsure, where
        the server is not back to say: the next change asks first, and KeptAfterAll is raised in its place if it was.
        """
        last: list[str] = []
        if keep:
            self._find_out()
        try:
            with super().change(actor=actor, at=at, today=today, keep=keep) as change:
                _check_still_known(change.session.connection(), self.name)
                yield change
                change.session.flush()
                last += filter(None, [change.session.info.get(LAST_EVENT)])
        except Lost as lost:
            if not (keep and last):
                raise
            self._unsure = last[0]
            try:
                self._find_out()
            except KeptAfterAll:
                if self._watcher is not None:
                    self._watcher.kept()
                return
            raise lost from lost.__cause__

    @contextmanager
    def read(self, *, patient: bool = False) -> Iterator[Connection]:
        """Give a connection as `Register.read` does; refused once a newer program has laid the register out anew."""
        try:
            with super().read(patient=patient) as connection:
                yield connection
        except sa.exc.ProgrammingError:
            with super().read() as connection:
                _check_still_known(connection, self.name)
            raise

    def _find_out(self) -> None:
        """Ask whether the change was kept of which that is not known, where there is one; raise KeptAfterAll if so."""
        if not self._unsure:
            return
        try:
            kept = self._has_event(self._unsure)
        except Unavailable as still_away:
            raise Unsure(UNSURE.format(name=self.name)) from still_away
        self._unsure = ""
        if kept:
            raise KeptAfterAll(KEPT_AFTER_ALL.format(name=self.name))

    def _has_event(self, key: str) -> bool:
        """Whether an event was kept, asked over a new connection."""
        self.engine.dispose()
        with self.read() as connection:
            return bool(connection.exec_driver_sql("SELECT has_event(%s)", (key,)).scalar_one())


def open_place(place: Place) -> Register:
    """Open an existing register to work in; refused, with nothing changed, where it is none or of another version."""
    return _opened(place, keeper=False) if isinstance(place, Address) else open_to_work(place)


def open_as_keeper(place: Place) -> Register:
    """Open a register to upgrade or move it; on a server with the login that owns its tables."""
    return _opened(place, keeper=True) if isinstance(place, Address) else open_to_work(place)


def open_to_upgrade(place: Address) -> Register:
    """Open a register of this layout or an earlier one, with the login that owns its tables; refused for any other."""
    with _connecting(place) as made:
        with made.connect() as connection, connection.begin():
            check_server(connection, place.name)
            if revision(connection) not in layouts.EARLIER:
                _check_layout(connection, place)
            if not is_keeper(connection):
                raise Refused(NOT_THE_KEEPER.format(name=place.name))
        return Register(made, place.name)


@contextmanager
def building(place: Place) -> Iterator[Connection]:
    """Give the connection in which an empty register was made, and more can be put into it: whole or not at all."""
    if isinstance(place, Address):
        with (
            _connecting(place) as made,
            made.connect().execution_options(writes=True, patient=True) as connection,
            connection.begin(),
        ):
            check_server(connection, place.name)
            _check_empty(connection, place)
            build(connection)
            set_rights(connection)
            yield connection
        made.dispose()
        return
    with closing(engine.create_register(place)) as fresh:
        try:
            with (
                told(fresh.name, place),
                fresh.engine.connect().execution_options(writes=True) as connection,
                connection.begin(),
            ):
                yield connection
        except BaseException:
            place.unlink(missing_ok=True)
            raise


def _opened(place: Address, *, keeper: bool) -> Register:
    with _connecting(place) as made:
        with made.connect() as connection, connection.begin():
            check_server(connection, place.name)
            _check_layout(connection, place)
            if not keeper:
                _check_login(connection, place)
            why = only_looking(connection, place.name)
        return ServerRegister(made, place.name, why)


@contextmanager
def _connecting(place: Address) -> Iterator[Engine]:
    """Give the engine of a server; it lets go of its connections where the block raises."""
    made = server_engine(place)
    try:
        with told(place.name):
            yield made
    except Lost as reason:
        made.dispose()
        raise Unavailable(
            f"The server of {place.name} can't be reached. Check the address and the network, then try again."
        ) from reason
    except BaseException:
        made.dispose()
        raise


def _check_empty(connection: Connection, place: Address) -> None:
    if not is_empty(connection):
        raise Refused(f"{place.name} is not empty; it was left as it is. Choose another database.")


def _check_layout(connection: Connection, place: Address) -> None:
    found = revision(connection)
    if found is None:
        raise Refused(NOT_OURS.format(name=place.name))
    if found in layouts.EARLIER:
        if is_keeper(connection):
            raise Earlier(YOURS_TO_UPGRADE.format(name=place.name))
        raise Refused(EARLIER.format(name=place.name))
    if found != layouts.HEAD:
        raise Refused(NEWER.format(name=place.name))


def _check_still_known(connection: Connection, name: str) -> None:
    """Refuse to go on with a register that was brought up to date since it was opened."""
    if connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() != layouts.HEAD:
        raise Refused(NEWER.format(name=name))


def _check_login(connection: Connection, place: Address) -> None:
    if is_keeper(connection):
        raise Refused(KEEPER.format(name=place.name))
