"""Makes the sample sites again, for any day: `python -m sample_sites.make --today 2026-11-23 --out DIR`."""

import argparse
import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from random import Random
from typing import Any, Final

from sample_sites.making import firm, style_a, style_b, style_c, style_d
from sample_sites.making.files import write_csv, write_list, write_tidy
from sample_sites.making.history import hand_of, write_history
from sample_sites.making.items import SampleItem, stock_up
from sample_sites.making.premises import Premises, Site, read_premises
from sample_sites.making.problems import plant
from sample_sites.making.style import Style
from sample_sites.making.table import Table

HERE: Final = Path(__file__).parent
FIXED_DAY: Final = date(2026, 11, 23)
"""The day for which the committed files are made, a Monday."""

SEED: Final = 3760
FIRST_TAG: Final = 4001
FIRST_UNUSED_TAG: Final = 9000
STYLES: Final = {style.letter: style for style in (style_a.STYLE, style_b.STYLE, style_c.STYLE, style_d.STYLE)}
SUFFIXES: Final = {"A": ".xlsx", "B": ".csv", "C": ".xlsx", "D": ".csv"}


@dataclass(frozen=True, slots=True)
class SampleFile:
    """One spreadsheet made: where it is and whose it is. `style` is A, B, C or D."""

    path: Path
    site_code: str
    site_name: str
    owner: str
    rulebook: str
    style: str


def make(out: Path, today: date, seed: int = SEED) -> list[SampleFile]:
    """Write the spreadsheets of every site as they stand on a day, and return them.

    Beside them come `sites.toml` (the firm, its customers and the demo's item), `known_problems.json` (every wrong
    row) and `demo_record.json`. The same day and seed give the same content.
    """
    out.mkdir(parents=True, exist_ok=True)
    premises = read_premises()
    made, problems, demo_tag = [], [], ""
    for place, (site, items, rng) in enumerate(items_of_sites(premises, today, seed)):
        style = STYLES[site.style]
        if site.code == firm.DEMO_SITE:
            demo_tag = str(style.tag(firm.demo_item(items).number))
        file = f"{_file_name(site)}{SUFFIXES[site.style]}"
        tables = style.tables(site, items, premises, today)
        problems += plant(
            site,
            style,
            tables,
            file=file,
            today=today,
            rng=rng,
            first_unused=FIRST_UNUSED_TAG + 10 * place,
            spared=demo_tag,
        )
        _write(out / file, style, tables)
        made.append(SampleFile(out / file, site.code, site.name, site.owner, site.rulebook, site.style))
    files = {each.site_code: each.path.name for each in made}
    _write_text(out / "sites.toml", firm.register_of_sites(premises, files, demo_tag, today))
    _write_json(out / "known_problems.json", [asdict(problem) for problem in problems])
    _write_json(out / "demo_record.json", [firm.demo_record(today, demo_tag, premises)])
    return made


def items_of_sites(
    premises: Premises, today: date, seed: int = SEED
) -> Iterator[tuple[Site, list[SampleItem], Random]]:
    """Yield each site with its items and their history, before anything is written down, and the site's own chance."""
    number = FIRST_TAG
    for site in premises.sites:
        rng = Random(f"{seed} {site.code}")  # noqa: S311 - invented readings, no secret
        items = stock_up(site, today, number, rng)
        number += len(items)
        write_history(site, items, premises, today, rng)
        if site.code == firm.DEMO_SITE:
            firm.settle_demo_item(site, firm.demo_item(items), hand_of(premises, rng), today, rng)
        yield site, items, rng


def _file_name(site: Site) -> str:
    words = "".join(letter if letter.isalnum() else " " for letter in site.name.lower()).split()
    return "-".join(words)


def _write(path: Path, style: Style, tables: list[Table]) -> None:
    match style.letter:
        case "A":
            write_tidy(path, tables)
        case "C":
            write_list(path, tables[0])
        case _:
            write_csv(path, tables[0], semicolons=style.letter == "D")


def _write_json(path: Path, content: list[Any]) -> None:
    _write_text(path, json.dumps(content, ensure_ascii=False, indent=1) + "\n")


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def main() -> None:
    """Make the files from the command line and say what was made."""
    parser = argparse.ArgumentParser(prog="python -m sample_sites.make", description=__doc__)
    parser.add_argument("--today", type=date.fromisoformat, default=FIXED_DAY, help="the day that the sheets are of")
    parser.add_argument("--out", type=Path, required=True, help="the folder to write into")
    parser.add_argument("--seed", type=int, default=SEED)
    given = parser.parse_args()
    for made in make(given.out, given.today, given.seed):
        print(f"{made.site_code:8} {made.style}  {made.path}")


if __name__ == "__main__":
    main()
