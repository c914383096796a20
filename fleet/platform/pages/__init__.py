"""What every page for people shares: who is let in, language, units, ways on."""

from fleet.platform.pages.base import PageView
from fleet.platform.pages.frame import Framed
from fleet.platform.pages.preferences import Preferences

__all__ = ["Framed", "PageView", "Preferences"]
