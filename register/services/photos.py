"""Photos of items that were taken out of service: kept once each, with their digest in the history."""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final
from uuid import UUID, uuid5

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.services.pictures import Picture, picture_of
from register.store import audit
from register.store.audit import Name
from register.store.engine import Change
from register.store.photos import Photo, WithdrawalPhoto
from register.store.tables import Withdrawal
from register.store.types import new_key

_PHOTOS: Final = UUID("2b7f5a0e-55c1-5b0a-8f63-9d0f6c3a7714")
"""The name space of pictures' ids: the same picture has the same id in every register."""

MOST: Final = 4
"""So many photos one withdrawal has at most (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A photo of an item: `on` is the day it was taken out of service, `content` the picture as a JPEG or PNG file."""

    id: str
    withdrawal_id: str
    on: date
    by: str
    content: bytes


def photo_key(digest: str) -> str:
    """Return the id of the picture with a digest."""
    return str(uuid5(_PHOTOS, digest))


def add_photo(change: Change, withdrawal_id: str, content: bytes) -> str:
    """Keep a photo of what was taken out of service; return its id. The same one twice changes nothing.

    Refused where the bytes are no picture or too large a one, and for one more than a withdrawal has at most.
    """
    picture = picture_of(content)
    out = change.session.get_one(Withdrawal, withdrawal_id)
    digest = hashlib.sha256(picture.content).hexdigest()
    key = photo_key(digest)
    mine = sa.select(WithdrawalPhoto.photo_id).where(WithdrawalPhoto.withdrawal_id == withdrawal_id)
    known = set(change.session.execute(mine).scalars())
    if key in known:
        return key
    if len(known) >= MOST:
        raise Refused(f"This withdrawal has {MOST} photos, which is the most that are kept. Leave the photo out.")
    if change.session.get(Photo, key) is None:
        change.session.add(_row(key, digest, picture))
        change.session.flush()
    shows = WithdrawalPhoto(
        id=new_key(), withdrawal_id=withdrawal_id, item_id=out.item_id, photo_id=key, added_by=change.actor,
        added_at=change.at,
    )  # fmt: skip
    change.session.add(shows)
    audit.log(
        change, Name.PHOTO_ADD, shows.id, item=out.item_id, withdrawal=withdrawal_id, sha256=digest,
        form=picture.form, bytes=len(picture.content),
    )  # fmt: skip
    return key


def _row(key: str, digest: str, picture: Picture) -> Photo:
    return Photo(
        id=key, sha256=digest, form=picture.form, width=picture.width, height=picture.height, picture=picture.content
    )


def is_picture(row: Mapping[str, Any]) -> bool:
    """Whether a row from outside holds a picture, and says of it what is true."""
    try:
        picture = picture_of(row["picture"])
    except Refused:
        return False
    digest = hashlib.sha256(picture.content).hexdigest()
    said = (row["id"], row["sha256"], row["form"], row["width"], row["height"], row["picture"])
    return said == (photo_key(digest), digest, picture.form, picture.width, picture.height, picture.content)


def photos_of(connection: Connection, item_id: str) -> tuple[Shown, ...]:
    """Return the photos of an item, the newest first."""
    statement = (
        sa.select(
            Photo.id, WithdrawalPhoto.withdrawal_id, Withdrawal.withdrawn_on, WithdrawalPhoto.added_by, Photo.picture
        )
        .join(WithdrawalPhoto, WithdrawalPhoto.photo_id == Photo.id)
        .join(Withdrawal, Withdrawal.id == WithdrawalPhoto.withdrawal_id)
        .where(WithdrawalPhoto.item_id == item_id)
        .order_by(WithdrawalPhoto.id.desc())
    )
    return tuple(Shown(*row) for row in connection.execute(statement))


def photo_faults(connection: Connection) -> Iterator[str]:
    """Yield a sentence for each picture that is not the one that was kept."""
    statement = sa.select(Photo.id, Photo.sha256, Photo.picture)
    rows = connection.execute(statement, execution_options={"yield_per": 20})  # not all pictures in memory at once
    for key, digest, content in rows:
        if hashlib.sha256(content).hexdigest() != digest or photo_key(digest) != key:
            yield f"The photo {key} is not the picture that was kept."
