"""How many packages of what size, as people type it in lines, and as it is read back to them."""

import re
from collections import Counter

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from inventory.compute import units
from inventory.compute.units import Amount, Base
from inventory.forms import reader
from inventory.forms.fields import read_amount

MOST = 200
_MANY = re.compile(r"^\s*(\d{1,3})\s*[x×*]\s*(.+)$", re.IGNORECASE)


def read_packages(text: str, base: Base) -> tuple[Amount, ...]:
    """Read lines such as `4 x 5 kg` into one amount a package."""
    found: list[Amount] = []
    for line in filter(str.strip, text.splitlines()):
        many = _MANY.match(line)
        times, size = (int(many.group(1)), many.group(2)) if many else (1, line)
        found += [read_amount(size, base, "H87" if base is Base.PIECE else None)] * times
    if len(found) > MOST:
        raise ValidationError(
            _("%(count)s packages are too many for one delivery; 200 fit."), params={"count": len(found)}
        )
    return tuple(found)


def written_in(text: str, base: Base) -> str:
    """The unit the first of such lines was typed in; the lines were read before."""
    line = next(filter(str.strip, text.splitlines()), "")
    many = _MANY.match(line)
    default = "H87" if base is Base.PIECE else None
    return units.parse(text=many.group(2) if many else line, base=base, default=default).written_in[:16]


def read_some(text: str, packages: tuple[Amount, ...], base: Base) -> tuple[Amount, ...]:
    """Read how many of a lot's packages are meant: `4` of one size, or lines such as `4 x 5 kg`."""
    if not text.strip().isdecimal():
        return read_packages(text, base)
    sizes = set(packages)
    if len(sizes) > 1:
        raise ValidationError(_("They came in several sizes: say of which, such as 4 x 5 kg."))
    if not 0 < int(text) <= MOST:
        raise ValidationError(_("Enter how many packages, from 1 on."))
    return (*sizes,) * int(text)


def told(name: str, packages: tuple[Amount, ...]) -> list[str]:
    """What so many packages of a material are, size by size, and how many tags that makes."""
    sentences = []
    for size, count in Counter(packages).items():
        template = ngettext(
            "%(material)s: %(count)s package of %(size)s, %(count)s tag.",
            "%(material)s: %(count)s packages of %(size)s each, %(count)s tags.",
            count,
        )
        sentences.append(template % {"material": name, "count": count, "size": reader.told(size)})
    return sentences
