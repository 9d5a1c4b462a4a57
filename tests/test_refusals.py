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
