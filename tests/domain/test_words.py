"""Words and numbers as they are spoken."""

from register.domain.words import Kind, counted, first_word, spoken


def test_a_number_stands_with_its_noun() -> None:
    assert counted(1, "item") == "1 item"
    assert counted(0, "item") == "0 items"
    assert counted(2140, "item") == "2,140 items"
    assert counted(1, "duty is", "duties are") == "1 duty is"
    assert counted(2, "duty is", "duties are") == "2 duties are"


def test_a_word_is_spoken_as_in_a_sentence() -> None:
    assert spoken(Kind.CORD_SET) == "cord set"
    assert spoken(Kind.APPLIANCE_CLASS_1) == "Class I appliance"


def test_a_word_begins_a_sentence_and_names_keep_their_capitals() -> None:
    assert first_word(Kind.CORD_SET) == "Cord set"
    assert first_word(Kind.APPLIANCE_CLASS_2) == "Class II appliance"
