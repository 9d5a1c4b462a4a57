"""What holds for the whole register is kept by name, and every change of it is an event."""

from typing import Any

import pytest

from register.errors import Refused
from register.services.questions import soon_days
from register.services.settings import begin, set_setting, setting
from tests.desk import Desk


def get(desk: Desk, name: str, default: Any = None) -> Any:  # noqa: ANN401
    with desk.read() as connection:
        return setting(connection, name, default)


def put(desk: Desk, name: str, value: Any) -> None:  # noqa: ANN401
    with desk.change() as change:
        set_setting(change, name, value)


@pytest.mark.parametrize(
    ("name", "value"), [("firm", "Ridge & Söhne"), ("sample", True), ("soon_days", 0), ("soon_days", 30), ("firm", "")]
)
def test_a_setting_reads_back_as_it_was_set(desk: Desk, name: str, value: object) -> None:
    assert get(desk, name, "never set") == "never set"
    put(desk, name, value)
    assert get(desk, name, "never set") == value
    assert desk.events() == ["setting:change"]


def test_setting_what_is_set_already_writes_no_event(desk: Desk) -> None:
    put(desk, "firm", "Ridge")
    put(desk, "firm", "Ridge")
    put(desk, "firm", "Ridge Joinery")
    assert desk.events() == ["setting:change"] * 2


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        (
            "colour", "blue",
            "There is no setting “colour”. There are: register_id, firm, firm_contact, sample, soon_days.",
        ),
        ("soon_days", "two weeks", "“two weeks” is not a number of days. Give a whole number from 0 to 366."),
        ("soon_days", -1, "“-1” is not a number of days. Give a whole number from 0 to 366."),
        ("soon_days", 367, "“367” is not a number of days. Give a whole number from 0 to 366."),
        ("soon_days", 1.5, "“1.5” is not a number of days. Give a whole number from 0 to 366."),
    ],
)  # fmt: skip
def test_a_setting_that_cant_be_is_refused(desk: Desk, name: str, value: object, sentence: str) -> None:
    with pytest.raises(Refused) as told:
        put(desk, name, value)
    assert str(told.value) == sentence
    assert desk.events() == []


def test_a_new_register_says_whose_it_is_and_whether_its_data_are_samples(desk: Desk) -> None:
    with desk.change() as change:
        begin(change, firm="Ridge Joinery", sample=True, contact="4 Slip Lane")
    assert (get(desk, "firm"), get(desk, "firm_contact"), get(desk, "sample")) == ("Ridge Joinery", "4 Slip Lane", True)
    assert get(desk, "register_id")
    assert desk.events()[0] == "register:create"


def test_a_date_counts_as_due_soon_within_two_weeks_unless_set_otherwise(desk: Desk) -> None:
    with desk.read() as connection:
        assert soon_days(connection) == 14
    put(desk, "soon_days", 7)
    with desk.read() as connection:
        assert soon_days(connection) == 7
