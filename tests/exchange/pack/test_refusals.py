"""What is no whole field pack of this register is refused with one sentence, and nothing is changed by it."""

import base64
import hashlib
import json
import shutil
import struct
import zipfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from register.errors import Refused, Unavailable
from register.exchange.pack import container, open_pack
from register.services.packs.identity import key_of
from register.services.photos import photo_key
from register.store.engine import Register, create_register
from tests.desk import Desk
from tests.exchange.pack.crew import EXPIRES, MADE, Laptop, copied, merged, pack_for, sent_back, unpacked
from tests.pictures import png

Spoil = Callable[[Path], None]


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with an office's register, a field pack of it, and field work; no test changes them."""
    folder = tmp_path_factory.mktemp("sent")
    office = Desk(create_register(folder / "office.register"), MADE)
    office.site()
    office.item("YD-1")
    laptop = unpacked(pack_for(office.register, folder / "yard.fieldpack", "YARD"), folder / "field.register")
    laptop.later(900).test("YD-1")
    sent_back(laptop, folder / "yard.fieldwork")
    laptop.register.close()
    office.register.close()
    return folder


@pytest.fixture
def office(sent: Path, tmp_path: Path) -> Register:
    return copied(sent / "office.register", tmp_path / "office.register")


def refused(office: Register, path: Path, today: date = MADE) -> str:
    """Merge what can't be, look whether the register is what it was, and return what was said."""
    before = _bytes(office)
    with pytest.raises(Refused) as said:
        merged(office, path, today=today)
    assert _bytes(office) == before
    return str(said.value)


def not_opened(path: Path, today: date = MADE) -> str:
    """Open what can't be, look whether nothing was made, and return what was said."""
    target = path.with_name("opened.register")
    with pytest.raises(Refused) as said:
        open_pack(path, target, today=today)
    assert not list(path.parent.glob("opened*"))
    return str(said.value)


def _bytes(register: Register) -> str:
    return hashlib.sha256(Path(str(register.engine.url.database)).read_bytes()).hexdigest()


def test_a_changed_byte_anywhere_is_found(sent: Path, office: Register, tmp_path: Path) -> None:
    whole = (sent / "yard.fieldwork").read_bytes()
    path = tmp_path / "changed.fieldwork"
    for place in sorted({*range(0, len(whole), 97), *range(len(whole) - 90, len(whole))}):
        changed = bytearray(whole)
        changed[place] ^= 0x01
        path.write_bytes(changed)
        with pytest.raises(Refused):
            merged(office, path, today=MADE)
    assert merged(office, sent / "yard.fieldwork", today=MADE).added["record"] == 1


def test_a_changed_byte_of_a_pack_is_found_before_it_is_opened(sent: Path, tmp_path: Path) -> None:
    whole = (sent / "yard.fieldpack").read_bytes()
    path = tmp_path / "changed.fieldpack"
    for place in range(0, len(whole), 397):
        changed = bytearray(whole)
        changed[place] ^= 0x80
        path.write_bytes(changed)
        not_opened(path)


@pytest.mark.parametrize("kept", [0, 1, 20, 0.5, 0.99, -1])
def test_a_file_that_is_cut_off_is_refused(sent: Path, office: Register, tmp_path: Path, kept: float) -> None:
    whole = (sent / "yard.fieldwork").read_bytes()
    path = tmp_path / "cut.fieldwork"
    path.write_bytes(whole[: int(kept) if isinstance(kept, int) else int(len(whole) * kept)])
    assert "cut.fieldwork" in refused(office, path)


def test_bytes_behind_the_end_are_found(sent: Path, office: Register, tmp_path: Path) -> None:
    path = tmp_path / "longer.fieldwork"
    path.write_bytes((sent / "yard.fieldwork").read_bytes() + b"more")
    assert "cut off or was altered" in refused(office, path)


def test_what_is_no_pack_at_all_is_named(sent: Path, office: Register, tmp_path: Path) -> None:
    path = tmp_path / "letter.fieldwork"
    for content in (b"Dear office,\n", b"", b"PK\x05\x06" + b"\0" * 18, (sent / "office.register").read_bytes()):
        path.write_bytes(content)
        assert "is not field work of this program" in refused(office, path)
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("xl/workbook.xml", "<workbook/>")
    assert "is not field work of this program" in refused(office, path)
    assert "is a folder" in refused(office, tmp_path)
    with pytest.raises(Unavailable, match="There is no file"):
        merged(office, tmp_path / "nowhere.fieldwork")


def test_pack_and_work_are_told_apart(sent: Path, office: Register, tmp_path: Path) -> None:
    assert "is a field pack, not field work" in refused(office, sent / "yard.fieldpack")
    work = Path(shutil.copy(sent / "yard.fieldwork", tmp_path / "yard.fieldwork"))
    assert "is field work, not a field pack" in not_opened(work)


def test_work_of_another_business_and_of_an_older_copy_is_refused(sent: Path, tmp_path: Path) -> None:
    other = create_register(tmp_path / "other.register")
    Desk(other).site()
    assert "another register" in refused(other, sent / "yard.fieldwork")
    pack_for(other, tmp_path / "theirs.fieldpack", "YARD")
    assert "another register" in refused(other, sent / "yard.fieldwork")


def test_an_expired_pack_is_not_opened_and_its_work_only_merged_as_late(
    sent: Path, office: Register, tmp_path: Path
) -> None:
    day_after = date(2026, 12, 5)
    assert day_after > EXPIRES
    pack = Path(shutil.copy(sent / "yard.fieldpack", tmp_path / "yard.fieldpack"))
    assert "expired on 4 Dec 2026" in not_opened(pack, day_after)
    assert "expired on 4 Dec 2026" in refused(office, sent / "yard.fieldwork", day_after)
    assert merged(office, sent / "yard.fieldwork", today=day_after, late=True).added["record"] == 1


def test_a_register_in_the_way_is_left_as_it_is(sent: Path, tmp_path: Path) -> None:
    target = tmp_path / "mine.register"
    target.write_bytes(b"mine")
    with pytest.raises(Refused, match="exists already"):
        open_pack(sent / "yard.fieldpack", target, today=MADE)
    assert target.read_bytes() == b"mine"


# --- files made to do harm, with a right seal ---


def forged(sent: Path, office: Register, path: Path, change: Callable[[dict[str, Any], dict[str, Any]], None]) -> Path:
    """Write field work that says something else, sealed with the right key."""
    with zipfile.ZipFile(sent / "yard.fieldwork") as archive:
        manifest, work = (json.loads(archive.read(name)) for name in ("manifest.json", "work.json"))
    change(manifest, work)
    text = json.dumps(work).encode()
    manifest["parts"].setdefault("work.json", "")
    manifest["parts"]["work.json"] = hashlib.sha256(text).hexdigest()
    return sealed(office, path, manifest, {"manifest.json": json.dumps(manifest).encode(), "work.json": text})


def sealed(office: Register, path: Path, manifest: dict[str, Any], parts: dict[str, bytes]) -> Path:
    """Write a zip of these parts and seal it as the program does."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
        archive.comment = b"retest-register-seal:" + b"0" * 64
    with office.read() as connection:
        container._seal(path, key_of(connection, manifest["pack"]["id"]))
    return path


def _newer_form(manifest: dict[str, Any], _work: dict[str, Any]) -> None:
    manifest["form"] = 2


def _newer_layout(manifest: dict[str, Any], _work: dict[str, Any]) -> None:
    manifest["layout"] = "0099"


@pytest.mark.parametrize("newer", [_newer_form, _newer_layout])
def test_work_of_a_newer_program_is_refused(sent: Path, office: Register, tmp_path: Path, newer: Any) -> None:  # noqa: ANN401
    path = forged(sent, office, tmp_path / "newer.fieldwork", newer)
    assert "newer version of this program" in refused(office, path)


def _set(*place: str | int, value: Any) -> Callable[[dict[str, Any], dict[str, Any]], None]:  # noqa: ANN401
    def change(_manifest: dict[str, Any], work: dict[str, Any]) -> None:
        part: Any = work
        for step in place[:-1]:
            part = part[step]
        part[place[-1]] = value

    return change


_DIGEST = hashlib.sha256(png()).hexdigest()
PHOTO = {
    "id": photo_key(_DIGEST),
    "sha256": _DIGEST,
    "form": "png",
    "width": 8,
    "height": 6,
    "picture": base64.b64encode(png()).decode(),
}


WRONG = {
    "a word that is no verdict": _set("added", "record", 0, "verdict", value="certified"),
    "a day that is none": _set("added", "record", 0, "tested_on", value="2026-02-30"),
    "a number as text": _set("added", "reading", 0, "number", value="1; DROP TABLE item"),
    "an id that is none": _set("added", "record", 0, "id", value="../../etc"),
    "a column too many": _set("added", "record", 0, "admin", value=True),
    "no list": _set("added", "record", value={"a": 1}),
    "a table missing": _set("added", value={}),
    "an empty verdict": _set("added", "record", 0, "verdict", value=None),
    "an event of the office": _set("events", 0, "name", value="setting:change"),
    "facts that are no JSON": _set("events", 0, "data", value="{"),
    "a change of the schedule": _set(
        "changed", value=[{"kind": "item", "key": "0" * 36, "before": {"next_due": None}, "after": {"next_due": None}}]
    ),
    "a text of a megabyte": _set("added", "record", 0, "remarks", value="x" * 1_000_000),
    "a photo that is no picture": _set("added", "photo", value=[PHOTO | {"picture": "bm90IG9uZQ=="}]),
    "a photo of another digest": _set("added", "photo", value=[PHOTO | {"sha256": "0" * 64}]),
    "a photo that says it is larger": _set("added", "photo", value=[PHOTO | {"width": 99_999}]),
    "a photo of too many bytes": _set("added", "photo", value=[PHOTO | {"picture": "A" * 1_400_000}]),
    "a photo that is no base64": _set("added", "photo", value=[PHOTO | {"picture": "<svg/>"}]),
    "an item of nobody": _set("added", "record", 0, "item_id", value="01a222d0-6952-72b2-9e52-79a21bfebe54"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_what_is_not_as_field_work_must_be_is_refused(sent: Path, office: Register, tmp_path: Path, wrong: str) -> None:
    said = refused(office, forged(sent, office, tmp_path / "wrong.fieldwork", WRONG[wrong]))
    assert "wrong.fieldwork" in said
    assert "nothing of it was merged" in said


def test_parts_that_lead_elsewhere_or_are_too_many_are_not_unpacked(
    sent: Path, office: Register, tmp_path: Path
) -> None:
    with zipfile.ZipFile(sent / "yard.fieldwork") as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(parts["manifest.json"])
    for name in ("../../outside.txt", "/etc/outside", "C:\\outside.txt", "work2.json"):
        path = sealed(office, tmp_path / "paths.fieldwork", manifest, parts | {name: b"x"})
        assert "parts that field work never has" in refused(office, path)
    many = sealed(office, tmp_path / "many.fieldwork", manifest, parts | {f"{n}.txt": b"" for n in range(2_000)})
    assert "parts that field work never has" in refused(office, many)
    assert not (tmp_path.parent.parent / "outside.txt").exists()


def test_a_zip_bomb_is_weighed_before_it_is_unpacked(sent: Path, office: Register, tmp_path: Path) -> None:
    with zipfile.ZipFile(sent / "yard.fieldwork") as archive:
        manifest = json.loads(archive.read("manifest.json"))
    text = json.dumps(manifest).encode()
    bomb = sealed(
        office, tmp_path / "bomb.fieldwork", manifest, {"manifest.json": text, "work.json": b" " * 60_000_000}
    )
    assert bomb.stat().st_size < 200_000
    assert "would unpack to 60 MB" in refused(office, bomb)


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA, 93])
def test_parts_that_are_packed_in_another_way_are_not_unpacked(
    sent: Path, office: Register, tmp_path: Path, method: int
) -> None:
    whole = bytearray((sent / "yard.fieldwork").read_bytes())
    listed = whole.find(b"PK\x01\x02")
    while listed >= 0:
        struct.pack_into("<H", whole, listed + 10, method)
        listed = whole.find(b"PK\x01\x02", listed + 4)
    path = tmp_path / "packed.fieldwork"
    path.write_bytes(whole)
    assert "parts that field work never has" in refused(office, path)


def test_a_zip_that_lies_about_its_size_is_stopped(
    sent: Path, office: Register, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with zipfile.ZipFile(sent / "yard.fieldwork") as archive:
        manifest = json.loads(archive.read("manifest.json"))
    content = b" " * 6_000_000
    manifest["parts"]["work.json"] = hashlib.sha256(content).hexdigest()
    path = sealed(
        office, tmp_path / "liar.fieldwork", manifest,
        {"manifest.json": json.dumps(manifest).encode(), "work.json": content},
    )  # fmt: skip
    whole = bytearray(path.read_bytes())
    listed = whole.rfind(b"PK\x01\x02")
    struct.pack_into("<I", whole, listed + 24, 1_000)
    path.write_bytes(whole)
    with office.read() as connection:
        container._seal(path, key_of(connection, manifest["pack"]["id"]))
    monkeypatch.setattr(container, "LARGEST_UNPACKED", 5_000_000)
    assert "altered or damaged" in refused(office, path)


def test_a_pack_with_more_in_it_than_a_register_is_not_opened(sent: Path, tmp_path: Path) -> None:
    import sqlite3

    part = tmp_path / "register.sqlite"
    with zipfile.ZipFile(sent / "yard.fieldpack") as archive:
        manifest = json.loads(archive.read("manifest.json"))
        part.write_bytes(archive.read("register.sqlite"))
    with sqlite3.connect(part) as connection:
        connection.execute("CREATE TRIGGER more AFTER INSERT ON item BEGIN DELETE FROM mark; END")
    connection.close()
    manifest["parts"]["register.sqlite"] = hashlib.sha256(part.read_bytes()).hexdigest()
    path = tmp_path / "trigger.fieldpack"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("manifest.json", json.dumps(manifest))
        archive.write(part, "register.sqlite")
        archive.comment = b"retest-register-seal:" + b"0" * 64
    container._seal(path, manifest["pack"]["key"])
    assert "no whole register" in not_opened(path)


def test_a_field_register_makes_no_packs_and_merges_nothing(sent: Path, tmp_path: Path) -> None:
    laptop = Laptop(copied(sent / "field.register", tmp_path / "field.register"), MADE)
    with pytest.raises(Refused, match="itself a field pack"):
        pack_for(laptop.register, tmp_path / "again.fieldpack", "YARD")
    with pytest.raises(Refused, match="another register"):
        merged(laptop.register, sent / "yard.fieldwork")
    assert not (tmp_path / "again.fieldpack").exists()


def test_an_office_register_sends_no_work_back(office: Register, tmp_path: Path) -> None:
    with pytest.raises(Refused, match="no field pack"):
        sent_back(Desk(office), tmp_path / "none.fieldwork")
    assert not (tmp_path / "none.fieldwork").exists()
