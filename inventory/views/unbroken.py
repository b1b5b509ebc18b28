"""Where a line of a page may not end: between a number and its unit.

Of the finished page, so that every sentence has it, whoever made it; what a field holds, what is to be copied
and what is no page keep their spaces. Knows no topic and no template.
"""

import re

from django.http import HttpResponse
from django.http.response import HttpResponseBase

from inventory.compute import units

SPACE = "\u00a0"  # as wide as a space; what is typed with it is read as with one
_WORDS = frozenset({"", *(unit.symbol for unit in units.UNITS.values() if unit.dimension == "count")})
_SIGNS = {
    *(unit.symbol for unit in units.UNITS.values()),
    *units.BESIDE,
    *(theirs.sign for theirs in units.BESIDE.values()),
    *("%", "W", "kW", "A", "V", "MB"),
} - _WORDS
_UNIT = "|".join(sorted(map(re.escape, _SIGNS), key=len, reverse=True))
_SPACE_OR_MARKUP = re.compile(
    r"<(?P<kept>script|style|textarea|pre|code)\b.*?</(?P=kept)>|<!--.*?-->"
    r"|<(?:[^\"'>]|\"[^\"]*\"|'[^']*')*>"
    rf"| (?<=\d )(?=(?:{_UNIT})(?![\w²³/·]))",
    re.DOTALL,
)


def held(answer: HttpResponseBase) -> HttpResponseBase:
    """The answer; where it is a page, no line of it ends between a number and its unit."""
    if isinstance(answer, HttpResponse) and answer.headers.get("Content-Type", "").startswith("text/html"):
        answer.content = words(answer.content.decode(answer.charset)).encode(answer.charset)
    return answer


def words(page: str) -> str:
    """The same of its markup."""
    return _SPACE_OR_MARKUP.sub(lambda found: SPACE if found[0] == " " else found[0], page)
