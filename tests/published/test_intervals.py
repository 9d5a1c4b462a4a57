"""Intervals of the two rulebooks against what was published of the standards and the regulation.

The standards themselves were not read. Each block names the standard or regulation with its clause, and how the
figures are known: restated second-hand, or from memory.
"""

from decimal import Decimal

import pytest

from register.domain.items import Item
from register.domain.rulebook import Confidence, IntervalLine, Strength
from register.domain.rulebook_lookup import interval_lines
from register.domain.words import Condition, Duty, Kind
from register.services.rulebooks import rulebook

EQUIPMENT = (
    Kind.APPLIANCE_CLASS_1,
    Kind.APPLIANCE_CLASS_2,
    Kind.CORD_SET,
    Kind.EXTENSION_LEAD,
    Kind.PORTABLE_OUTLET_DEVICE,
)
BESIDE = (Kind.ISOLATING_TRANSFORMER, Kind.PORTABLE_SAFETY_SWITCH)
PORTABLE, FIXED = Kind.PORTABLE_SAFETY_SWITCH, Kind.FIXED_SAFETY_SWITCH
NONE = None


def line_of(
    book: str, kind: Kind, environment: str, duty: Duty, *, place: str | None = None, edition: str | None = None
) -> IntervalLine | None:
    """Return the one line that a rulebook has for a duty; None where it has none."""
    lines = interval_lines(rulebook(book), kind=kind, environment=environment, place=place, edition=edition)
    found = [line for line in lines if line.duty is duty]
    assert len(found) <= 1
    return found[0] if found else None


def when(line: IntervalLine | None) -> str | None:
    """Return how often, as the file writes it."""
    return None if line is None else str(line.every or line.on)


# AS/NZS 3760:2010 Table 4, rows 1 to 6, and the equipment column of AS/NZS 3760:2022 (unchanged from 2010);
# both restated second-hand. Columns: equipment, push-button portable and fixed, operating time portable and fixed.
TABLE_4 = {
    "workshop": ("P6M", "each-day-or-use", "P6M", "P12M", "P12M"),
    "flexed-or-hostile": ("P12M", "P3M", "P6M", "P12M", "P12M"),
    "benign": ("P5Y", "P3M", "P6M", "P2Y", "P2Y"),
    "residential": ("P2Y", "P6M", "P6M", "P2Y", "P2Y"),
    "cleaning": ("P6M", "each-day-or-use", NONE, "P6M", NONE),
    "hire": ("P3M", "before-hire", NONE, "P3M", "P12M"),
    # AS/NZS 3012:2010 verification intervals, restated second-hand (partly by a regulator)
    "construction": ("P3M", "each-day", "P1M", "P3M", "P12M"),
}


@pytest.mark.parametrize("environment", TABLE_4)
def test_equipment_is_tested_at_the_interval_of_its_environment(environment: str) -> None:
    for kind in EQUIPMENT:
        line = line_of("au-in-service", kind, environment, Duty.INSPECTION_AND_TEST)
        assert when(line) == TABLE_4[environment][0]
        assert line is not None
        assert line.source.confidence is Confidence.RESTATED


@pytest.mark.parametrize("environment", TABLE_4)
def test_transformers_and_portable_switches_are_tested_with_the_equipment_from_memory(environment: str) -> None:
    for kind in BESIDE:
        line = line_of("au-in-service", kind, environment, Duty.INSPECTION_AND_TEST)
        assert when(line) == TABLE_4[environment][0]
        assert line is not None
        in_service = line.source.edition.id.startswith("as-nzs-3760")
        assert line.source.confidence is (Confidence.MEMORY if in_service else Confidence.RESTATED)
    assert line_of("au-in-service", FIXED, environment, Duty.INSPECTION_AND_TEST) is None


@pytest.mark.parametrize("environment", TABLE_4)
def test_buttons_are_pressed_at_the_interval_of_the_environment(environment: str) -> None:
    _, portable, fixed, _, _ = TABLE_4[environment]
    assert when(line_of("au-in-service", PORTABLE, environment, Duty.BUTTON_PRESS)) == portable
    assert when(line_of("au-in-service", FIXED, environment, Duty.BUTTON_PRESS)) == fixed


@pytest.mark.parametrize("environment", TABLE_4)
def test_operating_time_is_measured_at_the_interval_of_the_environment(environment: str) -> None:
    _, _, _, portable, fixed = TABLE_4[environment]
    assert when(line_of("au-in-service", PORTABLE, environment, Duty.OPERATING_TIME)) == portable
    assert when(line_of("au-in-service", FIXED, environment, Duty.OPERATING_TIME)) == fixed


@pytest.mark.parametrize("environment", TABLE_4)
def test_a_switch_built_into_an_item_has_the_figures_of_a_portable_one(environment: str) -> None:
    book = rulebook("au-in-service")
    for kind in (*EQUIPMENT, Kind.ISOLATING_TRANSFORMER):
        lines = interval_lines(book, kind=kind, environment=environment, has_switch=True)
        found = {line.duty: when(line) for line in lines}
        assert (found[Duty.BUTTON_PRESS], found[Duty.OPERATING_TIME]) == TABLE_4[environment][1:4:2]
        without = {line.duty for line in interval_lines(book, kind=kind, environment=environment)}
        assert without.isdisjoint({Duty.BUTTON_PRESS, Duty.OPERATING_TIME})


def test_the_equipment_column_is_of_2022_and_the_switch_columns_of_2010() -> None:
    for environment in TABLE_4:
        if environment == "construction":
            continue
        equipment = line_of("au-in-service", Kind.APPLIANCE_CLASS_1, environment, Duty.INSPECTION_AND_TEST)
        switch = line_of("au-in-service", PORTABLE, environment, Duty.OPERATING_TIME)
        assert equipment is not None
        assert switch is not None
        assert equipment.source.edition.title == "AS/NZS 3760:2022"
        assert switch.source.edition.title == "AS/NZS 3760:2010"
        assert equipment.strength is switch.strength is Strength.GUIDE


def test_hired_items_are_looked_over_before_each_hire() -> None:
    """AS/NZS 3760:2010 Table 4, row 6a, and 2022, restated second-hand."""
    for kind in (*EQUIPMENT, *BESIDE):
        assert when(line_of("au-in-service", kind, "hire", Duty.LOOK_BEFORE_HIRE)) == "before-hire"
    assert line_of("au-in-service", Kind.CORD_SET, "workshop", Duty.LOOK_BEFORE_HIRE) is None


def test_hired_equipment_on_a_construction_site_is_tested_every_month() -> None:
    """AS/NZS 3012, restated second-hand by a single set of course notes."""
    for book in ("au-in-service", "au-qld"):
        for kind in EQUIPMENT:
            line = line_of(book, kind, "hire", Duty.INSPECTION_AND_TEST, place="construction")
            assert when(line) == "P1M"
            assert line is not None
            assert line.strength is Strength.MAXIMUM


def test_construction_equipment_is_tested_before_first_use_and_looked_at_before_each_use() -> None:
    """AS/NZS 3012:2010 verification intervals, restated second-hand by a regulator. They bind (WHS r 163)."""
    book = rulebook("au-in-service")
    for kind in (*EQUIPMENT, *BESIDE):
        line = line_of("au-in-service", kind, "construction", Duty.INSPECTION_AND_TEST)
        assert line is not None
        assert str(line.first) == "before-first-use"
        assert when(line_of("au-in-service", kind, "construction", Duty.USER_CHECK)) == "each-use"
    for kind in Kind:
        lines = interval_lines(book, kind=kind, environment="construction", has_switch=True)
        assert {each.strength for each in lines} == {Strength.MAXIMUM}


@pytest.mark.parametrize(
    ("kind", "environment", "duty", "chosen", "others"),
    [
        # AS/NZS 3760:2010 Table 4, row 5: one restatement says 6 months, another 3
        (PORTABLE, "cleaning", Duty.OPERATING_TIME, "P6M", ["3 months"]),
        # AS/NZS 3012:2010: a regulator restates 3 and 12 months, trade pages 1 and 6
        (PORTABLE, "construction", Duty.OPERATING_TIME, "P3M", ["1 month", "6 months"]),
        (FIXED, "construction", Duty.OPERATING_TIME, "P12M", ["1 month"]),
        (FIXED, "construction", Duty.BUTTON_PRESS, "P1M", ["6 months"]),
    ],
)
def test_where_sources_disagree_the_line_holds_the_value_chosen_and_what_others_say(
    kind: Kind, environment: str, duty: Duty, chosen: str, others: list[str]
) -> None:
    line = line_of("au-in-service", kind, environment, duty)
    assert line is not None
    assert line.source.confidence is Confidence.DISPUTED
    assert when(line) == chosen
    assert [other.value for other in line.others] == others
    assert all(other.source for other in line.others)


# AS/NZS 3760:2003 Table 4, restated second-hand: Class I, Class II, cords; operating time portable and fixed;
# push-button portable and fixed
TABLE_2003 = {
    "workshop": ("P6M", "P12M", "P6M", "P12M", "P12M", "each-day-or-use", "P6M"),
    "flexed-or-hostile": ("P12M", "P12M", "P12M", "P12M", "P12M", "P3M", "P6M"),
    "benign": ("P5Y", "P5Y", "P5Y", "P2Y", "P2Y", "P3M", "P6M"),
    "residential": ("P2Y", "P2Y", "P2Y", "P2Y", "P2Y", "P6M", "P6M"),
    "cleaning": ("P6M", "P12M", "P12M", "P12M", NONE, "P3M", NONE),
    "hire": ("P3M", "P3M", "P3M", "P3M", "P12M", NONE, NONE),
}


@pytest.mark.parametrize("environment", TABLE_2003)
def test_the_edition_of_2003_can_be_read_for_old_tags(environment: str) -> None:
    asked = [
        (Kind.APPLIANCE_CLASS_1, Duty.INSPECTION_AND_TEST),
        (Kind.APPLIANCE_CLASS_2, Duty.INSPECTION_AND_TEST),
        (Kind.EXTENSION_LEAD, Duty.INSPECTION_AND_TEST),
        (PORTABLE, Duty.OPERATING_TIME),
        (FIXED, Duty.OPERATING_TIME),
        (PORTABLE, Duty.BUTTON_PRESS),
        (FIXED, Duty.BUTTON_PRESS),
    ]
    found = tuple(
        when(line_of("au-in-service", kind, environment, duty, edition="as-nzs-3760-2003")) for kind, duty in asked
    )
    assert found == TABLE_2003[environment]


def test_class_ii_in_a_workshop_went_from_12_to_6_months() -> None:
    """AS/NZS 3760: 2003 against 2010 and 2022, confirmed by the notes to the draft of 2010, restated second-hand."""
    old = line_of(
        "au-in-service",
        Kind.APPLIANCE_CLASS_2,
        "workshop",
        Duty.INSPECTION_AND_TEST,
        edition="as-nzs-3760-2003",
    )
    new = line_of("au-in-service", Kind.APPLIANCE_CLASS_2, "workshop", Duty.INSPECTION_AND_TEST)
    assert (when(old), when(new)) == ("P12M", "P6M")


@pytest.mark.parametrize(
    ("condition", "says", "source"),
    [
        # AS/NZS 3760:2022 clause 1.2.1 and Model WHS Regulations r 150(2), restated second-hand
        (Condition.NEW, "without a test", "r 150(2)"),
        # AS/NZS 3760:2010 Table 4, row 7, restated second-hand
        (Condition.REPAIRED, "tested before it returns to service", "Table 4, row 7"),
        # common practice, no source
        (Condition.STORED, "tested before it is used again", "no source"),
    ],
)
def test_new_repaired_and_stored_items_have_a_rule_with_a_source(condition: Condition, says: str, source: str) -> None:
    for book in ("au-in-service", "au-qld"):
        rule = rulebook(book).conditions[condition]
        assert says in rule.rule
        assert source in rule.source.text


# Electrical Safety Regulation 2013 (Queensland). Periods of s 107: law text seen in an excerpt; s 104 and s 112 and
# the safety-switch columns: restated second-hand from the regulator's table. Columns: Class I and all else, Class II,
# push-button portable and fixed, operating time portable and fixed.
QUEENSLAND = {
    "construction": ("P3M", "P3M", "each-day", "P1M", "P3M", "P12M"),
    "manufacturing": ("P6M", "P12M", "each-day-or-use", "P6M", "P12M", "P12M"),
    "amusement": ("P6M", "P12M", "each-day-or-use", "P6M", "P12M", "P12M"),
    "service": ("P12M", "P12M", "P3M", "P6M", "P12M", "P12M"),
    "office": ("P5Y", "P5Y", "P3M", "P6M", "P2Y", "P2Y"),
    "rural": ("P12M", "P12M", "P3M", "P6M", "P12M", "P12M"),
}


@pytest.mark.parametrize("environment", QUEENSLAND)
def test_queensland_goes_by_the_class_of_work(environment: str) -> None:
    asked = [
        (Kind.APPLIANCE_CLASS_1, Duty.INSPECTION_AND_TEST),
        (Kind.APPLIANCE_CLASS_2, Duty.INSPECTION_AND_TEST),
        (PORTABLE, Duty.BUTTON_PRESS),
        (FIXED, Duty.BUTTON_PRESS),
        (PORTABLE, Duty.OPERATING_TIME),
        (FIXED, Duty.OPERATING_TIME),
    ]
    found = tuple(when(line_of("au-qld", kind, environment, duty)) for kind, duty in asked)
    assert found == QUEENSLAND[environment]


def test_all_that_queensland_says_itself_binds() -> None:
    own = [line for line in rulebook("au-qld").intervals if line.rulebook == "au-qld"]
    assert own
    assert {line.strength for line in own} == {Strength.MAXIMUM}


def test_in_queensland_a_safety_switch_takes_the_place_of_the_test_in_service_office_and_rural_work() -> None:
    """Electrical Safety Regulation 2013 (Queensland) s 112 and the regulator's table, restated second-hand."""
    conditions = {}
    for environment in QUEENSLAND:
        line = line_of("au-qld", Kind.APPLIANCE_CLASS_1, environment, Duty.INSPECTION_AND_TEST)
        assert line is not None
        conditions[environment] = (list(line.only_if), list(line.unless))
    assert conditions == {
        "construction": ([], []),
        "manufacturing": ([], []),
        "amusement": ([], []),
        "service": (["moved-in-use"], ["protected-by-switch"]),
        "office": (["moved-in-use"], ["protected-by-switch"]),
        "rural": (["risk-factor"], ["protected-by-switch"]),
    }


def test_in_queensland_rural_equipment_is_looked_over_before_each_use() -> None:
    """The regulator's table for rural industry work, restated second-hand."""
    assert when(line_of("au-qld", Kind.EXTENSION_LEAD, "rural", Duty.USER_CHECK)) == "each-use"
    assert line_of("au-qld", Kind.EXTENSION_LEAD, "office", Duty.USER_CHECK) is None


@pytest.mark.parametrize("environment", ["amusement", "rural"])
def test_figures_not_seen_in_queensland_say_from_where_they_were_taken(environment: str) -> None:
    line = line_of("au-qld", PORTABLE, environment, Duty.OPERATING_TIME)
    assert line is not None
    assert line.rulebook == "au-in-service"
    assert line.note.startswith("Figure of AS/NZS 3760 and AS/NZS 3012 (Australia) for “")


def test_cleaning_and_hire_are_classes_of_equipment() -> None:
    for book in ("au-in-service", "au-qld"):
        classes = rulebook(book).environments.values()
        assert {each.id for each in classes if each.of_equipment} == {"cleaning", "hire"}
        for environment in ("cleaning", "hire"):
            line = line_of(book, Kind.APPLIANCE_CLASS_1, environment, Duty.INSPECTION_AND_TEST)
            assert when(line) == TABLE_4[environment][0]


@pytest.mark.parametrize(("amperes", "inside"), [("20", True), ("20.1", False), ("32", False)])
def test_queensland_covers_items_up_to_20_amperes(amperes: str, inside: bool) -> None:  # noqa: FBT001 - a case
    """Electrical Safety Regulation 2013 (Queensland), specified electrical equipment, restated second-hand."""
    item = Item(Kind.APPLIANCE_CLASS_1, rated_current_a=Decimal(amperes))
    assert (rulebook("au-qld").out_of_scope(item) == "") is inside
    assert rulebook("au-in-service").out_of_scope(item) == ""


def test_battery_run_tools_are_outside_and_chargers_inside() -> None:
    """AS/NZS 3760:2022 scope, restated second-hand."""
    for book in ("au-in-service", "au-qld"):
        assert "Battery-run" in rulebook(book).out_of_scope(Item(Kind.APPLIANCE_CLASS_2, battery_run=True))
        assert rulebook(book).out_of_scope(Item(Kind.APPLIANCE_CLASS_2)) == ""


def test_switches_for_sockets_up_to_20_amperes_are_30_milliamperes() -> None:
    """Model WHS Regulations r 164, restated second-hand: printed as a caution, not enforced."""
    cautions = [each for each in rulebook("au-in-service").cautions if "r 164" in each]
    assert len(cautions) == 1
    assert "up to 20 A" in cautions[0]
    assert "30 mA or less" in cautions[0]
