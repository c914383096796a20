from django.db import migrations

# Whichever door retires a building owner (API, page, file, /admin/), what the owner's
# readers hold ends there: taken into service again, they log in and get new keys.
_END = """
CREATE FUNCTION fleet_readers_end_with_their_owner() RETURNS trigger
LANGUAGE plpgsql SET search_path = public, pg_temp AS $$
BEGIN
    UPDATE fleet_token SET revoked_at = now()
        WHERE revoked_at IS NULL AND membership_id IN (
            SELECT id FROM fleet_membership
            WHERE contractor_id = NEW.contractor_id AND owner_id = NEW.id
        );
    UPDATE fleet_person SET session_epoch = session_epoch + 1
        WHERE id IN (
            SELECT person_id FROM fleet_membership
            WHERE contractor_id = NEW.contractor_id AND owner_id = NEW.id
        );
    RETURN NULL;
END;
$$;
REVOKE ALL ON FUNCTION fleet_readers_end_with_their_owner() FROM PUBLIC;
CREATE TRIGGER readers_end_with_their_owner
    AFTER UPDATE OF retired_on ON fleet_owner FOR EACH ROW
    WHEN (OLD.retired_on IS NULL AND NEW.retired_on IS NOT NULL)
    EXECUTE FUNCTION fleet_readers_end_with_their_owner();
"""
_LEAVE = """
DROP TRIGGER readers_end_with_their_owner ON fleet_owner;
DROP FUNCTION fleet_readers_end_with_their_owner();
"""


class Migration(migrations.Migration):

    dependencies = [
        ('fleet', '0033_rooms_of_machines'),
    ]

    operations = [
        migrations.RunSQL(_END, reverse_sql=_LEAVE),
    ]
