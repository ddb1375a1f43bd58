"""Sees what is left written in a database: triggers on every table note each row that was really changed.

The notes are rows themselves: what is rolled back takes its notes with it, so only what stays is seen. An update that
leaves a row as it was is none. On SQLite and on PostgreSQL.
"""

from collections import Counter

from django.apps import apps
from django.db import connection

# Who is signed in, and how often a secret was tried: written by what is refused too, and rightly so.
LET_BE = frozenset({"django_session", "shop_pintry", "shop_signintry"})

# Written by each signing in.
LET_BE_IN = {"auth_user": {"last_login"}}

Written = Counter[tuple[str, str]]


def install() -> None:
    """Put triggers on every table of the project. Inside a transaction they go when it is rolled back."""
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE fuzz_written (name text NOT NULL, act text NOT NULL)")
        if connection.vendor == "postgresql":
            cursor.execute(
                "CREATE FUNCTION fuzz_note() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
                "INSERT INTO fuzz_written VALUES (TG_TABLE_NAME, TG_OP); RETURN NULL; END $$"
            )
        for model in apps.get_models(include_auto_created=True):
            table = model._meta.db_table
            if table not in LET_BE:
                columns = {field.column for field in model._meta.local_concrete_fields} - LET_BE_IN.get(table, set())
                for statement in _triggers(table, sorted(columns)):
                    cursor.execute(statement)


def _triggers(table: str, columns: list[str]) -> list[str]:
    if connection.vendor == "postgresql":
        differ, act_of = "IS DISTINCT FROM", "EXECUTE FUNCTION fuzz_note()"
    else:
        differ, act_of = "IS NOT", f"BEGIN INSERT INTO fuzz_written VALUES ('{table}', '{{act}}'); END"  # noqa: S608
    changed = " OR ".join(f'OLD."{column}" {differ} NEW."{column}"' for column in columns)
    begin = f'CREATE TRIGGER "fuzz_{{act}}_{table}" AFTER {{act}} ON "{table}" FOR EACH ROW {{when}} {act_of}'
    acts = {"INSERT": "", "DELETE": "", "UPDATE": f"WHEN ({changed})"}
    return [begin.format(act=act, when=when) for act, when in acts.items()]


def written() -> Written:
    """How many rows of each table were added, changed and deleted since this was last asked."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT name, act, COUNT(*) FROM fuzz_written GROUP BY name, act")
        found = {(str(name), str(act)): int(count) for name, act, count in cursor.fetchall()}
        if found:
            cursor.execute("DELETE FROM fuzz_written")
    return Counter(found)
