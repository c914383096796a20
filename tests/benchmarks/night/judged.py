"""What a night of many contractors left behind, asked of the tables."""

from typing import Any

from tests.rehearsals import night_left
from tests.rehearsals.service import LATER, Service

LOST = {
    **{
        name: f"""
SELECT count(*) FROM fleet_machine m WHERE contractor_id = ANY('{{0}}')
AND NOT EXISTS (SELECT 1 FROM {table} a WHERE a.machine_id = m.id)
"""
        for name, table in {
            "assessment": "inspections_assessment",
            "forecast": "inspections_forecast",
            "options": "inspections_optionset",
        }.items()
    },
    "report": """
SELECT count(*) FROM reports_reportplan p WHERE contractor_id = ANY('{0}')
AND NOT EXISTS (SELECT 1 FROM reports_report r
                WHERE r.plan_id = p.id AND r.state = 'PUBLISHED')
""",
    "job": f"""
SELECT count(*) FROM fleet_job WHERE state NOT IN ('DONE', 'CANCELLED')
AND kind NOT IN {LATER}
""",
    "run": """
SELECT count(*) FROM unnest('{0}'::bigint[]) AS c
WHERE NOT EXISTS (SELECT 1 FROM inspections_forecastrun r
    WHERE r.contractor_id = c AND r.state = 'DONE' AND r.cause = 'NIGHT')
""",
}
DOUBLED = {
    **{name: night_left.TWICE[name] for name in ("findings", "forecasts", "options")},
    "assessments": """
SELECT count(*) - count(DISTINCT (machine_id, inputs_digest))
FROM inspections_assessment
""",
    "reports": """
SELECT count(*) - count(DISTINCT (plan_id, period_start))
FROM reports_report WHERE plan_id IS NOT NULL
""",
    "runs": """
SELECT count(*) - count(DISTINCT contractor_id) FROM inspections_forecastrun
WHERE state = 'DONE' AND cause = 'NIGHT'
""",
}
# When each contractor's last machine had been looked at, and its last job of all done.
WAITS = """
SELECT contractor_id,
    extract(epoch FROM max(finished_at) FILTER (WHERE kind LIKE '%.assess')
        - min(created_at)),
    extract(epoch FROM max(finished_at) - min(created_at))
FROM fleet_job WHERE contractor_id = ANY('{0}') AND state = 'DONE'
GROUP BY contractor_id
"""


def left_behind(service: Service, contractors: list[int]) -> dict[str, Any]:
    """Return what machines are without, and what is there twice, by its name."""
    among = "{" + ",".join(map(str, contractors)) + "}"
    lost = _counts(service, LOST, among)
    doubled = _counts(service, DOUBLED, among)
    return {
        "lost": sum(lost.values()),
        "doubled": sum(doubled.values()),
        "missing": {name: count for name, count in lost.items() if count},
        "twice": {name: count for name, count in doubled.items() if count},
    }


def waits(service: Service, contractors: list[int]) -> dict[int, tuple[float, float]]:
    """Return seconds until a contractor's machines were assessed, and all was done."""
    among = "{" + ",".join(map(str, contractors)) + "}"
    return {
        contractor: (float(looked_at), float(done))
        for contractor, looked_at, done in service.query(WAITS.format(among))
    }


def _counts(service: Service, statements: dict[str, str], among: str) -> dict[str, int]:
    return {
        name: service.query(statement.format(among))[0][0]
        for name, statement in statements.items()
    }
