"""Only a keyring of the system's keeps a password; of whatever else stands in for one it is said that it does not."""

import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from register.store.address import Address, place_of
from register.store.passwords import NOT_TAKEN, keep_password, kept_password

SAFE, PLAIN = "keyring.backends.SecretService", "keyrings.alt.file"
WORD = "tern-7-slipway-9"


@pytest.fixture
def place() -> Address:
    made = place_of("postgresql+psycopg://ana@db.example.org/retest")
    assert isinstance(made, Address)
    return made


class KeyringError(Exception):
    """What a keyring raises that can't do what it is asked."""


def keyring_of(module: str, name: str = "Keyring", *, locked: bool = False) -> Any:  # noqa: ANN401 - made up
    """Return a keyring that says it comes from a module."""
    kept: dict[tuple[str, str], str] = {}

    def keep(_self: object, service: str, login: str, password: str) -> None:
        if locked:
            raise KeyringError("locked")
        kept[service, login] = password

    def known(_self: object, service: str, login: str) -> str | None:
        if locked:
            raise KeyringError("locked")
        return kept.get((service, login))

    return type(name, (), {"__module__": module, "set_password": keep, "get_password": known, "kept": kept})()


@pytest.fixture
def computer(monkeypatch: pytest.MonkeyPatch) -> Callable[[Any], None]:
    """Lets a computer have a keyring, or whatever its settings name in the place of one."""

    def made(chosen: Any) -> None:  # noqa: ANN401 - made up
        package, errors = ModuleType("keyring"), ModuleType("keyring.errors")
        package.get_keyring = lambda: chosen  # type: ignore[attr-defined]
        errors.KeyringError = KeyringError  # type: ignore[attr-defined]
        monkeypatch.setitem(sys.modules, "keyring", package)
        monkeypatch.setitem(sys.modules, "keyring.errors", errors)

    return made


def test_the_systems_keyring_keeps_it_by_the_address(place: Address, computer: Callable[[Any], None]) -> None:
    chosen = keyring_of(SAFE)
    computer(chosen)
    assert kept_password(place) is None
    assert keep_password(place, WORD) == ""
    assert kept_password(place) == WORD
    assert list(chosen.kept) == [("Retest Register", str(place))]


@pytest.mark.parametrize("module", [PLAIN, "keyring.backends.fail", "keyring.backends.null"])
def test_whatever_stands_in_for_it_gets_none_and_is_not_asked_for_one(
    place: Address, computer: Callable[[Any], None], module: str
) -> None:
    chosen = keyring_of(module)
    computer(chosen)
    chosen.kept["Retest Register", str(place)] = WORD
    assert kept_password(place) is None
    chosen.kept.clear()
    assert keep_password(place, WORD) == (
        "The password was not kept, because no keyring of the system's is there to keep it safely;"
        f" {module}.Keyring stands in for one. It will be asked for each time."
    )
    assert chosen.kept == {}


def test_of_several_the_systems_own_is_asked(place: Address, computer: Callable[[Any], None]) -> None:
    several = keyring_of("keyring.backends.chainer", "ChainerBackend")
    plain, safe = keyring_of(PLAIN, "PlaintextKeyring"), keyring_of(SAFE)
    several.backends = [plain, safe]
    computer(several)
    assert keep_password(place, WORD) == ""
    assert (plain.kept, list(safe.kept.values())) == ({}, [WORD])
    several.backends = [plain]
    assert "It will be asked for each time" in keep_password(place, WORD)
    assert plain.kept == {}


def test_one_that_is_locked_is_said_to_keep_none(place: Address, computer: Callable[[Any], None]) -> None:
    computer(keyring_of(SAFE, locked=True))
    assert kept_password(place) is None
    assert keep_password(place, WORD) == NOT_TAKEN


def test_without_the_package_there_is_nothing_to_say(
    place: Address, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(sys, "path", [str(tmp_path)])
    monkeypatch.delitem(sys.modules, "keyring", raising=False)
    assert kept_password(place) is None
    assert keep_password(place, WORD) == ""
