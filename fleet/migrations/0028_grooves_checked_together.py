from django.db import migrations

# The rule of 0008, said once for all rows of a statement and planned anew each time, for
# one row or for thousands. It asks by keys alone, as the tables' owner: the policies ask
# for the contractor too, of whom a young table's statistics know no row, so that each
# row asked for all rows of the contractor. Grooves are locked first, as before. The
# contractor is compared as a sum, which no index answers: nobody else's rows are locked
# or told of.
_TOGETHER = """
CREATE FUNCTION fleet_ropes_once_in_grooves() RETURNS trigger
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    twice bigint;
BEGIN
    EXECUTE 'SELECT count(*) FROM (
        SELECT 1 FROM fleet_groove
        WHERE id IN (SELECT groove_id FROM new_rows)
            AND contractor_id + 0 IN (SELECT contractor_id FROM new_rows)
        ORDER BY id FOR NO KEY UPDATE
    ) AS locked' INTO twice;
    EXECUTE 'SELECT count(*)
        FROM new_rows AS fresh
        JOIN fleet_rope AS mine
            ON mine.id = fresh.rope_id
            AND mine.contractor_id + 0 = fresh.contractor_id
        JOIN fleet_ropeingroove AS seat
            ON seat.groove_id = fresh.groove_id
            AND seat.contractor_id + 0 = fresh.contractor_id
            AND seat.rope_id <> fresh.rope_id
        JOIN fleet_rope AS other
            ON other.id = seat.rope_id AND other.rope_set_id = mine.rope_set_id'
        INTO twice;
    IF twice > 0 THEN
        RAISE unique_violation USING
            MESSAGE = 'another rope of the set runs in this groove',
            CONSTRAINT = 'rope_set_once_in_a_groove';
    END IF;
    RETURN NULL;
END;
$$;
REVOKE ALL ON FUNCTION fleet_ropes_once_in_grooves() FROM PUBLIC;
DROP TRIGGER rope_set_once_in_a_groove ON fleet_ropeingroove;
CREATE TRIGGER ropes_added_once_in_grooves
    AFTER INSERT ON fleet_ropeingroove REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION fleet_ropes_once_in_grooves();
CREATE TRIGGER ropes_moved_once_in_grooves
    AFTER UPDATE ON fleet_ropeingroove REFERENCING NEW TABLE AS new_rows
    FOR EACH STATEMENT EXECUTE FUNCTION fleet_ropes_once_in_grooves();
"""
_ROW_BY_ROW = """
DROP TRIGGER ropes_added_once_in_grooves ON fleet_ropeingroove;
DROP TRIGGER ropes_moved_once_in_grooves ON fleet_ropeingroove;
DROP FUNCTION fleet_ropes_once_in_grooves();
CREATE TRIGGER rope_set_once_in_a_groove
    AFTER INSERT OR UPDATE OF rope_id, groove_id ON fleet_ropeingroove
    FOR EACH ROW EXECUTE FUNCTION fleet_one_rope_in_a_groove();
"""


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0027_ring_around_import_files'),
    ]

    operations = [
        migrations.RunSQL(_TOGETHER, reverse_sql=_ROW_BY_ROW),
    ]
