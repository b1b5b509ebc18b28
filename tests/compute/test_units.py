"""What people type becomes an amount, or is refused with a reason."""

from fractions import Fraction

import pint
import pytest

from inventory.compute.units import (
    Amount,
    Base,
    parse,
)
from inventory.errors import Refused

pint_exact = pint.UnitRegistry(non_int_type=Fraction)


def refused(text: str, base: Base = Base.MG, **more: object) -> Refused:
    with pytest.raises(Refused) as caught:
        parse(text=text, base=base, **more)
    assert text.strip()[:3] in str(caught.value.sentence) or not text.strip()
    return caught.value


@pytest.mark.parametrize(
    ("text", "base", "value"),
    [
        ("2.5 kg", Base.MG, 2_500_000),
        ("2,5 kg", Base.MG, 2_500_000),
        ("2.5kg", Base.MG, 2_500_000),
        ("kg 2.5", Base.MG, 2_500_000),
        ("  2.5   KG. ", Base.MG, 2_500_000),
        (".5 kg", Base.MG, 500_000),
        (",5 kg", Base.MG, 500_000),
        ("0.250 kg", Base.MG, 250_000),
        ("0,250 kg", Base.MG, 250_000),
        ("1.2340 kg", Base.MG, 1_234_000),
        ("1234.567 g", Base.MG, 1_234_567),
        ("2 lb 3 oz", Base.MG, 992_233),
        ("2lb3oz", Base.MG, 992_233),
        ("lb 2 oz 3", Base.MG, 992_233),
        ("2 lb 3.5 oz", Base.MG, 1_006_408),
        ("½ lb", Base.MG, 226_796),
        ("1/2 lb", Base.MG, 226_796),
        ("2½ lb", Base.MG, 1_133_981),
        ("1 kg 200 g", Base.MG, 1_200_000),
        ("1,5 l", Base.UL, 1_500_000),
        ("2 ML", Base.UL, 2_000),
        ("2 gal", Base.UL, 7_570_824),
        ("2 gal (US)", Base.UL, 7_570_824),
        ("2 gal (UK)", Base.UL, 9_092_180),
        ("8 fl. oz.", Base.UL, 236_588),
        ("6 1/4 in", Base.MM, 159),
        ("6-1/4 in", Base.MM, 159),
        ("6¼”", Base.MM, 159),
        ("6' 2 1/2\"", Base.MM, 1_892),
        ("6′ 2 1/2″", Base.MM, 1_892),
        ("6 ft 2 1 / 2 ''", Base.MM, 1_892),
        ("185 cm", Base.MM, 1_850),
        ("m25", Base.MM, 25_000),
        ("5 m²", Base.MM2, 5_000_000),
        ("5 m^2", Base.MM2, 5_000_000),
        ("5m2", Base.MM2, 5_000_000),
        ("m2 5", Base.MM2, 5_000_000),
        ("5 ㎡", Base.MM2, 5_000_000),
        ("5 square metres", Base.MM2, 5_000_000),
        ("3 sq. ft.", Base.MM2, 278_709),
        ("12 pcs", Base.PIECE, 12),
        ("1/2 dozen", Base.PIECE, 6),
        ("1.5 pairs", Base.PIECE, 3),
        ("2 pairs 1 piece", Base.PIECE, 5),
    ],
)
def test_parse_when_text_can_be_read_one_way_gives_that_amount(text, base, value):
    """Any order, comma or point, fractions, several parts, signs for feet and inches, any case."""
    assert parse(text=text, base=base).amount == Amount(value, base)
