"""Pages as a test reads them: in plain words. Knows no page."""

from typing import Any

from django import test

from inventory.views.unbroken import SPACE


class Client(test.Client):
    """A browser in whose answers the space that holds a number and its unit together is a plain one.

    `tests.views.test_unbroken` looks at pages without it.
    """

    def request(self, **request: Any) -> Any:
        answer = super().request(**request)
        if not answer.streaming:
            answer.content = answer.content.replace(SPACE.encode(), b" ").replace(rb"\u00a0", b" ")
        return answer
