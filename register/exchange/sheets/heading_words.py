"""The words that people put over their columns, and what each can mean."""

import re
import unicodedata
from typing import Final

from register.exchange.sheets.fields import Field

BECOMES: Final = "What becomes of it"
OF_PREVIEW: Final = (BECOMES, "Row in the file", "Why, or what to look at")
"""Over the first columns of a preview, which come back with the list when that was mended there."""

_BETWEEN: Final = re.compile(r"[\W_]+")


def plain(text: str) -> str:
    """Return words for comparing: lower case, one blank between them, nothing but letters and digits."""
    return _BETWEEN.sub(" ", unicodedata.normalize("NFKC", text).casefold()).strip()


SURE: Final[dict[Field, tuple[str, ...]]] = {
    Field.TAG: (
        "tag", "tag no", "tag nr", "tag number", "tag id", "tag num", "tagno", "item tag", "item tag no", "tag code",
        "barcode", "bar code", "barcode no", "test tag", "test tag no", "current tag", "present tag",
        "asset tag", "asset tag no", "asset tag number",
    ),
    Field.SITE: ("site", "site code", "site no", "site id", "site number", "premises", "premises code"),
    Field.SITE_NAME: ("site name", "name of site", "premises name"),
    Field.OWNER: ("owner", "site owner", "owner name", "customer", "customer name", "belongs to"),
    Field.AREA: ("area", "room", "area name", "room name", "part of site", "building area", "zone"),
    Field.AREA_ENVIRONMENT: ("area class", "area environment", "area environment class", "environment of area"),
    Field.ENVIRONMENT: (
        "environment", "environment class", "environ", "env", "env class", "item class", "item environment",
        "environment type",
    ),
    Field.KIND: (
        "kind", "item kind", "kind of item", "item type", "type of item", "equipment type", "type of equipment",
        "appliance type", "kind of equipment",
    ),
    Field.APPLIANCE_CLASS: ("appliance class", "protection class", "insulation class", "class i ii", "class i or ii"),
    Field.DESCRIPTION: (
        "description", "item description", "desc", "equipment", "equipment description", "appliance", "what",
        "details of item", "item name",
    ),
    Field.SERIAL: (
        "serial", "serial no", "serial number", "serial nr", "s n", "sn", "ser no", "ser number", "serial num",
        "makers number",
    ),
    Field.OUTLETS: (
        "outlets", "no of outlets", "number of outlets", "outlet count", "sockets", "no of sockets",
        "number of sockets", "ways", "no of ways", "number of ways",
    ),
    Field.RATED_RESIDUAL: (
        "rated residual current", "residual current", "rated residual", "rcd rating", "rcd ma", "trip rating",
        "residual current ma", "rated residual current ma", "rated residual ma", "rcd sensitivity", "sensitivity",
        "sensitivity ma", "idn", "iδn", "i n ma",
    ),
    Field.SWITCH_TYPE: ("switch type", "safety switch type", "type of switch", "declared type"),
    Field.WAVEFORM: ("waveform", "wave form", "wave", "ac a", "a ac", "ac a f b", "rcd form", "waveform type"),
    Field.DELAY: ("delay", "time delay", "selective", "delayed"),
    Field.RATED_CURRENT: (
        "rated current", "rated current a", "amps", "amp", "rated amps", "rated a", "amp rating", "current rating",
        "rating a", "rating amps",
    ),
    Field.EARLIER_TAGS: (
        "old tag", "old tags", "old tag no", "previous tag", "previous tags", "previous tag no", "earlier tag",
        "earlier tags", "former tag", "other tags", "replaced tag",
    ),
    Field.SINCE: (
        "in service since", "in use since", "date in service", "in service date", "put into service", "service start",
        "first used", "date first used", "new to service", "new to service date",
    ),
    Field.STANDING: ("standing", "item status", "state of item"),
    Field.REMOVED_ON: (
        "removed on", "date removed", "disposed on", "date disposed", "disposal date", "scrapped on",
        "date scrapped", "removal date", "out of use since",
    ),
    Field.MOVED_IN_USE: ("moved in use", "moved while in use", "moved during use", "portable in use"),
    Field.PROTECTED_BY_SWITCH: (
        "on a safety switch", "protected by safety switch", "on rcd", "rcd protected", "protected by rcd",
        "connected to a safety switch", "safety switch protected", "on safety switch",
    ),
    Field.RISK_FACTOR: ("risk factor", "stated risk factor", "electrical risk factor", "stated electrical risk factor"),
    Field.TESTED_ON: (
        "test date", "date tested", "tested on", "date of test", "last tested", "last test date",
        "date last tested", "date of last test", "tested date", "testing date", "inspection date",
        "date inspected", "date of inspection", "checked on", "date checked", "check date", "date of check",
    ),
    Field.TESTED_AT: ("test time", "time tested", "time of test", "tested at"),
    Field.TESTER: (
        "tester", "tested by", "by", "technician", "test person", "competent person", "inspected by", "tester name",
        "name of tester", "person",
    ),
    Field.INSTRUMENT: (
        "instrument", "test instrument", "instrument no", "instrument serial", "test set", "tester serial",
        "tester no", "tester serial no", "test set no", "instrument serial no",
    ),
    Field.WORK_DONE: (
        "work done", "test type", "type of test", "test done", "tests done", "kind of test", "test carried out",
        "tests carried out", "what was done",
    ),
    Field.LOOK: (
        "look", "visual", "visual check", "visual inspection", "visual result", "visual test", "looked over", "vis",
        "visual p f",
    ),
    Field.RESULT: (
        "result", "test result", "outcome", "pass fail", "p f", "pass or fail", "overall result", "overall", "verdict",
        "results", "last result", "last test result", "test outcome", "passed",
    ),
    Field.SET_UP: ("set up", "setup", "test set up"),
    Field.REMARKS: (
        "remarks", "remark", "comments", "comment", "notes", "note", "test remarks", "fault", "faults", "observations",
    ),
    Field.IGNORE: (
        "next due", "next test", "next test due", "due date", "retest date", "retest due", "next test date", "due",
        "retest", "days left", "days overdue", "interval", "test interval", "retest interval", "frequency", "line no",
        "row no", "price", "cost", "photo", "picture", "signature", "months",
    ),
}  # fmt: skip
"""Words that mean one thing wherever they stand."""

OPEN: Final[dict[str, tuple[Field, ...]]] = {
    "type": (Field.KIND, Field.SWITCH_TYPE, Field.WAVEFORM),
    "rcd type": (Field.SWITCH_TYPE, Field.WAVEFORM),
    "class": (Field.APPLIANCE_CLASS, Field.ENVIRONMENT),
    "use": (Field.ENVIRONMENT,),
    "usage": (Field.ENVIRONMENT,),
    "group": (Field.KIND, Field.OWNER),
    "category": (Field.KIND, Field.ENVIRONMENT),
    "state": (Field.STANDING,),
    "status": (Field.STANDING, Field.RESULT),
    "in use": (Field.STANDING, Field.SINCE),
    "in service": (Field.STANDING, Field.SINCE),
    "condition": (Field.STANDING, Field.LOOK),
    "inspection": (Field.LOOK, Field.TESTED_ON),
    "removed": (Field.REMOVED_ON, Field.STANDING),
    "disposed": (Field.REMOVED_ON, Field.STANDING),
    "scrapped": (Field.REMOVED_ON, Field.STANDING),
    "tested": (Field.TESTED_ON, Field.RESULT),
    "last test": (Field.TESTED_ON, Field.RESULT),
    "test": (Field.TESTED_ON, Field.RESULT),
    "time": (Field.TESTED_AT,),
    "initials": (Field.TESTER,),
    "who": (Field.TESTER,),
    "ma": (Field.RATED_RESIDUAL,),
    "rating": (Field.RATED_CURRENT, Field.RATED_RESIDUAL),
    "rated": (Field.RATED_CURRENT, Field.RATED_RESIDUAL),
    "a": (Field.RATED_CURRENT,),
    "s": (Field.DELAY,),
    "pass": (Field.RESULT,),
    "ok": (Field.RESULT,),
    "location": (Field.AREA, Field.SITE),
    "where": (Field.AREA, Field.SITE),
    "place": (Field.AREA, Field.SITE),
    "position": (Field.AREA,),
    "department": (Field.AREA, Field.OWNER),
    "client": (Field.OWNER, Field.SITE_NAME),
    "company": (Field.OWNER, Field.SITE_NAME),
    "date": (Field.TESTED_ON,),
    "item": (Field.DESCRIPTION, Field.TAG),
    "device": (Field.DESCRIPTION, Field.KIND),
    "item no": (Field.TAG,),
    "item number": (Field.TAG,),
    "number": (Field.TAG,),
    "no": (Field.TAG, Field.IGNORE),
    "id": (Field.TAG, Field.IGNORE),
    "code": (Field.TAG, Field.SITE),
    "plant no": (Field.TAG, Field.SERIAL),
    "equipment no": (Field.TAG, Field.SERIAL),
    "asset no": (Field.TAG, Field.SERIAL),
    "asset number": (Field.TAG, Field.SERIAL),
    "asset id": (Field.TAG, Field.SERIAL),
    "inventory no": (Field.TAG, Field.SERIAL),
    "inventory number": (Field.TAG, Field.SERIAL),
    "inv no": (Field.TAG, Field.SERIAL),
    "label": (Field.TAG,),
    "name": (Field.DESCRIPTION, Field.TESTER, Field.SITE_NAME),
    "model": (Field.DESCRIPTION,),
    "make": (Field.DESCRIPTION,),
    "with": (Field.INSTRUMENT,),
}  # fmt: skip
"""Words that can mean several things. Where the values of the column fit only one of them, that is it."""

PLACES: Final = frozenset({"location", "where", "place", "position"})
"""Places: an area where another column already names the site."""

EARLIER: Final = ("previous ", "prev ", "earlier ", "last but one ")
"""Before a word for tests: it speaks of the test before the latest."""

_FIELD_OF: Final = {word: field for field, words in SURE.items() for word in words}


def sure_field(words: str) -> Field | None:
    """Return the one field that plain words mean, or None."""
    return _FIELD_OF.get(words)


def all_words() -> dict[str, Field]:
    """Return every word that means one thing, for looking up similar ones."""
    return _FIELD_OF
