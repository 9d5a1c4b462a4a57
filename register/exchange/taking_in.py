"""Taking a spreadsheet into the register: read, compared, and kept in one transaction or not at all."""

import hashlib
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from register.domain.rulebook import Rulebook
from register.errors import Refused
from register.exchange.own_workbook import is_own, read_own
from register.exchange.sheets.book import open_book
from register.exchange.sheets.cells import Book
from register.exchange.sheets.corrected import for_next_file, heads_hash
from register.exchange.sheets.file_reading import FileReading
from register.exchange.sheets.mapping import Constants, Mapping
from register.exchange.sheets.mapping_file import mapping_text, parse_mapping
from register.exchange.sheets.read_book import Progress, read_book
from register.services.intake.mappings import Remembered, remember, remembered
from register.services.intake.records import forget_judgements
from register.services.intake.taking_in import DEFAULT_RULEBOOK, IntakeChoices, Taken, take_in
from register.services.places import rulebook_of_site
from register.services.rulebooks import rulebook
from register.store.bulk import many_values
from register.store.engine import Change, Register


@dataclass(frozen=True, slots=True)
class FileTaken:
    """What became of a file: how it was read, and what was taken in or would be."""

    reading: FileReading
    taken: Taken
    dry_run: bool

    @property
    def sites(self) -> tuple[str, ...]:
        """Return the codes of the sites that the rows name themselves, each once."""
        return tuple(sorted({each.site.upper() for each in self.reading.rows.items if each.site}))

    @property
    def lacks(self) -> str:
        """Return in a sentence what does not come along; empty where nothing new comes, or nothing is known to lack."""
        return self.reading.lacks if self.taken.new_items or self.taken.new_records else ""


def read_file(
    register: Register,
    path: Path,
    choices: IntakeChoices,
    *,
    today: date,
    mapping: Mapping | None = None,
    progress: Progress | None = None,
) -> FileReading:
    """Read one file for a register: what its rows say, how they were read, and what has to be asked first.

    Without a mapping, the one counts by which a file with the same headings was taken in before.
    """
    rules = _rules(register, choices, mapping)
    with many_values(), open_book(path) as book:
        if is_own(book):
            return read_own(
                path.name, book, today=today, classes={each.title: each for each in rules.environments.values()}
            )
        reading = _as_said(register, path, book, choices, today=today, mapping=mapping, progress=progress)
        kept = None if mapping is not None else _kept(register, reading)
        if kept is None:
            return replace(reading, said=mapping)
        again, _ = parse_mapping(kept.text, kept.source)
        if again is None:
            return reading
        reading = _as_said(register, path, book, choices, today=today, mapping=again, progress=progress)
        return replace(reading, said=again, remembered=kept.source)


def _as_said(
    register: Register,
    path: Path,
    book: Book,
    choices: IntakeChoices,
    *,
    today: date,
    mapping: Mapping | None,
    progress: Progress | None,
) -> FileReading:
    environments = frozenset(_rules(register, choices, mapping).environments)
    return read_book(
        path.name, book, mapping=mapping, today=today, environments=environments, constants=_constants(choices),
        progress=progress,
    )  # fmt: skip


def _kept(register: Register, reading: FileReading) -> Remembered | None:
    heads = heads_hash(reading.heads.values())
    with register.read() as connection:
        return remembered(connection, heads) if heads else None


def _remember(change: Change, path: Path, reading: FileReading) -> None:
    """Keep the mapping that was given, so that the next file of this source needs none."""
    heads = heads_hash(reading.heads.values())
    if reading.said is None or not heads:
        return
    nothing = reading.said == Mapping(source=reading.said.source)
    text = "" if nothing else mapping_text(for_next_file(reading.said, reading.heads))
    remember(change, Remembered(reading.said.source or path.stem, heads, text))


def take_in_reading(
    register: Register,
    path: Path,
    reading: FileReading,
    choices: IntakeChoices,
    *,
    actor: str,
    at: datetime,
    today: date,
    dry_run: bool = False,
) -> FileTaken:
    """Take in what was read. A dry run does all the same and keeps nothing, so that it tells exactly what would happen.

    Refused, with nothing kept, where the file leaves open how it is to be read.
    """
    if reading.questions:
        raise Refused(
            f"{path.name} leaves open how to read it, so nothing was taken in. Say in a mapping: "
            + " ".join(reading.questions)
        )
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    filled = _filled(choices, reading.mapping_used)
    with many_values(), register.change(actor=actor, at=at, today=today, keep=not dry_run) as change:
        taken = take_in(change, reading.rows, filled, file_name=path.name, sha256=digest)
        _remember(change, path, reading)
    if not dry_run:
        forget_judgements()
    return FileTaken(reading, taken, dry_run)


def _constants(choices: IntakeChoices) -> Constants:
    """Return the choices as what holds for every row; a new site's own class is no row's."""
    return Constants(site=choices.site, site_name=choices.site_name, owner=choices.owner, rulebook=choices.rulebook)


def _filled(choices: IntakeChoices, used: Mapping) -> IntakeChoices:
    """Return the choices, filled up from the mapping where the user said nothing."""
    said = used.constants
    return IntakeChoices(
        site=choices.site or said.site,
        site_name=choices.site_name or said.site_name,
        owner=choices.owner or said.owner,
        rulebook=choices.rulebook or said.rulebook or DEFAULT_RULEBOOK,
        environment=choices.environment or said.environment,
    )


def _rules(register: Register, choices: IntakeChoices, mapping: Mapping | None) -> Rulebook:
    """Return the rulebook of the file's site, whose environment classes the file may name."""
    said = mapping.constants if mapping is not None else None
    code = (choices.site or (said.site if said else "")).upper()
    with register.read() as connection:
        known = rulebook_of_site(connection, code)
    return rulebook(known or choices.rulebook or (said.rulebook if said else "") or DEFAULT_RULEBOOK)
