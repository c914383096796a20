"""When each limit will be met: readings as series, the model, dates stored."""

from inspections.forecasts.project import project

__all__ = ["project"]
