"""A trigger refuses every change of a log row, whichever code tries it.

Removal is not refused here: tests end by emptying tables. The foreign keys PROTECT, and no code deletes.
"""

from django.db import migrations

SQLITE = """
CREATE TRIGGER jobs_event_no_update BEFORE UPDATE ON jobs_jobevent
BEGIN SELECT RAISE(ABORT, 'the log is never changed'); END;
"""
POSTGRESQL = """
CREATE FUNCTION jobs_event_refuse_update() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'the log is never changed' USING ERRCODE = 'integrity_constraint_violation'; END $$;
CREATE TRIGGER jobs_event_no_update BEFORE UPDATE ON jobs_jobevent
FOR EACH ROW EXECUTE FUNCTION jobs_event_refuse_update();
"""
UNDO = {
    "sqlite": "DROP TRIGGER jobs_event_no_update;",
    "postgresql": "DROP TRIGGER jobs_event_no_update ON jobs_jobevent; DROP FUNCTION jobs_event_refuse_update();",
}


def add_trigger(apps, schema_editor):
    """Add the trigger in the words of the database in use."""
    words = {"sqlite": SQLITE, "postgresql": POSTGRESQL}
    schema_editor.execute(words[schema_editor.connection.vendor])


def drop_trigger(apps, schema_editor):
    """Take the trigger away again."""
    for statement in UNDO[schema_editor.connection.vendor].split(";"):
        if statement.strip():
            schema_editor.execute(statement)


class Migration(migrations.Migration):
    """Guard the log."""

    dependencies = [("jobs", "0001_jobs")]

    operations = [migrations.RunPython(add_trigger, drop_trigger)]
