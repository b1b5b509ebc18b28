"""What a supplier's label says, against the published examples of the standard's own tools.

Outside:
- GS1 Syntax Engine, public repository gs1/gs1-syntax-engine, unit tests of src/c-lib: `scandata.c`, `ai.c`,
  `dl.c` (commits 005385d, 0463451, 02539ae) and src/c-lib/syntax: `lint_csum.c`, `lint_yymmd0.c` (274ba83).
- GS1 General Specifications 3.4.5, as quoted by the documentation of the Ruby library gs1 1.1.0.
- GS1DigitalLinkToolkit.js, README (commit 1748d2b).
- python-stdnum, `stdnum.gs1_128` and `stdnum.ean`.
"""

from datetime import date
from decimal import Decimal

import pytest
from stdnum import gs1_128

from inventory.errors import Refused
from inventory.formats.labels import LabelDay, SupplierLabel, read
from inventory.formats.labels_ai import Element, has_check_digit

TODAY = date(2026, 11, 26)
GTIN = "09520123456788"


def refused(code: str, text: str, today: date = TODAY) -> str:
    with pytest.raises(Refused) as caught:
        read(text, today=today)
    assert caught.value.code == code
    return str(caught.value.sentence)


@pytest.mark.parametrize("prefix", ["]Q3", "]d2", "]e0", "]C1"])
def test_read_when_the_scanner_sends_its_prefix_reads_the_engines_own_example(prefix: str) -> None:
    """Outside: `test_scandata_generateScanData`, one message in four carriers."""
    label = read(prefix + "011231231231233310ABC123\x1d99TESTING", today=TODAY)
    assert (label.gtin, label.lot) == ("12312312312333", "ABC123")
    assert label.aside == (Element("99", "TESTING"),)


def test_read_when_a_fixed_length_needs_no_separator_goes_on_behind_it() -> None:
    """Outside: `test_scandata_processScanData`, (11) runs into (98)."""
    label = read("]e0011231231231233310ABC123\x1d1199122598TESTING\x1d97XYZ", today=TODAY)
    assert label.made == LabelDay(date(1999, 12, 25))
    assert label.aside == (Element("98", "TESTING"), Element("97", "XYZ"))


@pytest.mark.parametrize(
    ("scan", "gtin"),
    [
        ("]E02112345678900", "02112345678900"),
        ("]E00416000336108", "00416000336108"),
        ("]E402345673", "00000002345673"),
        ("]E02112345678900|]e099COMPOSITE\x1d98XYZ", "02112345678900"),
    ],
)
def test_read_when_the_carrier_is_a_retail_bar_code_gives_its_article(scan: str, gtin: str) -> None:
    """Outside: `scandata.c`, EAN-13, UPC-A and EAN-8, and one with a composite component."""
    label = read(scan, today=TODAY)
    assert label.gtin == gtin
    assert (Element("99", "COMPOSITE") in label.aside) == ("|" in scan)


@pytest.mark.parametrize(
    ("scan", "code"),
    [
        ("]e0", "labels.not_gs1"),
        ("]XX", "labels.not_gs1"),
        ("]Q1TESTING", "labels.not_gs1"),
        ("]E0123456789012", "labels.length"),
        ("]E012345678901234", "labels.length"),
        ("]E01234ABC890123", "labels.length"),
        ("]E02112345678901", "labels.check_digit"),
        ("]E41234567", "labels.length"),
        ("]E402345674", "labels.check_digit"),
    ],
)
def test_read_when_the_engine_refuses_a_scan_is_refused(scan: str, code: str) -> None:
    """Outside: the failing rows of `test_scandata_processScanData`. Plain text in ]Q1 is no label."""
    refused(code, scan)


@pytest.mark.parametrize(
    ("running", "expected"),
    [
        ("^0112345678901231", {"gtin": "12345678901231"}),
        ("^01123456789012311012345", {"gtin": "12345678901231", "lot": "12345"}),
        ("^0112345678901231^10ABC123", {"gtin": "12345678901231", "lot": "ABC123"}),
        ("^0112345678901231^", {"gtin": "12345678901231"}),
        ("^31001234561012345", {"weight_mg": 123_456_000_000, "lot": "12345"}),
        ("^1012345^11991225", {"lot": "12345", "made": LabelDay(date(1999, 12, 25))}),
        ("^1012345(11)991225", {"lot": "12345(11)991225"}),
    ],
)
def test_read_when_elements_run_into_each_other_reads_them_as_published(
    running: str, expected: dict[str, object]
) -> None:
    """Outside: `test_ai_processAIdata` and the right column of `test_ai_parseAIdata`; `^` stands for FNC1."""
    assert read(running, today=TODAY) == SupplierLabel(**expected)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("running", "code"),
    [
        ("^", "labels.not_gs1"),
        ("^01A2345678901231", "labels.character"),
        ("^011234567890123A", "labels.character"),
        ("^0112345678901234", "labels.check_digit"),
        ("^011234567890123", "labels.length"),
        ("^011234567890123^", "labels.length"),
        ("^10ABC~", "labels.character"),
    ],
)
def test_read_when_the_engine_refuses_running_elements_is_refused(running: str, code: str) -> None:
    """Outside: the failing rows of `test_ai_processAIdata` for what is read here; (10) for its (99)."""
    refused(code, running)


@pytest.mark.parametrize(
    ("bracketed", "running"),
    [
        ("(01)12345678901231", "^0112345678901231"),
        ("(10)12345", "^1012345"),
        ("(01)12345678901231(10)12345", "^01123456789012311012345"),
        ("(3100)123456(10)12345", "^31001234561012345"),
        ("(10)12345(11)991225", "^1012345^11991225"),
        ("(3900)12345(11)991225", "^390012345^11991225"),
        ("(10)12345\\(11)991225", "^1012345(11)991225"),
        ("(10)12345\\(", "^1012345("),
    ],
)
def test_read_when_brackets_are_typed_equals_the_scan(bracketed: str, running: str) -> None:
    """Outside: both columns of `test_ai_parseAIdata`. Spaces between elements are no fault."""
    assert read(bracketed, today=TODAY) == read(running, today=TODAY)
    assert read(bracketed.replace("2(1", "2 (1"), today=TODAY) == read(running, today=TODAY)


@pytest.mark.parametrize(
    ("bracketed", "code"),
    [
        ("(10)(11)98765", "labels.length"),
        ("(10)12345(11)", "labels.length"),
        ("(1A)12345", "labels.not_gs1"),
        ("1(12345", "labels.not_gs1"),
        ("()12345", "labels.not_gs1"),
        ("(1)12345", "labels.not_gs1"),
        ("(12345)12345", "labels.not_gs1"),
        ("(15", "labels.not_gs1"),
        ("(", "labels.not_gs1"),
        ("(01)123456789012312(10)12345", "labels.length"),
        ("(10)12345^", "labels.character"),
        ("(17)9(90)217", "labels.length"),
        ("(10) ", "labels.length"),
        ("(01)95012345678902(3103)000123", "labels.check_digit"),
        ("(01)95012345678903(11)131313", "labels.date"),
    ],
)
def test_read_when_the_engine_refuses_brackets_is_refused(bracketed: str, code: str) -> None:
    """Outside: failing rows of `test_ai_parseAIdata` and `test_ai_linters`, beside one that passes."""
    assert read("(01)95012345678903(3103)000123", today=TODAY).weight_mg == 123_000
    refused(code, bracketed)


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("https://id.gs1.org/01/09520123456788", {}),
        ("https://brand.example.com/01/9520123456788", {}),
        ("https://brand.example.com/some-extra/pathinfo/01/9520123456788", {}),
        ("https://id.gs1.org/01/09520123456788/10/ABC123", {"lot": "ABC123"}),
        ("https://id.gs1.org/01/09520123456788/21/12345", {"serial": "12345"}),
        (
            "https://id.gs1.org/01/09520123456788/10/ABC1/21/12345?17=180426",
            {"lot": "ABC1", "serial": "12345", "expiry": LabelDay(date(2018, 4, 26))},
        ),
        ("https://id.gs1.org/01/09520123456788?3103=000195", {"weight_mg": 195_000}),
        (
            "https://example.com/01/09520123456788?3103=000195&3922=0299&17=201225",
            {
                "weight_mg": 195_000,
                "expiry": LabelDay(date(2020, 12, 25)),
                "aside": (Element("3922", "0299"),),
            },
        ),
        (
            "https://id.gs1.org/01/09520123456788/235/XYZ?10=ABC123",
            {"lot": "ABC123", "aside": (Element("235", "XYZ"),)},
        ),
    ],
)
def test_read_when_it_is_an_address_reads_the_specifications_examples(
    address: str, expected: dict[str, object]
) -> None:
    """Outside: `dl.c`, "Examples from DL specification". Capitals in the scheme and a fragment do no harm."""
    label = SupplierLabel(**{"gtin": GTIN, **expected})  # type: ignore[arg-type]
    assert read(address, today=TODAY) == label
    assert read("]Q1" + address.replace("https", "HTTPS") + "#fragment", today=TODAY) == label


@pytest.mark.parametrize(
    ("address", "lot"),
    [
        ("https://a/01/12312312312333/22/test/10/abc/21/xyz#fragment", "abc"),
        ("https://a/01/12312312312333/10/ABC%2d123?99=ABC&98=XYZ%2f987", "ABC-123"),
        ("https://a/01/12312312312333/10/ABC+123?99=ABC", "ABC+123"),
        ("https://a/01/12312312312333/10/A?singleton1&unknown1=555&&&99=ABC&", "A"),
        ("http://example.org/gtin/054123450013/lot/ABC%26%2B123?3103=000189&3923=2172", "ABC&+123"),
    ],
)
def test_read_when_an_address_is_escaped_or_has_words_reads_the_lot(address: str, lot: str) -> None:
    """Outside: `dl.c` (with (10) for its (22)); the last is of the toolkit's README, with short names."""
    label = read(address, today=TODAY)
    assert label.lot == lot
    assert label.gtin in ("12312312312333", "00054123450013")


@pytest.mark.parametrize(
    ("address", "code"),
    [
        ("https://example.com/01/09520123456788?10=ABC123", "labels.address"),
        ("https://a/01/12312312312333/21/XYZ/10/ABC", "labels.address"),
        ("https://a/01/12312312312333/22/A/10/B/235/C", "labels.address"),
        ("https://a/stem/00/006141411234567890/", "labels.not_gs1"),
        ("https://a/01/12312312312333?99=", "labels.length"),
        ("https://tag.example/OBJ/SA8KJ2MT", "labels.not_gs1"),
        ("https://[::1/01/12312312312333", "labels.not_gs1"),
        ("https:///01/12312312312333", "labels.not_gs1"),
        ("https://a/01/12312312312333?99=%00", "labels.character"),
    ],
)
def test_read_when_an_address_is_not_in_order_is_refused(address: str, code: str) -> None:
    """Outside: the first five are failing rows of `dl.c` and of the dictionary's note on `dlpkey`."""
    assert read("https://a/01/12312312312333/22/TEST/10/ABC/21/XYZ", today=TODAY).lot == "ABC"
    refused(code, address)


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("02345673", "12345673"),
        ("416000336108", "416000336109"),
        ("1234567890128", "1234567890129"),
        ("12345678901231", "12345678901232"),
        ("123456789012345675", "123456789012345670"),
    ],
)
def test_has_check_digit_when_one_digit_differs_says_no(right: str, wrong: str) -> None:
    """Outside: `lint_csum.c`, all its lengths."""
    assert has_check_digit(right)
    assert not has_check_digit(wrong)


@pytest.mark.parametrize(
    ("digits", "day"),
    [
        ("130200", date(2013, 2, 28)),
        ("160200", date(2016, 2, 29)),
        ("200131", date(2020, 1, 31)),
        ("200229", date(2020, 2, 29)),
        ("000229", date(2000, 2, 29)),
        ("960229", date(1996, 2, 29)),
        ("750606", date(2075, 6, 6)),
        ("990606", date(1999, 6, 6)),
    ],
)
def test_read_when_a_date_is_right_gives_the_day(digits: str, day: date) -> None:
    """Outside: the first two are of General Specifications 3.4.5; the others pass in `lint_yymmd0.c`."""
    expiry = read(f"(17){digits}", today=TODAY).expiry
    assert expiry == LabelDay(day, day_printed=digits[4:] != "00")


@pytest.mark.parametrize(
    "digits", ["200010", "201310", "200132", "200230", "200431", "210229", "230229", "960230", "209910"]
)
def test_read_when_a_date_is_none_is_refused(digits: str) -> None:
    """Outside: failing rows of `lint_yymmd0.c`."""
    assert digits in refused("labels.date", f"(17){digits}")


@pytest.mark.parametrize(
    ("now", "digits", "year"),
    [(2026, "76", 2076), (2026, "77", 1977), (2060, "10", 2110), (2060, "11", 2011), (1999, "49", 2049)],
)
def test_read_when_years_have_two_digits_finds_the_century(now: int, digits: str, year: int) -> None:
    """51 years ahead or more is the last century, 50 behind or more the next.

    Outside: the rule in `lint_yymmd0.c` ("YY to a year using a horizon") and General Specifications 7.12
    (from memory); the documentation of 3.4.5 says 49 years in the past to 50 in the future.
    """
    expiry = read(f"(17){digits}0101", today=date(now, 6, 1)).expiry
    assert expiry is not None
    assert expiry.on.year == year
    assert -49 <= year - now <= 50


def test_read_when_amounts_are_given_keeps_them_whole() -> None:
    """Six digits with so many decimals, in mg, mm and ul. Outside: python-stdnum reads 3103 as 0.195 kg."""
    assert gs1_128.info("3103000195") == {"3103": Decimal("0.195")}
    label = read("(01)09520123456788(3103)000195(3152)001250(3114)123456(30)12", today=TODAY)
    assert (label.weight_mg, label.volume_ul, label.length_mm, label.pieces) == (
        195_000,
        12_500_000,
        12_345,
        12,
    )
    assert read("(3105)000001", today=TODAY).weight_mg == 10
    assert read("(3106)000001", today=TODAY).aside == (Element("3106", "000001"),)


def test_read_when_a_carton_names_its_contents_says_so() -> None:
    """Outside: `dl.c`, a shipping unit with 25 articles of one lot. Unit and article are not mixed up."""
    label = read("https://id.gs1.org/00/952012345678912345?02=09520123456788&37=25&10=ABC123", today=TODAY)
    assert (label.gtin, label.gtin_inside, label.packs_inside, label.lot) == (None, GTIN, 25, "ABC123")
    assert label.aside == (Element("00", "952012345678912345"),)
    refused("labels.pair", "(01)12345678901231(02)12345678901231")
