"""The rows of a portfolio's page by hand: what a person would write for this page."""

# A machine's state, most urgent first: a place in `inspections.overview.STATES`.
URGENCY = """
SELECT m.id, m.code,
       CASE WHEN EXISTS (SELECT FROM inspections_stop s
                         WHERE s.machine_id = m.id AND s.released_at IS NULL) THEN 0
            WHEN a.grade = 'ACT_NOW' THEN 1
            WHEN a.grade = 'PLAN_WORK' OR EXISTS (
                SELECT FROM inspections_forecast f
                WHERE f.machine_id = m.id AND f.current AND f.state <> 'BEYOND'
                  AND (f.state <> 'PRIOR_ONLY' OR f.level IS NOT NULL)
                  AND f.plan_before_on <= %(near)s) THEN 2
            WHEN a.grade IS NULL OR a.grade = 'NOT_ASSESSED' THEN 3
            WHEN a.grade = 'KEEP_AN_EYE_ON' THEN 4
            ELSE 5 END AS urgency
FROM fleet_machine m
LEFT JOIN LATERAL (SELECT grade FROM inspections_assessment
                   WHERE machine_id = m.id ORDER BY id DESC LIMIT 1) a ON true
WHERE m.contractor_id = %(contractor)s AND m.retired_on IS NULL
"""
COUNTS = f"SELECT urgency, count(*) FROM ({URGENCY}) u GROUP BY urgency"
LINES = f"""
WITH page AS (SELECT * FROM ({URGENCY}) u ORDER BY urgency, code, id LIMIT 51)
SELECT p.id, p.urgency, m.name, b.name, o.name,
       says.id, says.topic, says.said, says.reason, says.place,
       first.id, first.quantity, first.p10_on, first.p90_on, first.plan_before_on,
       read.taken_at, due.id, due.kind, due.due_before_on
FROM page p
JOIN fleet_machine m ON m.id = p.id
JOIN fleet_building b ON b.id = m.building_id
JOIN fleet_owner o ON o.id = b.owner_id
LEFT JOIN LATERAL (
    SELECT * FROM inspections_finding f
    WHERE f.machine_id = p.id AND f.current AND f.grade <> 'IN_ORDER'
    ORDER BY NOT f.stops_service,
             array_position(ARRAY['ACT_NOW', 'PLAN_WORK', 'NOT_ASSESSED',
                                  'KEEP_AN_EYE_ON'], f.grade::text),
             -coalesce(f.chance_beyond, 0), f.id LIMIT 1) says ON true
LEFT JOIN LATERAL (
    SELECT * FROM inspections_forecast f
    WHERE f.machine_id = p.id AND f.current AND f.state <> 'BEYOND'
      AND f.plan_before_on IS NOT NULL
    ORDER BY f.plan_before_on LIMIT 1) first ON true
LEFT JOIN LATERAL (
    SELECT taken_at FROM inspections_reading r
    WHERE r.machine_id = p.id ORDER BY taken_at DESC LIMIT 1) read ON true
LEFT JOIN LATERAL (
    SELECT * FROM inspections_duework d
    WHERE d.machine_id = p.id ORDER BY d.rank_on, d.id LIMIT 1) due ON true
ORDER BY p.urgency, p.code, p.id
"""
# The same rows from the stored states, as a person would write it who knows that every
# row holds; what the page's own queries are held against. After the columns of LINES
# comes what else a line shows: codes, checks, where the finding is, and the stop that
# stands longest, with its place.
STORED_COUNTS = """
SELECT urgency, count(*), count(*) FILTER (WHERE checks_missed)
FROM inspections_machinestate
WHERE contractor_id = %(contractor)s AND in_service GROUP BY urgency
"""
STORED_LINES = """
SELECT p.machine_id, p.urgency, m.name, b.name, o.name,
       says.id, says.topic, says.said, says.reason, says.place,
       first.id, first.quantity, first.p10_on, first.p90_on, first.plan_before_on,
       p.last_read_at, due.id, due.kind, due.due_before_on,
       m.code, b.code, o.code, p.checks_made, p.checks_of, due.order_by_on,
       says.grade, says.stops_service, says_groove.number, says_rope.number,
       first.place, first.state,
       stop.id, stop.since, stop.cause, stop.place_kind, stop.place,
       stop_groove.number, stop_rope.number
FROM (SELECT * FROM inspections_machinestate
      WHERE contractor_id = %(contractor)s AND in_service
      ORDER BY urgency, code, machine_id LIMIT 51) p
JOIN fleet_machine m ON m.id = p.machine_id
JOIN fleet_building b ON b.id = m.building_id
JOIN fleet_owner o ON o.id = b.owner_id
LEFT JOIN inspections_finding says ON says.id = p.says_most_id
LEFT JOIN fleet_groove says_groove ON says_groove.id = says.groove_id
LEFT JOIN fleet_rope says_rope ON says_rope.id = says.rope_id
LEFT JOIN inspections_forecast first ON first.id = p.first_id
LEFT JOIN LATERAL (
    SELECT * FROM inspections_duework d
    WHERE d.machine_id = p.machine_id ORDER BY d.rank_on, d.id LIMIT 1) due ON true
LEFT JOIN LATERAL (
    SELECT * FROM inspections_stop s
    WHERE s.machine_id = p.machine_id AND s.released_at IS NULL
    ORDER BY s.since, s.id LIMIT 1) stop ON true
LEFT JOIN fleet_groove stop_groove ON stop_groove.id = stop.groove_id
LEFT JOIN fleet_rope stop_rope ON stop_rope.id = stop.rope_id
ORDER BY p.urgency, p.code, p.machine_id
"""
OF_LINES = 19
OF_STOP = 31
# One statement more tells every machine once what its part of the readings is.
MULTIPLY = """
INSERT INTO inspections_reading ({columns})
SELECT {values} FROM inspections_reading r WHERE r.contractor_id = %(contractor)s
"""
