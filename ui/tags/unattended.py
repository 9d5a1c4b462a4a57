"""Tags as a PDF without a window: `python3 -m ui --write tags`."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from register.domain.tag_words import TagKind
from register.errors import Refused
from register.services.settings import BY_NAME, setting
from register.services.tag_faces import items_at, items_tagged, tag_faces
from register.services.tag_stock import stock
from register.store.engine import open_register
from ui.tags.printing import write_pdf
from ui.tags.sheet import laid_out
from ui.tags.words import tags_on_pages


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be written: the tags of these items, or of all at a site; without a `stock` on the firm's own."""

    out: Path
    tags: Sequence[str] = ()
    site: str = ""
    kind: TagKind | None = None
    stock: str = ""
    start: int = 1


def write_tags(path: Path, today: date, order: Order) -> tuple[str, tuple[str, ...]]:
    """Write the tags and return what was done in words, and a sentence for each item that gets none.

    Refused where nothing is named, an item or site is unknown, or no item gets a tag.
    """
    from ui.window import application

    if not order.tags and not order.site:
        raise Refused("Name the items by their tags, or a site with --site.")
    register = open_register(path)
    try:
        with register.read() as connection:
            found = items_tagged(connection, order.tags) if order.tags else items_at(connection, order.site)
            faces = tag_faces(connection, found, today, order.kind)
            name = order.stock or setting(connection, "tag_stock", BY_NAME["tag_stock"].default)
            labels = stock(name, setting(connection, "tag_own_labels"))
            nudges = setting(connection, "tag_nudges") or {}
    finally:
        register.close()
    if not faces.faces:
        raise Refused(" ".join(faces.refused[:3]) or f"There is no item at site {order.site}, so there is no tag.")
    application()
    nudge = nudges.get("", (0.0, 0.0))
    sheets = laid_out([each.face for each in faces.faces], labels, start=order.start, nudge=(nudge[0], nudge[1]))
    write_pdf(order.out, sheets, "Tags")
    said = tags_on_pages(sheets)
    return f"{said} in {order.out}. Print at actual size (100 %).", faces.refused
