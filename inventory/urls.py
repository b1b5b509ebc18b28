"""Every address on one page, grouped by topic. Name, path, view and template agree.

`stock-receive` is /stock/receive/, `views.stock.receive`, `inventory/stock/receive.html`. A thing's code stands
between topic and verb: `stock-open` is /stock/<code>/open/.
"""

from django.urls import path, register_converter

from inventory.compute.codes import Code, read
from inventory.errors import Refused
from inventory.views import day, help, people


class CodeInPath:
    """A code in an address, as printed or as stored, in any case."""

    regex = "[0-9A-Za-z]{4}-?[0-9A-Za-z]{4}"

    def to_python(self, value: str) -> Code:
        """Read it; what is no code is no page."""
        try:
            return read(value)
        except Refused as refused:
            raise ValueError from refused

    def to_url(self, value: Code | str) -> str:
        """As stored."""
        return str(value)


register_converter(CodeInPath, "code")

urlpatterns = [
    # the first page, and signing in
    path("", day.day, name="day"),
    path("people/sign-in/", people.sign_in, name="people-sign-in"),
    path("people/sign-out/", people.sign_out, name="people-sign-out"),
    # help
    path("help/", help.help, name="help"),
    path("help/refusals/", help.refusals, name="help-refusals"),
    path("help/rules/", help.rules, name="help-rules"),
    path("help/<path:page>/", help.page, name="help-page"),
]
