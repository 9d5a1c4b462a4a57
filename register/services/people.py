"""Testers with their competence and its expiry, instruments with their calibration: seeing and changing them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.text import clean_text
from register.errors import Refused
from register.services.clashes import check_unchanged
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.tables import Instrument, Tester


@dataclass(frozen=True, slots=True)
class TesterRow:
    """Who measures. `licence` is the number of his competence or licence, `expires_on` its last day."""

    id: str
    name: str
    licence: str
    expires_on: date | None
    version: int


@dataclass(frozen=True, slots=True)
class InstrumentRow:
    """What is measured with. `calibrated_until` is the last day of its calibration."""

    id: str
    serial: str
    description: str
    calibrated_until: date | None
    version: int


def testers(connection: Connection) -> list[TesterRow]:
    """Return the testers by their names."""
    columns = (Tester.id, Tester.name, Tester.licence, Tester.expires_on, Tester.version)
    return [TesterRow(*row) for row in connection.execute(sa.select(*columns).order_by(Tester.name))]


def instruments(connection: Connection) -> list[InstrumentRow]:
    """Return the instruments by their serial numbers."""
    columns = (
        Instrument.id, Instrument.serial, Instrument.description, Instrument.calibrated_until, Instrument.version
    )  # fmt: skip
    return [InstrumentRow(*row) for row in connection.execute(sa.select(*columns).order_by(Instrument.serial))]


def keep_tester(
    change: Change, name: str, licence: str, expires_on: date | None, *, opened: TesterRow | None = None
) -> str:
    """Enter a tester, or change the one that was opened; return his id. Refused for a name that another one has."""
    name, licence = clean_text(name), clean_text(licence)
    if not name:
        raise Refused("A tester needs a name, as it stands on his records.")
    other = change.session.scalar(sa.select(Tester.id).where(Tester.name == name))
    if other is not None and (opened is None or other != opened.id):
        raise Refused(f"There is a tester “{name}” already. Change that one, or tell the two apart by their names.")
    after = {"name": name, "licence": licence, "expires_on": expires_on}
    if opened is None:
        return _enter(change, Tester(**after), Name.TESTER_ADD, after)
    row = change.session.get_one(Tester, opened.id)
    check_unchanged(row.name, found=row.version, opened=opened.version)
    return _rewrite(change, row, Name.TESTER_CHANGE, after)


def keep_instrument(
    change: Change, serial: str, description: str, calibrated_until: date | None, *, opened: InstrumentRow | None = None
) -> str:
    """Enter an instrument, or change the one that was opened; return its id. Refused for a serial number taken."""
    serial, description = clean_text(serial), clean_text(description)
    if not serial:
        raise Refused("An instrument needs its serial number; records name it by that.")
    other = change.session.scalar(sa.select(Instrument.id).where(Instrument.serial == serial))
    if other is not None and (opened is None or other != opened.id):
        raise Refused(f"There is an instrument {serial} already. Change that one, or check the number.")
    after = {"serial": serial, "description": description, "calibrated_until": calibrated_until}
    if opened is None:
        return _enter(change, Instrument(**after), Name.INSTRUMENT_ADD, after)
    row = change.session.get_one(Instrument, opened.id)
    check_unchanged(row.serial, found=row.version, opened=opened.version)
    return _rewrite(change, row, Name.INSTRUMENT_CHANGE, after)


def add_tester(change: Change, name: str, licence: str = "") -> None:
    """Enter a tester where he is not known yet."""
    facts = {"name": clean_text(name), "licence": clean_text(licence)}
    if facts["name"] and change.session.scalar(sa.select(Tester.id).where(Tester.name == facts["name"])) is None:
        _enter(change, Tester(**facts), Name.TESTER_ADD, facts)


def add_instrument(change: Change, serial: str, description: str = "", calibrated_until: date | None = None) -> None:
    """Enter an instrument where its serial number is not known yet."""
    serial = clean_text(serial)
    if serial and change.session.scalar(sa.select(Instrument.id).where(Instrument.serial == serial)) is None:
        facts = {
            "serial": serial, "description": clean_text(description), "calibrated_until": calibrated_until
        }  # fmt: skip
        _enter(change, Instrument(**facts), Name.INSTRUMENT_ADD, facts)


def _enter(change: Change, row: Tester | Instrument, name: Name, facts: Mapping[str, str | date | None]) -> str:
    change.session.add(row)
    change.session.flush()
    audit.log(change, name, row.id, **facts)
    return row.id


def _rewrite(change: Change, row: Tester | Instrument, name: Name, after: dict[str, str | date | None]) -> str:
    before = {key: getattr(row, key) for key in after}
    if before != after:
        for key, value in after.items():
            setattr(row, key, value)
        change.session.flush()
        audit.log(change, name, row.id, before=before, after=after)
    return row.id
