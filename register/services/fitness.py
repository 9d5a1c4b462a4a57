"""Whether a tester and an instrument were fit to test on a day, and what the firm wants where they were not."""

from datetime import date
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.errors import Refused
from register.services.settings import setting
from register.store.tables import Instrument, Tester

REFUSE: Final = "refuse"


def fitness_warnings(connection: Connection, tester: str, instrument: str, on: date) -> tuple[str, ...]:
    """Return what is to be said of a test on a day by this tester with this instrument, a sentence each.

    A licence or calibration holds through its last day. One whose end nobody recorded is not warned of.
    """
    licensed = connection.execute(sa.select(Tester.expires_on).where(Tester.name == tester)).scalar()
    calibrated = connection.execute(
        sa.select(Instrument.calibrated_until).where(Instrument.serial == instrument)
    ).scalar()
    said = []
    if licensed is not None and licensed < on:
        said.append(f"The licence of {tester} ran out on {day_words(licensed)}, before the test of {day_words(on)}.")
    if calibrated is not None and calibrated < on:
        said.append(
            f"The calibration of {instrument} ran out on {day_words(calibrated)}, before the test of {day_words(on)}."
        )
    return tuple(said)


def fit_to_test(connection: Connection, tester: str, instrument: str, on: date) -> tuple[str, ...]:
    """Return the warnings to be kept with a record; refused where there are some and the firm's setting says so."""
    said = fitness_warnings(connection, tester, instrument, on)
    if said and setting(connection, "expired", "") == REFUSE:
        raise Refused(f"{said[0]} The settings of this register refuse such a test: use another, or correct the day.")
    return said
