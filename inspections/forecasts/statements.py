"""The statements that store forecasts from the temporary table that holds them.

One finds the forecasts that are made again, one writes those that say something else
in their place, one forgets what is made again elsewhere, one sets aside what stood, and
one stores what is new; each for all machines of a piece.
"""

from inspections.forecasts import clocks

TABLE = "forecast_results"

_LEFT_OUT = (
    "LEFT JOIN jsonb_to_recordset(%s::jsonb) AS o(track bigint, left_out bigint[]) "
    "ON o.track = t.id "
)
_USED = (
    "CASE WHEN o.left_out IS NULL THEN t.readings ELSE "
    "ARRAY(SELECT unnest(t.readings) EXCEPT SELECT unnest(o.left_out) ORDER BY 1) END"
)

# A standing forecast is repeated if it was made in the same month from the same
# readings; it has no verdict yet then, and the new one says the same and more.
_REPEATED = f"""f.as_of BETWEEN %s AND %s AND f.readings_used = {_USED}
  AND f.verdict = '' AND f.read_at IS NULL"""


def _dated(name: str) -> str:
    return f"nullif(r.{name}, 'infinity'::date)"


def _of_level(name: str) -> str:
    return f"CASE WHEN r.has_level THEN r.{name} END"


# Whose a forecast is, and what it says; each column by what it is made of.
_OF = {
    "machine_id": "t.machine_id",
    "groove_id": "t.groove_id",
    "rope_id": "t.rope_id",
    "track_id": "t.id",
    "quantity": "t.quantity",
    "place": "t.place",
    "class_name": "t.class_name",
}
_MADE = {
    "run_id": "g.run_id",
    "as_of": "g.as_of",
    "model_version": "g.model_version",
}
_SAYS = {
    "clock": f"CASE WHEN r.on_trips THEN '{clocks.TRIPS}' ELSE '{clocks.YEARS}' END",
    "state": "g.words[r.state + 1]",
    "reason": "g.words[r.reason + 1]",
    "said": "g.codes[r.reason + 1]",
    "caution": "g.words[r.caution + 1]",
    "caution_said": "g.codes[r.caution + 1]",
    "level": _of_level("level"),
    "level_sd": "CASE WHEN r.has_level THEN nullif(r.level_sd, -1) END",
    "rate_per_year": _of_level("rate"),
    "log_rate_sd": _of_level("log_rate_sd"),
    "centre_years": _of_level("centre"),
    "noise_factor": _of_level("noise_factor"),
    "planning_factor": "r.factor",
    "share_learnt": "r.share_learnt",
    '"limit"': "t.limit_level",
    "limit_sd": "t.limit_sd",
    "limit_reason": "t.limit_reason",
    "limit_dominated_by": "t.limit_dominated_by",
    "limit_share": "r.limit_share",
    "measure_first": "CASE WHEN r.limit_share > g.dominates "
    "THEN t.limit_dominated_by ELSE '' END",
    "safety": "t.safety",
    "last_on": _dated("last_on"),
    "p02_on": _dated("p02_on"),
    "p10_on": _dated("p10_on"),
    "p50_on": _dated("p50_on"),
    "p90_on": _dated("p90_on"),
    "plan_before_on": _dated("plan_on"),
    "chance_already": "r.already",
    "next_visit_on": _dated("next_visit_on"),
    "chance_before_next_visit": "r.before_visit",
    "visit_before_on": _dated("visit_before_on"),
    "readings_left_out": "coalesce(o.left_out, '{}')",
}
_GIVEN = """(SELECT %s::bigint AS run_id, %s::timestamptz AS as_of,
     %s::text AS model_version, %s::text[] AS words, %s::jsonb[] AS codes,
     %s::float8 AS dominates) g"""
_FROM = f"{TABLE} r JOIN inspections_weartrack t ON t.id = r.track"

# Which forecast is made again, and whether it says the same of the same knowledge: such
# a row is left alone, with its indexes, its references and the state of its machine.
MATCH = f"""
UPDATE {TABLE} r SET stands = f.id, same = f.model_version = g.model_version
  AND u.id IS NOT NULL AND u.hyperparameters_id IS NOT DISTINCT FROM %s::bigint
  AND ({", ".join(f"f.{name}" for name in _SAYS)})
      IS NOT DISTINCT FROM ({", ".join(_SAYS.values())})
FROM inspections_forecast f JOIN inspections_weartrack t ON t.id = f.track_id
     LEFT JOIN inspections_forecastrun u ON u.id = f.run_id
     {_LEFT_OUT} CROSS JOIN {_GIVEN}
WHERE r.track = t.id AND f.current AND f.machine_id = ANY(%s::bigint[])
  AND ({", ".join(f"f.{name}" for name in _OF)})
      IS NOT DISTINCT FROM ({", ".join(_OF.values())})
  AND {_REPEATED}
"""
# In its place: nothing of whose it is changes, so that no reference is checked again.
REPEAT = f"""
UPDATE inspections_forecast f SET version = f.version + 1, created_at = now(),
     {", ".join(f"{name} = {made}" for name, made in (_MADE | _SAYS).items())}
FROM {_FROM} {_LEFT_OUT} CROSS JOIN {_GIVEN}
WHERE f.id = r.stands AND r.same IS NOT TRUE
"""
_STANDS_NOT = f"NOT EXISTS (SELECT FROM {TABLE} r WHERE r.stands = f.id)"
# Of another place or part by now: nobody asks for it.
FORGET = f"""
DELETE FROM inspections_forecast f USING inspections_weartrack t {_LEFT_OUT}
WHERE f.current AND f.machine_id = ANY(%s::bigint[]) AND f.track_id = t.id
  AND {_STANDS_NOT} AND {_REPEATED}
"""
SUPERSEDE = f"""
UPDATE inspections_forecast f SET current = false
WHERE f.current AND f.machine_id = ANY(%s::bigint[]) AND {_STANDS_NOT}
"""
INSERT = f"""
INSERT INTO inspections_forecast
    (contractor_id, version, current, verdict, readings_used,
     {", ".join(_OF | _MADE | _SAYS)})
SELECT %s, 1, true, '', {_USED},
     {", ".join((_OF | _MADE | _SAYS).values())}
FROM {_FROM} {_LEFT_OUT} CROSS JOIN {_GIVEN}
WHERE r.stands IS NULL
ORDER BY t.id
"""
