"""What history says of a person may be erased with the person: its two values, together, and nothing else of it."""

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from shop.facts import append_only

# The one exception from “added, never changed”, in the words of the database: both values become empty, the rest is
# what it was. Who did what to which row, and when, stands for good.
SQLITE = """
CREATE TRIGGER shop_entry_fixed BEFORE UPDATE ON shop_entry
WHEN NOT (NEW.old = '' AND NEW.new = '' AND NEW.id IS OLD.id AND NEW.about IS OLD.about
    AND NEW.about_id IS OLD.about_id AND NEW.verb IS OLD.verb AND NEW.field IS OLD.field
    AND NEW.by_id IS OLD.by_id AND NEW.at IS OLD.at)
BEGIN SELECT RAISE(ABORT, 'rows of shop_entry are added, never changed'); END
"""
POSTGRES = """
CREATE OR REPLACE FUNCTION entry_is_fixed() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN
    IF TG_OP = 'UPDATE' AND NEW.old = '' AND NEW.new = ''
        AND (NEW.id, NEW.about, NEW.about_id, NEW.verb, NEW.field, NEW.by_id, NEW.at)
            IS NOT DISTINCT FROM (OLD.id, OLD.about, OLD.about_id, OLD.verb, OLD.field, OLD.by_id, OLD.at)
    THEN RETURN NEW; END IF;
    RAISE EXCEPTION 'rows of % are added, never changed', TG_TABLE_NAME;
END $$;
CREATE TRIGGER shop_entry_fixed BEFORE UPDATE OR DELETE ON shop_entry
FOR EACH ROW EXECUTE FUNCTION entry_is_fixed();
"""


def but_for_emptying(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Put the trigger that lets values be emptied in the place of the one that lets nothing be."""
    postgres = editor.connection.vendor == "postgresql"
    editor.execute("DROP TRIGGER IF EXISTS shop_entry_fixed" + (" ON shop_entry" if postgres else ""))
    editor.execute(POSTGRES if postgres else SQLITE, params=None)


def wholly(apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Back to the trigger that lets nothing be changed."""
    fixed = append_only("shop_entry")
    if fixed.reverse_code:
        fixed.reverse_code(apps, editor)
    fixed.code(apps, editor)


class Migration(migrations.Migration):
    dependencies = [("shop", "0005_open_hours")]

    operations = [migrations.RunPython(but_for_emptying, wholly)]
