"""What the computer remembers between two starts survives rubbish in its file, and a disk that can't be written."""

import logging
from pathlib import Path

import pytest
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from ui.bench import memory
from ui.settings import Remembered, fit, recall, remember


def test_what_is_remembered_is_there_at_the_next_start(tmp_path: Path) -> None:
    said = Remembered('/own "quoted" Ünder\\folder/a.register', "dark")
    remember(tmp_path / "deep" / "memory.toml", said)
    assert recall(tmp_path / "deep" / "memory.toml") == said


def test_the_bench_remembers_a_name_of_any_letters(tmp_path: Path) -> None:
    said = memory.Remembered(tester="Mia 𠮷田 \U0001f50c")
    memory.remember(tmp_path / "bench.toml", said)
    assert memory.recall(tmp_path / "bench.toml") == said


@pytest.mark.parametrize(
    ("text", "register", "colours"),
    [
        (b"", "", "system"),
        (b"\xff\xfe\x00rubbish", "", "system"),
        (b"register = [1, 2", "", "system"),
        (b"register = 7\ncolours = 'dark'", "", "dark"),
        (b"register = 'a.register'\ncolours = 'mauve'", "a.register", "system"),
        (b"register = 'a.register'\nlater = 'unknown'", "a.register", "system"),
    ],
)
def test_a_value_that_means_nothing_falls_back_and_the_others_hold(
    tmp_path: Path, text: bytes, register: str, colours: str
) -> None:
    path = tmp_path / "memory.toml"
    path.write_bytes(text)
    assert recall(path) == Remembered(register, colours)


@pytest.mark.parametrize(
    ("room", "size"), [((1024, 600), (1024, 600)), ((1280, 720), (1280, 720)), ((2560, 1440), (1440, 900))]
)
def test_a_window_is_no_larger_than_its_screen(qtbot: QtBot, room: tuple[int, int], size: tuple[int, int]) -> None:
    window = QWidget()
    qtbot.addWidget(window)
    window.resize(1440, 900)
    fit(window, QSize(*room))
    assert window.size() == QSize(*size)


def test_a_file_that_is_not_there_is_no_trouble(tmp_path: Path) -> None:
    assert recall(tmp_path / "none.toml") == Remembered()


@pytest.mark.parametrize("register", ["a.register", "undecodable \udcff name"])
def test_what_can_not_be_written_is_noted_and_leaves_nothing_behind(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, register: str
) -> None:
    path = tmp_path / "memory.toml"
    if register == "a.register":
        path.mkdir()
    with caplog.at_level(logging.WARNING):
        remember(path, Remembered(register))
    assert "can't be written" in caplog.text
    assert not path.with_suffix(".tmp").exists()
