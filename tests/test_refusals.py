"""Every sentence with which the program says no: short, whole, and in words that need no programmer."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from resources import RESOURCES

CODE = RESOURCES.parent
MOST_SENTENCES = 3
SOMETHING = "7"
"""Stands for what is only known when it is said."""
OUR_WORDS = re.compile(r"\b(\w+(Error|Exception)|Traceback|None|NULL|errno|sqlite3?|Qt|Integrity\w+)\b")
SHOUTED = re.compile(r"!|\b(invalid|illegal|fatal|oops)\b", re.IGNORECASE)
KNOWN_LATER = re.compile(rf"(?<=\.)\s?{SOMETHING}+$")
"""A whole sentence, or the list of what is wrong in a file, that is put behind the others."""
END = re.compile(r"[.?!][”)]?(?=\s|$)")


def texts(node: ast.expr) -> Iterator[str]:
    """Yield each text that an expression may give, with `SOMETHING` for its changing parts."""
    match node:
        case ast.Constant(value=str(text)):
            yield text
        case ast.JoinedStr(values=parts):
            yield "".join(str(each.value) if isinstance(each, ast.Constant) else SOMETHING for each in parts)
        case ast.IfExp(body=one, orelse=other):
            yield from texts(one)
            yield from texts(other)


def said() -> Iterator[tuple[str, str]]:
    """Yield where each sentence stands, and the sentence."""
    for path in sorted([*(CODE / "register").rglob("*.py"), *(CODE / "ui").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Call(func=ast.Name(id="Refused" | "Unavailable"), args=[first, *_rest]):
                    for text in texts(first):
                        if text.strip(SOMETHING + " "):
                            yield f"{path.relative_to(CODE)}:{node.lineno}", KNOWN_LATER.sub("", text)


SAID = list(said())


def test_there_are_many_sentences_to_read() -> None:
    assert len(SAID) > 100
    assert all(Path(CODE / where.partition(":")[0]).is_file() for where, _text in SAID)


@pytest.mark.parametrize(("wrong", "rule"), [
    ("ends in the middle", lambda text: not END.search(text[-2:])),
    ("more than three sentences", lambda text: len(END.findall(text)) > MOST_SENTENCES),
    ("words of programmers", OUR_WORDS.search),
    ("begins in the middle", lambda text: text[0].islower()),
    ("space or line to spare", lambda text: "  " in text or "\n" in text or text != text.strip()),
    ("blames or shouts", SHOUTED.search),
])  # fmt: skip
def test_every_sentence_is_fit_to_be_read(wrong: str, rule: object) -> None:
    assert callable(rule)
    assert [f"{where}: {text}" for where, text in SAID if rule(text)] == [], wrong


STEPS = (
    "add|allow|ask|change|check|choose|clear|close|connect|copy|correct|count|delete|drop|enter|export|free|give|"
    "import|install|keep|leave|list|lock|look|make|mark|merge|name|open|pick|plan|print|put|record|repeat|save|say|"
    "scan|search|send|set|shorten|split|start|take|test|try|turn|type|unlock|update|use|void|wait|write"
)
STEP = re.compile(rf"(?:^|[.;:,?!]\s|\b(?:and|or|then)\s)(?:{STEPS})\b", re.IGNORECASE)
"""A sentence or a clause that begins with what the reader is to do."""
CHOICE = re.compile(rf"\b(There are|It has|The owners are|Its duties are): {SOMETHING}|\bneeds?\b")
"""What there is to choose from, or what is wanting: each says what to give."""
FACTS = {
    "7 Read the rating plate again.",
    "7 can't be moved to 7: another item of its owner has or had the tag 7.",
    "7 every 7 is not possible: 7 is a binding maximum by 7.",
    "7 is in service, so it gets no out-of-service tag.",
    "7 is not marked as not found, so there is nothing to take back.",
    "7 is not new and untested, so it gets no new-to-service tag.",
    "7 is out of service already: 7 since 7, tag 7. It stays so until it passes or is removed for good.",
    "7 must be tested before it is used, so it gets no new-to-service tag.",
    "7 was not brought up to date, because it could not be copied.",
    "7 was removed for good already. Nothing is left to ask about it.",
    "7 was removed for good, so it gets no tag.",
    "7 was removed for good, so nothing about it changes any more.",
    "A range runs from a smaller to a larger number, not from 7 to 7.",
    "A tag number has 1 to 7 digits and at most 7 characters in all.",
    "From 7 until 7 is no stretch of a day.",
    "Labels can be nudged by at most 7 mm to each side.",
    "That decision ended on 7 already: 7.",
    "The bound “7” of a reading of 7 is not one of =, <, >, no-trip, no-reading.",
    "The measures of a format of labels are numbers of mm.",
    "The rulebook 7 is not used, because 7 things in it are wrong.",
    "The rulebook 7 is not used, because something in it is wrong.",
    "The table of distances can't be read: each row is from, to, km, minutes.",
    "The test of 7 of 7 was not taken in.",
    "The text is not JSON: 7 at line 7, column 7.",
    "There is no site 7 in this register.",
    "There is no way of visiting 7 this week.",
    "There is nothing to do again: nothing was undone since the last change.",
    "There is nothing to undo: nothing was changed since this register was opened.",
    "What is kept about planning can't be read.",
    "“7” describes no field pack.",
    "“7” describes no labels.",
    "“7” has 7 MB; 7 has at most 7 MB. It was not opened.",
    "“7” holds a part named “7”, which points outside the file. It was not opened.",
    "“7” holds parts that 7 never has. It was not opened.",
    "“7” is 7, not 7.",
    "“7” is cut off or was altered, so it was not opened.",
    "“7” is neither on nor off.",
    "“7” is neither warn nor refuse.",
    "“7” is neither yes nor no.",
    "“7” is no date: 7.",
    "“7” is not a text.",
    "“7” is not as field work must be (7), so nothing of it was merged.",
    "“7” is not in the calendar: 7 7 has 7 days.",
    "“7” is not the name of a folder.",
    "“7” lies beyond the globe: latitude goes from -90 to 90 and comes first, longitude from -180 to 180.",
    "“7” should be two values with a slash between them: at 0°, then at 180°.",
    "“7” unpacks to 7 times its size; a real workbook stays below 7. It was not opened.",
    "“7” was altered or damaged since it was made, so nothing of it was used.",
    "“7” would unpack to 7 MB, which 7 never does. It was not opened.",
}
"""No step is named: what is right follows from the fact, what follows says it, or the reader can do nothing here."""


def test_every_sentence_says_what_to_do() -> None:
    without = {text for _where, text in SAID if not STEP.search(text) and not CHOICE.search(text)}
    assert without - FACTS == set()
    assert FACTS - without == set(), "these are said no more, or name a step now"
