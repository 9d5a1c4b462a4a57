"""Whether a tester and an instrument were fit to test on a day, and what the firm wants where they were not."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.domain.explain import day_words
from register.errors import Refused
from register.services.settings import setting
from register.store.bulk import rows_of
from register.store.tables import Instrument, Tester

REFUSE: Final = "refuse"


@dataclass(frozen=True, slots=True)
class Fitness:
    """The last days of the licences of testers by name, and of the calibrations of instruments by serial number."""

    licensed: Mapping[str, date]
    calibrated: Mapping[str, date]

    def warnings(self, tester: str, instrument: str, on: date) -> tuple[str, ...]:
        """Return what is to be said of a test on a day by this tester with this instrument, a sentence each.

        A licence or calibration holds through its last day. One whose end nobody recorded is not warned of.
        """
        ends = (
            ("The licence of", tester, self.licensed.get(tester)),
            ("The calibration of", instrument, self.calibrated.get(instrument)),
        )
        return tuple(
            [
                f"{what} {whose} ran out on {day_words(end)}, before the test of {day_words(on)}."
                for what, whose, end in ends
                if end is not None and end < on
            ]
        )


def fitness(connection: Connection) -> Fitness:
    """Return until when testers and instruments are fit to test, of those of whom it is recorded."""
    licensed = sa.select(Tester.name, Tester.expires_on).where(Tester.expires_on.is_not(None))
    calibrated = sa.select(Instrument.serial, Instrument.calibrated_until).where(
        Instrument.calibrated_until.is_not(None)
    )
    return Fitness(dict(rows_of(connection, licensed)), dict(rows_of(connection, calibrated)))


def fit_to_test(connection: Connection, tester: str, instrument: str, on: date) -> tuple[str, ...]:
    """Return the warnings to be kept with a record; refused where there are some and the firm's setting says so.

    The setting is of tests that are recorded now. One that an earlier register holds was made, whatever the firm wants.
    """
    said = fitness(connection).warnings(tester, instrument, on)
    if said and setting(connection, "expired", "") == REFUSE:
        raise Refused(f"{said[0]} The settings of this register refuse such a test: use another, or correct the day.")
    return said
