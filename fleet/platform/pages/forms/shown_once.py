"""A form that makes a secret: it stands in the answer, once, and is kept nowhere."""

from typing import Any

from django.http import HttpRequest, HttpResponse

from fleet.platform.pages.forms.page import FormPage


class ShownOnce(FormPage):
    """Answers with what `made` holds after `do`, instead of leading on.

    Whoever sends the same form again is led on, and sees no secret twice.
    """

    shown_template: str
    made: dict[str, Any] | None = None

    def post(self, request: HttpRequest, **more: Any) -> HttpResponse:
        """Do it, and show what was made."""
        answer = super().post(request, **more)
        if self.made is None or answer.status_code != 302:
            return answer
        return self.answer(self.shown_template, self.made | {"on": answer["Location"]})
