"""Which pages of `seen` every run looks at; `.ci/long browsers` looks at all of them.

The first of each template, and a form that was refused for each template of forms that
many pages share (`tests/access/test_all_seen.py` holds them to it).
"""

from tests.browser.seen import PAGES

_NAMES = """
    log-in account change-password second-factor open-sessions confirm show-factor
    report-link report-link-asked set-password-code not-here not-for-the-role
    today portfolio-owner portfolio-by-building portfolio-by-part calendar budget
    comparison
    estate estate-building answer works join plan-work enter-unplanned
    stop accept-stop work report-done stop-releases stop-release
    machine-worn machine-stopped finding reading readings-to-confirm
    people invite invite-refused phones phone-file-told person
    imports-faulty import-faulty service exports changes calendar-addresses visit
    add-photo-refused refused-addresses hand-overs try-change groove-window scenario
    mailed-links terms forecasts-held gauges move-visit owner building
    set-up-ropes set-up-readings reports report report-new
"""
SAMPLED = {*_NAMES.split(), "phone to pair"}

assert {seen.name for seen in PAGES} >= SAMPLED
