"""What must hold of every machine, tried on many."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import permutations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from inspections.decisions import comparison, matters, options, thresholds
from inspections.decisions.records import OptionKind, Possible
from inspections.engineering.cut import Proof
from inspections.reasons import Grade, note
from tests.inspections.decisions import machines, worked

MANY = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
TOPICS = (*matters.SUBJECTS, "brake", "levelling", "something new")
FORECASTS = ("seat_depth", "diameter_loss", "broken_wires", "counterweight_runby")


def work_out(facts, changes=()):
    return options.work_out(
        facts=facts,
        rates=machines.RATES,
        lead_times=machines.LEADS,
        thresholds=thresholds.changed(changes=dict(changes)),
        as_of=machines.AS_OF,
    )


@some.composite
def findings(draw, at_least=0):
    topics = draw(some.lists(some.sampled_from(TOPICS), min_size=at_least, max_size=4))
    return tuple(
        machines.finding(
            topic,
            draw(some.sampled_from(list(Grade))),
            place=f"place {number}",
            stop=draw(some.booleans()),
            unconfirmed=draw(some.booleans()),
        )
        for number, topic in enumerate(topics)
    )


@some.composite
def limits(draw):
    quantities = draw(some.lists(some.sampled_from(FORECASTS), max_size=4))
    found = []
    for number, quantity in enumerate(quantities):
        plan = draw(
            some.none()
            | some.dates(min_value=date(2025, 1, 1), max_value=date(2049, 1, 1))
        )
        found.append(
            machines.ahead(
                quantity,
                f"place {number}",
                plan=plan,
                p50=(plan or machines.AS_OF) + timedelta(days=900),
                p90=(plan or machines.AS_OF) + timedelta(days=2000),
                own=draw(some.booleans()),
            )
        )
    return tuple(found)


@some.composite
def any_machine(draw, at_least=0):
    return replace(
        machines.SOUND,
        findings=draw(findings(at_least)),
        ahead=draw(limits()),
        seats=machines.seats(
            *draw(some.lists(some.floats(0.0, 4.0), min_size=5, max_size=5))
        ),
        rim=draw(
            some.none()
            | some.lists(some.floats(15.0, 40.0), min_size=5, max_size=5).map(
                lambda metal: machines.rim(*metal)
            )
        ),
        proof=draw(
            some.sampled_from([machines.SOUND.proof, Proof(), Proof(crack_free=False)])
        ),
        margins=draw(
            some.sampled_from([(), machines.margins(), machines.margins(-0.1, -0.02)])
        ),
        new_rope_is_pinched=draw(some.sampled_from([True, False, None])),
        feed_is_equal=draw(some.sampled_from([True, False, None])),
        rim_is_renewable=draw(some.sampled_from([True, False, None])),
        uncomputable=draw(some.sampled_from([None, note("the car hangs on a belt")])),
    )


@MANY
@given(facts=any_machine(at_least=1))
def test_while_a_finding_is_open_the_first_option_answers_one(facts):
    open_keys = {each.key for each in facts.findings if matters.is_open(each)}

    first = work_out(facts)[0]

    assert not open_keys or open_keys & set(first.addresses)


@MANY
@given(facts=any_machine())
def test_every_kind_has_one_option_and_a_rank_of_its_own(facts):
    found = work_out(facts)

    assert {option.kind for option in found} == set(OptionKind)
    assert [option.rank for option in found] == list(range(1, len(OptionKind) + 1))


@MANY
@given(facts=any_machine())
def test_what_is_recommended_can_be_done_and_leaves_no_stop_open(facts):
    for option in work_out(facts):
        if option.recommended:
            assert option.rank == 1
            assert option.possible is Possible.YES
            assert not option.is_pointless
            assert not option.is_blocked
            assert not option.leaves_stop_open


@MANY
@given(facts=any_machine(), topic=some.sampled_from(TOPICS))
def test_what_stops_service_is_never_watched(facts, topic):
    stop = machines.finding(topic, Grade.ACT_NOW, place="here", stop=True)

    found = work_out(replace(facts, findings=(*facts.findings, stop)))

    watch = next(option for option in found if option.kind is OptionKind.WATCH)
    assert watch.possible is Possible.NO
    assert all(option.out_of_service for option in found)
    assert all("out of service" in str(option.cautions[0]) for option in found)


@MANY
@given(facts=any_machine(), thicker=some.floats(0.0, 10.0))
def test_a_thicker_rim_never_makes_a_cut_impossible(facts, thicker):
    if facts.rim is None:
        return
    metal = [each.nominal_mm + thicker for each in facts.rim.grooves]

    before = work_out(facts)
    after = work_out(replace(facts, rim=machines.rim(*metal)))

    possible = {option.kind: option.possible for option in after}
    for option in before:
        if option.kind.is_cut and option.possible is not Possible.NO:
            assert possible[option.kind] == option.possible


@MANY
@given(
    facts=any_machine(),
    later=some.lists(some.integers(0, 4000), min_size=4, max_size=4),
)
def test_a_later_forecast_never_moves_the_day_to_order_by_earlier(facts, later):
    moved = tuple(
        replace(
            limit,
            plan_before_on=limit.plan_before_on
            and limit.plan_before_on + timedelta(days=days),
        )
        for limit, days in zip(facts.ahead, later, strict=False)
    )

    before = {option.kind: option.order_by_on for option in work_out(facts)}
    after = {
        option.kind: option.order_by_on
        for option in work_out(replace(facts, ahead=moved))
    }

    for kind, day in before.items():
        assert day is None or after[kind] >= day


@MANY
@given(facts=any_machine())
def test_a_forecast_that_goes_beyond_what_is_shown_moves_no_day_earlier(facts):
    gone = tuple(replace(limit, plan_before_on=None) for limit in facts.ahead)

    before = {option.kind: option.order_by_on for option in work_out(facts)}
    after = work_out(replace(facts, ahead=gone))

    for option in after:
        day = before[option.kind]
        assert day is None or option.order_by_on is None or option.order_by_on >= day


@MANY
@given(
    facts=any_machine(),
    ratio=some.floats(40.0, 60.0),
    chance=some.floats(1e-6, 0.025),
    margin=some.floats(0.0, 0.5),
)
def test_a_stricter_threshold_makes_nothing_possible(facts, ratio, chance, margin):
    stricter = {
        "diameter_ratio_least": ratio,
        "chance_too_thin_most": chance,
        "margin_after_least": margin,
    }

    before = {option.kind: option.possible for option in work_out(facts)}
    after = {option.kind: option.possible for option in work_out(facts, stricter)}

    for kind, possible in after.items():
        assert possible is not Possible.YES or before[kind] is Possible.YES
        assert before[kind] is not Possible.NO or possible is Possible.NO


@settings(max_examples=8, deadline=None)
@given(facts=any_machine(), order=some.permutations(range(len(OptionKind))))
def test_the_comparison_does_not_depend_on_the_order_of_the_options(facts, order):
    found = work_out(facts)

    one, other = (
        comparison.compare(
            options=given_options,
            facts=facts,
            thresholds=thresholds.DEFAULTS,
            as_of=machines.AS_OF,
            seed=5,
            draws=100,
        )
        for given_options in (found, [found[number] for number in order])
    )

    assert one == other


def test_a_course_is_the_same_whatever_it_is_compared_with():
    found = work_out(machines.SOUND)
    answers = [o.kind for o in found if o.kind.renews_ropes or o.kind.is_cut]
    answers += [OptionKind.SHORTEN]
    alone = {}
    for option in found:
        compared = comparison.compare(
            options=[*(o for o in found if o.kind in answers), option],
            facts=machines.SOUND,
            thresholds=thresholds.DEFAULTS,
            as_of=machines.AS_OF,
            seed=5,
            draws=100,
        )
        alone |= {course.kind: course for course in compared.courses}

    together = comparison.compare(
        options=found,
        facts=machines.SOUND,
        thresholds=thresholds.DEFAULTS,
        as_of=machines.AS_OF,
        seed=5,
        draws=100,
    )

    watch = next(c for c in together.courses if c.kind is OptionKind.WATCH)
    assert alone[OptionKind.WATCH].visits_mean == watch.visits_mean


def test_permutations_of_three_options_give_one_answer():
    found = work_out(machines.SOUND)[:3]

    answers = {
        comparison.compare(
            options=order,
            facts=machines.SOUND,
            thresholds=thresholds.DEFAULTS,
            as_of=machines.AS_OF,
            seed=1,
            draws=100,
        )
        for order in permutations(found)
    }

    assert len(answers) == 1


@MANY
@given(
    land=some.floats(45.0, 65.0),
    thicker=some.floats(0.0, 10.0),
    draft=some.floats(0.0, 3.0),
    indicator=some.floats(0.0, 3.0),
)
def test_a_thicker_casting_never_makes_a_cut_impossible(
    land, thicker, draft, indicator
):
    def cut(land_mm):
        metal = worked.metal(land_mm=land_mm, draft_deg=draft, indicator_mm=indicator)
        found = work_out(replace(worked.FIRST, rim=metal))
        return next(o for o in found if o.kind is OptionKind.REGROOVE_IN_SHOP)

    before, after = cut(land), cut(land + thicker)

    assert before.possible is Possible.NO or after.possible is Possible.YES
    assert after.probability_possible >= before.probability_possible
