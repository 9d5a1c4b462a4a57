"""What a server lets each role see and do: rights on tables, and rules on rows by the owner of their site.

Made by whoever owns the tables, who is held to none of it; the program never works with that login.
"""

from collections.abc import Iterator
from typing import Final

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from register.errors import Refused
from register.store import server_sealing
from register.store.access import Role

GROUPS: Final = {role: f"retest_{role.value}" for role in Role}
"""The server's role of each of ours; logins are members of one of them."""

_EVERYBODY: Final = ", ".join(GROUPS.values())
_CONTRACTOR, _ASSISTANT = GROUPS[Role.CONTRACTOR], GROUPS[Role.ASSISTANT]

_ADDED_TO: Final = ("event", "seal", "held_limit", "taken_back", "let_go")
_LET_GO: Final = ("record", "record_duty", "reading", "photo")
_READ_ONLY: Final = ("access", "alembic_version")
_ADDED_ON_SITE: Final = (
    "event", "seal", "held_limit", "record", "record_duty", "reading", "mark", "withdrawal", "photo",
    "withdrawal_photo", "item", "tag", "exposure", "item_text", "area", "correction", "code_aside", "duty", "tester",
    "instrument",
)  # fmt: skip
_CHANGED_ON_SITE: Final = ("item", "tag", "item_text", "withdrawal", "code_aside", "duty", "tag_range")

_BY_ITEM: Final = (
    "item_text", "exposure", "record", "record_duty", "mark", "withdrawal", "withdrawal_photo", "owner_query",
    "visit_duty", "taken_back", "let_go",
)  # fmt: skip
_BY_SITE: Final = ("area", "item", "duty", "site_visiting", "visit")
_RULES: Final = {
    "owner": "id = ANY (ARRAY(SELECT owners_seen()))",
    **dict.fromkeys(("site", "tag"), "owner_id = ANY (ARRAY(SELECT owners_seen()))"),
    **dict.fromkeys(_BY_SITE, "EXISTS (SELECT FROM site WHERE site.id = site_id)"),
    **dict.fromkeys(_BY_ITEM, "EXISTS (SELECT FROM item WHERE item.id = item_id)"),
    **dict.fromkeys(("reading", "correction"), "EXISTS (SELECT FROM record WHERE record.id = record_id)"),
    "photo": "EXISTS (SELECT FROM withdrawal_photo AS shown WHERE shown.photo_id = photo.id)",
    "code_aside": "site_id IS NULL OR EXISTS (SELECT FROM site WHERE site.id = site_id)",
    "override": "EXISTS (SELECT FROM site WHERE site.id = target_id)"
    " OR EXISTS (SELECT FROM area WHERE area.id = target_id) OR EXISTS (SELECT FROM item WHERE item.id = target_id)",
    "event": "EXISTS (SELECT FROM item WHERE item.id = subject) OR EXISTS (SELECT FROM site WHERE site.id = subject)"
    " OR EXISTS (SELECT FROM area WHERE area.id = subject) OR EXISTS (SELECT FROM record WHERE record.id = subject)"
    " OR EXISTS (SELECT FROM withdrawal WHERE withdrawal.id = subject)",
    "seal": "false",
}
"""By table: which of its rows somebody sees who doesn't see all owners. Other tables hold nothing of any owner.

Whom he sees is asked once for a statement, as a subquery without anything of the row; asked of each row it took longer
than all else.
"""

_ANY_CAN_ADD: Final = ("event", "seal", "photo")
"""What is seen by what points to it, or by its subject: it is there before that is. Seals tell of all owners."""

_IN_ORDER: Final = "SET search_path = public, pg_temp"
"""Where functions look for tables: somebody's own, made for the moment, never stand in the place of the register's."""

_DEFINED: Final = f"LANGUAGE sql STABLE SECURITY DEFINER {_IN_ORDER}"
_MINE: Final = "FROM access WHERE login = session_user AND owner_id IS"
_FUNCTIONS: Final = {
    "sees_all() RETURNS boolean": f"SELECT EXISTS (SELECT {_MINE} NULL)",
    "owners_seen() RETURNS SETOF uuid": f"SELECT owner_id {_MINE} NOT NULL",
    "event_head() RETURNS TABLE (seq integer, hash text, part integer)": (
        "SELECT found.seq, coalesce(seal.hash, last.hash, repeat('0', 64)), coalesce(seal.part, 0)"
        " FROM (SELECT coalesce(max(event.seq), 0) AS seq FROM event) AS found"
        " LEFT JOIN event AS last ON last.seq = found.seq"
        " LEFT JOIN (SELECT * FROM seal ORDER BY seal.seq DESC, seal.part DESC LIMIT 1) AS seal ON seal.seq = found.seq"
    ),
    "items_with(words text[]) RETURNS SETOF uuid": (
        "SELECT item_id FROM item_text WHERE text LIKE words[1] ESCAPE '/'"
        " AND text LIKE coalesce(words[2], '%%') ESCAPE '/' AND text LIKE coalesce(words[3], '%%') ESCAPE '/'"
        " AND NOT EXISTS (SELECT FROM unnest(words[4:]) AS more WHERE text NOT LIKE more ESCAPE '/')"
        " AND ((SELECT sees_all() OR pg_has_role(session_user, current_user, 'MEMBER')) OR EXISTS (SELECT FROM item"
        " JOIN site ON site.id = site_id WHERE item.id = item_id AND owner_id = ANY (ARRAY(SELECT owners_seen()))))"
    ),
    "has_event(wanted uuid) RETURNS boolean": "SELECT EXISTS (SELECT FROM event WHERE id = wanted)",
}
"""What everybody is told although he does not see the rows behind it, by how it is called."""

_VIEW: Final = (
    "CREATE OR REPLACE VIEW item_overview WITH (security_invoker = true) AS"
    " SELECT owner.name AS owner, site.code AS site, area.name AS area, item.tag_number, item.kind, item.description,"
    " item.state, item.next_due FROM item JOIN site ON site.id = item.site_id JOIN owner ON owner.id = site.owner_id"
    " JOIN area ON area.id = item.area_id"
)


def set_rights(connection: Connection) -> None:
    """Give each role its rights, and nobody else any; have noted what is written. Done again, it leaves the same."""
    _make_groups(connection)
    database = connection.dialect.identifier_preparer.quote(
        connection.exec_driver_sql("SELECT current_database()").scalar_one()
    )
    tables = set(sa.inspect(connection).get_table_names())
    statements = (
        f"REVOKE ALL ON DATABASE {database} FROM PUBLIC",
        f"GRANT CONNECT, TEMPORARY ON DATABASE {database} TO {_EVERYBODY}",
        "REVOKE ALL ON SCHEMA public FROM PUBLIC",
        f"GRANT USAGE ON SCHEMA public TO {_EVERYBODY}",
        *(f"CREATE OR REPLACE FUNCTION {what} {_DEFINED} AS $$ {how} $$" for what, how in _FUNCTIONS.items()),
        _VIEW,
        f"GRANT SELECT ON ALL TABLES IN SCHEMA public TO {_EVERYBODY}",
        f"GRANT USAGE ON ALL SEQUENCES IN SCHEMA public TO {_CONTRACTOR}, {_ASSISTANT}",
        *_writing(tables),
        *_rules(),
    )
    for statement in statements:
        connection.exec_driver_sql(statement)
    server_sealing.watch(connection)
    for function in connection.exec_driver_sql(_OF_TRIGGERS).scalars().all():
        connection.exec_driver_sql(f"ALTER FUNCTION {function} {_IN_ORDER}")


_OF_TRIGGERS: Final = (
    "SELECT oid::regprocedure::text FROM pg_proc WHERE pronamespace = 'public'::regnamespace"
    " AND prorettype = 'trigger'::regtype"
)


def _make_groups(connection: Connection) -> None:
    there = set(connection.exec_driver_sql("SELECT rolname FROM pg_roles").scalars())
    missing = [name for name in GROUPS.values() if name not in there]
    if not missing:
        return
    may = connection.exec_driver_sql(
        "SELECT rolsuper OR rolcreaterole FROM pg_roles WHERE rolname = current_user"
    ).scalar_one()
    if not may:
        raise Refused(
            f"The server lacks the roles {', '.join(missing)}. Ask whoever keeps it to make them: CREATE ROLE."
        )
    for name in missing:
        connection.exec_driver_sql(f"CREATE ROLE {name} NOLOGIN")


def _writing(tables: set[str]) -> Iterator[str]:
    for table in sorted(tables - set(_READ_ONLY)):
        deeds = "INSERT" if table in _ADDED_TO else "INSERT, DELETE" if table in _LET_GO else "INSERT, UPDATE, DELETE"
        yield f'GRANT {deeds} ON "{table}" TO {_CONTRACTOR}'
    for table in _ADDED_ON_SITE:
        yield f'GRANT INSERT ON "{table}" TO {_ASSISTANT}'
    for table in _CHANGED_ON_SITE:
        yield f'GRANT UPDATE ON "{table}" TO {_ASSISTANT}'
    yield f"GRANT DELETE ON duty TO {_ASSISTANT}"


def _rules() -> Iterator[str]:
    for table, rule in _RULES.items():
        seen = f"(SELECT sees_all()) OR {rule}"
        added = "true" if table in _ANY_CAN_ADD else seen
        yield f'ALTER TABLE "{table}" ENABLE ROW LEVEL SECURITY'
        yield f'DROP POLICY IF EXISTS of_owner ON "{table}"'
        yield f'CREATE POLICY of_owner ON "{table}" USING ({seen}) WITH CHECK ({added})'
    yield "ALTER TABLE access ENABLE ROW LEVEL SECURITY"
    yield "DROP POLICY IF EXISTS ones_own ON access"  # whoever sees all can check who is in the team, too
    yield "CREATE POLICY ones_own ON access FOR SELECT USING (login = session_user OR (SELECT sees_all()))"


def admit(connection: Connection, login: str, role: Role) -> None:
    """Let a login of the server be of one role and no other. Refused where the server has no such login."""
    quoted = connection.dialect.identifier_preparer.quote(login)
    if connection.exec_driver_sql("SELECT 1 FROM pg_roles WHERE rolname = %s", (login,)).first() is None:
        raise Refused(f"The server has no login {login}. Make it first: createuser --pwprompt {login}.")
    connection.exec_driver_sql(f"REVOKE {_EVERYBODY} FROM {quoted}")
    connection.exec_driver_sql(f"GRANT {GROUPS[role]} TO {quoted}")


def dismiss(connection: Connection, login: str) -> None:
    """Take every role of ours from a login."""
    connection.exec_driver_sql(f"REVOKE {_EVERYBODY} FROM {connection.dialect.identifier_preparer.quote(login)}")


def sees_all(connection: Connection) -> bool:
    """Whether the login sees all owners, or is held to no rules at all."""
    held = connection.exec_driver_sql("SELECT row_security_active('event')").scalar_one()
    return not held or bool(connection.exec_driver_sql("SELECT sees_all()").scalar_one())
