"""Test records and judgements as JSON: what is understood, what is printed, and what is refused with which sentence."""

import json
from datetime import date, time
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.domain.records import ReadingPlan
from register.domain.verdict import judge
from register.domain.words import Check, Delay, Duty, Kind, Result, SetUp, SwitchType, TestCurrent, Waveform
from register.errors import Refused
from register.exchange.json_fields import LARGEST_BYTES
from register.exchange.records_json import judgement_json, read_judge_request, read_records
from register.services.rulebooks import rulebook

TODAY = date(2026, 11, 25)
ID = "0190a6c2-7f0e-7c3a-9d51-3b6f0c2d8e14"
SWITCH = {"rated_residual_ma": "30", "type": "II", "delay": "general", "waveform": "A"}
ITEM = {"kind": "portable-safety-switch", "outlets": 2, "safety_switch": SWITCH}


def trip(outlet: object = 1, half_cycle: object = 0, value: object = "28.4", **rest: object) -> dict[str, object]:
    """Return a trip time at 1×; keys given as None are left out."""
    whole = {
        "quantity": "trip-time", "outlet": outlet, "half_cycle": half_cycle, "multiple": "1", "value": value, **rest,
    }  # fmt: skip
    return {key: value for key, value in whole.items() if value is not None}


def request(**changes: object) -> str:
    """Return a judge document, changed in some keys; keys given as None are left out."""
    whole: dict[str, object] = {
        "rulebook": "au-in-service",
        "duties": ["operating-time"],
        "reading_plan": {"multiples": ["1"], "half": False, "ramp": False},
        "item": ITEM,
        "visual": "pass",
        "readings": [trip(outlet, half) for outlet in (1, 2) for half in (0, 180)],
        **changes,
    }
    return json.dumps({key: value for key, value in whole.items() if value is not None})


def entry(**changes: object) -> dict[str, object]:
    """Return one entry of a record document, changed in some keys; keys given as None are left out."""
    whole: dict[str, object] = {
        "id": ID, "tag": "rcd-17", "site": "QUARRY", "tested_on": "2026-11-20", "tester": "Wren Alder",
        "instrument": "Meter 3", "set_up": "device-feeds-tester", "duties": ["operating-time"], "visual": "pass",
        "readings": [trip()], "remarks": "Second set-up used.", **changes,
    }  # fmt: skip
    return {key: value for key, value in whole.items() if value is not None}


def judged(document: str) -> dict[str, Any]:
    asked = read_judge_request(document, today=TODAY)
    return judgement_json(judge(asked.record, asked.item, rulebook(asked.rulebook), asked.plan))


def refusal_of(document: str | bytes) -> str:
    with pytest.raises(Refused) as refusal:
        read_judge_request(document, today=TODAY)
    return str(refusal.value)


class TestJudgeRequest:
    def test_everything_is_understood(self) -> None:
        plan = {"multiples": ["1", 5], "half": True, "ramp": True}
        ramp = {"quantity": "trip-current", "outlet": 2, "test_current": "half-wave", "value": 12, "unit": "mA"}
        asked = read_judge_request(
            request(reading_plan=plan, readings=[trip(value=28.4), ramp], set_up="tester-feeds-device"), today=TODAY
        )
        assert asked.rulebook == "au-in-service"
        assert asked.plan == ReadingPlan((Decimal(1), Decimal(5)), half=True, ramp=True)
        assert asked.item.kind is Kind.PORTABLE_SAFETY_SWITCH
        assert asked.item.outlets == 2
        switch = asked.item.safety_switch
        assert switch is not None
        assert (switch.rated_residual_ma, switch.type) == (Decimal(30), SwitchType.II)
        assert (switch.delay, switch.waveform) == (Delay.GENERAL, Waveform.A)
        record = asked.record
        assert (record.duties, record.look, record.set_up) == (
            (Duty.OPERATING_TIME,), Result.PASS, SetUp.TESTER_FEEDS_DEVICE,
        )  # fmt: skip
        assert [str(each.measure) for each in record.readings] == ["28.4 ms", "12 mA"]
        assert record.readings[1].test_current is TestCurrent.HALF_WAVE
        assert (record.tested_on, record.tested_at) == (TODAY, None)

    def test_only_rulebook_and_item_must_be_given(self) -> None:
        asked = read_judge_request('{"rulebook": "au-qld", "item": {"kind": "cord-set"}}', today=TODAY)
        assert asked.item.outlets == 1
        assert asked.item.safety_switch is None
        assert (asked.record.duties, asked.record.readings, asked.record.look) == ((), (), None)
        assert asked.plan == ReadingPlan()

    def test_a_plate_that_can_not_be_read_is_left_out_or_null(self) -> None:
        asked = read_judge_request(request(item=ITEM | {"safety_switch": {"type": None}}), today=TODAY)
        assert asked.item.safety_switch is not None
        assert asked.item.safety_switch.type is None
        assert asked.item.safety_switch.rated_residual_ma is None

    @pytest.mark.parametrize(
        ("written", "kept"),
        [
            ('"28.4"', "28.4 ms"),
            ("28.4", "28.4 ms"),
            ("28", "28 ms"),
            ("299.99999999", "299.99999999 ms"),
            ("2.84e1", "28.4 ms"),
        ],
    )
    def test_a_value_is_exact_in_quotes_or_without(self, written: str, kept: str) -> None:
        document = request(readings=[trip(value="VALUE")]).replace('"VALUE"', written)
        assert str(read_judge_request(document, today=TODAY).record.readings[0].measure) == kept

    @pytest.mark.parametrize("bound", ["no-trip", "no-reading"])
    @pytest.mark.parametrize("value", ["", None])
    def test_no_trip_and_no_reading_need_no_value(self, bound: str, value: str | None) -> None:
        asked = read_judge_request(request(readings=[trip(value=value, bound=bound)]), today=TODAY)
        assert asked.record.readings[0].measure.bound == bound

    def test_bytes_with_a_byte_order_mark_are_read(self) -> None:
        assert read_judge_request(b"\xef\xbb\xbf" + request().encode(), today=TODAY).item.outlets == 2

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"rulebook": None}, "“rulebook”: it is missing. Add it."),
            ({"rulebook": 7}, "“rulebook”: 7 is not a text in quotes."),
            ({"item": None}, "“item”: it is missing."),
            ({"item": []}, "The item: a list stands where an object in braces is expected."),
            ({"colour": "red"}, "The key “colour” is not known. It is one of: rulebook, item, duties"),
            ({"item": {"outlets": 2}}, "The item, “kind”: it is missing."),
            ({"item": {"kind": "boat"}}, "The item, “kind”: “boat” is not one of: portable-safety-switch"),
            ({"item": ITEM | {"outlets": 0}}, "The item, “outlets”: 0 is not a whole number from 1 to 48"),
            ({"item": ITEM | {"outlets": 49}}, "49 is not a whole number from 1 to 48"),
            ({"item": ITEM | {"outlets": "2"}}, "“2” is not a whole number from 1 to 48"),
            ({"item": ITEM | {"outlets": 2.5}}, "2.5 is not a whole number"),
            ({"item": ITEM | {"outlets": True}}, "true is not a whole number"),
            ({"item": ITEM | {"safety_switch": "II"}}, "The item's safety switch: “II” stands where"),
            ({"item": ITEM | {"safety_switch": SWITCH | {"type": "V"}}}, "“type”: “V” is not one of: I, II, III, IV"),
            (
                {"item": ITEM | {"safety_switch": SWITCH | {"rated_residual_ma": "30 mA"}}},
                "The item's safety switch, “rated_residual_ma”: “30 mA” is not a number above 0 and up to 10000.",
            ),
            ({"item": ITEM | {"safety_switch": SWITCH | {"rated_residual_ma": 0}}}, "0 is not a number above 0"),
            ({"item": ITEM | {"safety_switch": SWITCH | {"rated_residual_ma": [30]}}}, "a list is neither a number"),
            ({"item": ITEM | {"battery_run": "no"}}, "The item, “battery_run”: “no” is neither true nor false"),
            ({"duties": "operating-time"}, "“duties”: “operating-time” stands where a list in brackets is expected."),
            ({"duties": ["paint"]}, "“duties”: “paint” is not one of: inspection-and-test, operating-time"),
            ({"duties": ["operating-time"] * 2}, "The record names the operating-time test 2 times."),
            ({"reading_plan": {"multiples": ["3"]}}, "The reading plan, “multiples”: 3 is not one of: 0.5, 1, 2, 5."),
            ({"reading_plan": {"half": 1}}, "The reading plan, “half”: 1 is neither true nor false"),
            ({"reading_plan": {"speed": 1}}, "The reading plan: the key “speed” is not known."),
            ({"visual": "incomplete"}, "“visual”: “incomplete” is not one of: pass, fail."),
            ({"visual": {}}, "“visual”: an object is not one of: pass, fail."),
            ({"set_up": "upside-down"}, "“set_up”: “upside-down” is not one of: tester-feeds-device, device-feeds"),
            ({"tested_on": "2027-01-01"}, "“tested_on”: The date 1 Jan 2027 is in the future: today is 25 Nov 2026."),
            ({"tested_on": "1985-03-01"}, "“tested_on”: 1 Mar 1985 is before 1990. Check the year; if it is right"),
            ({"readings": {}}, "“readings”: an object stands where a list in brackets is expected."),
            ({"readings": [trip()] * 2001}, "“readings”: 2001 readings are more than one record can hold (2000)."),
            ({"readings": [trip(3)]}, "Outlet 3 does not exist: the item has 2 outlets."),
        ],
    )  # fmt: skip
    def test_what_can_not_be_is_refused_with_its_place(self, changes: dict[str, object], sentence: str) -> None:
        assert sentence in refusal_of(request(**changes))

    @pytest.mark.parametrize(
        ("reading", "sentence"),
        [
            ("28", "Reading 2: “28” stands where an object in braces is expected."),
            (trip(quantity=None), "Reading 2, “quantity”: it is missing."),
            (trip(quantity="volume"), "Reading 2, “quantity”: “volume” is not one of: trip-time, trip-current"),
            (trip(quantity="look"), "“look” is not one of"),
            (trip(0), "Reading 2, “outlet”: 0 is not a whole number from 1 to 48"),
            (trip("1"), "Reading 2, “outlet”: “1” is not a whole number"),
            (trip(half_cycle=90), "Reading 2: A half-cycle is 0 or 180, not 90."),
            (trip(half_cycle=None), "Reading 2: A trip time says nothing without its half-cycle"),
            (trip(multiple=None), "Reading 2: A trip time says nothing without the multiple"),
            (trip(multiple="3"), "Reading 2: A trip time is measured at 0.5×, 1×, 2×, 5×, not at 3×."),
            (trip(multiple="x"), "Reading 2, “multiple”: “x” is not a number above 0 and up to 5."),
            (trip(test_current="square"), "Reading 2, “test_current”: “square” is not one of: ac, half-wave, dc."),
            (trip(value=None), "Reading 2: “” is not a reading of trip time: give a number"),
            (trip(value="fast"), "Reading 2: “fast” is not a reading of trip time"),
            (trip(value=True), "Reading 2, “value”: true is neither a number nor a text in quotes."),
            (trip(value=-5), "Reading 2: Trip time -5 ms is negative."),
            (trip(value="1000000000"), "beyond any instrument of the trade"),
            (trip(unit="mA"), "Reading 2: A reading of trip time is in ms, not in “mA”."),
            (trip(bound="~"), "Reading 2: The bound “~” of a reading of trip time is not one of"),
            (trip(bound="no-trip"), "Reading 2: A reading says both “no-trip” and “28.4”."),
            (trip(note="slow"), "Reading 2: the key “note” is not known. It is one of: quantity, outlet"),
        ],
    )
    def test_what_is_wrong_with_a_reading_is_said_with_its_number(self, reading: object, sentence: str) -> None:
        assert sentence in refusal_of(request(readings=[trip(), reading]))

    def test_an_old_date_is_taken_once_it_is_confirmed(self) -> None:
        asked = read_judge_request(request(tested_on="1985-03-01", confirm_old=True), today=TODAY)
        assert asked.record.tested_on == date(1985, 3, 1)


documents = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["item", "rulebook", "kind", "id", "tag", "readings"]), inner)
    ),
    max_leaves=12,
)


class TestDamagedText:
    @pytest.mark.parametrize(
        ("text", "sentence"),
        [
            ("", "The JSON text is empty."),
            (b"\xef\xbb\xbf \n", "The JSON text is empty."),
            ("x", "The text is not JSON: Expecting value at line 1, column 1."),
            ('{"rulebook":\n "x",}', "at line 2, column"),
            (b"\xff\xfe{", "The text is not in UTF-8"),
            ("[]", "The document: a list stands where an object in braces is expected."),
            ("null", "The document: null stands where"),
            ("[" * 100_000, "The JSON text is nested too deep to be read."),
            ('{"rulebook": "a", "rulebook": "b"}', "The key “rulebook” stands twice in one object."),
            ('{"rulebook": NaN}', "NaN is not a number."),
            ('{"rulebook": -Infinity}', "-Infinity is not a number."),
            ("9" * 5_000, "The JSON text holds a number of thousands of digits."),
            (b"1" * (LARGEST_BYTES + 1), "The JSON text is larger than 20 MB."),
        ],
        ids=lambda value: str(value)[:20],
    )
    def test_each_kind_has_its_sentence(self, text: str | bytes, sentence: str) -> None:
        assert sentence in refusal_of(text)

    @given(documents)
    def test_whatever_the_document_says_the_answer_is_a_sentence(self, document: object) -> None:
        for reader in (read_judge_request, read_records):
            try:
                reader(json.dumps(document), today=TODAY)
            except Refused as refused:
                sentence = str(refused)
                assert sentence[:1] == sentence[:1].upper()
                assert "\n" not in sentence
                assert len(sentence) < 400


class TestRecords:
    def test_everything_is_understood(self) -> None:
        (read,) = read_records(json.dumps([entry()]), today=TODAY)
        assert (read.id, read.tag, read.site) == (ID, "RCD-17", "QUARRY")
        assert (read.tester, read.instrument, read.remarks) == ("Wren Alder", "Meter 3", "Second set-up used.")
        assert read.record.duties == (Duty.OPERATING_TIME,)
        assert read.record.set_up is SetUp.DEVICE_FEEDS_TESTER
        assert read.record.readings[0].check is Check.TRIP_TIME
        assert (read.record.tested_on, read.record.tested_at) == (date(2026, 11, 20), None)

    def test_only_id_tag_and_date_must_be_given(self) -> None:
        bare = {"id": ID.upper(), "tag": "7", "tested_on": "2026-11-25"}
        (read,) = read_records(json.dumps([bare]), today=TODAY)
        assert (read.id, read.site, read.record.look, read.record.readings) == (ID, None, None, ())

    @pytest.mark.parametrize(
        ("written", "day", "at"),
        [
            ("2026-11-20", date(2026, 11, 20), None),
            ("2026-11-20T14:30", date(2026, 11, 20), time(14, 30)),
            ("2026-11-20 14:30:05", date(2026, 11, 20), time(14, 30, 5)),
            ("2026-11-20T23:30+11:00", date(2026, 11, 20), time(23, 30)),
            ("2026-11-20T00:00", date(2026, 11, 20), time(0, 0)),
        ],
    )
    def test_the_day_and_the_time_are_those_written(self, written: str, day: date, at: time | None) -> None:
        (read,) = read_records(json.dumps([entry(tested_on=written)]), today=TODAY)
        assert (read.record.tested_on, read.record.tested_at) == (day, at)

    @pytest.mark.parametrize(
        ("changes", "sentence"),
        [
            ({"id": None}, "Entry 2 (tag RCD-17), “id”: it is missing."),
            ({"id": "17"}, "Entry 2 (tag RCD-17), “id”: “17” is not a UUID such as"),
            ({"id": 17}, "Entry 2 (tag RCD-17), “id”: 17 is not a text in quotes."),
            ({"tag": None}, "Entry 2, “tag”: it is missing."),
            ({"tag": " "}, "Entry 2, “tag”: The tag is empty."),
            ({"tag": 5}, "Entry 2, “tag”: 5 is not a text in quotes."),
            ({"tag": "x" * 65}, "Entry 2, “tag”: “XXXXXXXXXXXXXXXXXXXXXXXX…” has 65 characters"),
            ({"tested_on": None}, "Entry 2 (tag RCD-17), “tested_on”: it is missing."),
            ({"tested_on": "20/11/2026"}, "Entry 2 (tag RCD-17), “tested_on”: “20/11/2026” is not a date such as"),
            ({"tested_on": "20261120"}, "is not a date such as 2026-11-20"),
            ({"tested_on": "2026-02-30"}, "“2026-02-30” is not a date"),
            ({"tested_on": "2026-11-20T25:00"}, "is not a date"),
            ({"tested_on": 20261120}, "20261120 is not a date"),
            ({"tested_on": "2026-11-26"}, "“tested_on”: The date 26 Nov 2026 is in the future: today is 25 Nov 2026."),
            ({"tested_on": "1989-12-31"}, "if it is right, add “confirm_old”"),
            ({"remarks": "x" * 2001}, "Entry 2 (tag RCD-17), “remarks”: has 2001 characters; 2000 are the most."),
            ({"verdict": "pass"}, "Entry 2: the key “verdict” is not known. It is one of: id, tag, site"),
            ({"readings": [trip(), trip(value="x")]}, "Entry 2 (tag RCD-17), reading 2: “x” is not a reading"),
            ({"readings": [trip(49)]}, "Entry 2 (tag RCD-17), reading 1, “outlet”: 49 is not a whole number"),
            ({"tester": "Somebody else"}, f"its id {ID} stands on another entry that says otherwise."),
        ],
    )  # fmt: skip
    def test_what_is_wrong_is_refused_with_entry_and_key(self, changes: dict[str, object], sentence: str) -> None:
        with pytest.raises(Refused) as refusal:
            read_records(json.dumps([entry(), entry(**changes)]), today=TODAY)
        assert sentence in str(refusal.value)
        assert str(refusal.value).count("Entry 2") <= 1, "the place is said once"

    def test_one_object_is_no_list(self) -> None:
        with pytest.raises(Refused, match="The document is an object, but a list of records in brackets is expected"):
            read_records(json.dumps(entry()), today=TODAY)

    def test_the_same_entry_twice_counts_once(self) -> None:
        assert len(read_records(json.dumps([entry(), entry()]), today=TODAY)) == 1

    def test_a_confirmed_old_date_is_passed_on_as_confirmed(self) -> None:
        (read,) = read_records(json.dumps([entry(tested_on="1989-12-31", confirm_old=True)]), today=TODAY)
        assert read.old_confirmed

    def test_text_is_cleaned(self) -> None:
        (read,) = read_records(json.dumps([entry(tag=" rcd\u200b-17 ", tester="Wren\nAlder")]), today=TODAY)
        assert (read.tag, read.tester) == ("RCD-17", "Wren Alder")


class TestJudgementJson:
    def test_a_fail_names_the_place_the_value_and_the_limit(self) -> None:
        readings = [trip(1, 0), trip(1, 180), trip(2, 0), trip(2, 180, "310")]
        answer = judged(request(readings=readings))
        assert answer["verdict"] == "fail"
        assert answer["missing"] == []
        assert answer["why"].startswith("Outlet 2 at 180°, 1×: 310 ms is above the limit of 300 ms")
        worst = answer["findings"][-1]
        assert worst["source"].startswith("AS/NZS 3190, type II")
        assert worst["why"] == answer["why"]
        expected = {
            "check": "trip-time", "outlet": 2, "half_cycle": 180, "multiple": "1", "test_current": "ac",
            "value": "310", "unit": "ms", "bound": "=", "limit": "at most 300 ms", "result": "fail",
        }  # fmt: skip
        assert expected.items() <= worst.items()
        assert set(worst) == {*expected, "source", "why"}

    def test_the_look_is_a_check_like_any_other(self) -> None:
        look = judged(request())["findings"][0]
        assert (look["check"], look["value"], look["result"], look["limit"]) == (
            "look", "pass", "pass", "nothing wrong seen",
        )  # fmt: skip
        assert (look["outlet"], look["half_cycle"], look["multiple"]) == (None, None, None)

    def test_what_is_missing_has_its_place(self) -> None:
        answer = judged(request(readings=[trip(1, 0), trip(1, 180), trip(2, 0)]))
        assert answer["verdict"] == "incomplete"
        assert answer["missing"] == [{"check": "trip-time", "outlet": 2, "half_cycle": 180, "multiple": "1"}]

    def test_a_bound_without_a_value_prints_an_empty_one(self) -> None:
        readings = [trip(outlet, half, "", bound="no-trip") for outlet in (1, 2) for half in (0, 180)]
        finding = judged(request(readings=readings))["findings"][1]
        assert (finding["value"], finding["bound"], finding["result"]) == ("", "no-trip", "fail")

    def test_it_is_plain_json(self) -> None:
        answer = judged(request())
        assert json.loads(json.dumps(answer)) == answer
        assert answer["verdict"] == "pass"
