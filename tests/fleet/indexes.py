"""Why each index is there: what no line here speaks for must not be built.

Every table has its primary key, and every contractor's table the key that other rows'
composite keys name, (contractor_id, id); it also serves lists of the contractor's rows.
Those two are not listed. "where" marks an index of some rows only.
"""

ONCE = "a rule: there is no second one, and it is looked up by it"
ROWS = "a parent's rows: lists filtered by it, and the check when a parent goes"
SOME = "the same, of rows that name such a parent at all"
TIME = "a rule: no two of them at one time"
LIKE = "made by Django beside a text that is unique; the table is small"
JOIN = "made by Django for a table between two; nobody is in it"

REASONS = {
    "fleet_building": {"contractor_id, code": ONCE, "owner_id": ROWS},
    "fleet_change": {
        "contractor_id, created_at": "the log of a time: /api/v1/changes by day",
        "contractor_id, table, row_id": "the history of one row",
    },
    "fleet_contractor": {"code": ONCE, "code varchar_pattern_ops": LIKE},
    "fleet_groove": {"sheave_id, number": ONCE},
    "fleet_job": {
        "due_at where": "the sweeper: what is pending, by the time it is due",
        "kind, contractor_id, key where": ONCE,
    },
    "fleet_machine": {"building_id": ROWS, "contractor_id, code": ONCE},
    "fleet_mailrelease": {"name varchar_pattern_ops": LIKE},
    "fleet_membership": {
        "contractor_id": "the people of a contractor",
        "person_id, contractor_id": ONCE,
    },
    "fleet_owner": {"contractor_id, code": ONCE},
    "fleet_pairingcode": {"digest": ONCE},
    "fleet_person": {"username": ONCE, "username varchar_pattern_ops": LIKE},
    "fleet_person_groups": {
        "group_id": JOIN,
        "person_id": JOIN,
        "person_id, group_id": JOIN,
    },
    "fleet_person_user_permissions": {
        "permission_id": JOIN,
        "person_id": JOIN,
        "person_id, permission_id": JOIN,
    },
    "fleet_pulley": {
        "machine_id": ROWS,
        "gist: machine_id, number, daterange(fitted_on, retired_on)": TIME,
    },
    "fleet_rope": {"rope_set_id, number": ONCE},
    "fleet_ropeingroove": {
        "groove_id": "the trigger that lets one rope of a set run in a groove",
        "rope_id, groove_id": ONCE,
        "rope_id, pass_number": ONCE,
    },
    "fleet_ropeset": {
        "machine_id": ROWS,
        "sheave_id": ROWS,
        "gist: machine_id, daterange(fitted_on, retired_on)": TIME,
        "gist: sheave_id, daterange(fitted_on, retired_on)": TIME,
    },
    "fleet_secondfactor": {
        "credential": ONCE,
        "person_id": "what a session's person has",
        "person_id where": ONCE,
    },
    "fleet_sentform": {"contractor_id, reference": ONCE},
    "fleet_sheave": {
        "machine_id": ROWS,
        "gist: machine_id, daterange(fitted_on, retired_on)": TIME,
    },
    "fleet_sheavegeometry": {"sheave_id, valid_from": ONCE},
    "fleet_tally": {
        "ends_at": "prune: counts whose span is over",
        "name varchar_pattern_ops": LIKE,
    },
    "fleet_tick": {"name varchar_pattern_ops": LIKE},
    "fleet_token": {
        "membership_id": ROWS,
        "prefix": ONCE,
        "prefix varchar_pattern_ops": LIKE,
        "issued_by_id where": SOME,
        "replaces_id where": SOME,
    },
    "fleet_work": {
        "machine_id": ROWS,
        "rope_set_id where": SOME,
        "sheave_id where": SOME,
    },
    "inspections_assessment": {
        "contractor_id, machine_id, id DESC": "the latest assessment of a machine",
    },
    "inspections_calendarfeed": {
        "contractor_id, prefix": ONCE,
        "owner_id where": SOME,
    },
    "inspections_duework": {
        "contractor_id, building_id, rank_on": "the list of due work of a building",
        "contractor_id, part, rank_on where": "the list of parts to order",
        "contractor_id, rank_on, id": "the list of due work, a page at a time",
        "contractor_id, risk DESC, id": "the same by risk",
        "machine_id": "made anew with the machine's options",
        "planned_work_id where": SOME,
    },
    "inspections_finding": {
        "assessment_id": ROWS,
        "contractor_id, grade, id where": "what stands of one grade, a page at a time",
        "contractor_id, id where": "what stands, a page at a time",
        "groove_id where": SOME,
        "machine_id": "the check when a machine goes: not only what stands",
        "machine_id where": "what stands on one machine",
        "rope_id where": SOME,
    },
    "inspections_forecast": {
        "contractor_id, plan_before_on, id where": "first to plan, a page at a time",
        "groove_id where": SOME,
        "machine_id": "the check when a machine goes: not only what stands",
        "machine_id, quantity, place where": ONCE,
        "rope_id where": SOME,
        "track_id where": "the check when tracks are made anew, every night",
    },
    "inspections_forecastrun": {"hyperparameters_id where": SOME},
    "inspections_forecastscore": {"contractor_id, class_name, scored_on": ONCE},
    "inspections_gauge": {"contractor_id, code": ONCE},
    "inspections_machinestate": {
        "contractor_id, urgency, code, machine_id where": "the portfolio, a page",
        "first_id where": SOME,
        "machine_id": ONCE,
        "says_most_id where": SOME,
    },
    "inspections_optionset": {"machine_id": ONCE},
    "inspections_plannedstep": {"planned_work_id": ROWS},
    "inspections_plannedwork": {
        "contractor_id, due_before_on where": "what is planned, by its date",
        "follows_id where": SOME,
        "machine_id": ROWS,
        "machine_id, kind where": ONCE,
    },
    "inspections_planningrule": {"contractor_id": ONCE},
    "inspections_reading": {
        "contractor_id, id where": "queries.readings_to_confirm",
        "contractor_id, reference": "intake: has this reading come before?",
        "corrects_id where": "queries.readings_to_confirm: has it been corrected?",
        "gauge_id where": "the check when a gauge goes",
        "groove_id where": "/api/v1/readings?groove=, the check when a groove goes",
        "machine_id, kind, taken_at": "queries.usable_readings, every assessment",
        "rope_id where": "/api/v1/readings?rope=, the check when a rope goes",
        "sheave_id where": "the check when a sheave goes",
        "upload_id": "urgent.acting.readings_of: what an upload asks for",
        "visit_id": "/api/v1/readings?visit=",
    },
    "inspections_readingreview": {"reading_id": "queries: a reading's latest review"},
    "inspections_statemark": {
        "contractor_id, machine_number": "states.asking: does a machine's row hold?",
    },
    "inspections_stop": {
        "contractor_id, since, id where": "what stands still, the longest first",
        "finding_id where": SOME,
        "groove_id where": SOME,
        "machine_id": "a machine's stops, those of the past too",
        "machine_id, cause, place_key where": ONCE,
        "release_work_id where": SOME,
        "rope_id where": SOME,
    },
    "inspections_stopevent": {
        "finding_id where": SOME,
        "stop_id": ROWS,
        "upload_id where": SOME,
    },
    "inspections_owneranswer": {
        "machine_id, kind, id DESC": "the last answer to each work, on an owner's page",
        "contractor_id, id where": "answers that the office has not seen, on Today",
    },
    "inspections_scenario": {"machine_id, name": ONCE},
    "inspections_terms": {"contractor_id, subject, replaces_id": ONCE},
    "inspections_trackpoint": {
        "machine_id, track_id, taken_at": "points of machines in order, every night",
        "track_id": "the check when tracks are made anew, every night",
    },
    "inspections_upload": {"contractor_id, membership_id, key": ONCE},
    "inspections_handover": {
        "machine_id": ROWS,
        "contractor_id, number, direction": ONCE,
        "machine_id where": ONCE,
    },
    "inspections_handedrow": {
        "hand_over_id, table, origin_id": ONCE,
        "contractor_id, table, row_id": ONCE,
    },
    "inspections_visitmove": {"from_visit_id": ONCE, "to_visit_id": ONCE},
    "inspections_urgentmail": {
        "stop_event_id, address": ONCE,
        "visit_move_id, address": ONCE,
        "assessment_id, address": ONCE,
        "contractor_id, message_id": ONCE,
        "upload_id, address": ONCE,
    },
    "inspections_visit": {
        "contractor_id, reference": ONCE,
        "machine_id": ROWS,
        "work_id where": SOME,
    },
    "inspections_visitphoto": {"machine_id": ROWS, "visit_id, sent_sha256": ONCE},
    "inspections_wearlimit": {
        "assessment_id": ROWS,
        "groove_id where": SOME,
        "machine_id, quantity, place": ONCE,
        "rope_id where": SOME,
    },
    "inspections_weartrack": {
        "groove_id where": SOME,
        "machine_id, quantity, place, begun_on": ONCE,
        "rope_id where": SOME,
    },
    "reports_delivery": {"contractor_id, message_id": ONCE, "report_id, address": ONCE},
    "reports_refusedaddress": {
        "contractor_id, address where": ONCE,
        "delivery_id": ROWS,
    },
    "reports_report": {
        "building_id where": SOME,
        "contractor_id, kind, owner_id, building_id, machine_id, period_start, "
        "period_end, revision": ONCE,
        "contractor_id, number, revision": ONCE,
        "machine_id where": SOME,
        "owner_id where": SOME,
        "plan_id, period_start, period_end where": ONCE,
        "supersedes_id where": SOME,
    },
    "reports_reportplan": {
        "building_id where": SOME,
        "contractor_id, next_due_at where": "the tick: which plans are due",
        "owner_id": ROWS,
    },
}

# An index that another one begins with, and why it stays all the same.
BEGINNINGS = {
    ("fleet_person_groups", "person_id"): JOIN,
    ("fleet_person_user_permissions", "person_id"): JOIN,
    ("inspections_planningrule", "contractor_id"): "the rule itself: one a contractor",
}

# References without an index of their own, whose parents may go all the same.
UNINDEXED = {
    ("inspections_duework", "owner_id"): "owners are retired, not removed",
    ("inspections_forecast", "run_id"): "runs stay",
    ("inspections_terms", "replaces_id"): "rows are never removed",
    ("inspections_trackpoint", "visit_id"): "visits stay",
    ("reports_report", "plan_id"): "the rule's index has every report of a plan",
}
