"""What a night left behind: what is missing, what is there twice, and what stands."""

import hashlib

from tests.rehearsals.service import LATER, Service

ASSESSED = """
SELECT count(*), count(DISTINCT (machine_id, inputs_digest)), count(DISTINCT machine_id)
FROM inspections_assessment
"""
TWICE = {
    "findings": """
SELECT count(*) - count(DISTINCT (machine_id, topic, place, criterion, rule, reason))
FROM inspections_finding WHERE current
""",
    "forecasts": """
SELECT count(*) - count(DISTINCT (machine_id, quantity, place))
FROM inspections_forecast WHERE current
""",
    "options": """
SELECT count(*) - count(DISTINCT machine_id) FROM inspections_optionset
""",
    "runs": """
SELECT abs(count(*) - 1) FROM inspections_forecastrun
WHERE state = 'DONE' AND cause = 'NIGHT'
""",
}
# What was read has a course of its own on each part, by kinds that anybody can look up.
_COURSES = """
SELECT DISTINCT r.machine_id, r.rope_id, r.groove_id, k.quantity
FROM inspections_reading r JOIN (VALUES
    ('rope_diameter', 'diameter_loss'), ('breaks_total', 'broken_wires'),
    ('breaks_worst_strand', 'broken_wires'), ('rope_crown_height', 'seat_depth'),
    ('bottom_clearance', 'seat_depth'), ('cwt_runby', 'counterweight_runby')
) AS k (kind, quantity) ON k.kind = r.kind
WHERE r.contractor_id = {0}
"""
WITHOUT = {
    "assessment": """
SELECT count(*) FROM fleet_machine m WHERE contractor_id = {0}
AND NOT EXISTS (SELECT 1 FROM inspections_assessment a WHERE a.machine_id = m.id)
""",
    "forecast": """
SELECT count(*) FROM fleet_machine m WHERE contractor_id = {0}
AND NOT EXISTS (
    SELECT 1 FROM inspections_forecast f WHERE f.current AND f.machine_id = m.id
)
""",
    # A part of a machine's forecasts is not all of them.
    "forecast_of_a_part": f"""
SELECT count(*) FROM ({_COURSES}) c WHERE NOT EXISTS (
    SELECT 1 FROM inspections_forecast f
    WHERE f.current AND f.machine_id = c.machine_id AND f.quantity = c.quantity
    AND f.rope_id IS NOT DISTINCT FROM c.rope_id
    AND f.groove_id IS NOT DISTINCT FROM c.groove_id
)
""",
    # Each rope that was read is judged; of V grooves only the deepest may be.
    "finding_of_a_rope": """
SELECT count(*) FROM (
    SELECT DISTINCT machine_id, rope_id FROM inspections_reading
    WHERE contractor_id = {0} AND rope_id IS NOT NULL
) p WHERE NOT EXISTS (
    SELECT 1 FROM inspections_finding f
    WHERE f.current AND f.machine_id = p.machine_id AND f.rope_id = p.rope_id
)
""",
    "options": """
SELECT count(*) FROM fleet_machine m WHERE contractor_id = {0}
AND NOT EXISTS (SELECT 1 FROM inspections_optionset o WHERE o.machine_id = m.id)
""",
    "job": f"""
SELECT count(*) FROM fleet_job WHERE state NOT IN ('DONE', 'CANCELLED')
AND kind NOT IN {LATER}
""",
}
STANDING = {
    "grades": """
SELECT DISTINCT ON (machine_id) machine_id, grade, inputs_digest
FROM inspections_assessment ORDER BY machine_id, id DESC
""",
    "findings": """
SELECT machine_id, topic, place, grade, value, "limit", reason
FROM inspections_finding WHERE current
""",
    "forecasts": """
SELECT machine_id, quantity, place, state
FROM inspections_forecast WHERE current
""",
    "options": """
SELECT machine_id, first_kind, rules_version FROM inspections_optionset
""",
}


def left_behind(service: Service, contractor: int) -> dict[str, dict[str, int]]:
    """Return what machines are without, and what is there twice, by its name."""
    whole = {
        "without": _counts(service, WITHOUT, contractor),
        "twice": _counts(service, TWICE, contractor),
    }
    [(stored, different, _)] = service.query(ASSESSED)
    whole["twice"]["assessments"] = stored - different
    return whole


def assessed(service: Service) -> int:
    """Return how many machines have an assessment."""
    return int(service.query(ASSESSED)[0][2])


def standing(service: Service) -> dict[str, str]:
    """Return a digest of what stands about all machines, by its name."""
    return {
        name: hashlib.sha256(
            repr(sorted(service.query(statement), key=repr)).encode()
        ).hexdigest()
        for name, statement in STANDING.items()
    }


def _counts(
    service: Service, statements: dict[str, str], contractor: int
) -> dict[str, int]:
    return {
        name: service.query(statement.format(contractor))[0][0]
        for name, statement in statements.items()
    }
