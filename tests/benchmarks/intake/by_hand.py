"""What the lists and the machine's page ask, as a person would write it in SQL.

`%(contractor)s` and `%(machine)s` are the only parameters; row-level security is in
force for these as for the application's own.
"""

_PLAIN = (
    "SELECT * FROM {table} WHERE contractor_id = %(contractor)s ORDER BY id LIMIT 51"
)
_PLAIN_LISTS = {
    "owners": "fleet_owner",
    "buildings": "fleet_building",
    "machines": "fleet_machine",
    "pulleys": "fleet_pulley",
    "sheaves": "fleet_sheave",
    "sheave-geometries": "fleet_sheavegeometry",
    "grooves": "fleet_groove",
    "rope-sets": "fleet_ropeset",
    "ropes": "fleet_rope",
    "rope-seats": "fleet_ropeingroove",
    "works": "fleet_work",
    "gauges": "inspections_gauge",
    "visits": "inspections_visit",
    "readings": "inspections_reading",
    "photos": "inspections_visitphoto",
    "assessments": "inspections_assessment",
    "forecast-runs": "inspections_forecastrun",
    "reports": "reports_report",
    "deliveries": "reports_delivery",
    "refused-addresses": "reports_refusedaddress",
}

_STANDING_FINDINGS = """
SELECT f.*, m.code, g.number AS groove_number, r.number AS rope_number
FROM inspections_finding f JOIN fleet_machine m ON m.id = f.machine_id
    LEFT JOIN fleet_groove g ON g.id = f.groove_id
    LEFT JOIN fleet_rope r ON r.id = f.rope_id
WHERE f.contractor_id = %(contractor)s AND f.assessment_id = (
    SELECT a.id FROM inspections_assessment a WHERE a.machine_id = f.machine_id
    ORDER BY a.id DESC LIMIT 1)
"""
_FORECASTS = """
SELECT f.*, run.* FROM inspections_forecast f
    LEFT JOIN inspections_forecastrun run ON run.id = f.run_id
WHERE f.contractor_id = %(contractor)s AND f.current
"""
_TO_CONFIRM = """
SELECT r.* FROM inspections_reading r
WHERE r.contractor_id = %(contractor)s AND r.state <> 'STORED'
    AND NOT EXISTS (SELECT FROM inspections_readingreview v WHERE v.reading_id = r.id)
    AND NOT EXISTS (SELECT FROM inspections_reading c WHERE c.corrects_id = r.id)
"""
LISTS: dict[str, tuple[str, ...]] = {
    name: (_PLAIN.format(table=table),) for name, table in _PLAIN_LISTS.items()
} | {
    "findings": (f"{_STANDING_FINDINGS} ORDER BY f.id LIMIT 51",),
    "forecasts": (f"{_FORECASTS} ORDER BY f.id LIMIT 51",),
    "readings-to-confirm": (f"{_TO_CONFIRM} ORDER BY r.id LIMIT 51",),
    "report-plans": (
        """
        SELECT p.*, o.*, b.* FROM reports_reportplan p
            JOIN fleet_owner o ON o.id = p.owner_id
            LEFT JOIN fleet_building b ON b.id = p.building_id
        WHERE p.contractor_id = %(contractor)s ORDER BY p.id LIMIT 51
        """,
    ),
    # The first of each machine, soonest first; PostgreSQL has to look at every one.
    "first-limits": (
        """
        SELECT f.*, run.*, m.* FROM inspections_forecast f
            JOIN fleet_machine m ON m.id = f.machine_id
            LEFT JOIN inspections_forecastrun run ON run.id = f.run_id
        WHERE f.contractor_id = %(contractor)s AND f.current AND NOT EXISTS (
            SELECT FROM inspections_forecast e
            WHERE e.machine_id = f.machine_id AND e.current
                AND (coalesce(e.plan_before_on, 'infinity'), e.id)
                    < (coalesce(f.plan_before_on, 'infinity'), f.id))
        ORDER BY f.plan_before_on, f.id LIMIT 51
        """,
    ),
}

_FITTED = (
    "contractor_id = %(contractor)s AND machine_id = %(machine)s "
    "AND fitted_on <= current_date "
    "AND (retired_on IS NULL OR retired_on > current_date)"
)
_SHEAVE = f"SELECT id FROM fleet_sheave WHERE {_FITTED} ORDER BY fitted_on, id LIMIT 1"
_ROPE_SET = (
    f"SELECT id FROM fleet_ropeset WHERE {_FITTED} ORDER BY fitted_on, id LIMIT 1"
)
_SAID = """
LEFT JOIN LATERAL (
    SELECT v.accepted FROM inspections_readingreview v
    WHERE v.reading_id = {reading}.id ORDER BY v.id DESC LIMIT 1) said_{reading} ON true
"""
_STANDS = "coalesce(said_{reading}.accepted, {reading}.state <> 'HELD')"
PAGE: tuple[str, ...] = (
    """
    SELECT m.*, b.*, o.name FROM fleet_machine m
        JOIN fleet_building b ON b.id = m.building_id
        JOIN fleet_owner o ON o.id = b.owner_id
    WHERE m.contractor_id = %(contractor)s AND m.id = %(machine)s
    """,
    f"SELECT * FROM fleet_sheave WHERE {_FITTED} ORDER BY fitted_on, id LIMIT 1",
    f"SELECT * FROM fleet_ropeset WHERE {_FITTED} ORDER BY fitted_on, id LIMIT 1",
    f"SELECT * FROM fleet_pulley WHERE {_FITTED} ORDER BY number, id",
    "SELECT * FROM inspections_assessment WHERE contractor_id = %(contractor)s "
    "AND machine_id = %(machine)s ORDER BY id DESC LIMIT 1",
    f"{_FORECASTS} AND f.machine_id = %(machine)s ORDER BY f.quantity, f.place, f.id",
    "SELECT * FROM fleet_sheavegeometry WHERE contractor_id = %(contractor)s "
    f"AND sheave_id = ({_SHEAVE}) AND valid_from <= current_date "
    "ORDER BY valid_from, id",
    "SELECT * FROM fleet_groove WHERE contractor_id = %(contractor)s "
    f"AND sheave_id = ({_SHEAVE}) ORDER BY number, id",
    "SELECT * FROM fleet_rope WHERE contractor_id = %(contractor)s "
    f"AND rope_set_id = ({_ROPE_SET}) ORDER BY number, id",
    "SELECT s.*, g.* FROM fleet_ropeingroove s "
    "JOIN fleet_rope r ON r.id = s.rope_id JOIN fleet_groove g ON g.id = s.groove_id "
    f"WHERE s.contractor_id = %(contractor)s AND r.rope_set_id = ({_ROPE_SET})",
    "SELECT * FROM fleet_work WHERE contractor_id = %(contractor)s "
    "AND machine_id = %(machine)s ORDER BY done_on DESC, id",
    f"""
    SELECT DISTINCT ON (r.kind, r.sheave_id, r.groove_id, r.rope_id, r.place)
        r.*, v.*, gr.*, ro.*, ga.*
    FROM inspections_reading r JOIN inspections_visit v ON v.id = r.visit_id
        LEFT JOIN fleet_groove gr ON gr.id = r.groove_id
        LEFT JOIN fleet_rope ro ON ro.id = r.rope_id
        LEFT JOIN inspections_gauge ga ON ga.id = r.gauge_id
        {_SAID.format(reading="r")}
    WHERE r.contractor_id = %(contractor)s AND r.machine_id = %(machine)s
        AND {_STANDS.format(reading="r")}
        AND (r.sheave_id IS NULL OR r.sheave_id = ({_SHEAVE}))
        AND (r.rope_id IS NULL OR ro.rope_set_id = ({_ROPE_SET}))
        AND NOT EXISTS (
            SELECT FROM inspections_reading c {_SAID.format(reading="c")}
            WHERE c.corrects_id = r.id AND {_STANDS.format(reading="c")})
    ORDER BY r.kind, r.sheave_id, r.groove_id, r.rope_id, r.place,
        r.taken_at DESC, r.id DESC
    """,
    f"{_TO_CONFIRM} AND r.machine_id = %(machine)s ORDER BY r.id",
    f"{_STANDING_FINDINGS} AND f.machine_id = %(machine)s ORDER BY f.id",
    """
    SELECT s.*, g.number AS groove_number, r.number AS rope_number
    FROM inspections_stop s
        LEFT JOIN fleet_groove g ON g.id = s.groove_id
        LEFT JOIN fleet_rope r ON r.id = s.rope_id
    WHERE s.contractor_id = %(contractor)s AND s.machine_id = %(machine)s
        AND s.released_at IS NULL ORDER BY s.since, s.id
    """,
)
