"""What holds for the whole register is kept by name, and every change of it is an event."""

from typing import Any

import pytest

from register.errors import Refused
from register.services.questions import soon_days
from register.services.settings import SCHEMA, begin, set_setting, setting, settings
from register.store.tables import Setting
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
            f"There is no setting “colour”. There are: {', '.join(each.name for each in SCHEMA)}.",
        ),
        ("soon_days", "two weeks", "“two weeks” is not a number of days. Give a whole number from 0 to 366."),
        ("soon_days", -1, "“-1” is not a number of days. Give a whole number from 0 to 366."),
        ("soon_days", 367, "“367” is not a number of days. Give a whole number from 0 to 366."),
        ("soon_days", 1.5, "“1.5” is not a number of days. Give a whole number from 0 to 366."),
        ("soon_days", True, "“True” is not a number of days. Give a whole number from 0 to 366."),
        ("minutes", ["2"], "“['2']” is no table of minutes by kind and check."),
        ("minutes", {"cord-set": 2}, "“{'cord-set': 2}” is no table of minutes by kind and check."),
        ("sample", "perhaps", "“perhaps” is neither yes nor no."),
        ("firm", 7, "“7” is not a text."),
        ("firm", "x" * 301, "“xxxxxxxxxxxxxxxxxxxxxxxx…” has 301 characters. Keep it to 300."),
        ("state", "XX", "“XX” is not a state or territory. Choose one of: ACT, NSW, NT, QLD, SA, TAS, VIC, WA."),
        ("crew_hours", "many", "The crew's hours a week can't be “many”. Give a number from 0 to 1000."),
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


def test_what_was_never_set_has_the_default_of_its_description(desk: Desk) -> None:
    with desk.read() as connection:
        read = settings(connection)
    assert read.values == {each.name: each.default for each in SCHEMA}
    assert read.problems == ()


@pytest.mark.parametrize(
    ("name", "kept", "problem"),
    [
        (
            "soon_days", "soon",
            ("Due soon, in days: “soon” is not a number of days. Give a whole number from 0 to 366. The default counts"
            " until you set it anew."),
        ),
        ("shade", "blue", "The register keeps a setting “shade” that this program does not know. It was left."),
        (
            "default_rulebook", "none-such",
            ("Rulebook of new sites: There is no rulebook “none-such”. There are: au-in-service, au-qld. The default"
            " counts until you set it anew."),
        ),
    ],
)  # fmt: skip
def test_a_kept_value_that_cant_be_falls_back_and_is_reported(
    desk: Desk, name: str, kept: object, problem: str
) -> None:
    with desk.change() as change:
        change.session.add(Setting(name=name, value=kept))
    with desk.read() as connection:
        read = settings(connection)
        assert soon_days(connection) == 14
    assert read.problems == (problem,)
    assert read.values == {each.name: each.default for each in SCHEMA}


def test_a_setting_that_is_taken_away_has_its_default_again(desk: Desk) -> None:
    put(desk, "crew_hours", "42")
    assert get(desk, "crew_hours") == "42"
    put(desk, "crew_hours", None)
    assert get(desk, "crew_hours") is None


def test_every_setting_that_is_asked_says_what_it_is_and_keeps_its_own_default() -> None:
    for each in SCHEMA:
        if each.asked:
            assert each.label
            assert each.help
            assert each.read(each.default) == each.default
