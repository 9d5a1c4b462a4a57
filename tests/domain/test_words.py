"""Words as they stand in a sentence, and at its beginning."""

from register.domain.words import Kind, first_word, spoken


def test_a_word_begins_a_sentence_and_names_keep_their_capitals() -> None:
    assert (spoken(Kind.CORD_SET), first_word(Kind.CORD_SET)) == ("cord set", "Cord set")
    assert first_word(Kind.APPLIANCE_CLASS_2) == "Class II appliance"
