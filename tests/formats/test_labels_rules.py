"""What a supplier's label says: contradictions, marks, unknown parts, garbage.

Outside: python-stdnum (`stdnum.gs1_128`, `stdnum.ean`) writes and checks what is read here.
"""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean, gs1_128

from inventory.errors import Refused
from inventory.formats.labels import LabelDay, SupplierLabel, read, together
from inventory.formats.labels_ai import Element

TODAY = date(2026, 11, 26)
GTIN = "09520123456788"
letters = "".join(chr(code) for code in range(33, 123) if chr(code) not in "#$@[\\]^`")


def refused(code: str, text: str, today: date = TODAY) -> str:
    with pytest.raises(Refused) as caught:
        read(text, today=today)
    assert caught.value.code == code
    return str(caught.value.sentence)


def outcome(text: str) -> SupplierLabel | Refused:
    try:
        return read(text, today=TODAY)
    except Refused as refusal:
        return refusal


@pytest.mark.parametrize(
    ("right", "wrong", "code"),
    [
        ("(11)260101(17)261231", "(11)261231(17)260101", "labels.dates"),
        ("(11)260101(15)260101", "(11)260102(15)260101", "labels.dates"),
        ("(15)260600(17)260630", "(15)260701(17)260600", "labels.dates"),
        ("(11)260300(15)260315", "(11)260400(15)260315", "labels.dates"),
        ("(10)A(10)A", "(10)A(10)B", "labels.twice"),
        ("(3103)000195(3103)000195", "(3103)000195(3102)000195", "labels.twice"),
        ("(3103)000190(3103)000190", "(3103)000190(3102)000019", "labels.twice"),
        ("(10)ABCDEFGHIJKLMNOPQRST", "(10)ABCDEFGHIJKLMNOPQRSTU", "labels.length"),
        ("(30)12345678", "(30)123456789", "labels.length"),
        ("(10)A_b?", "(10)A b?", "labels.character"),
        ("(10)A", "(10)Ä", "labels.character"),
        ("(10)A\r\n", "(10)A\r\n(11)260101", "labels.character"),
        ("(37)7", "(37)٧", "labels.character"),
        ("(99)" + "A" * 90, "(99)" + "A" * 2_000, "labels.too_long"),
        ("\x1d10A", " \r\n", "labels.empty"),
    ],
)
def test_read_when_one_fact_makes_it_wrong_is_refused(right: str, wrong: str, code: str) -> None:
    """Each wrong label stands beside the right one."""
    assert read(right, today=TODAY)
    refused(code, wrong)


def test_read_when_dates_contradict_says_both() -> None:
    """The sentence names both dates; a month without a day is written as a month."""
    assert "made 2026-05 and expiry 2026-04-30" in refused("labels.dates", "(11)260500(17)260430")


def test_read_when_an_identifier_is_unknown_keeps_it_aside() -> None:
    """Known ones around it are read; one that cannot be told from its value is kept whole."""
    assert read("]C110A\x1d891234\x1d17261231", today=TODAY) == SupplierLabel(
        lot="A", expiry=LabelDay(date(2026, 12, 31)), aside=(Element("", "891234"),)
    )
    assert read("(10)A(89)1234(320)5", today=TODAY).aside == (Element("89", "1234"), Element("320", "5"))
    assert read("https://a/01/09520123456788?89=ABC", today=TODAY).aside == (Element("89", "ABC"),)
    assert read("]C17230121234\x1d10A", today=TODAY).aside == (Element("7230", "121234"),)


def test_read_when_digits_are_bare_takes_an_article_number_only_with_its_check_digit() -> None:
    """So scanners send retail bar codes that send no prefix. A number that anybody may type is no label."""
    assert read("1234567890128", today=TODAY).gtin == "01234567890128"
    assert read("]I112345678901231", today=TODAY).gtin == "12345678901231"
    for text in ("1234567890129", "3012", "30 mm", "99 bottles", "SA8KJ2MT", "10ABC"):
        refused("labels.not_gs1", text)


def test_read_when_bare_digits_can_be_two_things_is_refused() -> None:
    """Eight digits that are a date, and one of them a right article number as well: not guessed.

    Outside: python-stdnum's check digit.
    """
    assert not ean.is_valid("17261231")
    assert read("17261231", today=TODAY).expiry == LabelDay(date(2026, 12, 31))
    assert ean.is_valid("17261227")
    refused("labels.ambiguous", "17261227")
    assert ean.is_valid("172612313011")
    refused("labels.ambiguous", "172612313011")
    assert read("]C117261227", today=TODAY).expiry == LabelDay(date(2026, 12, 27))
    assert read("]E417261227", today=TODAY).gtin == "00000017261227"


@pytest.mark.parametrize("mark", ["\x1d", "<GS>", "{GS}", "[GS]", "^", "<FNC1>"])
def test_read_when_separators_are_written_out_reads_the_same(mark: str) -> None:
    """Scanners that cannot send the character send words for it; before and behind the elements, too."""
    plain = read(f"]C1{mark}010952012345678810A17{mark}17261231{mark}", today=TODAY)
    assert plain == SupplierLabel(gtin=GTIN, lot="A17", expiry=LabelDay(date(2026, 12, 31)))


def test_read_when_a_separator_is_missing_raises_a_doubt() -> None:
    """A lot that ends like a date is kept as scanned, with a doubt; none where separators are there."""
    swallowed = read("010952012345678810AB1217261231", today=TODAY)
    assert swallowed.lot == "AB1217261231"
    assert "AB1217261231" in str(swallowed.doubts[0])
    for text in ("010952012345678810AB12\x1d17261231", "(01)09520123456788(10)AB1217261231"):
        assert read(text, today=TODAY).doubts == ()
    assert read("010952012345678810AB1217261331", today=TODAY).doubts == ()


def test_together_when_a_label_has_two_codes_adds_them_up() -> None:
    """Article on one code, lot and dates on the other; what differs is refused, also across codes."""
    first, second = read("(01)09520123456788", today=TODAY), read("(10)A(17)261231(99)X", today=TODAY)
    assert together([first, second, second]) == read("(01)09520123456788(10)A(17)261231(99)X", today=TODAY)
    for other, code in (
        ("(10)B", "labels.twice"),
        ("(11)270101", "labels.dates"),
        (f"(02){GTIN}", "labels.pair"),
    ):
        with pytest.raises(Refused) as caught:
            together([first, second, read(other, today=TODAY)])
        assert caught.value.code == code


@given(
    body=st.text("0123456789", min_size=13, max_size=13),
    lot=st.text(letters, min_size=1, max_size=20),
    days=st.lists(st.dates(date(1978, 1, 1), date(2076, 12, 31)), min_size=2, max_size=2).map(sorted),
    count=st.integers(0, 99_999_999),
)
def test_read_gives_back_what_another_library_wrote(
    body: str, lot: str, days: list[date], count: int
) -> None:
    """Outside: python-stdnum writes the element string; dates and article number are its own."""
    gtin = body + ean.calc_check_digit(body)
    facts = {"01": gtin, "10": lot, "11": days[0], "17": days[1], "30": count}
    text = gs1_128.encode(facts, separator="\x1d")
    label = read("]C1" + text, today=TODAY)
    assert (label.gtin, label.lot, label.pieces) == (gtin, lot, count)
    assert (label.made, label.expiry) == (LabelDay(days[0]), LabelDay(days[1]))


@given(
    st.text(max_size=60)
    | st.text("()01234567890^\x1d]C1Q3", max_size=40)
    | st.text("/?=&%#0123456789.", max_size=40).map("https://a/01/09520123456788".__add__)
    | st.text("0123456789", max_size=30).map("]C1".__add__)
)
def test_read_when_it_is_garbage_refuses_and_nothing_else(text: str) -> None:
    """Never another error; what is read keeps its own rules."""
    found = outcome(text)
    if isinstance(found, Refused):
        assert found.code.startswith("labels.")
        assert str(found)
    else:
        assert found.gtin is None or (len(found.gtin) == 14 and ean.is_valid(found.gtin))
        assert found.lot is None or 1 <= len(found.lot) <= 20
