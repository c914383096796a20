"""when a limit may be reached, in words that promise nothing."""

from datetime import date

from django.utils.translation import gettext as _

from inspections.models import Forecast, ForecastState
from reports.composition import reasons, words
from reports.composition.reader import Reader


def outlook(forecast: Forecast | None, *, reader: Reader, today: date) -> str:
    """Return when the limit may be reached; why no date is given where none is."""
    if forecast is None:
        return _("No forecast.")
    reason = reasons.stored(forecast.said, forecast.reason, reader=reader)
    if forecast.state == ForecastState.NONE:
        text = _("No date: %(reason)s.") % {"reason": reason}
        return _with_planning(text, forecast, reader=reader)
    if forecast.state == ForecastState.SUSPENDED:
        return _with_planning(words.sentence(reason), forecast, reader=reader)
    if forecast.state == ForecastState.BEYOND:
        return words.sentence(reason)
    if forecast.state == ForecastState.REACHED:
        return _("The limit may be reached already: %(reason)s.") % {"reason": reason}
    text = words.sentence("; ".join(_chances(forecast, reader=reader, today=today)))
    label = words.said(str(ForecastState(forecast.state).label))
    return f"{text} ({label})"


def _with_planning(text: str, forecast: Forecast, *, reader: Reader) -> str:
    """Return a text with the day to plan on: a question takes no date away."""
    if forecast.plan_before_on is None:
        return text
    planned = _(
        "Until that is answered, work on it is to be planned before %(day)s."
    ) % {"day": reader.day(forecast.plan_before_on)}
    return f"{text} {planned}"


def _chances(forecast: Forecast, *, reader: Reader, today: date) -> list[str]:
    parts = []
    if forecast.p10_on:
        parts.append(
            _("about 1 chance in 10 that the limit is reached before %(day)s")
            % {"day": reader.roughly(forecast.p10_on, today=today)}
        )
    if forecast.p50_on:
        parts.append(
            _("as likely before as after %(day)s")
            % {"day": reader.roughly(forecast.p50_on, today=today)}
        )
    if forecast.p90_on:
        parts.append(
            _("about 1 chance in 10 that it comes after %(day)s")
            % {"day": reader.roughly(forecast.p90_on, today=today)}
        )
    return parts


def caption(forecast: Forecast | None, *, reader: Reader) -> str:
    """Return what sets the limit, and what it is uncertain by."""
    if forecast is None or not forecast.limit_reason:
        return ""
    text = _("Limit: %(limit)s.") % {"limit": words.case(forecast.limit_reason)}
    item = words.register_item(forecast.limit_dominated_by)
    if item and forecast.limit_sd:
        text += " " + _("The limit itself is uncertain, most of all by %(item)s.") % {
            "item": item
        }
    if forecast.caution:
        said = reasons.stored(forecast.caution_said, forecast.caution, reader=reader)
        text += f" {words.sentence(said)}"
    return text
